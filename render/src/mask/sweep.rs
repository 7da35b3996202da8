//! The cover of a mark in stroke space.
//!
//! A stroke is a row of *ribs*, lines across it. Between two ribs a pixel has a length along the stroke and a distance across,
//! and a kind of mark says from these how much it is covered. Where a stroke lies over itself the stronger cover stands, so that no
//! order of drawing shows, nothing piles up where the hand rests, and each piece of the path adds its own strip of pixels alone.
use super::group::{Group, at_least, at_most, choose, held, step};
use super::mark::{GrainOf, Mark};
use super::noise::Noise;
use super::{Mask, MaskTile, Saved, Visit};
use std::collections::BTreeSet;
use stint_model::study::tile::{TILE_PIXELS, TilePos};

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
    pub(super) fn mix(&self, other: &Rib, t: f32) -> Rib {
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
    pub(super) fn ahead(&self, x: f32, y: f32) -> f32 {
        let [dx, dy] = self.along();
        (x - self.at[0]) * dx + (y - self.at[1]) * dy
    }
}

/// Four pixels in stroke space. Lengths in canvas pixels.
#[derive(Clone, Copy, Debug)]
pub struct Spot {
    /// Places of their centres.
    pub x: Group,
    /// See `x`.
    pub y: Group,
    /// Length along the stroke; below 0 before its first sample.
    pub s: Group,
    /// What is still to come to the last sample; below 0 beyond it.
    pub e: Group,
    /// Distance from the path, right of it above 0.
    pub d: Group,
    /// The same as a part of half the width.
    pub u: Group,
    /// Half the width of the mark here.
    pub half: Group,
    /// How far the tip reaches along the stroke.
    pub thick: Group,
    /// How far it is inside the line that the tip was set down on.
    pub lead: Group,
    /// How far it is inside the line that the tip is lifted from.
    pub tail: Group,
    /// Pressure with all tapers, 0-1.
    pub pressure: Group,
    /// How dry the mark is: at 0 it is closed, at 1 half of it is gone.
    pub dry: Group,
    /// One over the growth of a distance from an edge that runs askew because the width changes.
    pub askew: Group,
}

/// What a kind of mark covers.
pub trait Cover {
    /// Largest distance across that it covers, in halves of the width.
    const WIDEST: f32 = 1.0;

    /// How far it reaches beyond its ends, pixels.
    fn beyond_px(end: &Rib) -> f32;

    /// How far inside the line that the tip is lifted from ([`Spot::tail`]) a mark no drier than `dry` no longer depends on it, pixels; the
    /// dryness of the lift apart.
    fn ragged_px(_: &Mark, _size_px: f32, _dry: f32) -> f32 {
        0.0
    }

    /// How far before the end of the stroke ([`Spot::e`]) a mark of this half width no longer depends on it, pixels.
    fn end_px(_half_px: f32) -> f32 {
        0.0
    }

    /// Cover at full strength, 0-1.
    fn at(stroke: &Stroke<'_>, spot: &Spot) -> Group;
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
/// How far the dryness of the lift reaches back: widths of the brush, and pixels at most. A hand lifts a large brush over no more way than
/// a middling one, and a short end is soon settled.
const LIFT: (f32, f32) = (0.6, 60.0);

/// How far the dryness of the lift reaches back, pixels.
#[inline(always)]
pub fn lift_px(size_px: f32) -> f32 {
    (LIFT.0 * size_px).min(LIFT.1)
}

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
    pub fn lock(&self, u: Group, which: f32) -> Group {
        self.noise.locks.along((u * 0.5 + 0.5) * self.locks_across() * 4.0 + self.seed + which * 171.0)
    }

    /// Single hairs, as [`Stroke::lock`].
    #[inline(always)]
    pub fn hair(&self, u: Group, which: f32) -> Group {
        self.noise.hairs.along((u * 0.5 + 0.5) * self.locks_across() * 2.4 + self.seed * 1.7 + which * 231.0)
    }

    /// Streaks along the stroke, 0-1.
    #[inline(always)]
    pub fn streak(&self, s: Group, u: Group, which: f32) -> Group {
        let scale = 48.0 / self.size_px.max(8.0);
        let row = (u * 0.5 + 0.5) * self.locks_across() * 3.2 + self.seed;
        self.noise.streaks.at(s * scale * 1.6 + self.seed * 0.6 + which * 353.0, row + which * 97.0)
    }

    /// How the hand wavers, -0.5 to 0.5.
    #[inline(always)]
    pub fn waver(&self, s: Group, which: impl Into<Group>) -> Group {
        self.noise.waver.along(s * 60.0 / self.size_px + self.seed + which.into() * 511.0) - 0.5
    }

    /// Which way a place of the mark is strewn, -1 to 1: the same for specks of about a tenth of the brush.
    #[inline(always)]
    pub fn strewn(&self, s: Group, d: Group) -> Group {
        let scale = 40.0 / self.size_px.max(8.0);
        2.0 * self.noise.tooth.at(s * scale + self.seed * 1.3, d * scale + self.seed) - 1.0
    }

    /// The tooth of the canvas, or of the tip, 0-1.
    #[inline(always)]
    pub fn tooth(&self, spot: &Spot) -> Group {
        let (x, y) = self.grain_at(spot);
        self.noise.tooth.at(x, y)
    }

    /// Where the grain of a pixel is looked up, table cells.
    #[inline(always)]
    pub fn grain_at(&self, spot: &Spot) -> (Group, Group) {
        let scale = 1.0 / self.mark.grain.scale;
        match self.mark.grain.of {
            GrainOf::Canvas => (spot.x * scale, spot.y * scale),
            GrainOf::Tip => (spot.s * scale + self.seed, spot.d * scale),
        }
    }

    /// Cover by the distance from an edge, pixels, inside below 0: as hard as the brush, one pixel wide at least.
    #[inline(always)]
    pub fn edge(&self, distance: Group, half: Group) -> Group {
        let width = at_least((1.0 - self.hardness) * half, 1.0);
        step(0.5, 0.5 - width, distance) * at_most(2.0 * half, 1.0)
    }

    /// The dryness at a pixel, with that of the lift.
    #[inline(always)]
    pub fn dryness(&self, spot: &Spot) -> Group {
        let back = held(1.0 - spot.tail / lift_px(self.size_px), 0.0, 1.0);
        spot.dry + self.mark.paint.lift * back * back * (1.4 - spot.pressure)
    }

    /// What is left of a mark as dry as this, where the hair carries `height` (0-1, a half in the mean); `soft` is the width of
    /// the edge of each gap, a part of the height.
    #[inline(always)]
    pub fn broken(&self, dry: Group, height: Group, soft: f32) -> Group {
        let over = at_least(dry - 0.30, 0.0);
        // Ever slower: a brush that is nearly dry still leaves single hairs.
        let threshold = choose(dry.simd_lt(0.30), dry - 0.30, 0.86 * over / (over + 0.55));
        step(threshold - soft, threshold + soft, height)
    }
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
    pub(super) fn tile(&mut self, pos: TilePos) -> &mut [u16; TILE_PIXELS] {
        self.touched.insert(pos);
        if let Some(saved) = &mut self.saved {
            saved.entry(pos).or_insert_with(|| self.mask.tiles.get(&pos).cloned());
        }
        self.mask.tiles.entry(pos).or_insert(MaskTile::Even(0)).pixels_mut()
    }
}
