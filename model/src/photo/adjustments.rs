//! What is done to a photo when it is looked at, and which part of it is used.

use serde::{Deserialize, Serialize};

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
