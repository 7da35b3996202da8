//! The reference: a phone photo, read without loss and adjusted lazily.
//!
//! | step | where |
//! | --- | --- |
//! | what a file is, told by its content | [`kind`] |
//! | how large a photo may be | [`bounds`] |
//! | file to samples: one file a kind | `decode` |
//! | the parts of a file, without its pixels | `container` |
//! | a file without what it tells about place and camera | [`private`] |
//! | a photo, or the words why not | [`open`](mod@open), [`error`] |
//! | samples to linear light: ICC profile or numbers, unclamped | `profile` |
//! | upright coordinates: EXIF orientation as an index map | `orient` |
//! | what is seen: crop and soften, only where asked | [`view`] |
//! | then exposure, contrast and hue turn, colour by colour | [`ColourChange`] |
//! | one colour through a loupe | [`pick`](mod@pick) |
//! | an outlined surface and its shadow, local and light | [`region`], [`trio`](mod@trio) |
//! | a pick brought back into range | [`nudge`] |
//! | a small copy, of the whole or of a part | `reduce` |
//! | which part of it a canvas shows | [`Framing`] |
//! | a board from a whole photo | [`propose`] |
//! | a board from a picture of swatches | [`swatch_sheet`](mod@swatch_sheet) |
//! | k-means in OKLab | [`cluster`] |
//!
//! Pixel coordinates are those of the *upright* photo: x to the right, y down, pixel (0, 0) covers 0 to 1 in both.
//! Transparency is straight (not premultiplied) and acts as a weight: a pixel counts as much as it is opaque, and a
//! fully transparent pixel never enters a mean.

mod adjustments;
pub mod bounds;
pub mod cluster;
mod colour_change;
mod container;
mod decode;
pub mod error;
mod framing;
pub mod kind;
pub mod open;
mod orient;
pub mod pick;
pub mod private;
pub(crate) mod profile;
pub mod propose;
mod raster;
mod reduce;
pub mod region;
pub mod soften;
pub mod swatch_sheet;
pub mod trio;
pub mod view;

pub use crate::board::nudge::nudge;
pub use adjustments::{Adjustments, MIN_CROP_PX, PixelRect};
pub use colour_change::ColourChange;
pub use error::{PhotoError, PhotoWarning};
pub use framing::{Framing, FramingError};
pub use open::Photo;
pub use pick::{PickError, pick};
pub use propose::{FamilyPlace, Proposal, ProposeError, propose, propose_board};
pub use reduce::Blocks;
pub use region::{Outline, RegionError};
pub use swatch_sheet::{SwatchSheet, SwatchSheetError, swatch_sheet};
pub use trio::{Tone, Trio, trio};
pub use view::{Block, View};
