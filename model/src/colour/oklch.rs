//! OKLCh: OKLab with hue as an angle.

use super::{Colour, Oklab};

/// OKLab in polar form (W3C CSS Color 4).
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Oklch {
    /// Lightness, 0 black to 1 white.
    pub l: f32,
    /// Chroma, 0 grey; sRGB reaches 0.32.
    pub c: f32,
    /// Hue, 0 to below 360 when computed; any angle is accepted. Of a grey it says nothing.
    pub h_degrees: f32,
}

impl Oklch {
    /// The same place in OKLab. A negative chroma counts as 0, as in CSS.
    pub fn oklab(self) -> Oklab {
        // The remainder first: f32 degrees far outside a turn lose their meaning, but must not give NaN.
        let (sin, cos) = libm::sincosf(self.h_degrees.rem_euclid(360.0).to_radians());
        let c = self.c.max(0.0);
        Oklab { l: self.l, a: c * cos, b: c * sin }
    }

    /// The colour at this place, not mapped into any gamut.
    pub fn colour(self) -> Colour {
        self.oklab().colour()
    }
}

impl Oklab {
    /// The same place in polar form.
    pub fn oklch(self) -> Oklch {
        let h_degrees = libm::atan2f(self.b, self.a).to_degrees().rem_euclid(360.0);
        // A tiny negative angle rounds up to a full turn.
        Oklch { l: self.l, c: self.chroma(), h_degrees: if h_degrees < 360.0 { h_degrees } else { 0.0 } }
    }
}

impl Colour {
    /// OKLCh of this colour.
    pub fn oklch(self) -> Oklch {
        self.oklab().oklch()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_run_from_red_over_yellow_to_blue() {
        let at = |a, b| Oklab { l: 0.5, a, b }.oklch();
        assert_eq!(at(0.1, 0.0).h_degrees, 0.0);
        assert_eq!(at(0.0, 0.1).h_degrees, 90.0);
        assert_eq!(at(0.0, -0.1).h_degrees, 270.0);
        assert_eq!(at(0.1, -1e-30).h_degrees, 0.0);
        assert_eq!(at(0.3, 0.4).c, 0.5);
        let back = at(-0.3, 0.4).oklab();
        assert!((back.a + 0.3).abs() < 1e-6 && (back.b - 0.4).abs() < 1e-6, "{back:?}");
        let turned = Oklch { l: 0.5, c: 0.1, h_degrees: -90.0 - 720.0 }.oklab();
        assert!(turned.a.abs() < 1e-6 && (turned.b + 0.1).abs() < 1e-6, "{turned:?}");
    }
}
