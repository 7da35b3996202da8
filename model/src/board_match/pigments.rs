//! The mixture of pigments nearest to a colour. Pigments do not mix along straight lines of colour, so no hull can be asked: a
//! mixture is improved by moving amounts from one swatch to another, in ever smaller steps, as long as that brings it nearer.

#![expect(
    clippy::cast_possible_truncation,
    reason = "amounts and differences in the single precision of latent points"
)]

use super::hull::{Corners, MOST_CORNERS};
use crate::colour::difference::{ciede2000, delta_ok};
use crate::colour::matrix::{Matrix3, apply, inverse};
use crate::colour::{Colour, Oklab};
use crate::mixing::{LATENT, Latent, Mixing};

/// First and last amount that is moved.
const STEPS: (f32, f32) = (0.5, 1.0 / 8192.0);
/// First amount that is moved where a neighbouring colour's mixture is at hand, or a good one of another measure.
const SMALLER_STEP: f32 = 0.125;
/// A gain below this share of the difference is none.
const LEAST_GAIN: f32 = 1e-3;
/// Near enough to stop, deltaEOK: far below what can be seen.
const CLOSE_OK: f32 = 3e-5;
/// What a blend is given of a swatch that it does not have, to see whether that leads nearer.
const TASTE: f32 = 0.02;
/// Steps of Newton's method at most, the change of an amount that it looks ahead by, and what keeps a flat valley from leading far astray.
const NEWTON_STEPS: usize = 12;
const PROBE: f32 = 1e-3;
const DAMPING: f64 = 1e-9;
/// Near enough to look no further, CIEDE2000.
const CLOSE_CIEDE2000: f64 = 0.5;
/// From this CIEDE2000 on a swatch that a blend does not have is tried.
const TASTED_CIEDE2000: f64 = 0.02;

/// The latent points of a board's swatches.
pub(super) struct Pigments(Vec<Latent>);

/// Amounts of at most four swatches, which sum to 1, and the sum of their latent points.
#[derive(Clone)]
struct Blend {
    parts: Vec<(usize, f32)>,
    sum: Latent,
}

impl Pigments {
    pub fn new(colours: impl Iterator<Item = Colour>) -> Self {
        Pigments(colours.map(|colour| Mixing::Pigment.latent(colour)).collect())
    }

    /// The same with one colour more.
    pub fn with(&self, colour: Colour) -> Self {
        Pigments(self.0.iter().copied().chain([Mixing::Pigment.latent(colour)]).collect())
    }

    /// The nearest mixture found from two beginnings: that of a neighbouring colour, which saves most of the way, and one that is
    /// near in another model. With its CIEDE2000; `within` and `far` bound the differences on which a verdict hangs.
    pub fn nearest(
        &self,
        colour: Colour,
        before: Corners,
        other: Corners,
        verdict: (f64, f64),
    ) -> (Colour, Corners, f64) {
        let (oklab, lab) = (colour.oklab(), colour.lab());
        let near = |sum: &Latent| delta_ok(Mixing::Pigment.colour(sum).oklab(), oklab);
        let measured = |blend: &Blend| ciede2000(Mixing::Pigment.colour(&blend.sum).lab(), lab);
        let known = before.iter().next().is_some() && before.iter().all(|(i, _)| i < self.0.len());
        let mut best = self.blend(if known { before } else { other });
        self.descend(&mut best, if known { SMALLER_STEP } else { STEPS.0 }, CLOSE_OK, near);
        self.polish(&mut best, oklab);
        let mut off = measured(&best);
        if known && off > CLOSE_CIEDE2000 {
            let mut cold = self.blend(other);
            self.descend(&mut cold, STEPS.0, CLOSE_OK, near);
            self.polish(&mut cold, oklab);
            let cold_off = measured(&cold);
            if cold_off < off {
                (best, off) = (cold, cold_off);
            }
        }
        if off > TASTED_CIEDE2000 && off <= verdict.1 {
            self.taste(&mut best, oklab);
            off = measured(&best);
        }
        if off > verdict.0 && off <= verdict.1 {
            let near = |sum: &Latent| ciede2000(Mixing::Pigment.colour(sum).lab(), lab) as f32;
            self.descend(&mut best, SMALLER_STEP, 0.0, near);
            off = measured(&best);
        }
        let parts = best.parts.iter().map(|&(i, part)| (i, f64::from(part)));
        (Mixing::Pigment.colour(&best.sum), Corners::of(parts), off)
    }

    fn blend(&self, corners: Corners) -> Blend {
        let parts: Vec<_> = corners.iter().map(|(i, weight)| (i, weight as f32)).collect();
        let mut sum = [0.0; LATENT];
        for &(i, part) in &parts {
            sum.iter_mut().zip(self.0[i]).for_each(|(sum, value)| *sum += part * value);
        }
        Blend { parts, sum }
    }

    /// Moves amounts from swatch to swatch while that brings the blend nearer.
    fn descend(&self, blend: &mut Blend, first: f32, close: f32, off: impl Fn(&Latent) -> f32) {
        let mut here = off(&blend.sum);
        let mut step = first;
        while step >= STEPS.1 && here > close {
            let mut best: Option<(f32, usize, usize, f32)> = None;
            for (from, &(i, part)) in blend.parts.iter().enumerate() {
                let moved = step.min(part);
                for to in 0..self.0.len() {
                    let new = !blend.parts.iter().any(|p| p.0 == to);
                    if to == i || new && moved < part && blend.parts.len() == MOST_CORNERS {
                        continue;
                    }
                    let there = off(&self.moved(&blend.sum, i, to, moved));
                    if there < best.map_or(here * (1.0 - LEAST_GAIN), |b| b.0) {
                        best = Some((there, from, to, moved));
                    }
                }
            }
            let Some((there, from, to, moved)) = best else {
                step *= 0.5;
                continue;
            };
            blend.sum = self.moved(&blend.sum, blend.parts[from].0, to, moved);
            here = there;
            blend.parts[from].1 -= moved;
            match blend.parts.iter_mut().find(|p| p.0 == to) {
                Some(part) => part.1 += moved,
                None => blend.parts.push((to, moved)),
            }
            blend.parts.retain(|p| p.1 > 0.0);
        }
    }

    /// Gives a blend a little of each swatch that it does not have, and goes on from where that leads nearest.
    fn taste(&self, blend: &mut Blend, wanted: Oklab) {
        while blend.parts.len() < MOST_CORNERS {
            let absent = (0..self.0.len()).filter(|i| blend.parts.iter().all(|p| p.0 != *i));
            let with = absent.map(|i| {
                let mut with = blend.clone();
                with.parts.iter_mut().for_each(|p| p.1 *= 1.0 - TASTE);
                with.sum = std::array::from_fn(|k| (1.0 - TASTE) * blend.sum[k] + TASTE * self.0[i][k]);
                with.parts.push((i, TASTE));
                self.polish(&mut with, wanted);
                (delta_ok(Mixing::Pigment.colour(&with.sum).oklab(), wanted), with)
            });
            let here = delta_ok(Mixing::Pigment.colour(&blend.sum).oklab(), wanted);
            match with.min_by(|a, b| a.0.total_cmp(&b.0)) {
                Some((there, with)) if there < here * (1.0 - LEAST_GAIN) => *blend = with,
                _ => return,
            }
        }
    }

    /// Newton's method on the amounts of the swatches that are in a blend, which finds the way along a narrow valley where moving between two
    /// swatches at a time does not.
    fn polish(&self, blend: &mut Blend, wanted: Oklab) {
        let off = |sum: &Latent| {
            let here = Mixing::Pigment.colour(sum).oklab();
            [here.l - wanted.l, here.a - wanted.a, here.b - wanted.b].map(f64::from)
        };
        let size = |off: &[f64; 3]| off.iter().map(|x| x * x).sum::<f64>();
        for _ in 0..NEWTON_STEPS {
            let Some((&(first, first_part), others)) = blend.parts.split_first() else { return };
            let here = off(&blend.sum);
            if size(&here).sqrt() < f64::from(CLOSE_OK) || others.is_empty() {
                return;
            }
            // One row for each other swatch: what a little of it instead of the first changes.
            let mut slopes = [[0.0; 3]; MOST_CORNERS - 1];
            for (slope, &(i, _)) in slopes.iter_mut().zip(others) {
                let there = off(&self.moved(&blend.sum, first, i, PROBE));
                *slope = std::array::from_fn(|k| (there[k] - here[k]) / f64::from(PROBE));
            }
            let dot = |a: &[f64; 3], b: &[f64; 3]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
            let mut normal: Matrix3 = [[0.0; 3]; 3];
            for (i, row) in normal.iter_mut().enumerate() {
                for (j, value) in row.iter_mut().enumerate() {
                    *value = dot(&slopes[i], &slopes[j]) + if i == j { DAMPING } else { 0.0 };
                    // A swatch that is not there has no part in it.
                    if i == j && i >= others.len() {
                        *value = 1.0;
                    }
                }
            }
            let step = apply(&inverse(&normal), slopes.map(|slope| -dot(&slope, &here)));
            if !step.iter().all(|amount| amount.is_finite()) {
                return;
            }
            // As far as no amount falls below nothing.
            let given: f64 = step.iter().take(others.len()).sum();
            let falls = others.iter().zip(step).map(|(p, step)| (p.1, -step)).chain([(first_part, given)]);
            let far =
                falls.filter(|(_, fall)| *fall > 0.0).map(|(part, fall)| f64::from(part) / fall).fold(1.0, f64::min);
            let moves: Vec<f32> = step.iter().take(others.len()).map(|step| (step * far) as f32).collect();
            let mut next = blend.clone();
            for (place, amount) in moves.into_iter().enumerate() {
                next.sum = self.moved(&next.sum, first, blend.parts[place + 1].0, amount);
                next.parts[place + 1].1 += amount;
                next.parts[0].1 -= amount;
            }
            next.parts.retain(|p| p.1 > 1e-6);
            if size(&off(&next.sum)) >= size(&here) {
                return;
            }
            *blend = next;
        }
    }

    fn moved(&self, sum: &Latent, from: usize, to: usize, amount: f32) -> Latent {
        std::array::from_fn(|i| sum[i] + amount * (self.0[to][i] - self.0[from][i]))
    }
}
