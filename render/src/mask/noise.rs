//! Noise tables, made once from seeds: in whole numbers alone, so that they are the same on every machine.
//!
//! Each is white noise, blurred to a size of grain and then given even ranks: a threshold of `t` lets exactly `1 - t` of the table
//! through. All of them tile.
#![expect(clippy::cast_possible_truncation, reason = "table indices are masked and ranks are shifted into range")]

use super::group::{GROUP, Group, split};
use std::sync::OnceLock;
use wide::i32x4;

/// A table that repeats; both sides are powers of two.
#[derive(Debug)]
pub struct Table {
    width_mask: usize,
    height_mask: usize,
    width_bits: u32,
    values: Vec<u8>,
}

/// One layer of a table: blur across and along (table cells), and its share.
type Octave = (usize, usize, u64);

impl Table {
    fn new(width_bits: u32, height_bits: u32, seed: u32, octaves: &[Octave]) -> Self {
        let (width, height) = (1 << width_bits, 1 << height_bits);
        let mut sum = vec![0_u64; width * height];
        for (i, &(across, along, share)) in octaves.iter().enumerate() {
            let mut layer: Vec<u64> =
                (0..width * height).map(|at| u64::from(hash(at as u32, seed.wrapping_add(i as u32 * 7919)))).collect();
            // Three box blurs are a bell curve, nearly; two do for the finest grain.
            for _ in 0..3 {
                blur(&mut layer, width, height, across, 1, width);
                blur(&mut layer, height, width, along, width, 1);
            }
            for (total, rank) in sum.iter_mut().zip(ranks(&layer)) {
                *total += u64::from(rank) * share;
            }
        }
        let values = ranks(&sum).into_iter().map(|rank| (rank >> 8) as u8).collect();
        Table { width_mask: width - 1, height_mask: height - 1, width_bits, values }
    }

    /// The values at four places, 0-1, straight between their cells.
    #[inline(always)]
    pub fn at(&self, x: Group, y: Group) -> Group {
        let ((left, across), (top, down)) = (split(x), split(y));
        let mut cells = [[0; GROUP]; 4];
        for i in 0..GROUP {
            let (x0, y0) = (left[i] as usize & self.width_mask, top[i] as usize & self.height_mask);
            let (x1, y1) = ((x0 + 1) & self.width_mask, (y0 + 1) & self.height_mask);
            let (upper, lower) = (y0 << self.width_bits, y1 << self.width_bits);
            cells[0][i] = self.cell(upper | x0);
            cells[1][i] = self.cell(upper | x1);
            cells[2][i] = self.cell(lower | x0);
            cells[3][i] = self.cell(lower | x1);
        }
        let [a, b, c, d] = [numbers(cells[0]), numbers(cells[1]), numbers(cells[2]), numbers(cells[3])];
        let upper = a + (b - a) * across;
        let lower = c + (d - c) * across;
        (upper + (lower - upper) * down) * (1.0 / 255.0)
    }

    /// The values of its first row, for a table of one row.
    #[inline(always)]
    pub fn along(&self, x: Group) -> Group {
        let (left, across) = split(x);
        let mut cells = [[0; GROUP]; 2];
        for i in 0..GROUP {
            let x0 = left[i] as usize & self.width_mask;
            cells[0][i] = self.cell(x0);
            cells[1][i] = self.cell((x0 + 1) & self.width_mask);
        }
        let (a, b) = (numbers(cells[0]), numbers(cells[1]));
        (a + (b - a) * across) * (1.0 / 255.0)
    }

    #[inline(always)]
    fn cell(&self, index: usize) -> i32 {
        i32::from(self.values[index])
    }
}

#[inline(always)]
fn numbers(cells: [i32; GROUP]) -> Group {
    Group::from_i32x4(i32x4::new(cells))
}

/// A number that looks drawn by lot (the mixing steps of MurmurHash3, Appleby 2011, public domain; constants from memory).
pub fn hash(at: u32, seed: u32) -> u32 {
    let mut h = at.wrapping_mul(0x9E37_79B1) ^ seed.wrapping_mul(0x85EB_CA77);
    h = (h ^ (h >> 16)).wrapping_mul(0x85EB_CA6B);
    h = (h ^ (h >> 13)).wrapping_mul(0xC2B2_AE35);
    h ^ (h >> 16)
}

/// The running sum over `2 * radius + 1` cells of every line; `count` cells a line, `lines` of them, that wrap.
fn blur(cells: &mut [u64], count: usize, lines: usize, radius: usize, step: usize, line_step: usize) {
    let radius = radius.min((count - 1) / 2);
    if radius == 0 {
        return;
    }
    let mut copy = vec![0_u64; count];
    for line in 0..lines {
        let start = line * line_step;
        for (i, c) in copy.iter_mut().enumerate() {
            *c = cells[start + i * step];
        }
        let mut sum: u64 = (0..=2 * radius).map(|i| copy[(i + count - radius) % count]).sum();
        for i in 0..count {
            // Sums are brought down again, so that three blurs stay within 64 bits.
            cells[start + i * step] = sum / (2 * radius as u64 + 1);
            sum = sum + copy[(i + radius + 1) % count] - copy[(i + count - radius) % count];
        }
    }
}

/// The rank of each value, spread evenly over 0-65535.
fn ranks(values: &[u64]) -> Vec<u16> {
    let low = values.iter().copied().min().unwrap_or(0);
    let span = values.iter().copied().max().unwrap_or(0) - low + 1;
    let bin = |value: u64| ((value - low) * 65536 / span) as usize;
    let mut counts = vec![0_u64; 65536];
    for &value in values {
        counts[bin(value)] += 1;
    }
    let mut below = 0;
    let spread: Vec<u16> = counts
        .iter()
        .map(|&count| {
            let rank = (below + count / 2) * 65535 / values.len() as u64;
            below += count;
            rank as u16
        })
        .collect();
    values.iter().map(|&value| spread[bin(value)]).collect()
}

/// The tables that marks are made of.
#[derive(Debug)]
pub struct Noise {
    /// Locks of hair: one row, about 4 cells a lock.
    pub locks: Table,
    /// Single hairs: one row, about 2 cells a hair.
    pub hairs: Table,
    /// Streaks: across the stroke by row, along it by column, 4 cells a streak across and much longer along.
    pub streaks: Table,
    /// How the hand wavers: one row, about 64 cells a swing.
    pub waver: Table,
    /// The tooth of the canvas, a pixel a cell.
    pub tooth: Table,
    /// Fine specks, a pixel a cell.
    pub specks: Table,
    /// Hollows and humps of the canvas, a pixel a cell.
    pub hollows: Table,
    /// Folds of a cloth, a pixel a cell.
    pub cloth: Table,
}

/// The tables; they are made when the first brush asks.
pub fn noise() -> &'static Noise {
    static NOISE: OnceLock<Noise> = OnceLock::new();
    NOISE.get_or_init(|| Noise {
        locks: Table::new(12, 0, 21, &[(3, 0, 4), (1, 0, 3), (0, 0, 2)]),
        hairs: Table::new(12, 0, 31, &[(1, 0, 4), (0, 0, 2)]),
        streaks: Table::new(11, 8, 41, &[(22, 1, 3), (12, 0, 3), (5, 0, 1)]),
        waver: Table::new(12, 0, 51, &[(40, 0, 4), (14, 0, 1)]),
        tooth: Table::new(9, 9, 1, &[(1, 1, 5), (3, 3, 3), (0, 0, 1)]),
        specks: Table::new(8, 8, 81, &[(0, 0, 2), (1, 1, 2)]),
        hollows: Table::new(9, 9, 61, &[(8, 8, 4), (4, 4, 2), (1, 1, 1)]),
        cloth: Table::new(9, 9, 71, &[(5, 5, 4), (2, 2, 2), (1, 1, 1)]),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_threshold_lets_through_what_it_says() {
        let noise = noise();
        for (name, table) in [("tooth", &noise.tooth), ("cloth", &noise.cloth), ("streaks", &noise.streaks)] {
            for part in [0.1, 0.5, 0.9] {
                let above = table.values.iter().filter(|v| f32::from(**v) / 255.0 > part).count();
                let share = above as f32 / table.values.len() as f32;
                assert!((share - (1.0 - part)).abs() < 0.01, "{name} at {part}: {share}");
            }
        }
    }

    #[test]
    fn a_table_tiles_and_has_no_steps() {
        let table = &noise().hollows;
        for y in 0..512 {
            let at = |x: [f32; GROUP]| table.at(Group::new(x), Group::splat(y as f32)).to_array();
            let [before, last, next, third] = at([-1.0, 511.0, 512.0, 3.0]);
            assert!(before == last && (last - next).abs() < 0.2, "at {y}");
            let [between, fourth, ..] = at([3.5, 4.0, 0.0, 0.0]);
            assert!((between - (third + fourth) / 2.0).abs() < 1e-6, "at {y}");
        }
    }

    /// The tables decide what strokes look like: they must be the same on every machine and after every change.
    #[test]
    fn the_tables_are_what_they_were() {
        let noise = noise();
        let sum = |table: &Table| table.values.iter().fold(0_u32, |sum, &v| hash(sum ^ u32::from(v), 5));
        let all = [&noise.locks, &noise.hairs, &noise.streaks, &noise.waver, &noise.tooth, &noise.specks];
        let found: Vec<_> = all.into_iter().chain([&noise.hollows, &noise.cloth]).map(sum).collect();
        let expected = [2197333428, 706499051, 922960457, 420549037, 2526398216, 4202324862, 5576743, 2966158619];
        assert_eq!(found, expected);
    }
}
