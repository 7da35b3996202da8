//! OKLab: hue, chroma, interpolation and clustering.

use super::Colour;
use palette::convert::IntoColorUnclamped;

/// OKLab (B. Ottosson, "A perceptual color space for image processing", 2020).
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Oklab {
    /// Lightness, 0 black to 1 white.
    pub l: f32,
    /// Green (-) to red (+).
    pub a: f32,
    /// Blue (-) to yellow (+).
    pub b: f32,
}

/// Linear components are held to this before the matrices, so that their sums stay finite.
const LARGEST_LINEAR: f32 = 1e30;
/// The same for OKLab components, which are cubed; larger than the OKLab of any `LARGEST_LINEAR` colour.
const LARGEST_OKLAB: f32 = 1e12;

impl Colour {
    /// OKLab of this colour, by Ottosson's own matrices from linear sRGB; out-of-gamut colours included (the cube root
    /// of a negative number is negative). Single precision, because photos are converted by the million; the error is
    /// below 1e-6.
    pub fn oklab(self) -> Oklab {
        let [r, g, b] = [self.r, self.g, self.b].map(|x| x.clamp(-LARGEST_LINEAR, LARGEST_LINEAR));
        // `into_color` would clamp to sRGB.
        let lab: palette::Oklab<f32> = palette::LinSrgb::new(r, g, b).into_color_unclamped();
        Oklab { l: lab.l, a: lab.a, b: lab.b }
    }
}

impl Oklab {
    /// The colour at this place, not mapped into any gamut.
    pub fn colour(self) -> Colour {
        let [l, a, b] = [self.l, self.a, self.b].map(|x| x.clamp(-LARGEST_OKLAB, LARGEST_OKLAB));
        let rgb: palette::LinSrgb<f32> = palette::Oklab::new(l, a, b).into_color_unclamped();
        Colour::new(rgb.red, rgb.green, rgb.blue)
    }

    /// Distance from grey.
    pub fn chroma(self) -> f32 {
        libm::hypotf(self.a, self.b).min(f32::MAX)
    }
}

/// OKLab of linear sRGB components in double precision, for searches that must stop where the published ones do.
pub(super) fn oklab_of(rgb: [f64; 3]) -> [f64; 3] {
    let lab: palette::Oklab<f64> = palette::LinSrgb::from(rgb).into_color_unclamped();
    [lab.l, lab.a, lab.b]
}

/// Linear sRGB components of an OKLab place in double precision.
pub(super) fn linear_of(lab: [f64; 3]) -> [f64; 3] {
    let rgb: palette::LinSrgb<f64> = palette::Oklab::new(lab[0], lab[1], lab[2]).into_color_unclamped();
    [rgb.red, rgb.green, rgb.blue]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_outside_srgb_come_back() {
        let mut largest = 0.0_f32;
        for r in [-0.4, -0.01, 0.0, 0.3, 1.2] {
            for g in [-0.4, -0.01, 0.0, 0.3, 1.2] {
                for b in [-0.4, -0.01, 0.0, 0.3, 1.2] {
                    let back = Colour::new(r, g, b).oklab().colour();
                    for d in [back.r - r, back.g - g, back.b - b] {
                        largest = largest.max(d.abs());
                    }
                }
            }
        }
        assert!(largest < 5e-6, "{largest}");
    }

    #[test]
    fn greys_have_no_chroma() {
        for y in [0.0, 0.01, 0.5, 1.0] {
            assert!(Colour::new(y, y, y).oklab().chroma() < 1e-6);
        }
    }
}
