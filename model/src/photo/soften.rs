//! The Gaussian that softens camera specks, integrated over each pixel.
//!
//! A pixel is an area, not a point: the weight of the pixel `k` steps away is the Gaussian's integral over that pixel,
//! `W(k) = Phi((k + 1/2) / sigma) - Phi((k - 1/2) / sigma)` with `Phi` the normal distribution function. Below one
//! pixel this differs a good deal from sampling the bell at pixel centres (by up to 0.1 at sigma 0.5), and it is the
//! one that stays true for the small sigmas used here.

use std::f64::consts::{FRAC_2_SQRT_PI, SQRT_2};

/// Largest standard deviation that is applied, in pixels.
pub const MAX_SIGMA_PX: f32 = 3.0;
/// Below this standard deviation, in pixels, nothing is done: the neighbours would get less than 1e-7 of the weight.
pub const MIN_SIGMA_PX: f32 = 0.09;

/// erf(x) by the series `2/sqrt(pi) exp(-x^2) sum 2^n x^(2n+1) / (1 3 5 ... (2n+1))` (Abramowitz & Stegun, Handbook of
/// Mathematical Functions, 7.1.6). All terms have one sign, so nothing cancels; at |x| = 6 it has reached 1 in f64.
fn erf(x: f64) -> f64 {
    if x.abs() >= 6.0 {
        return x.signum();
    }
    let (mut term, mut sum, mut odd) = (x, x, 1.0);
    while term.abs() > sum.abs() * 1e-17 {
        odd += 2.0;
        term *= 2.0 * x * x / odd;
        sum += term;
    }
    FRAC_2_SQRT_PI * libm::exp(-x * x) * sum
}

/// The weights of one dimension.
#[derive(Clone, PartialEq, Debug)]
pub struct Kernel {
    /// Weights from the centre outwards in both directions, `2 * radius + 1` of them; their sum is 1.
    taps: Vec<f32>,
}

impl Kernel {
    /// The kernel of a standard deviation in pixels, or `None` when it is so small (or not a number) that it changes
    /// nothing. Larger values than [`MAX_SIGMA_PX`] are brought down to it. The bell is cut at five standard
    /// deviations, where less than 6e-7 of it is left.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the deviation is at most MAX_SIGMA_PX, and weights are in single precision"
    )]
    pub fn new(sigma_px: f32) -> Option<Self> {
        if sigma_px.is_nan() || sigma_px < MIN_SIGMA_PX {
            return None;
        }
        let sigma = f64::from(sigma_px.min(MAX_SIGMA_PX));
        let radius = (5.0 * sigma + 0.5).ceil() as i32;
        let up_to = |edge: f64| 0.5 * (1.0 + erf(edge / (sigma * SQRT_2)));
        let weights: Vec<f64> =
            (-radius..=radius).map(|k| up_to(f64::from(k) + 0.5) - up_to(f64::from(k) - 0.5)).collect();
        let sum: f64 = weights.iter().sum();
        Some(Kernel { taps: weights.iter().map(|w| (w / sum) as f32).collect() })
    }

    /// How many pixels the kernel reaches to each side.
    pub fn radius_px(&self) -> usize {
        self.taps.len() / 2
    }

    /// The weights, left to right.
    pub fn taps(&self) -> &[f32] {
        &self.taps
    }

    /// Softens the inside of a padded block, rows first: `padded` has `padded_width_px` columns, and the result is
    /// smaller by twice the radius in both directions. Each result depends on its own neighbourhood only, in a fixed
    /// order, so that a block gives the same bits however a picture is cut into blocks.
    pub fn inside<const N: usize>(&self, padded: &[[f32; N]], padded_width_px: usize) -> Vec<[f32; N]> {
        let reach = 2 * self.radius_px();
        let padded_height_px = padded.len() / padded_width_px.max(1);
        if padded_width_px <= reach || padded_height_px <= reach {
            return Vec::new();
        }
        let width = padded_width_px - reach;
        let mut rows = vec![[0.0; N]; width * padded_height_px];
        for (row, source) in rows.chunks_exact_mut(width).zip(padded.chunks_exact(padded_width_px)) {
            for (k, &tap) in self.taps.iter().enumerate() {
                add_scaled(row, &source[k..k + width], tap);
            }
        }
        let mut result = vec![[0.0; N]; width * (padded_height_px - reach)];
        for (y, row) in result.chunks_exact_mut(width).enumerate() {
            for (k, &tap) in self.taps.iter().enumerate() {
                add_scaled(row, &rows[(y + k) * width..(y + k + 1) * width], tap);
            }
        }
        result
    }

    /// Softens a whole picture of `width_px` columns whose edge pixels repeat outwards for ever.
    pub fn whole<const N: usize>(&self, pixels: &[[f32; N]], width_px: usize) -> Vec<[f32; N]> {
        let height_px = pixels.len() / width_px.max(1);
        if height_px == 0 {
            return Vec::new();
        }
        let radius = self.radius_px();
        let inside = |i: usize, size: usize| i.saturating_sub(radius).min(size - 1);
        let mut padded = Vec::with_capacity((width_px + 2 * radius) * (height_px + 2 * radius));
        for y in 0..height_px + 2 * radius {
            let row = &pixels[inside(y, height_px) * width_px..][..width_px];
            padded.extend((0..width_px + 2 * radius).map(|x| row[inside(x, width_px)]));
        }
        self.inside(&padded, width_px + 2 * radius)
    }
}

fn add_scaled<const N: usize>(sum: &mut [[f32; N]], source: &[[f32; N]], tap: f32) {
    for (sum, pixel) in sum.iter_mut().zip(source) {
        for (sum, value) in sum.iter_mut().zip(pixel) {
            *sum += tap * value;
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    // Abramowitz & Stegun, Table 7.1 (values from memory, ten digits).
    #[test]
    fn erf_matches_the_handbook() {
        for (x, value) in [(0.5, 0.520_499_877_8), (1.0, 0.842_700_792_9), (2.0, 0.995_322_265_0)] {
            assert!((erf(x) - value).abs() < 1e-10, "erf({x}) = {}", erf(x));
            assert!((erf(-x) + value).abs() < 1e-10);
        }
    }

    #[test]
    fn a_flat_picture_stays_flat_and_small_sigmas_do_nothing() {
        let flat = vec![[0.25f32, 0.5, 1.0]; 7 * 5];
        for pixel in Kernel::new(2.0).unwrap().whole(&flat, 7) {
            for (value, expected) in pixel.iter().zip([0.25, 0.5, 1.0]) {
                assert!((value - expected).abs() < 1e-6);
            }
        }
        assert!(Kernel::new(0.0).is_none() && Kernel::new(0.05).is_none() && Kernel::new(f32::NAN).is_none());
        assert_eq!(Kernel::new(99.0), Kernel::new(MAX_SIGMA_PX));
    }
}
