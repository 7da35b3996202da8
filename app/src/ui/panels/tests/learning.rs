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
