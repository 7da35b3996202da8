//! Tiles as blobs.
//!
//! | bytes | what |
//! | --- | --- |
//! | 1 | number of planes, 1 to 8, lowest first |
//! | 1 | which of them are even, a bit a plane, the lowest plane in the lowest bit |
//! | 4 an even plane | the word of all its pixels, little-endian |
//! | the rest | the other planes in one zstd frame with a checksum; nothing when all are even |
//!
//! In the frame a plane is sorted by byte: all lowest bytes of its words, then the next. That puts paint ids, which hardly
//! vary, and amounts, which do, into separate runs. Measured on a tile of two soft glazes over a flat ground: a quarter
//! smaller and twice as fast as words in their order.
//!
//! Study formats 1 and 2 had only such a frame of all planes. Those blobs are read as they are: they begin with the magic
//! number of zstd, 28 B5 2F FD (RFC 8878), which is no number of planes.

use super::error::Fault;
use super::tile::{
    BLOCK_PIXELS, BLOCK_SIDE, BLOCKS, Block, MAX_PLANES, Plane, TILE_PIXELS, TilePixels, Words, block_rows,
};
use rayon::prelude::*;
use std::io;
use zstd::bulk::{Compressor, Decompressor};
use zstd::zstd_safe::CParameter;

/// Bytes of a blob before its planes.
pub(super) const EVEN_TILE_BYTES: u64 = 2;
/// Bytes of an even plane in a blob.
pub(super) const EVEN_PLANE_BYTES: u64 = 4;
/// Bytes of the pixels of a plane.
pub(super) const PLANE_BYTES: usize = TILE_PIXELS * 4;
/// Of zstd, the fastest that is worth its time.
const LEVEL: i32 = 1;
/// How a zstd frame begins (RFC 8878, 3.1.1).
const ZSTD_MAGIC: [u8; 4] = [0x28, 0xb5, 0x2f, 0xfd];

/// Turns tiles into blobs and back; keeps its buffers.
pub(super) struct Codec {
    compressor: Compressor<'static>,
    decompressor: Decompressor<'static>,
    bytes: Vec<u8>,
}

impl Codec {
    fn new() -> io::Result<Self> {
        let mut compressor = Compressor::new(LEVEL)?;
        compressor.set_parameter(CParameter::ChecksumFlag(true))?;
        Ok(Codec { compressor, decompressor: Decompressor::new()?, bytes: Vec::new() })
    }

    /// The blob of a tile, or `None` for one without paint.
    pub(super) fn encode(&mut self, tile: &TilePixels) -> Result<Option<Vec<u8>>, Fault> {
        self.encode_difference(tile, &TilePixels::default())
    }

    /// The blob of `a` XOR `b`, missing planes counting as empty, or `None` when the two are equal.
    pub(super) fn encode_difference(&mut self, a: &TilePixels, b: &TilePixels) -> Result<Option<Vec<u8>>, Fault> {
        let (a, b) = (a.planes(), b.planes());
        let most = a.len().max(b.len());
        let Some(top) = (0..most).rev().find(|&i| differ(a.get(i), b.get(i))) else {
            return Ok(None);
        };
        let count = top + 1;
        #[expect(clippy::cast_possible_truncation, reason = "a tile has at most eight planes")]
        let mut head = vec![count as u8, 0];
        self.bytes.clear();
        for i in 0..count {
            if let Some(word) = even_difference(a.get(i), b.get(i)) {
                head[1] |= 1 << i;
                head.extend(word.to_le_bytes());
                continue;
            }
            let start = self.bytes.len();
            self.bytes.resize(start + PLANE_BYTES, 0);
            scatter_difference(&mut self.bytes[start..], a.get(i), b.get(i));
        }
        if !self.bytes.is_empty() {
            head.extend(self.compressor.compress(&self.bytes).map_err(Fault::Disk)?);
        }
        Ok(Some(head))
    }

    /// The tile of a blob.
    pub(super) fn decode(&mut self, blob: &[u8]) -> Result<TilePixels, Fault> {
        Ok(TilePixels::new(self.decode_planes(blob)?))
    }

    fn decode_planes(&mut self, blob: &[u8]) -> Result<Vec<Plane>, Fault> {
        let damaged = |what: &str| Fault::Damaged(format!("a tile cannot be unpacked: {what}"));
        let (count, even, rest) = match blob {
            _ if blob.starts_with(&ZSTD_MAGIC) => (None, 0, blob),
            [count, even, rest @ ..] => (Some(usize::from(*count)), *even, rest),
            _ => return Err(damaged("it ends before its planes")),
        };
        if count.is_some_and(|count| !(1..=MAX_PLANES).contains(&count) || u32::from(even) >> count != 0) {
            return Err(damaged("its number of planes is none of 1 to 8"));
        }
        let Some((words, frame)) = rest.split_at_checked(4 * even.count_ones() as usize) else {
            return Err(damaged("it ends among its even planes"));
        };
        self.bytes.clear();
        if !frame.is_empty() {
            self.bytes.reserve(MAX_PLANES * PLANE_BYTES);
            let read = self.decompressor.decompress_to_buffer(frame, &mut self.bytes);
            read.map_err(|e| damaged(&e.to_string()))?;
        }
        let length = self.bytes.len();
        let pixels = length / PLANE_BYTES;
        let expected = count.map_or(pixels.max(1), |count| count - even.count_ones() as usize);
        if length != expected * PLANE_BYTES || expected > MAX_PLANES {
            return Err(damaged(&format!("it has {length} bytes, not a whole number of planes")));
        }
        let mut pixels = self.bytes.chunks_exact(PLANE_BYTES);
        let mut words = words.chunks_exact(4);
        let mut planes = Vec::with_capacity(MAX_PLANES);
        for i in 0..count.unwrap_or(expected) {
            let plane = if even >> i & 1 == 1 {
                words.next().and_then(|word| word.try_into().ok()).map(|word| Plane::even(u32::from_le_bytes(word)))
            } else {
                pixels.next().map(gather)
            };
            planes.push(plane.ok_or_else(|| damaged("it has too few planes"))?);
        }
        Ok(planes)
    }
}

/// A block of a plane; a missing plane is empty.
fn block(plane: Option<&Plane>, index: usize) -> Words<'_> {
    plane.map_or(Words::Even(0), |plane| plane.block(index))
}

fn differ(a: Option<&Plane>, b: Option<&Plane>) -> bool {
    even_difference(a, b) != Some(0)
}

/// The one word of `a` XOR `b`, if it is one everywhere.
fn even_difference(a: Option<&Plane>, b: Option<&Plane>) -> Option<u32> {
    let even = |plane: Option<&Plane>| plane.map_or(Some(0), Plane::even_word);
    if let Some((a, b)) = even(a).zip(even(b)) {
        return Some(a ^ b);
    }
    let word = block(a, 0).at(0) ^ block(b, 0).at(0);
    let is_word = |i| match (block(a, i), block(b, i)) {
        (Words::Even(a), Words::Even(b)) => a ^ b == word,
        (Words::Pixels(pixels), Words::Even(even)) | (Words::Even(even), Words::Pixels(pixels)) => {
            pixels.iter().all(|pixel| pixel ^ even == word)
        }
        (Words::Pixels(a), Words::Pixels(b)) => {
            (word == 0 && std::ptr::eq(a, b)) || a.iter().zip(b).all(|(a, b)| a ^ b == word)
        }
    };
    (0..BLOCKS).all(is_word).then_some(word)
}

/// Writes `a` XOR `b` sorted by byte, row by row.
fn scatter_difference(bytes: &mut [u8], a: Option<&Plane>, b: Option<&Plane>) {
    for i in 0..BLOCKS {
        match (block(a, i), block(b, i)) {
            (Words::Pixels(a), Words::Pixels(b)) => {
                if !std::ptr::eq(a, b) {
                    scatter_block(bytes, i, |at| a[at] ^ b[at]);
                }
            }
            (Words::Pixels(pixels), Words::Even(0)) | (Words::Even(0), Words::Pixels(pixels)) => {
                scatter_block(bytes, i, |at| pixels[at]);
            }
            (a, b) => scatter_block(bytes, i, |at| a.at(at) ^ b.at(at)),
        }
    }
}

/// Writes the words of one block sorted by byte; `word` gives them by their index in the block.
fn scatter_block(bytes: &mut [u8], block: usize, word: impl Fn(usize) -> u32) {
    const WIDTH: usize = BLOCK_SIDE as usize;
    let (low, high) = bytes.split_at_mut(2 * TILE_PIXELS);
    let ((b0, b1), (b2, b3)) = (low.split_at_mut(TILE_PIXELS), high.split_at_mut(TILE_PIXELS));
    for (row, at) in block_rows(block).enumerate() {
        let part = |bytes: &mut [u8], shift: u32| {
            for (i, byte) in bytes[at..at + WIDTH].iter_mut().enumerate() {
                *byte = word(row * WIDTH + i).to_le_bytes()[shift as usize];
            }
        };
        part(b0, 0);
        part(b1, 1);
        part(b2, 2);
        part(b3, 3);
    }
}

fn gather(bytes: &[u8]) -> Plane {
    const WIDTH: usize = BLOCK_SIDE as usize;
    let (low, high) = bytes.split_at(2 * TILE_PIXELS);
    let ((b0, b1), (b2, b3)) = (low.split_at(TILE_PIXELS), high.split_at(TILE_PIXELS));
    let mut words = [0; BLOCK_PIXELS];
    Plane::from_blocks(std::array::from_fn(|block| {
        for (words, at) in words.chunks_exact_mut(WIDTH).zip(block_rows(block)) {
            let row = at..at + WIDTH;
            let (b0, b1, b2, b3) = (&b0[row.clone()], &b1[row.clone()], &b2[row.clone()], &b3[row]);
            for (i, word) in words.iter_mut().enumerate() {
                *word = u32::from_le_bytes([b0[i], b1[i], b2[i], b3[i]]);
            }
        }
        Block::new(&words)
    }))
}

/// `tile` XOR `delta`.
pub(super) fn apply(tile: TilePixels, delta: TilePixels) -> TilePixels {
    let mut planes = tile.into_planes();
    for (i, change) in delta.into_planes().into_iter().enumerate() {
        match planes.get_mut(i) {
            Some(plane) => *plane = changed(plane, &change),
            None => planes.push(change),
        }
    }
    TilePixels::new(planes)
}

/// `plane` XOR `change`.
fn changed(plane: &Plane, change: &Plane) -> Plane {
    if let Some((word, change)) = plane.even_word().zip(change.even_word()) {
        return Plane::even(word ^ change);
    }
    Plane::from_blocks(std::array::from_fn(|i| match (plane.block(i), change.block(i)) {
        (_, Words::Even(0)) => plane.shared_block(i),
        (Words::Even(0), _) => change.shared_block(i),
        (Words::Even(a), Words::Even(b)) => Block::even(a ^ b),
        (a, b) => Block::new(&std::array::from_fn(|at| a.at(at) ^ b.at(at))),
    }))
}

/// Runs `work` on all items at once, in their order, each thread with a codec of its own.
pub(super) fn in_parallel<T: Sync, R: Send>(
    items: &[T],
    work: impl Fn(&mut Codec, &T) -> Result<R, Fault> + Sync,
) -> Result<Vec<R>, Fault> {
    let with_codec = |codec: &mut io::Result<Codec>, item| match codec {
        Ok(codec) => work(codec, item),
        Err(e) => Err(Fault::Disk(io::Error::new(e.kind(), e.to_string()))),
    };
    items.par_iter().map_init(Codec::new, with_codec).collect()
}

/// The same on this thread alone.
pub(super) fn in_turn<T, R>(items: &[T], work: impl Fn(&mut Codec, &T) -> Result<R, Fault>) -> Result<Vec<R>, Fault> {
    let mut codec = Codec::new().map_err(Fault::Disk)?;
    items.iter().map(|item| work(&mut codec, item)).collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn plane(seed: u32) -> Plane {
        Plane::from_fn(|i| (i as u32).wrapping_mul(2_654_435_761).rotate_left(seed) ^ seed)
    }

    /// A blob as study formats 1 and 2 have it.
    fn first_blob(tile: &TilePixels) -> Vec<u8> {
        let mut bytes = vec![0; tile.planes().len() * PLANE_BYTES];
        for (bytes, plane) in bytes.chunks_exact_mut(PLANE_BYTES).zip(tile.planes()) {
            scatter_difference(bytes, Some(plane), None);
        }
        zstd::bulk::compress(&bytes, LEVEL).unwrap()
    }

    #[test]
    fn a_tile_comes_back() {
        let mut codec = Codec::new().unwrap();
        for count in 1..=MAX_PLANES as u32 {
            let tile = TilePixels::new((0..count).map(plane).collect());
            let blob = codec.encode(&tile).unwrap().unwrap();
            assert_eq!(codec.decode(&blob).unwrap(), tile);
            let first = first_blob(&tile);
            assert_eq!(codec.decode(&first).unwrap(), tile);
        }
    }

    #[test]
    fn an_even_plane_costs_four_bytes() {
        let mut codec = Codec::new().unwrap();
        let even = TilePixels::new(vec![Plane::even(0x0003_8000), Plane::even(0x0004_7fff)]);
        let blob = codec.encode(&even).unwrap().unwrap();
        assert_eq!(blob, [2, 0b11, 0x00, 0x80, 0x03, 0x00, 0xff, 0x7f, 0x04, 0x00]);
        assert_eq!(codec.decode(&blob).unwrap(), even);
        let mixed = TilePixels::new(vec![plane(1), Plane::even(5), plane(2)]);
        let blob = codec.encode(&mixed).unwrap().unwrap();
        assert_eq!(blob[..6], [3, 0b010, 5, 0, 0, 0]);
        assert_eq!(codec.decode(&blob).unwrap(), mixed);
    }

    #[test]
    fn no_paint_is_no_blob() {
        let mut codec = Codec::new().unwrap();
        assert!(codec.encode(&TilePixels::default()).unwrap().is_none());
    }

    #[test]
    fn a_difference_leads_both_ways() {
        let mut codec = Codec::new().unwrap();
        let mut tiles: Vec<TilePixels> =
            (0..4u32).map(|n| TilePixels::new((0..n).map(|p| plane(7 * n + p)).collect())).collect();
        tiles.push(TilePixels::new(vec![Plane::even(9), Plane::even(8)]));
        tiles.push(TilePixels::new(vec![Plane::even(7), plane(3)]));
        for a in &tiles {
            for b in &tiles {
                let Some(blob) = codec.encode_difference(a, b).unwrap() else {
                    assert_eq!(a, b);
                    continue;
                };
                let delta = codec.decode(&blob).unwrap();
                assert_eq!((&apply(a.clone(), delta.clone()), &apply(b.clone(), delta)), (b, a));
            }
        }
    }

    #[test]
    fn words_are_stored_by_byte_lowest_first() {
        let mut bytes = vec![0; PLANE_BYTES];
        scatter_difference(&mut bytes, Some(&Plane::from_fn(|i| if i == 0 { 0x0403_0201 } else { 0 })), None);
        let at = |i: usize| bytes[i * TILE_PIXELS];
        assert_eq!([at(0), at(1), at(2), at(3)], [1, 2, 3, 4]);
    }

    #[test]
    fn a_changed_frame_is_found() {
        let mut codec = Codec::new().unwrap();
        let blob = codec.encode(&TilePixels::new(vec![plane(3)])).unwrap().unwrap();
        for at in (2..blob.len()).step_by(997).chain([blob.len() - 1]) {
            let mut changed = blob.clone();
            changed[at] ^= 0x10;
            assert!(codec.decode(&changed).is_err(), "byte {at}");
        }
        assert!(codec.decode(&blob[..blob.len() / 2]).is_err());
    }

    #[test]
    fn planes_of_a_wrong_size_or_number_are_refused() {
        let mut codec = Codec::new().unwrap();
        let frame = |bytes: usize| zstd::bulk::compress(&vec![1; bytes], 1).unwrap();
        for blob in [frame((MAX_PLANES + 1) * PLANE_BYTES), frame(3), frame(0)] {
            assert!(codec.decode(&blob).is_err());
            assert!(codec.decode(&[&[1, 0], &blob[..]].concat()).is_err());
        }
        let plane = frame(PLANE_BYTES);
        for head in [&[0, 0][..], &[9, 0], &[2, 0], &[1, 0b10], &[1, 1, 5, 5], &[1, 1, 5, 5, 5, 5]] {
            assert!(codec.decode(&[head, &plane].concat()).is_err(), "{head:?}");
        }
        for blob in [&[][..], &[1], &[1, 0], &[1, 1, 5, 5, 5], &[2, 1, 5, 5, 5, 5]] {
            assert!(codec.decode(blob).is_err(), "{blob:?}");
        }
        assert!(codec.decode(&[&[2, 0b10, 5, 5, 5, 5], &plane[..]].concat()).is_ok());
    }
}
