//! Studies as a whole: started, exported, closed, opened again; what goes wrong.

use super::*;
use crate::ui::request::Request;
use std::path::Path;

fn start_page(folder: &Path) -> Harness<'static, Screen> {
    let mut state = State { engine: EngineChoice::Cpu, ..State::default() };
    state.data_folder = Some(folder.join("data"));
    small(state)
}

#[test]
fn a_study_is_started_exported_closed_and_found_again() {
    let home = tempfile::tempdir().unwrap();
    std::fs::create_dir(home.path().join("data")).unwrap();
    let mut harness = start_page(home.path());
    press(&mut harness, "A5");
    press(&mut harness, &wording::ground_named("Cool grey"));
    press(&mut harness, wording::START_EMPTY);
    settled(&mut harness);
    assert_eq!(harness.state().notices, [""; 0]);
    let made = document(&harness);
    assert_eq!((made.width, made.height), (1131, 800));
    assert_eq!(made.ground.name.as_str(), "cool grey");
    let study = home.path().join("data/Study.stint");
    assert!(study.is_file());

    let state = harness.state_mut();
    let (family, role, name) = ("Brick".to_owned(), Role::Local, String::new());
    assert!(state.apply(&Command::AddSwatch { family, role, name, colour: "#73524e".to_owned(), by_role: false }));
    assert!(state.apply(&Command::Load(SwatchRef::Swatch { family: "Brick".to_owned(), role: Role::Local })));
    let outline = vec![[0.0, 0.0], [1131.0, 0.0], [1131.0, 600.0]];
    assert!(state.apply(&Command::Mass { outline, edge: Edge::default() }));
    let shares = harness.state().readout.clone().unwrap();
    press(&mut harness, wording::EXPORT);
    let over = study.display().to_string();
    let path = harness.get_by_role_and_label(Accessible::TextInput, wording::EXPORT_PATH).value().unwrap();
    for (target, expected) in [(over, wording::EXPORT_ON_STUDY), (path, "")] {
        harness.get_by_role_and_label(Accessible::TextInput, wording::EXPORT_PATH).set_text_value_accesskit(&target);
        harness.run();
        if !expected.is_empty() {
            harness.get_by_role_and_label(Accessible::Button, wording::EXPORT_NOW).click();
            harness.run();
            harness.get_by_label(expected);
        }
    }
    // A folder that is not there is named, and made where that is wanted; the picture is written then.
    let picture_before = harness.get_by_role_and_label(Accessible::TextInput, wording::EXPORT_PATH).value().unwrap();
    let folder = home.path().join("shown to others");
    let deep = folder.join("Study.png");
    harness
        .get_by_role_and_label(Accessible::TextInput, wording::EXPORT_PATH)
        .set_text_value_accesskit(&deep.display().to_string());
    harness.run();
    harness.get_by_role_and_label(Accessible::Button, wording::EXPORT_NOW).click();
    harness.run();
    harness.get_by_label(&wording::no_folder(&folder));
    assert!(harness.state().exported.is_none() && !folder.exists());
    harness.get_by_label(&wording::make_missing(&folder)).click();
    until(&mut harness, "the picture in its new folder", |h| {
        h.state().export.is_none() && matches!(&h.state().exported, Some(Ok(path)) if *path == deep)
    });
    assert!(deep.is_file() && harness.query_by_label(&wording::no_folder(&folder)).is_none());
    harness
        .get_by_role_and_label(Accessible::TextInput, wording::EXPORT_PATH)
        .set_text_value_accesskit(&picture_before);
    harness.run();
    press(&mut harness, wording::DISPLAY_P3);
    press(&mut harness, "16 bits");
    harness.get_by_role_and_label(Accessible::Button, wording::EXPORT_NOW).click();
    for _ in 0..1200 {
        harness.step();
        if harness.state().export.is_none() && harness.state().exported.is_some() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(25));
    }
    let picture = home.path().join("data/Study.png");
    harness.run();
    harness.get_by_label(&wording::exported(&picture));
    let attached = stint_model::picture::read_attached(&picture).unwrap();
    assert_eq!(attached.readout.swatches, shares.swatches);

    press(&mut harness, wording::DONE);
    press(&mut harness, wording::CLOSE);
    assert!(harness.state().session.is_none());
    until(&mut harness, "the card of the study", |h| h.query_by_label(&wording::open_recent("Study")).is_some());
    press(&mut harness, &wording::open_recent("Study"));
    settled(&mut harness);
    assert_eq!(document(&harness).board.swatches().count(), 1);
    open(&mut harness, &study);
    assert!(harness.state().notices[0].contains("open in this window already"));

    // The picture brings its board into a new study beside it.
    open(&mut harness, &picture);
    let document = document(&harness);
    assert_eq!((document.board.swatches().count(), document.paints.len()), (1, 0));
}

/// Runs until the export has ended.
fn exported(harness: &mut Harness<'static, Screen>) {
    for _ in 0..1200 {
        harness.step();
        if harness.state().export.is_none() && harness.state().exported.is_some() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(25));
    }
    harness.run();
}

#[test]
fn an_export_takes_a_free_name_and_asks_before_it_replaces() {
    let home = tempfile::tempdir().unwrap();
    let at = |name: &str| home.path().join(name);
    image::RgbImage::new(8, 8).save(at("depot.png")).unwrap();
    let photo = std::fs::read(at("depot.png")).unwrap();
    let mut harness = start_page(home.path());
    open(&mut harness, &at("depot.png"));
    assert!(at("depot.stint").is_file(), "{:?}", harness.state().notices);
    press(&mut harness, wording::EXPORT);
    let field = |harness: &Harness<'static, Screen>| {
        harness.get_by_role_and_label(Accessible::TextInput, wording::EXPORT_PATH).value().unwrap()
    };
    let export = |harness: &mut Harness<'static, Screen>| {
        harness.get_by_role_and_label(Accessible::Button, wording::EXPORT_NOW).click();
        harness.run();
    };
    assert_eq!(Path::new(&field(&harness)), at("depot study.png"));
    let fill = |harness: &mut Harness<'static, Screen>, name: &str| {
        let path = at(name).display().to_string();
        harness.get_by_role_and_label(Accessible::TextInput, wording::EXPORT_PATH).set_text_value_accesskit(&path);
        harness.run();
    };
    // Over the photo of the study: asked, and left alone.
    fill(&mut harness, "depot.png");
    export(&mut harness);
    let question = wording::replace_question(&at("depot.png"), "a picture without a board, just written");
    harness.get_by_label(&question);
    harness.key_press(egui::Key::Escape);
    harness.run();
    assert!(harness.query_by_label(&question).is_none());
    assert_eq!(Path::new(&field(&harness)), at("depot 2.png"));
    export(&mut harness);
    exported(&mut harness);
    harness.get_by_label(&wording::exported(&at("depot 2.png")));
    // Over an export of before: asked too, and replaced when the painter says so.
    let before = std::fs::read(at("depot 2.png")).unwrap();
    press(&mut harness, "16 bits");
    export(&mut harness);
    assert!(std::fs::read(at("depot 2.png")).unwrap() == before);
    harness.key_press(egui::Key::Enter);
    harness.run();
    exported(&mut harness);
    harness.get_by_label(&wording::exported(&at("depot 2.png")));
    assert!(std::fs::read(at("depot 2.png")).unwrap() != before);
    // Another ending is not a question but a refusal.
    fill(&mut harness, "depot.jpg");
    export(&mut harness);
    exported(&mut harness);
    assert!(harness.state().exported.as_ref().unwrap().as_ref().unwrap_err().contains("does not end in .png"));
    assert!(!at("depot.jpg").exists());
    assert!(std::fs::read(at("depot.png")).unwrap() == photo, "the photo is as it was");
}

#[test]
fn a_field_keeps_the_keyboard_when_a_notice_appears() {
    let home = tempfile::tempdir().unwrap();
    let mut harness = start_page(home.path());
    press(&mut harness, wording::OWN_SIZE);
    let field =
        |h: &Harness<'static, Screen>| h.get_by_role_and_label(Accessible::TextInput, wording::WIDTH_PX).value();
    harness.get_by_role_and_label(Accessible::TextInput, wording::WIDTH_PX).focus();
    harness.run();
    harness.state_mut().notices.push("a notice".to_owned());
    harness.run();
    assert!(harness.get_by_role_and_label(Accessible::TextInput, wording::WIDTH_PX).is_focused());
    harness.get_by_role_and_label(Accessible::TextInput, wording::WIDTH_PX).type_text("0");
    harness.run();
    assert_eq!(field(&harness).as_deref(), Some("16000"));
}

#[test]
fn what_cannot_be_opened_is_told_and_the_program_goes_on() {
    let home = tempfile::tempdir().unwrap();
    let mut harness = start_page(home.path());
    let broken = home.path().join("broken.stint");
    std::fs::write(&broken, "no study").unwrap();
    for path in [home.path().join("gone.stint"), broken, home.path().join("gone.jpg")] {
        harness.state_mut().notices.clear();
        open(&mut harness, &path);
        let name = path.file_name().unwrap().to_str().unwrap();
        assert!(harness.state().notices[0].contains(name), "{:?}", harness.state().notices);
        assert!(harness.state().session.is_none());
    }
    // A photo starts a study with it as the reference.
    let photo_here = home.path().join("tram_depot.jpg");
    std::fs::copy(photo(), &photo_here).unwrap();
    open(&mut harness, &photo_here);
    assert_eq!(document(&harness).reference.as_ref().unwrap().name, "tram_depot.jpg");
    // What needs a window stays for the window.
    harness.state_mut().requests.extend([Request::Fit, Request::Quit]);
    harness.step();
    assert_eq!(harness.state().requests, [Request::Fit, Request::Quit]);
}
