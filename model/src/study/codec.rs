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
use super::tile::{MAX_PLANES, Plane, TILE_PIXELS, TilePixels};
use rayon::prelude::*;
use std::io;
use zstd::bulk::{Compressor, Decompressor};
use zstd::zstd_safe::CParameter;

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
            let bytes = &mut self.bytes[start..];
            match (a.get(i), b.get(i)) {
                (Some(a), Some(b)) => scatter(bytes, a.iter().zip(&b[..]).map(|(a, b)| a ^ b)),
                (Some(one), None) | (None, Some(one)) => scatter(bytes, one.iter().copied()),
                (None, None) => {}
            }
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

fn differ(a: Option<&Plane>, b: Option<&Plane>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => a != b,
        (Some(one), None) | (None, Some(one)) => one.iter().any(|&w| w != 0),
        (None, None) => false,
    }
}

/// The one word of `a` XOR `b`, if it is one everywhere.
fn even_difference(a: Option<&Plane>, b: Option<&Plane>) -> Option<u32> {
    match (a, b) {
        (Some(a), Some(b)) => {
            let word = a[0] ^ b[0];
            a.iter().zip(&b[..]).all(|(a, b)| a ^ b == word).then_some(word)
        }
        (Some(one), None) | (None, Some(one)) => one.even_word(),
        (None, None) => Some(0),
    }
}

fn scatter(bytes: &mut [u8], words: impl Iterator<Item = u32>) {
    let (low, high) = bytes.split_at_mut(2 * TILE_PIXELS);
    let ((b0, b1), (b2, b3)) = (low.split_at_mut(TILE_PIXELS), high.split_at_mut(TILE_PIXELS));
    let places = b0.iter_mut().zip(b1).zip(b2.iter_mut().zip(b3));
    for (((b0, b1), (b2, b3)), word) in places.zip(words) {
        [*b0, *b1, *b2, *b3] = word.to_le_bytes();
    }
}

fn gather(bytes: &[u8]) -> Plane {
    let (low, high) = bytes.split_at(2 * TILE_PIXELS);
    let ((b0, b1), (b2, b3)) = (low.split_at(TILE_PIXELS), high.split_at(TILE_PIXELS));
    let words = b0.iter().zip(b1).zip(b2.iter().zip(b3));
    let mut words = words.map(|((b0, b1), (b2, b3))| u32::from_le_bytes([*b0, *b1, *b2, *b3]));
    Plane::from_fn(|_| words.next().unwrap_or(0))
}

/// `tile` XOR `delta`.
pub(super) fn apply(tile: TilePixels, delta: TilePixels) -> TilePixels {
    let mut planes = tile.into_planes();
    for (i, plane) in delta.into_planes().into_iter().enumerate() {
        match planes.get_mut(i) {
            Some(words) => words.iter_mut().zip(&plane[..]).for_each(|(word, change)| *word ^= change),
            None => planes.push(plane),
        }
    }
    TilePixels::new(planes)
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
            scatter(bytes, plane.iter().copied());
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
        scatter(&mut bytes, std::iter::once(0x0403_0201));
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
