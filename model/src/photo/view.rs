//! The photo as it is looked at: softened, then lightened, steepened and turned, and only where someone looks.

use super::colour_change::ColourChange;
use super::open::Photo;
use super::soften::Kernel;
use crate::colour::Colour;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// Rows that one task of a parallel read takes on.
const BAND_ROWS: u32 = 32;
/// Points that one task of a parallel look-up takes on.
const POINTS_PER_TASK: usize = 256;
/// Below this opacity a pixel has no colour of its own to speak of, and its stored one is shown.
const TRANSPARENT_ALPHA: f32 = 1e-6;

/// Shortest side of a part that a photo is cropped to, pixels.
pub const MIN_CROP_PX: u32 = 16;

/// What is done to a photo when it is looked at. Never baked into pixels.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Adjustments {
    /// Turn of all hues in OKLCh, degrees, -180 to 180.
    #[serde(rename = "hue_turn")]
    pub hue_turn_degrees: f32,
    /// Standard deviation of the Gaussian that softens camera specks, in photo pixels, 0 to 3.
    #[serde(rename = "soften")]
    pub soften_px: f32,
    /// Light added, in stops: each doubles it; -3 to 3.
    #[serde(rename = "exposure", default, skip_serializing_if = "is_nothing")]
    pub exposure_stops: f32,
    /// Slope of the values about a middle grey, 0.5 to 2; 1 leaves them as they are.
    #[serde(default = "as_it_is", skip_serializing_if = "is_as_it_is")]
    pub contrast: f32,
    /// The part that is used; all of it when there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crop: Option<PixelRect>,
}

fn is_nothing(stops: &f32) -> bool {
    *stops == 0.0
}

fn as_it_is() -> f32 {
    1.0
}

#[expect(clippy::float_cmp, reason = "what was never set")]
fn is_as_it_is(contrast: &f32) -> bool {
    *contrast == 1.0
}

impl Default for Adjustments {
    fn default() -> Self {
        Adjustments { hue_turn_degrees: 0.0, soften_px: 0.0, exposure_stops: 0.0, contrast: as_it_is(), crop: None }
    }
}

impl Adjustments {
    /// Where hue turn, soften, exposure and contrast lie, in the order of the fields.
    pub const RANGES: [(f32, f32); 4] = [(-180.0, 180.0), (0.0, 3.0), (-3.0, 3.0), (0.5, 2.0)];

    /// The same with every value brought into its range; what is no number is left out.
    pub fn in_range(self) -> Self {
        let held = |value: f32, i: usize, plain: f32| {
            let (low, high) = Self::RANGES[i];
            if value.is_nan() { plain } else { value.clamp(low, high) }
        };
        Adjustments {
            hue_turn_degrees: held(self.hue_turn_degrees, 0, 0.0),
            soften_px: held(self.soften_px, 1, 0.0),
            exposure_stops: held(self.exposure_stops, 2, 0.0),
            contrast: held(self.contrast, 3, 1.0),
            crop: self.crop,
        }
    }

    /// The crop alone: the same part of the photo, as it was taken.
    pub fn crop_alone(self) -> Self {
        Adjustments { crop: self.crop, ..Adjustments::default() }
    }

    /// The part of a photo of this size that is used.
    pub fn part_of(self, width_px: u32, height_px: u32) -> PixelRect {
        let whole = PixelRect { x: 0, y: 0, width_px, height_px };
        self.crop.and_then(|crop| crop.within(width_px, height_px)).unwrap_or(whole)
    }
}

/// A rectangle of upright photo pixels.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PixelRect {
    /// First column.
    pub x: u32,
    /// First row.
    pub y: u32,
    /// Columns.
    #[serde(rename = "width")]
    pub width_px: u32,
    /// Rows.
    #[serde(rename = "height")]
    pub height_px: u32,
}

impl PixelRect {
    /// What of it lies on a photo of this size; nothing when it lies beside it.
    pub fn within(self, width_px: u32, height_px: u32) -> Option<Self> {
        let (x, y) = (self.x.min(width_px), self.y.min(height_px));
        let rect =
            PixelRect { x, y, width_px: self.width_px.min(width_px - x), height_px: self.height_px.min(height_px - y) };
        (rect.width_px > 0 && rect.height_px > 0).then_some(rect)
    }
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
