//! The tray, its swatches and families, and what the photo gives to them.

use super::*;
use egui::pos2;
use stint_model::board::Distance;

#[test]
fn a_press_on_the_tray_loads_and_hovering_lights_up() {
    let mut harness = small(full());
    let loaded = |h: &Harness<'_, Screen>| h.state().session.as_ref().unwrap().loaded();
    let before = loaded(&harness);
    press(&mut harness, "Enamel light");
    let id = document(&harness).board.family_named("Enamel").unwrap().with_role(Role::Light).unwrap().id;
    assert_eq!(loaded(&harness), Some(Loaded::Swatch(id)));
    assert_eq!(before, harness.state().previous.map(Loaded::Swatch));
    harness.get_by_label("Sky local").hover();
    harness.run();
    let sky = document(&harness).board.family_named("Sky").unwrap().with_role(Role::Local).unwrap().id;
    rest_there(&mut harness);
    assert_eq!(harness.state().highlighted, Some(sky));
}

#[test]
fn a_small_window_has_three_families_in_sight_and_reaches_the_others() {
    let mut screen = full();
    assert!(screen.apply(&Command::ShutFree));
    let mut harness = window(screen, [900.0, 600.0]);
    for name in ["Sky local", "Far roofs local", "Brick local"] {
        let rect = harness.get_by_label(name).rect();
        // Between the tools and the well.
        assert!(rect.left() >= 282.0 && rect.right() < 900.0 - 164.0 - 74.0 - 124.0, "{name} at {rect}");
    }
    // Every button of the tray is there, behind one.
    press(&mut harness, wording::MORE_OF_TRAY_NAME);
    for name in [wording::ADD_SWATCH, wording::EDIT_SWATCH, wording::BOARD] {
        harness.get_by_label(name);
    }
    harness.key_press(egui::Key::Escape);
    harness.run();
    // A press on the edge brings further families, and so does loading one of them.
    press(&mut harness, wording::TRAY_RIGHT);
    harness.get_by_label(wording::TRAY_LEFT);
    let glow = document(&harness).board.family_named("Lamp glow").unwrap().with_role(Role::Local).unwrap().id;
    harness.state_mut().load(glow);
    harness.run();
    let rect = harness.get_by_label("Lamp glow local").rect();
    assert!(rect.center().x < 900.0 - 164.0 - 74.0 - 124.0, "{rect}");
    keep_picture(&mut harness, "tray_small", [900.0, 600.0]);
}

#[test]
fn a_swatch_is_dragged_to_another_family() {
    let mut harness = small(full());
    let from = harness.get_by_label("Brick shadow").rect().center();
    let to = harness.get_by_label("Sky light").rect();
    let above = pos2(to.center().x, to.top() + 6.0);
    harness.drag_at(from);
    harness.run();
    for step in 1..=4 {
        harness.hover_at(from.lerp(above, step as f32 / 4.0));
        harness.run();
    }
    harness.drop_at(above);
    harness.run();
    let board = document(&harness).board;
    assert_eq!(board.family_named("Brick").unwrap().swatches.len(), 2);
    let sky = board.family_named("Sky").unwrap();
    assert_eq!((sky.swatches.len(), sky.swatches[0].role), (4, Role::Shadow));
}

#[test]
fn a_swatch_is_dropped_into_a_family_of_its_own_which_is_named_at_once() {
    let mut harness = small(full());
    let families = document(&harness).board.families.len();
    let from = harness.get_by_label("Brick shadow").rect().center();
    let last = document(&harness).board.families[families - 1].clone();
    let beside = harness.get_by_label(&wording::edit_family(&last.name)).rect();
    let to = pos2(beside.center().x, from.y);
    harness.drag_at(from);
    harness.run();
    for step in 1..=4 {
        harness.hover_at(from.lerp(to, step as f32 / 4.0));
        harness.run();
    }
    keep_picture(&mut harness, "new_family", [1280.0, 800.0]);
    harness.drop_at(to);
    harness.run();
    let board = document(&harness).board;
    assert_eq!(board.families.len(), families + 1);
    assert_eq!(board.family_named("Brick").unwrap().swatches.len(), 2);
    let own = &board.families[families];
    assert_eq!((own.swatches.len(), own.swatches[0].role), (1, Role::Shadow));
    let field = harness.get_by_role_and_label(Accessible::TextInput, wording::NAME);
    field.set_text_value_accesskit("Doors");
    harness.run();
    press(&mut harness, wording::DONE);
    assert!(document(&harness).board.family_named("Doors").is_some());
}

#[test]
fn a_swatch_is_moved_by_the_buttons_of_its_sheet_up_down_and_into_other_families() {
    let mut harness = small(full());
    harness.get_by_label("Brick shadow").click();
    harness.run();
    press(&mut harness, wording::EDIT_SWATCH);
    let id = harness.state().loaded_swatch().unwrap();
    let at = |harness: &Harness<'_, Screen>| {
        let board = document(harness).board;
        let family = board.family_of(id).unwrap().clone();
        (family.name.clone(), family.swatches.iter().position(|s| s.id == id).unwrap(), family.swatches.len())
    };
    let (home, row, count) = at(&harness);
    assert_eq!((home.as_str(), row), ("Brick", count - 1));
    press(&mut harness, wording::SWATCH_UP);
    assert_eq!(at(&harness), (home.clone(), row - 1, count));
    press(&mut harness, wording::SWATCH_DOWN);
    assert_eq!(at(&harness), (home.clone(), row, count));
    press(&mut harness, wording::SWATCH_LEFT);
    assert_ne!(at(&harness).0, home);
    let families = document(&harness).board.families.len();
    // To the right through all families, and beyond the last into a new one.
    for _ in 0..families {
        if document(&harness).board.families.len() == families {
            press(&mut harness, wording::SWATCH_RIGHT);
        }
    }
    assert_eq!(document(&harness).board.families.len(), families + 1);
    assert_eq!((at(&harness).1, at(&harness).2), (0, 1));
}

#[test]
fn a_swatch_is_added_recoloured_and_deleted_with_its_paint_given_away() {
    let mut harness = small(full());
    press(&mut harness, wording::ADD_SWATCH);
    let hex = harness.get_by_role_and_label(Accessible::TextInput, wording::COLOUR_HEX);
    hex.set_text_value_accesskit("#123456");
    harness.run();
    harness.get_all_by_label("Light").last().unwrap().click();
    harness.run();
    press(&mut harness, wording::KEEP);
    let brick = document(&harness).board.family_named("Brick").unwrap().clone();
    let places: Vec<_> = brick.swatches.iter().map(|s| (s.role, s.colour.hex())).collect();
    assert_eq!(places[1], (Role::Light, "#123456".to_owned()), "after the other light, above the local: {places:?}");

    press(&mut harness, wording::EDIT_SWATCH);
    let hex = harness.get_by_role_and_label(Accessible::TextInput, wording::COLOUR_HEX);
    hex.set_text_value_accesskit("#804030");
    harness.run();
    press(&mut harness, wording::KEEP);
    let local = document(&harness).board.family_named("Brick").unwrap().with_role(Role::Local).unwrap().clone();
    assert_eq!(local.colour.hex(), "#804030");

    let share = |h: &Harness<'_, Screen>, name: &str| {
        h.state().readout.as_ref().unwrap().swatches.iter().find(|s| s.name == name).map(|s| s.share)
    };
    let (given, had) = (share(&harness, "Brick local").unwrap(), share(&harness, "Brick shadow").unwrap());
    press(&mut harness, wording::EDIT_SWATCH);
    press(&mut harness, wording::DELETE);
    harness.get_by_label_contains("What becomes of that paint?");
    press(&mut harness, &wording::give_to("Brick shadow"));
    press(&mut harness, wording::TAKE_OFF);
    assert_eq!(share(&harness, "Brick local"), None);
    assert!((share(&harness, "Brick shadow").unwrap() - given - had).abs() < 1e-9);
}

#[test]
fn the_photo_gives_a_spot_and_a_surface_to_the_board() {
    let mut harness = small(full());
    let photo = harness.get_by_label(wording::PHOTO).rect();
    let click = |harness: &mut Harness<'static, Screen>, x: f32, y: f32| {
        let at = photo.lerp_inside(egui::vec2(x, y));
        harness.drag_at(at);
        harness.drop_at(at);
        harness.run();
    };
    click(&mut harness, 0.5, 0.3);
    press(&mut harness, wording::LAY);
    assert_eq!(harness.state().notices, [wording::FAMILY_MISSING]);
    assert!(harness.ctx.text_edit_focused(), "the name can be written at once");
    press(&mut harness, wording::DISMISS);
    let family = |h: &mut Harness<'static, Screen>, name: &str| {
        h.get_by_role_and_label(Accessible::TextInput, wording::FAMILY).set_text_value_accesskit(name);
        h.run();
    };
    family(&mut harness, "Wall");
    press(&mut harness, "Shadow");
    press(&mut harness, wording::LAY);
    let board = document(&harness).board;
    let wall = board.family_named("Wall").unwrap();
    assert_eq!(wall.swatches[0].role, Role::Shadow);
    // The brick wall of the scene is warm: more red than blue.
    let [r, _, b] = wall.swatches[0].colour.to_srgb8();
    assert!(r > b, "{r} {b}");

    family(&mut harness, "Heaven");
    let corners =
        [(0.05, 0.02), (0.9, 0.02), (0.9, 0.1), (0.05, 0.1)].map(|(x, y)| photo.lerp_inside(egui::vec2(x, y)));
    harness.drag_at(corners[0]);
    harness.run();
    for pair in corners.windows(2) {
        for step in 1..=6 {
            harness.hover_at(pair[0].lerp(pair[1], step as f32 / 6.0));
            harness.step();
        }
    }
    harness.drop_at(corners[3]);
    harness.run();
    press(&mut harness, wording::LAY_TRIO);
    assert_eq!(document(&harness).board.family_named("Heaven").unwrap().swatches.len(), 3);
}

#[test]
fn adjustments_are_kept_when_a_slider_rests() {
    let mut harness = small(full());
    let steps = harness.state().session.as_ref().unwrap().depths().0;
    harness.get_by_label(wording::HUE_TURN).set_value_accesskit(8.0);
    harness.run();
    harness.get_by_label(wording::SOFTEN).set_value_accesskit(0.5);
    harness.run();
    let kept = document(&harness).reference.unwrap().adjustments;
    assert_eq!((kept.hue_turn_degrees, kept.soften_px), (8.0, 0.5));
    assert_eq!(harness.state().session.as_ref().unwrap().depths().0, steps + 2);
    // A drag is one step of the history, however many frames it takes.
    let rail = harness.get_by_label(wording::HUE_TURN).rect();
    harness.drag_at(rail.center());
    harness.run();
    for x in [0.6, 0.7, 0.8] {
        harness.hover_at(rail.lerp_inside(egui::vec2(x, 0.5)));
        harness.run();
    }
    harness.drop_at(rail.lerp_inside(egui::vec2(0.8, 0.5)));
    harness.run();
    assert_eq!(harness.state().session.as_ref().unwrap().depths().0, steps + 3);
    assert!(document(&harness).reference.unwrap().adjustments.hue_turn_degrees > 60.0);
}

#[test]
fn the_board_and_a_family_are_renamed() {
    let mut harness = small(full());
    press(&mut harness, wording::BOARD);
    let name = harness.get_by_role_and_label(Accessible::TextInput, wording::NAME);
    name.focus();
    name.set_text_value_accesskit("Blue hour");
    harness.run();
    harness.key_press(egui::Key::Enter);
    harness.run();
    press(&mut harness, "Warm");
    let board = document(&harness).board;
    assert_eq!((board.name.as_str(), board.light), ("Blue hour", LightOfDay::Warm));
    press(&mut harness, wording::BACK_FROM_BOARD);
    press(&mut harness, &wording::edit_family("Brick"));
    harness.get_by_role_and_label(Accessible::TextInput, wording::NAME).set_text_value_accesskit("Wall");
    harness.run();
    press(&mut harness, "Far");
    press(&mut harness, wording::MOVE_LEFT);
    press(&mut harness, wording::DONE);
    let wall = document(&harness).board.families[1].clone();
    assert_eq!((wall.name.as_str(), wall.distance), ("Wall", Some(Distance::Far)));
}

#[test]
fn an_outline_drawn_during_one_slow_frame_keeps_its_corners() {
    let mut harness = small(full());
    let photo = harness.get_by_label(wording::PHOTO).rect();
    let places = [(0.2, 0.2), (0.5, 0.2), (0.5, 0.5), (0.2, 0.5)].map(|(x, y)| photo.lerp_inside(egui::vec2(x, y)));
    harness.hover_at(places[0]);
    harness.run();
    harness.drag_at(places[0]);
    harness.run();
    let events = &mut harness.input_mut().events;
    events.extend(places.iter().skip(1).map(|&at| egui::Event::PointerMoved(at)));
    harness.step();
    harness.drop_at(places[3]);
    harness.run();
    // The demo's photo has 1600 x 1200 pixels.
    let outline = &harness.state().panels.loupe.outline;
    assert_eq!(outline.len(), 4, "{outline:?}");
    for ((x, y), wanted) in outline.iter().zip([(320.0, 240.0), (800.0, 240.0), (800.0, 600.0), (320.0, 600.0)]) {
        assert!((x - wanted.0).hypot(y - wanted.1) < 4.0, "{outline:?}");
    }
}
