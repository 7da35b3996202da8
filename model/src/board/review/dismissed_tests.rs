//! Remarks that the painter has dismissed: they stay so while they are the same remark, and no longer.

use super::test_boards::{oklch, recoloured, sound_board};
use super::*;
use crate::board::file::{board_text, parse_board};

/// Brick's light is darker than its local, by this OKLab lightness of the light.
fn out_of_order(light: f32) -> Board {
    recoloured(0, 2, oklch(light, 0.05, 10.0))
}

#[test]
fn a_dismissed_remark_stays_so_whatever_its_figure_and_comes_back_when_asked() {
    let board = out_of_order(0.40);
    let remark = review(&board).remove(0);
    let calm = board.with_dismissed(&remark.subject(), true);
    assert_eq!((review(&calm), review_all(&calm).len()), (vec![], 1));
    // Twice is once.
    assert_eq!(calm.with_dismissed(&remark.subject(), true).dismissed.len(), 1);
    // Another figure, the same remark.
    let light = remark.swatches[0];
    let darker = calm.with_colour(light, out_of_order(0.37).families[0].swatches[2].colour).unwrap_or_default();
    let now = review_all(&darker).remove(0);
    assert!(now.subject() == remark.subject() && now.figure < remark.figure - 0.2, "{now:?} {remark:?}");
    assert_eq!(review(&darker), []);
    // Put right and wrong again.
    let right = calm.with_colour(light, sound_board().families[0].swatches[2].colour).unwrap_or_default();
    assert_eq!(review_all(&right), []);
    let wrong_again = right.with_colour(light, oklch(0.40, 0.05, 10.0)).unwrap_or_default();
    assert_eq!((review(&wrong_again), review_all(&wrong_again).len()), (vec![], 1));
    // Through a file.
    let read = board_text(&calm).and_then(|text| parse_board(&text, "calm"));
    assert!(read.is_ok_and(|read| review(&read).is_empty() && read == calm));
    let back = calm.with_dismissed(&remark.subject(), false);
    assert_eq!((review(&back), back.dismissed), (vec![remark], vec![]));
}

#[test]
fn dismissing_one_remark_leaves_the_others() {
    let mut board = out_of_order(0.40);
    board.families[1].swatches[0].colour = oklch(0.12, 0.01, 280.0);
    let [first, second] = review(&board).try_into().unwrap_or_else(|r| panic!("{r:?}"));
    assert_eq!(review(&board.with_dismissed(&first.subject(), true)), [second]);
}

#[test]
fn what_is_gone_from_the_board_takes_its_dismissed_remarks_along() {
    let board = out_of_order(0.40);
    let subject = review(&board)[0].subject();
    let calm = board.with_dismissed(&subject, true);
    let [brick, yard] = [0, 1].map(|i| calm.families[i].clone());
    let without = [calm.without_swatch(subject.swatches[0]), calm.without_family(brick.id)];
    assert!(without.iter().all(|b| b.as_ref().is_ok_and(|b| b.dismissed.is_empty())), "{without:?}");
    let others = [calm.without_swatch(yard.swatches[0].id), calm.without_family(yard.id)];
    assert!(others.iter().all(|b| b.as_ref().is_ok_and(|b| b.dismissed == [subject.clone()])), "{others:?}");
}
