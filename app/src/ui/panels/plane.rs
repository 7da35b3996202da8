//! The plane of hues and chromas at one value, with what a screen cannot show hatched in grey, and the control on it.

use super::widgets;
use crate::ui::theme;
use egui::{
    Color32, ColorImage, Rect, Response, Role, Sense, Stroke, TextureHandle, TextureOptions, Ui, WidgetInfo, pos2,
};
use stint_model::colour::{Colour, at_value};

/// Largest chroma of the plane; sRGB reaches 0.32.
pub(super) const MAX_CHROMA: f32 = 0.33;
/// One press of an arrow key on the plane: degrees of hue, and chroma.
const KEY_STEP: (f32, f32) = (5.0, 0.01);
/// Columns and rows of the picture of the plane.
const SIDE: usize = 96;
/// Width of a hatching stripe, picture pixels.
const STRIPE: usize = 3;

/// The colour of a Munsell value (0-10), an OKLCh hue in degrees and an OKLCh chroma; it may lie outside any gamut.
pub(super) fn colour_at(value: f32, hue_degrees: f32, chroma: f32) -> Colour {
    let (sin, cos) = hue_degrees.to_radians().sin_cos();
    at_value(value, chroma * cos, chroma * sin)
}

/// The picture: hue 0 to 360 degrees to the right, chroma 0 to [`MAX_CHROMA`] upwards.
pub(super) fn picture(value: f32) -> ColorImage {
    let pixel = |i: usize| -> Color32 {
        let (x, y) = (i % SIDE, i / SIDE);
        let hue = (x as f32 + 0.5) / SIDE as f32 * 360.0;
        let chroma = (SIDE as f32 - y as f32 - 0.5) / SIDE as f32 * MAX_CHROMA;
        let colour = colour_at(value, hue, chroma);
        if colour.in_srgb() { theme::paint(colour) } else { theme::HATCH[(x + y) / STRIPE % 2] }
    };
    ColorImage::new([SIDE, SIDE], (0..SIDE * SIDE).map(pixel).collect())
}

/// A place on the plane, moved by pointer and arrow keys.
pub(super) struct PlanePoint<'a> {
    /// Munsell value of the plane, 0 to 10.
    pub value: f32,
    /// OKLCh hue, degrees.
    pub hue_degrees: &'a mut f32,
    /// OKLCh chroma, 0 to [`MAX_CHROMA`].
    pub chroma: &'a mut f32,
}

/// The plane as a control. `held` keeps its picture with the value it shows, in hundredths.
pub(super) fn show(
    ui: &mut Ui,
    square: Rect,
    name: &str,
    at: PlanePoint<'_>,
    held: &mut Option<(i32, TextureHandle)>,
) -> Response {
    let mut response = ui.interact(square, ui.scope_id().with("plane"), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    #[expect(clippy::cast_possible_truncation, reason = "a Munsell value in hundredths, up to 1000")]
    let key = (at.value * 100.0).round() as i32;
    if held.as_ref().is_none_or(|(shown, _)| *shown != key) {
        let texture = ui.ctx().load_texture("plane of hue and chroma", picture(at.value), TextureOptions::LINEAR);
        *held = Some((key, texture));
    }
    if let Some((_, texture)) = held {
        let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
        ui.painter().image(texture.id(), square, whole, Color32::WHITE);
    }
    if let Some(pointer) = response.interact_pointer_pos()
        && (response.is_pointer_button_down_on() || response.clicked())
    {
        *at.hue_degrees = ((pointer.x - square.left()) / square.width()).clamp(0.0, 1.0) * 360.0;
        *at.chroma = ((square.bottom() - pointer.y) / square.height()).clamp(0.0, 1.0) * MAX_CHROMA;
        response.mark_changed();
    }
    if response.has_focus() {
        let filter = egui::EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
        ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
        let steps = |key| ui.input(|i| i.num_presses(key)) as f32;
        let right = steps(egui::Key::ArrowRight) - steps(egui::Key::ArrowLeft);
        let up = steps(egui::Key::ArrowUp) - steps(egui::Key::ArrowDown);
        if right != 0.0 || up != 0.0 {
            *at.hue_degrees = (*at.hue_degrees + right * KEY_STEP.0).rem_euclid(360.0);
            *at.chroma = (*at.chroma + up * KEY_STEP.1).clamp(0.0, MAX_CHROMA);
            response.mark_changed();
        }
    }
    widgets::focus_ring(ui, &response, square);
    let x = egui::lerp(square.x_range(), *at.hue_degrees / 360.0);
    let y = egui::lerp(square.bottom()..=square.top(), (*at.chroma / MAX_CHROMA).clamp(0.0, 1.0));
    let mark = colour_at(at.value, *at.hue_degrees, *at.chroma);
    ui.painter().circle_stroke(pos2(x, y), 4.5, Stroke::new(1.5, theme::line_on(mark)));
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_colour_shown_has_the_value_of_the_plane() {
        let mut shown = 0;
        for value in [2.0, 4.0, 5.0, 6.5, 8.0] {
            for hue in (0..360).step_by(15) {
                for step in 0..12 {
                    let colour = colour_at(value, hue as f32, step as f32 / 12.0 * MAX_CHROMA);
                    if colour.in_srgb() {
                        shown += 1;
                        let off = (colour.munsell_value() - value).abs();
                        assert!(off < 0.01, "value {value}, hue {hue}: off by {off}");
                    }
                }
            }
        }
        assert!(shown > 300, "{shown}");
    }

    #[test]
    fn what_a_screen_cannot_show_is_grey() {
        let picture = picture(5.0);
        let top = &picture.pixels[..SIDE];
        assert!(top.iter().all(|p| p.r() == p.g() && p.g() == p.b()), "chroma 0.33 at value 5 is outside sRGB");
        let low = picture.pixels[(SIDE - 20) * SIDE..].iter().filter(|p| p.r() != p.g()).count();
        assert!(low > SIDE * 10, "low chroma is inside: {low}");
    }
}
