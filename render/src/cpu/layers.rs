//! The passes at one place as the kernels read them: block by block, each plane one word or pixels.

use crate::amount::FULL;
use crate::pixel::show_layer;
use stint_model::study::tile::{MAX_PLANES, TilePixels, Words};

/// Some pixels of one pass.
#[derive(Clone, Copy, Debug)]
pub struct LayerWords<'a> {
    planes: [Words<'a>; MAX_PLANES],
    depth: usize,
    /// Strength of the pass, 0-65535.
    pub strength: u32,
}

impl<'a> LayerWords<'a> {
    /// A layer of these planes, lowest first; those above the eighth are left out.
    pub fn new(planes: impl IntoIterator<Item = Words<'a>>, strength: u32) -> Self {
        let mut layer = LayerWords { planes: [Words::Even(0); MAX_PLANES], depth: 0, strength };
        for (place, (k, words)) in layer.planes.iter_mut().zip(planes.into_iter().enumerate()) {
            *place = words;
            // Planes without paint above the last with paint show nothing.
            if !matches!(words, Words::Even(0)) {
                layer.depth = k + 1;
            }
        }
        layer
    }

    /// Its planes, lowest first.
    #[inline(always)]
    pub fn planes(&self) -> &[Words<'a>] {
        &self.planes[..self.depth]
    }

    /// The pairs of a pixel.
    #[inline(always)]
    pub fn pairs(&self, index: usize) -> impl Iterator<Item = u32> {
        self.planes().iter().map(move |words| words.at(index))
    }

    fn is_even(&self) -> bool {
        self.planes().iter().all(|words| matches!(words, Words::Even(_)))
    }
}

/// A tile of one pass with the strength of the pass.
pub type TileLayer<'a> = (&'a TilePixels, u32);

/// Puts the layers of a block that show, top first, into `layers`; tells whether all of its pixels are alike.
pub fn layers_of_block<'a>(tiles: &[TileLayer<'a>], block: usize, layers: &mut Vec<LayerWords<'a>>) -> bool {
    layers.clear();
    let mut even = true;
    let mut left = FULL;
    for (tile, strength) in tiles {
        let layer = LayerWords::new(tile.planes().iter().map(|plane| plane.block(block)), *strength);
        if layer.planes().is_empty() {
            continue;
        }
        even = even && layer.is_even();
        if even {
            left = show_layer(layer.pairs(0), *strength, left, |_, _| {});
        }
        layers.push(layer);
        // What lies below full cover does not show.
        if left == 0 {
            break;
        }
    }
    even
}
