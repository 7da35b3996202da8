//! Masses: a closed outline filled in one go.
//!
//! lyon tessellates the outline (non-zero rule, so a crossing freehand outline fills as the hand meant it); the exact area
//! of the triangles in each pixel is its cover. Triangles do not overlap, so their signed areas add up to the area of the
//! outline, to the rounding of one step a pixel.
#![expect(clippy::cast_possible_truncation, reason = "places are kept in single precision")]

pub use super::area::Edge;
use super::area::{Cover, Line, covered_tiles};
use super::{Mask, MaskTile};
use lyon::math::point;
use lyon::path::Path;
use lyon::tessellation::{
    BuffersBuilder, FillOptions, FillRule, FillTessellator, FillVertex, TessellationError, VertexBuffers,
};
use std::collections::BTreeMap;
use stint_model::study::tile::TilePos;

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
        let lines = sides(tessellate(outline)?);
        for (pos, tile) in covered_tiles(&lines, self.size, Cover { edge, strength }) {
            self.join(pos, tile);
        }
        Ok(())
    }

    /// Where a tile is covered twice the stronger cover stands.
    pub(super) fn join(&mut self, pos: TilePos, new: MaskTile) {
        match self.tiles.entry(pos) {
            std::collections::btree_map::Entry::Vacant(place) => {
                place.insert(new);
            }
            std::collections::btree_map::Entry::Occupied(mut place) => {
                if let (MaskTile::Even(a), MaskTile::Even(b)) = (place.get(), &new) {
                    let stronger = *a.max(b);
                    place.insert(MaskTile::Even(stronger));
                    return;
                }
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

/// Triangles of an outline: places, and three of them each, by index, all with the same turning direction.
struct Triangles {
    places: Vec<[f32; 2]>,
    corners: Vec<[u32; 3]>,
}

/// Triangles of the outline.
fn tessellate(outline: &[[f32; 2]]) -> Result<Triangles, MassError> {
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
        return Ok(Triangles { places: Vec::new(), corners: Vec::new() });
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
    let places = buffers.vertices;
    let corners = buffers.indices.chunks_exact(3).map(|t| {
        let [a, b, c] = [t[0], t[1], t[2]].map(|i| places[i as usize]);
        let turns = (b[0] - a[0]) * (c[1] - a[1]) < (b[1] - a[1]) * (c[0] - a[0]);
        if turns { [t[0], t[2], t[1]] } else { [t[0], t[1], t[2]] }
    });
    let corners = corners.collect();
    Ok(Triangles { places, corners })
}

/// The sides of triangles, without those that two of them share: what one adds the other takes off.
fn sides(triangles: Triangles) -> Vec<Line> {
    let all = triangles.corners.iter().flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)]);
    // How often each is met upwards by index, less how often downwards.
    let mut met: BTreeMap<(u32, u32), i32> = BTreeMap::new();
    for (from, to) in all {
        *met.entry((from.min(to), from.max(to))).or_default() += if from < to { 1 } else { -1 };
    }
    let place = |i: u32| triangles.places[i as usize];
    let lines = met.into_iter().flat_map(|((a, b), times)| {
        let line = if times > 0 { [place(a), place(b)] } else { [place(b), place(a)] };
        std::iter::repeat_n(line, times.unsigned_abs() as usize)
    });
    lines.collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::CanvasSize;
    use super::*;
    use stint_model::study::tile::TILE_PIXELS;

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

    /// By hand: a slanting side from the top left corner of the canvas crosses tiles; every row is covered up to it, the tiles left and right
    /// of it are even, and a tile between two sides that no side crosses is even too.
    #[test]
    fn sides_that_cross_many_tiles_cover_to_the_pixel() {
        let m = mask(&[[0.0, 0.0], [600.0, 300.0], [600.0, 400.0], [0.0, 400.0]], Edge::Soft);
        for y in 0..300_u32 {
            // The side passes the middle of row y at x = 2 y + 1, between two pixels.
            let x = 2 * y;
            assert_eq!(m.at(x.saturating_sub(3), y), if y < 2 { m.at(0, y) } else { u16::MAX }, "{y}");
            assert_eq!(m.at(x + 4, y), 0, "{y}");
            // By hand: half of the two pixels that it crosses in this row, three quarters and a quarter.
            assert!(m.at(x, y).abs_diff(49_151) <= 1 && m.at(x + 1, y).abs_diff(16_384) <= 1, "{y}");
        }
        let at = |column, row| &m.tiles[&TilePos { column, row }];
        assert_eq!((at(0, 2), at(1, 2)), (&MaskTile::Even(u16::MAX), &MaskTile::Even(u16::MAX)));
        assert!(!m.tiles.contains_key(&TilePos { column: 3, row: 0 }));
        // The right side, within a tile: rows 300 to 399 up to column 600.
        assert_eq!((m.at(599, 350), m.at(600, 350), m.at(599, 400)), (u16::MAX, 0, 0));
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
