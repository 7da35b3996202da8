//! Every rule and every offer, on boards that break one rule each and on boards made at random.

use super::test_boards::{Boards, rules_of, sound_board};
use super::*;
use crate::board::check::check;
use crate::board::{Distance, LightOfDay};
use crate::colour::{Colour, Oklch};
use proptest::prelude::*;
use std::collections::HashSet;

fn boards_of_all_rules() -> impl Iterator<Item = (Rule, Boards)> {
    Rule::ALL.iter().map(|rule| (*rule, (rule.definition().boards)()))
}

fn subjects(board: &Board) -> HashSet<Subject> {
    review_all(board).iter().map(Remark::subject).collect()
}

#[test]
fn every_rule_has_a_board_that_breaks_it_alone_and_one_that_does_not() {
    for (rule, Boards { breaking, sound }) in boards_of_all_rules() {
        assert!(!breaking.is_empty() && !sound.is_empty(), "{rule:?}");
        for board in breaking {
            assert_eq!(rules_of(&board), [rule], "{:?}", review(&board));
        }
        for board in sound {
            assert_eq!(rules_of(&board), [], "a sound board for {rule:?}: {:?}", review(&board));
        }
    }
}

#[test]
fn every_offer_on_these_boards_leaves_a_board_without_remark() {
    for (rule, Boards { breaking, .. }) in boards_of_all_rules() {
        for board in breaking {
            for remark in review(&board) {
                let offers = offers(&board, &remark, &[SwatchId(500)]);
                assert!((1..=MAX_OFFERS).contains(&offers.len()), "{rule:?}: {offers:?}");
                for offer in offers {
                    println!("{}: {}", remark.text, offer.words);
                    assert!(!offer.words.is_empty() && check(&offer.board).is_ok());
                    let (before, after) = (subjects(&board), subjects(&offer.board));
                    assert!(!after.contains(&remark.subject()), "{rule:?}, {}", offer.words);
                    assert!(after.is_subset(&before), "{rule:?}, {}: {:?}", offer.words, review(&offer.board));
                    let new = offer.board.swatches().filter(|(_, s)| board.swatch(s.id).is_none());
                    assert!(new.into_iter().all(|(_, s)| s.id > SwatchId(500)), "{}", offer.words);
                }
            }
        }
    }
}

#[test]
fn a_remark_of_another_board_gets_no_offer() {
    let board = (Rule::NearBlack.definition().boards)().breaking.remove(0);
    let remark = &review(&board)[0];
    assert_eq!(offers(&sound_board(), remark, &[]), []);
}

#[test]
fn a_figure_is_the_number_in_the_text_or_told_in_words() {
    for (rule, Boards { breaking, .. }) in boards_of_all_rules() {
        for remark in breaking.iter().flat_map(review) {
            let figure = remark.figure;
            let said = [0, 1, 2, 3].map(|digits| format!("{:.digits$}", figure.abs()));
            let percent = format!("{:.0} %", 100.0 * figure);
            // Names say which roles are missing, colours outside sRGB are told by their chroma, and warmth, strength and
            // difference of colours in words.
            let in_words = rule == Rule::RoleMissing
                || (rule == Rule::Garish && figure > 1.0)
                || ["OKLab along the warmth axis", "OKLCh chroma", "CIEDE2000"].contains(&rule.unit());
            let found = said.iter().any(|s| remark.text.contains(s)) || remark.text.contains(&percent);
            assert!(in_words || found, "{figure}: {}", remark.text);
            assert!(figure.is_finite() && !rule.unit().is_empty());
        }
    }
}

fn any_colour() -> impl Strategy<Value = Colour> {
    let sane = (0.0..1.05_f32, 0.0..0.35_f32, 0.0..360.0_f32);
    let usual = (0.2..0.9_f32, 0.0..0.12_f32, 0.0..360.0_f32);
    let oklch = |(l, c, h_degrees): (f32, f32, f32)| Oklch { l, c, h_degrees }.colour();
    prop_oneof![
        6 => usual.prop_map(oklch),
        3 => sane.prop_map(oklch),
        1 => prop::array::uniform3(-0.5..2.0_f32).prop_map(|[r, g, b]| Colour::new(r, g, b)),
        1 => prop::array::uniform3(prop::num::f32::NORMAL).prop_map(|[r, g, b]| Colour::new(r, g, b)),
    ]
}

fn any_board() -> impl Strategy<Value = Board> {
    let role = prop::sample::select(Role::ALL.to_vec());
    let distance = prop::option::of(prop::sample::select(Distance::ALL.to_vec()));
    let family = (distance, prop::collection::vec((role, any_colour()), 0..6));
    let light = prop::sample::select(LightOfDay::ALL.to_vec());
    (light, prop::collection::vec(family, 0..7)).prop_map(|(light, families)| {
        let mut board = Board::new("random", light);
        for (distance, swatches) in families {
            let id = FamilyId(board.families.len() as u32 + 1);
            let swatches = swatches.into_iter().enumerate().map(|(i, (role, colour))| {
                let id = SwatchId(id.0 * 10 + i as u32);
                Swatch { id, role, name: String::new(), colour }
            });
            let swatches = swatches.collect();
            board.families.push(Family { distance, swatches, ..Family::new(id, &format!("wall {}", id.0)) });
        }
        board
    })
}

/// Values, extremes, strength and lean: what can always be put right.
fn of_family(board: &Board) -> Vec<Remark> {
    review(board).into_iter().filter(|remark| remark.rule.definition().settles).collect()
}

proptest! {
    #[test]
    fn the_first_offer_removes_its_remark_from_any_board(board in any_board()) {
        let before = of_family(&board).iter().map(Remark::subject).collect::<HashSet<_>>();
        for remark in review(&board) {
            let offers = offers(&board, &remark, &[]);
            let Some(first) = offers.first() else {
                return Err(TestCaseError::fail(format!("no offer for {}", remark.text)));
            };
            prop_assert!(!subjects(&first.board).contains(&remark.subject()), "{}: {}", remark.text, first.words);
            let after: HashSet<_> = of_family(&first.board).iter().map(Remark::subject).collect();
            prop_assert!(after.is_subset(&before), "{}: {} brings {:?}", remark.text, first.words, of_family(&first.board));
        }
    }

    #[test]
    fn first_offers_end_with_values_extremes_and_leans_in_order(mut board in any_board()) {
        // Each first offer removes its remark and brings none of these rules: as many steps as remarks are enough.
        let most = of_family(&board).len();
        for _ in 0..most {
            let Some(remark) = of_family(&board).into_iter().next() else {
                break;
            };
            board = offers(&board, &remark, &[]).remove(0).board;
        }
        prop_assert_eq!(of_family(&board), []);
        // And the rest, however long it takes, never brings them back.
        for _ in 0..12 {
            let Some(remark) = review(&board).into_iter().next() else {
                break;
            };
            board = offers(&board, &remark, &[]).remove(0).board;
            prop_assert_eq!(of_family(&board), []);
        }
    }
}
