//! Many visits worked off on all processors, with the bits of one after the other.
//!
//! A visit depends on the one before it in its lane, and on the one before it at its pixel. So lanes that share no pixel are worked off side
//! by side: the tip's lanes are parted into groups, groups that meet in a pixel become one share, and each share goes through all visits in
//! their order and works off its own. What is settled and the end of the stroke are gone through in one go.

use super::Worked;
use super::tip::{Exchange, Tip};
use crate::canvas::worked::{WorkedTiles, in_one_tile, pixel_of, rise, with_pixels};
use crate::mask::Visit;
use crate::paints::PaintLut;
use crate::pixel::Pixel;
use rayon::prelude::*;
use std::collections::{BTreeMap, HashMap};
use stint_model::study::tile::{Plane, TILE_PIXELS, TilePos};

/// Fewer visits than this are worked off one after the other.
pub const VISITS_FOR_ALL: usize = 4096;
/// Groups that the lanes are parted into at most.
const MOST_GROUPS: usize = 64;
/// The mark of a pixel that is not visited, and the bit that tells of a second visit; every group's number is below both.
const UNVISITED: u8 = 0x7F;
const TWICE: u8 = 0x80;

/// Visits in a row that lie in one tile.
struct Run<'a> {
    visits: &'a [Visit],
    /// Which of the tiles.
    tile: usize,
}

/// The tiles that are worked on, numbered as they come.
#[derive(Default)]
struct Numbered {
    numbers: BTreeMap<TilePos, usize>,
    places: Vec<TilePos>,
}

impl Numbered {
    /// The visits as runs, of those whose tiles are here.
    fn runs<'a>(&mut self, visits: &'a [Visit], tiles: &WorkedTiles) -> Vec<Run<'a>> {
        let of_tile = |visits: &'a [Visit]| {
            let pos = visits[0].pos;
            tiles.planes(pos)?;
            let tile = *self.numbers.entry(pos).or_insert_with(|| {
                self.places.push(pos);
                self.places.len() - 1
            });
            Some(Run { visits, tile })
        };
        in_one_tile(visits).filter_map(of_tile).collect()
    }
}

/// Which lanes belong together.
struct Groups {
    /// The group of each lane, before groups are joined.
    of_lane: Vec<u8>,
    /// For each group one that it belongs to; the lowest is its own.
    joined: Vec<usize>,
}

impl Groups {
    fn new(lanes: usize) -> Self {
        let count = (2 * rayon::current_num_threads()).clamp(1, MOST_GROUPS);
        let width = lanes.div_ceil(count).max(1);
        let of_lane = (0..lanes).map(|lane| u8::try_from(lane / width).unwrap_or_default()).collect();
        Groups { of_lane, joined: (0..lanes.div_ceil(width)).collect() }
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
    /// For each pixel the group that visits it first, with [`TWICE`] where it is visited more than once.
    marks: Vec<u8>,
    /// Groups that meet in a pixel.
    meetings: Vec<(usize, usize)>,
}

fn look_through(runs: &[&[Visit]], groups: &Groups) -> Seen {
    let mut seen = Seen { marks: vec![UNVISITED; TILE_PIXELS], meetings: Vec::new() };
    for visit in runs.iter().copied().flatten() {
        // A lane that the tip does not have exchanges nothing.
        let Some(&group) = groups.of_lane.get(usize::from(visit.lane)) else { continue };
        let mark = &mut seen.marks[usize::from(visit.index)];
        if *mark == UNVISITED {
            *mark = group;
            continue;
        }
        *mark |= TWICE;
        let pair = (usize::from(*mark & !TWICE), usize::from(group));
        if pair.0 != pair.1 && seen.meetings.last() != Some(&pair) {
            seen.meetings.push(pair);
        }
    }
    seen
}

/// Lanes that meet in pixels; they are worked off side by side with others.
#[derive(Default)]
struct Share {
    /// Which of the tip's.
    lanes: Vec<usize>,
    tips: Vec<Tip>,
}

/// What a share made of pixels: for each tile their places in it and their new pairs, later ones after earlier ones.
type Made = Vec<Vec<(u16, Pixel)>>;

/// What a share made.
struct Done {
    settled: Made,
    end: Made,
    /// Its lanes at the end.
    tips: Vec<Tip>,
}

/// Pixels that are visited more than once, as a share has them now, by their tile and their place in it.
type Again = HashMap<(usize, u16), Pixel>;

/// What all shares look at.
struct Sight<'a> {
    tiles: Vec<&'a [Plane]>,
    seen: Vec<Seen>,
    /// For each of the tip's lanes its share, and its place in it.
    of_lane: Vec<(usize, usize)>,
    exchange: &'a Exchange,
    paints: &'a PaintLut,
}

impl Sight<'_> {
    /// Works off the visits of the lanes of one share.
    fn go_through(&self, runs: &[Run<'_>], share: usize, tips: &mut [Tip], again: &mut Again) -> Made {
        let mut made: Made = self.tiles.iter().map(|_| Vec::new()).collect();
        for &Run { visits, tile } in runs {
            for visit in visits {
                // A lane that the tip does not have exchanges nothing.
                let Some(&(of, place)) = self.of_lane.get(usize::from(visit.lane)) else { continue };
                if of != share {
                    continue;
                }
                let index = usize::from(visit.index);
                let twice = self.seen[tile].marks[index] & TWICE != 0;
                let known = if twice { again.get(&(tile, visit.index)).copied() } else { None };
                let mut pixel = known.unwrap_or_else(|| pixel_of(self.tiles[tile], index));
                tips[place].exchange(&mut pixel, rise(visit), self.exchange, self.paints);
                if twice {
                    again.insert((tile, visit.index), pixel);
                }
                made[tile].push((visit.index, pixel));
            }
        }
        made
    }
}

/// The tip's lanes in their order.
fn in_order(tips: impl Iterator<Item = (usize, Tip)>) -> Vec<Tip> {
    let mut tips: Vec<_> = tips.collect();
    tips.sort_unstable_by_key(|(lane, _)| *lane);
    tips.into_iter().map(|(_, tip)| tip).collect()
}

impl Worked {
    /// As one visit after the other would, to the bit: works off what is settled, and tells what the end of the stroke makes of that.
    pub(super) fn work_on_all(
        &mut self,
        settled: &[Visit],
        end: &[Visit],
        exchange: &Exchange,
        paints: &PaintLut,
    ) -> Worked {
        let mut numbered = Numbered::default();
        let [settled, end] = [settled, end].map(|visits| numbered.runs(visits, &self.tiles));
        let places = numbered.places;
        let mut of_tile: Vec<Vec<&[Visit]>> = places.iter().map(|_| Vec::new()).collect();
        for run in settled.iter().chain(&end) {
            of_tile[run.tile].push(run.visits);
        }
        let mut groups = Groups::new(self.tips.len());
        let seen: Vec<Seen> = of_tile.par_iter().map(|runs| look_through(runs, &groups)).collect();
        for &(a, b) in seen.iter().flat_map(|seen| &seen.meetings) {
            groups.join(a, b);
        }
        // The share of each group that is left.
        let mut number_of: Vec<Option<usize>> = vec![None; groups.joined.len()];
        let (mut shares, mut of_lane): (Vec<Share>, Vec<(usize, usize)>) = Default::default();
        for (lane, tip) in std::mem::take(&mut self.tips).into_iter().enumerate() {
            let number = *number_of[groups.lowest(groups.of_lane[lane].into())].get_or_insert_with(|| {
                shares.push(Share::default());
                shares.len() - 1
            });
            of_lane.push((number, shares[number].tips.len()));
            shares[number].lanes.push(lane);
            shares[number].tips.push(tip);
        }
        let tiles = places.iter().map(|&pos| self.tiles.planes(pos).unwrap_or_default()).collect();
        let sight = Sight { tiles, seen, of_lane, exchange, paints };
        let work = |(number, share): (usize, &mut Share)| {
            let mut again = Again::new();
            let settled = sight.go_through(&settled, number, &mut share.tips, &mut again);
            let mut tips = share.tips.clone();
            let end = sight.go_through(&end, number, &mut tips, &mut again);
            Done { settled, end, tips }
        };
        let done: Vec<Done> = shares.par_iter_mut().enumerate().map(work).collect();
        let change = |(tile, before): (usize, &&[Plane])| {
            let settled = done.iter().flat_map(|done| &done.settled[tile]);
            let end = done.iter().flat_map(|done| &done.end[tile]);
            rayon::join(
                || with_pixels(before, settled.clone()),
                || with_pixels(before, settled.clone().chain(end.clone())),
            )
        };
        let changed: Vec<(Vec<Plane>, Vec<Plane>)> = sight.tiles.par_iter().enumerate().map(change).collect();
        let mut shown = Worked { tips: Vec::new(), tiles: self.tiles.clone() };
        for (&pos, (settled, end)) in places.iter().zip(changed) {
            self.tiles.put(pos, settled);
            shown.tiles.put(pos, end);
        }
        let tips_at_end = shares.iter().zip(done).flat_map(|(share, done)| share.lanes.iter().copied().zip(done.tips));
        shown.tips = in_order(tips_at_end);
        self.tips = in_order(shares.into_iter().flat_map(|share| share.lanes.into_iter().zip(share.tips)));
        shown
    }
}
