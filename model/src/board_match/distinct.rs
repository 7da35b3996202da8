//! The colours of a picture, each once.
//!
//! A photo of twelve million pixels has some hundred thousand different colours, and measuring one costs far more than finding
//! its place in a list. A colour is told apart by its sRGB codes in steps of 1/255, also beyond 0-1: exact for 8-bit sRGB, half
//! a code (a CIEDE2000 of 0.2 in most places) for pictures of more bits or of a wider gamut.

use crate::colour::{Colour, encode, srgb8_to_linear};
use palette::encoding::{FromLinear, Srgb};
use std::sync::atomic::{AtomicU64, Ordering};

/// Bits of a key's component: codes from -128 to 383.
const BITS: u32 = 9;
const CODE_OFFSET: i32 = 128;
const MAX_CODE: i32 = (1 << BITS) - 1;
const WORDS: usize = 1 << (3 * BITS - 6);

/// The key of a colour.
#[expect(clippy::cast_possible_truncation, reason = "clamped to the codes of a key; the cast saturates")]
pub(super) fn key(colour: Colour) -> u32 {
    let slot = |linear: f32| {
        let code = if (0.0..=1.0).contains(&linear) {
            i32::from(<Srgb as FromLinear<f32, u8>>::from_linear(linear))
        } else {
            (encode(linear) * 255.0).round() as i32
        };
        code.saturating_add(CODE_OFFSET).clamp(0, MAX_CODE) as u32
    };
    slot(colour.r) << (2 * BITS) | slot(colour.g) << BITS | slot(colour.b)
}

/// The colour that stands for a key.
fn colour(key: u32) -> Colour {
    let component = |shift: u32| {
        let code = (key >> shift) as i32 % (MAX_CODE + 1) - CODE_OFFSET;
        u8::try_from(code).map_or_else(|_| crate::colour::decode(code as f32 / 255.0), srgb8_to_linear)
    };
    Colour::new(component(2 * BITS), component(BITS), component(0))
}

/// Keys as they are met, by any number of threads.
pub(super) struct Gathering(Vec<AtomicU64>);

impl Gathering {
    pub fn new() -> Self {
        Gathering((0..WORDS).map(|_| AtomicU64::new(0)).collect())
    }

    pub fn add(&self, key: u32) {
        let (word, bit) = (&self.0[key as usize / 64], 1 << (key % 64));
        // Most keys are there already, and looking is cheaper than writing.
        if word.load(Ordering::Relaxed) & bit == 0 {
            word.fetch_or(bit, Ordering::Relaxed);
        }
    }

    #[expect(clippy::cast_possible_truncation, reason = "keys are 27 bits wide, so indices and counts fit 32")]
    pub fn finish(self) -> DistinctColours {
        let words: Vec<u64> = self.0.into_iter().map(AtomicU64::into_inner).collect();
        let mut before = Vec::with_capacity(words.len());
        let mut colours = Vec::new();
        for (i, &word) in words.iter().enumerate() {
            before.push(colours.len() as u32);
            let mut rest = word;
            while rest != 0 {
                colours.push(colour(i as u32 * 64 + rest.trailing_zeros()));
                rest &= rest - 1;
            }
        }
        DistinctColours { words, before, colours }
    }
}

/// The colours that were met, and the place of each in the list.
pub(super) struct DistinctColours {
    words: Vec<u64>,
    /// How many keys come before each word.
    before: Vec<u32>,
    /// Ordered by key, so that neighbours are alike.
    pub colours: Vec<Colour>,
}

impl DistinctColours {
    /// Where in the list the colour of a key is that was added before.
    pub fn place(&self, key: u32) -> usize {
        let (word, bit) = (key as usize / 64, key % 64);
        (self.before[word] + (self.words[word] & ((1 << bit) - 1)).count_ones()) as usize
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_exact_and_colours_beyond_srgb_keep_their_place() {
        for code in 0..=255 {
            let grey = Colour::from_srgb8([code, 255 - code, code / 2]);
            assert_eq!(colour(key(grey)), grey);
        }
        let wide = Colour::from_srgb([1.093, -0.227, 0.15]);
        let back = colour(key(wide)).srgb();
        assert!(back.iter().zip(wide.srgb()).all(|(a, b)| (a - b).abs() <= 0.5 / 255.0 + 1e-6), "{back:?}");
        assert_eq!(key(Colour::new(f32::MAX, f32::MIN, 0.0)) >> BITS, (MAX_CODE as u32) << BITS);
    }

    #[test]
    fn every_key_finds_its_colour() {
        let gathering = Gathering::new();
        let all: Vec<Colour> =
            (0..5000_u32).map(|i| Colour::from_srgb8([i as u8, (i / 7) as u8, (i / 300) as u8])).collect();
        all.iter().for_each(|c| gathering.add(key(*c)));
        let distinct = gathering.finish();
        assert!(all.iter().all(|c| distinct.colours[distinct.place(key(*c))] == *c));
        assert!(distinct.colours.len() <= all.len());
    }
}
