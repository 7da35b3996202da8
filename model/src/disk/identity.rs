//! Which file something is, whatever its path.

use super::Metadata;
use serde::{Deserialize, Serialize};
use std::io;
use std::path::Path;

/// Which file something is. Two of them are equal when they stand for one file, also after it was moved; on systems that
/// give files no number, all are equal.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Identity {
    #[cfg(unix)]
    device_and_number: (u64, u64),
    #[cfg(target_arch = "wasm32")]
    number: Option<u64>,
}

impl Identity {
    /// Whether two files can be told apart by it here.
    pub const TELLS: bool = cfg!(any(unix, target_arch = "wasm32"));

    /// The file at `path`.
    ///
    /// # Errors
    /// When there is none, or it cannot be reached.
    pub fn of(path: &Path) -> io::Result<Self> {
        super::metadata(path).map(|found| Self::from(&found))
    }
}

#[cfg(unix)]
impl From<&Metadata> for Identity {
    fn from(file: &Metadata) -> Self {
        use std::os::unix::fs::MetadataExt;
        Identity { device_and_number: (file.dev(), file.ino()) }
    }
}

#[cfg(target_arch = "wasm32")]
impl From<&Metadata> for Identity {
    fn from(file: &Metadata) -> Self {
        Identity { number: file.number() }
    }
}

// Elsewhere a file that is open without sharing its removal stays where it is, so being there is all there is to know.
#[cfg(not(any(unix, target_arch = "wasm32")))]
impl From<&Metadata> for Identity {
    fn from(_: &Metadata) -> Self {
        Identity {}
    }
}

#[cfg(all(test, unix))]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_file_keeps_its_identity_when_it_moves_and_a_copy_has_its_own() {
        let folder = tempfile::tempdir().unwrap();
        let [first, moved, copy] = ["a", "b", "c"].map(|name| folder.path().join(name));
        std::fs::write(&first, "tram").unwrap();
        let identity = Identity::of(&first).unwrap();
        std::fs::copy(&first, &copy).unwrap();
        std::fs::rename(&first, &moved).unwrap();
        assert_eq!(Identity::of(&moved).unwrap(), identity);
        assert_ne!(Identity::of(&copy).unwrap(), identity);
        assert!(Identity::of(&first).is_err());
    }
}
