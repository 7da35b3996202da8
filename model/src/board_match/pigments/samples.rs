//! Mixtures of pigments spread over all that a board reaches, one for each small part of colour space: where the search for the mixture
//! nearest to a colour begins.

use super::Blend;
use crate::board_match::hull::MOST_CORNERS;
use crate::colour::Oklab;
use crate::colour::difference::delta_ok;
use crate::mixing::Latent;
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Side of the parts of colour space of which each holds one mixture at most, in OKLab: from there the search takes a few steps.
const PART_OK: f32 = 0.05;
/// Halvings of a way between two mixtures at most: a strong dark pigment needs many, as a little of it changes a light one much.
const HALVINGS: u32 = 12;

type Part = [i8; 3];

#[expect(clippy::cast_possible_truncation, reason = "OKLab within some units of grey; the cast saturates")]
fn part_of(place: Oklab) -> Part {
    [place.l, place.a, place.b].map(|x| (x / PART_OK).floor() as i8)
}

/// The mixtures.
#[derive(Clone, Default)]
pub(super) struct Samples {
    blends: Vec<(Blend, Oklab)>,
    filled: BTreeSet<Part>,
}

impl Samples {
    /// The mixtures of pigments with these latent points.
    pub fn of(pigments: &[Latent]) -> Self {
        let mut samples = Samples::default();
        let mut latest = samples.fill((0..pigments.len()).map(|i| Blend::of_one(pigments, i)));
        // Two swatches, then three, then four.
        for _ in 1..MOST_CORNERS {
            let ways = latest.into_par_iter().map(|from| {
                let blend = &samples.blends[from].0;
                let absent = (0..pigments.len()).filter(|to| !blend.has(*to));
                absent.flat_map(|to| way(pigments, blend, to)).collect::<Vec<_>>()
            });
            let found: Vec<Vec<Blend>> = ways.collect();
            latest = samples.fill(found.into_iter().flatten());
        }
        samples
    }

    /// The same with one pigment more, the last of those given.
    pub fn with_last(&self, pigments: &[Latent]) -> Self {
        let mut samples = self.clone();
        let Some(last) = pigments.len().checked_sub(1) else { return samples };
        samples.fill([Blend::of_one(pigments, last)]);
        let open = self.blends.iter().map(|(blend, _)| blend).filter(|blend| blend.len() < MOST_CORNERS);
        samples.fill(open.flat_map(|blend| way(pigments, blend, last)));
        samples
    }

    /// The mixture nearest to a place, of other swatches than `other` if asked, and how far it is (ΔEOK); none without such a mixture.
    pub fn nearest(&self, place: Oklab, other: Option<&Blend>) -> Option<(&Blend, f32)> {
        let of_others = |blend: &&(Blend, Oklab)| other.is_none_or(|other| !blend.0.is_within(other));
        let apart = self.blends.iter().filter(of_others).map(|(blend, seen)| (blend, delta_ok(*seen, place)));
        apart.min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Keeps those that lie in parts which are empty so far, and says which they are.
    fn fill(&mut self, blends: impl IntoIterator<Item = Blend>) -> std::ops::Range<usize> {
        let before = self.blends.len();
        for blend in blends {
            let seen = blend.colour().oklab();
            if self.filled.insert(part_of(seen)) {
                self.blends.push((blend, seen));
            }
        }
        before..self.blends.len()
    }
}

/// Mixtures on the way from a blend to a swatch that it does not have, no farther from one another than a part is wide.
fn way(pigments: &[Latent], from: &Blend, to: usize) -> Vec<Blend> {
    let end = Blend::of_one(pigments, to);
    let mut found = Vec::new();
    let mut todo = vec![(0.0, from.colour().oklab(), 1.0, end.colour().oklab(), 0)];
    while let Some((near, near_seen, far, far_seen, halvings)) = todo.pop() {
        if halvings == HALVINGS || delta_ok(near_seen, far_seen) <= PART_OK {
            continue;
        }
        let middle = f32::midpoint(near, far);
        let between = from.towards(pigments, to, middle);
        let seen = between.colour().oklab();
        found.push(between);
        todo.push((near, near_seen, middle, seen, halvings + 1));
        todo.push((middle, seen, far, far_seen, halvings + 1));
    }
    found
}
