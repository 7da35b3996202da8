//! Can every surface be told from the others?
//!
//! Two surfaces may have swatches that all differ, and still read as one: when their values interleave and, wherever they are
//! of one value, they are of one hue and chroma too. So each family is taken as a ramp, its swatches joined in the order of
//! their values, and two ramps are compared at equal values. Common practice, no published source.

use super::draft::Draft;
use super::{Definition, Remark, Rule};
use crate::bisect::least_amount;
use crate::board::limits::TOLD_APART_CIEDE2000;
use crate::board::moves::{at_value, turned, warmed, with_chroma};
use crate::board::{Board, Family, Role};
use crate::colour::deviation::Deviation;
use crate::colour::difference::ciede2000;
use crate::colour::{Colour, Lab};

/// Below this mean CIEDE2000 at equal values two surfaces read as one. Higher than
/// [`TOLD_APART_CIEDE2000`], because surfaces are told apart across a picture and not swatch beside swatch.
const SURFACES_APART_CIEDE2000: f64 = 4.0;
/// Surfaces that share less than this of the values of the one with the narrower range are told apart by their values.
const OVERLAP_SHARE_OF_VALUES: f64 = 2.0 / 3.0;
/// A family with a narrower range of L* has no ramp to compare.
const MIN_RANGE_L_STAR: f64 = 5.0;
/// Ramps are compared at this many values, evenly from the lowest to the highest they share.
const COMPARED_VALUES: u8 = 9;
/// How far past the limit an offer leads.
const CLEAR_CIEDE2000: f64 = 0.05;

/// The swatches of a surface by value. Accents are no part of it.
struct Ramp<'a> {
    family: &'a Family,
    /// Lowest L* first, at least two.
    places: Vec<Lab>,
}

impl<'a> Ramp<'a> {
    /// None for a family of fewer than two values.
    fn of(family: &'a Family) -> Option<Self> {
        let surface = family.swatches.iter().filter(|s| s.role != Role::Accent);
        let mut places: Vec<Lab> = surface.map(|s| s.colour.lab()).collect();
        places.sort_by(|one, other| one.l.total_cmp(&other.l));
        let ramp = Ramp { family, places };
        let [low, high] = ramp.range()?;
        (high - low >= MIN_RANGE_L_STAR).then_some(ramp)
    }

    fn range(&self) -> Option<[f64; 2]> {
        Some([self.places.first()?.l, self.places.last()?.l])
    }

    /// The place on the ramp at this L*, by straight lines in L*a*b*; the nearer end outside.
    fn at(&self, l: f64) -> Lab {
        let above = self.places.partition_point(|p| p.l < l).clamp(1, self.places.len() - 1);
        let (low, high) = (self.places[above - 1], self.places[above]);
        let t = if high.l > low.l { ((l - low.l) / (high.l - low.l)).clamp(0.0, 1.0) } else { 0.0 };
        Lab { l, a: low.a + t * (high.a - low.a), b: low.b + t * (high.b - low.b) }
    }

    /// Whether each swatch of `self` has one of `other` that it cannot be told from: that is said swatch by swatch.
    fn is_told_of(&self, other: &Ramp<'_>) -> bool {
        self.places.iter().all(|one| other.places.iter().any(|two| ciede2000(*one, *two) < TOLD_APART_CIEDE2000))
    }
}

/// The mean CIEDE2000 of two surfaces at the values they share; none when they share too few, or too few of them.
fn apart(one: &Ramp<'_>, other: &Ramp<'_>) -> Option<f64> {
    let ([low, high], [other_low, other_high]) = (one.range()?, other.range()?);
    let (from, to) = (low.max(other_low), high.min(other_high));
    let narrower = (high - low).min(other_high - other_low);
    if to - from < OVERLAP_SHARE_OF_VALUES * narrower {
        return None;
    }
    let step = (to - from) / f64::from(COMPARED_VALUES - 1);
    let values = (0..COMPARED_VALUES).map(|i| from + step * f64::from(i));
    Some(values.map(|l| ciede2000(one.at(l), other.at(l))).sum::<f64>() / f64::from(COMPARED_VALUES))
}

/// How far apart two families are as surfaces; none when they are told apart, or told of swatch by swatch.
fn too_near(one: &Ramp<'_>, other: &Ramp<'_>) -> Option<f64> {
    let apart = apart(one, other).filter(|&apart| apart < SURFACES_APART_CIEDE2000)?;
    (!one.is_told_of(other) && !other.is_told_of(one)).then_some(apart)
}

/// [`Rule::FamiliesOverlap`].
pub(super) const FAMILIES_OVERLAP: Definition = Definition {
    words: "surfaces overlap",
    unit: "CIEDE2000",
    find: families_overlap,
    draft: |board, remark, _| drafts(board, remark),
    settles: false,
    about_warmth: false,
    #[cfg(test)]
    boards: tests::boards,
};

/// Surfaces that read as one with a surface before them. Each is held against the nearest of those only.
fn families_overlap(board: &Board) -> Vec<Remark> {
    let ramps: Vec<Ramp<'_>> = board.families.iter().filter_map(Ramp::of).collect();
    let mut remarks = Vec::new();
    for (i, ramp) in ramps.iter().enumerate() {
        let near = ramps[..i].iter().filter_map(|before| Some((too_near(before, ramp)?, before)));
        let Some((apart, before)) = near.min_by(|(one, _), (other, _)| one.total_cmp(other)) else {
            continue;
        };
        let text = format!(
            "{} and {} read as one surface where their values are equal: nothing but their edges tells them apart; move \
             one in hue, warmth or chroma, or give it other values",
            ramp.family.name, before.family.name
        );
        let families = vec![before.family.id, ramp.family.id];
        #[expect(clippy::cast_possible_truncation, reason = "a figure in single precision")]
        let figure = apart as f32;
        remarks.push(Remark { rule: Rule::FamiliesOverlap, swatches: Vec::new(), families, figure, text });
    }
    remarks
}

/// A way in which a whole surface is moved.
struct Move {
    /// What is done with the family: before its name, before the amount, after it.
    words: [&'static str; 3],
    /// Farthest amount.
    most: f32,
    /// A colour moved by an amount.
    moved: fn(Colour, f32) -> Colour,
}

/// Farthest in warmth and in chroma, OKLab units.
const MAX_MOVE_OKLAB: f32 = 0.08;
/// Farthest turn, degrees.
const MAX_TURN_DEGREES: f32 = 40.0;
/// Farthest in Munsell values.
const MAX_MOVE_MUNSELL: f32 = 4.0;

const MOVES: [Move; 8] = [
    Move { words: ["make", "warmer", ""], most: MAX_MOVE_OKLAB, moved: |c, by| warmed(c, by) },
    Move { words: ["make", "cooler", ""], most: MAX_MOVE_OKLAB, moved: |c, by| warmed(c, -by) },
    Move { words: ["make", "stronger", ""], most: MAX_MOVE_OKLAB, moved: |c, by| stronger(c, by) },
    Move { words: ["make", "greyer", ""], most: MAX_MOVE_OKLAB, moved: |c, by| stronger(c, -by) },
    Move { words: ["turn", "by", " degrees towards yellow"], most: MAX_TURN_DEGREES, moved: |c, by| yellower(c, by) },
    Move {
        words: ["turn", "by", " degrees away from yellow"],
        most: MAX_TURN_DEGREES,
        moved: |c, by| yellower(c, -by),
    },
    Move { words: ["lighten", "by", " value steps"], most: MAX_MOVE_MUNSELL, moved: |c, by| lighter(c, by) },
    Move { words: ["darken", "by", " value steps"], most: MAX_MOVE_MUNSELL, moved: |c, by| lighter(c, -by) },
];

fn stronger(colour: Colour, by: f32) -> Colour {
    with_chroma(colour, colour.oklch().c + by)
}

fn lighter(colour: Colour, by: f32) -> Colour {
    at_value(colour, colour.munsell_value() + by)
}

/// OKLCh hue of sRGB yellow, degrees.
const YELLOW_DEGREES: f32 = 110.0;

/// Turned by so many degrees along the shorter way to yellow.
fn yellower(colour: Colour, degrees: f32) -> Colour {
    let away = (YELLOW_DEGREES - colour.oklch().h_degrees).rem_euclid(360.0);
    turned(colour, if away < 180.0 { degrees } else { -degrees })
}

/// One of the two surfaces moved as a whole by the least that tells them apart, or deleted.
fn drafts(board: &Board, remark: &Remark) -> Vec<Draft> {
    let [one, other] = remark.families.as_slice() else {
        return Vec::new();
    };
    let mut drafts = Vec::new();
    for (id, other) in [(other, one), (one, other)] {
        let (Some(family), Some(other)) = (board.family(*id), board.family(*other).and_then(Ramp::of)) else {
            continue;
        };
        for way in &MOVES {
            let moved = |by: f32| {
                let mut moved = family.clone();
                for swatch in moved.swatches.iter_mut().filter(|s| s.role != Role::Accent) {
                    swatch.colour = (way.moved)(swatch.colour, by);
                }
                moved
            };
            let told_apart = |by: f32| {
                let moved = moved(by);
                let apart = Ramp::of(&moved).and_then(|ramp| apart(&ramp, &other));
                apart.is_none_or(|apart| apart >= SURFACES_APART_CIEDE2000 + CLEAR_CIEDE2000)
            };
            let Some(by) = least_amount(way.most, told_apart) else {
                continue;
            };
            let mut after = board.clone();
            let moved = moved(by);
            if let Some(place) = after.families.iter_mut().find(|f| f.id == moved.id) {
                *place = moved;
            }
            let [verb, then, unit] = way.words;
            let name = &family.name;
            let words = match Deviation::degree(by.into()).unwrap_or("a little ") {
                // Differences in OKLab units are told in words.
                degree if way.most <= MAX_MOVE_OKLAB => format!("{verb} all of {name} {degree}{then}"),
                _ => format!("{verb} all of {name} {then} {by:.1}{unit}"),
            };
            drafts.push(Draft { words: Some(words), ..Draft::moved(after) });
        }
        drafts.extend(board.without_family(*id).ok().map(Draft::removing));
    }
    drafts
}

#[cfg(test)]
mod tests {
    use super::super::offers;
    use super::super::test_boards::{Boards, changed, oklch, rules_of, sound_board};
    use super::*;
    use crate::board::Swatch;
    use crate::ids::{FamilyId, SwatchId};

    /// The sound board with a rust of nearly the hues of its brick, its values between those of brick; turned and lightened.
    fn with_rust(turn_degrees: f32, lighter: f32) -> Board {
        let planned = [
            (Role::Shadow, [0.40, 0.062, 43.0]),
            (Role::Local, [0.52, 0.083, 36.0]),
            (Role::Light, [0.635, 0.045, 12.0]),
        ];
        let swatch = |(i, (role, [l, c, h])): (usize, (Role, [f32; 3]))| {
            let colour = oklch(l + lighter, c, h + turn_degrees);
            Swatch { id: SwatchId(90 + i as u32), role, name: String::new(), colour }
        };
        let swatches = planned.into_iter().enumerate().map(swatch).collect();
        changed(|board| board.families.push(Family { swatches, ..Family::new(FamilyId(9), "rust") }))
    }

    pub fn boards() -> Boards {
        Boards { breaking: vec![with_rust(0.0, 0.0)], sound: vec![with_rust(35.0, 0.0), with_rust(0.0, 0.22)] }
    }

    #[test]
    fn swatches_that_differ_but_interleave_on_one_ramp() {
        let board = with_rust(0.0, 0.0);
        assert_eq!(rules_of(&board), [Rule::FamiliesOverlap]);
        let remark = &families_overlap(&board)[0];
        assert_eq!(remark.families, [FamilyId(1), FamilyId(9)]);
        assert!(
            remark.text.starts_with("rust and brick read as one surface where their values are equal: "),
            "{}",
            remark.text
        );
        assert!(f64::from(remark.figure) < SURFACES_APART_CIEDE2000);
    }

    #[test]
    fn another_hue_or_other_values_tell_surfaces_apart() {
        assert_eq!(rules_of(&with_rust(35.0, 0.0)), []);
        assert_eq!(rules_of(&with_rust(0.0, 0.22)), []);
    }

    #[test]
    fn what_is_said_swatch_by_swatch_is_not_repeated() {
        let mut board = sound_board();
        let mut copy = board.families[0].clone();
        copy.id = FamilyId(9);
        for (i, swatch) in copy.swatches.iter_mut().enumerate() {
            swatch.id = SwatchId(90 + i as u32);
        }
        board.families.push(copy);
        assert_eq!(rules_of(&board), [Rule::Alike]);
    }

    #[test]
    fn the_offer_moves_one_surface_as_a_whole() {
        let board = with_rust(0.0, 0.0);
        let offers = offers(&board, &families_overlap(&board)[0], &[]);
        assert!(offers[0].words.contains(" of rust") || offers[0].words.contains(" of brick"), "{}", offers[0].words);
        assert_eq!(rules_of(&offers[0].board), []);
    }
}
