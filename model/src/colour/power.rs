//! Powers of numbers by the million, for whole photos: in sums and products alone, so that every bit is the same on every system, and
//! faster than the function of crate `libm` for single numbers.

/// Powers of two up to which the result is made; beyond them a number in single precision is 0 or infinite.
const MOST: f64 = 1000.0;
/// Added and taken off again, it rounds to a whole number (IEEE 754, the one rounding to nearest).
const ROUNDS: f64 = 6_755_399_441_055_744.0;
/// Parts that an octave is cut into, for the logarithm and for the way back: then a few terms of a series are enough.
const PARTS: usize = 32;
/// One over the middle of each part of the numbers from 1 to 2, and the binary logarithm of that middle.
const MIDDLES: [(f64, f64); PARTS] = middles();
/// Two to the power of 0, 1/32 ... 31/32.
const ROOTS: [f64; PARTS] = roots();

/// `x` to the power of `exponent`, within one unit of the last place of single precision. 0 stays 0; what is negative or no number has no
/// power.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the one rounding to f32, and whole numbers below PARTS times MOST"
)]
pub(crate) fn power(x: f32, exponent: f32) -> f32 {
    if x <= 0.0 || !x.is_finite() {
        return if x == 0.0 { 0.0 } else { f32::NAN };
    }
    let raised = (f64::from(exponent) * log2(f64::from(x))).clamp(-MOST, MOST) * PARTS as f64;
    let whole = (raised + ROUNDS) - ROUNDS;
    let parts = whole as i64;
    let scale = f64::from_bits(((parts.div_euclid(PARTS as i64) + 1023) as u64) << 52);
    let root = ROOTS[parts.rem_euclid(PARTS as i64) as usize];
    // Two to the power of what is left, by the series of the exponential function (Abramowitz & Stegun, Handbook of Mathematical
    // Functions, 4.2.1). What is left out is below 2e-12.
    let y = (raised - whole) * (std::f64::consts::LN_2 / PARTS as f64);
    let z = y * y;
    let rest = (1.0 + y) + z * ((0.5 + y / 6.0) + z / 24.0);
    (root * rest * scale) as f32
}

/// Binary logarithm of a normal positive number: that of the middle of the part it lies in, and of how far it lies beside it by the series
/// of the natural logarithm (4.1.24 there). What is left out is below 2e-13.
#[expect(clippy::cast_possible_truncation, reason = "the place of a part among a few")]
fn log2(x: f64) -> f64 {
    const MANTISSA: u64 = (1 << 52) - 1;
    let bits = x.to_bits();
    let exponent = (bits >> 52) as f64 - 1023.0;
    let mantissa = f64::from_bits(bits & MANTISSA | 1023 << 52);
    let (over, log2) = MIDDLES[(bits >> (52 - PARTS.ilog2())) as usize % PARTS];
    let r = mantissa * over - 1.0;
    let z = r * r;
    let rest = r * (1.0 - r / 2.0) + r * z * ((1.0 / 3.0 - r / 4.0) + z * (1.0 / 5.0 - r / 6.0));
    exponent + (log2 + rest * std::f64::consts::LOG2_E)
}

const fn middles() -> [(f64, f64); PARTS] {
    let mut middles = [(0.0, 0.0); PARTS];
    let mut i = 0;
    while i < PARTS {
        let middle = 1.0 + (i as f64 + 0.5) / PARTS as f64;
        // The series of the inverse hyperbolic tangent (4.1.27 there), up to where it adds nothing.
        let s = (middle - 1.0) / (middle + 1.0);
        let (mut sum, mut term, mut odd) = (0.0, s, 1.0);
        while odd < 60.0 {
            sum += term / odd;
            (term, odd) = (term * s * s, odd + 2.0);
        }
        middles[i] = (1.0 / middle, 2.0 * sum * std::f64::consts::LOG2_E);
        i += 1;
    }
    middles
}

const fn roots() -> [f64; PARTS] {
    let mut roots = [0.0; PARTS];
    let mut i = 0;
    while i < PARTS {
        let x = i as f64 / PARTS as f64 * std::f64::consts::LN_2;
        let (mut sum, mut term, mut n) = (0.0, 1.0, 1.0);
        while n < 30.0 {
            sum += term;
            (term, n) = (term * x / n, n + 1.0);
        }
        roots[i] = sum;
        i += 1;
    }
    roots
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn powers_are_right_to_the_last_place_of_single_precision() {
        let mut worst = 0.0_f64;
        for exponent in [0.3_f32, 0.5, 0.8, 1.0, 1.8, 2.4, -0.5, -0.2] {
            for i in 1..20_000_u16 {
                let x = f32::from(i) * 1e-4 + f32::from(i % 7) * 1e-9;
                let (own, wanted) = (f64::from(power(x, exponent)), libm::pow(f64::from(x), f64::from(exponent)));
                worst = worst.max((own - wanted).abs() / wanted);
            }
        }
        assert!(worst < 6e-8, "{worst:e}");
        assert_eq!([power(0.0, 1.8), power(1.0, 1.8), power(4.0, 0.5), power(4.0, -0.5)], [0.0, 1.0, 2.0, 0.5]);
        assert!(power(-1.0, 2.0).is_nan() && power(f32::NAN, 2.0).is_nan());
        assert_eq!([power(1e-38, 30.0), power(1e38, 30.0)], [0.0, f32::INFINITY]);
        // The smallest numbers there are have powers too.
        assert!((power(1e-44, 0.5) / libm::sqrtf(1e-44) - 1.0).abs() < 1e-6);
    }
}
