//! Masses: a closed outline filled in one go.
//!
//! lyon tessellates the outline (non-zero rule, so a crossing freehand outline fills as the hand meant it); the exact area
//! of the triangles in each pixel is its cover. Triangles do not overlap, so their signed areas add up to the area of the
//! outline, to the rounding of one step a pixel.
#![expect(
    clippy::cast_possible_truncation,
    reason = "areas are rounded to f32, cells of a row are clipped to it first"
)]

use super::{Mask, MaskTile};
use lyon::math::point;
use lyon::path::Path;
use lyon::tessellation::{
    BuffersBuilder, FillOptions, FillRule, FillTessellator, FillVertex, TessellationError, VertexBuffers,
};
use serde::{Deserialize, Serialize};
use stint_model::study::tile::{TILE_PIXELS, TILE_SIDE, TilePos};

/// How the edge of a mass looks.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub enum Edge {
    /// Anti-aliased: a pixel is covered by the part of its area that lies inside.
    #[default]
    Soft,
    /// A pixel is covered fully when at least half of it lies inside.
    Hard,
}

/// Why an outline cannot be filled.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum MassError {
    /// Fewer than three corners.
    #[error("a mass needs an outline of at least three points, this one has {0}")]
    TooFew(usize),
    /// A corner has no place.
    #[error("point {0} of the outline is not a finite place; leave it out")]
    NotFinite(usize),
    /// The tessellator gave up.
    #[error("this outline cannot be filled ({0}); draw it with fewer crossings")]
    Tessellation(String),
}

impl Mask {
    /// Covers a closed outline, given by its corners in canvas pixels, up to `strength` (0-65535).
    ///
    /// # Errors
    /// When the outline has fewer than three points, one that is not finite, or cannot be tessellated.
    pub fn add_mass(&mut self, outline: &[[f32; 2]], edge: Edge, strength: u16) -> Result<(), MassError> {
        let triangles = tessellate(outline)?;
        let columns = usize::from(self.size.columns());
        let stride = columns * TILE_SIDE as usize + 1;
        let mut area = vec![0.0_f32; stride * TILE_SIDE as usize];
        for row in 0..self.size.rows() {
            let top = f32::from(row) * TILE_SIDE as f32;
            let height = self.size.tile_extent(TilePos { column: 0, row }).1;
            let mut touched = false;
            for corners in &triangles {
                let ys = corners.map(|c| c[1]);
                let (low, high) = (ys[0].min(ys[1]).min(ys[2]), ys[0].max(ys[1]).max(ys[2]));
                if high > top && low < top + height as f32 {
                    touched = true;
                    for i in 0..3 {
                        let (from, to) = (corners[i], corners[(i + 1) % 3]);
                        let local = |c: [f32; 2]| [c[0], c[1] - top];
                        add_edge(&mut area, stride, self.size.width, height, local(from), local(to));
                    }
                }
            }
            if touched {
                self.take_band(row, &mut area, stride, edge, strength);
            }
        }
        Ok(())
    }

    /// Turns one tile row of accumulated area into cover and clears the accumulator.
    fn take_band(&mut self, row: u16, area: &mut [f32], stride: usize, edge: Edge, strength: u16) {
        // The accumulator holds differences across a row: the running sum is the cover.
        for line in area.chunks_exact_mut(stride) {
            let mut sum = 0.0_f64;
            for value in line {
                sum += f64::from(*value);
                *value = sum as f32;
            }
        }
        for column in 0..self.size.columns() {
            let pos = TilePos { column, row };
            let (width, height) = self.size.tile_extent(pos);
            let mut cover = Box::new([0_u16; TILE_PIXELS]);
            let mut covered = 0_usize;
            for y in 0..height as usize {
                let from = y * stride + usize::from(column) * TILE_SIDE as usize;
                for x in 0..width as usize {
                    let inside = area[from + x].abs().min(1.0);
                    let value = match edge {
                        Edge::Soft => (inside * f32::from(strength) + 0.5) as u16,
                        Edge::Hard if inside >= 0.5 => strength,
                        Edge::Hard => 0,
                    };
                    covered += usize::from(value > 0);
                    cover[y * TILE_SIDE as usize + x] = value;
                }
            }
            if covered > 0 {
                let even = covered == TILE_PIXELS && cover.iter().all(|&c| c == strength);
                let new = if even { MaskTile::Even(strength) } else { MaskTile::Pixels(cover) };
                self.join(pos, new);
            }
        }
        area.fill(0.0);
    }

    /// Where a tile is covered twice the stronger cover stands.
    fn join(&mut self, pos: TilePos, new: MaskTile) {
        match self.tiles.entry(pos) {
            std::collections::btree_map::Entry::Vacant(place) => {
                place.insert(new);
            }
            std::collections::btree_map::Entry::Occupied(mut place) => {
                for (i, m) in place.get_mut().pixels_mut().iter_mut().enumerate() {
                    *m = (*m).max(new.at(i));
                }
            }
        }
    }
}

/// Places beyond this are out of every canvas; within it f32 steps stay below 1/64 px.
const FAR_PX: std::ops::RangeInclusive<f32> = -65536.0..=131_072.0;

/// The outline cut off at [`FAR_PX`] on all four sides: what lies inside keeps its edges and its windings. (I. Sutherland and G.
/// Hodgman, "Reentrant polygon clipping", Comm. ACM 17(1):32-42, 1974; from memory.)
fn clipped_far_out(outline: &[[f32; 2]]) -> Vec<[f32; 2]> {
    let mut corners: Vec<[f64; 2]> = outline.iter().map(|p| p.map(f64::from)).collect();
    for axis in [0, 1] {
        for (sign, limit) in [(-1.0, f64::from(*FAR_PX.start())), (1.0, f64::from(*FAR_PX.end()))] {
            let beyond = |p: [f64; 2]| sign * (p[axis] - limit) > 0.0;
            let mut kept = Vec::with_capacity(corners.len() + 4);
            for (i, &to) in corners.iter().enumerate() {
                let from = corners[(i + corners.len() - 1) % corners.len()];
                if beyond(from) != beyond(to) {
                    let t = (limit - from[axis]) / (to[axis] - from[axis]);
                    let mut cut = [0, 1].map(|k| from[k] + (to[k] - from[k]) * t);
                    cut[axis] = limit;
                    kept.push(cut);
                }
                if !beyond(to) {
                    kept.push(to);
                }
            }
            corners = kept;
        }
    }
    corners.iter().map(|p| p.map(|v| v as f32)).collect()
}

/// Triangles of the outline, all with the same turning direction.
fn tessellate(outline: &[[f32; 2]]) -> Result<Vec<[[f32; 2]; 3]>, MassError> {
    if outline.len() < 3 {
        return Err(MassError::TooFew(outline.len()));
    }
    if let Some(index) = outline.iter().position(|p| !(p[0].is_finite() && p[1].is_finite())) {
        return Err(MassError::NotFinite(index));
    }
    let clipped;
    let outline = if outline.as_flattened().iter().all(|v| FAR_PX.contains(v)) {
        outline
    } else {
        clipped = clipped_far_out(outline);
        &clipped
    };
    if outline.len() < 3 {
        return Ok(Vec::new());
    }
    let corner = |p: &[f32; 2]| point(p[0], p[1]);
    let mut path = Path::builder();
    path.begin(corner(&outline[0]));
    for p in &outline[1..] {
        path.line_to(corner(p));
    }
    path.end(true);
    let mut buffers: VertexBuffers<[f32; 2], u32> = VertexBuffers::new();
    let options = FillOptions::default().with_fill_rule(FillRule::NonZero);
    let mut builder = BuffersBuilder::new(&mut buffers, |v: FillVertex<'_>| v.position().to_array());
    FillTessellator::new()
        .tessellate_path(&path.build(), &options, &mut builder)
        .map_err(|e: TessellationError| MassError::Tessellation(e.to_string()))?;
    let triangles = buffers.indices.chunks_exact(3).map(|t| {
        let mut corners = [t[0], t[1], t[2]].map(|i| buffers.vertices[i as usize]);
        let [a, b, c] = corners;
        if (b[0] - a[0]) * (c[1] - a[1]) < (b[1] - a[1]) * (c[0] - a[0]) {
            corners.swap(1, 2);
        }
        corners
    });
    Ok(triangles.collect())
}

/// Adds the signed area to the right of one edge, row by row, to the accumulator: each cell gets the change of cover from
/// its left neighbour to itself. Left of the canvas counts fully, right of it not at all.
fn add_edge(area: &mut [f32], stride: usize, width: u32, height: u32, from: [f32; 2], to: [f32; 2]) {
    if from[1] == to[1] {
        return;
    }
    let (sign, top, bottom) = if from[1] < to[1] { (1.0, from, to) } else { (-1.0, to, from) };
    let (top, bottom) = (top.map(f64::from), bottom.map(f64::from));
    let slope = (bottom[0] - top[0]) / (bottom[1] - top[1]);
    let (first, last) = (top[1].max(0.0), bottom[1].min(f64::from(height)));
    if first >= last {
        return;
    }
    for y in first.floor() as u32..last.ceil() as u32 {
        let (y0, y1) = (first.max(f64::from(y)), last.min(f64::from(y) + 1.0));
        let tall = (y1 - y0) * sign;
        let at = |y: f64| top[0] + (y - top[1]) * slope;
        let (x0, x1) = (at(y0).min(at(y1)), at(y0).max(at(y1)));
        let line = &mut area[y as usize * stride..(y as usize + 1) * stride];
        add_span(line, width, x0, x1, tall);
    }
}

/// One edge within one pixel row: height `tall` (signed), spread evenly from `x0` to `x1`.
fn add_span(line: &mut [f32], width: u32, x0: f64, x1: f64, tall: f64) {
    let limit = f64::from(width);
    if x1 <= 0.0 {
        line[0] += tall as f32;
        return;
    }
    if x0 >= limit {
        return;
    }
    if x1 - x0 < 1e-9 {
        let cell = x0.max(0.0).floor().min(limit - 1.0);
        put(line, cell as usize, x0.max(0.0) - cell, tall);
        return;
    }
    let per_px = tall / (x1 - x0);
    if x0 < 0.0 {
        line[0] += (-x0 * per_px) as f32;
    }
    let (mut x, end) = (x0.max(0.0), x1.min(limit));
    while x < end {
        let cell = x.floor();
        let next = (cell + 1.0).min(end);
        // The edge crosses this cell from x to next: its mean place is half way.
        put(line, cell as usize, (x + next) / 2.0 - cell, (next - x) * per_px);
        x = next;
    }
}

/// An edge at `place` (0-1) inside a cell covers `1 - place` of that cell and all cells to the right.
fn put(line: &mut [f32], cell: usize, place: f64, tall: f64) {
    line[cell] += (tall * (1.0 - place)) as f32;
    line[cell + 1] += (tall * place) as f32;
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::CanvasSize;
    use super::*;

    const SIZE: CanvasSize = CanvasSize { width: 700, height: 500 };

    fn mask(outline: &[[f32; 2]], edge: Edge) -> Mask {
        let mut mask = Mask::new(SIZE);
        mask.add_mass(outline, edge, u16::MAX).unwrap();
        mask
    }

    fn area_px(mask: &Mask) -> f64 {
        let all = (0..SIZE.height).flat_map(|y| (0..SIZE.width).map(move |x| (x, y)));
        all.map(|(x, y)| f64::from(mask.at(x, y)) / 65535.0).sum()
    }

    /// Twice the signed area of a polygon: the shoelace formula (a textbook identity).
    fn shoelace(outline: &[[f32; 2]]) -> f64 {
        let n = outline.len();
        let cross = |i: usize| {
            let (p, q) = (outline[i], outline[(i + 1) % n]);
            f64::from(p[0]) * f64::from(q[1]) - f64::from(q[0]) * f64::from(p[1])
        };
        ((0..n).map(cross).sum::<f64>() / 2.0).abs()
    }

    #[test]
    fn areas_are_those_of_geometry() {
        let shapes: [&[[f32; 2]]; 4] = [
            &[[10.0, 20.0], [410.0, 20.0], [410.0, 320.0], [10.0, 320.0]],
            &[[10.25, 20.5], [300.75, 33.125], [190.5, 444.875]],
            &[[50.0, 50.0], [600.0, 60.0], [300.0, 200.0], [640.0, 480.0], [40.0, 470.0], [200.0, 250.0]],
            &[[100.3, 100.1], [100.9, 400.2], [101.2, 100.0]],
        ];
        for outline in shapes {
            let (got, want) = (area_px(&mask(outline, Edge::Soft)), shoelace(outline));
            assert!((got - want).abs() < 1e-6 * f64::from(SIZE.width * SIZE.height), "{got} {want}");
        }
    }

    #[test]
    fn what_lies_outside_the_canvas_is_clipped() {
        let m = mask(&[[-500.0, -300.0], [350.0, -300.0], [350.0, 900.0], [-500.0, 900.0]], Edge::Soft);
        assert!((area_px(&m) - 350.0 * 500.0).abs() < 1e-6);
        let far = mask(&[[900.0, 0.0], [1900.0, 0.0], [1900.0, 500.0]], Edge::Soft);
        assert!(far.tiles.is_empty());
    }

    #[test]
    fn the_inside_is_even_and_a_hard_edge_has_two_values() {
        let m = mask(&[[0.0, 0.0], [384.0, 0.0], [384.0, 256.0], [0.0, 256.0]], Edge::Soft);
        assert!(m.tiles.values().all(|t| *t == MaskTile::Even(u16::MAX)));
        assert_eq!(m.tiles.len(), 6);
        let hard = mask(&[[10.2, 10.0], [300.0, 40.0], [120.0, 310.5]], Edge::Hard);
        for tile in hard.tiles.values() {
            assert!((0..TILE_PIXELS).all(|i| [0, u16::MAX].contains(&tile.at(i))));
        }
    }

    #[test]
    fn a_crossing_outline_fills_both_its_loops() {
        // A figure of eight: two triangles of 100 x 200 / 2 each.
        let m = mask(&[[100.0, 100.0], [300.0, 300.0], [300.0, 100.0], [100.0, 300.0]], Edge::Soft);
        assert!((area_px(&m) - 20_000.0).abs() < 0.1, "{}", area_px(&m));
    }

    #[test]
    fn bad_outlines_are_refused() {
        let mut m = Mask::new(SIZE);
        assert_eq!(m.add_mass(&[[0.0, 0.0], [1.0, 1.0]], Edge::Soft, 1), Err(MassError::TooFew(2)));
        let nan = [[0.0, 0.0], [f32::NAN, 1.0], [3.0, 3.0]];
        assert_eq!(m.add_mass(&nan, Edge::Soft, 1), Err(MassError::NotFinite(1)));
        assert!(m.tiles.is_empty());
    }

    /// The edge from a far corner keeps its direction: by hand, the line from (0, 50) to (1,000,000, 100,050) passes x = 100 at y = 60.
    #[test]
    fn far_corners_do_not_turn_the_edge_that_shows() {
        let size = CanvasSize { width: 200, height: 100 };
        for far in [1e6_f32, 1e9] {
            let mut mask = Mask::new(size);
            mask.add_mass(&[[0.0, 50.0], [far, 50.0 + far / 10.0], [0.0, far]], Edge::Hard, u16::MAX).unwrap();
            assert_eq!((mask.at(100, 59), mask.at(100, 61)), (0, u16::MAX), "{far}");
            assert_eq!((mask.at(10, 50), mask.at(10, 52)), (0, u16::MAX), "{far}");
        }
        // All of it far away, and all around.
        let mut mask = Mask::new(size);
        mask.add_mass(&[[1e8, 1e8], [2e8, 1e8], [2e8, 3e8]], Edge::Soft, u16::MAX).unwrap();
        assert!(mask.tiles.is_empty());
        mask.add_mass(&[[-1e8, -1e8], [1e8, -1e8], [1e8, 1e8], [-1e8, 1e8]], Edge::Soft, u16::MAX).unwrap();
        assert_eq!((mask.at(0, 0), mask.at(199, 99)), (u16::MAX, u16::MAX));
    }
}
