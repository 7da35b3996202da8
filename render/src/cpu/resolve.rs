//! Resolve on the CPU: from visible amounts to colour. The pigment model has its own loops in `pigment.rs`.
//!
//! Mirror: `shaders/resolve.wgsl`.

use super::Planes;
use super::codes::pack;
use super::gamut::into_srgb;
use super::oklab::{LANES, Lanes, linear_of_oklab};
use super::pigment::{PigmentTable, resolve_pigment};
use crate::amount::FULL;
use crate::paints::PaintLut;
use crate::pixel::{amount_of, paint_of, show_layer};
use multiversion::multiversion;
use stint_model::colour::Colour;
use stint_model::mixing::{Latent, Mixing};
use stint_model::study::tile::TILE_PIXELS;

/// Packed RGBA of one tile, for the screen; or of any multiple of 16 pixels, as many as `out` and the planes have.
#[multiversion(targets("x86_64+avx2", "x86_64+sse4.1"))]
pub fn resolve_tile(layers: &Planes<'_>, paints: &PaintLut, out: &mut [u32]) {
    let Some(table) = Table::new(paints) else { return resolve_pigment(layers, paints, out) };
    match layers.as_slice() {
        // One pass of full strength shows as it is stored: one loop for each of the common depths.
        [(planes, FULL)] => match planes.as_slice() {
            [] => rows_of(&table, [], out),
            &[a] => rows_of(&table, [a], out),
            &[a, b] => rows_of(&table, [a, b], out),
            &[a, b, c] => rows_of(&table, [a, b, c], out),
            _ => rows_through(&table, layers, out),
        },
        _ => rows_through(&table, layers, out),
    }
}

/// A single pass of `N` planes and full strength.
#[inline(always)]
fn rows_of<const N: usize>(table: &Table<'_>, planes: [&[u32]; N], out: &mut [u32]) {
    let mut last = EvenColour::NONE;
    for (chunk, out) in out.chunks_exact_mut(LANES).enumerate() {
        let at = chunk * LANES;
        let mut pairs = [[0_u32; LANES]; N];
        for (lanes, plane) in pairs.iter_mut().zip(&planes) {
            lanes.copy_from_slice(&plane[at..at + LANES]);
        }
        // Masses are flat: where all pixels hold the same pairs one is worked out.
        let even = pairs.iter().all(|lanes| lanes.iter().fold(0, |odd, &p| odd | (p ^ lanes[0])) == 0);
        let mut sums = [[0.0_f32; LANES]; 3];
        for i in 0..if even { 1 } else { LANES } {
            let mut sum = [0.0_f32; 4];
            let mut left = FULL;
            // An empty place adds nothing of the ground, so it needs no branch.
            for lanes in &pairs {
                let amount = amount_of(lanes[i]).min(left);
                left -= amount;
                table.add(&mut sum, paint_of(lanes[i]), amount);
            }
            table.add(&mut sum, 0, left);
            for (lanes, value) in sums.iter_mut().zip(sum) {
                lanes[i] = value;
            }
        }
        table.finish(&mut sums, even, &mut last, out);
    }
}

/// Any stack of passes.
#[inline(always)]
fn rows_through(table: &Table<'_>, layers: &Planes<'_>, out: &mut [u32]) {
    let mut last = EvenColour::NONE;
    for (chunk, out) in out.chunks_exact_mut(LANES).enumerate() {
        let at = chunk * LANES;
        let even =
            layers.iter().all(|(planes, _)| planes.iter().all(|p| p[at..at + LANES].iter().all(|&pair| pair == p[at])));
        let mut sums = [[0.0_f32; LANES]; 3];
        for i in 0..if even { 1 } else { LANES } {
            // The fourth is the sum of all weights, which is known.
            for (lanes, value) in sums.iter_mut().zip(table.mixture(layers, at + i)) {
                lanes[i] = value;
            }
        }
        table.finish(&mut sums, even, &mut last, out);
    }
}

/// Linear sRGB of latent points of a mixing model, in place; unclamped. Mirror: `linear_of_latent` in
/// `shaders/common/mixing.wgsl`.
#[inline(always)]
fn linear_of_latent(mixing: ShortMixing, points: &mut [Lanes; 3]) {
    match mixing {
        ShortMixing::Light => {}
        ShortMixing::Perceptual => linear_of_oklab(points),
    }
}

/// The last colour of 16 equal pixels: the next 16 are mostly of the same mass.
struct EvenColour {
    sum: [f32; 3],
    packed: u32,
}

impl EvenColour {
    /// None yet: no sum equals this one.
    const NONE: EvenColour = EvenColour { sum: [f32::NAN; 3], packed: 0 };
}

/// The models whose latent points have three components and a weight of 1.
#[derive(Clone, Copy)]
enum ShortMixing {
    Light,
    Perceptual,
}

/// Latent points at hand.
struct Table<'a> {
    latents: &'a [[f32; 4]],
    unknown: &'a [f32; 4],
    mixing: ShortMixing,
}

impl<'a> Table<'a> {
    /// None for the pigment model, whose points are longer.
    fn new(paints: &'a PaintLut) -> Option<Self> {
        let mixing = match paints.mixing() {
            Mixing::Light => ShortMixing::Light,
            Mixing::Perceptual => ShortMixing::Perceptual,
            Mixing::Pigment => return None,
        };
        let latents: &[[f32; 4]] = bytemuck::cast_slice(paints.latents());
        Some(Table { latents, unknown: &latents[paints.unknown() as usize], mixing })
    }

    #[inline(always)]
    fn add(&self, sum: &mut [f32; 4], paint: u32, amount: u32) {
        let latent = self.latents.get(paint as usize).unwrap_or(self.unknown);
        let weight = amount as i32 as f32;
        // Written out: as a loop it becomes slow masked stores.
        let [x, y, z, w] = *latent;
        *sum = [sum[0] + x * weight, sum[1] + y * weight, sum[2] + z * weight, sum[3] + w * weight];
    }

    /// Sums of 16 pixels, or of one that stands for all, to packed colour.
    #[inline(always)]
    fn finish(&self, sums: &mut [Lanes; 3], even: bool, last: &mut EvenColour, out: &mut [u32]) {
        let first = [sums[0][0], sums[1][0], sums[2][0]];
        if even && first == last.sum {
            out.fill(last.packed);
            return;
        }
        for lanes in sums.iter_mut() {
            for value in lanes {
                *value *= 1.0 / FULL as f32;
            }
        }
        linear_of_latent(self.mixing, sums);
        into_srgb(sums);
        let packed = pack(sums);
        if even {
            *last = EvenColour { sum: first, packed: packed[0] };
            out.fill(packed[0]);
        } else {
            out.copy_from_slice(&packed);
        }
    }

    /// Sum of latent points weighted by visible amounts; the weights sum to 65535.
    #[inline(always)]
    fn mixture(&self, layers: &Planes<'_>, i: usize) -> [f32; 4] {
        let mut sum = [0.0_f32; 4];
        let mut left = FULL;
        for (planes, strength) in layers {
            let pairs = planes.iter().map(|p| p[i]);
            left = show_layer(pairs, *strength, left, |id, amount| self.add(&mut sum, id, amount));
            if left == 0 {
                break;
            }
        }
        self.add(&mut sum, 0, left);
        sum
    }
}

/// Linear colour of each pixel of a tile, unclamped, for export.
pub fn resolve_exact(layers: &Planes<'_>, paints: &PaintLut, out: &mut [Colour]) {
    let long = |sum: [f32; 4]| std::array::from_fn(|i| sum.get(i).copied().unwrap_or(0.0));
    match Table::new(paints) {
        Some(table) => exact(paints.mixing(), |i| long(table.mixture(layers, i)), out),
        None => {
            let table = PigmentTable::new(paints);
            exact(paints.mixing(), |i| table.mixture(layers, i), out);
        }
    }
}

fn exact(mixing: Mixing, mixture: impl Fn(usize) -> Latent, out: &mut [Colour]) {
    for (i, out) in out.iter_mut().enumerate().take(TILE_PIXELS) {
        *out = mixing.colour(&mixture(i));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
    fn half_of_two_paints_is_their_mean() {
        // By hand, light model: half of linear 0 and 1 is 0.5, which sRGB encodes as 188.
        let lut = PaintLut::for_tests(1, |_| false);
        let plane = vec![1 << 16 | 32768; TILE_PIXELS];
        let mut out = vec![0; TILE_PIXELS];
        resolve_tile(&vec![(vec![&plane[..]], FULL)], &lut, &mut out);
        assert_eq!(out[5] & 0xff, 188);
        let mut exact = vec![Colour::default(); TILE_PIXELS];
        resolve_exact(&vec![(vec![&plane[..]], FULL)], &lut, &mut exact);
        assert!((exact[5].r - 0.5).abs() < 1e-4);
    }
}
