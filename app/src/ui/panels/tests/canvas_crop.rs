//! The canvas cropped and extended: by figures, by the frame that lies on it, by keys.

use super::*;
use crate::ui::panels::Page;
use egui::{Key, Pos2, vec2};

type Window = Harness<'static, Screen>;

/// The canvas of 160 x 120 with the frame on it.
fn cropping() -> Window {
    let mut harness = small(full());
    toggle(&mut harness);
    harness
}

fn toggle(harness: &mut Window) {
    let Screen { state, panels, .. } = harness.state_mut();
    panels.toggle_canvas_crop(state);
    // The window shows the whole canvas again; here nobody does.
    state.requests.clear();
    harness.run();
}

fn size(harness: &Window) -> (u32, u32) {
    (document(harness).width, document(harness).height)
}

fn write(harness: &mut Window, edge: usize, px: &str) {
    let field = harness.get_by_role_and_label(Accessible::TextInput, wording::CANVAS_EDGES[edge].1);
    field.set_text_value_accesskit(px);
    harness.step();
    harness.run();
}

fn handle(harness: &Window, across: i8, down: i8) -> Pos2 {
    harness.get_by_label(&wording::canvas_handle(across, down)).rect().center()
}

fn drag(harness: &mut Window, from: Pos2, to: Pos2) {
    harness.hover_at(from);
    harness.drag_at(from);
    harness.run();
    for step in 1..=6 {
        harness.hover_at(from.lerp(to, step as f32 / 6.0));
        harness.step();
    }
    harness.drop_at(to);
    harness.run();
}

/// Points on the screen a canvas pixel covers.
fn scale(harness: &Window) -> f32 {
    (harness.state().view.scale() / f64::from(harness.ctx.pixels_per_point())) as f32
}

#[test]
fn pixels_written_for_edges_make_one_step_and_undo_takes_it_back() {
    let mut harness = cropping();
    let depths = harness.state().session.as_ref().unwrap().depths();
    write(&mut harness, 0, "40");
    write(&mut harness, 3, "-20");
    assert_eq!(size(&harness), (160, 120), "nothing is done yet");
    harness.get_by_label(&wording::canvas_size((200, 100), (160, 120)));
    keep_picture(&mut harness, "crop_canvas", [1280.0, 800.0]);
    harness.get_by_label(wording::SET_CANVAS).click();
    harness.step();
    harness.state_mut().requests.clear();
    harness.run();
    assert_eq!(size(&harness), (200, 100));
    assert_eq!(harness.state().session.as_ref().unwrap().depths(), (depths.0 + 1, 0));
    assert!(!harness.state().panels.crops_canvas());
    assert!(harness.state_mut().apply(&Command::Undo));
    assert_eq!(size(&harness), (160, 120));
}

#[test]
fn what_is_no_number_or_no_canvas_is_said_and_cannot_be_set() {
    let mut harness = cropping();
    let words = |harness: &Window| harness.get_by_label(wording::SET_CANVAS).rect();
    let place = words(&harness);
    for (px, said) in
        [("4o", wording::WHOLE_PIXELS), ("-160", wording::NO_SUCH_CANVAS), ("99999", wording::NO_SUCH_CANVAS)]
    {
        write(&mut harness, 2, px);
        harness.get_by_label(said);
        assert_eq!(words(&harness), place, "nothing jumps");
        harness.get_by_label(wording::SET_CANVAS).click();
        harness.run();
        assert!(harness.state().panels.crops_canvas() && size(&harness) == (160, 120));
    }
    press(&mut harness, wording::CANVAS_AS_IT_IS_NAME);
    harness.get_by_label(&wording::canvas_size((160, 120), (160, 120)));
}

#[test]
fn the_frame_is_pulled_moved_and_told_in_pixels() {
    let mut harness = cropping();
    // There is room to pull beyond the canvas.
    let points = scale(&harness);
    let from = handle(&harness, 1, 0);
    drag(&mut harness, from, from + vec2(20.0 * points, 0.0));
    harness.get_by_label(&wording::canvas_size((180, 120), (160, 120)));
    let corner = handle(&harness, -1, -1);
    drag(&mut harness, corner, corner + vec2(10.0 * points, 15.0 * points));
    harness.get_by_label(&wording::canvas_size((170, 105), (160, 120)));
    keep_picture(&mut harness, "crop_canvas_pulled", [1280.0, 800.0]);
    // By keys: a pixel a press, ten with Shift.
    harness.get_by_label(&wording::canvas_handle(1, 1)).focus();
    harness.run();
    harness.key_press(Key::ArrowLeft);
    harness.run();
    harness.key_press_modifiers(egui::Modifiers::SHIFT, Key::ArrowDown);
    harness.run();
    harness.get_by_label(&wording::canvas_size((169, 115), (160, 120)));
    // Moved as it is.
    harness.get_by_label(wording::CANVAS_FRAME).focus();
    harness.run();
    harness.key_press(Key::ArrowUp);
    harness.run();
    harness.key_press(Key::Enter);
    harness.step();
    harness.state_mut().requests.clear();
    harness.run();
    assert_eq!(size(&harness), (169, 115));
    let bare = harness.state_mut().session.as_mut().unwrap().paints_at(168, 50).unwrap();
    assert!(bare.is_empty(), "what is new is bare");
}

#[test]
fn with_its_shape_kept_corners_alone_are_pulled() {
    let mut harness = cropping();
    press(&mut harness, wording::KEEP_SHAPE_NAME);
    assert!(harness.query_by_label(&wording::canvas_handle(1, 0)).is_none());
    let points = scale(&harness);
    let corner = handle(&harness, 1, 1);
    drag(&mut harness, corner, corner - vec2(40.0 * points, 0.0));
    harness.get_by_label(&wording::canvas_size((160, 120), (160, 120)));
    let corner = handle(&harness, 1, 1);
    drag(&mut harness, corner, corner - vec2(40.0 * points, 30.0 * points));
    harness.get_by_label(&wording::canvas_size((120, 90), (160, 120)));
}

#[test]
fn escape_another_page_and_undo_leave_the_frame() {
    let mut harness = cropping();
    harness.key_press(Key::Escape);
    harness.step();
    harness.state_mut().requests.clear();
    harness.run();
    assert!(!harness.state().panels.crops_canvas());
    toggle(&mut harness);
    harness.state_mut().panels.toggle_page(Page::Photo);
    harness.step();
    harness.state_mut().requests.clear();
    harness.run();
    assert!(!harness.state().panels.crops_canvas() && harness.state().panels.page == Page::Photo);
    // A canvas that becomes another under the frame takes it away.
    toggle(&mut harness);
    assert!(harness.state().panels.page == Page::Canvas);
    let part = stint_model::study::canvas_rect::CanvasRect { x: 0, y: 0, width_px: 100, height_px: 100 };
    assert!(harness.state_mut().apply(&Command::CropCanvas { part }));
    harness.step();
    assert!(!harness.state().panels.crops_canvas());
}
