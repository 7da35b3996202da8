//! A guess at the light of the day from the colours of a board.
//!
//! Common practice, no published source: a warm light makes lights warmer than shadows, a cool light cooler. So each surface
//! that has both votes by how its lights lean against its shadows; a surface with a wide step in value says more than a flat
//! one, because its light differs more from its shadow.

use super::lean::{Lean, leans};
use super::limits::LEAN_MARGIN;
use super::{Board, LightOfDay};
use crate::colour::deviation::Deviation;

/// From this certainty on a guess that differs from what the board says is worth telling.
pub const SURE_CERTAINTY: f32 = 0.5;
/// A lean, in OKLab units along the warmth axis, that leaves no doubt for its surface; smaller ones count in proportion.
pub const FULL_LEAN_OKLAB: f32 = 0.03;
/// A light that is lighter than its shadow by this many Munsell value steps has full weight.
pub const FULL_STEP_MUNSELL: f32 = 2.0;
/// Least weight of a surface, however flat.
const MIN_WEIGHT: f32 = 0.1;

/// A guess at the light of the day.
#[derive(Clone, PartialEq, Debug)]
pub struct LightGuess {
    /// The light; neutral when surfaces disagree or lean too little.
    pub light: LightOfDay,
    /// How sure, 0 (a mere guess) to 1; see [`SURE_CERTAINTY`].
    pub certainty: f32,
    /// What the guess rests on, in a painter's words, with its figures.
    pub why: String,
}

impl LightGuess {
    /// Whether the guess is sure and is not what the board says.
    pub fn differs_from(&self, board: &Board) -> bool {
        self.certainty >= SURE_CERTAINTY && self.light != board.light
    }
}

/// How one surface votes.
struct Vote<'a> {
    lean: Lean<'a>,
    /// 0-1.
    weight: f32,
}

impl<'a> Vote<'a> {
    fn of(lean: Lean<'a>) -> Self {
        Vote { lean, weight: (lean.rise_munsell() / FULL_STEP_MUNSELL).clamp(MIN_WEIGHT, 1.0) }
    }

    /// -1 for a clear cool light to 1 for a clear warm one.
    fn vote(&self) -> f32 {
        let warmer = self.lean.warmer();
        if warmer.abs() <= LEAN_MARGIN { 0.0 } else { (warmer / FULL_LEAN_OKLAB).clamp(-1.0, 1.0) }
    }
}

/// The light of the day that the shadows and lights of `board` speak for.
///
/// One surface alone gives at most half the certainty, two two thirds, and so on: agreement needs somebody to agree with.
pub fn guess_light(board: &Board) -> LightGuess {
    let votes: Vec<Vote<'_>> = leans(board).into_iter().map(Vote::of).collect();
    let weight: f32 = votes.iter().map(|l| l.weight).sum();
    if votes.is_empty() {
        let why = "no surface has both a shadow and a light to compare".to_owned();
        return LightGuess { light: LightOfDay::Neutral, certainty: 0.0, why };
    }
    let weighted = |figure: fn(&Vote<'_>) -> f32| votes.iter().map(|l| l.weight * figure(l)).sum::<f32>() / weight;
    let (vote, warmer) = (weighted(|l| l.vote()), weighted(|l| l.lean.warmer()));
    // The weight of those that lean at all.
    let speaking = weighted(|l| if l.vote() == 0.0 { 0.0 } else { 1.0 });
    let enough = votes.len() as f32 / (votes.len() as f32 + 1.0);
    let light = match vote {
        _ if warmer.abs() <= LEAN_MARGIN || vote.abs() < SURE_CERTAINTY / 2.0 => LightOfDay::Neutral,
        v if v > 0.0 => LightOfDay::Warm,
        _ => LightOfDay::Cool,
    };
    // Neutral is sure where surfaces do not lean, not where they contradict each other.
    let agreement = if light == LightOfDay::Neutral { 1.0 - speaking } else { vote.abs() };
    LightGuess { light, certainty: agreement * enough, why: why(&votes, light, warmer) }
}

fn why(votes: &[Vote<'_>], light: LightOfDay, warmer: f32) -> String {
    let names = |of: &dyn Fn(f32) -> bool| {
        let named: Vec<&str> = votes.iter().filter(|l| of(l.vote())).map(|l| l.lean.family.name.as_str()).collect();
        crate::printable::listed(&named)
    };
    let count = |of: &dyn Fn(f32) -> bool| votes.iter().filter(|l| of(l.vote())).count();
    let all = votes.len();
    let (warm, cool) = (count(&|v| v > 0.0), count(&|v| v < 0.0));
    let surfaces = if all == 1 { "surface" } else { "surfaces" };
    let found = match light {
        LightOfDay::Warm => format!("lights are warmer than shadows in {warm} of {all} {surfaces}"),
        LightOfDay::Cool => format!("lights are cooler than shadows in {cool} of {all} {surfaces}"),
        LightOfDay::Neutral if warm > 0 && cool > 0 => {
            return format!(
                "surfaces disagree: lights are warmer than shadows in {}, cooler in {}",
                names(&|v| v > 0.0),
                names(&|v| v < 0.0)
            );
        }
        LightOfDay::Neutral => {
            format!("lights hardly lean against shadows in {} of {all} {surfaces}", all - warm - cool)
        }
    };
    let against = match light {
        LightOfDay::Warm => names(&|v| v < 0.0),
        LightOfDay::Cool => names(&|v| v > 0.0),
        LightOfDay::Neutral => String::new(),
    };
    let against = if against.is_empty() { String::new() } else { format!("; not so in {against}") };
    let by = match Deviation::degree(warmer.into()) {
        _ if light == LightOfDay::Neutral => "",
        None | Some("a little ") => ", by a little on average",
        Some("") => ", clearly so on average",
        Some(_) => ", by much on average",
    };
    format!("{found}{by}{against}")
}

#[cfg(test)]
mod tests {
    use super::super::review::test_boards::sound_board;
    use super::*;
    use crate::board::{Family, Role, Swatch};
    use crate::colour::Oklch;
    use crate::ids::{FamilyId, SwatchId};
    use crate::variation::relight::relight;

    /// A board of surfaces, each with the warmth of its shadow and of its light about a grey.
    fn leaning(warmths: &[[f32; 2]]) -> Board {
        let mut board = Board::new("test", LightOfDay::Neutral);
        for (i, pair) in warmths.iter().enumerate() {
            let mut family = Family::new(FamilyId(i as u32 + 1), &format!("wall {}", i + 1));
            for (k, (role, l)) in [(Role::Shadow, 0.35), (Role::Light, 0.65)].into_iter().enumerate() {
                let warm = pair[k];
                let h_degrees = if warm < 0.0 { 260.06 } else { 80.06 };
                let colour = Oklch { l, c: warm.abs(), h_degrees }.colour();
                family.swatches.push(Swatch {
                    id: SwatchId((2 * i + k) as u32 + 1),
                    role,
                    name: String::new(),
                    colour,
                });
            }
            board.families.push(family);
        }
        board
    }

    #[test]
    fn known_leans_are_told() {
        for (sign, light) in [(1.0, LightOfDay::Warm), (-1.0, LightOfDay::Cool)] {
            let guess =
                guess_light(&leaning(&[[-0.02 * sign, 0.03 * sign], [0.0, 0.05 * sign], [0.01 * sign, 0.05 * sign]]));
            assert_eq!((guess.light, guess.certainty), (light, 0.75), "{guess:?}");
            assert!(guess.why.contains("in 3 of 3 surfaces"), "{}", guess.why);
        }
        let one = guess_light(&leaning(&[[-0.02, 0.03]]));
        assert_eq!((one.light, one.certainty), (LightOfDay::Warm, 0.5));
    }

    #[test]
    fn flat_and_quarrelling_boards_are_neutral() {
        let flat = guess_light(&leaning(&[[0.02, 0.023], [-0.01, -0.012], [0.0, 0.0]]));
        assert_eq!((flat.light, flat.certainty), (LightOfDay::Neutral, 0.75), "{flat:?}");
        let quarrel = guess_light(&leaning(&[[-0.03, 0.03], [0.03, -0.03]]));
        assert_eq!((quarrel.light, quarrel.certainty), (LightOfDay::Neutral, 0.0), "{quarrel:?}");
        assert!(quarrel.why.contains("warmer than shadows in wall 1, cooler in wall 2"), "{}", quarrel.why);
        let empty = guess_light(&Board::new("empty", LightOfDay::Warm));
        assert_eq!((empty.light, empty.certainty), (LightOfDay::Neutral, 0.0));
    }

    #[test]
    fn the_board_under_a_cool_light_says_so() {
        let board = sound_board();
        let guess = guess_light(&board);
        assert_eq!(guess.light, LightOfDay::Cool, "{guess:?}");
        assert!(guess.certainty > SURE_CERTAINTY && !guess.differs_from(&board), "{guess:?}");
        assert!(guess.differs_from(&Board { light: LightOfDay::Warm, ..board }));
    }

    #[test]
    fn one_light_over_everything_does_not_make_a_lean() {
        // A lamp tints shadows and lights alike: the guess rests on the difference of the two.
        let board = leaning(&[[0.0, 0.0], [0.0, 0.0]]);
        let Ok(lamp) = relight(&board, 4500.0) else { panic!("4500 K is in range") };
        assert_ne!(guess_light(&lamp.board).light, LightOfDay::Cool);
    }
}
