//! Blurring in place: pixels exchange paint with their neighbours, near ones first and then ever farther ones, along rows and along
//! columns. Steps of 1, 2, 4 … pixels with a quarter of the paint each make up a triangle without gaps at any width, so that no
//! bands show; the last step is as strong as the width needs it.
//!
//! Two pixels exchange as much as the weaker cover of the two lets them, so what one gives the other takes: over the canvas no paint gains or
//! loses but by rounding, and a covered canvas stays covered.

use super::rect::Rect;
use crate::amount::FULL;
use crate::canvas::pair_sums::PairSums;
use crate::canvas::worked::pixel_of;
use crate::mask::Mask;
use crate::paints::PaintLut;
use crate::pixel::Pixel;
use stint_model::study::tile::{MAX_PLANES, Plane, TILE_SIDE, TilePos};

/// Farthest that paint is carried along a row or a column, all steps together: less than a tile.
const MOST_STEPS: u32 = 7;
/// The largest radius that these steps reach, pixels.
const LARGEST_RADIUS_PX: f32 = 104.0;

/// One exchange with the pixels so far away on both sides.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Step {
    distance: usize,
    /// Part of a quarter, 0-65535.
    strength: u64,
}

/// The steps whose blur has the standard deviation of an even disc of this radius along each axis, half the radius: steps of a quarter at a
/// distance d add d²/2 to the variance.
#[expect(clippy::cast_possible_truncation, reason = "a part of 65535")]
fn steps(radius_px: f32) -> Vec<Step> {
    let mut wanted = f64::from(radius_px.clamp(1.0, LARGEST_RADIUS_PX) / 2.0).powi(2);
    let mut steps = Vec::new();
    for i in 0..MOST_STEPS {
        let distance = 1 << i;
        let whole = (distance * distance) as f64 / 2.0;
        let part = (wanted / whole).min(1.0);
        steps.push(Step { distance, strength: (part * f64::from(FULL)) as u64 });
        wanted -= whole;
        if wanted <= 0.0 {
            break;
        }
    }
    steps
}

/// The way an exchange goes.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Axis {
    Row,
    Column,
}

/// A blur, as the exchanges it is made of.
#[derive(Clone, PartialEq, Debug)]
pub struct Blur {
    steps: Vec<Step>,
}

impl Blur {
    /// One that is as wide as an even disc of this radius.
    pub fn new(radius_px: f32) -> Self {
        Blur { steps: steps(radius_px) }
    }

    /// How far a pixel's paint comes along each axis, pixels.
    #[expect(clippy::cast_possible_truncation, reason = "less than a tile")]
    pub fn reach(&self) -> u32 {
        self.steps.iter().map(|step| step.distance as u32).sum()
    }

    /// The pixels of a part of one tile as they are blurred through the mask, with their places in the tile. It depends on what lies within
    /// [`Blur::reach`] of the part; `planes` gives the tiles there.
    #[expect(clippy::cast_possible_truncation, reason = "a place in a tile")]
    pub fn of_part<'a>(
        &self,
        part: Rect,
        planes: impl Fn(TilePos) -> Option<&'a [Plane]>,
        mask: &Mask,
        paints: &PaintLut,
    ) -> Vec<(u16, Pixel)> {
        let mut around = Around::new(part.grown(self.reach(), mask.size), planes, mask);
        let mut changes = Vec::new();
        for step in &self.steps {
            for axis in [Axis::Row, Axis::Column] {
                around.exchange(*step, axis, &mut changes, paints);
            }
        }
        let pixels = (part.top..part.bottom).flat_map(|y| (part.left..part.right).map(move |x| (x, y)));
        let place = |x: u32, y: u32| (y % TILE_SIDE * TILE_SIDE + x % TILE_SIDE) as u16;
        pixels.map(|(x, y)| (place(x, y), around.pixels[around.index(x, y)])).collect()
    }
}

/// A rectangle of the canvas pixel by pixel, with its cover. Where nothing is covered the pixels are left out.
struct Around {
    rect: Rect,
    width: usize,
    height: usize,
    pixels: Vec<Pixel>,
    cover: Vec<u16>,
}

impl Around {
    fn new<'a>(rect: Rect, planes: impl Fn(TilePos) -> Option<&'a [Plane]>, mask: &Mask) -> Self {
        let (width, height) = rect.extent();
        let (pixels, cover) = (vec![[0; MAX_PLANES]; width * height], vec![0; width * height]);
        let mut around = Around { rect, width, height, pixels, cover };
        for pos in rect.tiles() {
            let (Some(covered), Some(part)) = (mask.tiles.get(&pos), rect.common(Rect::of_tile(pos, mask.size))) else {
                continue;
            };
            let planes = planes(pos).unwrap_or(&[]);
            for y in part.top..part.bottom {
                let row = around.index(part.left, y);
                for (i, x) in (row..).zip(part.left..part.right) {
                    let index = (y % TILE_SIDE * TILE_SIDE + x % TILE_SIDE) as usize;
                    around.cover[i] = covered.at(index);
                    around.pixels[i] = pixel_of(planes, index);
                }
            }
        }
        around
    }

    fn index(&self, x: u32, y: u32) -> usize {
        (y - self.rect.top) as usize * self.width + (x - self.rect.left) as usize
    }

    /// One exchange of every pixel; `changes` is room for those that change.
    fn exchange(&mut self, step: Step, axis: Axis, changes: &mut Vec<(usize, Pixel)>, paints: &PaintLut) {
        let whole = 4 * u64::from(FULL) * u64::from(FULL);
        let stride = match axis {
            Axis::Row => 1,
            Axis::Column => self.width,
        };
        let away = step.distance * stride;
        let mut sums = PairSums::default();
        changes.clear();
        for (y, row) in self.cover.chunks_exact(self.width).enumerate() {
            for (x, &cover) in row.iter().enumerate() {
                if cover == 0 {
                    continue;
                }
                let i = y * self.width + x;
                let (place, length) = match axis {
                    Axis::Row => (x, self.width),
                    Axis::Column => (y, self.height),
                };
                let back = (place >= step.distance).then(|| i - away);
                let on = (place + step.distance < length).then(|| i + away);
                let own = &self.pixels[i];
                let partners = [back, on].map(|other| other.filter(|&at| self.cover[at] > 0));
                // In a mass nothing changes.
                if partners.iter().flatten().all(|&at| self.pixels[at] == *own) {
                    continue;
                }
                sums.clear();
                let mut kept = whole;
                for at in partners.into_iter().flatten() {
                    let weight = u64::from(cover.min(self.cover[at])) * step.strength;
                    kept -= weight;
                    for &pair in self.pixels[at].iter().take_while(|&&pair| pair != 0) {
                        sums.add(pair, weight);
                    }
                }
                for &pair in own.iter().take_while(|&&pair| pair != 0) {
                    sums.add(pair, kept);
                }
                changes.push((i, sums.pixel(whole, paints)));
            }
        }
        for &(i, pixel) in changes.iter() {
            self.pixels[i] = pixel;
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::mask::{CanvasSize, MaskTile};
    use crate::pixel::amount_of;
    use std::collections::BTreeMap;

    /// What a single full pixel in the middle becomes along its row, parts of the whole, summed over columns.
    fn spread(radius_px: f32) -> Vec<f64> {
        let size = CanvasSize { width: 384, height: 384 };
        let mut mask = Mask::new(size);
        mask.tiles.extend(size.tiles().map(|pos| (pos, MaskTile::Even(u16::MAX))));
        // A bar of paint 1 one pixel wide on paint 2, so that nothing is lost to rounding.
        let one = |pos: TilePos| {
            vec![Plane::from_fn(|i| if pos.column == 1 && i % 128 == 64 { 1 << 16 | 65535 } else { 2 << 16 | 65535 })]
        };
        let tiles: BTreeMap<TilePos, Vec<Plane>> = size.tiles().map(|pos| (pos, one(pos))).collect();
        let (blur, paints) = (Blur::new(radius_px), PaintLut::for_tests(4, |_| false));
        let of_column = |column: u16| {
            let part = Rect::of_tile(TilePos { column, row: 1 }, size);
            let planes = |pos: TilePos| tiles.get(&pos).map(|planes| &planes[..]);
            let pixels = blur.of_part(part, planes, &mask, &paints);
            assert_eq!(pixels[64 * 128].0, 64 * 128);
            pixels[64 * 128..][..128].to_vec()
        };
        let of_first = |(_, pixel): (u16, Pixel)| -> f64 {
            pixel.iter().filter(|&&pair| pair >> 16 == 1).map(|&pair| f64::from(amount_of(pair)) / 65535.0).sum()
        };
        (0..3).flat_map(of_column).map(of_first).collect()
    }

    /// At any radius a line becomes one hill: it falls to both sides without a gap or a second top, and is as wide as a disc of the radius.
    #[test]
    fn no_bands_at_any_radius() {
        for radius_px in [1.0, 3.0, 8.0, 12.5, 20.0, 37.0, 60.0, 90.0, 104.0] {
            let line = spread(radius_px);
            let sum: f64 = line.iter().sum();
            assert!((sum - 1.0).abs() < 0.01, "{radius_px}: {sum}");
            for i in 193..384 {
                // Each amount is rounded fourteen times, to 1/65535.
                assert!(line[i] <= line[i - 1] + 2.5e-4, "{radius_px} px: {} after {} at {i}", line[i], line[i - 1]);
            }
            let variance: f64 = line.iter().enumerate().map(|(i, v)| v * (i as f64 - 192.0).powi(2)).sum::<f64>() / sum;
            let wanted = f64::from(radius_px) / 2.0;
            assert!(
                (variance.sqrt() / wanted - 1.0).abs() < 0.06,
                "{radius_px} px: {} wanted {wanted}",
                variance.sqrt()
            );
        }
    }

    #[test]
    fn steps_grow_until_the_width_is_reached() {
        let distances = |radius_px| steps(radius_px).iter().map(|s| s.distance).collect::<Vec<_>>();
        assert_eq!(distances(1.0), [1]);
        assert_eq!(distances(8.0), [1, 2, 4, 8]);
        let reach = Blur::new(LARGEST_RADIUS_PX).reach();
        assert!(reach < TILE_SIDE, "{reach}");
    }
}
