//! Latent points of the mixing models: sums of them weighted by visible amounts, and from sums to linear light.
//!
//! Mirrors: `shaders/common/mixing.wgsl`, `shaders/common/pigment.wgsl`.

use super::layers::LayerWords;
use super::oklab::{LANES, Lanes, linear_of_oklab};
use crate::amount::FULL;
use crate::paints::PaintLut;
use crate::pixel::{amount_of, paint_of, show_layer};
use stint_model::colour::Colour;
use stint_model::mixing::reflectance::{BAND_COLOURS, BANDS};
use stint_model::mixing::{Latent, Mixing, WEIGHT};
use stint_model::study::tile::Words;

/// The points of a table of paints, of `N` numbers each: 4, or as many as there are.
#[derive(Clone, Copy)]
pub struct Latents<'a, const N: usize> {
    points: &'a [[f32; N]],
    unknown: &'a [f32; N],
    mixing: Mixing,
}

impl<'a, const N: usize> Latents<'a, N> {
    /// Of a table whose model has points of `N` numbers.
    ///
    /// # Panics
    /// When its model has points of another length.
    pub fn new(paints: &'a PaintLut) -> Self {
        assert_eq!(paints.mixing().latent_numbers(), N, "the points of the model have another length");
        let points = paints.latents().as_chunks().0;
        Latents { points, unknown: &points[paints.unknown() as usize], mixing: paints.mixing() }
    }

    #[inline(always)]
    fn point(&self, paint: u32) -> &[f32; N] {
        self.points.get(paint as usize).unwrap_or(self.unknown)
    }

    #[inline(always)]
    fn add(&self, sum: &mut [f32; N], paint: u32, amount: u32) {
        let weight = amount as i32 as f32;
        for (sum, value) in sum.iter_mut().zip(self.point(paint)) {
            *sum += value * weight;
        }
    }

    /// Sum of latent points of one pixel weighted by visible amounts, which sum to 65535.
    #[inline(always)]
    pub fn mixture(&self, layers: &[LayerWords<'_>], i: usize) -> [f32; N] {
        let mut sum = [0.0; N];
        let mut left = FULL;
        if let [layer] = layers
            && layer.strength == FULL
        {
            // It shows as it is stored.
            for pair in layer.pairs(i) {
                let amount = amount_of(pair).min(left);
                left -= amount;
                self.add(&mut sum, paint_of(pair), amount);
            }
            self.add(&mut sum, 0, left);
            return sum;
        }
        for layer in layers {
            left = show_layer(layer.pairs(i), layer.strength, left, |id, amount| self.add(&mut sum, id, amount));
            if left == 0 {
                break;
            }
        }
        self.add(&mut sum, 0, left);
        sum
    }

    /// The same of sixteen pixels of a single pass of full strength, which shows as it is stored.
    #[inline(always)]
    pub fn mixtures(&self, planes: &[Words<'_>], at: usize, sums: &mut [Lanes; N]) {
        let mut left = [FULL; LANES];
        let mut pixels = [[0.0; N]; LANES];
        let mut gathered = false;
        for words in planes {
            let mut pairs = [0; LANES];
            match words {
                Words::Even(word) => pairs = [*word; LANES],
                Words::Pixels(words) => pairs.copy_from_slice(&words[at..at + LANES]),
            }
            // An empty place adds nothing of any paint, so it needs no branch.
            let (mut most, mut odd) = (0, 0);
            for pair in pairs {
                most = most.max(pair);
            }
            for pair in pairs {
                odd |= if pair == 0 { 0 } else { pair ^ most };
            }
            let mut weights = [0.0; LANES];
            for l in 0..LANES {
                let amount = amount_of(pairs[l]).min(left[l]);
                left[l] -= amount;
                weights[l] = amount as i32 as f32;
            }
            if odd >> 16 == 0 {
                // One paint: soft edges, and strokes over flat ground.
                if gathered {
                    spread(&pixels, sums);
                    gathered = false;
                }
                add_lanes(self.point(paint_of(most)), &weights, sums);
            } else {
                if !gathered {
                    collect(sums, &mut pixels);
                    gathered = true;
                }
                for l in 0..LANES {
                    let point = self.point(paint_of(pairs[l]));
                    for (sum, value) in pixels[l].iter_mut().zip(point) {
                        *sum += value * weights[l];
                    }
                }
            }
        }
        if gathered {
            spread(&pixels, sums);
        }
        let mut weights = [0.0; LANES];
        for l in 0..LANES {
            weights[l] = left[l] as i32 as f32;
        }
        add_lanes(self.point(0), &weights, sums);
    }

    /// Linear sRGB of a sum as the model has it, unclamped.
    pub fn colour(&self, sum: [f32; N]) -> Colour {
        let long: Latent = std::array::from_fn(|i| sum.get(i).copied().unwrap_or(0.0));
        self.mixing.colour(&long)
    }

    /// Linear sRGB of sums; unclamped.
    #[inline(always)]
    pub fn linear(&self, sums: &[Lanes; N]) -> [Lanes; 3] {
        let mut points = [sums[0], sums[1], sums[2]];
        if let Mixing::Pigment = self.mixing {
            return linear_of_pigments(sums);
        }
        for lanes in &mut points {
            for value in lanes {
                *value *= 1.0 / FULL as f32;
            }
        }
        if let Mixing::Perceptual = self.mixing {
            linear_of_oklab(&mut points);
        }
        points
    }
}

/// Adds a point with sixteen weights.
#[inline(always)]
fn add_lanes<const N: usize>(point: &[f32; N], weights: &Lanes, sums: &mut [Lanes; N]) {
    for (lanes, value) in sums.iter_mut().zip(point) {
        for l in 0..LANES {
            lanes[l] += value * weights[l];
        }
    }
}

/// From numbers side by side to pixels side by side.
#[inline(always)]
fn spread<const N: usize>(pixels: &[[f32; N]; LANES], sums: &mut [Lanes; N]) {
    for (k, lanes) in sums.iter_mut().enumerate() {
        for l in 0..LANES {
            lanes[l] = pixels[l][k];
        }
    }
}

/// The other way.
#[inline(always)]
fn collect<const N: usize>(sums: &[Lanes; N], pixels: &mut [[f32; N]; LANES]) {
    for (k, lanes) in sums.iter().enumerate() {
        for l in 0..LANES {
            pixels[l][k] = lanes[l];
        }
    }
}

/// Linear sRGB of sums of the points of pigments; unclamped.
#[inline(always)]
fn linear_of_pigments(sums: &[Lanes]) -> [Lanes; 3] {
    let mut whole = [0.0; LANES];
    for i in 0..LANES {
        whole[i] = 1.0 / sums[WEIGHT][i];
    }
    let mut linear = [[0.0; LANES]; 3];
    for (linear, rest) in linear.iter_mut().zip(sums) {
        for i in 0..LANES {
            linear[i] = rest[i] * whole[i];
        }
    }
    for band in 0..BANDS {
        let mut reflected = [0.0; LANES];
        for i in 0..LANES {
            let ratio = sums[4 + band][i] * whole[i];
            reflected[i] = 1.0 / (1.0 + ratio + (ratio * (ratio + 2.0)).sqrt());
        }
        for (linear, row) in linear.iter_mut().zip(&BAND_COLOURS) {
            for i in 0..LANES {
                linear[i] += row[band] * reflected[i];
            }
        }
    }
    linear
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use stint_model::mixing::LATENT;

    #[test]
    fn the_fast_oklab_inverse_agrees_with_the_model() {
        for i in 0..1000 {
            let v = |k: u32| ((i * k) % 997) as f32 / 997.0;
            // Colours inside sRGB and somewhat outside it.
            let colour = Colour::new(v(3) * 1.2 - 0.1, v(7) * 1.2 - 0.1, v(11) * 1.2 - 0.1);
            let latent = Mixing::Perceptual.latent(colour);
            let exact = Mixing::Perceptual.colour(&latent);
            let mut lanes = [latent[0], latent[1], latent[2]].map(|v| [v; LANES]);
            linear_of_oklab(&mut lanes);
            let [r, g, b] = lanes.map(|l| l[LANES - 1]);
            assert!(
                (r - exact.r).abs() + (g - exact.g).abs() + (b - exact.b).abs() < 2e-5,
                "{latent:?} {r} {g} {b} {exact:?}"
            );
        }
    }

    #[test]
    fn sixteen_at_a_time_agree_with_the_model() {
        for i in 0..500_u32 {
            let v = |k: u32| ((i * k) % 997) as f32 / 997.0;
            let paint = |k: u32| Colour::new(v(3 + k) * 1.2 - 0.1, v(7 + k) * 1.2 - 0.1, v(11 + k) * 1.2 - 0.1);
            let mut sum = [0.0; LATENT];
            for k in 0..3 {
                let latent = Mixing::Pigment.latent(paint(k));
                sum.iter_mut().zip(latent).for_each(|(sum, value)| *sum += value * (1.0 + v(5 + k)) * 20_000.0);
            }
            let exact = Mixing::Pigment.colour(&sum);
            let [r, g, b] = linear_of_pigments(&sum.map(|v| [v; LANES])).map(|l| l[LANES - 1]);
            let apart = (r - exact.r).abs() + (g - exact.g).abs() + (b - exact.b).abs();
            assert!(apart < 2e-5, "{i}: {r} {g} {b} {exact:?}");
        }
    }
}
