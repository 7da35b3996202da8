//! The PNG a study leaves as, with its board inside.
//!
//! [`write_png`] streams a picture to a file a band of rows at a time and attaches the board twice: as a suggested
//! palette (`sPLT`) that any reader of the PNG standard may use, and as [`Attached`] in RON text (`iTXt`), which
//! [`read_attached`] gives back without loss. Everything here follows the W3C Recommendation "Portable Network Graphics
//! (PNG) Specification (Third Edition)", 24 June 2025; section numbers beside the code are its own.
//!
//! | file | holds |
//! | --- | --- |
//! | `attached` | what goes with the picture, and its RON text |
//! | `write` | chunks and pixels, in order |
//! | `encode` | linear light to the integers of the file |
//! | `filter`, `pack` | rows of samples to the data of the file |
//! | `gamut` | the colour spaces a file may have |
//! | `splt` | the suggested palette chunk, both ways |
//! | `chunks` | walking the chunks of a file that may be damaged |
//! | `read` | the board out of a picture |

mod attached;
mod chunks;
mod encode;
mod error;
mod filter;
mod gamut;
pub(crate) mod icc;
mod pack;
mod read;
mod splt;
mod write;

pub use attached::{Attached, AttachedError, FORMAT, PaletteEntry};
pub use encode::{code_8, code_16};
pub use error::{BandError, PictureError};
pub use gamut::OutputGamut;
pub use read::{is_png, read_attached, read_suggested_palettes};
pub use splt::{SuggestedEntry, SuggestedPalette};
pub use write::{BAND_ROWS, COMPRESSION_LEVEL, FillBand, PngOptions, write_png};

/// The keyword of the `iTXt` chunk and the name of the `sPLT` chunk that carry the board.
pub const BOARD_KEYWORD: &str = "Stint board";

/// The keyword of the `iTXt` chunk that tells how long the study was worked on, as a length of time by ISO 8601.
pub const TIME_KEYWORD: &str = "Painting time";

/// Bits a sample of the file has.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum Depth {
    /// 0 to 255: for the web and for most printers.
    #[default]
    Eight,
    /// 0 to 65535: for further work in another program.
    Sixteen,
}

impl Depth {
    /// 8 or 16.
    pub fn bits(self) -> u8 {
        match self {
            Depth::Eight => 8,
            Depth::Sixteen => 16,
        }
    }

    /// The largest sample, 255 or 65535.
    pub fn max(self) -> u16 {
        match self {
            Depth::Eight => u16::from(u8::MAX),
            Depth::Sixteen => u16::MAX,
        }
    }
}
