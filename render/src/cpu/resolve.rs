//! Resolve on the CPU: from visible amounts to colour, sixteen pixels at a time.
//!
//! Mirrors: `shaders/resolve.wgsl`, `shaders/resolve_pigment.wgsl`.

use super::codes::pack;
use super::gamut::into_srgb;
use super::latents::Latents;
use super::layers::{LayerWords, TileLayer, layers_of_block};
use super::oklab::{LANES, Lanes};
use crate::amount::FULL;
use crate::paints::PaintLut;
use multiversion::multiversion;
use stint_model::colour::Colour;
use stint_model::mixing::{LATENT, Mixing};
use stint_model::study::tile::{BLOCK_PIXELS, BLOCK_SIDE, BLOCKS, TILE_SIDE, Words, block_rows};

/// Numbers of a latent point of the models that mix in a colour space.
const SHORT: usize = 4;

/// Packed RGBA of one tile, for the screen, row by row.
pub fn resolve_tile(tiles: &[TileLayer<'_>], paints: &PaintLut, out: &mut [u32]) {
    match paints.mixing() {
        Mixing::Light | Mixing::Perceptual => by_blocks(tiles, &mut Resolver::<SHORT>::new(paints), resolve_short, out),
        Mixing::Pigment => by_blocks(tiles, &mut Resolver::<LATENT>::new(paints), resolve_long, out),
    }
}

/// Packed RGBA of any multiple of 16 pixels, as many as `out` and the planes have.
pub fn resolve_words(layers: &[LayerWords<'_>], paints: &PaintLut, out: &mut [u32]) {
    match paints.mixing() {
        Mixing::Light | Mixing::Perceptual => resolve_short(&mut Resolver::new(paints), layers, out),
        Mixing::Pigment => resolve_long(&mut Resolver::new(paints), layers, out),
    }
}

fn by_blocks<'a, R>(
    tiles: &[TileLayer<'a>],
    resolver: &mut R,
    resolve: impl Fn(&mut R, &[LayerWords<'a>], &mut [u32]),
    out: &mut [u32],
) {
    let mut layers = Vec::with_capacity(tiles.len());
    let mut colours = [0; BLOCK_PIXELS];
    for block in 0..BLOCKS {
        let even = layers_of_block(tiles, block, &mut layers);
        // Where all pixels are alike sixteen stand for them.
        resolve(resolver, &layers, &mut colours[..if even { LANES } else { BLOCK_PIXELS }]);
        for (row, at) in block_rows(block).enumerate() {
            let out = &mut out[at..at + BLOCK_SIDE as usize];
            if even {
                out.fill(colours[0]);
            } else {
                out.copy_from_slice(&colours[row * BLOCK_SIDE as usize..][..BLOCK_SIDE as usize]);
            }
        }
    }
}

#[multiversion(targets("x86_64+avx2", "x86_64+sse4.1"))]
fn resolve_short(resolver: &mut Resolver<'_, SHORT>, layers: &[LayerWords<'_>], out: &mut [u32]) {
    resolver.resolve(layers, out);
}

#[multiversion(targets("x86_64+avx2", "x86_64+sse4.1"))]
fn resolve_long(resolver: &mut Resolver<'_, LATENT>, layers: &[LayerWords<'_>], out: &mut [u32]) {
    resolver.resolve(layers, out);
}

/// Colours that are kept.
const KNOWN: usize = 64;

/// Latent points, and the colours that were worked out lately: where a painting is flat it consists of few.
struct Resolver<'a, const N: usize> {
    latents: Latents<'a, N>,
    sums: [[f32; N]; KNOWN],
    packed: [u32; KNOWN],
}

impl<'a, const N: usize> Resolver<'a, N> {
    fn new(paints: &'a PaintLut) -> Self {
        // No sum equals one that is not a number.
        Resolver { latents: Latents::new(paints), sums: [[f32::NAN; N]; KNOWN], packed: [0; KNOWN] }
    }

    #[inline(always)]
    fn resolve(&mut self, layers: &[LayerWords<'_>], out: &mut [u32]) {
        for (chunk, out) in out.as_chunks_mut::<LANES>().0.iter_mut().enumerate() {
            let at = chunk * LANES;
            let mut even = true;
            for words in layers.iter().flat_map(LayerWords::planes) {
                even = even && is_even(words, at);
            }
            if even {
                let sum = self.latents.mixture(layers, at);
                out.fill(self.colour(sum));
                continue;
            }
            let mut sums = [[0.0; LANES]; N];
            match layers {
                [layer] if layer.strength == FULL => self.latents.mixtures(layer.planes(), at, &mut sums),
                _ => {
                    for i in 0..LANES {
                        let sum = self.latents.mixture(layers, at + i);
                        // The weight of a short point is known.
                        for (lanes, value) in sums.iter_mut().zip(sum).take(if N == SHORT { 3 } else { N }) {
                            lanes[i] = value;
                        }
                    }
                }
            }
            *out = self.packed(&mut sums);
        }
    }

    /// The colour of a sum.
    #[inline(always)]
    fn colour(&mut self, sum: [f32; N]) -> u32 {
        let mut mixed = 0_u32;
        for value in &sum[..3] {
            mixed = (mixed ^ value.to_bits()).wrapping_mul(0x9e37_79b1);
        }
        let place = (mixed >> 16) as usize % KNOWN;
        if self.sums[place] != sum {
            let mut sums = [[0.0; LANES]; N];
            for (lanes, value) in sums.iter_mut().zip(sum) {
                lanes[0] = value;
            }
            // What stands in for the other fifteen is a colour too.
            for lanes in &mut sums {
                *lanes = [lanes[0]; LANES];
            }
            self.sums[place] = sum;
            self.packed[place] = self.packed(&mut sums)[0];
        }
        self.packed[place]
    }

    /// Sums of sixteen pixels to packed colour.
    #[inline(always)]
    fn packed(&self, sums: &mut [Lanes; N]) -> [u32; LANES] {
        let mut linear = self.latents.linear(sums);
        into_srgb(&mut linear);
        pack(&linear)
    }
}

/// Whether sixteen pairs of a plane are alike.
#[inline(always)]
fn is_even(words: &Words<'_>, at: usize) -> bool {
    match words {
        Words::Even(_) => true,
        Words::Pixels(words) => {
            let mut odd = 0;
            for pair in &words[at..at + LANES] {
                odd |= pair ^ words[at];
            }
            odd == 0
        }
    }
}

/// Strips of rows of pixels, a block high, that a row of tiles has.
pub const STRIPS: usize = (TILE_SIDE / BLOCK_SIDE) as usize;

/// Linear colours of one strip of a row of tiles, unclamped, for export: row by row across the canvas, as many rows of `width` as `out`
/// has. `tiles` are those of each column, top first.
pub fn resolve_exact(tiles: &[Vec<TileLayer<'_>>], strip: usize, width: usize, paints: &PaintLut, out: &mut [Colour]) {
    match paints.mixing() {
        Mixing::Light | Mixing::Perceptual => exact(tiles, strip, width, &Latents::<SHORT>::new(paints), out),
        Mixing::Pigment => exact(tiles, strip, width, &Latents::<LATENT>::new(paints), out),
    }
}

fn exact<const N: usize>(
    tiles: &[Vec<TileLayer<'_>>],
    strip: usize,
    width: usize,
    latents: &Latents<'_, N>,
    out: &mut [Colour],
) {
    const SIDE: usize = BLOCK_SIDE as usize;
    let mut layers = Vec::new();
    let mut last = ([f32::NAN; N], Colour::default());
    let blocks = tiles.iter().flat_map(|tiles| (0..STRIPS).map(move |block| (tiles, strip * STRIPS + block)));
    for ((tiles, block), left) in blocks.zip((0..width).step_by(SIDE)) {
        let even = layers_of_block(tiles, block, &mut layers);
        let across = SIDE.min(width - left);
        for (row, line) in out.chunks_exact_mut(width).enumerate() {
            for (column, out) in line[left..left + across].iter_mut().enumerate() {
                if !(even && (row, column) != (0, 0)) {
                    let sum = latents.mixture(&layers, row * SIDE + column);
                    if sum != last.0 {
                        last = (sum, latents.colour(sum));
                    }
                }
                *out = last.1;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stint_model::study::tile::{Plane, TILE_PIXELS, TilePixels};

    #[test]
    fn half_of_two_paints_is_their_mean() {
        // By hand, light model: half of linear 0 and 1 is 0.5, which sRGB encodes as 188.
        let lut = PaintLut::for_tests(1, |_| false);
        let tile = TilePixels::new(vec![Plane::even(1 << 16 | 32768)]);
        let mut out = vec![0; TILE_PIXELS];
        resolve_tile(&[(&tile, FULL)], &lut, &mut out);
        assert_eq!(out[5] & 0xff, 188);
        // Two tiles, the second of them without paint and cut off after 7 columns.
        let mut exact = vec![Colour::default(); 135 * 9];
        resolve_exact(&[vec![(&tile, FULL)], vec![]], 2, 135, &lut, &mut exact);
        assert!((exact[8 * 135 + 127].r - 0.5).abs() < 1e-4);
        assert_eq!(exact[8 * 135 + 128], Colour::new(0.0, 0.0, 1.0));
    }

    /// Blocks and groups of every kind against one pixel at a time.
    #[test]
    fn every_way_gives_the_colour_of_the_single_pixel() {
        let plane = |k: u32| {
            Plane::from_fn(move |i| match (i % 128 / 32, i / 4096) {
                (0, _) => (2 + k) << 16 | 30_000,
                (1, row) if row > 0 => (3 + k) << 16 | (i as u32 % 128 * 200),
                (1, _) if i % 3 == 0 => 0,
                (2, _) if k == 1 && i % 128 < 70 => 0,
                _ => (1 + i as u32 / 3 % 5 + k) << 16 | (i as u32 % 30_000),
            })
        };
        let lut = PaintLut::for_tests(9, |_| false);
        let tiles = [TilePixels::new(vec![plane(0), plane(1)]), TilePixels::new(vec![plane(2)])];
        for strengths in [[FULL, FULL], [40_000, FULL]] {
            for count in 1..=2 {
                let layers: Vec<_> = tiles.iter().zip(strengths).take(count).collect();
                let mut all = vec![0; TILE_PIXELS];
                resolve_tile(&layers, &lut, &mut all);
                for i in (0..TILE_PIXELS).step_by(7) {
                    let one = |(tile, strength): &TileLayer<'_>| {
                        LayerWords::new(tile.planes().iter().map(|p| Words::Even(p[i])), *strength)
                    };
                    let mut out = [0; LANES];
                    resolve_words(&layers.iter().map(one).collect::<Vec<_>>(), &lut, &mut out);
                    assert_eq!(all[i], out[3], "{strengths:?} {count} pixel {i}");
                }
            }
        }
    }
}
