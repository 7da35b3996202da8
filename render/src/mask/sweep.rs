//! The cover of a mark in stroke space.
//!
//! A stroke is a row of *ribs*, lines across it. Between two ribs a pixel has a length along the stroke and a distance across,
//! and a kind of mark says from these how much it is covered. Where a stroke lies over itself the stronger cover stands, so that no
//! order of drawing shows, nothing piles up where the hand rests, and each piece of the path adds its own strip of pixels alone.
#![expect(
    clippy::cast_possible_truncation,
    reason = "cover stays within 0-65535, and places are clipped to the canvas first"
)]

use super::mark::{GrainOf, Mark};
use super::noise::Noise;
use super::visits::lane_at;
use super::{CanvasSize, Mask, MaskTile, Saved, Visit};
use std::collections::BTreeSet;
use stint_model::study::tile::{TILE_PIXELS, TILE_SIDE, TilePos};

/// One line across the stroke. Lengths in canvas pixels.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Rib {
    /// Where it crosses the path.
    pub at: [f32; 2],
    /// The direction across, towards the right of the way the stroke goes.
    pub across: [f32; 2],
    /// Length of the stroke here; below 0 before its first sample.
    pub length_px: f32,
    /// Half the width of the mark.
    pub half_px: f32,
    /// How far the tip reaches along the stroke.
    pub thick_px: f32,
    /// How much further along the stroke the tip lies for each pixel to the right.
    pub slant: f32,
    /// Pressure with all tapers, 0-1.
    pub pressure: f32,
    /// How dry the mark is: at 0 it is closed, at 1 half of it is gone.
    pub dry: f32,
    /// Factor of the strength.
    pub flow: f32,
}

impl Rib {
    fn mix(&self, other: &Rib, t: f32) -> Rib {
        let mix = |a: f32, b: f32| a + (b - a) * t;
        Rib {
            at: [mix(self.at[0], other.at[0]), mix(self.at[1], other.at[1])],
            across: self.across,
            length_px: mix(self.length_px, other.length_px),
            half_px: mix(self.half_px, other.half_px),
            thick_px: mix(self.thick_px, other.thick_px),
            slant: mix(self.slant, other.slant),
            pressure: mix(self.pressure, other.pressure),
            dry: mix(self.dry, other.dry),
            flow: mix(self.flow, other.flow),
        }
    }

    /// The way the stroke goes.
    pub fn along(&self) -> [f32; 2] {
        [self.across[1], -self.across[0]]
    }

    /// Signed distance of a place from this rib, along the stroke.
    fn ahead(&self, x: f32, y: f32) -> f32 {
        let [dx, dy] = self.along();
        (x - self.at[0]) * dx + (y - self.at[1]) * dy
    }
}

/// One pixel in stroke space. Lengths in canvas pixels.
#[derive(Clone, Copy, Debug)]
pub struct Spot {
    /// Place of its centre.
    pub x: f32,
    /// See `x`.
    pub y: f32,
    /// Length along the stroke; below 0 before its first sample.
    pub s: f32,
    /// What is still to come to the last sample; below 0 beyond it.
    pub e: f32,
    /// Distance from the path, right of it above 0.
    pub d: f32,
    /// The same as a part of half the width.
    pub u: f32,
    /// Half the width of the mark here.
    pub half: f32,
    /// How far the tip reaches along the stroke.
    pub thick: f32,
    /// How far it is inside the line that the tip was set down on.
    pub lead: f32,
    /// How far it is inside the line that the tip is lifted from.
    pub tail: f32,
    /// Pressure with all tapers, 0-1.
    pub pressure: f32,
    /// How dry the mark is: at 0 it is closed, at 1 half of it is gone.
    pub dry: f32,
    /// One over the growth of a distance from an edge that runs askew because the width changes.
    pub askew: f32,
}

/// What a kind of mark covers.
pub trait Cover {
    /// Largest distance across that it covers, in halves of the width.
    const WIDEST: f32 = 1.0;

    /// How far it reaches beyond its ends, pixels.
    fn beyond_px(end: &Rib) -> f32;

    /// Cover at full strength, 0-1.
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> f32;
}

/// What is the same for the whole stroke.
#[derive(Clone, Copy, Debug)]
pub struct Stroke<'a> {
    /// The brush's settings.
    pub mark: &'a Mark,
    /// Part of the radius that is covered fully.
    pub hardness: f32,
    /// Width of the brush at full pressure, pixels.
    pub size_px: f32,
    /// Cover at full strength, 0-65535.
    pub cap: f32,
    /// Which part of the tables the stroke sees, table cells.
    pub seed: f32,
    /// The tables.
    pub noise: &'a Noise,
    /// Length of the whole stroke, pixels.
    pub length_px: f32,
}

/// Finest lock of hair that is drawn, pixels.
const FINEST_LOCK_PX: f32 = 1.35;
/// How much of the dryness of the lift reaches back, widths of the brush.
pub const LIFT_WIDTHS: f32 = 0.6;

impl Stroke<'_> {
    /// Half the brush's width, pixels.
    #[inline(always)]
    pub fn radius(&self) -> f32 {
        self.size_px * 0.5
    }

    /// Locks across the width that can be seen.
    #[inline(always)]
    fn locks_across(&self) -> f32 {
        self.mark.bristles.count.min(self.size_px / FINEST_LOCK_PX).max(4.0)
    }

    /// Locks of hair, 0-1, by the place across; `which` tells several such profiles apart.
    #[inline(always)]
    pub fn lock(&self, u: f32, which: f32) -> f32 {
        self.noise.locks.along((u * 0.5 + 0.5) * self.locks_across() * 4.0 + self.seed + which * 171.0)
    }

    /// Single hairs, as [`Stroke::lock`].
    #[inline(always)]
    pub fn hair(&self, u: f32, which: f32) -> f32 {
        self.noise.hairs.along((u * 0.5 + 0.5) * self.locks_across() * 2.4 + self.seed * 1.7 + which * 231.0)
    }

    /// Streaks along the stroke, 0-1.
    #[inline(always)]
    pub fn streak(&self, s: f32, u: f32, which: f32) -> f32 {
        let scale = 48.0 / self.size_px.max(8.0);
        let row = (u * 0.5 + 0.5) * self.locks_across() * 3.2 + self.seed;
        self.noise.streaks.at(s * scale * 1.6 + self.seed * 0.6 + which * 353.0, row + which * 97.0)
    }

    /// How the hand wavers, -0.5 to 0.5.
    #[inline(always)]
    pub fn waver(&self, s: f32, which: f32) -> f32 {
        self.noise.waver.along(s * 60.0 / self.size_px + self.seed + which * 511.0) - 0.5
    }

    /// Which way a place of the mark is strewn, -1 to 1: the same for specks of about a tenth of the brush.
    #[inline(always)]
    pub fn strewn(&self, s: f32, d: f32) -> f32 {
        let scale = 40.0 / self.size_px.max(8.0);
        2.0 * self.noise.tooth.at(s * scale + self.seed * 1.3, d * scale + self.seed) - 1.0
    }

    /// The tooth of the canvas, or of the tip, 0-1.
    #[inline(always)]
    pub fn tooth(&self, spot: &Spot) -> f32 {
        let (x, y) = self.grain_at(spot);
        self.noise.tooth.at(x, y)
    }

    /// Where the grain of a pixel is looked up, table cells.
    #[inline(always)]
    pub fn grain_at(&self, spot: &Spot) -> (f32, f32) {
        let scale = 1.0 / self.mark.grain.scale;
        match self.mark.grain.of {
            GrainOf::Canvas => (spot.x * scale, spot.y * scale),
            GrainOf::Tip => (spot.s * scale + self.seed, spot.d * scale),
        }
    }

    /// Cover by the distance from an edge, pixels, inside below 0: as hard as the brush, one pixel wide at least.
    #[inline(always)]
    pub fn edge(&self, distance: f32, half: f32) -> f32 {
        let width = ((1.0 - self.hardness) * half).max(1.0);
        step(0.5, 0.5 - width, distance) * (2.0 * half).min(1.0)
    }

    /// The dryness at a pixel, with that of the lift.
    #[inline(always)]
    pub fn dryness(&self, spot: &Spot) -> f32 {
        let back = (1.0 - spot.tail / (LIFT_WIDTHS * self.size_px)).clamp(0.0, 1.0);
        spot.dry + self.mark.paint.lift * back * back * (1.4 - spot.pressure)
    }

    /// What is left of a mark as dry as this, where the hair carries `height` (0-1, a half in the mean); `soft` is the width of
    /// the edge of each gap, a part of the height.
    #[inline(always)]
    pub fn broken(&self, dry: f32, height: f32, soft: f32) -> f32 {
        let over = (dry - 0.30).max(0.0);
        // Ever slower: a brush that is nearly dry still leaves single hairs.
        let threshold = if dry < 0.30 { dry - 0.30 } else { 0.86 * over / (over + 0.55) };
        step(threshold - soft, threshold + soft, height)
    }
}

/// A smooth step from 0 at `from` to 1 at `to`, whichever is larger.
#[inline(always)]
pub fn step(from: f32, to: f32, x: f32) -> f32 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// Where ribs are drawn: a mask, and what has to be told or taken back of it.
#[derive(Debug)]
pub struct Target<'a> {
    /// The mask.
    pub mask: &'a mut Mask,
    /// Every tile that was drawn on.
    pub touched: &'a mut BTreeSet<TilePos>,
    /// The tiles as they were before, where the drawing shall be taken back.
    pub saved: Option<&'a mut Saved>,
    /// Where every rise of a pixel's cover is noted, if it is, with the number of the tip's lanes.
    pub visits: Option<(&'a mut Vec<Visit>, f32)>,
}

impl Target<'_> {
    fn tile(&mut self, pos: TilePos) -> &mut [u16; TILE_PIXELS] {
        self.touched.insert(pos);
        if let Some(saved) = &mut self.saved {
            saved.entry(pos).or_insert_with(|| self.mask.tiles.get(&pos).cloned());
        }
        self.mask.tiles.entry(pos).or_insert(MaskTile::Even(0)).pixels_mut()
    }
}

/// Draws the strips between the ribs.
pub fn sweep<K: Cover>(stroke: &Stroke<'_>, ribs: &[Rib], target: &mut Target<'_>) {
    for pair in ribs.windows(2) {
        fan::<K>(stroke, &pair[0], &pair[1], target, 6);
    }
}

/// Cosine of the largest turn from one rib to the next.
const MIN_TURN_COSINE: f32 = 0.985;

/// Draws a strip, in spans where the stroke turns sharply.
fn fan<K: Cover>(stroke: &Stroke<'_>, a: &Rib, b: &Rib, target: &mut Target<'_>, depth: u8) {
    let turn = a.across[0] * b.across[0] + a.across[1] * b.across[1];
    if turn > MIN_TURN_COSINE || depth == 0 {
        return strip::<K>(stroke, a, b, target);
    }
    let sum = [a.across[0] + b.across[0], a.across[1] + b.across[1]];
    // A stroke that turns back turns to the right.
    let across = super::angle::unit(sum).unwrap_or([-a.across[1], a.across[0]]);
    let middle = Rib { across, ..a.mix(b, 0.5) };
    fan::<K>(stroke, a, &middle, target, depth - 1);
    fan::<K>(stroke, &middle, b, target, depth - 1);
}

/// Draws the pixels between two ribs.
fn strip<K: Cover>(stroke: &Stroke<'_>, a: &Rib, b: &Rib, target: &mut Target<'_>) {
    let reach = a.half_px.max(b.half_px) * (K::WIDEST + stroke.mark.tip.scatter) + 1.0;
    let side = |rib: &Rib, by: f32| [rib.at[0] + rib.across[0] * by, rib.at[1] + rib.across[1] * by];
    let corners = [side(a, reach), side(a, -reach), side(b, reach), side(b, -reach)];
    let bounds = |axis: usize, limit: u32| {
        let (low, high) = corners.iter().fold((f32::MAX, f32::MIN), |(l, h), c| (l.min(c[axis]), h.max(c[axis])));
        // Pixel i has its centre at i + 0.5.
        let first = (low - 0.5).max(0.0) as u32;
        let end = (high + 1.5).max(0.0) as u32;
        first..end.min(limit)
    };
    let CanvasSize { width, height } = target.mask.size;
    let (columns, rows) = (bounds(0, width), bounds(1, height));
    if columns.is_empty() || rows.is_empty() {
        return;
    }
    let [along_a, along_b] = [a.along(), b.along()];
    let middle = a.mix(b, 0.5);
    let slack = reach + 0.5 * super::spline::distance(a.at, b.at) + 0.5;
    let pair = RibPair::new(a, b);
    for row in rows.start / TILE_SIDE..=(rows.end - 1) / TILE_SIDE {
        for column in columns.start / TILE_SIDE..=(columns.end - 1) / TILE_SIDE {
            let (left, top) = (column * TILE_SIDE, row * TILE_SIDE);
            let down = rows.start.max(top)..rows.end.min(top + TILE_SIDE);
            // The part of each row that may lie between the ribs; each pixel is looked at again below.
            let mut spans = [(0, 0); TILE_SIDE as usize];
            let mut any = false;
            for y in down.clone() {
                let py = y as f32 + 0.5;
                let off = (0.5 - middle.at[0]) * middle.across[0] + (py - middle.at[1]) * middle.across[1];
                let mut span =
                    RowSpan { from: columns.start.max(left) as f32, end: columns.end.min(left + TILE_SIDE) as f32 };
                span.keep(along_a[0], a.ahead(0.5, py) + 0.5);
                span.keep(-along_b[0], 0.5 - b.ahead(0.5, py));
                span.keep(middle.across[0], off + slack);
                span.keep(-middle.across[0], slack - off);
                spans[(y - top) as usize] = span.pixels();
                any |= span.from < span.end;
            }
            if !any {
                continue;
            }
            let pos = TilePos { column: column as u16, row: row as u16 };
            let mut visits = target.visits.take();
            let tile = target.tile(pos);
            for y in down {
                let (from, end) = spans[(y - top) as usize];
                for x in from..end {
                    let (cover, u, pressure) = pair.cover::<K>(stroke, x as f32 + 0.5, y as f32 + 0.5, reach);
                    let value = (cover * stroke.cap + 0.5) as u16;
                    let index = (y - top) * TILE_SIDE + x - left;
                    let pixel = &mut tile[index as usize];
                    if let Some((visits, lanes)) = &mut visits
                        && value > *pixel
                    {
                        let lane = lane_at(u, *lanes);
                        let pressure = (pressure.clamp(0.0, 1.0) * 65535.0) as u16;
                        visits.push(Visit { pos, index: index as u16, lane, from: *pixel, to: value, pressure });
                    }
                    *pixel = (*pixel).max(value);
                }
            }
            target.visits = visits;
        }
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
struct RibPair<'a> {
    a: &'a Rib,
    b: &'a Rib,
    askew: f32,
}

impl<'a> RibPair<'a> {
    fn new(a: &'a Rib, b: &'a Rib) -> Self {
        let span = b.length_px - a.length_px;
        let slope = if span > 0.1 { (b.half_px - a.half_px) / span } else { 0.0 };
        RibPair { a, b, askew: 1.0 / (1.0 + slope * slope).sqrt() }
    }

    /// Cover of one pixel, 0-1, its place across as a part of half the width, and the pressure there.
    #[inline(always)]
    fn cover<K: Cover>(&self, stroke: &Stroke<'_>, x: f32, y: f32, reach: f32) -> (f32, f32, f32) {
        let (a, b) = (self.a, self.b);
        let (after, before) = (a.ahead(x, y), b.ahead(x, y));
        // A pixel on a rib belongs to the strip after it.
        if after < 0.0 || before >= 0.0 {
            return (0.0, 0.0, 0.0);
        }
        let t = after / (after - before);
        let mix = |a: f32, b: f32| a + (b - a) * t;
        let across = [mix(a.across[0], b.across[0]), mix(a.across[1], b.across[1])];
        let away = [x - mix(a.at[0], b.at[0]), y - mix(a.at[1], b.at[1])];
        let stretched = across[0] * across[0] + across[1] * across[1];
        let mut d = (away[0] * across[0] + away[1] * across[1]) / stretched.sqrt();
        if d.abs() > reach {
            return (0.0, 0.0, 0.0);
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
            u: d / half.max(0.25),
            half,
            thick,
            lead: s - slant * d + thick,
            tail: e + slant * d + thick,
            pressure: mix(a.pressure, b.pressure),
            dry: mix(a.dry, b.dry),
            askew: self.askew,
        };
        ((K::at(stroke, &spot) * mix(a.flow, b.flow)).clamp(0.0, 1.0), spot.u, spot.pressure)
    }
}
