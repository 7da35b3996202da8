//! Resolve in the pigment model on the CPU: latent points of sixteen numbers, one pixel after the other, and from their sums to
//! colour sixteen pixels at a time.
//!
//! Mirrors: `shaders/resolve_pigment.wgsl`, `shaders/common/pigment.wgsl`.

use super::Planes;
use super::codes::pack;
use super::gamut::into_srgb;
use super::oklab::{LANES, Lanes};
use crate::amount::FULL;
use crate::paints::PaintLut;
use crate::pixel::{amount_of, paint_of, show_layer};
use multiversion::multiversion;
use stint_model::mixing::reflectance::{BAND_COLOURS, BANDS};
use stint_model::mixing::{LATENT, Latent, WEIGHT};

/// Latent points at hand.
pub struct PigmentTable<'a> {
    latents: &'a [Latent],
    unknown: &'a Latent,
}

impl<'a> PigmentTable<'a> {
    /// Of a table of paints in the pigment model.
    pub fn new(paints: &'a PaintLut) -> Self {
        let latents: &[Latent] = bytemuck::cast_slice(paints.latents());
        PigmentTable { latents, unknown: &latents[paints.unknown() as usize] }
    }

    #[inline(always)]
    fn add(&self, sum: &mut Latent, paint: u32, amount: u32) {
        let latent = self.latents.get(paint as usize).unwrap_or(self.unknown);
        let weight = amount as i32 as f32;
        for (sum, value) in sum.iter_mut().zip(latent) {
            *sum += value * weight;
        }
    }

    /// Sum of latent points weighted by visible amounts, which sum to 65535.
    #[inline(always)]
    pub fn mixture(&self, layers: &Planes<'_>, i: usize) -> Latent {
        let mut sum = [0.0; LATENT];
        let mut left = FULL;
        match layers.as_slice() {
            // One pass of full strength shows as it is stored. An empty place adds nothing of the ground, so it needs no branch.
            [(planes, FULL)] => {
                for plane in planes {
                    let amount = amount_of(plane[i]).min(left);
                    left -= amount;
                    self.add(&mut sum, paint_of(plane[i]), amount);
                }
            }
            _ => {
                for (planes, strength) in layers {
                    let pairs = planes.iter().map(|p| p[i]);
                    left = show_layer(pairs, *strength, left, |id, amount| self.add(&mut sum, id, amount));
                    if left == 0 {
                        break;
                    }
                }
            }
        }
        self.add(&mut sum, 0, left);
        sum
    }
}

/// Packed RGBA, as [`super::resolve_tile`] gives it.
#[multiversion(targets("x86_64+avx2", "x86_64+sse4.1"))]
pub fn resolve_pigment(layers: &Planes<'_>, paints: &PaintLut, out: &mut [u32]) {
    let table = PigmentTable::new(paints);
    let mut last = ([f32::NAN; LATENT], 0);
    for (chunk, out) in out.chunks_exact_mut(LANES).enumerate() {
        let at = chunk * LANES;
        // Masses are flat: where all pixels hold the same pairs one is worked out, and the next are mostly of the same mass.
        let even =
            layers.iter().all(|(planes, _)| planes.iter().all(|p| p[at..at + LANES].iter().all(|&pair| pair == p[at])));
        if even {
            let sum = table.mixture(layers, at);
            if sum != last.0 {
                let mut lanes = sum.map(|v| [v; LANES]);
                last = (sum, packed(&mut lanes)[0]);
            }
            out.fill(last.1);
            continue;
        }
        let mut lanes = [[0.0_f32; LANES]; LATENT];
        for i in 0..LANES {
            for (lanes, value) in lanes.iter_mut().zip(table.mixture(layers, at + i)) {
                lanes[i] = value;
            }
        }
        out.copy_from_slice(&packed(&mut lanes));
    }
}

/// Sums of 16 pixels to packed colour.
#[inline(always)]
fn packed(sums: &mut [Lanes; LATENT]) -> [u32; LANES] {
    let mut linear = linear_of_pigments(sums);
    into_srgb(&mut linear);
    pack(&linear)
}

/// Linear sRGB of sums of latent points; unclamped.
#[inline(always)]
fn linear_of_pigments(sums: &[Lanes; LATENT]) -> [Lanes; 3] {
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
    use stint_model::colour::Colour;
    use stint_model::mixing::Mixing;

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
