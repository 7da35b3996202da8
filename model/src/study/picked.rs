//! Where a swatch was picked from, so that it can be picked again when the photo is adjusted otherwise.

use crate::board::Role;
use crate::colour::Colour;
use serde::{Deserialize, Serialize};

/// The link from a swatch to the photo.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Picked {
    /// Key of the photo, as in [`super::Reference::photo`].
    pub photo: i64,
    /// How it was picked.
    pub how: PickSource,
}

/// A way of picking.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum PickSource {
    /// Through the loupe.
    Spot {
        /// Column and row of the upright photo.
        at: (u32, u32),
        /// Width of the loupe, 1 to 31 photo pixels.
        aperture: u32,
        /// Whether the colour was nudged into the range of a board.
        #[serde(default)]
        nudged: bool,
    },
    /// As one tone of an outlined surface.
    Surface {
        /// Corners on the upright photo.
        outline: Vec<(f32, f32)>,
        /// Shadow, local or light.
        role: Role,
    },
    /// As a mean of many spots: its colour without the turn of hues.
    Mean(Colour),
}
