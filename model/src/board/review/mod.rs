//! The review: what a careful colourist would question about a board, and why.
//!
//! Remarks advise; they never block. Every rule is common practice among painters with no published source. Values are Munsell's
//! 0-10 here, because remarks are read by people.
//!
//! A rule is one file with a [`Definition`] in it and one line in the table of [`rules!`](Rule) below. Thresholds that more than
//! one module needs are in [`limits`](super::limits); the others stand beside their rule. [`offers`] says for each remark what
//! would satisfy it.

mod alike;
mod count;
mod describe;
#[cfg(test)]
mod dismissed_tests;
mod distance;
mod draft;
mod extremes;
mod garish;
mod lean;
mod offer;
#[cfg(test)]
mod offer_tests;
mod overlap;
mod roles;
mod saturation;
mod settle;
#[cfg(test)]
pub(super) mod test_boards;
mod values;

use super::{Board, Family, Role, Swatch};
use crate::ids::{FamilyId, SwatchId};
use draft::Draft;
use serde::{Deserialize, Serialize};

pub use offer::{MAX_OFFERS, MAX_SWATCHES_FOR_OFFERS, Offer, offers};

/// Makes of the table of all rules [`Rule`], [`Rule::ALL`] and the way from a rule to its [`Definition`].
macro_rules! rules {
    ($($(#[$doc:meta])* $rule:ident => $definition:path,)+) => {
        /// What a remark is about. Files know a rule by its name in kebab-case.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
        #[serde(rename_all = "kebab-case")]
        pub enum Rule {
            $($(#[$doc])* $rule,)+
        }

        impl Rule {
            /// Every rule, in the order of [`review`].
            pub const ALL: &[Rule] = &[$(Rule::$rule),+];

            fn definition(self) -> &'static Definition {
                match self {
                    $(Rule::$rule => &$definition,)+
                }
            }
        }
    };
}

// In the order in which a board is put right: first what is there, then values, then colour.
rules! {
    /// More swatches than anyone keeps in mind.
    TooMany => count::TOO_MANY,
    /// A surface lacks its shadow, local or light.
    RoleMissing => roles::ROLE_MISSING,
    /// A light darker than its local, or a local darker than its shadow.
    ValuesOutOfOrder => values::OUT_OF_ORDER,
    /// Neighbouring roles of a surface with almost the same value.
    ValuesTooClose => values::TOO_CLOSE,
    /// A swatch with no room below.
    NearBlack => extremes::NEAR_BLACK,
    /// A swatch with no room above.
    NearWhite => extremes::NEAR_WHITE,
    /// A strong colour at the edge of what a screen shows.
    Garish => garish::GARISH,
    /// A local less saturated than both its shadow and its light.
    LocalDull => saturation::LOCAL_DULL,
    /// A shadow on the wrong side of its light for the light of the day.
    ShadowLean => lean::SHADOW_LEAN,
    /// Two swatches that cannot be told apart.
    Alike => alike::ALIKE,
    /// Two surfaces whose swatches are of one hue and chroma wherever they are of one value.
    FamiliesOverlap => overlap::FAMILIES_OVERLAP,
    /// A farther surface that is not cooler than the nearer ones.
    DistanceNotCooler => distance::NOT_COOLER,
}

/// All that makes a rule.
struct Definition {
    /// Its name on screen, lower case.
    words: &'static str,
    /// What [`Remark::figure`] is a number of.
    unit: &'static str,
    /// The remarks on a board, all of them of this rule.
    find: fn(&Board) -> Vec<Remark>,
    /// Changes that may satisfy one of those remarks. A swatch that is added must get none of the ids given, as in
    /// [`Board::with_swatch`].
    draft: fn(&Board, &Remark, &[SwatchId]) -> Vec<Draft>,
    /// Whether it looks at one family alone and [`settled`](settle::settled) always satisfies it.
    settles: bool,
    /// Whether an offer is told by the change of warmth, where chroma changes as well.
    about_warmth: bool,
    /// Boards that its tests, and the tests over all rules, try it on.
    #[cfg(test)]
    boards: fn() -> test_boards::Boards,
}

impl Rule {
    /// The words for this rule.
    pub fn words(self) -> &'static str {
        self.definition().words
    }

    /// What [`Remark::figure`] is a number of.
    pub fn unit(self) -> &'static str {
        self.definition().unit
    }
}

/// What a remark is about: the same rule, swatches and families make the same remark, whatever its figure is today.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Subject {
    /// The rule that made the remark.
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

/// The remarks on `board` that are not dismissed, in the order of [`Rule::ALL`]; none for a sound board.
pub fn review(board: &Board) -> Vec<Remark> {
    let mut remarks = review_all(board);
    remarks.retain(|remark| !board.dismissed.contains(&remark.subject()));
    remarks
}

/// Swatches of the largest board whose colours are reviewed. Beyond, swatches are held against each other by the million; such a board
/// is told that it is too large, and nothing else.
pub const MAX_SWATCHES_REVIEWED: usize = 400;

/// All remarks on `board`, also the dismissed ones.
pub fn review_all(board: &Board) -> Vec<Remark> {
    let large = board.swatches().count() > MAX_SWATCHES_REVIEWED;
    let rules = Rule::ALL.iter().filter(|rule| !large || **rule == Rule::TooMany);
    rules.flat_map(|rule| (rule.definition().find)(board)).collect()
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
    use super::test_boards::{rules_of, sound_board};
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

    /// Before, each of these boards kept the review busy for most of a minute.
    #[test]
    fn a_huge_board_gets_one_short_remark_and_no_offer() {
        for families in [1, 3_334] {
            let mut board = sound_board();
            let family = board.families[0].clone();
            board.families.truncate(1);
            for i in 0..10_000_u32 {
                let swatch = Swatch { id: SwatchId(1000 + i), ..family.swatches[i as usize % 3].clone() };
                let place = i as usize / 3 % families;
                if place == board.families.len() {
                    let id = FamilyId(1000 + place as u32);
                    board.families.push(Family {
                        id,
                        name: format!("wall {place}"),
                        swatches: Vec::new(),
                        ..family.clone()
                    });
                }
                board.families[place].swatches.push(swatch);
            }
            let [remark] = review(&board).try_into().unwrap_or_else(|r: Vec<_>| panic!("{} remarks", r.len()));
            assert_eq!(remark.rule, Rule::TooMany);
            assert!(remark.text.len() < 500, "{}", remark.text);
            assert!(offers(&board, &remark, &[]).is_empty());
        }
    }

    #[test]
    fn every_rule_reports_as_itself() {
        // A board that breaks most rules at once: every remark comes from the definition listed under its rule.
        let mut board = sound_board();
        for family in &mut board.families {
            for swatch in &mut family.swatches {
                swatch.colour = crate::colour::Colour::new(1.0, 0.0, 0.0);
            }
        }
        for rule in Rule::ALL {
            assert!((rule.definition().find)(&board).iter().all(|remark| remark.rule == *rule), "{rule:?}");
        }
        assert!(rules_of(&board).len() >= 3);
    }
}
