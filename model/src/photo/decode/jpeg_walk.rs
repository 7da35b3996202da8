//! A walk through the Huffman-coded data of a sequential JPEG that keeps nothing: whether every interval holds exactly the
//! blocks it should, and whether each mean brightness is one that samples can have.
//!
//! A damaged byte makes a decoder lose its place. Often it finds it again with all brightness shifted, or has read all its
//! blocks before the data end; neither is an error to it. ITU-T T.81: tables annex C, decoding annex F.2.2, intervals annex E.

use crate::photo::container::segments::{Frame, START_OF_SCAN, Segment};

/// Bytes that may be left over in an interval: some cameras write one too many.
const MOST_LEFT_OVER: usize = 1;

/// Most segments of code tables that are read: real files have a few, each costs time.
const MOST_TABLE_SEGMENTS: usize = 1024;

/// What a code stands for, by the next 16 bits of the data: its length in bits (0 for no code) and its symbol.
struct Codes(Vec<(u8, u8)>);

impl Codes {
    /// From the counts of codes of 1 to 16 bits and the symbols in order.
    fn new(counts: &[u8; 16], symbols: &[u8]) -> Option<Self> {
        let mut codes = vec![(0, 0); 1 << 16];
        let (mut at, mut symbols) = (0usize, symbols.iter());
        for (length, &count) in (1u8..).zip(counts) {
            for _ in 0..count {
                let width = 1usize << (16 - length);
                codes.get_mut(at..at + width)?.fill((length, *symbols.next()?));
                at += width;
            }
        }
        Some(Codes(codes))
    }
}

/// Bits of one interval, from the highest of each byte on.
struct Bits<'a> {
    bytes: &'a [u8],
    at: usize,
    held: u64,
    count: u32,
}

impl Bits<'_> {
    /// The next 16 bits, with zeros behind the end.
    fn peek(&mut self) -> usize {
        while self.count <= 48 && self.at < self.bytes.len() {
            self.held = self.held << 8 | u64::from(self.bytes[self.at]);
            (self.at, self.count) = (self.at + 1, self.count + 8);
        }
        let bits = if self.count >= 16 { self.held >> (self.count - 16) } else { self.held << (16 - self.count) };
        (bits & 0xFFFF) as usize
    }

    /// Drops bits that were seen, or fails at the end.
    fn skip(&mut self, bits: u32) -> Option<()> {
        self.count = self.count.checked_sub(bits)?;
        Some(())
    }

    fn symbol(&mut self, codes: &Codes) -> Option<u8> {
        let (length, symbol) = codes.0[self.peek()];
        if length == 0 {
            return None;
        }
        self.skip(u32::from(length))?;
        Some(symbol)
    }

    /// A signed difference of so many bits: F.2.2.1, "extend".
    #[expect(clippy::cast_possible_truncation, reason = "at most sixteen bits")]
    fn difference(&mut self, bits: u8) -> Option<i32> {
        if bits == 0 {
            return Some(0);
        }
        if bits > 15 {
            return None;
        }
        let value = (self.peek() >> (16 - bits)) as i32;
        self.skip(u32::from(bits))?;
        Some(if value < 1 << (bits - 1) { value - (1 << bits) + 1 } else { value })
    }

    /// Whole bytes that nothing read.
    fn left_over(&self) -> usize {
        self.bytes.len() - self.at + self.count as usize / 8
    }
}

/// One component of a scan.
struct Part {
    /// Its place in the frame.
    component: usize,
    /// Tables of means and of the rest.
    tables: [usize; 2],
    /// Blocks of it in one unit of the scan.
    blocks: usize,
}

/// Whether the data of a sequential Huffman-coded JPEG are what an encoder wrote. `None` when its scans cannot be followed here.
pub(super) fn is_sound(bytes: &[u8], segments: &[Segment], frame: &Frame) -> Option<bool> {
    let mut tables: [[Option<Codes>; 4]; 2] = Default::default();
    let mut quantisers = [0i32; 4];
    let mut interval = 0usize;
    if segments.iter().filter(|s| s.marker == 0xC4).count() > MOST_TABLE_SEGMENTS {
        return Some(false);
    }
    for segment in segments {
        let data = &bytes[segment.data.clone()];
        match segment.marker {
            0xC4 => read_codes(data, &mut tables)?,
            0xDB => read_quantisers(data, &mut quantisers)?,
            0xDD => interval = usize::from(u16::from_be_bytes(*data.first_chunk()?)),
            START_OF_SCAN => {
                let coded = &bytes[segment.data.end..segment.whole.end];
                if !scan_is_sound(coded, data, frame, &tables, &quantisers, interval)? {
                    return Some(false);
                }
            }
            _ => {}
        }
    }
    Some(true)
}

fn read_codes(mut data: &[u8], tables: &mut [[Option<Codes>; 4]; 2]) -> Option<()> {
    while let [kind, rest @ ..] = data {
        let counts: &[u8; 16] = rest.first_chunk()?;
        let total: usize = counts.iter().map(|&c| usize::from(c)).sum();
        let symbols = rest.get(16..16 + total)?;
        *tables.get_mut(usize::from(kind >> 4))?.get_mut(usize::from(kind & 15))? = Some(Codes::new(counts, symbols)?);
        data = &rest[16 + total..];
    }
    Some(())
}

fn read_quantisers(mut data: &[u8], quantisers: &mut [i32; 4]) -> Option<()> {
    while let [kind, rest @ ..] = data {
        let wide = kind >> 4 != 0;
        let first = if wide { i32::from(u16::from_be_bytes(*rest.first_chunk()?)) } else { i32::from(*rest.first()?) };
        *quantisers.get_mut(usize::from(kind & 15))? = first;
        data = rest.get(if wide { 128 } else { 64 }..)?;
    }
    Some(())
}

fn scan_is_sound(
    coded: &[u8],
    header: &[u8],
    frame: &Frame,
    tables: &[[Option<Codes>; 4]; 2],
    quantisers: &[i32; 4],
    interval: usize,
) -> Option<bool> {
    let [count, rest @ ..] = header else { return None };
    let most = |place: usize| frame.components.iter().map(|c| usize::from(c[place])).max().unwrap_or(1);
    let (most_h, most_v) = (most(1), most(2));
    let (width, height) = (frame.width_px as usize, frame.height_px as usize);
    let mut parts = Vec::new();
    for chosen in rest.chunks_exact(2).take(usize::from(*count)) {
        let component = frame.components.iter().position(|c| c[0] == chosen[0])?;
        let [_, h, v, _] = frame.components[component].map(usize::from);
        let blocks = if *count == 1 { 1 } else { h * v };
        parts.push(Part { component, tables: [usize::from(chosen[1] >> 4), usize::from(chosen[1] & 15)], blocks });
    }
    let units = if let [part] = parts.as_slice() {
        let [_, h, v, _] = frame.components[part.component].map(usize::from);
        let blocks = |size: usize, own: usize, most: usize| (size * own).div_ceil(most).div_ceil(8);
        blocks(width, h, most_h) * blocks(height, v, most_v)
    } else {
        width.div_ceil(8 * most_h) * height.div_ceil(8 * most_v)
    };
    let mut left = units;
    let mut at = 0;
    let mut plain = Vec::new();
    while left > 0 {
        let here = if interval == 0 { left } else { interval.min(left) };
        plain.clear();
        at = unstuffed(coded, at, &mut plain);
        let mut bits = Bits { bytes: &plain, at: 0, held: 0, count: 0 };
        if interval_is_sound(&mut bits, here, &parts, frame, tables, quantisers)?.is_none() {
            return Some(false);
        }
        if bits.left_over() > MOST_LEFT_OVER && !is_padding(&plain[plain.len() - bits.left_over()..]) {
            return Some(false);
        }
        left -= here;
    }
    Some(at >= coded.len())
}

/// The data of one interval without stuffed zeros; gives where the next one begins.
fn unstuffed(coded: &[u8], mut at: usize, plain: &mut Vec<u8>) -> usize {
    while let Some(&byte) = coded.get(at) {
        at += 1;
        if byte != 0xFF {
            plain.push(byte);
            continue;
        }
        match coded.get(at) {
            Some(0) => {
                plain.push(0xFF);
                at += 1;
            }
            Some(0xD0..=0xD7) => return at + 1,
            // Fill bytes before a marker.
            _ => {}
        }
    }
    at
}

/// Whether bytes are what some encoders fill up with.
fn is_padding(bytes: &[u8]) -> bool {
    bytes.iter().all(|&b| b == 0) || bytes.iter().all(|&b| b == 0xFF)
}

/// Walks through so many units. The outer `None` is a table that is missing, the inner one damage.
fn interval_is_sound(
    bits: &mut Bits<'_>,
    units: usize,
    parts: &[Part],
    frame: &Frame,
    tables: &[[Option<Codes>; 4]; 2],
    quantisers: &[i32; 4],
) -> Option<Option<()>> {
    let mut with_tables = Vec::with_capacity(parts.len());
    for part in parts {
        let means = tables[0].get(part.tables[0])?.as_ref()?;
        let others = tables[1].get(part.tables[1])?.as_ref()?;
        let quantiser = *quantisers.get(usize::from(frame.components[part.component][3]))?;
        // Colour differences and inks have no such bound that holds for every file.
        let bound = if part.component == 0 && frame.components.len() < 4 { 1024 + quantiser } else { i32::MAX };
        with_tables.push((part.blocks, means, others, quantiser, bound));
    }
    let mut predicted = [0i32; 4];
    let mut walk = || {
        for _ in 0..units {
            for ((blocks, means, others, quantiser, bound), predicted) in with_tables.iter().zip(&mut predicted) {
                for _ in 0..*blocks {
                    let size = bits.symbol(means)?;
                    *predicted += bits.difference(size)?;
                    if predicted.saturating_mul(*quantiser).saturating_abs() > *bound {
                        return None;
                    }
                    let mut place = 1;
                    while place < 64 {
                        let symbol = bits.symbol(others)?;
                        let (run, size) = (usize::from(symbol >> 4), symbol & 15);
                        match (run, size) {
                            (15, 0) => place += 16,
                            (_, 0) => break,
                            _ => {
                                place += run + 1;
                                bits.difference(size)?;
                            }
                        }
                    }
                    if place > 64 {
                        return None;
                    }
                }
            }
        }
        Some(())
    };
    Some(walk())
}
