//! Why a change was not made.

use crate::files::board_file::BoardAnyError;
use crate::files::kind::KindError;
use std::path::PathBuf;
use stint_model::board::check::BoardError;
use stint_model::board::edit::EditError;
use stint_model::board::file::BoardFileError;
use stint_model::colour::HexError;
use stint_model::paint::PaintError;
use stint_model::photo::{FramingError, PhotoError, PickError, ProposeError, RegionError, SwatchSheetError};
use stint_model::picture::PictureError;
use stint_model::study::document::CanvasSizeError;
use stint_model::study::file::StudyError;
use stint_model::study::protected::OutlineError;
use stint_model::variation::VariationError;
use stint_model::well::WellError;
use stint_render::canvas::FillError;
use stint_render::engine::EngineError;
use stint_render::mask::brush::BrushError;
use stint_render::mask::mass::MassError;

/// Why a change was not made. Whatever the reason, the study is as it was before.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SessionError {
    /// Nothing may be written to that place.
    #[error(transparent)]
    Target(#[from] crate::files::replace::Refusal),
    /// A free colour while free colour is shut.
    #[error("free colour is shut: load a swatch of the board, or open free colour first")]
    FreeShut,
    /// Opening what is open.
    #[error("free colour is open already")]
    FreeOpen,
    /// Painting with nothing on the brush.
    #[error("the brush is empty: load a swatch first")]
    NothingLoaded,
    /// Loading from bare canvas.
    #[error("there is no paint at this place; pick where something is painted")]
    NoPaintThere,
    /// Nothing to merge into.
    #[error("there is no pass below \"{0}\" to merge it into")]
    NoPassBelow(String),
    /// A hidden pass would show, or be lost, by merging.
    #[error("show both passes first: what is hidden cannot be merged")]
    MergeHidden,
    /// The loaded swatch was taken off the board.
    #[error("the loaded swatch is no longer on the board: load another")]
    LoadedGone,
    /// No such pass.
    #[error("there is no pass \"{name}\"; there are: {passes}")]
    NoPass {
        /// The name that was asked for.
        name: String,
        /// The passes there are.
        passes: String,
    },
    /// A second pass of one name.
    #[error("there is a pass \"{0}\" already; choose another name")]
    SamePass(String),
    /// The only pass.
    #[error("a study keeps at least one pass; clear it instead of removing it")]
    LastPass,
    /// A board pass above the free pass.
    #[error("the free pass stays on top; choose a place below it")]
    FreeOnTop,
    /// A hidden pass.
    #[error("the pass \"{0}\" is hidden; show it, or select another, to paint")]
    PassHidden(String),
    /// A number out of range.
    #[error("{what} is {value}; give a number from {low} to {high}")]
    Range {
        /// The setting, in words.
        what: &'static str,
        /// Given.
        value: f32,
        /// Least.
        low: f32,
        /// Most.
        high: f32,
    },
    /// A part that the photo cannot be cropped to.
    #[error("the photo has {width_px} x {height_px} pixels; crop it to a part of that, at least {least} x {least}")]
    Crop {
        /// Width of the photo.
        width_px: u32,
        /// Its height.
        height_px: u32,
        /// Shortest side of a part.
        least: u32,
    },
    /// A rectangle that is no canvas.
    #[error(
        "this lies beside the canvas; crop or extend it to a part that has some of its {width_px} x {height_px} pixels"
    )]
    BesideCanvas {
        /// Width of the canvas.
        width_px: u32,
        /// Its height.
        height_px: u32,
    },
    /// A canvas that would reach behind what the photo shows.
    #[error(
        "the canvas lies aslant on the photo and cannot be extended that far; extend it less, or line it up with all of the photo first"
    )]
    TooFarAslant,
    /// A stint that is none.
    #[error("a stint of {minutes} minutes cannot be set; give 1 to {most} minutes, or none")]
    Stint {
        /// Given.
        minutes: u32,
        /// Most.
        most: u32,
    },
    /// The photo of a study that is painted from memory.
    #[error("the photo is shut, because this study is painted from memory; open it on purpose first")]
    PhotoShut,
    /// Opening it twice.
    #[error("the photo is open already")]
    PhotoOpen,
    /// Picking without a photo.
    #[error("this study has no reference; take in a photo first")]
    NoReference,
    /// No swatch is linked to the photo.
    #[error("no swatch of this board was picked from this photo; pick one first")]
    NothingPicked,
    /// No such board in the study.
    #[error("this study has no other board \"{name}\"; it has: {boards}")]
    NoBoard {
        /// The name that was asked for.
        name: String,
        /// The boards there are.
        boards: String,
    },
    /// A second board of one name.
    #[error("this study has a board \"{0}\" already; choose another name")]
    SameBoard(String),
    /// A board from elsewhere that is not sound.
    #[error("the board is not sound: {0}")]
    UnsoundBoard(#[from] BoardError),
    /// A white that is none.
    #[error("a light of chromaticity {0}, {1} cannot be; pick a spot that is neither black nor of one pure colour")]
    NotAWhite(f64, f64),
    /// No board can be proposed.
    #[error(transparent)]
    Propose(#[from] ProposeError),
    /// Giving paint to the swatch that is removed.
    #[error("the paint of a swatch cannot be given to the swatch itself; name another")]
    GiveToItself,
    /// A fill beside the canvas.
    #[error("there is no canvas at that place; fill an area on it")]
    NothingToFill,
    /// A load from an empty well.
    #[error("the well is empty; work swatches of the board into it first")]
    EmptyWell,
    /// The well takes no more.
    #[error(transparent)]
    Well(#[from] WellError),
    /// Nothing to undo.
    #[error("there is nothing to step back to")]
    NothingToUndo,
    /// Nothing to redo.
    #[error("there is nothing to step on to")]
    NothingToRedo,
    /// Paint where none may come.
    #[error("all of this lies in the protected part; put the area away, or paint on the other side of its edge")]
    Protected,
    /// An area where there is none.
    #[error("there is no protected area; outline one first")]
    NoArea,
    /// An outline that bounds no area.
    #[error(transparent)]
    Outline(#[from] OutlineError),
    /// Moving bare canvas.
    #[error("the pass \"{0}\" has no paint inside the outline; select the pass whose paint is to be moved")]
    NothingToMove(String),
    /// Something is being moved.
    #[error("the paint inside the outline is being moved; put it down first, or back")]
    Moving,
    /// A stroke is in the making.
    #[error("a stroke is being painted; finish it first")]
    Painting,
    /// The board refused.
    #[error(transparent)]
    Edit(#[from] EditError),
    /// A colour that is not one.
    #[error(transparent)]
    Hex(#[from] HexError),
    /// The paint table is full.
    #[error(transparent)]
    Paint(#[from] PaintError),
    /// A variation out of range.
    #[error(transparent)]
    Variation(#[from] VariationError),
    /// The board file cannot be read.
    #[error(transparent)]
    BoardFile(Box<BoardFileError>),
    /// The file gives no board.
    #[error(transparent)]
    BoardAny(Box<BoardAnyError>),
    /// It cannot be told what a file is.
    #[error(transparent)]
    Kind(Box<KindError>),
    /// A board, where a study, a photo or an exported picture is opened.
    #[error(
        "{} is a board, neither a study (.stint), a photo, nor a PNG exported by Stint; take it in from the board's panel",
        .0.display()
    )]
    NotToOpen(PathBuf),
    /// The picture shows no swatches.
    #[error(transparent)]
    Swatches(#[from] SwatchSheetError),
    /// The photo cannot be read.
    #[error(transparent)]
    Photo(Box<PhotoError>),
    /// The loupe refused.
    #[error(transparent)]
    Pick(#[from] PickError),
    /// The canvas cannot be lined up like that.
    #[error(transparent)]
    Framing(#[from] FramingError),
    /// The outlined region gives no trio.
    #[error(transparent)]
    Region(#[from] RegionError),
    /// The brush refused.
    #[error(transparent)]
    Brush(#[from] BrushError),
    /// The outline cannot be filled.
    #[error(transparent)]
    Mass(#[from] MassError),
    /// The canvas size is out of range.
    #[error(transparent)]
    Size(#[from] CanvasSizeError),
    /// The study file refused.
    #[error(transparent)]
    Study(Box<StudyError>),
    /// Steps that were shown could not be kept.
    #[error("{} could not be kept and {} taken back: {why}",
        if *steps == 1 { "the last step".to_owned() } else { format!("the last {steps} steps") },
        if *steps == 1 { "was" } else { "were" })]
    TakenBack {
        /// How many.
        steps: usize,
        /// Why it failed.
        why: Box<SessionError>,
    },
    /// The engine failed.
    #[error(transparent)]
    Engine(#[from] EngineError),
    /// A tile of the open study cannot be read.
    #[error("{0}; what was painted until now is kept")]
    Unreadable(String),
    /// The picture cannot be written or read.
    #[error(transparent)]
    Picture(Box<PictureError>),
    /// A fault of the program.
    #[error("a fault in Stint stopped this change ({0}); please report it")]
    Internal(String),
}

// Boxed, so that a `Result` of the common case stays small.
macro_rules! boxed {
    ($($variant:ident($error:ty)),*) => {
        $(impl From<$error> for SessionError {
            fn from(error: $error) -> Self {
                SessionError::$variant(Box::new(error))
            }
        })*
    };
}

boxed!(
    BoardAny(BoardAnyError),
    Kind(KindError),
    Study(StudyError),
    Photo(PhotoError),
    Picture(PictureError),
    BoardFile(BoardFileError)
);

impl From<FillError> for SessionError {
    fn from(error: FillError) -> Self {
        match error {
            FillError::Engine(error) => error.into(),
            FillError::Cancelled => SessionError::Internal(error.to_string()),
        }
    }
}
