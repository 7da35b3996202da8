//! The whites of daylight.

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

#[cfg(test)]
mod tests {
    use super::*;

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
