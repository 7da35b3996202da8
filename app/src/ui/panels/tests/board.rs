//! The board's panel: remarks and their offers, variations, and boards in files.

use super::*;
use crate::ui::stale::Stale;
use egui::pos2;
use egui_kittest::kittest::NodeT;
use stint_model::board::review::review;
use stint_model::study::tile::TilePos;
use stint_model::variation::turn::turn;

/// What the canvas shows, as the engine gives it.
fn canvas(harness: &mut Harness<'static, Screen>) -> Vec<u32> {
    let places: Vec<_> = (0..2).map(|column| TilePos { column, row: 0 }).collect();
    harness.state_mut().session.as_mut().unwrap().canvas().resolve(&places).unwrap()
}

/// The window with the board's panel open at one of its tabs.
fn open(state: Screen, tab: &str) -> Harness<'static, Screen> {
    let mut harness = small(state);
    press(&mut harness, wording::BOARD);
    if tab != wording::BOARD_TAB {
        harness.get_by_label_contains(tab).click();
        harness.run();
    }
    harness
}

fn depth(harness: &Harness<'_, Screen>) -> u64 {
    harness.state().session.as_ref().unwrap().depths().0
}

/// The colour in the middle of a dab of the tray.
fn dab_colour(harness: &mut Harness<'static, Screen>, name: &str) -> [u8; 4] {
    let at = harness.get_by_label(name).rect().center();
    harness.render().unwrap().get_pixel(at.x as u32, at.y as u32).0
}

fn away(harness: &mut Harness<'static, Screen>) {
    harness.hover_at(pos2(600.0, 200.0));
    harness.run();
}

/// A board with a light that is too near to its local in value.
pub(super) fn questionable() -> Screen {
    let mut state = full();
    let light = SwatchRef::Swatch { family: "Brick".to_owned(), role: Role::Light };
    assert!(state.apply(&Command::Recolour { swatch: light, colour: "#78564f".to_owned() }));
    state
}

#[test]
fn an_offer_is_tried_out_under_the_pointer_and_taken_by_a_press() {
    let mut harness = open(questionable(), "Remarks");
    let own = document(&harness);
    let remark = review(&own.board)
        .into_iter()
        .find(|r| r.text.contains("brick light") || r.text.contains("Brick light"))
        .unwrap();
    let offers = stint_model::board::review::offers(&own.board, &remark, &[]);
    let offer = offers.first().unwrap();
    let words = wording::sentence_start(&offer.words);
    let (before, steps) = (canvas(&mut harness), depth(&harness));
    let dab = dab_colour(&mut harness, "Brick light");
    let button = harness.get_all_by_label(&words).next().unwrap();
    button.hover();
    harness.run();
    assert_eq!(harness.state().trial_board.as_ref(), Some(&offer.board));
    assert_eq!(harness.state().remarked, remark.swatches, "the remark's swatches are ringed");
    assert_ne!(canvas(&mut harness), before, "the painting follows");
    let tried = offer.board.swatches().find(|(_, s)| own.board.swatch(s.id).is_some_and(|o| o.colour != s.colour));
    let (_, tried) = tried.expect("the offer moves a colour");
    let name = crate::ui::panels::swatch_sheet::called(&offer.board, tried.id);
    let [r, g, b, _] = dab_colour(&mut harness, &name);
    assert_eq!(theme::srgb([r, g, b]), theme::paint(tried.colour), "and the tray");
    away(&mut harness);
    assert_eq!((harness.state().trial_board.is_none(), depth(&harness)), (true, steps));
    assert_eq!(canvas(&mut harness), before, "nothing is left");
    assert_eq!(dab_colour(&mut harness, "Brick light"), dab);
    assert_eq!(document(&harness), own);
    harness.get_all_by_label(&words).next().unwrap().click();
    harness.run();
    away(&mut harness);
    assert_eq!((&document(&harness).board, depth(&harness)), (&offer.board, steps + 1));
    assert!(!review(&document(&harness).board).iter().any(|r| r.subject() == remark.subject()));
    step(&mut harness, wording::STEP_BACK);
    assert_eq!((document(&harness).board, canvas(&mut harness)), (own.board, before));
}

#[test]
fn an_offer_is_tried_out_while_the_keyboard_is_on_it() {
    let mut harness = open(questionable(), "Remarks");
    let board = document(&harness).board;
    let remark = review(&board)[0].clone();
    let offer = stint_model::board::review::offers(&board, &remark, &[])[0].clone();
    let words = wording::sentence_start(&offer.words);
    harness.get_all_by_label(&words).next().unwrap().focus();
    harness.run();
    assert_eq!(harness.state().trial_board.as_ref(), Some(&offer.board));
    harness.key_press(egui::Key::Enter);
    harness.run();
    assert_eq!(document(&harness).board, offer.board);
}

#[test]
fn a_remark_is_dismissed_and_brought_back() {
    let mut harness = open(questionable(), "Remarks");
    let remarks = review(&document(&harness).board);
    let found = wording::sentence_start(remarks[0].text.split(": ").next().unwrap());
    harness.get_by_label(&wording::dismiss_remark(&found)).hover();
    harness.run();
    assert_eq!(harness.state().remarked, remarks[0].swatches);
    press(&mut harness, &wording::dismiss_remark(&found));
    assert_eq!(document(&harness).board.dismissed, [remarks[0].subject()]);
    assert!(harness.query_by_label(&wording::dismiss_remark(&found)).is_none());
    harness.get_by_label(&wording::bring_back(&found)).scroll_to_me();
    harness.run();
    press(&mut harness, &wording::bring_back(&found));
    assert_eq!(document(&harness).board.dismissed, []);
    harness.get_by_label(&wording::dismiss_remark(&found));
}

#[test]
fn a_turn_is_followed_live_kept_as_a_new_board_and_switched_back() {
    let mut harness = open(full(), wording::VARIATIONS);
    let own = document(&harness).board;
    let (before, steps) = (canvas(&mut harness), depth(&harness));
    harness.state_mut().stale = Stale::default();
    let rail = harness.get_by_label(wording::TURN).rect();
    harness.drag_at(rail.center());
    harness.run();
    harness.hover_at(rail.lerp_inside(egui::vec2(0.75, 0.5)));
    harness.run();
    let tried = harness.state().trial_board.clone().expect("while the slider moves");
    let degrees = 90.0;
    let turned = turn(&own, degrees).unwrap().board;
    let off = |a: &Board, b: &Board| {
        let pairs = a.swatches().zip(b.swatches());
        pairs.map(|((_, a), (_, b))| (a.colour.oklab().a - b.colour.oklab().a).abs()).fold(0.0_f32, f32::max)
    };
    assert!(off(&tried, &turned) < 0.02, "the slider is at a half of its right half: {}", off(&tried, &turned));
    assert_eq!(harness.state().stale, Stale::All);
    assert_ne!(canvas(&mut harness), before);
    // The readout's bar and the tray follow.
    let sky = tried.family_named("Sky").unwrap().with_role(Role::Local).unwrap().clone();
    let [r, g, b, _] = dab_colour(&mut harness, "Sky local");
    assert_eq!(theme::srgb([r, g, b]), theme::paint(sky.colour));
    let readout = harness.state().readout.clone().unwrap();
    let share = readout.swatches.iter().find(|s| s.id == sky.id).unwrap();
    let [r, g, b, _] = dab_colour(&mut harness, &wording::part_of_bar(&share.name, share.share));
    assert_eq!(theme::srgb([r, g, b]), theme::paint(sky.colour));
    harness.drop_at(rail.lerp_inside(egui::vec2(0.75, 0.5)));
    harness.run();
    assert_eq!(
        (harness.state().trial_board.as_ref(), depth(&harness)),
        (Some(&tried), steps),
        "it stays, and is no change"
    );
    // Loading the brush is no change either.
    press(&mut harness, "Sky local");
    assert_eq!(harness.state().trial_board.as_ref(), Some(&tried));
    press(&mut harness, wording::KEEP_AS_NEW);
    let field = harness.get_by_role_and_label(Accessible::TextInput, wording::NEW_BOARD_NAME);
    field.set_text_value_accesskit("Tram depot");
    harness.run();
    press(&mut harness, wording::KEEP_NEW_BOARD);
    assert!(harness.state_mut().notices.pop().unwrap().contains("Tram depot"), "the name is taken");
    assert_eq!(harness.state().trial_board.as_ref(), Some(&tried), "and nothing is lost");
    harness.get_by_role_and_label(Accessible::TextInput, wording::NEW_BOARD_NAME).set_text_value_accesskit("Red hour");
    harness.run();
    press(&mut harness, wording::KEEP_NEW_BOARD);
    let document_now = document(&harness);
    assert_eq!((document_now.board.name.as_str(), document_now.boards.len()), ("Red hour", 1));
    assert_eq!(off(&document_now.board, &tried), 0.0);
    assert_eq!((depth(&harness), harness.state().trial_board.is_none()), (steps + 1, true));
    assert_ne!(canvas(&mut harness), before);
    // Back, by the keyboard.
    press(&mut harness, wording::BOARD_TAB_NAME);
    harness.get_by_label(&wording::switch_to("Red hour", true)).focus();
    harness.run();
    harness.key_press(egui::Key::ArrowDown);
    harness.run();
    assert_eq!(document(&harness).board.name, "Tram depot");
    assert!(harness.get_by_label(&wording::switch_to("Tram depot", true)).is_focused());
    assert_eq!(canvas(&mut harness), before);
    press(&mut harness, &wording::forget_board("Red hour"));
    press(&mut harness, wording::FORGET_BOARD);
    assert_eq!(document(&harness).boards.len(), 0);
}

#[test]
fn the_sliders_change_the_board_in_one_step_or_let_it_be() {
    let mut harness = open(full(), wording::VARIATIONS);
    let (own, steps) = (document(&harness).board, depth(&harness));
    let set = |harness: &mut Harness<'static, Screen>, name: &str, value: f64| {
        harness.get_by_label(name).set_value_accesskit(value);
        harness.run();
    };
    set(&mut harness, wording::LIGHT, -60.0);
    set(&mut harness, wording::SHIFT, -0.5);
    set(&mut harness, wording::TURN, 160.0);
    harness.get_by_label_contains("lay outside sRGB");
    press(&mut harness, wording::AS_IT_WAS);
    assert_eq!((harness.state().trial_board.is_none(), document(&harness).board == own), (true, true));
    set(&mut harness, wording::LIGHT, -60.0);
    set(&mut harness, wording::SPREAD, 0.8);
    let tried = harness.state().trial_board.clone().unwrap();
    press(&mut harness, wording::CHANGE_BOARD);
    assert_eq!((document(&harness).board, depth(&harness)), (tried, steps + 1));
    assert!(harness.state().trial_board.is_none());
    step(&mut harness, wording::STEP_BACK);
    assert_eq!(document(&harness).board, own);
}

#[test]
fn nothing_of_a_preview_outlives_panel_stroke_undo_or_study() {
    let turned = |state: Screen| {
        let mut harness = open(state, wording::VARIATIONS);
        harness.get_by_label(wording::TURN).set_value_accesskit(70.0);
        harness.run();
        assert!(harness.state().trial_board.is_some());
        harness
    };
    let at_rest = |harness: &mut Harness<'static, Screen>, before: &[u32]| {
        harness.run();
        assert!(harness.state().trial_board.is_none());
        assert_eq!(canvas(harness), before);
        assert!(harness.state().panels.board.at_rest());
    };
    let before = canvas(&mut small(full()));
    let mut harness = turned(full());
    press(&mut harness, wording::BACK_FROM_BOARD);
    at_rest(&mut harness, &before);
    // By the key, which closes the panel from outside.
    let mut harness = turned(full());
    harness.state_mut().panels.board_open = false;
    at_rest(&mut harness, &before);
    // The pen comes down.
    let mut harness = turned(full());
    let session = harness.state_mut().session.as_mut().unwrap();
    session.begin_stroke(crate::study::session::StrokeTool::Brush).unwrap();
    harness.state_mut().drop_ended_trial();
    harness.run();
    assert!(harness.state().trial_board.is_none() && harness.state().panels.board.at_rest());
    harness.state_mut().session.as_mut().unwrap().cancel_stroke();
    at_rest(&mut harness, &before);
    // A step back: the last was to load, so that the stroke before it goes.
    let mut harness = turned(full());
    step(&mut harness, wording::STEP_BACK);
    step(&mut harness, wording::STEP_ON);
    at_rest(&mut harness, &before);
    // The kept boards cover the panel.
    let mut harness = turned(full());
    harness.state_mut().panels.page = crate::ui::panels::Page::Library;
    at_rest(&mut harness, &before);
    // The study is closed.
    let mut harness = turned(full());
    press(&mut harness, wording::CLOSE);
    assert!(harness.state().session.is_none() && harness.state().trial_board.is_none());
}

#[test]
fn a_small_picture_is_tried_out_and_sets_the_sliders() {
    let mut harness = open(full(), wording::BOARD_TAB);
    let before = canvas(&mut harness);
    harness.get_by_label(&wording::variation("Lamp")).hover();
    harness.run();
    let lamp = harness.state().trial_board.clone().unwrap();
    assert_ne!(canvas(&mut harness), before);
    away(&mut harness);
    assert!(harness.state().trial_board.is_none());
    press(&mut harness, &wording::variation("Lamp"));
    away(&mut harness);
    assert_eq!(harness.state().trial_board.as_ref(), Some(&lamp));
    let light = harness.get_by_label(wording::LIGHT).accesskit_node().numeric_value().unwrap();
    assert!((-60.0..-30.0).contains(&light), "the slider stands at the lamp: {light}");
    // What the picture shows is what the painting shows: its middle, against the canvas.
    let picture = harness.get_by_label(&wording::variation("Lamp")).rect();
    let rendered = harness.render().unwrap();
    let shown = canvas(&mut harness);
    let seen = shown[(100 * 128 + 64) as usize].to_le_bytes();
    let at = pos2(
        picture.left() + picture.width() * 64.0 / 160.0,
        picture.top() + 4.0 + (picture.height() - 24.0) * 100.0 / 120.0,
    );
    let pixel = rendered.get_pixel(at.x as u32, at.y as u32).0;
    for (a, b) in pixel.iter().zip(seen).take(3) {
        assert!(a.abs_diff(b) <= 2, "{pixel:?} {seen:?}");
    }
}

#[test]
fn a_moving_slider_waits_for_the_canvas_to_catch_up() {
    let mut harness = open(full(), wording::VARIATIONS);
    let turn_to = |harness: &mut Harness<'static, Screen>, degrees: f64| {
        harness.get_by_label(wording::TURN).set_value_accesskit(degrees);
        harness.run();
        harness.state().trial_board.clone()
    };
    harness.state_mut().catching_up = true;
    let first = turn_to(&mut harness, 40.0);
    assert!(first.is_some(), "the first is shown at once");
    assert_eq!(turn_to(&mut harness, 80.0), first);
    harness.state_mut().catching_up = false;
    harness.run();
    assert_ne!(harness.state().trial_board, first);
    harness.state_mut().catching_up = true;
    press(&mut harness, wording::AS_IT_WAS);
    assert_eq!(harness.state().trial_board, None, "an end never waits");
}

#[test]
fn the_board_is_kept_for_other_studies() {
    let home = tempfile::tempdir().unwrap();
    let mut harness = open(full(), wording::BOARD_TAB);
    harness.state_mut().data_folder = Some(home.path().to_owned());
    press(&mut harness, wording::KEEP_IN_LIBRARY);
    let notice = harness.state_mut().notices.pop().unwrap();
    let mut library = crate::files::library::Library::open(Some(home.path()));
    let kept = library.find("Tram depot").unwrap();
    assert!(notice.contains("boards"), "{notice}");
    assert_eq!(kept.board().unwrap().families, document(&harness).board.families);
}

#[test]
fn a_white_is_picked_from_the_photo() {
    let mut harness = open(full(), wording::VARIATIONS);
    press(&mut harness, wording::WHITE);
    let photo = harness.get_by_label(wording::WHITE_PHOTO).rect();
    let at = photo.lerp_inside(egui::vec2(0.12, 0.42));
    harness.hover_at(at);
    harness.run();
    let tried = harness.state().trial_board.clone().expect("the white under the pointer is tried out");
    harness.drag_at(at);
    harness.drop_at(at);
    harness.run();
    assert!(harness.query_by_label(wording::WHITE_PHOTO).is_none(), "the photo goes");
    away(&mut harness);
    assert_eq!(harness.state().trial_board.as_ref(), Some(&tried));
    // By the keyboard: another spot.
    press(&mut harness, wording::WHITE);
    harness.get_by_label(wording::WHITE_PHOTO).focus();
    harness.run();
    harness.key_press(egui::Key::ArrowRight);
    harness.run();
    assert_ne!(harness.state().trial_board.as_ref(), Some(&tried));
    let other = harness.state().trial_board.clone();
    harness.key_press(egui::Key::Enter);
    harness.run();
    press(&mut harness, wording::CHANGE_BOARD);
    assert_eq!(Some(document(&harness).board), other);
}

#[test]
fn a_board_goes_into_a_file_and_comes_back() {
    let home = tempfile::tempdir().unwrap();
    let mut harness = small(full());
    let before = document(&harness).board;
    press(&mut harness, wording::BOARD);
    let with = |harness: &mut Harness<'static, Screen>, name: &str, button: &str| {
        harness.get_by_label(button).scroll_to_me();
        harness.run();
        press(harness, button);
        let does = if button == wording::WRITE_FILE { wording::WRITE_IT } else { wording::OPEN_IT };
        choose(harness, &home.path().join(name), does);
        harness.state_mut().notices.pop().unwrap_or_default()
    };
    for name in ["depot.board.ron", "depot.css", "depot.json", "depot.png"] {
        assert!(with(&mut harness, name, wording::WRITE_FILE).starts_with("The board is in "), "{name}");
    }
    assert!(harness.state_mut().apply(&Command::Turn(60.0)));
    for name in ["depot.css", "depot.json", "depot.png", "depot.board.ron"] {
        assert_ne!(document(&harness).board, before, "{name}");
        assert_eq!(with(&mut harness, name, wording::USE_FILE), "", "{name}");
        let hex =
            |b: &Board| b.swatches().map(|(f, s)| (f.name.clone(), s.role, s.id, s.colour.hex())).collect::<Vec<_>>();
        assert_eq!(hex(&document(&harness).board), hex(&before), "{name}");
        assert!(harness.state_mut().apply(&Command::Undo));
    }
    std::fs::write(home.path().join("theirs.css"), "body { margin: 0 }").unwrap();
    assert!(with(&mut harness, "depot.txt", wording::WRITE_FILE).contains(".board.ron"));
    // What is there stays until the painter gives it up, whoever wrote it.
    let theirs = home.path().join("theirs.css");
    let question = wording::replace_question(&theirs, "a style sheet, just written");
    assert_eq!(with(&mut harness, "theirs.css", wording::WRITE_FILE), "");
    harness.get_by_label(&question);
    press(&mut harness, wording::OTHER_NAME);
    assert!(harness.query_by_label(&question).is_none());
    assert_eq!(std::fs::read_to_string(&theirs).unwrap(), "body { margin: 0 }");
    let offered = harness.get_by_role_and_label(Accessible::TextInput, wording::FILE_NAME).value().unwrap();
    assert_eq!(offered, "theirs 2.css");
    harness.key_press(egui::Key::Escape);
    harness.run();
    harness.key_press(egui::Key::Escape);
    harness.run();
    assert_eq!(with(&mut harness, "theirs.css", wording::WRITE_FILE), "");
    harness.key_press(egui::Key::Escape);
    harness.run();
    assert!(harness.query_by_label(&question).is_none());
    harness.key_press(egui::Key::Escape);
    harness.run();
    harness.key_press(egui::Key::Escape);
    harness.run();
    assert_eq!(std::fs::read_to_string(&theirs).unwrap(), "body { margin: 0 }");
    assert_eq!(with(&mut harness, "theirs.css", wording::WRITE_FILE), "");
    harness.key_press(egui::Key::Enter);
    harness.run();
    assert!(harness.query_by_label(&question).is_none());
    assert_eq!(harness.state_mut().notices.pop().unwrap(), wording::board_written(&theirs));
    assert_eq!(crate::files::board_file::read_any(&theirs).unwrap().swatches().count(), before.swatches().count());
    // A board of ours is asked about as well.
    assert_eq!(with(&mut harness, "depot.board.ron", wording::WRITE_FILE), "");
    harness.get_by_label(wording::REPLACE);
}
