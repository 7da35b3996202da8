//! The photo in its panel and large, pressed by labels.

use super::*;
use crate::ui::keys::Action;
use crate::ui::panels::Page;
use egui::{Event, Modifiers, PointerButton, Pos2, Rect, vec2};
use stint_model::study::PickSource;

pub(super) type Window = Harness<'static, Screen>;

/// A study with a board and the demo's photo shown large.
pub(super) fn large() -> Window {
    let mut harness = small(full());
    press(&mut harness, wording::SHOW_LARGE);
    harness
}

pub(super) fn photo_rect(harness: &Window) -> Rect {
    harness.get_by_label(wording::PHOTO).rect()
}

/// A place on the photo, as parts of its width and height.
pub(super) fn on_photo(harness: &Window, x: f32, y: f32) -> Pos2 {
    photo_rect(harness).lerp_inside(vec2(x, y))
}

pub(super) fn click(harness: &mut Window, at: Pos2) {
    harness.hover_at(at);
    harness.drag_at(at);
    harness.drop_at(at);
    harness.run();
}

/// Two clicks within a moment.
pub(super) fn double_click(harness: &mut Window, at: Pos2) {
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

pub(super) fn drag(harness: &mut Window, places: &[Pos2]) {
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

pub(super) fn write_family(harness: &mut Window, name: &str) {
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
    assert_eq!(harness.state().panels.page, Page::Canvas);
    harness.state_mut().panels.toggle_page(Page::Photo);
    harness.run();
    let at = on_photo(&harness, 0.5, 0.5);
    click(&mut harness, at);
    harness.get_by_label(wording::LAY);
    for held in [true, false] {
        assert_eq!(harness.state().panels.loupe.held.is_some(), held);
        assert!(harness.state_mut().panels.take_action(Action::Cancel));
    }
    harness.run();
    assert_eq!(harness.state().panels.page, Page::Canvas);
    let mut none = small(empty());
    none.state_mut().panels.toggle_page(Page::Photo);
    none.run();
    none.get_by_label(wording::NO_PHOTO_LARGE);
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
