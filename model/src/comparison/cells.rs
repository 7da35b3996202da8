//! Painting and photo on one grid of cells, so that like is compared with like.

use crate::colour::Colour;
use crate::photo::{Blocks, Framing, View};
use rayon::prelude::*;

/// Below this opacity the photo shows nothing that could be compared.
const OPAQUE: f32 = 0.5;
/// Each cell of the photo is the mean of this many places across and down.
const PLACES: u32 = 2;

/// The painting as it shows, cell by cell, row by row.
#[derive(Clone, PartialEq, Debug)]
pub struct PaintedCells {
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// What is seen.
    pub colours: Vec<Colour>,
    /// Whether paint covers at least half of the cell; what is bare is not judged.
    pub painted: Vec<bool>,
    /// The family of the board, by its place on it, that has most paint there.
    pub families: Vec<Option<u16>>,
}

/// The photo as it is seen, on the same grid; none where the canvas goes beyond the photo, or it is transparent.
#[derive(Clone, PartialEq, Debug)]
pub struct PhotoCells {
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// What is seen.
    pub colours: Vec<Option<Colour>>,
}

impl PhotoCells {
    #[expect(clippy::cast_possible_truncation, reason = "cells of a grid, and blocks held to those there are")]
    /// Lays a photo, or the part of it that is used, reduced to blocks, under a canvas of this many cells.
    pub fn new(blocks: &Blocks, view: &View<'_>, framing: &Framing, (width, height): (u32, u32)) -> Self {
        let (across, down, seen) = blocks.colours(view);
        let part = blocks.rect();
        let [left, top, wide, high] = [part.x, part.y, part.width_px, part.height_px].map(f64::from);
        let block = |[x, y]: [f64; 2]| -> Option<(Colour, f32)> {
            let place = |at: f64, size: f64, blocks: u32| {
                (0.0..size).contains(&at).then(|| ((at / size * f64::from(blocks)) as u32).min(blocks - 1))
            };
            let (column, row) = (place(x - left, wide, across)?, place(y - top, high, down)?);
            Some(seen[(row * across + column) as usize])
        };
        let cell = |column: u32, row: u32| -> Option<Colour> {
            let part =
                |i: u32, of: u32, n: u32| (f64::from(i) + (f64::from(n) + 0.5) / f64::from(PLACES)) / f64::from(of);
            let places = (0..PLACES * PLACES).map(|n| [part(column, width, n % PLACES), part(row, height, n / PLACES)]);
            let (mut sum, mut weight, mut count) = ([0.0; 3], 0.0, 0.0);
            for place in framing.photo_places(places) {
                let (colour, alpha) = block(place)?;
                let parts = [colour.r, colour.g, colour.b];
                (0..3).for_each(|i| sum[i] += parts[i] * alpha);
                weight += alpha;
                count += 1.0;
            }
            (weight >= OPAQUE * count).then(|| Colour::new(sum[0] / weight, sum[1] / weight, sum[2] / weight))
        };
        let mut colours = vec![None; width as usize * height as usize];
        colours.par_chunks_mut(width.max(1) as usize).enumerate().for_each(|(row, line)| {
            line.iter_mut().zip(0_u32..).for_each(|(colour, column)| *colour = cell(column, row as u32));
        });
        PhotoCells { width, height, colours }
    }
}
