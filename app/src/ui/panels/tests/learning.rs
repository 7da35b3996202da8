//! Learning: the stint, painting again without the photo, drills, the page of progress.

use super::*;
use crate::base::clock;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

fn page(home: &Path) -> Harness<'static, Screen> {
    let data_folder = Some(home.to_owned());
    small(State { engine: EngineChoice::Cpu, data_folder, ..State::default() })
}

/// The name of the button that shows a time.
fn time(worked_min: u64, stint_min: Option<u32>) -> String {
    wording::time_named(stint_model::readout::WorkTime { worked_s: worked_min * 60, stint_min })
}

#[test]
fn a_stint_is_chosen_at_the_start_changed_on_the_way_and_ends_with_one_sentence() {
    let home = tempfile::tempdir().unwrap();
    let mut harness = page(home.path());
    press(&mut harness, &wording::minutes(20));
    press(&mut harness, wording::START_EMPTY);
    settled(&mut harness);
    assert_eq!(document(&harness).stint_min, Some(20));
    let (start, seconds) = (clock::now(), Arc::new(AtomicU64::new(0)));
    let hands = seconds.clone();
    let now = move || start + Duration::from_secs(hands.load(Ordering::Relaxed));
    harness.state_mut().session.as_mut().unwrap().set_clock(now);
    let work = |harness: &mut Harness<'_, Screen>, minutes: u64| {
        for _ in 0..minutes {
            seconds.fetch_add(60, Ordering::Relaxed);
            let name = format!("board {}", seconds.load(Ordering::Relaxed));
            assert!(harness.state_mut().apply(&Command::RenameBoard(name)));
        }
        harness.run();
    };
    // The first step has nothing before it.
    work(&mut harness, 1);
    work(&mut harness, 12);
    press(&mut harness, &time(12, Some(20)));
    harness.get_by_label("12 minutes at work so far.");
    press(&mut harness, &wording::minutes(40));
    press(&mut harness, wording::DONE);
    assert_eq!(document(&harness).stint_min, Some(40));
    work(&mut harness, 27);
    harness.get_by_label(&time(39, Some(40)));
    assert_eq!(harness.state().notices, [""; 0], "nothing is said before the end");
    work(&mut harness, 1);
    harness.get_by_label(&time(40, Some(40)));
    assert_eq!(harness.state().notices, ["40 minutes at work: this stint is over"]);
    work(&mut harness, 3);
    assert_eq!(harness.state().notices.len(), 1, "and nothing after it");
    press(&mut harness, &time(43, Some(40)));
    press(&mut harness, wording::NO_STINT);
    press(&mut harness, wording::DONE);
    harness.get_by_label(&time(43, None));
}

/// A study of the demo's photo with a board and a mass, in a file, open in a window.
fn painted(home: &Path) -> Harness<'static, Screen> {
    let file = home.join("depot.stint");
    let mut session = Session::create(&file, (160, 120), Board::default(), EngineChoice::Cpu).unwrap();
    let (family, name, role) = ("Brick".to_owned(), String::new(), Role::Local);
    let outline = vec![[0.0, 0.0], [80.0, 0.0], [80.0, 120.0], [0.0, 120.0]];
    for command in [
        Command::Reference(photo()),
        Command::AddSwatch { family: family.clone(), role, name, colour: "#73524e".to_owned(), by_role: false },
        Command::Load(SwatchRef::Swatch { family, role }),
        Command::Mass { outline, edge: Edge::default() },
    ] {
        session.apply(&command).unwrap();
    }
    let mut state = State { session: Some(session), engine: EngineChoice::Cpu, ..State::default() };
    state.data_folder = Some(home.join("data"));
    std::fs::create_dir_all(home.join("data")).unwrap();
    state.settings.set(&crate::files::settings::FIRST_STEPS, &false).unwrap();
    small(state)
}

#[test]
fn a_study_is_painted_again_without_the_photo_and_held_against_it_afterwards() {
    use crate::ui::panels::Page;
    let home = tempfile::tempdir().unwrap();
    let mut harness = painted(home.path());
    let board = document(&harness).board;
    harness.state_mut().panels.page = Page::Memory;
    harness.run();
    press(&mut harness, wording::PAINT_AGAIN);
    settled(&mut harness);
    assert_eq!(harness.state().notices, [""; 0]);
    assert!(home.path().join("depot from memory.stint").is_file());
    let again = document(&harness);
    assert_eq!((again.board, again.photo_shut), (board, true));
    assert_eq!(harness.state().panels.page, Page::Canvas);
    // No photo anywhere, neither in its column nor large.
    harness.get_by_label(wording::PHOTO_IS_SHUT);
    assert!(harness.query_by_label(wording::PHOTO).is_none());
    harness.state_mut().panels.page = Page::Photo;
    harness.run();
    assert!(harness.query_by_label(wording::PHOTO).is_none());
    harness.state_mut().panels.page = Page::Canvas;
    harness.run();
    keep_picture(&mut harness, "photo_shut", [1280.0, 800.0]);
    // It is asked once, and may be left.
    press(&mut harness, wording::OPEN_PHOTO_NAME);
    harness.get_by_label(wording::OPENING_PHOTO);
    press(&mut harness, wording::LEAVE_SHUT);
    assert!(document(&harness).photo_shut && harness.state().session.as_ref().unwrap().photo_opened().is_empty());
    press(&mut harness, wording::OPEN_PHOTO_NAME);
    press(&mut harness, wording::OPEN_PHOTO);
    harness.get_by_label(wording::PHOTO);
    assert_eq!(harness.state().session.as_ref().unwrap().photo_opened().len(), 1);
    press(&mut harness, wording::SIDE_BY_SIDE_NAME);
    for words in [wording::WITH_PHOTO, wording::THE_PHOTO, wording::PAINTED_FROM_MEMORY] {
        harness.get_by_label(words);
    }
    until(&mut harness, "the studies", |h| h.state().panels.side_by_side.is_read());
    assert!(harness.query_by_label_contains("is not beside").is_none());
    keep_picture(&mut harness, "side_by_side", [1280.0, 800.0]);
    harness.key_press(egui::Key::Escape);
    harness.run();
    assert_eq!(harness.state().panels.page, Page::Canvas);
    press(&mut harness, wording::SHUT_PHOTO_NAME);
    assert!(harness.query_by_label(wording::PHOTO).is_none());
}
