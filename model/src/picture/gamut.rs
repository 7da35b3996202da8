//! The colour spaces a file may have, and how a colour gets into one.

use crate::colour::gamut::{DISPLAY_P3, Gamut, SRGB, into_gamut};
use crate::colour::{Colour, rgb_space};

/// The colour space of an exported picture. Both have the transfer curve of IEC 61966-2-1 and a D65 white.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
pub enum OutputGamut {
    /// sRGB (IEC 61966-2-1): what every screen and printer expects.
    #[default]
    Srgb,
    /// Display P3 (primaries of SMPTE EG 432-1): wider reds, oranges and greens, for recent screens.
    DisplayP3,
}

impl OutputGamut {
    /// x and y of red, green, blue and white, as the PNG chunk `cHRM` wants them.
    pub(super) fn chromaticities(self) -> [[f64; 2]; 4] {
        let [red, green, blue] = match self {
            OutputGamut::Srgb => rgb_space::SRGB_PRIMARIES,
            OutputGamut::DisplayP3 => rgb_space::DISPLAY_P3_PRIMARIES,
        };
        [red, green, blue, rgb_space::D65_XY]
    }

    fn gamut(self) -> &'static Gamut {
        match self {
            OutputGamut::Srgb => &SRGB,
            OutputGamut::DisplayP3 => &DISPLAY_P3,
        }
    }
}

/// Linear components of `colour` in the primaries of `gamut`, each 0-1. A colour outside is mapped by the CSS Color 4
/// method; one that is outside by rounding alone is clipped.
pub(super) fn into_output_gamut(colour: Colour, gamut: OutputGamut) -> [f32; 3] {
    let inside = if gamut.gamut().nearly_holds(colour) { colour } else { into_gamut(colour, gamut.gamut()) };
    let linear = match gamut {
        OutputGamut::Srgb => [inside.r, inside.g, inside.b],
        // Grey has the same components in both spaces; the matrix would move the last bit.
        OutputGamut::DisplayP3 if inside.r == inside.g && inside.g == inside.b => [inside.r; 3],
        OutputGamut::DisplayP3 => inside.to_display_p3(),
    };
    linear.map(|v| v.clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grey_stays_grey_and_outside_is_mapped() {
        for i in 0..=10_000u16 {
            let v = f32::from(i) / 10_000.0;
            assert_eq!(into_output_gamut(Colour::new(v, v, v), OutputGamut::DisplayP3), [v; 3]);
        }
        let orange = Colour::new(1.2, 0.5, -0.02);
        let mapped = into_output_gamut(orange, OutputGamut::Srgb);
        assert!(mapped.iter().all(|v| (0.0..=1.0).contains(v)), "{mapped:?}");
        let want = into_gamut(orange, &SRGB);
        assert_eq!(mapped, [want.r, want.g, want.b]);
        let inside = into_output_gamut(Colour::new(1.1, 0.1, 0.0), OutputGamut::DisplayP3);
        assert!(inside[0] < 1.0 && inside[0] > 0.9, "a red outside sRGB is inside Display P3: {inside:?}");
    }
}
