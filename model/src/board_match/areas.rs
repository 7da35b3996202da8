//! Where a picture is farthest off its board: areas of neighbouring cells whose foreign pixels are of one colour.

use crate::colour::difference::delta_ok;
use crate::colour::{Colour, Oklab};

/// Two cells belong to one area when the mean colours of their foreign pixels differ by less than this in OKLab: four times
/// what CSS Color 4 calls just noticeable, so that a surface with its shading is one area.
const ONE_COLOUR_OKLAB: f32 = 0.08;

/// What the foreign pixels of one cell add up to.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Cell {
    /// Foreign pixels.
    pub off: u64,
    /// Sum of their CIEDE2000.
    pub difference: f64,
    /// Sum of their linear components.
    pub sum: [f64; 3],
    /// First and last column and row that hold one.
    pub from: [u32; 2],
    pub to: [u32; 2],
}

impl Cell {
    /// Adds a foreign pixel.
    pub fn add(&mut self, colour: Colour, ciede2000: f64, at: [u32; 2]) {
        let one = Cell {
            off: 1,
            difference: ciede2000,
            sum: [colour.r, colour.g, colour.b].map(f64::from),
            from: at,
            to: at,
        };
        self.join(&one);
    }

    fn join(&mut self, other: &Cell) {
        if self.off == 0 {
            *self = *other;
            return;
        }
        self.off += other.off;
        self.difference += other.difference;
        for i in 0..3 {
            self.sum[i] += other.sum[i];
        }
        for i in 0..2 {
            self.from[i] = self.from[i].min(other.from[i]);
            self.to[i] = self.to[i].max(other.to[i]);
        }
    }

    /// Mean colour of the foreign pixels.
    pub fn colour(&self) -> Colour {
        #[expect(clippy::cast_possible_truncation, reason = "a mean in the single precision of colours")]
        let [r, g, b] = self.sum.map(|s| (s / self.off.max(1) as f64) as f32);
        Colour::new(r, g, b)
    }
}

/// The areas of a grid of cells, `columns` a row, that which is off by most (pixels times CIEDE2000) first.
///
/// An area grows from the cell that is off by most over its neighbours, corner to corner too, as long as their colour is that
/// of the first cell.
pub(super) fn areas(cells: &[Cell], columns: usize) -> Vec<Cell> {
    let rows = cells.len() / columns.max(1);
    let colours: Vec<Oklab> = cells.iter().map(|c| c.colour().oklab()).collect();
    let mut free: Vec<bool> = cells.iter().map(|c| c.off > 0).collect();
    let mut seeds: Vec<usize> = (0..cells.len()).filter(|&i| free[i]).collect();
    seeds.sort_by(|&a, &b| cells[b].difference.total_cmp(&cells[a].difference).then(a.cmp(&b)));
    let mut areas = Vec::new();
    for seed in seeds {
        if !free[seed] {
            continue;
        }
        free[seed] = false;
        let (mut area, mut todo) = (Cell::default(), vec![seed]);
        while let Some(cell) = todo.pop() {
            area.join(&cells[cell]);
            let (x, y) = (cell % columns, cell / columns);
            for near_y in y.saturating_sub(1)..(y + 2).min(rows) {
                for near_x in x.saturating_sub(1)..(x + 2).min(columns) {
                    let near = near_y * columns + near_x;
                    if free[near] && delta_ok(colours[near], colours[seed]) < ONE_COLOUR_OKLAB {
                        free[near] = false;
                        todo.push(near);
                    }
                }
            }
        }
        areas.push(area);
    }
    areas.sort_by(|a, b| b.difference.total_cmp(&a.difference));
    areas
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn areas_part_by_place_and_by_colour() {
        let (red, blue) = (Colour::new(0.6, 0.05, 0.05), Colour::new(0.05, 0.05, 0.6));
        let picture = ["rr..b", "rr..b", "..b..", "rb...", "....r"];
        let mut cells = vec![Cell::default(); 25];
        for (y, row) in picture.iter().enumerate() {
            for (x, letter) in row.bytes().enumerate() {
                match letter {
                    b'r' => cells[y * 5 + x].add(red, 10.0, [x as u32, y as u32]),
                    b'b' => cells[y * 5 + x].add(blue, 4.0, [x as u32, y as u32]),
                    _ => {}
                }
            }
        }
        let found: Vec<_> = areas(&cells, 5).iter().map(|a| (a.off, a.from, a.to)).collect();
        let wanted =
            [(4, [0, 0], [1, 1]), (2, [4, 0], [4, 1]), (2, [1, 2], [2, 3]), (1, [0, 3], [0, 3]), (1, [4, 4], [4, 4])];
        assert_eq!(found.len(), wanted.len());
        assert!(wanted.iter().all(|w| found.contains(w)), "{found:?}");
        assert_eq!(found[0], wanted[0]);
        assert!(areas(&[], 0).is_empty());
    }
}
