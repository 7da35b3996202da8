//! The reference: a phone photo, read without loss and adjusted lazily.
//!
//! | step | where |
//! | --- | --- |
//! | file to samples: JPEG, PNG, WebP, TIFF, told apart by content | [`open`](mod@open) |
//! | samples to linear light: ICC profile or `cICP`, unclamped | `profile` |
//! | upright coordinates: EXIF orientation as an index map | `orient` |
//! | what is seen: soften, then hue turn, only where asked | [`view`] |
//! | one colour through a loupe | [`pick`](mod@pick) |
//! | an outlined surface and its shadow, local and light | [`region`], [`trio`](mod@trio) |
//! | a pick brought back into range | [`nudge`] |
//! | a small copy, of the whole or of a part | `reduce` |
//! | a board from a whole photo | [`propose`] |
//! | a board from a picture of swatches | [`swatch_sheet`](mod@swatch_sheet) |
//! | k-means in OKLab | [`cluster`] |
//!
//! Pixel coordinates are those of the *upright* photo: x to the right, y down, pixel (0, 0) covers 0 to 1 in both.
//! Transparency is straight (not premultiplied) and acts as a weight: a pixel counts as much as it is opaque, and a
//! fully transparent pixel never enters a mean.

pub mod cluster;
mod jpeg;
pub mod open;
mod orient;
pub mod pick;
mod profile;
pub mod propose;
mod reduce;
pub mod region;
pub mod soften;
pub mod swatch_sheet;
pub mod trio;
pub mod view;

pub use crate::board::nudge::nudge;
pub use open::{Photo, PhotoError};
pub use pick::{PickError, pick};
pub use propose::{FamilyPlace, Proposal, ProposeError, propose, propose_board};
pub use reduce::Blocks;
pub use region::{Outline, RegionError};
pub use swatch_sheet::{SwatchSheet, SwatchSheetError, swatch_sheet};
pub use trio::{Tone, Trio, trio};
pub use view::{Block, PixelRect, View};

use serde::{Deserialize, Serialize};

/// What is done to a photo when it is looked at. Never baked into pixels.
#[derive(Clone, Copy, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Adjustments {
    /// Turn of all hues in OKLCh, degrees, -180 to 180.
    pub hue_turn: f32,
    /// Standard deviation of the Gaussian that softens camera specks, in photo pixels, 0 to 3.
    pub soften: f32,
}
