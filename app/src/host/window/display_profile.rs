//! The colours of the display that the window is on, as far as the system tells them.

use crate::ui::display::DisplayColours;
use std::sync::Arc;
use std::sync::mpsc::Receiver;
use stint_model::display::DisplayTable;

/// What a profile came to: what the painter is told, and what is drawn with.
pub(super) type Told = (DisplayColours, Option<Arc<DisplayTable>>);

/// The display as it was told last.
#[derive(Default)]
pub struct DisplayProfile {
    /// None where the desktop sees to the colours, or nothing is told.
    pub(super) told: Option<Receiver<Told>>,
    pub(super) table: Option<Arc<DisplayTable>>,
    /// Whether the screen draws with the table.
    pub(super) used: bool,
}

/// What a profile, or none, comes to.
#[cfg(all(unix, not(target_os = "macos")))]
pub(super) fn told_of(profile: Option<&[u8]>) -> Told {
    let Some(profile) = profile else { return (DisplayColours::Untold, None) };
    match DisplayTable::of(profile) {
        Ok(table) => {
            let name = table.name().map(str::to_owned);
            let table = (!table.is_plain()).then(|| Arc::new(table));
            (DisplayColours::Told(name), table)
        }
        Err(why) => (DisplayColours::Unusable(why.to_string()), None),
    }
}
