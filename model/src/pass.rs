//! Passes: the transparent sheets of a study, bottom first.

use crate::ids::PassId;
use serde::{Deserialize, Serialize};

/// What a pass is for.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub enum PassKind {
    /// Painted from the board.
    #[default]
    Board,
    /// Made when free colour was opened.
    Free,
}

/// One sheet.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pass {
    /// Its identity.
    pub id: PassId,
    /// Its name on screen.
    pub name: String,
    /// What it is for.
    pub kind: PassKind,
    /// Whether it shows. A hidden pass is in no picture and in no readout.
    pub visible: bool,
    /// How strongly it shows: 0 (not at all) to 65535 (fully).
    pub strength: u16,
}

impl Pass {
    /// A visible pass of full strength.
    pub fn new(id: PassId, name: &str, kind: PassKind) -> Self {
        Pass { id, name: name.to_owned(), kind, visible: true, strength: u16::MAX }
    }
}
