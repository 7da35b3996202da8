//! Fonts of the system for letters that the fonts of the program lack, so that a name in any script shows.

#[cfg(not(target_arch = "wasm32"))]
mod search;

use std::collections::BTreeSet;

/// A font.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SystemFont {
    /// Its name, of its own among all.
    pub name: String,
    /// The file.
    pub bytes: Vec<u8>,
    /// Which font of the file.
    pub index: u32,
}

/// Fonts of the system that draw these characters, as few as will do, the plainest first. Reads every font there is: call it beside the
/// window. A page sees none.
pub fn covering(missing: &BTreeSet<char>) -> Vec<SystemFont> {
    #[cfg(not(target_arch = "wasm32"))]
    return search::covering(missing);
    #[cfg(target_arch = "wasm32")]
    {
        let _ = missing;
        Vec::new()
    }
}
