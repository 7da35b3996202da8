//! Mixing models: what colour a convex mixture of paints shows.
//!
//! A model maps each paint to a point of a *latent* space, averages the points with the weights of the mixture, and maps
//! the mean back to a colour. A further model joins by adding a variant and its two maps here and in the engines.

pub mod reflectance;

use crate::colour::{Colour, Oklab};
use reflectance::{BANDS, absorption_ratio, colour_of, reflectance, reflectance_of};
use serde::{Deserialize, Serialize};

/// Numbers of a latent point at most; what a model does not use is 0.
pub const LATENT: usize = 4 + BANDS;

/// A point of the space in which a model averages: three components, the weight that the paint brings into a mixture, and for
/// pigments the ratio of absorption to scattering in each band. Everything but the weight is multiplied by it, so that points are
/// added as they are and divided by the sum of their weights at the end.
pub type Latent = [f32; LATENT];

/// Place of the weight in a latent point.
pub const WEIGHT: usize = 3;

/// The least scattering of a pigment, as a luminance: black too takes part in a mixture.
const LEAST_SCATTERING: f32 = 1e-3;

/// How the paints of one pixel mix into one colour.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default, Serialize, Deserialize)]
pub enum Mixing {
    /// As lights do: the mean of linear-light components. The right model for optical mixture and for anti-aliasing.
    Light,
    /// As the eye would place the middle: the mean in OKLab. Keeps mid-tones of a glaze from turning pale.
    #[default]
    Perceptual,
    /// As pigments do: yellow and blue give green. By P. Kubelka and F. Munk, "Ein Beitrag zur Optik der Farbanstriche", Z. techn.
    /// Phys. 12:593-601 (1931), with the additivity of D. R. Duncan, "The colour of pigment mixtures", Proc. Phys. Soc. 52:390-401
    /// (1940) (pages of both from memory): absorption and scattering of the paints are summed by their amounts. A paint's reflectance is
    /// worked out from its colour ([`reflectance`]), and it scatters as much as its luminance, so that white tints.
    Pigment,
}

impl Mixing {
    /// All models, in the order in which they are offered.
    pub const ALL: [Mixing; 3] = [Mixing::Light, Mixing::Perceptual, Mixing::Pigment];

    /// The word for this model in scripts and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Mixing::Light => "light",
            Mixing::Perceptual => "perceptual",
            Mixing::Pigment => "pigment",
        }
    }

    /// How many of the [`LATENT`] numbers of a point this model uses: the first 4 or all.
    pub fn latent_numbers(self) -> usize {
        match self {
            Mixing::Light | Mixing::Perceptual => 4,
            Mixing::Pigment => LATENT,
        }
    }

    /// The latent point of a paint's colour. The first four numbers are linear r, g, b and 1; or OKLab L, a, b and 1; or, for
    /// pigments, what of the linear colour no reflectance of 0-1 can show, and the luminance.
    pub fn latent(self, colour: Colour) -> Latent {
        let plain = |[x, y, z]: [f32; 3]| {
            let mut point = [0.0; LATENT];
            point[..4].copy_from_slice(&[x, y, z, 1.0]);
            point
        };
        match self {
            Mixing::Light => plain([colour.r, colour.g, colour.b]),
            Mixing::Perceptual => {
                let lab = colour.oklab();
                plain([lab.l, lab.a, lab.b])
            }
            Mixing::Pigment => {
                let linear = [colour.r, colour.g, colour.b];
                let curve = reflectance_of(linear.map(f64::from));
                let shown = colour_of(&curve);
                let scattering = single(colour.xyz().y).max(LEAST_SCATTERING);
                let mut point = [0.0; LATENT];
                for (i, rest) in point.iter_mut().enumerate().take(3) {
                    *rest = single(f64::from(linear[i]) - shown[i]) * scattering;
                }
                point[WEIGHT] = scattering;
                for (ratio, reflected) in point[4..].iter_mut().zip(curve) {
                    *ratio = single(absorption_ratio(reflected)) * scattering;
                }
                point
            }
        }
    }

    /// The colour of a sum of latent points, each times its amount; the inverse of [`Mixing::latent`] for one of them.
    pub fn colour(self, sum: &Latent) -> Colour {
        let mean = sum.map(|v| v / sum[WEIGHT]);
        match self {
            Mixing::Light => Colour::new(mean[0], mean[1], mean[2]),
            Mixing::Perceptual => Oklab { l: mean[0], a: mean[1], b: mean[2] }.colour(),
            Mixing::Pigment => {
                let mut curve = [0.0; BANDS];
                for (reflected, ratio) in curve.iter_mut().zip(&mean[4..]) {
                    *reflected = reflectance(f64::from(*ratio));
                }
                let [r, g, b] = colour_of(&curve).map(single);
                Colour::new(r + mean[0], g + mean[1], b + mean[2])
            }
        }
    }

    /// The colour of a mixture: colours with their amounts, in any unit. Without any it is black.
    pub fn mixed(self, parts: impl IntoIterator<Item = (Colour, f32)>) -> Colour {
        let mut sum = [0.0; LATENT];
        for (colour, amount) in parts {
            for (sum, value) in sum.iter_mut().zip(self.latent(colour)) {
                *sum += value * amount;
            }
        }
        if sum[WEIGHT] > 0.0 { self.colour(&sum) } else { Colour::default() }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "latent points are in the single precision of colours")]
fn single(value: f64) -> f32 {
    value as f32
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn hex(text: &str) -> Colour {
        Colour::from_hex(text).unwrap()
    }

    fn apart(one: Colour, other: Colour) -> f32 {
        (one.r - other.r).abs().max((one.g - other.g).abs()).max((one.b - other.b).abs())
    }

    /// In every model and for colours inside and outside sRGB: one paint alone shows its own colour, equal paints too, and the order in
    /// which paints are named changes nothing.
    #[test]
    fn a_paint_alone_is_its_own_colour() {
        let outside = [Colour::new(1.1, -0.1, 0.3), Colour::new(-0.2, 0.5, 1.4), Colour::new(2.0, 2.0, 2.0)];
        let corners = ["#000000", "#ffffff", "#ff0000", "#00ff00", "#0000ff", "#ffff00", "#00ffff", "#ff00ff"];
        let inside = ["#1f8a3b", "#c58a2a", "#101010"].iter().chain(&corners).map(|h| hex(h));
        for colour in outside.into_iter().chain(inside) {
            for mixing in Mixing::ALL {
                let alone = mixing.mixed([(colour, 0.3)]);
                assert!(apart(alone, colour) < 2e-6, "{mixing:?} {colour:?}: {alone:?}");
                assert!(apart(mixing.mixed([(colour, 0.3), (colour, 0.9)]), colour) < 2e-6, "{mixing:?} {colour:?}");
                let (a, b) = ((colour, 0.3), (hex("#c58a2a"), 0.7));
                assert!(apart(mixing.mixed([a, b]), mixing.mixed([b, a])) < 1e-5, "{mixing:?} {colour:?}");
            }
        }
    }

    /// Mixing two mixtures is mixing all their paints: passes can be merged.
    #[test]
    fn a_mixture_of_mixtures_is_the_mixture_of_all() {
        let paints = ["#002185", "#fcd200", "#f7f7f2", "#5a2c83"].map(hex);
        for mixing in Mixing::ALL {
            let point = |parts: [f32; 4]| {
                let mut sum = [0.0; LATENT];
                for (colour, part) in paints.iter().zip(parts) {
                    sum.iter_mut().zip(mixing.latent(*colour)).for_each(|(sum, v)| *sum += v * part);
                }
                sum
            };
            let (one, other) = (point([0.5, 0.5, 0.0, 0.0]), point([0.0, 0.2, 0.3, 0.5]));
            let both: Latent = std::array::from_fn(|i| 0.25 * one[i] + 0.75 * other[i]);
            let all = mixing.mixed(paints.into_iter().zip([0.125, 0.275, 0.225, 0.375]));
            assert!(apart(mixing.colour(&both), all) < 1e-5, "{mixing:?}");
        }
    }

    #[test]
    fn yellow_and_blue_pigments_give_green_and_white_tints() {
        let green = Mixing::Pigment.mixed([(hex("#002185"), 0.5), (hex("#fcd200"), 0.5)]).oklch();
        assert!((120.0..160.0).contains(&green.h_degrees), "{green:?}");
        let blue = hex("#1b2a8f");
        let tint = Mixing::Pigment.mixed([(blue, 0.75), (hex("#f7f7f2"), 0.25)]);
        assert!(tint.l_star() > blue.l_star() + 20.0);
    }
}
