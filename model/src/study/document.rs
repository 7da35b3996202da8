//! Everything a study is, apart from the paint on its canvas and the bytes of its photo.

use super::picked::Picked;
use super::protected::ProtectedArea;
use crate::board::Board;
use crate::colour::Colour;
use crate::ids::{PassId, SwatchId};
use crate::mixing::Mixing;
use crate::paint::PaintTable;
use crate::pass::Pass;
use crate::photo::{Adjustments, Framing};
use crate::well::Well;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Largest width and height of a canvas in pixels.
pub const CANVAS_LIMIT: u32 = 16384;

/// Longest stint, minutes: a day.
pub const STINT_LIMIT_MIN: u32 = 1440;

/// The bare canvas.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ground {
    /// Its name: "warm grey".
    pub name: String,
    /// Its colour, linear light.
    pub colour: Colour,
}

impl Default for Ground {
    fn default() -> Self {
        // A mid grey of L* 46 that leans a little warm: neither black nor white, so that the first mass can be judged.
        Ground { name: "warm grey".to_owned(), colour: Colour::new(0.165, 0.150, 0.135) }
    }
}

/// The photo a study is made from: the bytes lie in the study file, here is what is done to them.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reference {
    /// File name of the photo, without folders.
    pub name: String,
    /// Key of the stored bytes, as [`super::file::StudyFile`] hands it out.
    pub photo: i64,
    /// How it is looked at, and what part of it is used.
    pub adjustments: Adjustments,
    /// Which part of the photo the canvas shows; all of it when nothing was said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub framing: Option<Framing>,
}

/// One study without its tiles.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Document {
    /// Canvas width in pixels, 1 to [`CANVAS_LIMIT`].
    pub width: u32,
    /// Canvas height in pixels, 1 to [`CANVAS_LIMIT`].
    pub height: u32,
    /// The active board.
    pub board: Board,
    /// The paint table.
    pub paints: PaintTable,
    /// The passes, bottom first.
    pub passes: Vec<Pass>,
    /// The pass that is painted on.
    pub active_pass: PassId,
    /// The bare canvas.
    pub ground: Ground,
    /// How paints mix.
    pub mixing: Mixing,
    /// Whether free colour may be loaded.
    pub free_open: bool,
    /// The photo, if there is one.
    pub reference: Option<Reference>,
    /// Where swatches were picked from.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub picks: BTreeMap<SwatchId, Picked>,
    /// The study's other boards. Swatches of the same id are the same swatch on all of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub boards: Vec<Board>,
    /// How long the painter means to work on the study, minutes, 1 to [`STINT_LIMIT_MIN`]; none when it may take as long as it takes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stint_min: Option<u32>,
    /// Whether the photo is out of sight until the painter opens it: the study is painted from memory.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub photo_shut: bool,
    /// File name, without folders, of the study that this one paints again without its photo.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paints_again: Option<String>,
    /// What is in the well.
    #[serde(default, skip_serializing_if = "Well::is_empty")]
    pub well: Well,
    /// An area that is protected from paint on one side of its outline.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protected: Option<ProtectedArea>,
}

/// Why a canvas of some size cannot be made.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
#[error("a canvas of {width} x {height} px cannot be made: each side must be 1 to {CANVAS_LIMIT} px")]
pub struct CanvasSizeError {
    /// Width asked for.
    pub width: u32,
    /// Height asked for.
    pub height: u32,
}

impl Document {
    /// An empty study with one board pass named "Block-in".
    ///
    /// # Errors
    /// When a side is 0 or above [`CANVAS_LIMIT`].
    pub fn new(width: u32, height: u32, board: Board) -> Result<Self, CanvasSizeError> {
        let sides = 1..=CANVAS_LIMIT;
        if !sides.contains(&width) || !sides.contains(&height) {
            return Err(CanvasSizeError { width, height });
        }
        let pass = Pass::new(PassId(1), "Block-in", crate::pass::PassKind::Board);
        Ok(Document {
            width,
            height,
            board,
            paints: PaintTable::default(),
            active_pass: pass.id,
            passes: vec![pass],
            ground: Ground::default(),
            mixing: Mixing::default(),
            free_open: false,
            reference: None,
            picks: BTreeMap::new(),
            boards: Vec::new(),
            stint_min: None,
            photo_shut: false,
            paints_again: None,
            well: Well::default(),
            protected: None,
        })
    }

    /// The pass with this id.
    pub fn pass(&self, id: PassId) -> Option<&Pass> {
        self.passes.iter().find(|p| p.id == id)
    }
}
