//! The photo adjusted and cropped, and what follows that.

use super::photo::{Window, click, double_click, drag, large, on_photo, outline_wall, photo_rect, write_family};
use super::*;
use crate::ui::panels::{Page, photo};
use egui::{Key, vec2};
use stint_model::photo::Adjustments;

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
