//! The photo as it is looked at: softened, then lightened, steepened and turned, and only where someone looks.

use super::adjustments::{Adjustments, PixelRect};
use super::colour_change::ColourChange;
use super::open::Photo;
use super::soften::Kernel;
use crate::colour::Colour;
use rayon::prelude::*;

/// Rows that one task of a parallel read takes on.
const BAND_ROWS: u32 = 32;
/// Points that one task of a parallel look-up takes on.
const POINTS_PER_TASK: usize = 256;
/// Below this opacity a pixel has no colour of its own to speak of, and its stored one is shown.
const TRANSPARENT_ALPHA: f32 = 1e-6;

/// A rectangle of seen pixels.
#[derive(Clone, PartialEq, Debug)]
pub struct Block {
    /// The pixels it covers: what was asked, clipped to the photo.
    pub rect: PixelRect,
    /// Straight colours, row by row.
    pub colours: Vec<Colour>,
    /// Opacity of each pixel, 0-1.
    pub alpha: Vec<f32>,
}

/// A photo under adjustments. Softening is a Gaussian integrated over each pixel, in linear light, with the edges of
/// the photo repeated outwards (see [`super::soften`]); the colour is then changed by itself ([`ColourChange`]) without
/// bringing the result into any gamut. Values outside the ranges of [`Adjustments`] are brought to the nearest allowed one.
/// A crop says what part is used; pixels keep the numbers they have on the whole photo.
#[derive(Clone, Debug)]
pub struct View<'a> {
    photo: &'a Photo,
    kernel: Option<Kernel>,
    sigma_px: f32,
    change: ColourChange,
    part: PixelRect,
}

impl Photo {
    /// The photo under these adjustments. Costs nothing; work is done where the view is asked.
    pub fn view(&self, adjustments: Adjustments) -> View<'_> {
        View::new(self, adjustments)
    }
}

impl<'a> View<'a> {
    fn new(photo: &'a Photo, adjustments: Adjustments) -> Self {
        let kernel = Kernel::new(adjustments.soften_px);
        let sigma_px = if kernel.is_some() { adjustments.soften_px } else { 0.0 };
        let part = adjustments.part_of(photo.width_px(), photo.height_px());
        View { photo, kernel, sigma_px, change: ColourChange::new(adjustments), part }
    }

    /// The photo that is looked at.
    pub fn photo(&self) -> &'a Photo {
        self.photo
    }

    /// Standard deviation of the softening in photo pixels; 0 for none.
    pub(super) fn sigma_px(&self) -> f32 {
        self.sigma_px
    }

    /// What is done to each colour.
    pub(super) fn change(&self) -> ColourChange {
        self.change
    }

    /// The part that is used: what the photo is cropped to, or all of it.
    pub fn part(&self) -> PixelRect {
        self.part
    }

    /// The colour of one pixel; coordinates beyond the photo give its nearest edge pixel.
    pub fn colour(&self, x: u32, y: u32) -> Colour {
        self.pixel(x.min(self.photo.width_px() - 1), y.min(self.photo.height_px() - 1)).0
    }

    /// The colours of a rectangle, row by row, of the part that lies inside the photo. Works in parallel.
    pub fn region(&self, rect: PixelRect) -> Vec<Colour> {
        self.block(rect).colours
    }

    /// The same as [`View::region`], with opacities and with the rectangle that was left after clipping.
    #[expect(clippy::cast_possible_truncation, reason = "a photo has fewer than 2^32 pixels a side")]
    pub fn block(&self, rect: PixelRect) -> Block {
        let (x, y) = (rect.x.min(self.photo.width_px()), rect.y.min(self.photo.height_px()));
        let nothing = PixelRect { x, y, width_px: 0, height_px: 0 };
        let rect = rect.within(self.photo.width_px(), self.photo.height_px()).unwrap_or(nothing);
        let row = rect.width_px as usize;
        let size = row * rect.height_px as usize;
        let mut block = Block { rect, colours: vec![Colour::default(); size], alpha: vec![0.0; size] };
        if size > 0 {
            let band = row * BAND_ROWS as usize;
            let bands = block.colours.par_chunks_mut(band).zip(block.alpha.par_chunks_mut(band)).enumerate();
            bands.for_each(|(i, (colours, alpha))| {
                let first = y + i as u32 * BAND_ROWS;
                let height_px = (colours.len() / row) as u32;
                let part = PixelRect { y: first, height_px, ..rect };
                self.band(part, colours, alpha);
            });
        }
        block
    }

    /// Colours and opacities at scattered pixels, in the given order. All must lie inside the photo. Works in parallel.
    pub(crate) fn at(&self, points: &[[u32; 2]]) -> Vec<(Colour, f32)> {
        let mut seen = vec![(Colour::default(), 0.0); points.len()];
        seen.par_chunks_mut(POINTS_PER_TASK).zip(points.par_chunks(POINTS_PER_TASK)).for_each(|(seen, points)| {
            for (seen, &[x, y]) in seen.iter_mut().zip(points) {
                *seen = self.pixel(x, y);
            }
        });
        seen
    }

    fn pixel(&self, x: u32, y: u32) -> (Colour, f32) {
        let (mut colour, mut alpha) = ([Colour::default()], [0.0]);
        self.band(PixelRect { x, y, width_px: 1, height_px: 1 }, &mut colour, &mut alpha);
        (colour[0], alpha[0])
    }

    /// Fills one rectangle that lies inside the photo, in the calling thread.
    #[expect(clippy::cast_possible_truncation, reason = "a photo has fewer than 2^32 pixels a side")]
    fn band(&self, rect: PixelRect, colours: &mut [Colour], alpha: &mut [f32]) {
        let width = rect.width_px as usize;
        let mut straight = vec![[0.0; 4]; width];
        let softened =
            self.kernel.as_ref().map(|kernel| kernel.inside(&self.padded(rect, kernel), padded_width(rect, kernel)));
        for (i, (colours, alpha)) in colours.chunks_mut(width).zip(alpha.chunks_mut(width)).enumerate() {
            // Stored pixels are needed as they are, or where softening left nothing opaque to take a colour from.
            if softened.is_none() || self.photo.has_alpha() {
                self.photo.row(rect.x, rect.y + i as u32, &mut straight);
            }
            for (x, (colour, alpha)) in colours.iter_mut().zip(alpha).enumerate() {
                let [r, g, b, a] = match &softened {
                    None => straight[x],
                    Some(weighted) => {
                        let [r, g, b, a] = weighted[i * width + x];
                        if a > TRANSPARENT_ALPHA {
                            [r / a, g / a, b / a, a]
                        } else {
                            let [r, g, b, _] = straight[x];
                            [r, g, b, 0.0]
                        }
                    }
                };
                *colour = self.change.of(self.photo.colour_of([r, g, b]));
                *alpha = a;
            }
        }
    }

    /// The rectangle with a margin as wide as the kernel reaches, edges repeated, colours weighted by opacity.
    #[expect(clippy::cast_possible_truncation, reason = "places within the photo, which the lines above hold them to")]
    fn padded(&self, rect: PixelRect, kernel: &Kernel) -> Vec<[f32; 4]> {
        let radius = kernel.radius_px() as i64;
        let width = padded_width(rect, kernel);
        let (last_x, last_y) = (i64::from(self.photo.width_px()) - 1, i64::from(self.photo.height_px()) - 1);
        let left = i64::from(rect.x) - radius;
        // The part of each row that lies in the photo is read in one go; the rest repeats its ends.
        let inside_from = left.clamp(0, last_x);
        let inside_to = (left + width as i64 - 1).clamp(0, last_x);
        let (before, count) = ((inside_from - left) as usize, (inside_to - inside_from + 1) as usize);
        let mut padded = vec![[0.0; 4]; width * (rect.height_px as usize + 2 * radius as usize)];
        for (i, row) in padded.chunks_exact_mut(width).enumerate() {
            let y = (i64::from(rect.y) - radius + i as i64).clamp(0, last_y);
            self.photo.row(inside_from as u32, y as u32, &mut row[before..before + count]);
            if self.photo.has_alpha() {
                for [r, g, b, a] in &mut row[before..before + count] {
                    (*r, *g, *b) = (*r * *a, *g * *a, *b * *a);
                }
            }
            let (first, last) = (row[before], row[before + count - 1]);
            row[..before].fill(first);
            row[before + count..].fill(last);
        }
        padded
    }
}

fn padded_width(rect: PixelRect, kernel: &Kernel) -> usize {
    rect.width_px as usize + 2 * kernel.radius_px()
}

#[cfg(test)]
#[path = "view_tests.rs"]
mod tests;
