//! From memory: a sitting from the first swatch to the mean.

use super::*;
use crate::files::memory_record::{TRIES, load};
use crate::ui::panels::{Page, plane};
use egui::Key;
use std::path::Path;
use stint_model::colour::Colour;

fn opened(home: &Path) -> Harness<'static, Screen> {
    let mut state = full();
    state.data_folder = Some(home.to_owned());
    state.panels.page = Page::Memory;
    small(state)
}

#[test]
fn a_sitting_is_guessed_shown_recorded_and_changes_nothing() {
    let home = tempfile::tempdir().unwrap();
    let mut harness = opened(home.path());
    let before = (document(&harness), harness.state().session.as_ref().unwrap().depths());
    // No colour of the board is in sight: no photo, no readout, and of the tray not even the names.
    for label in [wording::PHOTO, wording::READOUT, wording::ADD_SWATCH] {
        assert!(harness.query_by_label(label).is_none(), "{label}");
    }
    harness.get_by_label(&wording::step_of(1, TRIES));
    harness.get_by_label(wording::GUESS_PLANE).click();
    harness.run();
    press(&mut harness, wording::SHOW_SWATCH);
    let (record, told) = load(Some(home.path())).unwrap();
    assert_eq!((told, record.sittings.len()), (None, 1));
    let first = record.sittings[0].tries[0].clone();
    let middle = plane::colour_at(5.0, 180.0, plane::MAX_CHROMA / 2.0);
    assert_eq!(first.guess, Colour::from_srgb8(middle.to_srgb8()).hex());
    harness.get_by_label(wording::YOURS);
    // Much stronger than anything on this board.
    harness.get_by_label_contains("Much too strong");
    let wanted = document(&harness).board.swatches().map(|(_, s)| s.colour.hex()).any(|hex| hex == first.wanted);
    assert!(wanted && harness.query_all_by_label(&first.swatch).count() >= 1);
    for step in 2..=TRIES {
        press(&mut harness, wording::NEXT_SWATCH);
        harness.get_by_label(&wording::step_of(step, TRIES));
        // The key does as the button.
        harness.key_press(Key::Enter);
        harness.run();
    }
    press(&mut harness, wording::END_SITTING);
    let record = load(Some(home.path())).unwrap().0;
    assert_eq!((record.sittings.len(), record.sittings[0].tries.len()), (1, TRIES));
    let mean = format!("{:.1}", record.sittings[0].mean());
    assert!(harness.query_all_by_label_contains(&mean).count() >= 1, "{mean}");
    harness.get_by_label(wording::FIRST_SITTING);
    let names: Vec<_> = record.sittings[0].tries.iter().map(|t| t.swatch.clone()).collect();
    for name in &names {
        harness.get_by_label_contains(&format!("{name}: "));
    }
    press(&mut harness, wording::AGAIN);
    press(&mut harness, wording::SHOW_SWATCH);
    let record = load(Some(home.path())).unwrap().0;
    assert_eq!(record.sittings.len(), 2);
    assert_eq!((document(&harness), harness.state().session.as_ref().unwrap().depths()), before);
}

#[test]
fn escape_goes_back_and_the_sitting_waits() {
    let home = tempfile::tempdir().unwrap();
    let mut harness = opened(home.path());
    press(&mut harness, wording::SHOW_SWATCH);
    press(&mut harness, wording::NEXT_SWATCH);
    harness.key_press(Key::Escape);
    harness.run();
    harness.key_press(Key::Escape);
    harness.run();
    assert!(harness.state().panels.page == Page::Canvas);
    harness.state_mut().panels.page = Page::Memory;
    harness.run();
    harness.get_by_label(&wording::step_of(2, TRIES));
}

#[test]
fn an_empty_board_says_what_to_do() {
    let mut state = empty();
    state.panels.page = Page::Memory;
    let home = tempfile::tempdir().unwrap();
    state.data_folder = Some(home.path().to_owned());
    let mut harness = small(state);
    harness.get_by_label(wording::NOTHING_TO_RECALL);
    press(&mut harness, wording::BACK);
    assert!(harness.state().panels.page == Page::Canvas);
}
