//! The review: what a careful colourist would question about a board, and why.
//!
//! Remarks advise; they never block. Every rule is common practice among painters with no published source, and its
//! threshold is a named constant beside it. Values are Munsell's 0-10 here, because remarks are read by people.
//!
//! | rule | question | file |
//! | --- | --- | --- |
//! | [`Rule::RoleMissing`] | has every surface a shadow, a local and a light? | `roles` |
//! | [`Rule::ValuesOutOfOrder`], [`Rule::ValuesTooClose`] | do they step from dark to light? | `values` |
//! | [`Rule::NearBlack`], [`Rule::NearWhite`] | does anything leave no room below or above? | `extremes` |
//! | [`Rule::Garish`] | is anything as strong as a screen can make it? | `garish` |
//! | [`Rule::LocalDull`] | is the surface's own colour its most saturated? | `saturation` |
//! | [`Rule::Alike`] | can every swatch be told from the others? | `alike` |
//! | [`Rule::ShadowLean`] | do shadows lean the right way for the light of the day? | `lean` |
//! | [`Rule::FamiliesOverlap`] | can every surface be told from the others? | `overlap` |
//! | [`Rule::DistanceNotCooler`] | does what is far look cooler than what is near? | `distance` |
//! | [`Rule::TooMany`] | is the board small? | `count` |
//!
//! [`offers`] says for each remark what would satisfy it.

mod alike;
mod count;
mod describe;
#[cfg(test)]
mod dismissed_tests;
mod distance;
mod extremes;
mod garish;
mod lean;
mod offer;
#[cfg(test)]
mod offer_tests;
mod overlap;
mod roles;
#[cfg(test)]
pub(super) mod sample;
#[cfg(test)]
mod sample_boards;
mod saturation;
mod settle;
mod values;

use super::{Board, Family, Role, Swatch};
use crate::ids::{FamilyId, SwatchId};
use serde::{Deserialize, Serialize};

pub use alike::TOLD_APART_CIEDE2000;
pub use count::ENOUGH_SWATCHES;
pub use distance::{DISTANCE_CHROMA_MARGIN, DISTANCE_COOLS_BY, DISTANCE_VALUES_MARGIN_MUNSELL};
pub use extremes::{NEAR_BLACK_MUNSELL, NEAR_WHITE_MUNSELL};
pub use garish::{GARISH_CHROMA, GARISH_SHARE_OF_GAMUT};
pub use lean::LEAN_MARGIN;
pub use offer::{MOST_OFFERS, MOST_SWATCHES_FOR_OFFERS, Offer, offers};
pub use overlap::{OVERLAP_SHARE_OF_VALUES, SURFACES_APART_CIEDE2000};
pub use saturation::DULL_MARGIN;
pub use values::CLOSE_VALUES_MUNSELL;

/// What a remark is about.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rule {
    /// A surface lacks its shadow, local or light.
    RoleMissing,
    /// A light darker than its local, or a local darker than its shadow.
    ValuesOutOfOrder,
    /// Neighbouring roles of a surface with almost the same value.
    ValuesTooClose,
    /// A swatch with no room below.
    NearBlack,
    /// A swatch with no room above.
    NearWhite,
    /// A strong colour at the edge of what a screen shows.
    Garish,
    /// A local less saturated than both its shadow and its light.
    LocalDull,
    /// Two swatches that cannot be told apart.
    Alike,
    /// A shadow on the wrong side of its light for the light of the day.
    ShadowLean,
    /// Two surfaces whose swatches are of one hue and chroma wherever they are of one value.
    FamiliesOverlap,
    /// A farther surface that is not cooler than the nearer ones.
    DistanceNotCooler,
    /// More swatches than anyone keeps in mind.
    TooMany,
}

impl Rule {
    /// The words for this rule.
    pub fn words(self) -> &'static str {
        match self {
            Rule::RoleMissing => "role missing",
            Rule::ValuesOutOfOrder => "values out of order",
            Rule::ValuesTooClose => "values too close",
            Rule::NearBlack => "near black",
            Rule::NearWhite => "near white",
            Rule::Garish => "garish",
            Rule::LocalDull => "dull local",
            Rule::Alike => "alike",
            Rule::ShadowLean => "shadow leans the wrong way",
            Rule::FamiliesOverlap => "surfaces overlap",
            Rule::DistanceNotCooler => "distance not cooler",
            Rule::TooMany => "too many swatches",
        }
    }

    /// What [`Remark::figure`] is a number of.
    pub fn unit(self) -> &'static str {
        match self {
            Rule::RoleMissing => "roles",
            Rule::ValuesOutOfOrder | Rule::ValuesTooClose => "Munsell value steps between the two",
            Rule::NearBlack | Rule::NearWhite => "Munsell value",
            Rule::Garish => "share of the chroma of sRGB",
            Rule::LocalDull => "OKLCh chroma",
            Rule::Alike | Rule::FamiliesOverlap => "CIEDE2000",
            Rule::ShadowLean | Rule::DistanceNotCooler => "OKLab along the warmth axis",
            Rule::TooMany => "swatches",
        }
    }
}

/// What a remark is about: the same rule, swatches and families make the same remark, whatever its figure is today.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Subject {
    /// The rule.
    pub rule: Rule,
    /// The swatches, as in [`Remark::swatches`].
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub swatches: Vec<SwatchId>,
    /// The families, as in [`Remark::families`].
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub families: Vec<FamilyId>,
}

/// One thing to question.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Remark {
    /// Which rule it comes from.
    pub rule: Rule,
    /// The swatches it is about, the one to change first; empty when it is about a whole family or the board.
    pub swatches: Vec<SwatchId>,
    /// The families it is about, each once, in board order; empty when it is about the board.
    pub families: Vec<FamilyId>,
    /// What was measured, as in the text; [`Rule::unit`] says what it is a number of.
    pub figure: f32,
    /// What was found, with its figure, what is usual and what to try, in a painter's words.
    pub text: String,
}

impl Remark {
    /// What it is about, to be dismissed.
    pub fn subject(&self) -> Subject {
        Subject { rule: self.rule, swatches: self.swatches.clone(), families: self.families.clone() }
    }
}

/// Looks for what breaks one rule.
pub type Look = fn(&Board) -> Vec<Remark>;

/// Every rule with the function that looks for it, in the order in which a board is put right: first what is there,
/// then values, then colour.
pub const RULES: [(Rule, Look); 12] = [
    (Rule::TooMany, count::too_many),
    (Rule::RoleMissing, roles::role_missing),
    (Rule::ValuesOutOfOrder, values::out_of_order),
    (Rule::ValuesTooClose, values::too_close),
    (Rule::NearBlack, extremes::near_black),
    (Rule::NearWhite, extremes::near_white),
    (Rule::Garish, garish::garish),
    (Rule::LocalDull, saturation::local_dull),
    (Rule::ShadowLean, lean::shadow_lean),
    (Rule::Alike, alike::alike),
    (Rule::FamiliesOverlap, overlap::families_overlap),
    (Rule::DistanceNotCooler, distance::not_cooler),
];

/// The remarks on `board` that are not dismissed, in the order of [`RULES`]; none for a sound board.
pub fn review(board: &Board) -> Vec<Remark> {
    let mut remarks = review_all(board);
    remarks.retain(|remark| !board.dismissed.contains(&remark.subject()));
    remarks
}

/// All remarks on `board`, also the dismissed ones.
pub fn review_all(board: &Board) -> Vec<Remark> {
    RULES.iter().flat_map(|(_, rule)| rule(board)).collect()
}

/// How a remark names a swatch: its own name with family and role behind it, or just these.
fn called(family: &Family, swatch: &Swatch) -> String {
    let place = format!("{} {}", family.name, swatch.role.word());
    if swatch.name.is_empty() { place } else { format!("{} ({place})", swatch.name) }
}

/// A remark about swatches of one family.
fn within(rule: Rule, family: &Family, swatches: &[&Swatch], figure: f32, text: String) -> Remark {
    Remark { rule, swatches: swatches.iter().map(|s| s.id).collect(), families: vec![family.id], figure, text }
}

/// All swatches of a family with this role.
fn with_role(family: &Family, role: Role) -> impl Iterator<Item = &Swatch> {
    family.swatches.iter().filter(move |s| s.role == role)
}

#[cfg(test)]
mod tests {
    use super::sample::{rules_of, sound_board};
    use super::*;
    use crate::board::LightOfDay;

    #[test]
    fn a_sound_board_gets_no_remark() {
        assert_eq!(review(&sound_board()), []);
        let neutral = Board { light: LightOfDay::Neutral, ..sound_board() };
        assert_eq!(review(&neutral), []);
    }

    #[test]
    fn an_empty_board_gets_no_remark() {
        assert_eq!(review(&Board::new("empty", LightOfDay::Warm)), []);
    }

    #[test]
    fn every_rule_is_listed_once_and_reports_as_itself() {
        let mut listed: Vec<Rule> = RULES.iter().map(|(rule, _)| *rule).collect();
        listed.sort();
        listed.dedup();
        assert_eq!(listed.len(), RULES.len());
        // A board that breaks most rules at once: every remark comes from the function listed under its rule.
        let mut board = sound_board();
        for family in &mut board.families {
            for swatch in &mut family.swatches {
                swatch.colour = crate::colour::Colour::new(1.0, 0.0, 0.0);
            }
        }
        for (rule, look) in RULES {
            assert!(look(&board).iter().all(|remark| remark.rule == rule), "{rule:?}");
        }
        assert!(rules_of(&board).len() >= 3);
    }

    #[test]
    fn a_swatch_with_a_name_is_called_by_it() {
        let mut board = sound_board();
        let family = &mut board.families[0];
        family.swatches[1].name = "wet tile".to_owned();
        assert_eq!(called(family, &family.swatches[1]), "wet tile (brick local)");
        assert_eq!(called(family, &family.swatches[0]), "brick shadow");
    }
}
