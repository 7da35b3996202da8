//! How much of each pixel lies inside an outline: exact areas, worked out tile by tile from the edges that cross the tile.
//!
//! An edge adds the area to its right, signed by whether it goes down or up, so that what lies left of it and what lies right of its
//! partner cancel. A tile that no edge crosses is as its left neighbour ends.
#![expect(clippy::cast_possible_truncation, reason = "areas are rounded to f32, cells are clipped to a tile first")]

use super::{CanvasSize, MaskTile};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use stint_model::study::tile::{TILE_PIXELS, TILE_SIDE, TilePos};

const SIDE: usize = TILE_SIDE as usize;

/// A side of the area, from a corner to the next, in canvas pixels.
pub type Line = [[f32; 2]; 2];

/// How the edge of a mass looks.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub enum Edge {
    /// Anti-aliased: a pixel is covered by the part of its area that lies inside.
    #[default]
    Soft,
    /// A pixel is covered fully when at least half of it lies inside.
    Hard,
    /// Strokes of the brush in hand go along it ([`super::loose`]); where no brush is, as [`Edge::Soft`].
    Loose,
}

/// How an area becomes cover.
#[derive(Clone, Copy)]
pub struct Cover {
    /// How its edge looks.
    pub edge: Edge,
    /// Cover of its inside, 0-65535.
    pub strength: u16,
}

impl Cover {
    #[inline(always)]
    fn of(self, area: f32) -> u16 {
        let inside = area.abs().min(1.0);
        match self.edge {
            Edge::Soft | Edge::Loose => (inside * f32::from(self.strength) + 0.5) as u16,
            Edge::Hard if inside >= 0.5 => self.strength,
            Edge::Hard => 0,
        }
    }
}

/// The covered tiles of an area with these sides.
pub fn covered_tiles(lines: &[Line], size: CanvasSize, cover: Cover) -> Vec<(TilePos, MaskTile)> {
    let Some([columns, rows]) = bounds(lines, size) else { return Vec::new() };
    // The sides by the rows of tiles that they cross, in their order.
    let mut bands: Vec<Vec<Line>> = vec![Vec::new(); usize::from(rows.1 - rows.0) + 1];
    for line in lines {
        let (low, high) = (line[0][1].min(line[1][1]), line[0][1].max(line[1][1]));
        if low < high && high > 0.0 {
            let first = tile_at(low).max(rows.0);
            let last = tile_at(high).min(rows.1);
            for row in first..=last {
                bands[usize::from(row - rows.0)].push(*line);
            }
        }
    }
    let of_band = |(row, lines): (u16, Vec<Line>)| Band::new(&lines, row, size).tiles(columns, size, cover);
    (rows.0..=rows.1).zip(bands).collect::<Vec<_>>().into_par_iter().map(of_band).flatten_iter().collect()
}

/// The tile, counted from the edge of the canvas, that a place lies in; the first for what lies before it.
fn tile_at(place: f32) -> u16 {
    // The cast holds what is beyond every canvas to the last.
    (place / TILE_SIDE as f32) as u16
}

/// First and last column, and row, of tiles that some sides reach; none where that is off the canvas.
fn bounds(lines: &[Line], size: CanvasSize) -> Option<[(u16, u16); 2]> {
    let along = |axis: usize, tiles: u16, limit: u32| {
        let places = || lines.as_flattened().iter().map(|corner| corner[axis]);
        let (low, high) = (places().reduce(f32::min)?, places().reduce(f32::max)?);
        let on = high > 0.0 && low < limit as f32;
        on.then(|| (tile_at(low), tile_at(high).min(tiles.saturating_sub(1))))
    };
    Some([along(0, size.columns(), size.width)?, along(1, size.rows(), size.height)?])
}

/// One side within a row of tiles.
struct Crossing {
    /// 1 down, -1 up.
    sign: f64,
    /// A place on it, pixels from the left of the canvas and from the top of the row.
    at: [f64; 2],
    /// Pixels to the right for each pixel down.
    slope: f64,
    /// Where it begins and ends, pixels from the top of the row.
    from: f64,
    to: f64,
}

impl Crossing {
    fn x(&self, y: f64) -> f64 {
        self.at[0] + (y - self.at[1]) * self.slope
    }

    /// Its places from the left: least and most.
    fn reach(&self) -> (f64, f64) {
        let (a, b) = (self.x(self.from), self.x(self.to));
        (a.min(b), a.max(b))
    }
}

/// One row of tiles.
struct Band {
    row: u16,
    crossings: Vec<Crossing>,
    /// Rows of pixels that lie on the canvas.
    height: usize,
}

impl Band {
    fn new(lines: &[Line], row: u16, size: CanvasSize) -> Self {
        let height = size.tile_extent(TilePos { column: 0, row }).1;
        let top = f32::from(row) * TILE_SIDE as f32;
        let crossings = lines.iter().filter_map(|[a, b]| {
            let local = |corner: &[f32; 2]| [f64::from(corner[0]), f64::from(corner[1] - top)];
            let (sign, a, b) = if a[1] < b[1] { (1.0, local(a), local(b)) } else { (-1.0, local(b), local(a)) };
            let (from, to) = (a[1].max(0.0), b[1].min(f64::from(height)));
            (from < to).then(|| Crossing { sign, at: a, slope: (b[0] - a[0]) / (b[1] - a[1]), from, to })
        });
        Band { row, crossings: crossings.collect(), height: height as usize }
    }

    fn tiles(&self, columns: (u16, u16), size: CanvasSize, cover: Cover) -> Vec<(TilePos, MaskTile)> {
        let mut tiles = Vec::new();
        if self.crossings.is_empty() {
            return tiles;
        }
        let mut area = Area { cells: vec![0.0; TILE_PIXELS], beyond: [0.0; SIDE], sums: [0.0; SIDE] };
        for column in columns.0..=columns.1 {
            let pos = TilePos { column, row: self.row };
            let left = f64::from(column) * SIDE as f64;
            let first = column == columns.0;
            let crosses = |crossing: &&Crossing| {
                let (low, high) = crossing.reach();
                low <= left + SIDE as f64 && (first || high >= left)
            };
            let crossings: Vec<_> = self.crossings.iter().filter(crosses).collect();
            let crossed = !crossings.is_empty() || area.beyond.iter().any(|&area| area != 0.0);
            if crossed {
                area.start();
                crossings.into_iter().for_each(|crossing| area.add(crossing, left, first));
            }
            let width = size.tile_extent(pos).0 as usize;
            let tile =
                if crossed { area.tile(width, self.height, cover) } else { area.even_tile(width, self.height, cover) };
            tiles.extend(tile.map(|tile| (pos, tile)));
        }
        tiles
    }
}

/// The tile that is worked on.
struct Area {
    /// What each cell has more of the area than its left neighbour, row by row.
    cells: Vec<f32>,
    /// The same for the first cells of the tile to the right.
    beyond: [f32; SIDE],
    /// What the last cell of each row of the tile to the left has.
    sums: [f64; SIDE],
}

impl Area {
    /// Begins a tile with what reaches over from its left.
    fn start(&mut self) {
        self.cells.fill(0.0);
        for (cells, beyond) in self.cells.chunks_exact_mut(SIDE).zip(&mut self.beyond) {
            cells[0] = std::mem::take(beyond);
        }
    }

    /// Adds a side; `left` is where the tile begins, and what lies before the `first` tile counts for its first cells.
    fn add(&mut self, crossing: &Crossing, left: f64, first: bool) {
        for y in crossing.from.floor() as usize..crossing.to.ceil() as usize {
            let (from, to) = (crossing.from.max(y as f64), crossing.to.min(y as f64 + 1.0));
            let tall = (to - from) * crossing.sign;
            let (a, b) = (crossing.x(from) - left, crossing.x(to) - left);
            self.add_span(y, (a.min(b), a.max(b)), tall, first);
        }
    }

    /// One side within one row of pixels: height `tall` (signed), spread evenly from `x0` to `x1`, pixels from the left of the tile.
    fn add_span(&mut self, y: usize, (x0, x1): (f64, f64), tall: f64, first: bool) {
        let width = SIDE as f64;
        if first && x1 <= 0.0 {
            self.put(y, 0, 0.0, tall);
            return;
        }
        if x1 - x0 < 1e-9 {
            let place = if first { x0.max(0.0) } else { x0 };
            if (0.0..width).contains(&place) {
                self.put(y, place as usize, place - place.floor(), tall);
            }
            return;
        }
        if x1 <= 0.0 || x0 >= width {
            return;
        }
        let per_px = tall / (x1 - x0);
        if first && x0 < 0.0 {
            self.put(y, 0, 0.0, -x0 * per_px);
        }
        let (mut x, end) = (x0.max(0.0), x1.min(width));
        while x < end {
            let cell = x.floor();
            let next = (cell + 1.0).min(end);
            // The side crosses this cell from x to next: its mean place is half way.
            self.put(y, cell as usize, (x + next) / 2.0 - cell, (next - x) * per_px);
            x = next;
        }
    }

    /// A side at `place` (0-1) inside a cell covers `1 - place` of that cell and all cells to the right.
    #[inline(always)]
    fn put(&mut self, y: usize, cell: usize, place: f64, tall: f64) {
        self.cells[y * SIDE + cell] += (tall * (1.0 - place)) as f32;
        let right = (tall * place) as f32;
        if cell + 1 < SIDE {
            self.cells[y * SIDE + cell + 1] += right;
        } else {
            self.beyond[y] += right;
        }
    }

    /// The cover of a tile that sides cross.
    fn tile(&mut self, width: usize, height: usize, cover: Cover) -> Option<MaskTile> {
        let mut pixels = Box::new([0_u16; TILE_PIXELS]);
        let mut odd = 0;
        let rows = self.cells.chunks_exact(SIDE).zip(pixels.chunks_exact_mut(SIDE)).zip(&mut self.sums);
        for ((cells, pixels), sum) in rows.take(height) {
            for (cell, pixel) in cells.iter().zip(pixels.iter_mut()) {
                *sum += f64::from(*cell);
                *pixel = cover.of(*sum as f32);
            }
            pixels[width..].fill(0);
        }
        let first = pixels[0];
        for pixel in &pixels[..] {
            odd |= pixel ^ first;
        }
        match (odd, first) {
            (0, 0) => None,
            (0, cover) => Some(MaskTile::Even(cover)),
            _ => Some(MaskTile::Pixels(pixels)),
        }
    }

    /// The cover of a tile that no side crosses.
    fn even_tile(&self, width: usize, height: usize, cover: Cover) -> Option<MaskTile> {
        let mut rows = [0; SIDE];
        for (row, sum) in rows.iter_mut().zip(&self.sums).take(height) {
            *row = cover.of(*sum as f32);
        }
        if rows == [0; SIDE] {
            return None;
        }
        if width == SIDE && rows == [rows[0]; SIDE] {
            return Some(MaskTile::Even(rows[0]));
        }
        let mut pixels = Box::new([0_u16; TILE_PIXELS]);
        for (pixels, row) in pixels.chunks_exact_mut(SIDE).zip(rows) {
            pixels[..width].fill(row);
        }
        Some(MaskTile::Pixels(pixels))
    }
}
