//! Linear light to the 8-bit sRGB codes of the screen.

use super::oklab::{LANES, Lanes};
use std::sync::LazyLock;
use stint_model::picture::code_8;

/// Steps of the encoding table. The steepest part of the sRGB curve has 3294 codes a unit (12.92 x 255), so that one step
/// is a fifth of a code.
const STEPS: usize = 16384;

/// Linear light, 0 to 1 in even steps, to 8-bit sRGB, for the screen. Export encodes each component exactly.
static ENCODE: LazyLock<Vec<u8>> =
    LazyLock::new(|| (0..STEPS).map(|i| code_8(i as f32 / (STEPS - 1) as f32)).collect());

/// Components of 0-1 encoded and packed: RGBA with red in the lowest byte.
#[inline(always)]
pub(super) fn pack(linear: &[Lanes; 3]) -> [u32; LANES] {
    let encode = &ENCODE[..STEPS];
    // Loops, not `array::from_fn`: that is compiled once, for the plainest machine.
    let mut steps = [[0_u32; LANES]; 3];
    for (steps, linear) in steps.iter_mut().zip(linear) {
        for (step, v) in steps.iter_mut().zip(linear) {
            // What is no number is black. A cast to a whole number would be worked out one by one; beside 2^23 there is no room for a
            // fraction, and the sum's low bits are the nearest whole number.
            let v = if *v > 0.0 { *v } else { 0.0 };
            *step = (v * (STEPS - 1) as f32 + 8_388_608.0).to_bits() & 0x007f_ffff;
        }
    }
    let code = |step: u32| u32::from(encode[(step as usize).min(STEPS - 1)]);
    let mut packed = [0; LANES];
    for (i, packed) in packed.iter_mut().enumerate() {
        *packed = code(steps[0][i]) | code(steps[1][i]) << 8 | code(steps[2][i]) << 16 | 0xff00_0000;
    }
    packed
}

#[cfg(test)]
mod tests {
    use super::*;
    use stint_model::colour::encode;

    #[test]
    fn the_encoding_table_is_right_to_half_a_code_and_a_fifth() {
        for i in 0..=100_000 {
            let v = f64::from(i) / 100_000.0;
            let exact = 255.0 * encode(v as f32);
            let got = ENCODE[(v * (STEPS - 1) as f64 + 0.5) as usize];
            assert!((f32::from(got) - exact).abs() < 0.71, "{v}");
        }
    }
}
