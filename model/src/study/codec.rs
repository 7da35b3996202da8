//! Tiles as blobs: planes as little-endian words, sorted by byte, in one zstd frame with a checksum.
//!
//! Sorting by byte (all lowest bytes of a plane, then the next) puts paint ids, which hardly vary, and amounts, which
//! do, into separate runs. Measured on a tile of two soft glazes over a flat ground: a quarter smaller and twice as fast
//! as words in their order.

use super::error::Fault;
use super::tile::{MAX_PLANES, TILE_PIXELS, TilePixels};
use rayon::prelude::*;
use std::io;
use zstd::bulk::{Compressor, Decompressor};
use zstd::zstd_safe::CParameter;

const PLANE_BYTES: usize = TILE_PIXELS * 4;
const LEVEL: i32 = 1;

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
        let most = a.planes.len().max(b.planes.len());
        if most > MAX_PLANES || a.planes.iter().chain(&b.planes).any(|p| p.len() != TILE_PIXELS) {
            return Err(Fault::Unsound(format!(
                "a tile has {most} planes, or one of another size than {TILE_PIXELS} px"
            )));
        }
        let Some(top) = (0..most).rev().find(|&i| differ(a.planes.get(i), b.planes.get(i))) else {
            return Ok(None);
        };
        self.bytes.clear();
        self.bytes.resize((top + 1) * PLANE_BYTES, 0);
        for (i, bytes) in self.bytes.chunks_exact_mut(PLANE_BYTES).enumerate() {
            match (a.planes.get(i), b.planes.get(i)) {
                (Some(a), Some(b)) => scatter(bytes, a.iter().zip(b).map(|(a, b)| a ^ b)),
                (Some(one), None) | (None, Some(one)) => scatter(bytes, one.iter().copied()),
                (None, None) => {}
            }
        }
        self.compressor.compress(&self.bytes).map(Some).map_err(Fault::Disk)
    }

    /// The tile of a blob.
    pub(super) fn decode(&mut self, blob: &[u8]) -> Result<TilePixels, Fault> {
        self.bytes.clear();
        self.bytes.reserve(MAX_PLANES * PLANE_BYTES);
        let read = self.decompressor.decompress_to_buffer(blob, &mut self.bytes);
        let length = read.map_err(|e| Fault::Damaged(format!("a tile cannot be unpacked: {e}")))?;
        if length == 0 || !length.is_multiple_of(PLANE_BYTES) {
            return Err(Fault::Damaged(format!("a tile has {length} bytes, not a whole number of planes")));
        }
        let planes = self.bytes.chunks_exact(PLANE_BYTES).map(gather);
        Ok(TilePixels { planes: planes.collect() })
    }
}

fn differ(a: Option<&Vec<u32>>, b: Option<&Vec<u32>>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => a != b,
        (Some(one), None) | (None, Some(one)) => one.iter().any(|&w| w != 0),
        (None, None) => false,
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

fn gather(bytes: &[u8]) -> Vec<u32> {
    let (low, high) = bytes.split_at(2 * TILE_PIXELS);
    let ((b0, b1), (b2, b3)) = (low.split_at(TILE_PIXELS), high.split_at(TILE_PIXELS));
    let words = b0.iter().zip(b1).zip(b2.iter().zip(b3));
    words.map(|((b0, b1), (b2, b3))| u32::from_le_bytes([*b0, *b1, *b2, *b3])).collect()
}

/// XORs `delta` into `tile` and drops planes that become empty.
pub(super) fn apply(tile: &mut TilePixels, delta: TilePixels) {
    for (i, plane) in delta.planes.into_iter().enumerate() {
        match tile.planes.get_mut(i) {
            Some(words) => words.iter_mut().zip(plane).for_each(|(word, change)| *word ^= change),
            None => tile.planes.push(plane),
        }
    }
    tile.trim();
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

    fn plane(seed: u32) -> Vec<u32> {
        (0..TILE_PIXELS as u32).map(|i| i.wrapping_mul(2_654_435_761).rotate_left(seed) ^ seed).collect()
    }

    #[test]
    fn a_tile_comes_back() {
        let mut codec = Codec::new().unwrap();
        for count in 1..=MAX_PLANES as u32 {
            let tile = TilePixels { planes: (0..count).map(plane).collect() };
            let blob = codec.encode(&tile).unwrap().unwrap();
            assert_eq!(codec.decode(&blob).unwrap(), tile);
        }
    }

    #[test]
    fn no_paint_is_no_blob() {
        let mut codec = Codec::new().unwrap();
        assert!(codec.encode(&TilePixels::default()).unwrap().is_none());
        assert!(codec.encode(&TilePixels { planes: vec![vec![0; TILE_PIXELS]; 2] }).unwrap().is_none());
    }

    #[test]
    fn a_difference_leads_both_ways() {
        let mut codec = Codec::new().unwrap();
        let tiles: Vec<TilePixels> =
            (0..4u32).map(|n| TilePixels { planes: (0..n).map(|p| plane(7 * n + p)).collect() }).collect();
        for a in &tiles {
            for b in &tiles {
                let Some(blob) = codec.encode_difference(a, b).unwrap() else {
                    assert_eq!(a, b);
                    continue;
                };
                let delta = codec.decode(&blob).unwrap();
                let (mut forth, mut back) = (a.clone(), b.clone());
                apply(&mut forth, delta.clone());
                apply(&mut back, delta);
                assert_eq!((&forth, &back), (b, a));
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
    fn a_changed_blob_is_found() {
        let mut codec = Codec::new().unwrap();
        let blob = codec.encode(&TilePixels { planes: vec![plane(3)] }).unwrap().unwrap();
        for at in (0..blob.len()).step_by(997).chain([blob.len() - 1]) {
            let mut changed = blob.clone();
            changed[at] ^= 0x10;
            assert!(codec.decode(&changed).is_err(), "byte {at}");
        }
        assert!(codec.decode(&blob[..blob.len() / 2]).is_err());
        assert!(codec.decode(&[]).is_err());
    }

    #[test]
    fn planes_of_a_wrong_size_or_number_are_refused() {
        let mut codec = Codec::new().unwrap();
        assert!(codec.encode(&TilePixels { planes: vec![vec![1; 5]] }).is_err());
        assert!(codec.encode(&TilePixels { planes: vec![plane(0); MAX_PLANES + 1] }).is_err());
        let too_much = zstd::bulk::compress(&vec![1; (MAX_PLANES + 1) * PLANE_BYTES], 1).unwrap();
        assert!(codec.decode(&too_much).is_err());
        assert!(codec.decode(&zstd::bulk::compress(&[1, 2, 3], 1).unwrap()).is_err());
    }
}
