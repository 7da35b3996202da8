//! What was changed from one board to another, in a painter's words.

use super::Rule;
use crate::board::{Board, Family, Swatch};
use crate::colour::deviation::Deviation;
use crate::colour::warmth::warmer_by;

/// A change of less than this, in Munsell value steps, is not told.
const TOLD_MUNSELL: f32 = 0.01;
/// A change of less than this OKLCh chroma or warmth is not told.
const TOLD_OKLAB: f32 = 0.001;
/// More swatches than this are told of as a whole.
const TOLD_SWATCHES: usize = 4;

/// All changes from `before` to `after`, for a remark of `rule`.
pub(super) fn describe(before: &Board, after: &Board, rule: Rule) -> String {
    if let Some(swap) = swapped_roles(before, after) {
        return swap;
    }
    let mut told = Vec::new();
    for family in &before.families {
        if after.family(family.id).is_none() {
            told.push(format!("take {} off the board", family.name));
            continue;
        }
        if let Some(now) = after.family(family.id).filter(|now| now.distance != family.distance) {
            told.push(match now.distance {
                Some(distance) => format!("call {} {}", family.name, distance.word()),
                None => format!("leave open how far {} is", family.name),
            });
        }
        let of_family = family.swatches.iter().filter_map(|swatch| of_swatch(family, swatch, after, rule));
        told.extend(of_family);
    }
    for (family, swatch) in after.swatches().filter(|(_, s)| before.swatch(s.id).is_none()) {
        told.push(format!(
            "add {} of value {:.1}",
            family.swatch_name_and_place(swatch),
            swatch.colour.munsell_value()
        ));
    }
    match told.len() {
        0 => "hardly move anything".to_owned(),
        n if n > TOLD_SWATCHES => format!("{}, and move {} more a little", told[..2].join(", "), n - 2),
        _ => told.join(", and "),
    }
}

/// When nothing but the roles of two swatches was changed, each into that of the other.
fn swapped_roles(before: &Board, after: &Board) -> Option<String> {
    let changed = before.swatches().filter_map(|(family, was)| {
        let now = after.swatch(was.id).filter(|now| *now != was)?;
        Some((family, was, now))
    });
    let changed: Vec<_> = changed.collect();
    let [(one_family, one, one_now), (other_family, other, other_now)] = changed.as_slice() else {
        return None;
    };
    let swapped = one_now.role == other.role && other_now.role == one.role;
    let roles_only = one_now.colour == one.colour && other_now.colour == other.colour;
    let (one, other) = (one_family.swatch_name_and_place(one), other_family.swatch_name_and_place(other));
    (swapped && roles_only).then(|| format!("swap the roles of {one} and {other}"))
}

fn of_swatch(family: &Family, swatch: &Swatch, after: &Board, rule: Rule) -> Option<String> {
    let name = family.swatch_name_and_place(swatch);
    let Some(now) = after.swatch(swatch.id) else {
        return Some(format!("take {name} off the board"));
    };
    let mut told = Vec::new();
    if now.role != swatch.role {
        told.push(format!("make {name} {} {}", article(now.role.word()), now.role.word()));
    }
    if let Some(colour) = of_colour(&name, swatch, now, rule) {
        told.push(colour);
    }
    (!told.is_empty()).then(|| told.join(" and "))
}

fn article(word: &str) -> &'static str {
    if word.starts_with('a') { "an" } else { "a" }
}

/// How far a colour moves, in a word that stands before "warmer".
fn degree(oklab: f32) -> &'static str {
    Deviation::degree(oklab.into()).unwrap_or("a little ")
}

fn of_colour(name: &str, was: &Swatch, now: &Swatch, rule: Rule) -> Option<String> {
    let value = now.colour.munsell_value() - was.colour.munsell_value();
    let warmer = warmer_by(now.colour, was.colour);
    let (chroma, before) = (now.colour.oklch().c, was.colour.oklch().c);
    let lean = (warmer.abs() > TOLD_OKLAB)
        .then(|| format!("{}{}", degree(warmer), if warmer > 0.0 { "warmer" } else { "cooler" }));
    if value.abs() > TOLD_MUNSELL {
        let verb = if value > 0.0 { "lighten" } else { "darken" };
        let (from, to) = (was.colour.munsell_value(), now.colour.munsell_value());
        return Some(format!("{verb} {name} from value {from:.1} to {to:.1}"));
    }
    if (chroma - before).abs() > TOLD_OKLAB && !(rule.definition().about_warmth && lean.is_some()) {
        let verb = if chroma > before { "strengthen" } else { "grey" };
        return Some(match degree(chroma - before) {
            "" => format!("{verb} {name}"),
            degree => format!("{verb} {name} {}", degree.trim_end()),
        });
    }
    lean.map(|lean| format!("make {name} {lean}"))
}
