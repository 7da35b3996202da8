//! Studies as files, from the start page and from inside a study: renamed, copied, trashed, brought back, found again.

use super::*;
use crate::files::recent;
use std::path::{Path, PathBuf};

/// A start page with two studies.
fn start_page(home: &Path, size: [f32; 2]) -> (Harness<'static, Screen>, [PathBuf; 2]) {
    let data = home.join("data");
    std::fs::create_dir_all(&data).unwrap();
    let studies = ["Depot", "Yard"].map(|name| home.join(name).with_extension("stint"));
    for path in &studies {
        let mut session =
            Session::create(path, (160, 120), Board::new("Tram depot", LightOfDay::Cool), EngineChoice::Cpu).unwrap();
        let (family, role, name) = ("Brick".to_owned(), Role::Local, String::new());
        let colour = "#73524e".to_owned();
        session.apply(&Command::AddSwatch { family, role, name, colour, by_role: false }).unwrap();
        session.close().unwrap();
        recent::add(Some(&data), path).unwrap();
    }
    let mut harness = window(State { engine: EngineChoice::Cpu, data_folder: Some(data), ..State::default() }, size);
    until(&mut harness, "the cards", |h| h.query_by_label(&wording::more_for("Depot")).is_some());
    (harness, studies)
}

fn from_menu(harness: &mut Harness<'_, Screen>, study: &str, what: &str) {
    press(harness, &wording::more_for(study));
    harness.get_by_role_and_label(Accessible::Button, what).click();
    harness.step();
    until(harness, what, |h| h.state().keeping.is_none());
}

#[test]
fn a_study_is_renamed_copied_put_in_the_trash_and_brought_back_from_its_card() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path().canonicalize().unwrap();
    let (mut harness, [depot, _]) = start_page(&home, [1280.0, 800.0]);
    from_menu(&mut harness, "Depot", wording::RENAME_STUDY);
    let field = harness.get_by_role_and_label(Accessible::TextInput, wording::NEW_NAME);
    field.type_text("Blue hour");
    harness.run();
    keep_picture(&mut harness, "rename_study", [1280.0, 800.0]);
    harness.key_press(egui::Key::Enter);
    harness.step();
    let blue = home.join("Blue hour.stint");
    until(&mut harness, "the new name", |h| h.query_by_label(&wording::more_for("Blue hour")).is_some());
    assert!(blue.is_file() && !depot.exists(), "{:?}", harness.state().notices);

    from_menu(&mut harness, "Blue hour", wording::DUPLICATE);
    until(&mut harness, "the copy", |h| h.query_by_label(&wording::more_for("Blue hour 2")).is_some());
    from_menu(&mut harness, "Blue hour", wording::PUT_IN_TRASH);
    until(&mut harness, "the trash", |h| h.query_by_label(&wording::trash_with(1)).is_some());
    assert!(!blue.exists() && home.join("data/Trash/files/Blue hour.stint").is_file());
    press(&mut harness, &wording::trash_with(1));
    keep_picture(&mut harness, "trash", [1280.0, 800.0]);
    press(&mut harness, &wording::restore_named("Blue hour"));
    until(&mut harness, "the study is back", |_| blue.is_file());
}

#[test]
fn studies_are_ordered_by_name_and_the_order_is_kept() {
    let home = tempfile::tempdir().unwrap();
    let (mut harness, _) = start_page(home.path(), [1280.0, 800.0]);
    let left = |harness: &Harness<'_, Screen>, name: &str| {
        let at = harness.get_by_label(&wording::open_recent(name)).rect().min;
        (at.y, at.x)
    };
    assert!(left(&harness, "Yard") < left(&harness, "Depot"), "the last opened first");
    press(&mut harness, &wording::study_order("Name"));
    assert!(left(&harness, "Depot") < left(&harness, "Yard"));
}

#[test]
fn a_study_that_was_moved_is_found_and_one_that_is_gone_can_leave_the_list() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path().canonicalize().unwrap();
    let (mut harness, [depot, yard]) = start_page(&home, [900.0, 600.0]);
    std::fs::create_dir(home.join("2025")).unwrap();
    std::fs::rename(&depot, home.join("2025/Old depot.stint")).unwrap();
    std::fs::remove_file(&yard).unwrap();
    harness.state_mut().studies_changed += 1;
    until(&mut harness, "the moved study", |h| h.query_by_label(&wording::more_for("Old depot")).is_some());
    from_menu(&mut harness, "Yard", wording::LOOK_FOR_IT);
    harness.get_by_label(&wording::lost_line(&yard));
    keep_picture(&mut harness, "lost_study", [900.0, 600.0]);
    press(&mut harness, wording::OFF_THE_LIST);
    until(&mut harness, "the list", |h| h.query_by_label(&wording::more_for("Yard")).is_none());
    assert_eq!(recent::all(Some(&home.join("data"))).len(), 1);
}

#[test]
fn the_menu_of_an_open_study_renames_it_opens_others_and_starts_one_with_its_board() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path().canonicalize().unwrap();
    let (mut harness, [depot, yard]) = start_page(&home, [1280.0, 800.0]);
    open(&mut harness, &depot);
    press(&mut harness, &wording::study_menu("Depot"));
    until(&mut harness, "the other study in the menu", |h| h.query_by_label("Yard").is_some());
    keep_picture(&mut harness, "study_menu", [1280.0, 800.0]);
    press(&mut harness, wording::RENAME_STUDY);
    harness.get_by_role_and_label(Accessible::TextInput, wording::NEW_NAME).type_text("Blue hour");
    harness.run();
    harness.key_press(egui::Key::Enter);
    let blue = home.join("Blue hour.stint");
    until(&mut harness, "the new name", |h| h.state().session.as_ref().is_some_and(|s| s.path() == blue));
    // Moved by somebody else while it is open: looked for, and open from there.
    std::fs::create_dir(home.join("2025")).unwrap();
    let away = home.join("2025/away.stint");
    std::fs::rename(&blue, &away).unwrap();
    harness.state_mut().look_for_study();
    until(&mut harness, "the moved study", |h| h.state().session.as_ref().is_some_and(|s| s.path() == away));
    press(&mut harness, &wording::study_menu("away"));
    until(&mut harness, "the other study in the menu of the moved one", |h| h.query_by_label("Yard").is_some());
    press(&mut harness, "Yard");
    until(&mut harness, "the other study", |h| h.state().session.as_ref().is_some_and(|s| s.path() == yard));
    press(&mut harness, &wording::study_menu("Yard"));
    press(&mut harness, wording::START_WITH_BOARD);
    assert!(harness.state().session.is_none());
    harness.get_by_label(&wording::with_board("Tram depot"));
}
