//! The strips between the ribs of a stroke, drawn pixel by pixel: one after another, or band by band of the tiles on all processors.
#![expect(
    clippy::cast_possible_truncation,
    reason = "cover stays within 0-65535, and places are clipped to the canvas first"
)]

use super::angle::unit;
use super::group::{GROUP, Group, at_least, choose, held};
use super::spline::distance;
use super::sweep::{Cover, Rib, Spot, Stroke, Target};
use super::visits::lane_at;
use super::{CanvasSize, MaskTile, Visit};
use multiversion::multiversion;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::ops::Range;
use stint_model::study::tile::{TILE_PIXELS, TILE_SIDE, TilePos};

/// Strips whose boxes hold more pixels than this together are drawn on all processors.
const PIXELS_FOR_ALL: u64 = 32_768;

/// Draws the strips between the ribs.
pub fn sweep<K: Cover>(stroke: &Stroke<'_>, ribs: &[Rib], target: &mut Target<'_>) {
    sweep_from::<K>(stroke, ribs, target, PIXELS_FOR_ALL);
}

fn sweep_from<K: Cover>(stroke: &Stroke<'_>, ribs: &[Rib], target: &mut Target<'_>, pixels_for_all: u64) {
    let mut pairs = Vec::with_capacity(ribs.len());
    for pair in ribs.windows(2) {
        fan(&pair[0], &pair[1], &mut pairs, 6);
    }
    let widest = K::WIDEST + stroke.mark.tip.scatter;
    let strips: Vec<Strip> = pairs.iter().filter_map(|[a, b]| Strip::new(*a, *b, widest, target.mask.size)).collect();
    if strips.iter().map(Strip::pixels).sum::<u64>() > pixels_for_all {
        return sweep_on_all::<K>(stroke, &strips, target);
    }
    for strip in &strips {
        for pos in strip.tiles() {
            for band in 0..BANDS {
                let Some(spans) = strip.spans(pos, band) else { continue };
                let mut visits = target.visits.take();
                let pixels = &mut target.tile(pos).as_chunks_mut().0[band];
                strip.draw::<K>(stroke, (pos, band), &spans, pixels, &mut visits);
                target.visits = visits;
            }
        }
    }
}

/// The same band by band, on all processors: a pixel does not depend on others, and visits are put in the order of the path.
fn sweep_on_all<K: Cover>(stroke: &Stroke<'_>, strips: &[Strip], target: &mut Target<'_>) {
    // Row by row, as each strip goes through them.
    let mut by_tile: BTreeMap<(u16, u16), Vec<usize>> = BTreeMap::new();
    for (index, strip) in strips.iter().enumerate() {
        for pos in strip.tiles() {
            by_tile.entry((pos.row, pos.column)).or_default().push(index);
        }
    }
    let lanes = target.visits.as_ref().map(|(_, lanes)| *lanes);
    let mask = &*target.mask;
    let copy = |((row, column), indices)| {
        let pos = TilePos { column, row };
        (pos, indices, mask.tiles.get(&pos).cloned().unwrap_or(MaskTile::Even(0)))
    };
    let mut tiles: Vec<(TilePos, Vec<usize>, MaskTile)> = by_tile.into_par_iter().map(copy).collect();
    let bands: Vec<_> = tiles
        .iter_mut()
        .flat_map(|(pos, indices, tile)| {
            let bands = tile.pixels_mut().as_chunks_mut().0.iter_mut().enumerate();
            bands.map(|(band, pixels)| (*pos, band, &*indices, pixels))
        })
        .collect();
    let draw = |(pos, band, indices, pixels): (TilePos, usize, &Vec<usize>, &mut Band)| {
        let mut drawn = Drawn::default();
        for &index in indices {
            let Some(spans) = strips[index].spans(pos, band) else { continue };
            let before = drawn.visits.len();
            let mut visits = lanes.map(|lanes| (&mut drawn.visits, lanes));
            strips[index].draw::<K>(stroke, (pos, band), &spans, pixels, &mut visits);
            drawn.strips.push((index, before..drawn.visits.len()));
        }
        drawn
    };
    let drawn: Vec<Drawn> = bands.into_par_iter().map(draw).collect();
    for ((pos, _, tile), drawn) in tiles.into_iter().zip(drawn.chunks(BANDS)) {
        if drawn.iter().all(|drawn| drawn.strips.is_empty()) {
            continue;
        }
        let before = target.mask.tiles.insert(pos, tile);
        target.touched.insert(pos);
        if let Some(saved) = &mut target.saved {
            saved.entry(pos).or_insert(before);
        }
    }
    if let Some((visits, _)) = &mut target.visits {
        let mut parts: Vec<(usize, &[Visit])> = drawn.iter().flat_map(Drawn::parts).collect();
        // Stable: within a strip they stay in the order of tiles and bands.
        parts.sort_by_key(|(index, _)| *index);
        visits.reserve(parts.iter().map(|(_, part)| part.len()).sum());
        parts.iter().for_each(|(_, part)| visits.extend_from_slice(part));
    }
}

/// What was drawn in a band.
#[derive(Default)]
struct Drawn {
    visits: Vec<Visit>,
    /// The strips that reach into it, each with those of the visits that are its own.
    strips: Vec<(usize, Range<usize>)>,
}

impl Drawn {
    fn parts(&self) -> impl Iterator<Item = (usize, &[Visit])> {
        self.strips.iter().map(|(index, visits)| (*index, &self.visits[visits.clone()]))
    }
}

/// Cosine of the largest turn from one rib to the next.
const MIN_TURN_COSINE: f32 = 0.985;

/// The strip between two ribs, or several where the stroke turns sharply.
fn fan(a: &Rib, b: &Rib, pairs: &mut Vec<[Rib; 2]>, depth: u8) {
    let turn = a.across[0] * b.across[0] + a.across[1] * b.across[1];
    if turn > MIN_TURN_COSINE || depth == 0 {
        return pairs.push([*a, *b]);
    }
    let sum = [a.across[0] + b.across[0], a.across[1] + b.across[1]];
    // A stroke that turns back turns to the right.
    let across = unit(sum).unwrap_or([-a.across[1], a.across[0]]);
    let middle = Rib { across, ..a.mix(b, 0.5) };
    fan(a, &middle, pairs, depth - 1);
    fan(&middle, b, pairs, depth - 1);
}

/// Rows of a tile that one processor draws at a time, and how many such bands a tile has.
const BAND_ROWS: usize = 32;
const BANDS: usize = TILE_SIDE as usize / BAND_ROWS;
type Band = [u16; TILE_PIXELS / BANDS];

/// For each row of a band the columns of the canvas that may lie between two ribs.
type Spans = [(u32, u32); BAND_ROWS];

/// The pixels between two ribs.
struct Strip {
    pair: RibPair,
    middle: Rib,
    /// How far to both sides it reaches.
    reach: f32,
    /// The same, seen from its middle.
    slack: f32,
    columns: Range<u32>,
    rows: Range<u32>,
}

impl Strip {
    /// `widest` is the largest distance across that is covered, in halves of the width. None where nothing of it lies on the canvas.
    fn new(a: Rib, b: Rib, widest: f32, CanvasSize { width, height }: CanvasSize) -> Option<Self> {
        let reach = a.half_px.max(b.half_px) * widest + 1.0;
        let side = |rib: &Rib, by: f32| [rib.at[0] + rib.across[0] * by, rib.at[1] + rib.across[1] * by];
        let corners = [side(&a, reach), side(&a, -reach), side(&b, reach), side(&b, -reach)];
        let bounds = |axis: usize, limit: u32| {
            let (low, high) = corners.iter().fold((f32::MAX, f32::MIN), |(l, h), c| (l.min(c[axis]), h.max(c[axis])));
            // Pixel i has its centre at i + 0.5.
            let first = (low - 0.5).max(0.0) as u32;
            let end = (high + 1.5).max(0.0) as u32;
            first..end.min(limit)
        };
        let (columns, rows) = (bounds(0, width), bounds(1, height));
        if columns.is_empty() || rows.is_empty() {
            return None;
        }
        let middle = a.mix(&b, 0.5);
        let slack = reach + 0.5 * distance(a.at, b.at) + 0.5;
        Some(Strip { pair: RibPair::new(a, b), middle, reach, slack, columns, rows })
    }

    /// Pixels of the box around it.
    fn pixels(&self) -> u64 {
        u64::from(self.columns.end - self.columns.start) * u64::from(self.rows.end - self.rows.start)
    }

    /// The tiles that its box touches, row by row.
    fn tiles(&self) -> impl Iterator<Item = TilePos> {
        let across = self.columns.start / TILE_SIDE..=(self.columns.end - 1) / TILE_SIDE;
        let down = self.rows.start / TILE_SIDE..=(self.rows.end - 1) / TILE_SIDE;
        down.flat_map(move |row| across.clone().map(move |column| TilePos { column: column as u16, row: row as u16 }))
    }

    /// The first row of a band, and its rows that the strip may reach.
    fn down(&self, pos: TilePos, band: usize) -> (u32, Range<u32>) {
        let top = u32::from(pos.row) * TILE_SIDE + (band * BAND_ROWS) as u32;
        (top, self.rows.start.max(top)..self.rows.end.min(top + BAND_ROWS as u32))
    }

    /// The part of each row of a band that may lie between the ribs; each pixel is looked at again. None where there is none.
    fn spans(&self, pos: TilePos, band: usize) -> Option<Spans> {
        let left = u32::from(pos.column) * TILE_SIDE;
        let (top, down) = self.down(pos, band);
        let (a, b, middle) = (&self.pair.a, &self.pair.b, &self.middle);
        let [along_a, along_b] = [a.along(), b.along()];
        let mut spans = [(0, 0); BAND_ROWS];
        let mut any = false;
        for y in down {
            let py = y as f32 + 0.5;
            let off = (0.5 - middle.at[0]) * middle.across[0] + (py - middle.at[1]) * middle.across[1];
            let mut span = RowSpan {
                from: self.columns.start.max(left) as f32,
                end: self.columns.end.min(left + TILE_SIDE) as f32,
            };
            span.keep(along_a[0], a.ahead(0.5, py) + 0.5);
            span.keep(-along_b[0], 0.5 - b.ahead(0.5, py));
            span.keep(middle.across[0], off + self.slack);
            span.keep(-middle.across[0], self.slack - off);
            spans[(y - top) as usize] = span.pixels();
            any |= span.from < span.end;
        }
        any.then_some(spans)
    }

    /// Draws its pixels of a band of a tile.
    fn draw<K: Cover>(
        &self,
        stroke: &Stroke<'_>,
        place: (TilePos, usize),
        spans: &Spans,
        pixels: &mut Band,
        visits: &mut Option<(&mut Vec<Visit>, f32)>,
    ) {
        draw::<K>(self, stroke, place, spans, pixels, visits);
    }
}

/// See [`Strip::draw`]. None of the instructions rounds otherwise than the plainest ones: there are no fused ones among them.
#[multiversion(targets("x86_64+avx2", "x86_64+sse4.1"))]
fn draw<K: Cover>(
    strip: &Strip,
    stroke: &Stroke<'_>,
    (pos, band): (TilePos, usize),
    spans: &Spans,
    pixels: &mut Band,
    visits: &mut Option<(&mut Vec<Visit>, f32)>,
) {
    let left = u32::from(pos.column) * TILE_SIDE;
    let (top, down) = strip.down(pos, band);
    let of_tile = (band * BAND_ROWS) as u32 * TILE_SIDE;
    let mut few = Few::default();
    for y in down {
        let (from, end) = spans[(y - top) as usize];
        for x in from..end {
            let index = (y - top) * TILE_SIDE + x - left;
            if few.add(&strip.pair, x as f32 + 0.5, y as f32 + 0.5, index) {
                strip.put::<K>(stroke, (pos, of_tile), &few, pixels, visits);
                few.count = 0;
            }
        }
    }
    strip.put::<K>(stroke, (pos, of_tile), &few, pixels, visits);
}

impl Strip {
    /// Raises the cover of a few pixels of a band, which begins at `of_tile` in its tile.
    #[inline(always)]
    fn put<K: Cover>(
        &self,
        stroke: &Stroke<'_>,
        (pos, of_tile): (TilePos, u32),
        few: &Few,
        pixels: &mut Band,
        visits: &mut Option<(&mut Vec<Visit>, f32)>,
    ) {
        let (cover, u, pressure) = self.pair.cover::<K>(stroke, few, self.reach);
        let values = (cover * stroke.cap + 0.5).fast_trunc_int().to_array();
        for (i, &index) in few.indices[..few.count].iter().enumerate() {
            let (pixel, value) = (&mut pixels[index as usize], values[i] as u16);
            if let Some((visits, lanes)) = visits
                && value > *pixel
            {
                let lane = lane_at(u.to_array()[i], *lanes);
                let pressure = (pressure.to_array()[i].clamp(0.0, 1.0) * 65535.0) as u16;
                let index = (of_tile + index) as u16;
                visits.push(Visit { pos, index, lane, from: *pixel, to: value, pressure });
            }
            *pixel = (*pixel).max(value);
        }
    }
}

/// Pixels between two ribs, gathered until they are a group.
#[derive(Default)]
struct Few {
    /// Places of their centres.
    x: [f32; GROUP],
    y: [f32; GROUP],
    /// How far they are ahead of the first rib, and of the second.
    after: [f32; GROUP],
    before: [f32; GROUP],
    /// Their places in the band.
    indices: [u32; GROUP],
    count: usize,
}

impl Few {
    /// Adds a pixel if it lies between the ribs; tells whether the group is full.
    #[inline(always)]
    fn add(&mut self, pair: &RibPair, x: f32, y: f32, index: u32) -> bool {
        let (after, before) = (pair.a.ahead(x, y), pair.b.ahead(x, y));
        // A pixel on a rib belongs to the strip after it.
        if after < 0.0 || before >= 0.0 {
            return false;
        }
        let at = self.count;
        (self.x[at], self.y[at], self.after[at], self.before[at], self.indices[at]) = (x, y, after, before, index);
        self.count += 1;
        self.count == GROUP
    }
}

/// A span of a row, pixels from the left edge of the canvas.
#[derive(Clone, Copy, Debug)]
struct RowSpan {
    from: f32,
    end: f32,
}

impl RowSpan {
    /// Keeps what is not below 0 on a line, given by its slope a pixel and its value at pixel 0.
    fn keep(&mut self, slope: f32, value: f32) {
        if slope > 1e-6 {
            self.from = self.from.max(-value / slope - 1.0);
        } else if slope < -1e-6 {
            self.end = self.end.min(value / -slope + 2.0);
        } else if value < 0.0 {
            self.end = self.from;
        }
    }

    fn pixels(self) -> (u32, u32) {
        (self.from.max(0.0) as u32, self.end.max(0.0) as u32)
    }
}

/// Two ribs, ready for the pixels between them.
struct RibPair {
    a: Rib,
    b: Rib,
    askew: f32,
}

impl RibPair {
    fn new(a: Rib, b: Rib) -> Self {
        let span = b.length_px - a.length_px;
        let slope = if span > 0.1 { (b.half_px - a.half_px) / span } else { 0.0 };
        RibPair { a, b, askew: 1.0 / (1.0 + slope * slope).sqrt() }
    }

    /// Cover of each pixel, 0-1, its place across as a part of half the width, and the pressure there.
    #[inline(always)]
    fn cover<K: Cover>(&self, stroke: &Stroke<'_>, few: &Few, reach: f32) -> (Group, Group, Group) {
        let (a, b) = (&self.a, &self.b);
        let (x, y) = (Group::new(few.x), Group::new(few.y));
        let (after, before) = (Group::new(few.after), Group::new(few.before));
        let t = after / (after - before);
        let mix = |a: f32, b: f32| a + (b - a) * t;
        let across = [mix(a.across[0], b.across[0]), mix(a.across[1], b.across[1])];
        let away = [x - mix(a.at[0], b.at[0]), y - mix(a.at[1], b.at[1])];
        let stretched = across[0] * across[0] + across[1] * across[1];
        let mut d = (away[0] * across[0] + away[1] * across[1]) / stretched.sqrt();
        let within = d.abs().simd_le(reach);
        if !within.any() {
            return (Group::ZERO, Group::ZERO, Group::ZERO);
        }
        let (half, thick, slant) = (mix(a.half_px, b.half_px), mix(a.thick_px, b.thick_px), mix(a.slant, b.slant));
        let s = mix(a.length_px, b.length_px);
        let scatter = stroke.mark.tip.scatter;
        if scatter > 0.0 {
            d += scatter * half * stroke.strewn(s, d);
        }
        let e = stroke.length_px - s;
        let spot = Spot {
            x,
            y,
            s,
            e,
            d,
            u: d / at_least(half, 0.25),
            half,
            thick,
            lead: s - slant * d + thick,
            tail: e + slant * d + thick,
            pressure: mix(a.pressure, b.pressure),
            dry: mix(a.dry, b.dry),
            askew: Group::splat(self.askew),
        };
        let cover = held(K::at(stroke, &spot) * mix(a.flow, b.flow), 0.0, 1.0);
        (choose(within, cover, Group::ZERO), spot.u, spot.pressure)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mask::mark::Mark;
    use crate::mask::noise::noise;
    use crate::mask::{Mask, Saved};
    use std::collections::BTreeSet;

    /// Hard-edged, with streaks where it is dry.
    struct Streaks;

    impl Cover for Streaks {
        fn beyond_px(_: &Rib) -> f32 {
            0.0
        }

        fn at(stroke: &Stroke<'_>, spot: &Spot) -> Group {
            let streak = stroke.streak(spot.s, spot.u, 0.0);
            stroke.edge(spot.d.abs() - spot.half, spot.half) * stroke.broken(spot.dry, streak, 0.1)
        }
    }

    /// A stroke that bends back over itself, across several tiles: the same cover, tiles and visits in the same order, however it is drawn.
    #[test]
    fn on_all_processors_it_is_the_same_stroke() {
        let mark = Mark::default();
        let stroke = Stroke {
            mark: &mark,
            hardness: 1.0,
            size_px: 180.0,
            cap: 60_000.0,
            seed: 77.0,
            noise: noise(),
            length_px: 900.0,
        };
        let rib = |i: u8| {
            let angle = 0.12 * f32::from(i);
            let across = [-angle.sin(), angle.cos()];
            Rib {
                at: [300.0 + 160.0 * angle.sin(), 250.0 - 160.0 * angle.cos()],
                across,
                length_px: 15.0 * f32::from(i),
                half_px: 60.0 + f32::from(i % 7),
                thick_px: 4.0,
                slant: 0.1,
                pressure: 0.7,
                dry: 0.02 * f32::from(i),
                flow: 0.9,
            }
        };
        let ribs: Vec<Rib> = (0..60).map(rib).collect();
        let drawn = |pixels_for_all: u64| {
            let mut mask = Mask::new(CanvasSize { width: 500, height: 420 });
            let (mut touched, mut saved, mut visits) = (BTreeSet::new(), Saved::new(), Vec::new());
            for some in [&ribs[..20], &ribs[19..]] {
                let mut target = Target {
                    mask: &mut mask,
                    touched: &mut touched,
                    saved: Some(&mut saved),
                    visits: Some((&mut visits, 40.0)),
                };
                sweep_from::<Streaks>(&stroke, some, &mut target, pixels_for_all);
            }
            (mask, touched, saved, visits)
        };
        let (one, all) = (drawn(u64::MAX), drawn(0));
        assert!(one.3.len() > 50_000, "{}", one.3.len());
        assert!(one.0 == all.0 && one.1 == all.1 && one.2 == all.2 && one.3 == all.3);
    }
}
