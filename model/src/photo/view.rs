//! The photo as it is looked at: softened, then turned, and only where someone looks.

use super::open::Photo;
use super::soften::Kernel;
use crate::colour::{Colour, Oklab};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// Rows that one task of a parallel read takes on.
const BAND_ROWS: u32 = 32;
/// Points that one task of a parallel look-up takes on.
const POINTS_PER_TASK: usize = 256;
/// Below this opacity a pixel has no colour of its own to speak of, and its stored one is shown.
const TRANSPARENT_ALPHA: f32 = 1e-6;

/// What is done to a photo when it is looked at. Never baked into pixels.
#[derive(Clone, Copy, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Adjustments {
    /// Turn of all hues in OKLCh, degrees, -180 to 180.
    #[serde(rename = "hue_turn")]
    pub hue_turn_degrees: f32,
    /// Standard deviation of the Gaussian that softens camera specks, in photo pixels, 0 to 3.
    #[serde(rename = "soften")]
    pub soften_px: f32,
}

/// A rectangle of upright photo pixels.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct PixelRect {
    /// First column.
    pub x: u32,
    /// First row.
    pub y: u32,
    /// Columns.
    pub width_px: u32,
    /// Rows.
    pub height_px: u32,
}

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
/// the photo repeated outwards (see [`super::soften`]); the hue is then turned in OKLCh (B. Ottosson, "A perceptual
/// color space for image processing", 2020) without bringing the result into any gamut. Values outside the ranges of
/// [`Adjustments`] are brought to the nearest allowed one.
#[derive(Clone, Debug)]
pub struct View<'a> {
    photo: &'a Photo,
    kernel: Option<Kernel>,
    sigma_px: f32,
    turn: HueTurn,
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
        View { photo, kernel, sigma_px, turn: HueTurn::new(adjustments.hue_turn_degrees) }
    }

    /// The photo that is looked at.
    pub fn photo(&self) -> &'a Photo {
        self.photo
    }

    /// Standard deviation of the softening in photo pixels; 0 for none.
    pub(super) fn sigma_px(&self) -> f32 {
        self.sigma_px
    }

    /// The hue turn.
    pub(super) fn turn(&self) -> HueTurn {
        self.turn
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
        let (width, height) = (self.photo.width_px(), self.photo.height_px());
        let (x, y) = (rect.x.min(width), rect.y.min(height));
        let rect =
            PixelRect { x, y, width_px: rect.width_px.min(width - x), height_px: rect.height_px.min(height - y) };
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
                *colour = self.turn.of(self.photo.colour_of([r, g, b]));
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

/// A rotation of the OKLab plane of green-red and blue-yellow.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct HueTurn {
    /// Cosine and sine, or nothing to do.
    rotation: Option<(f32, f32)>,
}

impl HueTurn {
    #[expect(clippy::cast_possible_truncation, reason = "a sine and a cosine in single precision")]
    fn new(degrees: f32) -> Self {
        let degrees = if degrees.is_nan() { 0.0 } else { degrees.clamp(-180.0, 180.0) };
        let (sin, cos) = f64::from(degrees).to_radians().sin_cos();
        HueTurn { rotation: (degrees != 0.0).then_some((cos as f32, sin as f32)) }
    }

    /// The turned colour: same OKLab lightness and chroma, hue moved; not brought into any gamut.
    pub fn of(self, colour: Colour) -> Colour {
        let Some((cos, sin)) = self.rotation else { return colour };
        let Oklab { l, a, b } = colour.oklab();
        Oklab { l, a: cos * a - sin * b, b: sin * a + cos * b }.colour()
    }
}

#[cfg(test)]
#[path = "view_tests.rs"]
mod tests;
