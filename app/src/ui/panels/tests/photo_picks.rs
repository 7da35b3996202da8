//! What is picked from the photo: spots, surfaces, a whole board.

use super::photo::{Window, click, double_click, drag, large, on_photo, outline_wall, wait_for_proposal, write_family};
use super::*;
use crate::ui::keys::Action;
use crate::ui::panels::Page;
use crate::ui::panels::reference::colour_notes::out_of_range;
use egui::{Event, Key, Modifiers, PointerButton, vec2};
use stint_model::study::PickSource;

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

/// Nobody presses the field first: what is typed after a pick names it, and Enter lays it and gives the keys back.
#[test]
fn what_is_typed_after_a_pick_names_its_family() {
    let mut harness = large();
    let types = |h: &mut Window, text: &str| {
        h.event(Event::Text(text.to_owned()));
        h.run();
    };
    let family = |h: &Window| h.state().panels.loupe.family.clone();
    let at = on_photo(&harness, 0.5, 0.3);
    click(&mut harness, at);
    types(&mut harness, "Gate");
    assert_eq!(family(&harness), "Gate");
    let before = steps(&harness);
    harness.key_press(Key::Enter);
    harness.run();
    assert_eq!(steps(&harness), before + 1, "{:?}", harness.state().notices);
    assert!(document(&harness).board.family_named("Gate").is_some() && !harness.ctx.text_edit_focused());
    // The next name takes the place of this one; a space before it is none of it, but moves the photo.
    let at = on_photo(&harness, 0.2, 0.6);
    click(&mut harness, at);
    types(&mut harness, " ");
    assert_eq!(family(&harness), "Gate");
    types(&mut harness, "Old");
    types(&mut harness, " ");
    types(&mut harness, "tram");
    assert_eq!(family(&harness), "Old tram");
    // Escape gives the keys back, too, and keeps the spot.
    harness.key_press(Key::Escape);
    harness.run();
    types(&mut harness, "q");
    assert_eq!((family(&harness).as_str(), harness.ctx.text_edit_focused()), ("Old tram", false));
    assert!(harness.state().panels.loupe.held.is_some());
    outline_wall(&mut harness);
    types(&mut harness, "Wall");
    assert_eq!(family(&harness), "Wall");
    // By keys: the arrows move the spot, Enter goes on to its name.
    press(&mut harness, wording::LET_OUTLINE_GO);
    harness.get_by_label(wording::PHOTO).focus();
    harness.run();
    harness.key_press(Key::ArrowRight);
    harness.run();
    assert!(!harness.ctx.text_edit_focused());
    harness.key_press(Key::Enter);
    harness.run();
    types(&mut harness, "Far");
    assert_eq!(family(&harness), "Far");
    // On a screen that is painted on a keyboard would come up with every pick.
    harness.key_press(Key::Escape);
    harness.state_mut().hands_on = true;
    harness.run();
    let at = on_photo(&harness, 0.6, 0.7);
    click(&mut harness, at);
    assert!(!harness.ctx.text_edit_focused());
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
        assert_eq!(
            colours.iter().map(|c| c.0).collect::<Vec<_>>(),
            [Role::Light, Role::Local, Role::Shadow],
            "lights on top"
        );
        assert_eq!(colours, shown.tones.iter().map(|(role, c, _)| (*role, c.hex())).collect::<Vec<_>>());
    }
    assert!(harness.query_by_label(wording::LAY_PROPOSAL).is_none());
    harness.state_mut().apply(&Command::Undo);
    assert_eq!(document(&harness).board, before);
    press(&mut harness, wording::PROPOSE_BOARD);
    press(&mut harness, wording::LET_PROPOSAL_GO);
    assert_eq!(document(&harness).board, before);
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
