//! The kept boards: cards, what is looked for, what can be done with a board.

use super::*;
use crate::files::library::Library;
use crate::ui::panels::Page;
use egui::Key;
use egui::accesskit::Toggled;
use egui_kittest::kittest::{By, NodeT};
use std::path::Path;
use stint_model::colour::Colour;

fn board(name: &str, light: LightOfDay, date: &str, families: &[(&str, &[&str])]) -> Board {
    let mut board = Board { date: date.to_owned(), ..Board::new(name, light) };
    for (family, colours) in families {
        let id;
        (board, id) = board.with_family(family).unwrap();
        for (role, colour) in [Role::Light, Role::Local, Role::Shadow].into_iter().zip(*colours) {
            board = board.with_swatch(id, role, "", Colour::from_hex(colour).unwrap(), &[]).unwrap().0;
        }
    }
    board
}

/// Three boards, one with a photo.
fn kept(home: &Path) -> Library {
    let mut library = Library::open(Some(home));
    let picture = image::open(photo()).unwrap().thumbnail(256, 256).to_rgb8();
    let families: Vec<_> = BOARD.iter().map(|(family, colours)| (*family, colours.as_slice())).collect();
    let mut depot = board("Depot", LightOfDay::Cool, "2026-11-25", &families);
    depot.photo = "tram_depot.jpg".to_owned();
    library.keep(&depot, Some(&picture)).unwrap();
    let noon = [("Brick", &["#d6a07c", "#a4633b", "#5c3424"][..]), ("Hedge", &["#a9b070", "#5d7038", "#33412a"])];
    library.keep(&board("Noon", LightOfDay::Warm, "2026-06-02", &noon), None).unwrap();
    let rain = [("Wet stone", &["#98a0a4", "#5c6468", "#33383b"][..])];
    library.keep(&board("Rain", LightOfDay::Neutral, "2026-09-14", &rain), None).unwrap();
    library
}

fn opened(mut state: Screen, home: &Path) -> Harness<'static, Screen> {
    state.data_folder = Some(home.to_owned());
    state.panels.page = Page::Library;
    state.engine = EngineChoice::Cpu;
    small(state)
}

/// The cards as they follow one another, by the first word of their names.
fn cards(harness: &Harness<'_, Screen>) -> Vec<String> {
    let cards = harness.query_all(By::new().role(Accessible::ListBoxOption));
    let mut cards: Vec<_> = cards.filter_map(|n| Some((n.rect().min, n.accesskit_node().label()?))).collect();
    cards.sort_by(|(a, _), (b, _)| a.y.total_cmp(&b.y).then(a.x.total_cmp(&b.x)));
    cards.into_iter().map(|(_, label)| label.split(',').next().unwrap_or_default().to_owned()).collect()
}

fn chosen(harness: &Harness<'_, Screen>) -> String {
    let mut cards = harness.query_all(By::new().role(Accessible::ListBoxOption));
    let chosen = cards.find(|n| n.accesskit_node().toggled() == Some(Toggled::True)).unwrap();
    chosen.accesskit_node().label().unwrap()
}

fn write(harness: &mut Harness<'_, Screen>, field: &str, text: &str) {
    harness.get_by_role_and_label(Accessible::TextInput, field).set_text_value_accesskit(text);
    harness.run();
}

#[test]
fn boards_are_found_by_words_light_colour_and_order() {
    let home = tempfile::tempdir().unwrap();
    kept(home.path());
    let mut harness = opened(State::default().into(), home.path());
    assert_eq!(cards(&harness), ["Depot", "Rain", "Noon"]);
    press(&mut harness, wording::ORDERS[2]);
    assert_eq!(cards(&harness), ["Depot", "Noon", "Rain"]);
    write(&mut harness, wording::LIBRARY_WORDS, "brick");
    assert_eq!(cards(&harness), ["Depot", "Noon"]);
    harness.get_by_label(&wording::boards_of(2, 3));
    press(&mut harness, "Warm");
    assert_eq!(cards(&harness), ["Noon"]);
    press(&mut harness, wording::ANY_LIGHT);
    write(&mut harness, wording::LIBRARY_WORDS, "");
    write(&mut harness, wording::NEAR_COLOUR, "#5d7038");
    assert_eq!(cards(&harness)[0], "Noon");
    assert_eq!(harness.query_all_by_label_contains("0.0 from the colour").count(), 2, "the card and the chosen board");
    write(&mut harness, wording::NEAR_COLOUR, "#5d703");
    assert_eq!(cards(&harness), ["Depot", "Noon", "Rain"], "a colour that is half written ranks nothing");
    write(&mut harness, wording::LIBRARY_WORDS, "nothing of the sort");
    harness.get_by_label(wording::NOTHING_FITS);
    // The column of the chosen board says what it is for, and one button shows everything again.
    harness.get_by_label(wording::CHOSEN_BOARD);
    harness.get_by_label(wording::CHOSEN_BOARD_HINT);
    press(&mut harness, wording::SHOW_ALL_BOARDS);
    assert_eq!(cards(&harness), ["Depot", "Noon", "Rain"]);
    assert!(harness.query_by_label(wording::CHOSEN_BOARD_HINT).is_none() && chosen(&harness).starts_with("Depot"));
}

#[test]
fn a_photo_ranks_the_board_that_was_made_from_it_first() {
    let home = tempfile::tempdir().unwrap();
    kept(home.path());
    let mut harness = opened(State::default().into(), home.path());
    press(&mut harness, wording::LIKE_PHOTO_NAME);
    choose(&mut harness, Path::new(&photo()), wording::OPEN_IT);
    for _ in 0..600 {
        harness.step();
        if harness.query_by_label(&wording::compared_with("tram_depot.jpg")).is_some() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    harness.run();
    assert_eq!(cards(&harness)[0], "Depot");
    assert_eq!(harness.query_all_by_label_contains("from the photo").count(), 4, "three cards and the chosen board");
    press(&mut harness, wording::FORGET_PHOTO_NAME);
    assert_eq!(harness.query_all_by_label_contains("from the photo").count(), 0);
    // What is no photo is told.
    let notes = home.path().join("notes.jpg");
    std::fs::write(&notes, "a few words").unwrap();
    press(&mut harness, wording::LIKE_PHOTO_NAME);
    choose(&mut harness, &notes, wording::OPEN_IT);
    for _ in 0..1500 {
        harness.step();
        if !harness.state().notices.is_empty() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
    assert!(harness.state().notices[0].contains("notes.jpg"), "{:?}", harness.state().notices);
}

#[test]
fn a_board_is_renamed_duplicated_discarded_and_brought_back() {
    let home = tempfile::tempdir().unwrap();
    let mut library = kept(home.path());
    let mut harness = opened(State::default().into(), home.path());
    harness.get_by_label_contains("Noon, Warm light").click();
    harness.run();
    press(&mut harness, wording::RENAME);
    write(&mut harness, wording::NEW_NAME, "Midday");
    press(&mut harness, wording::KEEP);
    assert!(chosen(&harness).starts_with("Midday, "), "{}", chosen(&harness));
    press(&mut harness, wording::DUPLICATE);
    assert!(chosen(&harness).starts_with("Midday 2, "));
    press(&mut harness, wording::DISCARD);
    assert_eq!(library.entries().unwrap().len(), 3);
    press(&mut harness, &wording::restore_named("Midday 2"));
    assert!(chosen(&harness).starts_with("Midday 2, "));
    assert!(harness.query_by_label(wording::DISCARDED).is_none());
    // A name that is taken is refused in words.
    press(&mut harness, wording::RENAME);
    write(&mut harness, wording::NEW_NAME, "rain");
    press(&mut harness, wording::KEEP);
    assert!(harness.state().notices[0].contains("already"), "{:?}", harness.state().notices);
    let names: Vec<_> = library.entries().unwrap().iter().map(|e| e.name.clone()).collect();
    assert_eq!(names, ["Depot", "Midday", "Midday 2", "Rain"]);
}

#[test]
fn a_broken_file_is_shown_with_what_is_wrong() {
    let home = tempfile::tempdir().unwrap();
    let library = kept(home.path());
    std::fs::write(library.folder().join("Torn.board.ron"), "(format: 2,").unwrap();
    let mut harness = opened(State::default().into(), home.path());
    assert_eq!(cards(&harness), ["Depot", "Rain", "Noon", "Torn"]);
    harness.get_by_label_contains(&format!("Torn, {}", wording::BROKEN_FILE)).click();
    harness.run();
    harness.get_by_label_contains("Torn.board.ron, line 1");
    assert!(harness.query_by_label(wording::START_STUDY).is_none());
    press(&mut harness, wording::DISCARD);
    harness.get_by_label(&wording::restore_named("Torn"));
}

#[test]
fn keys_walk_the_cards_and_enter_starts_a_study_on_the_board() {
    let home = tempfile::tempdir().unwrap();
    kept(home.path());
    let mut harness = opened(full(), home.path());
    let key = |harness: &mut Harness<'static, Screen>, key: Key| {
        harness.key_press(key);
        harness.run();
    };
    assert!(chosen(&harness).starts_with("Depot, "));
    key(&mut harness, Key::ArrowRight);
    assert!(chosen(&harness).starts_with("Rain, "));
    key(&mut harness, Key::ArrowRight);
    assert!(chosen(&harness).starts_with("Noon, "), "{}", chosen(&harness));
    // There is none after the last.
    key(&mut harness, Key::ArrowRight);
    assert!(chosen(&harness).starts_with("Noon, "), "{}", chosen(&harness));
    key(&mut harness, Key::Home);
    assert!(chosen(&harness).starts_with("Depot, "));
    key(&mut harness, Key::End);
    key(&mut harness, Key::Enter);
    // The study that was open is closed; the form waits with the board and its light.
    assert!(harness.state().session.is_none() && harness.state().panels.page == Page::Canvas);
    harness.get_by_label(&wording::with_board("Noon"));
    press(&mut harness, wording::START_EMPTY);
    settled(&mut harness);
    assert!(home.path().join("Noon.stint").is_file());
    assert_eq!(harness.state().notices, [""; 0]);
    let made = document(&harness).board;
    assert_eq!((made.name.as_str(), made.light, made.families.len()), ("Noon", LightOfDay::Warm, 2));
}

#[test]
fn a_kept_board_is_taken_into_the_study_and_a_studys_board_is_kept() {
    let home = tempfile::tempdir().unwrap();
    let mut library = kept(home.path());
    let mut harness = opened(full(), home.path());
    press(&mut harness, wording::KEEP_THIS_BOARD);
    assert!(chosen(&harness).starts_with("Tram depot, Cool light"), "{}", chosen(&harness));
    let entry = library.find("Tram depot").unwrap();
    assert_eq!(entry.board().unwrap().photo, "tram_depot.jpg");
    assert!(entry.photo.is_some());
    harness.get_by_label_contains("Noon, Warm light").click();
    harness.run();
    press(&mut harness, wording::USE_IN_STUDY);
    assert_eq!(document(&harness).board.name, "Noon");
    assert!(harness.state().panels.page == Page::Canvas);
}

#[test]
fn escape_leaves_a_field_first_and_then_the_page() {
    let home = tempfile::tempdir().unwrap();
    let none = opened(full(), home.path());
    none.get_by_label(wording::NOTHING_KEPT);
    assert!(none.query_by_role_and_label(Accessible::TextInput, wording::LIBRARY_WORDS).is_none(), "among no boards");
    none.get_by_label(wording::KEEP_THIS_BOARD);
    kept(home.path());
    let mut harness = opened(full(), home.path());
    harness.get_by_role_and_label(Accessible::TextInput, wording::LIBRARY_WORDS).focus();
    harness.run();
    harness.key_press(Key::Escape);
    harness.run();
    assert!(harness.state().panels.page == Page::Library);
    harness.key_press(Key::Escape);
    harness.run();
    assert!(harness.state().panels.page == Page::Canvas && harness.state().session.is_some());
}

#[test]
fn of_many_boards_only_those_in_sight_are_laid_out() {
    let home = tempfile::tempdir().unwrap();
    let library = kept(home.path());
    let text = std::fs::read_to_string(library.folder().join("Depot.board.ron")).unwrap();
    for i in 0..497 {
        let text = text.replace("name: \"Depot\"", &format!("name: \"Study {i:03}\""));
        std::fs::write(library.folder().join(format!("Study {i:03}.board.ron")), text).unwrap();
    }
    let mut harness = opened(State::default().into(), home.path());
    harness.get_by_label(&wording::boards_of(500, 500));
    press(&mut harness, wording::ORDERS[2]);
    let in_sight = cards(&harness).len();
    assert!((9..=15).contains(&in_sight), "{in_sight}");
    harness.key_press(Key::End);
    harness.run();
    assert!(chosen(&harness).starts_with("Study 496, "), "{}", chosen(&harness));
    let began = std::time::Instant::now();
    for _ in 0..20 {
        harness.step();
    }
    // For a person to read; timings are not asserted.
    println!("500 boards: {:.1} ms a frame", began.elapsed().as_secs_f64() * 50.0);
}

#[test]
fn a_folder_that_becomes_unreadable_while_the_page_is_open_is_told() {
    let home = tempfile::tempdir().unwrap();
    let library = kept(home.path());
    let mut harness = opened(State::default().into(), home.path());
    assert_eq!(cards(&harness).len(), 3);
    let folder = library.folder().to_owned();
    std::fs::rename(&folder, home.path().join("away")).unwrap();
    std::fs::write(&folder, "no folder").unwrap();
    harness.state_mut().panels.library.look_again();
    harness.run();
    assert!(harness.state().notices.iter().any(|n| n.contains("the folder of kept boards")));
    // What is in sight can be chosen still, and what is asked of it is refused in words.
    harness.key_press(Key::ArrowRight);
    harness.run();
    assert_eq!(cards(&harness).len(), 3);
}
