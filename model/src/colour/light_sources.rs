//! The whites of light sources: daylight, glowing bodies, and what lies between.

/// Correlated colour temperatures for which the CIE states its daylight formula, kelvin.
pub const DAYLIGHT_RANGE_K: std::ops::RangeInclusive<f64> = 4000.0..=25_000.0;

/// Correlated colour temperature of D65, kelvin: 6500 K corrected for today's second radiation constant, 1.4388/1.4380.
pub const D65_K: f64 = 6500.0 * 1.4388 / 1.4380;

/// Chromaticity x, y of the CIE daylight with this correlated colour temperature in kelvin; none outside
/// [`DAYLIGHT_RANGE_K`]. Source: CIE 15:2004, formula of the D illuminants.
pub fn daylight_xy(cct_k: f64) -> Option<[f64; 2]> {
    if !DAYLIGHT_RANGE_K.contains(&cct_k) {
        return None;
    }
    let t = 1000.0 / cct_k;
    let x = if cct_k <= 7000.0 {
        ((-4.6070 * t + 2.9678) * t + 0.09911) * t + 0.244063
    } else {
        ((-2.0064 * t + 1.9018) * t + 0.24748) * t + 0.237040
    };
    Some([x, (-3.000 * x + 2.870) * x - 0.275])
}

/// Chromaticity x, y of a glowing body of this temperature in kelvin, 1667 to 25000: the cubic fit of B. Kang et al., "Design
/// of advanced color temperature control system for HDTV applications", J. Korean Phys. Soc. 41(6):865-871 (2002), within 6e-4
/// of Planck's law.
pub fn planckian_xy(kelvin: f64) -> [f64; 2] {
    let t = kelvin.clamp(1667.0, 25_000.0);
    let x = if t <= 4000.0 {
        -0.266_123_9e9 / t.powi(3) - 0.234_358_9e6 / t.powi(2) + 0.877_695_6e3 / t + 0.179_910
    } else {
        -3.025_846_9e9 / t.powi(3) + 2.107_037_9e6 / t.powi(2) + 0.222_634_7e3 / t + 0.240_390
    };
    let [a, b, c, d] = if t <= 2222.0 {
        [-1.106_381_4, -1.348_110_20, 2.185_558_32, -0.202_196_83]
    } else if t <= 4000.0 {
        [-0.954_947_6, -1.374_185_93, 2.091_370_15, -0.167_488_67]
    } else {
        [3.081_758_0, -5.873_386_70, 3.751_129_97, -0.370_014_83]
    };
    [x, ((a * x + b) * x + c) * x + d]
}

/// Colour temperatures over which a glowing body passes into daylight, kelvin. Source: CIE 224:2017, section 4.2 (from memory).
pub const BLEND_RANGE_K: std::ops::RangeInclusive<f64> = 4000.0..=5000.0;

/// Chromaticity x, y of the light of this correlated colour temperature in kelvin, 1667 to 25000: a glowing body up to 4000 K, CIE
/// daylight from 5000 K. The two do not meet, so between these one gives way to the other in proportion, at equal luminance, as in the
/// reference illuminants of CIE 224:2017.
pub fn light_xy(kelvin: f64) -> [f64; 2] {
    let body = planckian_xy(kelvin);
    let Some(daylight) = daylight_xy(kelvin) else { return body };
    let (low, high) = (*BLEND_RANGE_K.start(), *BLEND_RANGE_K.end());
    let part = ((kelvin - low) / (high - low)).clamp(0.0, 1.0);
    if part <= 0.0 || part >= 1.0 {
        return if part <= 0.0 { body } else { daylight };
    }
    // X + Y + Z of equal Y, which is what a mixture of lights adds up.
    let (a, b) = ((1.0 - part) / body[1], part / daylight[1]);
    [0, 1].map(|i| (a * body[i] + b * daylight[i]) / (a + b))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Halfway by hand: X/Y, 1 and Z/Y are the means of those of both lights.
    #[test]
    fn daylight_takes_over_at_equal_luminance() {
        let tristimulus = |[x, y]: [f64; 2]| [x / y, 1.0, (1.0 - x - y) / y];
        let [body, day] = [planckian_xy(4500.0), daylight_xy(4500.0).unwrap_or_default()].map(tristimulus);
        let got = tristimulus(light_xy(4500.0));
        for i in 0..3 {
            assert!((got[i] - f64::midpoint(body[i], day[i])).abs() < 1e-12, "{got:?}");
        }
        assert_eq!(light_xy(4000.0), planckian_xy(4000.0));
        assert_eq!(Some(light_xy(5000.0)), daylight_xy(5000.0));
        assert_eq!(light_xy(3000.0), planckian_xy(3000.0));
    }

    #[test]
    fn stops_where_the_formula_does() {
        assert!(daylight_xy(3999.9).is_none() && daylight_xy(25_000.1).is_none() && daylight_xy(f64::NAN).is_none());
        assert!(daylight_xy(4000.0).is_some() && daylight_xy(25_000.0).is_some());
    }

    #[test]
    fn both_branches_meet_at_7000_k() {
        let (below, above) = (daylight_xy(7000.0), daylight_xy(7000.01));
        let step = below.zip(above).map(|(b, a)| (b[0] - a[0]).abs() + (b[1] - a[1]).abs());
        assert!(step.is_some_and(|s| s < 5e-6), "{step:?}");
    }
}
