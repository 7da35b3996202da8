//! The photo large, and everything that is picked from it, pressed by labels.

use super::*;
use crate::ui::keys::Action;
use crate::ui::panels::reference::colour_notes::out_of_range;
use crate::ui::panels::{Page, photo};
use egui::{Event, Key, Modifiers, PointerButton, Pos2, Rect, vec2};
use stint_model::photo::Adjustments;
use stint_model::study::PickSource;

type Window = Harness<'static, Screen>;

/// A study with a board and the demo's photo shown large.
pub(super) fn large() -> Window {
    let mut harness = small(full());
    press(&mut harness, wording::SHOW_LARGE);
    harness
}

fn photo_rect(harness: &Window) -> Rect {
    harness.get_by_label(wording::PHOTO).rect()
}

/// A place on the photo, as parts of its width and height.
fn on_photo(harness: &Window, x: f32, y: f32) -> Pos2 {
    photo_rect(harness).lerp_inside(vec2(x, y))
}

fn click(harness: &mut Window, at: Pos2) {
    harness.hover_at(at);
    harness.drag_at(at);
    harness.drop_at(at);
    harness.run();
}

/// Two clicks within a moment.
fn double_click(harness: &mut Window, at: Pos2) {
    harness.hover_at(at);
    for _ in 0..2 {
        for pressed in [true, false] {
            let (button, modifiers) = (PointerButton::Primary, Modifiers::NONE);
            harness.input_mut().events.push(Event::PointerButton { pos: at, button, pressed, modifiers });
        }
        harness.step();
    }
    harness.run();
}

fn drag(harness: &mut Window, places: &[Pos2]) {
    harness.hover_at(places[0]);
    harness.drag_at(places[0]);
    harness.run();
    for pair in places.windows(2) {
        for step in 1..=6 {
            harness.hover_at(pair[0].lerp(pair[1], step as f32 / 6.0));
            harness.step();
        }
    }
    harness.drop_at(places[places.len() - 1]);
    harness.run();
}

fn write_family(harness: &mut Window, name: &str) {
    harness.get_by_role_and_label(Accessible::TextInput, wording::FAMILY).set_text_value_accesskit(name);
    harness.run();
}

/// Outlines the brick wall of the demo's photo by hand.
pub(super) fn outline_wall(harness: &mut Window) {
    let corners = [(0.45, 0.25), (0.8, 0.22), (0.8, 0.36), (0.45, 0.36)].map(|(x, y)| on_photo(harness, x, y));
    drag(harness, &corners);
}

/// Waits until a proposal is made.
pub(super) fn wait_for_proposal(harness: &mut Window) {
    for _ in 0..1500 {
        harness.run();
        if !harness.state().panels.proposal.waits() {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
    panic!("no proposal within half a minute");
}

fn steps(harness: &Window) -> u64 {
    harness.state().session.as_ref().unwrap().depths().0
}

/// A photo of three fields: almost black, a brown, a red at the edge of sRGB.
pub(super) fn three_fields() -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("fields.png");
    let fields = [[3, 3, 3], [120, 96, 80], [255, 0, 0]];
    let picture = image::RgbImage::from_fn(300, 200, |x, _| image::Rgb(fields[(x / 100) as usize]));
    picture.save(&path).unwrap();
    (folder, path.display().to_string())
}

#[test]
fn the_photo_fills_the_page_and_a_spot_on_it_is_held_and_described() {
    let mut harness = small(full());
    let before = photo_rect(&harness);
    press(&mut harness, wording::SHOW_LARGE);
    let after = photo_rect(&harness);
    assert!(after.width() > 1.8 * before.width() && after.left() > 292.0, "{after:?}");
    assert!((after.aspect_ratio() - before.aspect_ratio()).abs() < 0.02);
    let at = on_photo(&harness, 0.5, 0.3);
    click(&mut harness, at);
    let held = harness.state().panels.loupe.held.unwrap();
    assert!(held.0.abs_diff(800) < 2 && held.1.abs_diff(360) < 2, "{held:?}");
    write_family(&mut harness, "Brick");
    press(&mut harness, "Shadow");
    harness.get_by_label("Brick, shadow");
    for start in ["value ", " chroma"] {
        assert!(harness.query_all_by_label_contains(start).next().is_some(), "{start}");
    }
    assert!(
        harness.query_by_label_contains("than its").is_some()
            || harness.query_by_label_contains("as warm as").is_some()
    );
    press(&mut harness, wording::LAY);
    let picked = document(&harness).picks;
    assert!(picked.values().any(|p| p.how == PickSource::Spot { at: held, aperture: 9, nudged: false }), "{picked:?}");
    press(&mut harness, wording::SHOW_SMALL);
    assert_eq!(photo_rect(&harness), before);
}

/// A pick that is not laid yet, and the page it is on, have nothing to do with the device that paints.
#[test]
fn a_pick_that_is_not_laid_outlives_a_lost_device() {
    let mut harness = large();
    let at = on_photo(&harness, 0.5, 0.3);
    click(&mut harness, at);
    write_family(&mut harness, "Gate");
    let held = harness.state().panels.loupe.held;
    assert!(held.is_some());
    let swatches = |h: &Window| h.state().session.as_ref().unwrap().document().board.swatches().count();
    let before = swatches(&harness);
    let lost = stint_render::engine::EngineError::DeviceLost("planted".to_owned());
    crate::ui::studies::replace_engine(harness.state_mut(), &lost);
    harness.run();
    assert_eq!((harness.state().panels.loupe.held, harness.state().panels.page), (held, Page::Photo));
    press(&mut harness, wording::LAY);
    assert_eq!(swatches(&harness), before + 1, "{:?}", harness.state().notices);
}

#[test]
fn a_pick_out_of_range_is_nudged_and_laid_in_range() {
    let (_folder, path) = three_fields();
    let mut state = empty();
    assert!(state.apply(&Command::Reference(path)));
    let mut harness = small(state);
    press(&mut harness, wording::SHOW_LARGE);
    write_family(&mut harness, "Tar");
    for (x, nudges, words) in
        [(0.5, false, "chroma"), (0.17, true, wording::NEAR_BLACK), (0.83, true, wording::AT_GAMUT_EDGE)]
    {
        let at = on_photo(&harness, x, 0.5);
        click(&mut harness, at);
        harness.get_by_label_contains(words);
        assert_eq!(harness.query_by_label(wording::NUDGE_PICK).is_some(), nudges, "{x}");
        if nudges {
            press(&mut harness, wording::NUDGE_PICK);
            harness.get_by_label_contains("brought to #");
            // The key takes it back, and nudges again.
            assert!(harness.state_mut().panels.take_action(Action::Nudge));
            harness.run();
            harness.get_by_label(wording::NUDGE_PICK);
            harness.state_mut().panels.take_action(Action::Nudge);
            harness.run();
            harness.get_by_label(wording::UNNUDGE);
        }
        press(&mut harness, wording::LAY);
    }
    let board = document(&harness).board;
    assert_eq!(board.swatches().count(), 3);
    assert!(board.swatches().all(|(_, s)| !out_of_range(s.colour)));
    let nudged =
        document(&harness).picks.values().filter(|p| matches!(p.how, PickSource::Spot { nudged: true, .. })).count();
    assert_eq!(nudged, 2);
    while steps(&harness) > 1 {
        harness.state_mut().apply(&Command::Undo);
    }
    assert_eq!(document(&harness).board.swatches().count(), 0);
}

#[test]
fn a_surface_is_outlined_corner_by_corner() {
    let mut harness = large();
    press(&mut harness, wording::OUTLINE_BY_CORNERS);
    let places = [(0.45, 0.25), (0.8, 0.22), (0.1, 0.1), (0.8, 0.36), (0.45, 0.36)];
    for (i, (x, y)) in places.into_iter().enumerate() {
        let at = on_photo(&harness, x, y);
        click(&mut harness, at);
        if i == 2 {
            assert!(harness.state_mut().panels.take_action(Action::CornerBack));
        }
        // Clicks in the same place within a moment would be a double click.
        harness.run_steps(4);
    }
    assert_eq!(harness.state().panels.loupe.outline.len(), 4);
    assert!(harness.query_by_label_contains("Light of the surface:").is_none());
    harness.get_by_label(wording::PHOTO).focus();
    harness.run();
    harness.key_press(Key::Enter);
    harness.run();
    assert_eq!(harness.state().panels.loupe.outline.len(), 4);
    harness.get_by_label_contains("Light of the surface: value");
    // By keys alone: a corner at the held spot with Space, moved by the arrows.
    press(&mut harness, wording::LET_OUTLINE_GO);
    harness.get_by_label(wording::PHOTO).focus();
    harness.run();
    for key in [Key::ArrowRight, Key::ArrowDown, Key::ArrowLeft] {
        harness.key_press(Key::Space);
        harness.run();
        for _ in 0..5 {
            harness.key_press_modifiers(Modifiers::SHIFT, key);
            harness.run();
        }
    }
    harness.key_press(Key::Space);
    harness.run();
    harness.key_press(Key::Enter);
    harness.run();
    let outline = harness.state().panels.loupe.outline.clone();
    assert_eq!(outline.len(), 4, "{outline:?}");
    assert!((outline[1].0 - outline[0].0 - 50.0).abs() < 0.01 && (outline[2].1 - outline[1].1 - 50.0).abs() < 0.01);
    harness.get_by_label_contains("Light of the surface: value");
}

#[test]
fn a_click_with_the_command_key_is_a_corner_and_a_double_click_closes() {
    let mut harness = large();
    let places = [(0.45, 0.25), (0.8, 0.22), (0.6, 0.36)].map(|(x, y)| on_photo(&harness, x, y));
    let button =
        |pos, pressed, modifiers| Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers };
    harness.key_down_modifiers(Modifiers::COMMAND, Key::F20);
    harness.hover_at(places[0]);
    for pressed in [true, false] {
        harness.event_modifiers(button(places[0], pressed, Modifiers::COMMAND), Modifiers::COMMAND);
    }
    harness.event_modifiers(Event::PointerMoved(places[0]), Modifiers::NONE);
    harness.run_steps(4);
    assert_eq!(harness.state().panels.loupe.outline.len(), 1);
    // Once begun, plain clicks go on with it.
    for at in &places[1..] {
        click(&mut harness, *at);
        harness.run_steps(4);
    }
    let fourth = on_photo(&harness, 0.45, 0.36);
    double_click(&mut harness, fourth);
    assert_eq!(harness.state().panels.loupe.outline.len(), 4);
    harness.get_by_label_contains("Shadow of the surface: value");
}

#[test]
fn the_three_tones_are_shown_moved_laid_at_once_and_undone_at_once() {
    let mut harness = large();
    let before = document(&harness).board;
    outline_wall(&mut harness);
    for role in [Role::Light, Role::Local, Role::Shadow] {
        harness.get_by_label_contains(&format!("{}: value", wording::tone_swatch(role)));
        harness.get_by_label(&wording::tone_dot(role));
    }
    assert_eq!(document(&harness).board, before);
    write_family(&mut harness, "Wall");
    let dot = |h: &Window, role| h.get_by_label(&wording::tone_dot(role)).rect().center();
    let (from, to) = (dot(&harness, Role::Light), on_photo(&harness, 0.2, 0.15));
    drag(&mut harness, &[from, to]);
    assert!((dot(&harness, Role::Light) - to).length() < 2.0);
    let moved = harness.state().panels.loupe.moved.clone();
    assert_eq!((moved.len(), moved[0].role, moved[0].aperture), (1, Role::Light, 9));
    // Another one by keys.
    harness.get_by_label(&wording::tone_dot(Role::Shadow)).focus();
    harness.run();
    harness.key_press(Key::ArrowRight);
    harness.run();
    let first = harness.state().panels.loupe.moved[1].at;
    harness.key_press_modifiers(Modifiers::SHIFT, Key::ArrowDown);
    harness.run();
    assert_eq!(harness.state().panels.loupe.moved[1].at, (first.0, first.1 + 10));
    let steps_before = steps(&harness);
    press(&mut harness, wording::LAY_TRIO);
    assert_eq!(steps(&harness), steps_before + 1);
    let wall = document(&harness).board.family_named("Wall").unwrap().clone();
    assert_eq!(wall.swatches.len(), 3);
    let light = wall.with_role(Role::Light).unwrap().id;
    assert_eq!(document(&harness).picks[&light].how, PickSource::Spot { at: moved[0].at, aperture: 9, nudged: false });
    assert!(harness.query_by_label(&wording::tone_dot(Role::Light)).is_none());
    harness.state_mut().apply(&Command::Undo);
    assert_eq!(document(&harness).board, before);
}

#[test]
fn an_outline_too_small_says_so_and_is_let_go() {
    let mut harness = large();
    press(&mut harness, wording::OUTLINE_BY_CORNERS);
    let middle = on_photo(&harness, 0.5, 0.5);
    for by in [vec2(0.0, 0.0), vec2(1.0, 0.0), vec2(0.0, 1.0)] {
        harness.state_mut().panels.loupe.outline.push((800.0 + by.x, 600.0 + by.y));
    }
    harness.hover_at(middle);
    harness.run();
    harness.get_by_label_contains("usable pixels of the photo");
    press(&mut harness, wording::LET_OUTLINE_GO);
    assert!(harness.state().panels.loupe.outline.is_empty());
}

#[test]
fn a_whole_board_is_proposed_looked_at_and_laid_in_one_step() {
    let mut harness = large();
    let before = document(&harness).board;
    press(&mut harness, wording::PROPOSE_BOARD);
    wait_for_proposal(&mut harness);
    let found = harness.state().panels.proposal.families().to_vec();
    assert!(found.len() > 2 && found[0].name.ends_with(", top"), "{found:?}");
    let shares: f32 = found.iter().map(|f| f.share).sum();
    assert!((0.8..1.001).contains(&shares), "{shares}");
    harness.get_by_label(wording::FAMILIES_WANTED).set_value_accesskit(3.0);
    harness.run();
    wait_for_proposal(&mut harness);
    let found = harness.state().panels.proposal.families().to_vec();
    assert!(found.len() <= 3);
    for family in &found {
        harness.get_by_label(&wording::proposed_family(&family.name, &wording::per_cent(family.share)));
    }
    assert_eq!(document(&harness).board, before);
    let steps_before = steps(&harness);
    press(&mut harness, wording::LAY_PROPOSAL);
    assert_eq!(steps(&harness), steps_before + 1);
    let board = document(&harness).board;
    let laid: Vec<_> = board.families[before.families.len()..].iter().map(|f| f.name.clone()).collect();
    assert_eq!(laid, found.iter().map(|f| f.name.clone()).collect::<Vec<_>>());
    // What was shown is what was laid.
    for (family, shown) in board.families[before.families.len()..].iter().zip(&found) {
        let colours: Vec<_> = family.swatches.iter().map(|s| (s.role, s.colour.hex())).collect();
        assert_eq!(colours, shown.tones.iter().map(|(role, c, _)| (*role, c.hex())).collect::<Vec<_>>());
    }
    assert!(harness.query_by_label(wording::LAY_PROPOSAL).is_none());
    harness.state_mut().apply(&Command::Undo);
    assert_eq!(document(&harness).board, before);
    press(&mut harness, wording::PROPOSE_BOARD);
    press(&mut harness, wording::LET_PROPOSAL_GO);
    assert_eq!(document(&harness).board, before);
}

#[test]
fn linked_picks_are_picked_again_after_a_turn() {
    let mut harness = large();
    outline_wall(&mut harness);
    write_family(&mut harness, "Wall");
    press(&mut harness, wording::LAY_TRIO);
    let at = on_photo(&harness, 0.2, 0.2);
    click(&mut harness, at);
    press(&mut harness, wording::LAY);
    assert!(harness.query_by_label(wording::PICK_ALL_AGAIN).is_none());
    harness.get_by_label(wording::HUE_TURN).set_value_accesskit(40.0);
    harness.run();
    harness.get_by_label(&wording::picks_follow(4));
    let before = document(&harness).board;
    press(&mut harness, wording::PICK_ALL_AGAIN);
    harness.get_by_label(&wording::picked_again(4, 4));
    assert!(harness.query_by_label(wording::PICK_ALL_AGAIN).is_none());
    let after = document(&harness).board;
    assert_ne!(before, after);
    harness.state_mut().apply(&Command::Undo);
    harness.run();
    assert_eq!(document(&harness).board, before);
    harness.get_by_label(wording::PICK_ALL_AGAIN);
}

#[test]
fn the_photo_is_shown_before_its_adjustments_while_that_is_held() {
    let mut harness = large();
    harness.get_by_label(wording::HUE_TURN).set_value_accesskit(120.0);
    harness.run();
    let shown = |h: &mut Window| {
        let Screen { state, panels, .. } = h.state_mut();
        photo::displayed(state, panels).unwrap().shown
    };
    let middle = photo_rect(&harness).lerp_inside(vec2(0.65, 0.3));
    let pixel = |h: &mut Window| {
        h.run();
        *h.render().unwrap().get_pixel(middle.x as u32, middle.y as u32)
    };
    let turned = pixel(&mut harness);
    assert_eq!(shown(&mut harness).hue_turn_degrees, 120.0);
    let button = harness.get_by_label(wording::LOOK_BEFORE).rect().center();
    harness.hover_at(button);
    harness.drag_at(button);
    harness.run();
    assert_eq!(shown(&mut harness), Adjustments::default());
    let plain = pixel(&mut harness);
    assert_ne!(plain, turned);
    harness.drop_at(button);
    assert_eq!(pixel(&mut harness), turned);
    harness.state_mut().panels.hold_keys(false, true);
    assert_eq!(pixel(&mut harness), plain);
    harness.state_mut().panels.hold_keys(false, false);
    assert_eq!(pixel(&mut harness), turned);
    assert_eq!(document(&harness).reference.unwrap().adjustments.hue_turn_degrees, 120.0);
}

#[test]
fn the_wheel_comes_closer_and_the_middle_button_moves() {
    let mut harness = large();
    let all = photo_rect(&harness);
    let at = all.lerp_inside(vec2(0.3, 0.4));
    harness.hover_at(at);
    harness.run();
    assert!(harness.state_mut().panels.take_action(Action::ActualSize));
    harness.run();
    // 1600 photo pixels are 1600 points: more than the page, which it fills now.
    assert!(photo_rect(&harness).width() > all.width());
    click(&mut harness, at);
    let held = harness.state().panels.loupe.held.unwrap();
    assert!(held.0.abs_diff(480) < 3 && held.1.abs_diff(480) < 3, "{held:?}");
    let button =
        |pos, pressed| Event::PointerButton { pos, button: PointerButton::Middle, pressed, modifiers: Modifiers::NONE };
    let to = at + vec2(60.0, 20.0);
    harness.event(button(at, true));
    harness.run();
    harness.hover_at(at + vec2(30.0, 10.0));
    harness.run();
    harness.hover_at(to);
    harness.run();
    harness.event(button(to, false));
    harness.run();
    assert!(harness.state().panels.loupe.outline.is_empty());
    click(&mut harness, to);
    let moved = harness.state().panels.loupe.held.unwrap();
    assert!(moved.0.abs_diff(held.0) < 3 && moved.1.abs_diff(held.1) < 3, "{moved:?} {held:?}");
    harness.hover_at(to);
    harness.event(Event::MouseWheel {
        unit: egui::MouseWheelUnit::Point,
        delta: vec2(0.0, -9000.0),
        phase: egui::TouchPhase::Move,
        source: egui::MouseWheelSource::Wheel,
        modifiers: Modifiers::NONE,
    });
    harness.run_steps(20);
    assert_eq!(photo_rect(&harness), all);
    assert!(harness.state_mut().panels.take_action(Action::ZoomIn));
    harness.run();
    assert!(harness.state_mut().panels.take_action(Action::Fit));
    harness.run();
    assert_eq!(photo_rect(&harness), all);
}

#[test]
fn putting_the_reference_away_shuts_the_page_and_escape_goes_back() {
    let mut harness = large();
    press(&mut harness, wording::PUT_REFERENCE_AWAY);
    assert!(harness.query_by_label(wording::PHOTO).is_none());
    assert_eq!(harness.state().panels.page, crate::ui::panels::Page::Canvas);
    harness.state_mut().panels.toggle_page(crate::ui::panels::Page::Photo);
    harness.run();
    let at = on_photo(&harness, 0.5, 0.5);
    click(&mut harness, at);
    harness.get_by_label(wording::LAY);
    for held in [true, false] {
        assert_eq!(harness.state().panels.loupe.held.is_some(), held);
        assert!(harness.state_mut().panels.take_action(Action::Cancel));
    }
    harness.run();
    assert_eq!(harness.state().panels.page, crate::ui::panels::Page::Canvas);
    let mut none = small(empty());
    none.state_mut().panels.toggle_page(crate::ui::panels::Page::Photo);
    none.run();
    none.get_by_label(wording::NO_PHOTO_LARGE);
}

fn adjustments(harness: &Window) -> Adjustments {
    document(harness).reference.unwrap().adjustments
}

#[test]
fn exposure_and_contrast_move_by_keys_and_a_double_click_sets_them_back() {
    let mut harness = small(full());
    let [exposure, contrast] = [wording::EXPOSURE, wording::CONTRAST].map(|name| harness.get_by_label(name).rect());
    assert!((exposure.center().y - contrast.center().y).abs() < 1.0, "side by side");
    let at = exposure.lerp_inside(vec2(0.75, 0.5));
    click(&mut harness, at);
    let clicked = adjustments(&harness).exposure_stops;
    assert!(clicked > 1.0, "{clicked}");
    harness.key_press(Key::ArrowLeft);
    harness.run();
    let moved = adjustments(&harness).exposure_stops;
    assert!(moved < clicked, "{moved}");
    let at = contrast.lerp_inside(vec2(0.9, 0.5));
    click(&mut harness, at);
    assert!(adjustments(&harness).contrast > 1.5 && adjustments(&harness).exposure_stops == moved);
    for rect in [exposure, contrast] {
        double_click(&mut harness, rect.lerp_inside(vec2(0.2, 0.5)));
    }
    assert_eq!(adjustments(&harness), Adjustments::default());
}

/// Whatever is said of a spot or of a surface, the fields and buttons under it stay where they are.
#[test]
fn what_is_said_of_a_pick_moves_no_field() {
    let mut harness = small(full());
    // The family has swatches to compare with, so that much is said.
    harness.state_mut().panels.loupe.family = "Brick".to_owned();
    harness.run();
    let places = |h: &Window| {
        let field = h.get_by_role_and_label(Accessible::TextInput, wording::FAMILY).rect();
        [field, h.get_by_label(wording::role_title(Role::Local)).rect()]
    };
    let before = places(&harness);
    let mut most = 0;
    for (x, y) in [(0.1, 0.1), (0.5, 0.5), (0.8, 0.35), (0.8, 0.7), (0.3, 0.95), (0.2, 0.5), (0.65, 0.3)] {
        let at = on_photo(&harness, x, y);
        click(&mut harness, at);
        let said = harness.get_all_by_role(Accessible::Label).count();
        most = most.max(said);
        assert_eq!(places(&harness), before, "at {x}, {y}");
    }
    assert!(most > 0);
    // A surface, which has columns of its own.
    let corners = [(0.45, 0.3), (0.7, 0.3), (0.7, 0.5), (0.45, 0.5)].map(|(x, y)| on_photo(&harness, x, y));
    drag(&mut harness, &corners);
    assert!(!harness.state().panels.loupe.outline.is_empty());
    let field = harness.get_by_role_and_label(Accessible::TextInput, wording::FAMILY).rect();
    assert_eq!(field, before[0]);
}

#[test]
fn a_crop_is_pulled_over_the_large_photo_and_undone_by_one_press() {
    let mut harness = small(full());
    press(&mut harness, wording::CROP_PHOTO);
    assert!(harness.state().panels.page == Page::Photo);
    // The whole photo shows, with the shape of the canvas kept: 4 to 3, as the photo.
    let whole = photo_rect(&harness);
    let corner = harness.get_by_label(&wording::crop_handle(1, 1)).rect().center();
    drag(&mut harness, &[corner, whole.center()]);
    let crop = adjustments(&harness).crop.unwrap();
    assert_eq!((crop.x, crop.y), (0, 0));
    assert!(crop.width_px.abs_diff(800) < 8 && crop.height_px.abs_diff(600) < 8, "{crop:?}");
    // By keys: the frame moves as it is.
    harness.get_by_label(wording::CROP_FRAME).focus();
    harness.key_press(Key::ArrowRight);
    harness.run();
    let moved = adjustments(&harness).crop.unwrap();
    assert_eq!((moved.width_px, moved.height_px), (crop.width_px, crop.height_px));
    assert!(moved.x > 0 && moved.y == 0);
    press(&mut harness, wording::END_CROPPING);
    assert!(harness.state().panels.page == Page::Canvas);
    // What is left fills the column, and a pick has the place it has on the whole photo.
    let before = photo_rect(&harness);
    let at = before.lerp_inside(vec2(0.5, 0.5));
    click(&mut harness, at);
    let held = harness.state().panels.loupe.held.unwrap();
    assert!(held.0.abs_diff(moved.x + moved.width_px / 2) < 4 && held.1.abs_diff(moved.height_px / 2) < 4, "{held:?}");
    // The canvas shows what is used; all of it comes back by one press.
    let photo = harness.state_mut().session.as_mut().unwrap().reference().unwrap().0;
    let corners = harness.state().session.as_ref().unwrap().framing(&photo).corners_px();
    assert_eq!(corners[0], (moved.x as f32, 0.0));
    press(&mut harness, wording::CROP_PHOTO);
    press(&mut harness, wording::UNCROP);
    assert_eq!(adjustments(&harness).crop, None);
    harness.key_press(Key::Escape);
    harness.run();
    assert!(harness.state().panels.page == Page::Canvas);
}

#[test]
fn without_the_shape_of_the_canvas_sides_are_pulled_alone() {
    let mut harness = small(full());
    press(&mut harness, wording::CROP_PHOTO);
    assert!(harness.query_by_label(&wording::crop_handle(1, 0)).is_none());
    press(&mut harness, wording::KEEP_CANVAS_SHAPE);
    let whole = photo_rect(&harness);
    let side = harness.get_by_label(&wording::crop_handle(1, 0)).rect().center();
    drag(&mut harness, &[side, whole.lerp_inside(vec2(0.25, 0.9))]);
    let crop = adjustments(&harness).crop.unwrap();
    assert!(crop.width_px.abs_diff(400) < 6 && crop.height_px == 1200, "{crop:?}");
    // Taking the shape up again fits the frame into what is there.
    press(&mut harness, wording::KEEP_CANVAS_SHAPE);
    let crop = adjustments(&harness).crop.unwrap();
    assert!((crop.width_px as f32 / crop.height_px as f32 - 4.0 / 3.0).abs() < 0.02, "{crop:?}");
}

#[test]
fn in_the_mirror_photo_and_tray_lie_as_the_canvas_does() {
    let mut harness = small(full());
    let families = |h: &Window| ["Sky local", "Lamp glow local"].map(|name| h.get_by_label(name).rect().center().x);
    let [sky, glow] = families(&harness);
    assert!(sky < glow);
    let at = on_photo(&harness, 0.25, 0.5);
    click(&mut harness, at);
    let held = harness.state().panels.loupe.held.unwrap();
    harness.state_mut().mirror = true;
    harness.run();
    let [sky, glow] = families(&harness);
    assert!(sky > glow, "the last family stands on the left");
    let at = on_photo(&harness, 0.75, 0.5);
    click(&mut harness, at);
    let mirrored = harness.state().panels.loupe.held.unwrap();
    assert!(mirrored.0.abs_diff(held.0) < 8 && mirrored.1 == held.1, "{held:?} {mirrored:?}");
}
