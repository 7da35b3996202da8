//! Any picture tested against a board: what share of it could have been mixed from the board?
//!
//! A picture that is no study has no paints to count. Its pixels are held against everything the board can mix, the convex
//! hull of the swatches in the space of a mixing model, and count as the board's when that comes within a chosen CIEDE2000.

mod areas;
mod distinct;
pub mod hull;
mod metric;
mod mixtures;
mod pigments;
pub mod reach;

use crate::board::Board;
use crate::colour::Colour;
use crate::colour::deviation::chief_faults;
use crate::mixing::Mixing;
use crate::photo::{PixelRect, View};
use areas::{Cell, areas};
use distinct::{DistinctColours, Gathering, key};
use hull::Corners;
use mixtures::Mixtures;
use rayon::prelude::*;
use serde::Serialize;

/// CIEDE2000 within which a pixel counts as the board's, unless another is asked for. About 1 is just visible side by side;
/// 3 is a difference that is found when looked for and forgiven in paint (common practice, no published source), and more
/// than 8 bits and a careful JPEG put in.
pub const WITHIN_CIEDE2000: f64 = 3.0;
/// Largest tolerance that means anything: black and white are 100 apart.
pub const MAX_WITHIN_CIEDE2000: f64 = 100.0;
/// Most areas that are listed.
pub const MAX_AREAS: usize = 8;

/// Below this opacity a pixel is not counted.
const MIN_ALPHA: f32 = 0.5;
/// Areas below this share of the picture are not listed.
const MIN_AREA_SHARE: f64 = 1e-4;
/// Cells along the longer side of the grid in which areas are looked for.
const CELLS: u32 = 256;
/// Rows a task takes at a time while colours are collected.
const BAND_ROWS: u32 = 64;
/// Colours a task measures; each starts where the one before it ended.
const COLOURS_PER_TASK: usize = 2048;

/// Why a picture was not tested.
#[derive(Clone, Copy, PartialEq, Debug, thiserror::Error)]
pub enum BoardMatchError {
    /// Nothing to mix from.
    #[error("the board has no swatches; test against a board that has some")]
    EmptyBoard,
    /// Nothing to see.
    #[error("the picture is transparent everywhere; choose one with something on it")]
    Transparent,
    /// A tolerance that is none.
    #[error("a difference of {0} is not possible; choose a CIEDE2000 from 0 to 100, such as 3")]
    Within(f64),
}

/// One area that is off the board.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Area {
    /// First column of the smallest rectangle around it.
    #[serde(rename = "x")]
    pub x_px: u32,
    /// First row of that rectangle.
    #[serde(rename = "y")]
    pub y_px: u32,
    /// Its columns.
    #[serde(rename = "width")]
    pub width_px: u32,
    /// Its rows.
    #[serde(rename = "height")]
    pub height_px: u32,
    /// Its pixels as a fraction of those that were tested, 0-1.
    pub share_of_picture: f64,
    /// Mean CIEDE2000 of its pixels from the board's nearest mixtures.
    #[serde(rename = "mean_de")]
    pub mean_ciede2000: f64,
    /// Its mean colour, `#rrggbb`.
    pub hex: String,
    /// The board's mixture nearest to that, `#rrggbb`.
    pub nearest_hex: String,
    /// How it is off from that, see [`chief_faults`]: "too warm, too strong".
    pub off: String,
    /// The families that mixture is made of, largest part first.
    pub families: Vec<String>,
}

/// What came of the test.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct BoardMatch {
    /// Width of the picture.
    #[serde(rename = "width")]
    pub width_px: u32,
    /// Height of the picture.
    #[serde(rename = "height")]
    pub height_px: u32,
    /// Opaque pixels: those that were tested.
    pub pixels: u64,
    /// CIEDE2000 within which a pixel counts as the board's.
    #[serde(rename = "within")]
    pub within_ciede2000: f64,
    /// Share of the tested pixels that do, 0-1.
    pub share: f64,
    /// Mean CIEDE2000 of all tested pixels from the board's nearest mixtures.
    #[serde(rename = "mean_de")]
    pub mean_ciede2000: f64,
    /// The areas that are off by most (size times difference), worst first.
    pub worst: Vec<Area>,
}

/// Where pixels come from.
pub trait Pixels: Sync {
    /// Width and height.
    fn size(&self) -> (u32, u32);
    /// Colours and opacities of some rows, row by row. All lie inside.
    fn rows(&self, first: u32, count: u32) -> (Vec<Colour>, Vec<f32>);
}

impl Pixels for View<'_> {
    fn size(&self) -> (u32, u32) {
        (self.photo().width_px(), self.photo().height_px())
    }

    fn rows(&self, first: u32, count: u32) -> (Vec<Colour>, Vec<f32>) {
        let block = self.block(PixelRect { x: 0, y: first, width_px: self.size().0, height_px: count });
        (block.colours, block.alpha)
    }
}

/// An opaque picture in memory, row by row.
#[derive(Clone, Copy, Debug)]
pub struct PixelRows<'a> {
    width_px: u32,
    colours: &'a [Colour],
}

impl<'a> PixelRows<'a> {
    /// A picture of these columns; colours beyond the last whole row are left out. Without columns the picture is empty.
    pub fn new(width_px: u32, colours: &'a [Colour]) -> Self {
        PixelRows { width_px, colours }
    }
}

impl Pixels for PixelRows<'_> {
    #[expect(clippy::cast_possible_truncation, reason = "a picture has fewer than 2^32 rows")]
    fn size(&self) -> (u32, u32) {
        (self.width_px, self.colours.len().checked_div(self.width_px as usize).unwrap_or(0) as u32)
    }

    fn rows(&self, first: u32, count: u32) -> (Vec<Colour>, Vec<f32>) {
        let width = self.width_px as usize;
        let colours = self.colours[first as usize * width..(first + count) as usize * width].to_vec();
        let alpha = vec![1.0; colours.len()];
        (colours, alpha)
    }
}

/// Tests a picture against what a board can mix. `within` is a CIEDE2000 from 0 to 100. The same picture gives the same bits
/// with any number of threads.
///
/// # Errors
/// When the board is empty, the picture transparent, or the tolerance none.
pub fn match_board(
    picture: &impl Pixels,
    board: &Board,
    mixing: Mixing,
    within: f64,
) -> Result<BoardMatch, BoardMatchError> {
    if !(0.0..=MAX_WITHIN_CIEDE2000).contains(&within) {
        return Err(BoardMatchError::Within(within));
    }
    if board.swatches().next().is_none() {
        return Err(BoardMatchError::EmptyBoard);
    }
    let mixtures = Mixtures::new(board, mixing);
    let (width, height) = picture.size();
    let distinct = colours_of(picture);
    let differences = measure(&mixtures, &distinct, within);

    let side = width.max(height).div_ceil(CELLS).max(1);
    let columns = width.div_ceil(side) as usize;
    let bands: Vec<Band> = (0..height.div_ceil(side))
        .into_par_iter()
        .map(|row| Band::new(picture, row * side, side, columns, &distinct, &differences, within))
        .collect();
    let (mut pixels, mut off, mut difference) = (0, 0, 0.0);
    let mut cells = Vec::with_capacity(columns * bands.len());
    for band in bands {
        pixels += band.pixels;
        off += band.cells.iter().map(|c| c.off).sum::<u64>();
        difference += band.difference;
        cells.extend(band.cells);
    }
    if pixels == 0 {
        return Err(BoardMatchError::Transparent);
    }
    let found = areas(&cells, columns);
    let large = found.iter().filter(|a| a.off as f64 >= MIN_AREA_SHARE * pixels as f64).take(MAX_AREAS);
    Ok(BoardMatch {
        width_px: width,
        height_px: height,
        pixels,
        within_ciede2000: within,
        share: (pixels - off) as f64 / pixels as f64,
        mean_ciede2000: difference / pixels as f64,
        worst: large.filter_map(|a| described(a, &mixtures, pixels, within)).collect(),
    })
}

/// All colours of the opaque pixels, each once.
fn colours_of(picture: &impl Pixels) -> DistinctColours {
    let (_, height) = picture.size();
    let gathering = Gathering::new();
    (0..height.div_ceil(BAND_ROWS)).into_par_iter().for_each(|band| {
        let first = band * BAND_ROWS;
        let (colours, alpha) = picture.rows(first, BAND_ROWS.min(height - first));
        let mut last = None;
        for (colour, _) in colours.iter().zip(&alpha).filter(|(_, a)| **a >= MIN_ALPHA) {
            let key = key(*colour);
            if last != Some(key) {
                gathering.add(key);
                last = Some(key);
            }
        }
    });
    gathering.finish()
}

/// CIEDE2000 of each colour of the list from the board's nearest mixture.
#[expect(clippy::cast_possible_truncation, reason = "a difference in single precision")]
fn measure(mixtures: &Mixtures<'_>, distinct: &DistinctColours, within: f64) -> Vec<f32> {
    let mut differences = vec![0.0; distinct.colours.len()];
    differences.par_chunks_mut(COLOURS_PER_TASK).zip(distinct.colours.par_chunks(COLOURS_PER_TASK)).for_each(
        |(differences, colours)| {
            let mut start = Corners::default();
            for (difference, colour) in differences.iter_mut().zip(colours) {
                if let Some(found) = mixtures.nearest(*colour, within, start) {
                    *difference = found.ciede2000 as f32;
                    start = found.corners;
                }
            }
        },
    );
    differences
}

/// One row of cells.
struct Band {
    /// Opaque pixels.
    pixels: u64,
    /// Sum of their CIEDE2000.
    difference: f64,
    cells: Vec<Cell>,
}

impl Band {
    fn new(
        picture: &impl Pixels,
        first: u32,
        side: u32,
        columns: usize,
        distinct: &DistinctColours,
        differences: &[f32],
        within: f64,
    ) -> Self {
        let (width, height) = picture.size();
        let (colours, alpha) = picture.rows(first, side.min(height - first));
        let mut band = Band { pixels: 0, difference: 0.0, cells: vec![Cell::default(); columns] };
        for (i, (&colour, _)) in colours.iter().zip(&alpha).enumerate().filter(|(_, (_, a))| **a >= MIN_ALPHA) {
            let difference = f64::from(differences[distinct.place(key(colour))]);
            band.pixels += 1;
            band.difference += difference;
            if difference > within {
                #[expect(clippy::cast_possible_truncation, reason = "a band has far fewer than 2^32 pixels")]
                let (x, y) = (i as u32 % width, first + i as u32 / width);
                band.cells[(x / side) as usize].add(colour, difference, [x, y]);
            }
        }
        band
    }
}

fn described(area: &Cell, mixtures: &Mixtures<'_>, pixels: u64, within: f64) -> Option<Area> {
    let colour = area.colour();
    let nearest = mixtures.nearest(colour, within, Corners::default())?;
    Some(Area {
        x_px: area.from[0],
        y_px: area.from[1],
        width_px: area.to[0] - area.from[0] + 1,
        height_px: area.to[1] - area.from[1] + 1,
        share_of_picture: area.off as f64 / pixels as f64,
        mean_ciede2000: area.difference / area.off as f64,
        hex: colour.hex(),
        nearest_hex: nearest.colour.hex(),
        off: chief_faults(colour, nearest.colour),
        families: mixtures.families(&nearest.corners),
    })
}

#[cfg(test)]
mod tests;
