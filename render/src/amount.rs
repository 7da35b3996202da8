//! Amounts: whole steps of 1/65535 of full cover, and the one rounding rule everything shares.
//!
//! Mirror: `shaders/common/amount.wgsl`.

/// Full cover.
pub const FULL: u32 = 65535;

/// `a * b / 65535`, rounded to the nearest whole number. Exact for all `a`, `b` in 0..=65535 without leaving u32: dividing
/// by 65535 is dividing by 65536 and adding the 1/65536th part back.
#[inline(always)]
pub const fn scale(a: u32, b: u32) -> u32 {
    let t = a.wrapping_mul(b).wrapping_add(0x8000);
    t.wrapping_add(t >> 16) >> 16
}

/// The nearest amount to a fraction of full cover; below 0 and NaN give 0, above 1 gives 65535.
#[inline(always)]
#[expect(clippy::cast_possible_truncation, reason = "the cast saturates at both ends, which is the clamp wanted here")]
pub fn from_fraction(fraction: f32) -> u16 {
    (fraction * FULL as f32 + 0.5) as u16
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the definition in 64-bit whole numbers: floor((2ab + 65535) / (2 * 65535)).
    #[test]
    fn scale_is_exact_rounding() {
        let exact = |a: u32, b: u32| ((2 * u64::from(a) * u64::from(b) + 65535) / 131_070) as u32;
        let probes: Vec<u32> =
            (0..=65535).step_by(257).chain((0..=65535).step_by(251)).chain([1, 2, 32767, 32768, 65534]).collect();
        for a in 0..=FULL {
            for &b in &probes[..if a % 64 == 0 { probes.len() } else { 8 }] {
                assert_eq!(scale(a, b), exact(a, b), "{a} * {b}");
            }
            assert_eq!(scale(a, FULL), a);
            assert_eq!(scale(a, FULL - a), exact(a, FULL - a));
        }
    }
}
