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

/// The system's dialog of a test: what it was asked, and how it ends.
fn dialog(
    ends: crate::ui::file_dialog::DialogEnd,
) -> (crate::ui::file_dialog::SystemDialog, std::sync::Arc<std::sync::Mutex<Vec<crate::ui::file_dialog::DialogRequest>>>)
{
    let asked = std::sync::Arc::new(std::sync::Mutex::new(Vec::new()));
    let kept = asked.clone();
    let dialog: crate::ui::file_dialog::SystemDialog = std::sync::Arc::new(move |request, wake| {
        kept.lock().unwrap().push(request);
        let ends = ends.clone();
        crate::base::jobs::Job::start("dialog", wake, move |_| ends)
    });
    (dialog, asked)
}

#[test]
fn where_the_system_has_a_dialog_it_is_asked_and_what_it_gives_is_opened() {
    use crate::ui::file_dialog::DialogEnd;
    let home = folder();
    let (system, asked) = dialog(DialogEnd::Chosen(home.path().join("depot.jpg")));
    let mut screen = empty();
    screen.state.system_dialog = Some(system);
    screen.state.settings.set(&crate::files::settings::LAST_FOLDER, &home.path().to_owned()).unwrap();
    let mut harness = small(screen);
    press(&mut harness, wording::CHOOSE_A_PHOTO);
    until(&mut harness, "the photo", |h| h.state().session.as_ref().is_some_and(|s| s.document().reference.is_some()));
    assert_eq!(reference(&harness), "depot.jpg");
    let asked = asked.lock().unwrap();
    assert_eq!((asked.len(), asked[0].folder.as_path()), (1, home.path()));
    assert!(asked[0].saves_as.is_none() && asked[0].kinds[0].1.contains(&".heic".to_owned()));
}

#[test]
fn a_dialog_that_is_left_changes_nothing_and_one_that_fails_is_not_asked_again() {
    use crate::ui::file_dialog::DialogEnd;
    let home = folder();
    let mut screen = empty();
    screen.state.settings.set(&crate::files::settings::LAST_FOLDER, &home.path().to_owned()).unwrap();
    let (left, asked) = dialog(DialogEnd::Left);
    screen.state.system_dialog = Some(left);
    let mut harness = small(screen);
    press(&mut harness, wording::CHOOSE_A_PHOTO);
    until(&mut harness, "the end of the dialog", |h| !h.state().panels.sheet_is_open());
    assert_eq!(asked.lock().unwrap().len(), 1);
    let (fails, asked) = dialog(DialogEnd::Unavailable);
    harness.state_mut().system_dialog = Some(fails);
    for _ in 0..2 {
        press(&mut harness, wording::CHOOSE_A_PHOTO);
        until(&mut harness, "the browser", |h| h.query_by_label("depot.jpg").is_some());
        harness.key_press(Key::Escape);
        harness.run();
    }
    assert_eq!(asked.lock().unwrap().len(), 1);
}

#[test]
fn who_wants_to_choose_inside_the_window_says_so_once() {
    let home = folder();
    let mut screen = empty();
    screen.state.settings.set(&crate::files::settings::LAST_FOLDER, &home.path().to_owned()).unwrap();
    // A dialog that stays open.
    let (gate, closed) = std::sync::mpsc::channel::<()>();
    let closed = std::sync::Mutex::new(Some(closed));
    screen.state.system_dialog = Some(std::sync::Arc::new(move |_, wake| {
        let closed = closed.lock().unwrap().take();
        crate::base::jobs::Job::start("dialog", wake, move |_| {
            closed.map(|closed| closed.recv());
            crate::ui::file_dialog::DialogEnd::Left
        })
    }));
    let mut harness = small(screen);
    press(&mut harness, wording::CHOOSE_A_PHOTO);
    rest_there(&mut harness);
    harness.get_by_label(wording::SYSTEM_DIALOG_OPEN);
    press(&mut harness, wording::ALWAYS_CHOOSE_HERE);
    until(&mut harness, "the browser", |h| h.query_by_label("depot.jpg").is_some());
    drop(gate);
    harness.key_press(Key::Escape);
    harness.run();
    press(&mut harness, wording::CHOOSE_A_PHOTO);
    until(&mut harness, "the browser at once", |h| h.query_by_label("depot.jpg").is_some());
    // The way back is in the browser.
    press(&mut harness, wording::SYSTEM_DIALOG_NAME);
    let own: Option<bool> = harness.state().settings.get(&crate::files::settings::OWN_FILE_BROWSER);
    assert_eq!(own, Some(false));
}
