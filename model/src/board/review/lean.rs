//! Do shadows lean the right way for the light of the day?

use super::draft::Draft;
use super::settle::settled;
use super::{Definition, Remark, Rule, with_role, within};
use crate::board::limits::LEAN_MARGIN;
use crate::board::moves::warmed;
use crate::board::{Board, LightOfDay, Role};
use crate::colour::deviation::Deviation;
use crate::colour::warmth::warmer_by;

/// How far inside the margin an offer leads.
const CLEAR_OKLAB: f32 = 0.0005;

/// [`Rule::ShadowLean`].
pub(super) const SHADOW_LEAN: Definition = Definition {
    words: "shadow leans the wrong way",
    unit: "OKLab along the warmth axis",
    find: shadow_lean,
    draft: |board, remark, _| drafts(board, remark),
    settles: true,
    about_warmth: true,
    #[cfg(test)]
    boards: tests::boards,
};

/// Shadows warmer than their light under a warm light, cooler under a cool one.
fn shadow_lean(board: &Board) -> Vec<Remark> {
    // +1 where a warmer shadow is wrong.
    let (wrong_side, found, wanted) = match board.light {
        LightOfDay::Warm => (1.0, "warmer", "cooler"),
        LightOfDay::Cool => (-1.0, "cooler", "warmer"),
        LightOfDay::Neutral => return Vec::new(),
    };
    let mut remarks = Vec::new();
    for family in &board.families {
        for shadow in with_role(family, Role::Shadow) {
            for light in with_role(family, Role::Light) {
                let wrong_by = wrong_side * warmer_by(shadow.colour, light.colour);
                if wrong_by > LEAN_MARGIN {
                    let degree = Deviation::degree(wrong_by.into()).unwrap_or("a little ");
                    let text = format!(
                        "{} is {degree}{found} than {}: under a {} light shadows are {wanted} than lights; make the \
                         shadow {wanted} or the light {found}",
                        family.swatch_name_and_place(shadow),
                        family.swatch_name_and_place(light),
                        board.light.word()
                    );
                    remarks.push(within(Rule::ShadowLean, family, &[shadow, light], wrong_by, text));
                }
            }
        }
    }
    remarks
}

/// The shadow moved along the warmth axis, the light moved the other way, both by half, or the family settled where sRGB holds
/// no such warmth at their values.
fn drafts(board: &Board, remark: &Remark) -> Vec<Draft> {
    let [shadow, light] = remark.swatches.as_slice() else {
        return Vec::new();
    };
    let (Some(shadow), Some(light)) = (board.swatch(*shadow), board.swatch(*light)) else {
        return Vec::new();
    };
    let warmer = warmer_by(shadow.colour, light.colour);
    let by = -warmer.signum() * (warmer.abs() - LEAN_MARGIN + CLEAR_OKLAB);
    let shares = [(1.0, 0.0), (0.0, 1.0), (0.5, 0.5)];
    let moved = shares.into_iter().filter_map(|(of_shadow, of_light)| {
        let moved = [(shadow, of_shadow), (light, -of_light)].into_iter().filter(|(_, share)| *share != 0.0);
        moved.into_iter().try_fold(board.clone(), |board, (swatch, share)| {
            board.with_colour(swatch.id, warmed(swatch.colour, by * share)).ok()
        })
    });
    let settled = remark.families.iter().map(|&family| settled(board, family));
    moved.chain(settled).map(Draft::moved).collect()
}

#[cfg(test)]
mod tests {
    use super::super::test_boards::{Boards, oklch, recoloured, rules_of, sound_board};
    use super::*;

    pub fn boards() -> Boards {
        Boards {
            breaking: vec![recoloured(0, 0, oklch(0.34, 0.06, 300.0)), recoloured(1, 2, oklch(0.66, 0.04, 70.0))],
            sound: vec![recoloured(0, 0, oklch(0.34, 0.06, 15.0))],
        }
    }

    #[test]
    fn a_cool_shadow_under_a_cool_light() {
        let board = recoloured(0, 0, oklch(0.34, 0.06, 300.0));
        assert_eq!(rules_of(&board), [Rule::ShadowLean]);
        let text = &shadow_lean(&board)[0].text;
        assert!(text.contains("cooler than brick light: under") && !text.contains("0."), "{text}");
        assert!(text.contains("under a cool light shadows are warmer than lights"), "{text}");
    }

    #[test]
    fn the_same_board_under_a_warm_light() {
        // Every surface of the sound board leans the way a cool light wants; a warm one wants the opposite.
        let board = Board { light: LightOfDay::Warm, ..sound_board() };
        assert_eq!(rules_of(&board), [Rule::ShadowLean]);
        let families: Vec<&str> = board.families.iter().map(|f| f.name.as_str()).collect();
        let named: Vec<_> = shadow_lean(&board).iter().map(|r| r.families[0]).collect();
        assert_eq!(named, [board.families[0].id, board.families[1].id], "of {families:?}");
    }
}
