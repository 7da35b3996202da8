//! Dabs into the mask.
//!
//! Within a stroke a dab draws each pixel towards the dab's own strength: `m += max(0, strength - m) * falloff`. Going over
//! the same place again softens the edge but never covers more than the stroke's strength.
#![expect(
    clippy::cast_possible_truncation,
    reason = "cover stays within 0-65535, and places are clipped to the canvas first"
)]

use super::path::Dab;
use super::{CanvasSize, Mask, MaskTile, Saved};
use crate::amount::{from_fraction, scale};
use multiversion::multiversion;
use std::collections::BTreeSet;
use std::ops::Range;
use stint_model::study::tile::{TILE_PIXELS, TILE_SIDE, TilePos};

/// Cover of a dab by distance from its centre: 1 up to `inner_px`, 0 from `outer_px`, a smooth step between. At least one
/// pixel wide, so that a hard brush has an anti-aliased edge.
#[derive(Clone, Copy, Debug)]
struct Falloff {
    /// Distance from which nothing is covered.
    outer_px: f32,
    /// One over the width of the step in pixels.
    inverse_width: f32,
    /// Cover inside, 0-1: below 1 only for dabs smaller than a pixel.
    peak: f32,
    /// Distance up to which all is covered, pixels; below 0 for dabs that are full nowhere.
    inner_px: f32,
}

impl Falloff {
    fn new(radius_px: f32, hardness: f32) -> Self {
        let inner = (radius_px * hardness).min(radius_px - 0.5);
        let outer = (inner + 1.0).max(radius_px);
        if inner < 0.0 {
            // Smaller than a pixel: a pixel-wide cone of the dab's area.
            let peak = (4.0 * radius_px * radius_px).min(1.0);
            return Falloff { outer_px: 1.0, inverse_width: 1.0, peak, inner_px: -1.0 };
        }
        Falloff { outer_px: outer, inverse_width: 1.0 / (outer - inner), peak: 1.0, inner_px: inner }
    }

    /// How far a row reaches to both sides where it is this far (squared) above or below the middle, and how far it is full; a pixel more
    /// and a pixel less than it is, so that rounding leaves no mark.
    fn reach(&self, dy2: f32) -> (f32, f32) {
        let half = |px: f32| (px * px - dy2).max(0.0).sqrt();
        let full = self.inner_px - 1.0;
        (half(self.outer_px) + 1.0, if full > 0.0 && full * full > dy2 { half(full) } else { -1.0 })
    }
}

/// Pixels worked on together.
const LANES: usize = 16;
/// How far right of the first each of them is, pixels.
const STEPS: [f32; LANES] = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0];

/// What a dab draws towards its strength in one row, all lengths in pixels: `dy2` is the row's squared distance from the dab's centre,
/// `cap` (0-65535) the cover at full strength.
#[derive(Clone, Copy)]
struct Row {
    dy2: f32,
    fall: Falloff,
    cap: u16,
}

impl Row {
    /// Draws some pixels, the first of them `first` right of where the row begins, which is `dx` right of the dab's centre. Gives what they
    /// rose by, or-ed.
    #[inline(always)]
    fn draw(&self, pixels: &mut [u16], dx: f32, first: usize) -> u32 {
        let Row { dy2, fall: Falloff { outer_px, inverse_width, peak, .. }, cap } = *self;
        // Most of what a dab lies on is as full as it can make it, by the dabs before.
        if pixels.iter().fold(u16::MAX, |least, m| least.min(*m)) >= cap {
            return 0;
        }
        let mut changed = 0;
        let first = first as f32;
        for (m, step) in pixels.iter_mut().zip(&STEPS) {
            let x = dx + (first + step);
            let distance = (x * x + dy2).sqrt();
            let t = (outer_px - distance) * inverse_width;
            // What `clamp` does beyond this for what is no number keeps it from being worked on together.
            let t = if t < 0.0 { 0.0 } else { t };
            let t = if t > 1.0 { 1.0 } else { t };
            let fall = t * t * (3.0 - 2.0 * t) * peak;
            // To the nearest whole number: beside 2^23 a number has no room for a fraction.
            let fall = (fall * 65535.0 + 8_388_608.0).to_bits() & 0x007f_ffff;
            let old = u32::from(*m);
            let rise = scale(u32::from(cap).saturating_sub(old), fall);
            changed |= rise;
            *m = (old + rise) as u16;
        }
        changed
    }
}

/// Covers pixels that a dab covers fully. Gives whether any changed.
#[inline(always)]
fn full(pixels: &mut [u16], cap: u16) -> bool {
    let mut least = cap;
    for m in pixels {
        least = least.min(*m);
        *m = (*m).max(cap);
    }
    least < cap
}

/// A part of a tile: its columns and rows, seen from the tile's corner.
struct Part {
    columns: Range<usize>,
    rows: Range<usize>,
}

/// Draws a dab's part of a tile; `middle` is the dab's centre seen from the tile's corner, pixels. Tells whether any pixel changed.
#[multiversion(targets("x86_64+avx2", "x86_64+sse4.1"))]
fn dab_part(tile: &mut [u16; TILE_PIXELS], part: &Part, middle: [f32; 2], fall: Falloff, cap: u16) -> bool {
    let (low, high) = (part.columns.start as f32, part.columns.end as f32);
    let dx = 0.5 - middle[0];
    let mut changed = 0;
    for y in part.rows.clone() {
        let dy = y as f32 + 0.5 - middle[1];
        let row = Row { dy2: dy * dy, fall, cap };
        let (reach, full_reach) = fall.reach(row.dy2);
        // Columns so far to both sides of the middle.
        let (from, end) = ((middle[0] - reach - 0.5).clamp(low, high), (middle[0] + reach - 0.5).clamp(low, high));
        let (from, end) = (from as usize, end.ceil() as usize);
        let inside = if full_reach < 0.0 {
            end..end
        } else {
            let start = (middle[0] - full_reach - 0.5).clamp(low, high).ceil() as usize;
            let stop = (middle[0] + full_reach - 0.5).clamp(low, high) as usize;
            let start = start.clamp(from, end);
            start..stop.clamp(start, end)
        };
        let line = &mut tile[y * TILE_SIDE as usize..][..TILE_SIDE as usize];
        changed |= u32::from(full(&mut line[inside.clone()], cap));
        for side in [from..inside.start, inside.end..end] {
            let mut first = side.start;
            let (chunks, rest) = line[side].as_chunks_mut::<LANES>();
            for chunk in chunks {
                changed |= row.draw(chunk, dx, first);
                first += LANES;
            }
            changed |= row.draw(rest, dx, first);
        }
    }
    changed != 0
}

impl Mask {
    /// Adds dabs of one hardness (0-1) and enters the tiles that they change into `touched`, and as they were before into `saved` where the
    /// dabs shall be taken back.
    pub fn add_dabs(
        &mut self,
        dabs: &[Dab],
        hardness: f32,
        touched: &mut BTreeSet<TilePos>,
        mut saved: Option<&mut Saved>,
    ) {
        for dab in dabs {
            self.add_dab(dab, hardness, touched, saved.as_deref_mut());
        }
    }

    fn add_dab(&mut self, dab: &Dab, hardness: f32, touched: &mut BTreeSet<TilePos>, mut saved: Option<&mut Saved>) {
        let cap = from_fraction(dab.strength);
        let fall = Falloff::new(dab.radius_px, hardness);
        let CanvasSize { width, height } = self.size;
        // Pixel i has its centre at i + 0.5.
        let span = |centre: f32, limit: u32| {
            let low = (centre - fall.outer_px - 0.5).ceil().max(0.0) as u32;
            let high = ((centre + fall.outer_px - 0.5).floor() + 1.0).max(0.0) as u32;
            low..high.min(limit)
        };
        let (columns, rows) = (span(dab.x_px, width), span(dab.y_px, height));
        if cap == 0 || columns.is_empty() || rows.is_empty() {
            return;
        }
        for row in rows.start / TILE_SIDE..=(rows.end - 1) / TILE_SIDE {
            for column in columns.start / TILE_SIDE..=(columns.end - 1) / TILE_SIDE {
                let pos = TilePos { column: column as u16, row: row as u16 };
                if let Some(saved) = &mut saved {
                    saved.entry(pos).or_insert_with(|| self.tiles.get(&pos).cloned());
                }
                let bare = !self.tiles.contains_key(&pos);
                let tile = self.tiles.entry(pos).or_insert(MaskTile::Even(0)).pixels_mut();
                let (left, top) = (column * TILE_SIDE, row * TILE_SIDE);
                let within = |range: &Range<u32>, edge: u32| {
                    let part = range.start.max(edge)..range.end.min(edge + TILE_SIDE);
                    (part.start - edge) as usize..(part.end - edge) as usize
                };
                let part = Part { columns: within(&columns, left), rows: within(&rows, top) };
                let middle = [dab.x_px - left as f32, dab.y_px - top as f32];
                let changed = dab_part(tile, &part, middle, fall, cap);
                if changed {
                    touched.insert(pos);
                } else if bare {
                    self.tiles.remove(&pos);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mask_of(dabs: &[Dab], hardness: f32) -> Mask {
        let mut mask = Mask::new(CanvasSize { width: 300, height: 200 });
        mask.add_dabs(dabs, hardness, &mut BTreeSet::new(), None);
        mask
    }

    fn cover_px(mask: &Mask) -> f64 {
        let all = (0..200).flat_map(|y| (0..300).map(move |x| (x, y)));
        all.map(|(x, y)| f64::from(mask.at(x, y)) / 65535.0).sum()
    }

    #[test]
    fn a_hard_dab_covers_the_area_of_its_circle() {
        for radius in [3.0_f32, 10.25, 60.0] {
            let mask = mask_of(&[Dab { x_px: 128.3, y_px: 100.7, radius_px: radius, strength: 1.0 }], 1.0);
            let circle = std::f64::consts::PI * f64::from(radius).powi(2);
            assert!((cover_px(&mask) - circle).abs() < circle * 0.01, "radius {radius}: {} {circle}", cover_px(&mask));
        }
    }

    /// Rows are drawn in parts, the full one at once: the same to the unit as every pixel of the square around the dab by the formula.
    #[test]
    fn parts_of_a_row_are_what_the_formula_gives() {
        for (radius_px, hardness, x_px, y_px) in [
            (80.0, 0.7, 150.3, 99.6),
            (80.0, 1.0, 10.0, 100.0),
            (33.3, 0.0, 128.0, 64.5),
            (2.2, 0.9, 60.0, 60.0),
            (0.3, 0.5, 9.4, 9.9),
        ] {
            let first = Dab { x_px, y_px, radius_px, strength: 0.4 };
            let dabs = [first, Dab { x_px: x_px + 7.7, strength: 0.9, ..first }];
            let mask = mask_of(&dabs, hardness);
            let fall = Falloff::new(radius_px, hardness);
            for (x, y) in (0..200).flat_map(|y| (0..300).map(move |x| (x, y))) {
                let mut wanted = [0];
                for dab in dabs {
                    // Places are seen from the corner of their tile.
                    let ([left, top], [column, row]) =
                        ([x, y].map(|at| at / TILE_SIDE * TILE_SIDE), [x, y].map(|at| at % TILE_SIDE));
                    let dy = row as f32 + 0.5 - (dab.y_px - top as f32);
                    let cap = from_fraction(dab.strength);
                    Row { dy2: dy * dy, fall, cap }.draw(&mut wanted, 0.5 - (dab.x_px - left as f32), column as usize);
                }
                assert_eq!(mask.at(x, y), wanted[0], "radius {radius_px} at {x} {y}");
            }
        }
    }

    #[test]
    fn strength_caps_and_the_canvas_clips() {
        let dab = Dab { x_px: 299.0, y_px: 199.0, radius_px: 40.0, strength: 0.5 };
        let mask = mask_of(&[dab; 20], 0.2);
        let cap = from_fraction(0.5);
        assert_eq!(mask.at(299, 199), cap);
        for (&pos, tile) in &mask.tiles {
            let (w, h) = mask.size.tile_extent(pos);
            for i in 0..128 * 128u32 {
                let value = tile.at(i as usize);
                assert!(value <= cap);
                assert!(value == 0 || (i % 128 < w && i / 128 < h), "outside the canvas at {pos:?} {i}");
            }
        }
    }
}
