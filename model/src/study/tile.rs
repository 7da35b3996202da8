//! Tiles as the study file stores them.
//!
//! A tile is 128 x 128 pixels and 0 to 8 planes; a plane holds one u32 a pixel, or one for all: paint id in the upper 16 bits,
//! amount (0-65535, 65535 = full cover) in the lower. Pairs are packed: a pixel's non-empty pairs fill the lowest planes.

use crate::ids::PassId;
use std::hash::{Hash, Hasher};
use std::ops::{Index, IndexMut};
use std::sync::Arc;

/// Side of a tile in pixels.
pub const TILE_SIDE: u32 = 128;
/// Pixels of a tile.
pub const TILE_PIXELS: usize = (TILE_SIDE * TILE_SIDE) as usize;
/// Most planes a tile can have: paints a pixel.
pub const MAX_PLANES: usize = 8;
/// Memory that the tiles of a study may take at any moment of its history, in bytes, every plane counted in full: 65,536
/// planes. It is told from the number of planes stored with each tile, before any is unpacked.
pub const TILE_BUDGET_BYTES: u64 = 4 << 30;

/// Where a tile lies: column and row in tiles, from the top left.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct TilePos {
    /// Column, `x / 128`.
    pub column: u16,
    /// Row, `y / 128`.
    pub row: u16,
}

/// A tile of one pass.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct TileKey {
    /// The pass.
    pub pass: PassId,
    /// The place.
    pub pos: TilePos,
}

/// A tile in words.
pub(super) fn place_of(key: TileKey) -> String {
    format!("the paint of pass {} in tile column {}, row {}", key.pass, key.pos.column, key.pos.row)
}

/// Side of a block in pixels.
pub const BLOCK_SIDE: u32 = 32;
/// Pixels of a block.
pub const BLOCK_PIXELS: usize = (BLOCK_SIDE * BLOCK_SIDE) as usize;
/// Blocks of a plane.
pub const BLOCKS: usize = TILE_PIXELS / BLOCK_PIXELS;
/// Blocks side by side.
const BLOCKS_ACROSS: usize = (TILE_SIDE / BLOCK_SIDE) as usize;

/// The words of some pixels: one for all of them, or one each.
#[derive(Clone, Copy, Debug)]
pub enum Words<'a> {
    /// The same everywhere; 0 is no paint.
    Even(u32),
    /// One a pixel, row by row.
    Pixels(&'a [u32]),
}

impl Words<'_> {
    /// The word of one pixel.
    ///
    /// # Panics
    /// When there is no such pixel and the words are not even.
    #[inline(always)]
    pub fn at(&self, index: usize) -> u32 {
        match self {
            Words::Even(word) => *word,
            Words::Pixels(words) => words[index],
        }
    }
}

/// A square of [`BLOCK_SIDE`] pixels of a plane. Copies share their pixels until one of them is changed.
#[derive(Clone, Debug)]
pub struct Block(Kept);

#[derive(Clone, Debug)]
enum Kept {
    Even(u32),
    Pixels(Arc<[u32; BLOCK_PIXELS]>),
}

impl Block {
    /// A block of one word for all pixels.
    pub fn even(word: u32) -> Self {
        Block(Kept::Even(word))
    }

    /// A block of these words, row by row; even if they are all the same.
    pub fn new(words: &[u32; BLOCK_PIXELS]) -> Self {
        Block(match same(words) {
            Some(word) => Kept::Even(word),
            None => Kept::Pixels(kept(words)),
        })
    }

    /// Its words.
    #[inline]
    pub fn words(&self) -> Words<'_> {
        match &self.0 {
            Kept::Even(word) => Words::Even(*word),
            Kept::Pixels(words) => Words::Pixels(&words[..]),
        }
    }

    /// The word of all pixels, if they have one.
    pub fn even_word(&self) -> Option<u32> {
        match &self.0 {
            Kept::Even(word) => Some(*word),
            Kept::Pixels(words) => same(words),
        }
    }

    /// A block of the same words, even if they are all the same.
    fn shrunk(self) -> Self {
        self.even_word().map_or(self, Block::even)
    }
}

impl PartialEq for Block {
    fn eq(&self, other: &Self) -> bool {
        match (&self.0, &other.0) {
            (Kept::Pixels(a), Kept::Pixels(b)) => Arc::ptr_eq(a, b) || a == b,
            _ => self.even_word().is_some_and(|word| other.even_word() == Some(word)),
        }
    }
}

impl Eq for Block {}

/// The words where they can be shared. A slice is copied once, to where it stays; an array goes over the stack.
fn kept(words: &[u32; BLOCK_PIXELS]) -> Arc<[u32; BLOCK_PIXELS]> {
    Arc::<[u32]>::from(&words[..]).try_into().unwrap_or_else(|_| unreachable!("they are as many as a block has"))
}

/// The word that all are, if they are all the same.
fn same(words: &[u32; BLOCK_PIXELS]) -> Option<u32> {
    let first = words[0];
    // Sixteen at a time, so that a difference is met early and the machine's vector instructions can be used.
    let differs = |some: &[u32; 16]| some.iter().fold(0, |odd, word| odd | (word ^ first)) != 0;
    (!words.as_chunks::<16>().0.iter().any(differs)).then_some(first)
}

/// The block that a pixel with this index in the tile lies in, and its index there.
#[inline(always)]
pub fn place_in_block(index: usize) -> (usize, usize) {
    const SIDE: usize = TILE_SIDE as usize;
    const SMALL: usize = BLOCK_SIDE as usize;
    let (x, y) = (index % SIDE, index / SIDE);
    (y / SMALL * BLOCKS_ACROSS + x / SMALL, y % SMALL * SMALL + x % SMALL)
}

/// Where the rows of a block lie in its tile: the indices of the first pixel of each.
pub fn block_rows(block: usize) -> impl Iterator<Item = usize> {
    const SIDE: usize = TILE_SIDE as usize;
    const SMALL: usize = BLOCK_SIDE as usize;
    let first = block / BLOCKS_ACROSS * SMALL * SIDE + block % BLOCKS_ACROSS * SMALL;
    (0..SMALL).map(move |row| first + row * SIDE)
}

/// One plane of a tile: one word for all its pixels, or [`BLOCKS`] blocks, row by row, each of them one word or pixels. What masses
/// cover is mostly even, so that it takes hardly any memory and hardly any work.
#[derive(Clone, Debug)]
pub struct Plane(Parts);

#[derive(Clone, Debug)]
enum Parts {
    Even(u32),
    Blocks(Box<[Block; BLOCKS]>),
}

impl Plane {
    /// A plane of one word for all pixels; 0 is no paint.
    pub fn even(word: u32) -> Self {
        Plane(Parts::Even(word))
    }

    /// A plane of these blocks, row by row.
    pub fn from_blocks(blocks: [Block; BLOCKS]) -> Self {
        Plane(Parts::Blocks(Box::new(blocks))).shrunk()
    }

    /// A plane whose words are `word(0)`, `word(1)` … [`TILE_PIXELS`] of them, row by row.
    pub fn from_fn(word: impl FnMut(usize) -> u32) -> Self {
        let words: Vec<u32> = (0..TILE_PIXELS).map(word).collect();
        Self::from_words(&words).unwrap_or_else(|| unreachable!("they are as many as a plane has"))
    }

    /// A plane of these words, row by row; none unless there are [`TILE_PIXELS`] of them.
    pub fn from_words(words: &[u32]) -> Option<Self> {
        let words: &[u32; TILE_PIXELS] = words.try_into().ok()?;
        let mut pixels = [0; BLOCK_PIXELS];
        let block = |block| {
            for (to, from) in pixels.chunks_exact_mut(BLOCK_SIDE as usize).zip(block_rows(block)) {
                to.copy_from_slice(&words[from..from + BLOCK_SIDE as usize]);
            }
            Block::new(&pixels)
        };
        let mut blocks = (0..BLOCKS).map(block);
        Some(Self::from_blocks(std::array::from_fn(|_| blocks.next().unwrap_or(Block::even(0)))))
    }

    /// Writes the words row by row into `out`, which has room for [`TILE_PIXELS`] of them.
    ///
    /// # Panics
    /// When it has less.
    pub fn copy_to(&self, out: &mut [u32]) {
        for block in 0..BLOCKS {
            let words = self.block(block);
            for (row, at) in block_rows(block).enumerate() {
                let out = &mut out[at..at + BLOCK_SIDE as usize];
                match words {
                    Words::Even(word) => out.fill(word),
                    Words::Pixels(words) => {
                        out.copy_from_slice(&words[row * BLOCK_SIDE as usize..][..BLOCK_SIDE as usize]);
                    }
                }
            }
        }
    }

    /// The word of all pixels, if they have one.
    pub fn even_word(&self) -> Option<u32> {
        match &self.0 {
            Parts::Even(word) => Some(*word),
            Parts::Blocks(blocks) => {
                let word = blocks[0].even_word()?;
                blocks.iter().all(|block| block.even_word() == Some(word)).then_some(word)
            }
        }
    }

    /// The words of a block, 0 to [`BLOCKS`] - 1.
    ///
    /// # Panics
    /// When there is no such block and the plane is not even.
    #[inline]
    pub fn block(&self, index: usize) -> Words<'_> {
        match &self.0 {
            Parts::Even(word) => Words::Even(*word),
            Parts::Blocks(blocks) => blocks[index].words(),
        }
    }

    /// A copy of a block, which shares its pixels.
    ///
    /// # Panics
    /// As [`Plane::block`].
    pub fn shared_block(&self, index: usize) -> Block {
        match &self.0 {
            Parts::Even(word) => Block::even(*word),
            Parts::Blocks(blocks) => blocks[index].clone(),
        }
    }

    /// Its words, row by row.
    pub fn iter(&self) -> impl Iterator<Item = &u32> {
        (0..TILE_PIXELS).map(|index| &self[index])
    }

    /// How many of its blocks hold pixels: what it takes of memory, in units of [`BLOCK_PIXELS`] words.
    pub fn pixel_blocks(&self) -> usize {
        match &self.0 {
            Parts::Even(_) => 0,
            Parts::Blocks(blocks) => blocks.iter().filter(|block| matches!(block.words(), Words::Pixels(_))).count(),
        }
    }

    /// The same words in as little memory as they can be in.
    fn shrunk(mut self) -> Self {
        if let Parts::Blocks(blocks) = &mut self.0 {
            for block in blocks.iter_mut() {
                if let Kept::Pixels(_) = block.0 {
                    *block = std::mem::replace(block, Block::even(0)).shrunk();
                }
            }
        }
        self.even_word().map_or(self, Plane::even)
    }
}

impl Index<usize> for Plane {
    type Output = u32;

    #[inline]
    fn index(&self, index: usize) -> &u32 {
        let (block, place) = place_in_block(index);
        match &self.0 {
            Parts::Even(word) => word,
            Parts::Blocks(blocks) => match &blocks[block].0 {
                Kept::Even(word) => word,
                Kept::Pixels(words) => &words[place],
            },
        }
    }
}

/// The block of the pixel becomes pixels; [`TilePixels::new`] makes it even again if it can be.
impl IndexMut<usize> for Plane {
    fn index_mut(&mut self, index: usize) -> &mut u32 {
        let (block, place) = place_in_block(index);
        if let Parts::Even(word) = self.0 {
            self.0 = Parts::Blocks(Box::new(std::array::from_fn(|_| Block::even(word))));
        }
        let Parts::Blocks(blocks) = &mut self.0 else { unreachable!("an even plane was made blocks just above") };
        let block = &mut blocks[block].0;
        if let Kept::Even(word) = *block {
            *block = Kept::Pixels(Arc::new([word; BLOCK_PIXELS]));
        }
        let Kept::Pixels(words) = block else { unreachable!("an even block was made pixels just above") };
        &mut Arc::make_mut(words)[place]
    }
}

impl PartialEq for Plane {
    fn eq(&self, other: &Self) -> bool {
        match (&self.0, &other.0) {
            (Parts::Blocks(a), Parts::Blocks(b)) => a == b,
            _ => self.even_word().is_some_and(|word| other.even_word() == Some(word)),
        }
    }
}

impl Eq for Plane {}

impl Hash for Plane {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.iter().for_each(|word| word.hash(state));
    }
}

/// The pixels of a tile. No planes means no paint; the uppermost plane has paint somewhere.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default)]
pub struct TilePixels {
    planes: Vec<Plane>,
}

impl TilePixels {
    /// A tile of these planes, lowest first. Upper planes that are empty everywhere are dropped, and what became even takes no more
    /// memory than that.
    ///
    /// # Panics
    /// When there are more than [`MAX_PLANES`].
    pub fn new(planes: Vec<Plane>) -> Self {
        assert!(planes.len() <= MAX_PLANES, "a tile of {} planes, where {MAX_PLANES} are the most", planes.len());
        let mut planes: Vec<Plane> = planes.into_iter().map(Plane::shrunk).collect();
        while planes.last().is_some_and(|p| p.even_word() == Some(0)) {
            planes.pop();
        }
        TilePixels { planes }
    }

    /// The planes, lowest first; at most [`MAX_PLANES`].
    pub fn planes(&self) -> &[Plane] {
        &self.planes
    }

    /// Whether there is no paint.
    pub fn is_empty(&self) -> bool {
        self.planes.is_empty()
    }

    /// The planes, to be changed and given to [`TilePixels::new`] again.
    pub fn into_planes(self) -> Vec<Plane> {
        self.planes
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_plane_has_the_words_of_a_tile_or_is_none() {
        assert_eq!(Plane::from_words(&[1; 5]), None);
        assert_eq!(Plane::from_words(&vec![1; TILE_PIXELS + 1]), None);
        assert_eq!(Plane::from_words(&vec![7; TILE_PIXELS]), Some(Plane::even(7)));
        assert_eq!((Plane::even(7).even_word(), Plane::from_fn(|i| i as u32).even_word()), (Some(7), None));
    }

    #[test]
    fn words_keep_their_places_in_blocks() {
        let words: Vec<u32> = (0..TILE_PIXELS as u32).map(|i| i * 7 + 1).collect();
        let plane = Plane::from_words(&words).unwrap();
        assert!(plane.iter().eq(&words));
        let mut out = vec![0; TILE_PIXELS];
        plane.copy_to(&mut out);
        assert_eq!(out, words);
        // By hand: the sixth block is the second of the second four: its first pixel lies at column 32 of row 32.
        assert_eq!((plane.block(5).at(0), plane.block(5).at(33)), (words[32 * 128 + 32], words[33 * 128 + 33]));
        assert_eq!(block_rows(5).take(2).collect::<Vec<_>>(), [32 * 128 + 32, 33 * 128 + 32]);
    }

    #[test]
    fn what_becomes_even_again_shrinks_and_copies_share_what_neither_changed() {
        let before = TilePixels::new(vec![Plane::even(5)]);
        let mut plane = before.planes()[0].clone();
        plane[200 * 64] = 9;
        assert_eq!((plane.pixel_blocks(), plane[200 * 64], plane[200 * 64 + 1]), (1, 9, 5));
        let changed = TilePixels::new(vec![plane.clone()]);
        assert_ne!(changed, before);
        plane[200 * 64] = 5;
        assert_eq!((plane.pixel_blocks(), plane.even_word(), &plane), (1, Some(5), &Plane::even(5)));
        let again = TilePixels::new(vec![plane]);
        assert_eq!((again.planes()[0].pixel_blocks(), &again), (0, &before));
        let hash = |tile: &TilePixels| {
            let mut hasher = std::hash::DefaultHasher::new();
            tile.hash(&mut hasher);
            hasher.finish()
        };
        assert_eq!(hash(&again), hash(&before));
        let mut copy = changed.planes()[0].clone();
        copy[0] = 1;
        let shared = |plane: &Plane| match plane.block(place_in_block(200 * 64).0) {
            Words::Pixels(words) => words.as_ptr(),
            Words::Even(_) => unreachable!("it holds two words"),
        };
        assert_eq!(shared(&copy), shared(&changed.planes()[0]));
    }

    #[test]
    fn empty_upper_planes_are_dropped() {
        let paint = Plane::from_fn(|i| u32::from(i == TILE_PIXELS - 1));
        let tile = TilePixels::new(vec![paint.clone(), Plane::even(0), paint.clone(), Plane::even(0)]);
        assert_eq!(tile.planes(), [paint.clone(), Plane::even(0), paint]);
        assert!(TilePixels::new(vec![Plane::even(0); MAX_PLANES]).is_empty());
    }

    #[test]
    #[should_panic(expected = "9 planes")]
    fn nine_planes_are_no_tile() {
        TilePixels::new(vec![Plane::even(1); MAX_PLANES + 1]);
    }
}
