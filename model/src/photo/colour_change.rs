//! What the adjustments of a photo do to one colour: exposure, contrast and hue turn, in this order.

use super::adjustments::Adjustments;
use crate::colour::power::power;
use crate::colour::{Colour, Oklab};

/// Luminance that contrast leaves where it is: the 18 % reflectance of a photographer's grey card (common practice; CIE L* 49.5).
const PIVOT_Y: f32 = 0.18;
/// Below this luminance contrast works as it does here, so that no black is divided by nothing; L* 0.1.
const LEAST_Y: f32 = 1e-4;

/// A change of one colour at a time; nothing of it is baked into pixels.
///
/// Exposure is a factor of light: two for each stop. Contrast is the slope of the curve that draws the logarithm of what is shown
/// against the logarithm of the light that came in, which sensitometry calls gamma (Hurter and Driffield 1890): luminance over 0.18
/// is raised to it, and the colour is scaled by as much, so that its hue and its share of grey stay. The hue is then turned in OKLCh
/// (B. Ottosson, "A perceptual color space for image processing", 2020).
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ColourChange {
    /// Factor of light.
    light: f32,
    /// Slope.
    contrast: f32,
    /// Cosine and sine of the turn, or nothing to do.
    rotation: Option<(f32, f32)>,
}

impl ColourChange {
    /// The change that adjustments make. Values outside their ranges are brought to the nearest allowed one.
    #[expect(clippy::cast_possible_truncation, reason = "a sine and a cosine in single precision")]
    pub fn new(adjustments: Adjustments) -> Self {
        let Adjustments { hue_turn_degrees, soften_px: _, exposure_stops, contrast, crop: _ } = adjustments.in_range();
        let (sin, cos) = libm::sincos(f64::from(hue_turn_degrees).to_radians());
        ColourChange {
            light: libm::exp2f(exposure_stops),
            contrast,
            rotation: (hue_turn_degrees != 0.0).then_some((cos as f32, sin as f32)),
        }
    }

    /// The changed colour; not brought into any gamut.
    pub fn of(self, colour: Colour) -> Colour {
        self.turned(self.with_contrast(scaled(colour, self.light)), 1.0)
    }

    /// The colour that the change makes this one of.
    pub fn undone(self, colour: Colour) -> Colour {
        let back = ColourChange { contrast: 1.0 / self.contrast, ..self };
        let before = self.turned(colour, -1.0);
        // The straight part near black has another end on this side.
        let least = PIVOT_Y * power(LEAST_Y / PIVOT_Y, self.contrast);
        scaled(back.with_contrast_from(before, least), 1.0 / self.light)
    }

    fn with_contrast(self, colour: Colour) -> Colour {
        self.with_contrast_from(colour, LEAST_Y)
    }

    #[expect(clippy::float_cmp, reason = "exactly 1 is no contrast to add")]
    fn with_contrast_from(self, colour: Colour, least_y: f32) -> Colour {
        if self.contrast == 1.0 {
            return colour;
        }
        #[expect(clippy::cast_possible_truncation, reason = "a luminance in single precision")]
        let y = (colour.xyz().y as f32).max(least_y);
        scaled(colour, power(y / PIVOT_Y, self.contrast - 1.0))
    }

    /// The colour turned, or turned back: same OKLab lightness and chroma, hue moved.
    fn turned(self, colour: Colour, way: f32) -> Colour {
        let Some((cos, sin)) = self.rotation.map(|(cos, sin)| (cos, sin * way)) else { return colour };
        let Oklab { l, a, b } = colour.oklab();
        Oklab { l, a: cos * a - sin * b, b: sin * a + cos * b }.colour()
    }
}

#[expect(clippy::float_cmp, reason = "exactly 1 is no change, to the bit")]
fn scaled(colour: Colour, by: f32) -> Colour {
    if by == 1.0 { colour } else { Colour::new(colour.r * by, colour.g * by, colour.b * by) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn adjusted(exposure_stops: f32, contrast: f32, hue_turn_degrees: f32) -> ColourChange {
        ColourChange::new(Adjustments { exposure_stops, contrast, hue_turn_degrees, ..Adjustments::default() })
    }

    #[test]
    fn a_stop_doubles_the_light_and_nothing_to_do_does_nothing() {
        let red = Colour::from_srgb8([180, 40, 30]);
        assert_eq!(adjusted(0.0, 1.0, 0.0).of(red), red);
        let brighter = adjusted(1.0, 1.0, 0.0).of(red);
        assert_eq!([brighter.r, brighter.g, brighter.b], [2.0 * red.r, 2.0 * red.g, 2.0 * red.b]);
        let darker = adjusted(-2.0, 1.0, 0.0).of(red);
        assert_eq!(darker.g, red.g / 4.0);
    }

    #[test]
    fn contrast_is_the_slope_in_stops_about_the_grey_card_and_keeps_the_hue() {
        // Two stops under the grey card become three at a slope of 1.5.
        for (slope, stops) in [(1.5, -2.0), (0.5, 3.0), (2.0, 1.0)] {
            let grey = |stops: f32| scaled(Colour::new(1.0, 1.0, 1.0), 0.18 * f32::exp2(stops));
            let seen = adjusted(0.0, slope, 0.0).of(grey(stops));
            assert!((seen.g - grey(stops * slope).g).abs() < 1e-4, "{slope}: {seen:?}");
        }
        let card = Colour::new(0.18, 0.18, 0.18);
        assert!((adjusted(0.0, 1.7, 0.0).of(card).g - 0.18).abs() < 1e-6);
        let blue = Colour::from_srgb8([40, 60, 150]);
        let (before, after) = (blue.oklab(), adjusted(0.0, 1.6, 0.0).of(blue).oklab());
        assert!((before.a.atan2(before.b) - after.a.atan2(after.b)).abs() < 1e-4);
        assert!(after.l < before.l, "what is darker than the card gets darker");
        let black = adjusted(0.0, 0.5, 0.0).of(Colour::default());
        assert_eq!(black, Colour::default());
    }

    #[test]
    fn values_keep_their_order_and_every_change_can_be_undone() {
        for change in [adjusted(1.5, 0.6, 40.0), adjusted(-1.0, 1.8, -120.0), adjusted(0.0, 1.3, 0.0)] {
            let greys: Vec<_> = (0..=255u8).map(|code| change.of(Colour::from_srgb8([code; 3])).g).collect();
            assert!(greys.windows(2).all(|pair| pair[0] < pair[1]));
            for codes in [[200, 30, 60], [3, 2, 5], [250, 255, 240], [20, 90, 200], [0, 0, 0]] {
                let colour = Colour::from_srgb8(codes);
                let back = change.undone(change.of(colour));
                let off = [back.r - colour.r, back.g - colour.g, back.b - colour.b];
                assert!(off.iter().all(|d| d.abs() < 2e-4), "{codes:?} {off:?}");
            }
        }
    }
}
