//! Rows of samples to the data of `IDAT` chunks: filtered and packed on all processors.
//!
//! The rows are packed in pieces, each on its own and ended so that the next can follow (a "sync flush", an empty stored block: RFC 1951,
//! 3.2.4); together they are one zlib stream (RFC 1950). A piece cannot refer to the one before it, which costs a thousandth of the
//! file. What comes out does not depend on the number of processors.

use super::filter::{Filters, filter};
use flate2::{Compress, Compression, FlushCompress, Status};
use rayon::prelude::*;
use std::io;

/// Least bytes of a piece, before packing.
const PIECE_BYTES: usize = 1 << 18;

/// Packs rows; keeps what the next rows need of those before.
pub(super) struct Packer {
    level: u32,
    /// Bytes of a row, and of a pixel: the one to the left is what filters look at.
    row_bytes: usize,
    pixel_bytes: usize,
    /// The last row that is packed, zeroes before the first, and the rows that wait for more of them.
    waiting: Vec<u8>,
    sum: Adler32,
    begun: bool,
}

impl Packer {
    /// For rows of `row_bytes`, with a deflate level of 0-9.
    pub(super) fn new(level: u32, row_bytes: usize, pixel_bytes: usize) -> Self {
        Packer { level, row_bytes, pixel_bytes, waiting: vec![0; row_bytes], sum: Adler32::default(), begun: false }
    }

    /// The packed form of further rows, in pieces: of those that are worth packing by now, and of all where `last` ends the stream.
    ///
    /// # Errors
    /// When memory runs out while packing.
    pub(super) fn pack(&mut self, rows: &[u8], last: bool) -> io::Result<Vec<Vec<u8>>> {
        self.waiting.extend_from_slice(rows);
        let (waiting, row) = (std::mem::take(&mut self.waiting), self.row_bytes);
        let count = waiting.len() / row - 1;
        let per_piece = PIECE_BYTES.div_ceil(row);
        let packed = if last { count } else { count / per_piece * per_piece };
        let starts: Vec<usize> = (0..packed).step_by(per_piece).collect();
        let one = |&start: &usize| {
            let end = (start + per_piece).min(packed);
            // The row before the first of them is there too.
            self.piece(&waiting[start * row..(end + 1) * row], last && end == packed)
        };
        let made: Vec<(Vec<u8>, Adler32)> = starts.par_iter().map(one).collect::<io::Result<_>>()?;
        let mut pieces = Vec::with_capacity(made.len());
        for (mut bytes, sum) in made {
            if !std::mem::replace(&mut self.begun, true) {
                // Deflate with a window of 32 KiB, packed fast (RFC 1950, 2.2).
                bytes.splice(0..0, [0x78, 0x5e]);
            }
            self.sum = self.sum.followed_by(sum);
            pieces.push(bytes);
        }
        self.waiting = waiting;
        self.waiting.drain(..packed * row);
        if let Some(piece) = pieces.last_mut().filter(|_| last) {
            piece.extend(self.sum.value().to_be_bytes());
        }
        Ok(pieces)
    }

    /// One piece, with the sum of what it packs; the first of the rows is the one before it.
    fn piece(&self, rows: &[u8], last: bool) -> io::Result<(Vec<u8>, Adler32)> {
        let mut filtered = Vec::with_capacity(rows.len() + rows.len() / self.row_bytes);
        let mut filters = Filters::new(self.row_bytes);
        let rows: Vec<&[u8]> = rows.chunks_exact(self.row_bytes).collect();
        for pair in rows.windows(2) {
            filter(pair[1], pair[0], self.pixel_bytes, &mut filters, &mut filtered);
        }
        Ok((self.deflate(&filtered, last)?, Adler32::of(&filtered)))
    }

    fn deflate(&self, bytes: &[u8], last: bool) -> io::Result<Vec<u8>> {
        let mut packer = Compress::new(Compression::new(self.level), false);
        let flush = if last { FlushCompress::Finish } else { FlushCompress::Sync };
        let mut packed = Vec::with_capacity(bytes.len() / 4 + 1024);
        loop {
            let taken = usize::try_from(packer.total_in()).map_err(io::Error::other)?;
            let status = packer.compress_vec(&bytes[taken..], &mut packed, flush)?;
            let all_in = packer.total_in() == bytes.len() as u64;
            // Room that is left over tells that nothing is held back.
            if status == Status::StreamEnd || (all_in && !last && packed.len() < packed.capacity()) {
                return Ok(packed);
            }
            packed.reserve(packed.capacity().max(1024));
        }
    }
}

/// The check sum of RFC 1950, 8.2, of some bytes, with their number.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Adler32 {
    a: u32,
    b: u32,
    length: u64,
}

/// The largest prime below 65536.
const BASE: u32 = 65521;
/// Bytes after which the sums must be brought below [`BASE`] again, so that they stay below 2^32.
const MOST_AT_ONCE: usize = 5552;

impl Default for Adler32 {
    fn default() -> Self {
        Adler32 { a: 1, b: 0, length: 0 }
    }
}

impl Adler32 {
    fn of(bytes: &[u8]) -> Self {
        let (mut a, mut b) = (1_u32, 0_u32);
        for some in bytes.chunks(MOST_AT_ONCE) {
            // Sixteen at a time: each counts in `b` as often as there are bytes from it to the end.
            let (groups, rest) = some.as_chunks::<16>();
            for group in groups {
                let (mut sum, mut weighted) = (0_u32, 0_u32);
                for (byte, weight) in group.iter().zip((1..=16).rev()) {
                    sum += u32::from(*byte);
                    weighted += u32::from(*byte) * weight;
                }
                b += 16 * a + weighted;
                a += sum;
            }
            for byte in rest {
                a += u32::from(*byte);
                b += a;
            }
            a %= BASE;
            b %= BASE;
        }
        Adler32 { a, b, length: bytes.len() as u64 }
    }

    /// The sum of these bytes and then others.
    #[expect(clippy::cast_possible_truncation, reason = "remainders of a division by less than 2^16")]
    fn followed_by(self, other: Adler32) -> Adler32 {
        let base = u64::from(BASE);
        let (a, b) = (u64::from(self.a), u64::from(self.b));
        // Each later byte counts what `a` was before it, less the 1 that the other sum began with.
        let carried = (other.length % base) * (a + base - 1);
        Adler32 {
            a: ((a + u64::from(other.a) + base - 1) % base) as u32,
            b: ((b + carried + u64::from(other.b)) % base) as u32,
            length: self.length + other.length,
        }
    }

    fn value(self) -> u32 {
        self.b << 16 | self.a
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// The worked example of the Wikipedia article "Adler-32": "Wikipedia" gives 0x11E60398 (from memory); and joined parts are the whole.
    #[test]
    fn the_sum_is_the_published_one_and_parts_join() {
        assert_eq!(Adler32::of(b"Wikipedia").value(), 0x11e6_0398);
        let bytes: Vec<u8> = (0..200_000_u32).map(|i| (i.wrapping_mul(i) >> 7) as u8 | 0xe0).collect();
        let mut plain = (1_u32, 0_u32);
        for byte in &bytes {
            plain.0 = (plain.0 + u32::from(*byte)) % BASE;
            plain.1 = (plain.1 + plain.0) % BASE;
        }
        assert_eq!(Adler32::of(&bytes).value(), plain.1 << 16 | plain.0);
        for cut in [0, 1, 5552, 70_001, 200_000] {
            let joined = Adler32::of(&bytes[..cut]).followed_by(Adler32::of(&bytes[cut..]));
            assert_eq!(joined, Adler32 { length: 200_000, ..Adler32::of(&bytes) }, "{cut}");
        }
    }

    /// Rows in any number of calls are one zlib stream of the filtered rows, which another reader undoes.
    #[test]
    fn pieces_are_one_stream() {
        for (row_bytes, count) in [(30, 1), (999, 700), (300_000, 5)] {
            let rows: Vec<u8> = (0..row_bytes * count).map(|i| (i / 7 + (i * i) % 11) as u8).collect();
            let mut first = None;
            for at_once in [1, 3, count] {
                let mut packer = Packer::new(3, row_bytes, 3);
                let mut stream = Vec::new();
                let calls = rows.chunks(row_bytes * at_once);
                let last = calls.len() - 1;
                for (i, some) in calls.enumerate() {
                    stream.extend(packer.pack(some, i == last).unwrap().concat());
                }
                let mut filtered = Vec::new();
                io::Read::read_to_end(&mut flate2::read::ZlibDecoder::new(&stream[..]), &mut filtered).unwrap();
                assert_eq!(filtered.len(), (row_bytes + 1) * count, "{row_bytes} {at_once}");
                // However the rows come, the same is packed.
                assert!(first.get_or_insert_with(|| filtered.clone()) == &filtered, "{row_bytes} {at_once}");
            }
        }
    }
}
