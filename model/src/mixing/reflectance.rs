//! The reflectance that a paint of a given colour may have, in twelve bands of the visible spectrum.
//!
//! A colour does not say which reflectance it comes from; this takes the smoothest one between 0 and 1: S. A. Burns, "Numerical
//! methods for smoothest reflectance reconstruction", Color Res. Appl. 45(1):8-21 (2020), the method with the hyperbolic tangent (LHTSS).

/// Bands of 30 nm, from 380 to 740 nm.
pub const BANDS: usize = 12;

/// What a reflectance of 1 in one band adds to linear sRGB: red, green, blue. CIE 1931 2-degree colour-matching functions times D65 at
/// 10 nm, three samples to a band, brought to linear sRGB (IEC 61966-2-1); each row is scaled so that a perfect white is exactly 1.
pub const BAND_COLOURS: [[f32; BANDS]; 3] = [
    [
        0.001_175_017_5,
        0.029_955_575,
        0.040_429_163,
        -0.096_266_076,
        -0.239_560_64,
        -0.148_258_8,
        0.277_079_55,
        0.602_285_1,
        0.407_100_6,
        0.108_864_4,
        0.015_391_086,
        0.001_804_996_5,
    ],
    [
        -0.001_011_384_8,
        -0.027_243_335,
        -0.053_170_45,
        0.064_889_36,
        0.285_623_6,
        0.440_02,
        0.284_954_2,
        0.046_439_036,
        -0.027_678_068,
        -0.010_971_858,
        -0.001_655_192_4,
        -0.000_195_920_16,
    ],
    [
        0.007_111_332,
        0.201_511_35,
        0.590_998_6,
        0.285_538_53,
        0.023_816_964,
        -0.044_687_52,
        -0.040_666_63,
        -0.017_883_88,
        -0.004_784_243,
        -0.000_837_091_3,
        -0.000_105_287_98,
        -0.000_012_120_847,
    ],
];

/// The components of linear sRGB for which a curve is looked for: the hyperbolic tangent reaches neither black nor white.
const DARKEST: f64 = 1e-4;
/// Steps of Newton's method at most; the corners of sRGB take about 34, ordinary paints 8.
const MAX_STEPS: usize = 80;
/// The sum of squares at which the equations hold.
const SOLVED: f64 = 1e-18;
/// Unknowns: a curve and three multipliers.
const UNKNOWNS: usize = BANDS + 3;

/// Linear sRGB of a reflectance under D65.
pub fn colour_of(curve: &[f64; BANDS]) -> [f64; 3] {
    BAND_COLOURS.map(|row| row.iter().zip(curve).map(|(weight, reflected)| f64::from(*weight) * reflected).sum())
}

/// Absorption over scattering, K/S, of an opaque layer of paint that reflects this much, above 0 and up to 1.
pub fn absorption_ratio(reflected: f64) -> f64 {
    (1.0 - reflected) * (1.0 - reflected) / (2.0 * reflected)
}

/// What an opaque layer reflects whose absorption is this many times its scattering; the inverse of [`absorption_ratio`] without the
/// difference of two large numbers.
pub fn reflectance(ratio: f64) -> f64 {
    1.0 / (1.0 + ratio + (ratio * (ratio + 2.0)).sqrt())
}

/// The smoothest reflectance between 0 and 1 that looks like a colour, linear sRGB, under D65. A colour that no reflectance shows is
/// taken by its nearest components within 0-1.
pub fn reflectance_of(linear: [f64; 3]) -> [f64; BANDS] {
    let wanted = linear.map(|v| v.clamp(DARKEST, 1.0 - DARKEST));
    let mut at = [0.0; UNKNOWNS];
    let mut off = Equations::at(&at, wanted);
    for _ in 0..MAX_STEPS {
        if off.size() < SOLVED {
            break;
        }
        let Some(step) = off.newton_step(&at) else { break };
        let mut length = 1.0;
        loop {
            let next: [f64; UNKNOWNS] = std::array::from_fn(|i| at[i] + length * step[i]);
            let there = Equations::at(&next, wanted);
            if there.size() < off.size() || length < 1e-6 {
                (at, off) = (next, there);
                break;
            }
            length *= 0.5;
        }
    }
    std::array::from_fn(|i| 0.5 * (off.tanh[i] + 1.0))
}

/// What has to vanish: the gradient of the sum of squared differences of neighbouring bands (before the hyperbolic tangent) with three
/// multipliers, and the difference from the wanted colour.
struct Equations {
    tanh: [f64; BANDS],
    values: [f64; UNKNOWNS],
}

/// How the gradient of the roughness depends on the bands: a band has one neighbour or two.
fn roughness(row: usize, column: usize) -> f64 {
    match row.abs_diff(column) {
        0 if row == 0 || row == BANDS - 1 => 2.0,
        0 => 4.0,
        1 => -2.0,
        _ => 0.0,
    }
}

impl Equations {
    fn at(unknowns: &[f64; UNKNOWNS], wanted: [f64; 3]) -> Self {
        let tanh: [f64; BANDS] = std::array::from_fn(|i| libm::tanh(unknowns[i]));
        let mut values = [0.0; UNKNOWNS];
        for (i, value) in values.iter_mut().enumerate().take(BANDS) {
            let near = i.saturating_sub(1)..(i + 2).min(BANDS);
            let rough: f64 = near.map(|j| roughness(i, j) * unknowns[j]).sum();
            *value = rough + 0.5 * (1.0 - tanh[i] * tanh[i]) * pull(unknowns, i);
        }
        let shown = colour_of(&tanh.map(|t| 0.5 * (t + 1.0)));
        for (value, (shown, wanted)) in values[BANDS..].iter_mut().zip(shown.into_iter().zip(wanted)) {
            *value = shown - wanted;
        }
        Equations { tanh, values }
    }

    fn size(&self) -> f64 {
        self.values.iter().map(|v| v * v).sum()
    }

    /// Newton's step; none where the equations depend on each other.
    fn newton_step(&self, unknowns: &[f64; UNKNOWNS]) -> Option<[f64; UNKNOWNS]> {
        let mut rows = [[0.0; UNKNOWNS + 1]; UNKNOWNS];
        for i in 0..BANDS {
            let slope = 1.0 - self.tanh[i] * self.tanh[i];
            for (j, value) in rows[i].iter_mut().enumerate().take(BANDS) {
                *value = roughness(i, j);
            }
            rows[i][i] -= slope * self.tanh[i] * pull(unknowns, i);
            for (k, weights) in BAND_COLOURS.iter().enumerate() {
                let value = 0.5 * slope * f64::from(weights[i]);
                rows[i][BANDS + k] = value;
                rows[BANDS + k][i] = value;
            }
        }
        for (row, value) in rows.iter_mut().zip(self.values) {
            row[UNKNOWNS] = -value;
        }
        solved(rows)
    }
}

/// What the multipliers make of one band.
fn pull(unknowns: &[f64; UNKNOWNS], band: usize) -> f64 {
    BAND_COLOURS.iter().zip(&unknowns[BANDS..]).map(|(weights, m)| f64::from(weights[band]) * m).sum()
}

/// The solution of linear equations, by elimination with the largest pivot.
fn solved(mut rows: [[f64; UNKNOWNS + 1]; UNKNOWNS]) -> Option<[f64; UNKNOWNS]> {
    for i in 0..UNKNOWNS {
        let largest = (i..UNKNOWNS).max_by(|&a, &b| rows[a][i].abs().total_cmp(&rows[b][i].abs()))?;
        rows.swap(i, largest);
        let pivot = rows[i];
        if pivot[i].abs() < 1e-300 {
            return None;
        }
        for row in &mut rows[i + 1..] {
            let times = row[i] / pivot[i];
            if times != 0.0 {
                row[i..].iter_mut().zip(&pivot[i..]).for_each(|(value, above)| *value -= times * above);
            }
        }
    }
    let mut solution = [0.0; UNKNOWNS];
    for i in (0..UNKNOWNS).rev() {
        let known: f64 = (i + 1..UNKNOWNS).map(|j| rows[i][j] * solution[j]).sum();
        solution[i] = (rows[i][UNKNOWNS] - known) / rows[i][i];
    }
    Some(solution)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every colour of a grid over sRGB has a curve between 0 and 1 that shows it.
    #[test]
    fn every_colour_of_srgb_has_a_reflectance_that_shows_it() {
        for i in 0..11 * 11 * 11 {
            let wanted = [i % 11, i / 11 % 11, i / 121].map(|v| f64::from(v) / 10.0);
            let curve = reflectance_of(wanted);
            assert!(curve.iter().all(|r| *r > 0.0 && *r < 1.0), "{wanted:?}: {curve:?}");
            for (got, want) in colour_of(&curve).into_iter().zip(wanted) {
                assert!((got - want).abs() < DARKEST + 1e-8, "{wanted:?}: {got} {want}");
            }
        }
    }

    /// By hand: a grey of 0.5 absorbs a quarter of what it scatters, and back.
    #[test]
    fn absorption_and_reflectance_are_inverse() {
        assert!((absorption_ratio(0.5) - 0.25).abs() < 1e-15);
        for reflected in [1e-4, 0.01, 0.3, 0.5, 0.99, 1.0] {
            assert!((reflectance(absorption_ratio(reflected)) - reflected).abs() < 1e-12, "{reflected}");
        }
    }

    #[test]
    fn white_is_exactly_white() {
        for sum in BAND_COLOURS.map(|row| row.iter().map(|w| f64::from(*w)).sum::<f64>()) {
            assert!((sum - 1.0).abs() < 1e-7, "{sum}");
        }
    }
}
