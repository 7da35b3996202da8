//! Which paints of a block are free colour and which are the board's, sixteen pixels at a time.

use crate::paints::PaintLut;
use crate::pixel::paint_of;
use stint_model::study::tile::Words;

/// Pixels worked on together.
pub const LANES: usize = 16;
/// A word of each.
pub type Lanes = [u32; LANES];

/// All bits where `is`, else none: what chooses between two numbers without a branch.
#[inline(always)]
pub fn all_if(is: bool) -> u32 {
    u32::from(is).wrapping_neg()
}

/// Whether all paint in the block, and the paint to be laid, is of one class: then the running sum needs no split.
///
/// Plain loops, since those of iterators are compiled for the plainest machine; sixteen pairs of one paint are looked at by their first.
#[inline(always)]
pub fn one_class(src: &[Words<'_>], paint: u32, (paints, classes): (&PaintLut, Classes)) -> bool {
    // The ids found, joined: any bit says that there is paint of the class.
    let mut found = [0_u32; 2];
    found[usize::from(paints.is_free(paint))] |= paint;
    for words in src {
        match words {
            Words::Even(word) => found[usize::from(paints.is_free(paint_of(*word)))] |= paint_of(*word),
            Words::Pixels(words) => {
                let mut last = 0;
                for pairs in words.as_chunks::<LANES>().0 {
                    let first = paint_of(pairs[0]);
                    let mut odd = 0;
                    for pair in pairs {
                        odd |= paint_of(*pair) ^ first;
                    }
                    if odd != 0 {
                        let free = classes.free(pairs, paints);
                        let (mut of_board, mut of_free) = (0, 0);
                        for l in 0..LANES {
                            of_board |= paint_of(pairs[l]) & !free[l];
                            of_free |= paint_of(pairs[l]) & free[l];
                        }
                        found[0] |= of_board;
                        found[1] |= of_free;
                    } else if first != last {
                        found[usize::from(paints.is_free(first))] |= first;
                        last = first;
                    }
                }
            }
        }
        if found[0] != 0 && found[1] != 0 {
            return false;
        }
    }
    true
}

/// Ids that [`Classes`] keeps a bit of.
const BITS: u32 = 128;

/// Which paints count as free: a bit each, where the table is small enough.
#[derive(Clone, Copy)]
pub struct Classes {
    bits: Option<[u32; (BITS / 32) as usize]>,
    unknown: u32,
}

impl Classes {
    /// Of a table of paints.
    pub fn of(paints: &PaintLut) -> Self {
        let unknown = paints.unknown();
        let mut bits = [0; (BITS / 32) as usize];
        if unknown < BITS {
            for id in 0..=unknown {
                bits[(id / 32) as usize] |= u32::from(paints.is_free(id)) << (id % 32);
            }
        }
        Classes { bits: (unknown < BITS).then_some(bits), unknown }
    }

    /// All bits of the places that hold free paint.
    #[inline(always)]
    pub fn free(&self, pairs: &Lanes, paints: &PaintLut) -> Lanes {
        let mut free = [0; LANES];
        match self.bits {
            Some([a, b, c, d]) => {
                for l in 0..LANES {
                    let id = paint_of(pairs[l]).min(self.unknown);
                    let (low, high) = (all_if(id & 32 == 0), all_if(id & 64 == 0));
                    let of_low = (a & low) | (b & !low);
                    let of_high = (c & low) | (d & !low);
                    let bits = (of_low & high) | (of_high & !high);
                    free[l] = ((bits >> (id & 31)) & 1).wrapping_neg() & all_if(pairs[l] != 0);
                }
            }
            None => {
                for l in 0..LANES {
                    free[l] = all_if(pairs[l] != 0 && paints.is_free(paint_of(pairs[l])));
                }
            }
        }
        free
    }
}
