//! Choosing a file inside the window, by mouse, by keys and by writing.

use super::*;
use egui::Key;
use std::path::Path;

fn folder() -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    for folder in ["Photos", "Zinc roofs", ".hidden"] {
        std::fs::create_dir(home.path().join(folder)).unwrap();
    }
    for name in ["depot.jpg", "dusk.jpg", "Photos/yard.jpg"] {
        std::fs::copy(photo(), home.path().join(name)).unwrap();
    }
    std::fs::write(home.path().join("notes.txt"), "a few words").unwrap();
    home
}

/// A study whose reference is to be chosen, in a folder.
fn browsing(home: &Path) -> Harness<'static, Screen> {
    let mut screen = full();
    screen.data_folder = Some(home.join("data"));
    let mut harness = small(screen);
    press(&mut harness, wording::CHANGE_PHOTO);
    let field = harness.get_by_role_and_label(Accessible::TextInput, wording::FILE_NAME);
    field.set_text_value_accesskit(&format!("{}/", home.display()));
    harness.run();
    until(&mut harness, "the folder", |h| h.query_by_label("depot.jpg").is_some());
    harness
}

fn reference(harness: &Harness<'static, Screen>) -> String {
    document(harness).reference.unwrap().name
}

#[test]
fn by_mouse_into_a_folder_and_a_photo_is_taken() {
    let home = folder();
    let mut harness = browsing(home.path());
    assert!(harness.query_by_label("notes.txt").is_none() && harness.query_by_label("Folder .hidden").is_none());
    until(&mut harness, "the pictures", |h| h.state().panels.pictures.is_at_rest());
    keep_picture(&mut harness, "browser", [1280.0, 800.0]);
    press(&mut harness, wording::ALL_FILES);
    assert!(harness.query_by_label("notes.txt").is_some());
    press(&mut harness, wording::HIDDEN_FILES);
    assert!(harness.query_by_label("Folder .hidden").is_some());
    press(&mut harness, "Folder Photos");
    press(&mut harness, wording::OPEN_IT);
    until(&mut harness, "the folder", |h| h.query_by_label("yard.jpg").is_some());
    press(&mut harness, "yard.jpg");
    press(&mut harness, wording::OPEN_IT);
    settled(&mut harness);
    assert_eq!(reference(&harness), "yard.jpg");
}

#[test]
fn by_keys_alone() {
    let home = folder();
    let mut harness = browsing(home.path());
    // The field has the keyboard no more: the list takes the keys.
    harness.key_press(Key::Home);
    harness.run();
    harness.key_press(Key::Enter);
    harness.run();
    until(&mut harness, "the folder Photos", |h| h.query_by_label("yard.jpg").is_some());
    harness.key_press(Key::Backspace);
    harness.run();
    until(&mut harness, "the folder above", |h| h.query_by_label("dusk.jpg").is_some());
    // Letters jump to a name.
    harness.event(egui::Event::Text("du".to_owned()));
    harness.run();
    harness.key_press(Key::Enter);
    harness.run();
    settled(&mut harness);
    assert_eq!(reference(&harness), "dusk.jpg");
}

#[test]
fn a_name_is_completed_and_what_is_wrong_stands_beside_it() {
    let home = folder();
    let mut harness = browsing(home.path());
    let field = |h: &Harness<'static, Screen>| {
        h.get_by_role_and_label(Accessible::TextInput, wording::FILE_NAME).value().unwrap_or_default()
    };
    harness.get_by_role_and_label(Accessible::TextInput, wording::FILE_NAME).focus();
    harness.run();
    harness.get_by_role_and_label(Accessible::TextInput, wording::FILE_NAME).type_text("de");
    harness.run();
    harness.get_by_label(&wording::completes_to("depot.jpg"));
    harness.key_press(Key::Tab);
    harness.run();
    assert_eq!(field(&harness), "depot.jpg");
    harness.get_by_role_and_label(Accessible::TextInput, wording::FILE_NAME).set_text_value_accesskit("gone.jpg");
    harness.run();
    press(&mut harness, wording::OPEN_IT);
    harness.get_by_label(&wording::sentence_start(&wording::no_such_file("gone.jpg", home.path())));
    // A folder that is not there is named as such.
    let nowhere = format!("{}/nowhere/", home.path().display());
    harness.get_by_role_and_label(Accessible::TextInput, wording::FILE_NAME).set_text_value_accesskit(&nowhere);
    harness.run();
    until(&mut harness, "the fault", |h| h.query_by_label_contains("There is no folder").is_some());
    // Escape leaves, and nothing has changed.
    for _ in 0..2 {
        harness.key_press(Key::Escape);
        harness.run();
    }
    assert!(harness.query_by_label(wording::OPEN_IT).is_none());
    assert_eq!(reference(&harness), "tram_depot.jpg");
}

#[test]
fn a_picture_goes_where_the_painter_says_and_missing_folders_are_made() {
    let home = folder();
    let mut screen = full();
    screen.data_folder = Some(home.path().join("data"));
    let mut harness = small(screen);
    press(&mut harness, wording::EXPORT);
    press(&mut harness, wording::CHOOSE_PLACE);
    let target = home.path().join("Prints/May/");
    let write = |harness: &mut Harness<'static, Screen>, text: &str| {
        harness.get_by_role_and_label(Accessible::TextInput, wording::FILE_NAME).set_text_value_accesskit(text);
        harness.run();
    };
    write(&mut harness, &target.display().to_string());
    let make = wording::make_missing(&home.path().join("Prints/May"));
    until(&mut harness, "the offer", |h| h.query_by_label(&make).is_some());
    press(&mut harness, &make);
    assert!(target.is_dir());
    until(&mut harness, "the new folder", |h| h.query_by_label(&make).is_none());
    write(&mut harness, "depot");
    press(&mut harness, wording::USE_NAME);
    let field = harness.get_by_role_and_label(Accessible::TextInput, wording::EXPORT_PATH).value().unwrap();
    assert_eq!(Path::new(&field), target.join("depot.png"));
    harness.get_by_role_and_label(Accessible::Button, wording::EXPORT_NOW).click();
    until(&mut harness, "the picture", |h| h.state().exported.is_some());
    assert!(target.join("depot.png").is_file(), "{:?}", harness.state().exported);
}
