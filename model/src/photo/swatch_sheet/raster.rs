//! Flat areas of a reduced picture: labels, distances from the edge, outlines.

use crate::colour::Oklab;
use rayon::prelude::*;

/// What counts as flat.
#[derive(Clone, Copy, Debug)]
pub(super) struct Flatness {
    /// How far around a cell is looked, cells.
    pub reach: usize,
    /// How much a cell there may differ, in OKLab.
    pub tolerance: f32,
}

/// No flat area.
pub(super) const NONE: u32 = u32::MAX;

/// A picture in OKLab with its flat areas.
pub(super) struct Raster {
    pub width: usize,
    pub height: usize,
    pub labs: Vec<Oklab>,
    /// The flat area of each cell, or [`NONE`].
    pub labels: Vec<u32>,
    /// Steps from each cell of a flat area to the nearest cell outside it, along rows and columns; 0 outside.
    pub depths: Vec<u32>,
}

/// A flat area.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Flat {
    pub label: u32,
    /// Cells.
    pub area: usize,
    /// First and last column and row.
    pub from: [usize; 2],
    pub to: [usize; 2],
    /// Cells on the edge of the picture.
    pub on_edge: usize,
    /// The greatest depth of a cell.
    pub radius: u32,
    /// Mean colour.
    pub lab: Oklab,
    /// Root mean square distance from it, in OKLab.
    pub spread: f32,
}

pub(super) fn apart(a: Oklab, b: Oklab) -> f32 {
    libm::hypotf(a.l - b.l, libm::hypotf(a.a - b.a, a.b - b.b))
}

impl Raster {
    /// Finds the flat areas: cells, connected along rows and columns, that differ from all cells around them by less than a
    /// tolerance. `opaque` says which cells there are.
    pub fn new(
        width: usize,
        height: usize,
        labs: Vec<Oklab>,
        opaque: &[bool],
        flatness: Flatness,
    ) -> (Self, Vec<Flat>) {
        let Flatness { reach, tolerance } = flatness;
        let is_flat = |i: usize| {
            let (x, y) = (i % width, i / width);
            let columns = x.saturating_sub(reach)..(x + reach + 1).min(width);
            let mut rows = y.saturating_sub(reach)..(y + reach + 1).min(height);
            let near = |near: usize| opaque[near] && apart(labs[i], labs[near]) < tolerance;
            opaque[i] && rows.all(|y| columns.clone().all(|x| near(y * width + x)))
        };
        let flat: Vec<bool> = (0..labs.len()).into_par_iter().map(is_flat).collect();
        let mut raster = Raster { width, height, labels: vec![NONE; labs.len()], depths: vec![0; labs.len()], labs };
        let mut count = 0;
        let mut todo = Vec::new();
        for seed in 0..flat.len() {
            if !flat[seed] || raster.labels[seed] != NONE {
                continue;
            }
            raster.labels[seed] = count;
            todo.push(seed);
            while let Some(i) = todo.pop() {
                for near in raster.neighbours(i) {
                    if flat[near] && raster.labels[near] == NONE {
                        raster.labels[near] = count;
                        todo.push(near);
                    }
                }
            }
            count += 1;
        }
        raster.measure_depths();
        let areas = raster.areas(count as usize);
        (raster, areas)
    }

    /// The cells left, right, above and below.
    fn neighbours(&self, i: usize) -> impl Iterator<Item = usize> + use<> {
        let (x, y, width, height) = (i % self.width, i / self.width, self.width, self.height);
        let left = (x > 0).then(|| i - 1);
        let right = (x + 1 < width).then_some(i + 1);
        let above = (y > 0).then(|| i - width);
        let below = (y + 1 < height).then_some(i + width);
        [left, right, above, below].into_iter().flatten()
    }

    fn measure_depths(&mut self) {
        let width = self.width;
        let depth = |raster: &Raster, i: usize, near: Option<usize>| match near {
            Some(near) if raster.labels[near] == raster.labels[i] => raster.depths[near] + 1,
            _ => 1,
        };
        for i in 0..self.labels.len() {
            if self.labels[i] != NONE {
                let left = depth(self, i, (i % width > 0).then(|| i - 1));
                let above = depth(self, i, i.checked_sub(width));
                self.depths[i] = left.min(above);
            }
        }
        for i in (0..self.labels.len()).rev() {
            if self.labels[i] != NONE {
                let right = depth(self, i, (i % width + 1 < width).then_some(i + 1));
                let below = depth(self, i, (i + width < self.labels.len()).then_some(i + width));
                self.depths[i] = self.depths[i].min(right).min(below);
            }
        }
    }

    #[expect(
        clippy::cast_possible_truncation,
        reason = "areas are counted in 32 bits, and means are in single precision"
    )]
    fn areas(&self, count: usize) -> Vec<Flat> {
        let mut sums = vec![[0.0_f64; 4]; count];
        let mut areas: Vec<Flat> =
            (0..count).map(|i| Flat { label: i as u32, from: [usize::MAX; 2], ..Flat::default() }).collect();
        for (i, &label) in self.labels.iter().enumerate().filter(|(_, l)| **l != NONE) {
            let (area, sum, at) =
                (&mut areas[label as usize], &mut sums[label as usize], [i % self.width, i / self.width]);
            area.area += 1;
            for (axis, &at) in at.iter().enumerate() {
                area.from[axis] = area.from[axis].min(at);
                area.to[axis] = area.to[axis].max(at);
            }
            let edge = at[0] == 0 || at[1] == 0 || at[0] + 1 == self.width || at[1] + 1 == self.height;
            area.on_edge += usize::from(edge);
            area.radius = area.radius.max(self.depths[i]);
            let [l, a, b] = [self.labs[i].l, self.labs[i].a, self.labs[i].b].map(f64::from);
            *sum = [sum[0] + l, sum[1] + a, sum[2] + b, sum[3] + l * l + a * a + b * b];
        }
        for (area, sum) in areas.iter_mut().zip(sums) {
            let [l, a, b, square] = sum.map(|s| s / area.area as f64);
            area.lab = Oklab { l: l as f32, a: a as f32, b: b as f32 };
            area.spread = (square - l * l - a * a - b * b).max(0.0).sqrt() as f32;
        }
        areas
    }

    /// An area with its holes filled.
    pub fn outline(&self, flat: &Flat) -> Outline {
        // One empty cell all around, from which the outside is flooded.
        let size = [0, 1].map(|axis| flat.to[axis] - flat.from[axis] + 3);
        let place = |x: usize, y: usize| y * size[0] + x;
        let mut outside = vec![false; size[0] * size[1]];
        let own = |x: usize, y: usize| {
            let inside = x > 0 && y > 0 && x + 1 < size[0] && y + 1 < size[1];
            inside && self.labels[(flat.from[1] + y - 1) * self.width + flat.from[0] + x - 1] == flat.label
        };
        let mut todo = vec![[0_usize, 0]];
        outside[0] = true;
        while let Some([x, y]) = todo.pop() {
            let near = [[x.wrapping_sub(1), y], [x + 1, y], [x, y.wrapping_sub(1)], [x, y + 1]];
            for [x, y] in near.into_iter().filter(|p| p[0] < size[0] && p[1] < size[1]) {
                if !outside[place(x, y)] && !own(x, y) {
                    outside[place(x, y)] = true;
                    todo.push([x, y]);
                }
            }
        }
        Outline { from: flat.from, width: size[0], outside }
    }
}

/// The filled shape of an area, within the rectangle around it.
pub(super) struct Outline {
    from: [usize; 2],
    /// Of the rectangle with one more cell on each side.
    width: usize,
    outside: Vec<bool>,
}

impl Outline {
    /// Cells, holes and all.
    pub fn area(&self) -> usize {
        self.outside.iter().filter(|o| !**o).count()
    }

    /// Length of the border, in cell sides. For any shape without bays it is that of the rectangle around it.
    pub fn border(&self) -> usize {
        let steps = |distance: usize| {
            self.outside.iter().zip(&self.outside[distance..]).filter(|(here, next)| here != next).count()
        };
        steps(1) + steps(self.width)
    }

    /// Whether a cell of the picture lies inside.
    pub fn holds(&self, x: usize, y: usize) -> bool {
        let (Some(x), Some(y)) = ((x + 1).checked_sub(self.from[0]), (y + 1).checked_sub(self.from[1])) else {
            return false;
        };
        x < self.width && self.outside.get(y * self.width + x).is_some_and(|outside| !outside)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn raster(picture: &[&str]) -> (Raster, Vec<Flat>) {
        let letters: Vec<u8> = picture.iter().flat_map(|row| row.bytes()).collect();
        let labs = letters.iter().map(|&l| Oklab { l: f32::from(l) / 100.0, a: 0.0, b: 0.0 }).collect();
        Raster::new(
            picture[0].len(),
            picture.len(),
            labs,
            &vec![true; letters.len()],
            Flatness { reach: 1, tolerance: 0.005 },
        )
    }

    #[test]
    fn areas_depths_and_outlines() {
        let (raster, areas) = raster(&[
            "aaaaaaaaaaaaa",
            "aaaaaaaaaaaaa",
            "aabbbbbbbbaaa",
            "aabbbbbbbbaaa",
            "aabbbbbbbbaaa",
            "aabbbbbbbbaaa",
            "aaaaaaaaaaaaa",
            "aaaaaaaaaaaaa",
        ]);
        // The frame keeps what is not beside the b's, the b's keep their inner 6 x 2.
        assert_eq!(areas.iter().map(|a| a.area).collect::<Vec<_>>(), [13 * 8 - 10 * 6, 12]);
        assert_eq!((areas[1].from, areas[1].to, areas[1].radius, areas[1].on_edge), ([3, 3], [8, 4], 1, 0));
        assert_eq!(areas[0].on_edge, 2 * 13 + 2 * 6);
        assert!((areas[0].lab.l - 0.97).abs() < 1e-6 && areas[0].spread < 1e-3);
        let frame = raster.outline(&areas[0]);
        assert_eq!((frame.area(), frame.border()), (13 * 8, 2 * (13 + 8)));
        assert!(frame.holds(4, 4) && frame.holds(0, 0) && !frame.holds(13, 0));
        let inner = raster.outline(&areas[1]);
        assert_eq!((inner.area(), inner.border()), (12, 2 * (6 + 2)));
        assert!(!inner.holds(2, 3) && inner.holds(3, 3));
    }
}
