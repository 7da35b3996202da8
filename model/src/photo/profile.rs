//! From stored samples to linear light: the photo's own colour space, unclamped.
//!
//! A conversion has two steps. The first makes samples linear *in the photo's own primaries*; the second is a 3 x 3
//! matrix to linear sRGB. Means and Gaussians commute with the matrix, so they run between the two steps and the matrix
//! is applied once per result. ICC terms follow ICC.1:2022; the connection is relative colorimetric, white to white.

use crate::colour::Colour;
use crate::colour::adaptation::{ICC_D50_XYZ, bradford};
use crate::colour::matrix::{Matrix3, checked_inverse, inverse, product};
use crate::colour::rgb_space::{D65_XY, DISPLAY_P3, RgbSpace, SRGB, xyz_of};
use moxcms::{
    ColorProfile, DataColorSpace, Layout, RenderingIntent, ToneReprCurve, TransformExecutor, TransformOptions,
};
use std::sync::Arc;

/// What the file says about its colours.
#[derive(Clone, Debug)]
pub(super) enum Described {
    /// Nothing, or sRGB in words: sRGB (IEC 61966-2-1).
    Srgb,
    /// Display P3: SMPTE EG 432-1 primaries, D65, sRGB transfer curve.
    DisplayP3,
    /// An embedded ICC profile.
    Icc(Vec<u8>),
}

/// The exponent of the space that profiles with tables are read through; see [`Linear::Table`].
const TABLE_GAMMA: f32 = 1.8;

/// The matrix of sRGB itself.
const IDENTITY: [[f32; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

/// The first step.
enum Linear {
    /// One curve per channel, tabulated for every sample value: 256 or 65536 entries.
    Curves([Arc<[f32]>; 3]),
    /// A profile made of tables. It is read into a space of very wide primaries, which holds what sRGB cannot, and of a
    /// curve close to the eye's, which keeps dark colours precise in a table; the curve is undone here.
    Table(Arc<dyn TransformExecutor<f32> + Send + Sync>),
}

/// From samples to [`Colour`].
pub(super) struct Conversion {
    linear: Linear,
    matrix: [[f32; 3]; 3],
    max_sample: f32,
}

impl Conversion {
    /// The conversion for a described colour space; `max_sample` is 255 or 65535, `grey` says that the file has one
    /// colour channel. The error is a phrase that says what is wrong with the profile.
    pub fn new(described: &Described, grey: bool, max_sample: u16) -> Result<Self, String> {
        let profile = match described {
            // Both have the sRGB curve (IEC 61966-2-1); the primaries are ours, see `adapted`.
            Described::Srgb | Described::DisplayP3 => ColorProfile::new_srgb(),
            Described::Icc(bytes) => {
                ColorProfile::new_from_slice(bytes).map_err(|e| format!("it could not be read: {e}"))?
            }
        };
        let max = max_sample;
        match profile.color_space {
            DataColorSpace::Gray if grey => {
                let curve = profile.gray_trc.as_ref().ok_or("it has no grey curve")?;
                let curve = tabulate(curve, max)?;
                Ok(Self::from_curves([curve.clone(), curve.clone(), curve], IDENTITY, max))
            }
            DataColorSpace::Gray => Err("it is for grey pictures, but the photo has colours".into()),
            // With tables and curves both present, ICC.1 clause 9.2 gives the tables precedence.
            DataColorSpace::Rgb if has_tables(&profile) => Self::from_tables(&profile, max),
            DataColorSpace::Rgb => {
                let (Some(r), Some(g), Some(b)) = (&profile.red_trc, &profile.green_trc, &profile.blue_trc) else {
                    return Err("it has no curves for red, green and blue".into());
                };
                let red = tabulate(r, max)?;
                let green = if g == r { red.clone() } else { tabulate(g, max)? };
                let blue = if b == r { red.clone() } else { tabulate(b, max)? };
                let matrix = match described {
                    Described::Srgb => IDENTITY,
                    Described::DisplayP3 => to_linear_srgb(&adapted(&DISPLAY_P3))?,
                    Described::Icc(_) => to_linear_srgb(&profile.colorant_matrix().v)?,
                };
                Ok(Self::from_curves([red, green, blue], matrix, max))
            }
            DataColorSpace::Cmyk => Err("it is for print (CMYK)".into()),
            other => Err(format!("it is for {other:?} colours, not red, green and blue")),
        }
    }

    fn from_curves(curves: [Arc<[f32]>; 3], matrix: [[f32; 3]; 3], max_sample: u16) -> Self {
        Conversion { linear: Linear::Curves(curves), matrix, max_sample: f32::from(max_sample) }
    }

    fn from_tables(profile: &ColorProfile, max_sample: u16) -> Result<Self, String> {
        let wide = ColorProfile::new_pro_photo_rgb();
        let intent = if profile.lut_a_to_b_colorimetric.is_some() {
            RenderingIntent::RelativeColorimetric
        } else {
            RenderingIntent::Perceptual
        };
        let options = TransformOptions { rendering_intent: intent, ..TransformOptions::default() };
        let table = profile
            .create_transform_f32(Layout::Rgb, &wide, Layout::Rgb, options)
            .map_err(|e| format!("its tables could not be used: {e}"))?;
        let conversion = Conversion {
            linear: Linear::Table(table),
            matrix: to_linear_srgb(&wide.colorant_matrix().v)?,
            max_sample: f32::from(max_sample),
        };
        // A table that fails does so for any sample, so it is tried once here and can be relied on afterwards.
        let mut trial = [[0.0; 4]];
        if conversion.linearise(&[0u8, 0, 0], &CHANNELS_RGB, 0, 1, &mut trial) && trial[0].iter().all(|v| v.is_finite())
        {
            Ok(conversion)
        } else {
            Err("its tables could not be used".into())
        }
    }

    /// First step for pixels `first`, `first + step`, ... of a stored raster: linear components in the photo's own
    /// primaries, and alpha 0-1. Returns whether it succeeded; only a table that was broken from the start fails.
    pub fn linearise<S: Copy>(
        &self,
        samples: &[S],
        channels: &Channels,
        first: usize,
        step: isize,
        out: &mut [[f32; 4]],
    ) -> bool
    where
        usize: From<S>,
    {
        let pixel = |i: usize| {
            let at = (first as isize + i as isize * step) as usize * channels.count;
            &samples[at..at + channels.count]
        };
        let alpha = |pixel: &[S]| channels.alpha.map_or(1.0, |a| usize::from(pixel[a]) as f32 / self.max_sample);
        let [r, g, b] = channels.colour;
        match &self.linear {
            Linear::Curves([red, green, blue]) => {
                for (i, out) in out.iter_mut().enumerate() {
                    let pixel = pixel(i);
                    *out = [
                        red[usize::from(pixel[r])],
                        green[usize::from(pixel[g])],
                        blue[usize::from(pixel[b])],
                        alpha(pixel),
                    ];
                }
                true
            }
            Linear::Table(table) => {
                let coded: Vec<f32> = (0..out.len())
                    .flat_map(|i| [r, g, b].map(|c| usize::from(pixel(i)[c]) as f32 / self.max_sample))
                    .collect();
                let mut wide = vec![0.0; coded.len()];
                let done = table.transform(&coded, &mut wide).is_ok();
                for (i, (out, wide)) in out.iter_mut().zip(wide.chunks_exact(3)).enumerate() {
                    let [r, g, b] = [wide[0], wide[1], wide[2]].map(|v| v.max(0.0).powf(TABLE_GAMMA));
                    *out = [r, g, b, alpha(pixel(i))];
                }
                done
            }
        }
    }

    /// Second step: linear components in the photo's own primaries to linear sRGB, unclamped.
    pub fn colour(&self, own: [f32; 3]) -> Colour {
        let [r, g, b] = self.matrix.map(|row| row[0] * own[0] + row[1] * own[1] + row[2] * own[2]);
        Colour::new(r, g, b)
    }
}

/// Where the channels lie in a stored pixel.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Channels {
    /// Samples per pixel.
    pub count: usize,
    /// Places of red, green and blue; one place three times for grey.
    pub colour: [usize; 3],
    /// Place of alpha.
    pub alpha: Option<usize>,
}

/// Grey.
pub(super) const CHANNELS_GREY: Channels = Channels { count: 1, colour: [0, 0, 0], alpha: None };
/// Grey and alpha.
pub(super) const CHANNELS_GREY_ALPHA: Channels = Channels { count: 2, colour: [0, 0, 0], alpha: Some(1) };
/// Red, green, blue.
pub(super) const CHANNELS_RGB: Channels = Channels { count: 3, colour: [0, 1, 2], alpha: None };
/// Red, green, blue and alpha.
pub(super) const CHANNELS_RGBA: Channels = Channels { count: 4, colour: [0, 1, 2], alpha: Some(3) };

fn has_tables(profile: &ColorProfile) -> bool {
    profile.lut_a_to_b_colorimetric.is_some() || profile.lut_a_to_b_perceptual.is_some()
}

/// The curve at every sample value.
fn tabulate(curve: &ToneReprCurve, max_sample: u16) -> Result<Arc<[f32]>, String> {
    if matches!(curve, ToneReprCurve::Parametric(parameters) if parameters.is_empty()) {
        return Err("one of its curves is empty".into());
    }
    let curve = curve.make_linear_evaluator().map_err(|e| format!("one of its curves could not be used: {e}"))?;
    let table: Arc<[f32]> =
        (0..=max_sample).map(|v| curve.evaluate_value(f32::from(v) / f32::from(max_sample))).collect();
    if table.iter().all(|v| v.is_finite()) { Ok(table) } else { Err("one of its curves is not finite".into()) }
}

/// The matrix from a space's linear components to linear sRGB; `to_xyz` takes them to XYZ under D50.
fn to_linear_srgb(to_xyz: &Matrix3) -> Result<[[f32; 3]; 3], String> {
    checked_inverse(to_xyz).ok_or("its primaries have no extent")?;
    let from_xyz = inverse(&adapted(&SRGB));
    Ok(product(&from_xyz, to_xyz).map(|row| row.map(|v| v as f32)))
}

/// The map from linear components of a space to XYZ adapted to the D50 of profiles, in full precision. The profiles that come
/// with `moxcms` take white from a colour temperature, which is a few 1e-4 off.
fn adapted(space: &RgbSpace) -> Matrix3 {
    product(&bradford(xyz_of(D65_XY), ICC_D50_XYZ), &space.to_xyz)
}

#[cfg(test)]
#[path = "profile_tests.rs"]
mod tests;
