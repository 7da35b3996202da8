//! Many visits worked off on all processors, with the bits of one after the other.
//!
//! A visit depends on the one before it in its lane, and on the one before it at its pixel. So lanes that share no pixel are worked off side
//! by side: the tip's lanes are parted into groups, groups that meet in a pixel become one, and each goes through the visits in their order.

use super::Worked;
use super::tip::{Exchange, Tip};
use crate::canvas::worked::{WorkedTiles, in_one_tile, pixel_of, rise, with_pixels};
use crate::mask::Visit;
use crate::paints::PaintLut;
use crate::pixel::Pixel;
use rayon::prelude::*;
use std::collections::{BTreeMap, HashMap};
use std::ops::Range;
use stint_model::study::tile::{Plane, TILE_PIXELS, TilePos};

/// Fewer visits than this are worked off one after the other.
pub const VISITS_FOR_ALL: usize = 4096;
/// Groups that the lanes are parted into at most.
const MOST_GROUPS: usize = 64;

/// Visits in a row that lie in one tile.
struct Run {
    /// Which of the visits.
    visits: Range<usize>,
    /// Which of the tiles.
    tile: usize,
}

/// The visits as runs, and the tiles that they lie in, of those that are here.
fn runs(visits: &[Visit], tiles: &WorkedTiles) -> (Vec<Run>, Vec<TilePos>) {
    let mut numbers: BTreeMap<TilePos, usize> = BTreeMap::new();
    let (mut runs, mut places) = (Vec::new(), Vec::new());
    let mut start = 0;
    for some in in_one_tile(visits) {
        let (range, pos) = (start..start + some.len(), some[0].pos);
        start = range.end;
        if tiles.planes(pos).is_none() {
            continue;
        }
        let tile = *numbers.entry(pos).or_insert_with(|| {
            places.push(pos);
            places.len() - 1
        });
        runs.push(Run { visits: range, tile });
    }
    (runs, places)
}

/// Which lanes belong together.
struct Groups {
    /// Lanes of a group, before groups are joined.
    width: usize,
    /// For each group one that it belongs to; the lowest is its own.
    joined: Vec<usize>,
}

impl Groups {
    fn new(lanes: usize) -> Self {
        let count = (2 * rayon::current_num_threads()).clamp(1, MOST_GROUPS);
        let width = lanes.div_ceil(count).max(1);
        Groups { width, joined: (0..lanes.div_ceil(width)).collect() }
    }

    fn of_lane(&self, lane: u16) -> usize {
        usize::from(lane) / self.width
    }

    fn lowest(&self, mut group: usize) -> usize {
        while self.joined[group] != group {
            group = self.joined[group];
        }
        group
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.lowest(a), self.lowest(b));
        self.joined[a.max(b)] = a.min(b);
    }
}

/// What is seen of a tile's pixels before any is changed.
struct Seen {
    /// Whether a pixel is visited more than once.
    twice: Vec<bool>,
    /// Groups that meet in a pixel.
    meetings: Vec<(usize, usize)>,
}

fn look_through<'a>(visits: impl Iterator<Item = &'a Visit>, groups: &Groups) -> Seen {
    let mut first = vec![u8::MAX; TILE_PIXELS];
    let mut seen = Seen { twice: vec![false; TILE_PIXELS], meetings: Vec::new() };
    for visit in visits {
        let (index, group) = (usize::from(visit.index), groups.of_lane(visit.lane));
        // A lane that the tip does not have exchanges nothing.
        if group >= groups.joined.len() {
            continue;
        }
        if first[index] == u8::MAX {
            first[index] = u8::try_from(group).unwrap_or(u8::MAX);
            continue;
        }
        seen.twice[index] = true;
        let pair = (usize::from(first[index]), group);
        if pair.0 != pair.1 && seen.meetings.last() != Some(&pair) {
            seen.meetings.push(pair);
        }
    }
    seen
}

/// What is worked off side by side with others: lanes that meet in pixels, and their visits.
struct Share<'a> {
    /// The lanes of each group, of those that are in it.
    tips: Vec<Option<&'a mut [Tip]>>,
    /// In their order, each with the number of its tile.
    visits: Vec<(usize, &'a Visit)>,
}

/// What a group of lanes made of pixels: for each tile their places in it and their new pairs, later ones after earlier ones.
type Made = Vec<Vec<(u16, Pixel)>>;

impl Worked {
    /// As one visit after the other would: the same bits.
    pub(super) fn work_on_all(&mut self, visits: &[Visit], exchange: &Exchange, paints: &PaintLut) {
        let (runs, places) = runs(visits, &self.tiles);
        let mut of_tile: Vec<Vec<&Run>> = places.iter().map(|_| Vec::new()).collect();
        for run in &runs {
            of_tile[run.tile].push(run);
        }
        let mut groups = Groups::new(self.tips.len());
        let seen: Vec<Seen> = of_tile
            .par_iter()
            .map(|runs| look_through(runs.iter().flat_map(|run| &visits[run.visits.clone()]), &groups))
            .collect();
        for &(a, b) in seen.iter().flat_map(|seen| &seen.meetings) {
            groups.join(a, b);
        }
        // What each of the groups that are left works on.
        let (mut shares, mut share_of): (Vec<Share>, Vec<usize>) = Default::default();
        for group in 0..groups.joined.len() {
            let lowest = groups.lowest(group);
            share_of.push(if lowest < group { share_of[lowest] } else { shares.len() });
            if lowest == group {
                let tips = groups.joined.iter().map(|_| None).collect();
                shares.push(Share { tips, visits: Vec::new() });
            }
        }
        for (group, tips) in self.tips.chunks_mut(groups.width).enumerate() {
            shares[share_of[group]].tips[group] = Some(tips);
        }
        for run in &runs {
            for visit in &visits[run.visits.clone()] {
                // A lane that the tip does not have exchanges nothing.
                if let Some(&share) = share_of.get(groups.of_lane(visit.lane)) {
                    shares[share].visits.push((run.tile, visit));
                }
            }
        }
        let tiles: Vec<&[Plane]> = places.iter().map(|&pos| self.tiles.planes(pos).unwrap_or_default()).collect();
        let work = |Share { mut tips, visits }: Share<'_>| {
            let mut made: Made = places.iter().map(|_| Vec::new()).collect();
            // Pixels that are visited more than once, as they are now.
            let mut again: HashMap<(usize, u16), Pixel> = HashMap::new();
            for (tile, visit) in visits {
                let tip = tips[groups.of_lane(visit.lane)].as_deref_mut();
                let Some(tip) = tip.and_then(|tips| tips.get_mut(usize::from(visit.lane) % groups.width)) else {
                    continue;
                };
                let index = usize::from(visit.index);
                let twice = seen[tile].twice[index];
                let known = if twice { again.get(&(tile, visit.index)).copied() } else { None };
                let mut pixel = known.unwrap_or_else(|| pixel_of(tiles[tile], index));
                tip.exchange(&mut pixel, rise(visit), exchange, paints);
                if twice {
                    again.insert((tile, visit.index), pixel);
                }
                made[tile].push((visit.index, pixel));
            }
            made
        };
        let made: Vec<Made> = shares.into_par_iter().map(work).collect();
        let changed: Vec<_> = places
            .par_iter()
            .enumerate()
            .filter_map(|(tile, &pos)| {
                Some((pos, with_pixels(self.tiles.planes(pos)?, made.iter().flat_map(|made| &made[tile]))))
            })
            .collect();
        for (pos, planes) in changed {
            self.tiles.put(pos, planes);
        }
    }
}
