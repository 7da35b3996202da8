//! From stored samples to linear light: the photo's own colour space, unclamped.
//!
//! A conversion has two steps. The first makes samples linear *in the photo's own primaries*; the second is a 3 x 3
//! matrix to linear sRGB. Means and Gaussians commute with the matrix, so they run between the two steps and the matrix
//! is applied once per result. ICC terms follow ICC.1:2022; the connection is relative colorimetric, white to white.

use super::raster::{Channels, Curve, Described};
use crate::colour::Colour;
use crate::colour::adaptation::{ICC_D50_XYZ, bradford};
use crate::colour::decode_f64;
use crate::colour::matrix::{Matrix3, apply, checked_inverse, diagonal, inverse, product};
use crate::colour::power::power;
use crate::colour::rgb_space::{D65_XY, RgbSpace, SRGB, xyz_of};
use moxcms::{
    ColorProfile, DataColorSpace, Layout, RenderingIntent, ToneReprCurve, TransformExecutor, TransformOptions,
};
use std::sync::Arc;

/// The exponent of the space that profiles with tables are read through; see [`Linear::Table`].
const TABLE_GAMMA: f32 = 1.8;

/// The matrix of sRGB itself.
const IDENTITY: [[f32; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

/// The first step.
enum Linear {
    /// One curve per channel, tabulated for every sample value.
    Curves([Arc<[f32]>; 3]),
    /// A profile made of tables. It is read into a space of very wide primaries, which holds what sRGB cannot, and of a
    /// curve close to the eye's, which keeps dark colours precise in a table; the curve is undone here.
    Table(Arc<dyn TransformExecutor<f32> + Send + Sync>),
    /// Inks without a profile: R = (1 - C)(1 - K), and so on, in sRGB codes (CSS Color 5, "naive conversion", from memory).
    /// Holds the curve of sRGB, tabulated in 256 steps for samples of 8 bits and in 65536 for others.
    PlainInks(Arc<[f32]>),
}

/// From samples to [`Colour`].
pub(super) struct Conversion {
    linear: Linear,
    matrix: [[f32; 3]; 3],
    max_sample: f32,
}

impl Conversion {
    /// The conversion for a described colour space; `channels` says whether the file holds grey, colours or inks,
    /// `max_sample` is the sample that stands for full. The error is a phrase that says what is wrong with the description.
    pub fn new(described: &Described, channels: &Channels, max_sample: u16) -> Result<Self, String> {
        let max = max_sample;
        match described {
            Described::Srgb if channels.black.is_some() => {
                Err("it is for a screen and the photo holds inks".to_owned())
            }
            Described::Srgb => {
                let curve = tabulate_by(max, decode_f64)?;
                Ok(Self::from_curves([curve.clone(), curve.clone(), curve], IDENTITY, max))
            }
            Described::Numbers { primaries, white, curve } => {
                let curve = match *curve {
                    Curve::Srgb => tabulate_by(max, decode_f64)?,
                    Curve::Power(exponent) => tabulate_by(max, |v| libm::pow(v, exponent))?,
                };
                let matrix = if channels.are_grey() { IDENTITY } else { matrix_of(*primaries, *white)? };
                Ok(Self::from_curves([curve.clone(), curve.clone(), curve], matrix, max))
            }
            Described::Icc(bytes) => Self::from_profile(bytes, channels, max),
            Described::Unusable(what) => Err(what.clone()),
        }
    }

    /// The conversion of inks by the plain formula.
    pub fn plain_inks(max_sample: u16) -> Result<Self, String> {
        let linear = Linear::PlainInks(tabulate_by(max_sample, decode_f64)?);
        Ok(Conversion { linear, matrix: IDENTITY, max_sample: f32::from(max_sample) })
    }

    fn from_profile(bytes: &[u8], channels: &Channels, max: u16) -> Result<Self, String> {
        let profile = ColorProfile::new_from_slice(bytes).map_err(|_| "it is damaged or of an unknown kind")?;
        match profile.color_space {
            DataColorSpace::Cmyk if channels.black.is_some() => Self::from_tables(&profile, Layout::Rgba, max),
            DataColorSpace::Cmyk => Err("it is for print (CMYK) and the photo is not".into()),
            _ if channels.black.is_some() => Err("it is not for print (CMYK) and the photo is".into()),
            DataColorSpace::Gray if channels.are_grey() => {
                let curve = profile.gray_trc.as_ref().ok_or("it has no grey curve (kTRC)")?;
                let curve = tabulate(curve, max)?;
                Ok(Self::from_curves([curve.clone(), curve.clone(), curve], IDENTITY, max))
            }
            DataColorSpace::Gray => Err("it is for grey pictures, but the photo has colours".into()),
            // With tables and curves both present, ICC.1 clause 9.2 gives the tables precedence.
            DataColorSpace::Rgb if has_tables(&profile) => Self::from_tables(&profile, Layout::Rgb, max),
            DataColorSpace::Rgb => {
                let named = [(&profile.red_trc, "rTRC"), (&profile.green_trc, "gTRC"), (&profile.blue_trc, "bTRC")];
                if let Some((_, tag)) = named.iter().find(|(curve, _)| curve.is_none()) {
                    return Err(format!("its part {tag} is missing"));
                }
                let (Some(r), Some(g), Some(b)) = (&profile.red_trc, &profile.green_trc, &profile.blue_trc) else {
                    return Err("its curves are missing".into());
                };
                let red = tabulate(r, max)?;
                let green = if g == r { red.clone() } else { tabulate(g, max)? };
                let blue = if b == r { red.clone() } else { tabulate(b, max)? };
                Ok(Self::from_curves([red, green, blue], to_linear_srgb(&profile.colorant_matrix().v)?, max))
            }
            _ => Err("it is for colours of an unusual kind".into()),
        }
    }

    fn from_curves(curves: [Arc<[f32]>; 3], matrix: [[f32; 3]; 3], max_sample: u16) -> Self {
        Conversion { linear: Linear::Curves(curves), matrix, max_sample: f32::from(max_sample) }
    }

    /// `layout` has as many channels as the profile takes: three, or four for inks.
    fn from_tables(profile: &ColorProfile, layout: Layout, max_sample: u16) -> Result<Self, String> {
        let wide = ColorProfile::new_pro_photo_rgb();
        let intent = if profile.lut_a_to_b_colorimetric.is_some() {
            RenderingIntent::RelativeColorimetric
        } else {
            RenderingIntent::Perceptual
        };
        let options = TransformOptions { rendering_intent: intent, ..TransformOptions::default() };
        let table = profile
            .create_transform_f32(layout, &wide, Layout::Rgb, options)
            .map_err(|_| "its tables could not be used")?;
        // A table that fails does so for any sample, so it is tried once here and can be relied on afterwards.
        let mut trial = [0.0; 3];
        if table.transform(&[0.0; 4][..layout.channels()], &mut trial).is_err() || !trial.iter().all(|v| v.is_finite())
        {
            return Err("its tables could not be used".into());
        }
        Ok(Conversion {
            linear: Linear::Table(table),
            matrix: to_linear_srgb(&wide.colorant_matrix().v)?,
            max_sample: f32::from(max_sample),
        })
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
                let places = [Some(r), Some(g), Some(b), channels.black];
                let coded: Vec<f32> = (0..out.len())
                    .flat_map(|i| places.iter().flatten().map(move |&c| (i, c)))
                    .map(|(i, c)| usize::from(pixel(i)[c]) as f32 / self.max_sample)
                    .collect();
                let mut wide = vec![0.0; 3 * out.len()];
                let done = table.transform(&coded, &mut wide).is_ok();
                for (i, (out, wide)) in out.iter_mut().zip(wide.chunks_exact(3)).enumerate() {
                    let [r, g, b] = [wide[0], wide[1], wide[2]].map(|v| power(v.max(0.0), TABLE_GAMMA));
                    *out = [r, g, b, alpha(pixel(i))];
                }
                done
            }
            Linear::PlainInks(curve) => {
                let most = (curve.len() - 1) as f32;
                for (i, out) in out.iter_mut().enumerate() {
                    let pixel = pixel(i);
                    let left = |place: usize| 1.0 - usize::from(pixel[place]) as f32 / self.max_sample;
                    let black = channels.black.map_or(1.0, left);
                    #[expect(clippy::cast_possible_truncation, reason = "an index of the curve; the cast saturates")]
                    let [r, g, b] = [r, g, b].map(|place| curve[(left(place) * black * most).round() as usize]);
                    *out = [r, g, b, alpha(pixel)];
                }
                true
            }
        }
    }

    /// Second step: linear components in the photo's own primaries to linear sRGB, unclamped.
    pub fn colour(&self, own: [f32; 3]) -> Colour {
        let [r, g, b] = self.matrix.map(|row| row[0] * own[0] + row[1] * own[1] + row[2] * own[2]);
        Colour::new(r, g, b)
    }
}

fn has_tables(profile: &ColorProfile) -> bool {
    profile.lut_a_to_b_colorimetric.is_some() || profile.lut_a_to_b_perceptual.is_some()
}

/// The curve at every sample value.
#[expect(clippy::cast_possible_truncation, reason = "curves and matrices are kept in single precision")]
pub(crate) fn tabulate(curve: &ToneReprCurve, max_sample: u16) -> Result<Arc<[f32]>, String> {
    if matches!(curve, ToneReprCurve::Parametric(parameters) if parameters.is_empty()) {
        return Err("one of its curves is empty".into());
    }
    let curve = curve.make_linear_evaluator().map_err(|_| "one of its curves could not be used")?;
    tabulate_by(max_sample, |v| f64::from(curve.evaluate_value(v as f32)))
}

/// A curve, given for samples from 0 to 1, at every sample value.
fn tabulate_by(max_sample: u16, curve: impl Fn(f64) -> f64) -> Result<Arc<[f32]>, String> {
    #[expect(clippy::cast_possible_truncation, reason = "curves and matrices are kept in single precision")]
    let table: Arc<[f32]> = (0..=max_sample).map(|v| curve(f64::from(v) / f64::from(max_sample)) as f32).collect();
    if table.iter().all(|v| v.is_finite()) { Ok(table) } else { Err("one of its curves is not finite".into()) }
}

/// The matrix of a space given by the x, y of its primaries and its white.
fn matrix_of(primaries: [[f64; 2]; 3], white: [f64; 2]) -> Result<[[f32; 3]; 3], String> {
    let columns = primaries.map(xyz_of);
    let to_xyz: Matrix3 = std::array::from_fn(|row| std::array::from_fn(|column| columns[column][row]));
    let amounts = apply(&checked_inverse(&to_xyz).ok_or("its primaries span no colours")?, xyz_of(white));
    to_linear_srgb(&product(&bradford(xyz_of(white), ICC_D50_XYZ), &product(&to_xyz, &diagonal(amounts))))
}

/// The matrix from a space's linear components to linear sRGB; `to_xyz` takes them to XYZ under D50.
#[expect(clippy::cast_possible_truncation, reason = "curves and matrices are kept in single precision")]
pub(crate) fn to_linear_srgb(to_xyz: &Matrix3) -> Result<[[f32; 3]; 3], String> {
    checked_inverse(to_xyz).ok_or("its primaries span no colours")?;
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
