//! The page of settings and keys, and the sheet that finds everything by its name.

use super::*;
use crate::files::settings::{self, Settings};
use crate::ui::keys::{Action, Chord, Keys};
use crate::ui::panels::Page;
use crate::ui::remembered;
use crate::ui::request::Request;
use egui::Key;

/// A window with the page open; settings and keys lie in the folder.
fn settings_page(folder: &std::path::Path, size: [f32; 2]) -> Harness<'static, Screen> {
    let mut screen = full();
    screen.settings = Settings::read(folder).0;
    screen.keys = Keys::read(&folder.join("keys.ron")).0;
    screen.panels.page = Page::Settings;
    window(screen, size)
}

#[test]
fn what_is_set_shows_at_once_and_holds_the_next_time() {
    let folder = tempfile::tempdir().unwrap();
    let mut harness = settings_page(folder.path(), [1280.0, 1600.0]);
    press(&mut harness, &wording::percent(150));
    press(&mut harness, wording::HANDS[1].1);
    press(&mut harness, wording::SURROUND_CHOICES[2]);
    press(&mut harness, wording::SAY_NEXT_STEP);
    let mut again = State { settings: Settings::read(folder.path()).0, ..State::default() };
    remembered::restore(&mut again);
    assert_eq!(again.notices, [""; 0]);
    assert_eq!((again.preferences.size_percent, again.preferences.left_handed), (150, true));
    assert_eq!(again.surround, crate::ui::looks::Surround::Light);
    assert_eq!(again.settings.get(&crate::files::settings::FIRST_STEPS), Some(false));
    // For the left hand the photo lies to the right of the canvas, and the tools under it.
    press(&mut harness, wording::BACK);
    let photo = harness.get_by_label(wording::PHOTO).rect();
    let tools = harness.get_by_label(wording::MASS).rect();
    assert!(photo.left() > 900.0 && tools.left() > 900.0, "{photo:?} {tools:?}");
    keep_picture(&mut harness, "left_hand", [1280.0, 800.0]);
    harness.state_mut().panels.page = Page::Settings;
    harness.run();
    press(&mut harness, wording::USUAL_SETTINGS);
    assert_eq!(harness.state().preferences, crate::ui::preferences::Preferences::default());
}

/// Whatever is remembered from one time to the next can be seen on the page, and set there.
#[test]
fn everything_that_is_remembered_is_seen_and_changed_here() {
    let folder = tempfile::tempdir().unwrap();
    let mut harness = settings_page(folder.path(), [1280.0, 2800.0]);
    let last = folder.path().join("Studies of the depot");
    harness.state_mut().settings.set(&settings::LAST_FOLDER, &last).unwrap();
    harness.state_mut().settings.set(&settings::NEXT_TIME_AWAY, &vec!["values".to_owned()]).unwrap();
    let sizes = std::collections::BTreeMap::from([("Flat".to_owned(), 99.0)]);
    harness.state_mut().settings.set(&settings::BRUSH_SIZES, &sizes).unwrap();
    harness.state_mut().gather_brushes();
    harness.run();
    keep_picture(&mut harness, "settings_whole", [1280.0, 2800.0]);
    press(&mut harness, &wording::tool_in_hand(wording::SCRAPE));
    let flat = harness.state().brushes.all().iter().position(|brush| brush.named.name == "Flat").unwrap();
    press(&mut harness, &wording::brush_in_hand("Flat"));
    press(&mut harness, wording::STEADIED_ALIKE);
    press(&mut harness, wording::LIVELY_MOUSE);
    harness.get_by_label(&last.display().to_string());
    press(&mut harness, wording::FORGET_LAST_FOLDER);
    press(&mut harness, wording::CHOOSE_IN_WINDOW);
    press(&mut harness, &wording::study_order("Name"));
    harness.get_by_label(&wording::sentences_away(1));
    press(&mut harness, wording::SAY_AGAIN_NAME);
    let now = Settings::read(folder.path()).0;
    assert_eq!(harness.state().tool, crate::ui::tool_kind::ToolKind::Scrape);
    assert_eq!(harness.state().brushes.chosen(), flat);
    assert_eq!(now.get(&settings::BRUSH).as_deref(), Some("Flat"));
    assert_eq!(now.get(&crate::ui::preferences::LIVELY_MOUSE), Some(false));
    assert!(now.get(&settings::STEADYING).is_some() && now.get(&settings::OWN_FILE_BROWSER) == Some(true));
    assert_eq!((now.get(&settings::LAST_FOLDER), now.get(&settings::NEXT_TIME_AWAY)), (None, None));
    // The loupe, by keys.
    let width = harness.state().panels.loupe.aperture_px;
    harness.get_by_label(wording::LOUPE_WIDTH).focus();
    harness.key_press(Key::ArrowRight);
    harness.run();
    assert_eq!(harness.state().panels.loupe.aperture_px, width + 1);
    // Sizes of brushes, and all of it again.
    assert_eq!(harness.state().brushes.all()[flat].named.brush.size_px, 99.0);
    press(&mut harness, wording::BRUSH_SIZES_BACK);
    let size = &harness.state().brushes.all()[flat];
    assert_eq!(size.named.brush.size_px, size.original.size_px);
    press(&mut harness, wording::USUAL_SETTINGS);
    let now = Settings::read(folder.path()).0;
    assert_eq!((now.get(&settings::STEADYING), now.get(&settings::OWN_FILE_BROWSER)), (None, None));
    assert_eq!(harness.state().panels.loupe.aperture_px, width);
}

#[test]
fn a_key_is_changed_by_pressing_it_and_a_clash_is_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let mut harness = settings_page(folder.path(), [1280.0, 800.0]);
    let keys = |folder: &std::path::Path| Keys::read(&folder.join("keys.ron")).0.map().clone();
    harness.get_by_label(wording::FIND_KEY).click();
    harness.run();
    harness.get_by_role_and_label(Accessible::TextInput, wording::FIND_KEY).type_text("mirror");
    harness.run();
    press(&mut harness, &wording::change_key_of("Mirror"));
    assert!(harness.state().panels.takes_any_key());
    harness.get_by_label(&wording::press_the_key("Mirror"));
    keep_picture(&mut harness, "new_key", [1280.0, 800.0]);
    // Tab, the arrows and Enter are keys like others here.
    harness.key_press(Key::J);
    harness.run();
    assert_eq!(keys(folder.path()).action(Chord::plain(Key::J)), Some(Action::Mirror));
    assert_eq!(keys(folder.path()).action(Chord::plain(Key::F7)), None);
    // One that belongs to another is asked about, and Escape leaves everything as it is.
    press(&mut harness, &wording::change_key_of("Mirror"));
    harness.key_press(Key::Tab);
    harness.run();
    harness.get_by_label(&wording::key_taken("Tab", "Paint before this one"));
    press(&mut harness, wording::STOP);
    press(&mut harness, &wording::change_key_of("Mirror"));
    harness.key_press(Key::Escape);
    harness.run();
    assert!(!harness.state().panels.takes_any_key() && harness.state().panels.page == Page::Settings);
    assert_eq!(keys(folder.path()).action(Chord::plain(Key::J)), Some(Action::Mirror));
    press(&mut harness, &wording::change_key_of("Mirror"));
    harness.key_press(Key::Tab);
    harness.run();
    press(&mut harness, &wording::give_over_to("Mirror"));
    assert_eq!(keys(folder.path()).action(Chord::plain(Key::Tab)), Some(Action::Mirror));
    assert!(keys(folder.path()).keys(Action::Previous).is_empty());
    // Pasting stays pasting.
    press(&mut harness, &wording::change_key_of("Mirror"));
    harness.key_press_modifiers(egui::Modifiers::COMMAND, Key::V);
    harness.run();
    assert!(harness.state().panels.takes_any_key());
    press(&mut harness, wording::STOP);
    press(&mut harness, wording::ALL_KEYS_BACK);
    assert_eq!(keys(folder.path()), Keys::default().map().clone());
}

#[test]
fn everything_the_keys_do_is_found_by_its_name() {
    let mut screen = full();
    screen.panels.toggle_finder();
    let mut harness = small(screen);
    let field = |harness: &Harness<'_, Screen>| {
        harness.get_by_role_and_label(Accessible::TextInput, wording::FIND_BY_NAME).rect()
    };
    let place = field(&harness);
    harness.get_by_role_and_label(Accessible::TextInput, wording::FIND_BY_NAME).type_text("turn");
    harness.run();
    keep_picture(&mut harness, "finder", [1280.0, 800.0]);
    assert_eq!(field(&harness), place, "nothing jumps");
    harness.key_press(Key::ArrowDown);
    harness.run();
    // The window does it; here it waits, frame by frame.
    harness.key_press(Key::Enter);
    harness.step();
    assert_eq!(harness.state().requests, [Request::Act(Action::TurnRight)]);
    assert!(!harness.state().panels.sheet_is_open());
    // A key does it too; the window is asked.
    for key in ["full screen", "whole screen"] {
        harness.state_mut().requests.clear();
        harness.state_mut().panels.toggle_finder();
        harness.run();
        harness.get_by_role_and_label(Accessible::TextInput, wording::FIND_BY_NAME).type_text(key);
        harness.run();
        harness.key_press(Key::Enter);
        harness.step();
        assert_eq!(harness.state().requests, [Request::Act(Action::WholeScreen)], "{key}");
    }
    // Without a study only what can be done is found.
    let mut start = Screen::from(State::default());
    start.panels.toggle_finder();
    let harness = small(start);
    assert!(harness.query_by_label("Mirror").is_none());
    harness.get_by_role_and_label(Accessible::ListBoxOption, Action::Settings.words());
}

#[test]
fn the_page_fits_into_windows_of_all_sizes() {
    for size in [[900.0, 600.0], [1280.0, 800.0], [2560.0, 1440.0]] {
        let folder = tempfile::tempdir().unwrap();
        let mut harness = settings_page(folder.path(), size);
        keep_picture(&mut harness, "settings", size);
        let last = harness.get_by_label(&wording::percent(200)).rect();
        assert!(last.right() < harness.get_by_label(wording::FIND_KEY).rect().left(), "{size:?}");
    }
}

#[test]
fn a_damaged_file_is_put_aside_when_the_painter_says_so() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("settings.ron"), "{ \"tool\": ").unwrap();
    let mut harness = settings_page(folder.path(), [1280.0, 800.0]);
    harness.get_by_label(wording::SETTINGS_DAMAGED);
    press(&mut harness, wording::BEGIN_ANEW);
    assert!(harness.query_by_label(wording::SETTINGS_DAMAGED).is_none());
    assert!(folder.path().join("settings with mistakes.ron").is_file());
}
