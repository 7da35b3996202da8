//! Cropping the photo: a frame over all of it, pulled by its corners and sides. Nothing of the photo is lost.

use super::super::widgets;
use super::photo_input::arrows;
use super::photo_transform::PhotoTransform;
use crate::study::command::Command;
use crate::ui::panels::photo::DisplayedPhoto;
use crate::ui::panels::{Page, PanelState};
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{CornerRadius, CursorIcon, Key, Painter, Rect, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, vec2};
use stint_model::photo::{MIN_CROP_PX, PixelRect};

/// Side of a handle, points.
const HANDLE: f32 = 11.0;
/// Side of what can be taken hold of, points.
const REACH: f32 = 24.0;
/// A press of an arrow key moves by this part of the photo's longer side; with Shift by ten times as much.
const KEY_STEP: f32 = 1.0 / 500.0;

/// The frame, while it shows.
pub(in crate::ui::panels) struct CropState {
    /// Whether it shows.
    pub open: bool,
    /// Whether it keeps the shape of the canvas.
    keeps_shape: bool,
    /// Where it is while it is pulled.
    pulled: Option<CropFrame>,
    /// What lay in the place of the canvas before.
    came_from: Page,
}

impl Default for CropState {
    fn default() -> Self {
        CropState { open: false, keeps_shape: true, pulled: None, came_from: Page::Canvas }
    }
}

/// Edges of the frame, photo pixels.
#[derive(Clone, Copy, PartialEq, Debug)]
struct CropFrame {
    left: f32,
    top: f32,
    right: f32,
    bottom: f32,
}

/// What of the frame is pulled: -1 for left or top, 1 for right or bottom, 0 for neither.
type Handle = (i8, i8);

const CORNERS: [Handle; 4] = [(-1, -1), (1, -1), (1, 1), (-1, 1)];
const SIDES: [Handle; 4] = [(0, -1), (1, 0), (0, 1), (-1, 0)];

impl CropFrame {
    fn of(part: PixelRect) -> Self {
        CropFrame {
            left: part.x as f32,
            top: part.y as f32,
            right: (part.x + part.width_px) as f32,
            bottom: (part.y + part.height_px) as f32,
        }
    }

    /// In whole pixels, at least as large as a crop may be.
    #[expect(clippy::cast_possible_truncation, reason = "held to the photo; the cast saturates")]
    fn part(self, (width_px, height_px): (u32, u32)) -> PixelRect {
        let side = |from: f32, to: f32, whole: u32| {
            let from = (from.round().max(0.0) as u32).min(whole.saturating_sub(MIN_CROP_PX.min(whole)));
            let to = (to.round().max(0.0) as u32).clamp(from + MIN_CROP_PX.min(whole - from), whole);
            (from, to - from)
        };
        let ((x, width_px), (y, height_px)) =
            (side(self.left, self.right, width_px), side(self.top, self.bottom, height_px));
        PixelRect { x, y, width_px, height_px }
    }

    fn handle(self, (x, y): Handle) -> (f32, f32) {
        let at = |side: i8, low: f32, high: f32| match side {
            -1 => low,
            0 => (low + high) / 2.0,
            _ => high,
        };
        (at(x, self.left, self.right), at(y, self.top, self.bottom))
    }

    /// Pulled at a corner or a side to a place, held on a photo of this size; with a ratio of width to height it keeps that, and
    /// the corner that lies across stays.
    fn pulled(self, handle: Handle, to: (f32, f32), ratio: Option<f32>, size: (f32, f32)) -> Self {
        let least = (MIN_CROP_PX as f32).min(size.0).min(size.1);
        let mut now = self;
        if let Some(ratio) = ratio {
            let across = self.handle((-handle.0, -handle.1));
            let room = |side: i8, at: f32, size: f32| if side > 0 { size - at } else { at };
            let most = room(handle.0, across.0, size.0).min(room(handle.1, across.1, size.1) * ratio);
            let wanted = (to.0 - across.0).abs().max((to.1 - across.1).abs() * ratio);
            let width = wanted.max(least * ratio.max(1.0)).min(most);
            let height = width / ratio;
            (now.left, now.right) =
                if handle.0 > 0 { (across.0, across.0 + width) } else { (across.0 - width, across.0) };
            (now.top, now.bottom) =
                if handle.1 > 0 { (across.1, across.1 + height) } else { (across.1 - height, across.1) };
            return now;
        }
        match handle.0 {
            -1 => now.left = to.0.clamp(0.0, (self.right - least).max(0.0)),
            0 => {}
            _ => now.right = to.0.clamp((self.left + least).min(size.0), size.0),
        }
        match handle.1 {
            -1 => now.top = to.1.clamp(0.0, (self.bottom - least).max(0.0)),
            0 => {}
            _ => now.bottom = to.1.clamp((self.top + least).min(size.1), size.1),
        }
        now
    }

    /// Moved as it is, held on a photo of this size.
    fn moved(self, (right, down): (f32, f32), size: (f32, f32)) -> Self {
        let right = right.clamp(-self.left, (size.0 - self.right).max(-self.left));
        let down = down.clamp(-self.top, (size.1 - self.bottom).max(-self.top));
        CropFrame {
            left: self.left + right,
            right: self.right + right,
            top: self.top + down,
            bottom: self.bottom + down,
        }
    }

    /// The largest frame of a ratio of width to height inside it, in the middle.
    fn in_shape(self, ratio: f32) -> Self {
        let (width, height) = (self.right - self.left, self.bottom - self.top);
        let width_in = width.min(height * ratio);
        let (x, y) = ((width - width_in) / 2.0, (height - width_in / ratio) / 2.0);
        CropFrame { left: self.left + x, right: self.right - x, top: self.top + y, bottom: self.bottom - y }
    }
}

impl PanelState {
    /// Shows the frame over the large photo, or leaves it.
    pub fn toggle_crop(&mut self, state: &mut State) {
        if self.crop.open {
            self.leave_crop();
            return;
        }
        if state.session.as_ref().is_none_or(|s| s.document().reference.is_none() || s.document().photo_shut) {
            return;
        }
        if state.comparing.open {
            self.toggle_comparison(state);
        }
        (self.reference_away, self.board_open) = (false, false);
        (self.crop.open, self.crop.pulled, self.crop.came_from) = (true, None, self.page);
        self.page = Page::Photo;
    }

    /// Puts the frame away; the photo stays cropped as it is.
    pub fn leave_crop(&mut self) {
        if std::mem::take(&mut self.crop.open) {
            self.crop.pulled = None;
            self.page = self.crop.came_from;
        }
    }
}

/// Width over height of the canvas.
fn canvas_ratio(state: &State) -> Option<f32> {
    let document = state.session.as_ref()?.document();
    Some(document.width as f32 / document.height as f32)
}

fn size_px(seen: &DisplayedPhoto) -> (u32, u32) {
    (seen.photo.width_px(), seen.photo.height_px())
}

fn frame_of(panels: &PanelState, seen: &DisplayedPhoto) -> CropFrame {
    let (width_px, height_px) = size_px(seen);
    panels.crop.pulled.unwrap_or_else(|| CropFrame::of(seen.adjustments.part_of(width_px, height_px)))
}

/// Crops the photo to a frame.
fn take(state: &mut State, panels: &mut PanelState, seen: &DisplayedPhoto, frame: CropFrame) {
    panels.crop.pulled = None;
    let (width_px, height_px) = size_px(seen);
    let part = frame.part((width_px, height_px));
    if part != seen.adjustments.part_of(width_px, height_px) {
        let whole = PixelRect { x: 0, y: 0, width_px, height_px };
        state.apply(&Command::CropPhoto { part: Some(part).filter(|part| *part != whole) });
    }
}

/// The section in the place of the loupe.
pub(super) fn section(state: &mut State, panels: &mut PanelState, ui: &mut Ui, seen: &DisplayedPhoto) {
    let done = widgets::heading_with(ui, wording::CROPPING, &[(wording::DONE, wording::END_CROPPING)]).is_some();
    let keys = !panels.sheet_is_open() && ui.input(|i| i.key_pressed(Key::Escape) || i.key_pressed(Key::Enter));
    if done || keys {
        panels.leave_crop();
        ui.ctx().request_repaint();
        return;
    }
    widgets::quiet(ui, wording::CROP_HINT);
    let frame = frame_of(panels, seen);
    let part = frame.part(size_px(seen));
    widgets::text(ui, wording::crop_size((part.width_px, part.height_px), size_px(seen)));
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        let keeps = panels.crop.keeps_shape;
        if widgets::toggle_named(ui, wording::CANVAS_SHAPE, wording::KEEP_CANVAS_SHAPE, keeps).clicked() {
            panels.crop.keeps_shape = !keeps;
            if !keeps && let Some(ratio) = canvas_ratio(state) {
                take(state, panels, seen, frame.in_shape(ratio));
            }
        }
        let whole = seen.adjustments.crop.is_none();
        let all = ui.add_enabled_ui(!whole, |ui| {
            widgets::pill_named(ui, wording::WHOLE_PHOTO, wording::UNCROP, widgets::Pill::Second).clicked()
        });
        if all.inner {
            panels.crop.pulled = None;
            state.apply(&Command::CropPhoto { part: None });
        }
    });
}

/// The frame over the photo, pulled and moved by pointer and keys. Gives where it lies on the screen.
pub(super) fn frame(
    state: &mut State,
    panels: &mut PanelState,
    ui: &Ui,
    seen: &DisplayedPhoto,
    transform: &PhotoTransform,
) -> Rect {
    let before = frame_of(panels, seen);
    let mut now = before;
    let ratio = canvas_ratio(state).filter(|_| panels.crop.keeps_shape);
    let (width_px, height_px) = size_px(seen);
    let size = (width_px as f32, height_px as f32);
    let step = KEY_STEP * size.0.max(size.1);
    let by_keys = |response: &egui::Response| {
        let (right, down) = response.has_focus().then(|| arrows(ui, response, false)).flatten()?;
        Some((if seen.mirror { -right } else { right } as f32 * step, down as f32 * step))
    };
    let mut rests = false;
    let on_screen = |frame: CropFrame| {
        let [a, b] = [(frame.left, frame.top), (frame.right, frame.bottom)].map(|at| transform.on_screen(at));
        Rect::from_two_pos(a, b)
    };
    // What lies inside moves all of it; the handles come after and lie above.
    let inside = ui.interact(on_screen(now).intersect(transform.clip), ui.scope_id().with("crop"), Sense::drag());
    inside.widget_info(|| WidgetInfo::labeled(Role::Button, true, wording::CROP_FRAME));
    if inside.dragged() {
        let by = inside.drag_delta() / transform.scale();
        now = now.moved((if seen.mirror { -by.x } else { by.x }, by.y), size);
    }
    if let Some(by) = by_keys(&inside) {
        now = now.moved(by, size);
        rests = true;
    }
    rests |= inside.drag_stopped();
    let mut focused = inside.has_focus().then_some((0, 0));
    let sides = if ratio.is_none() { &SIDES[..] } else { &[] };
    for &handle in CORNERS.iter().chain(sides) {
        let rect = Rect::from_center_size(transform.on_screen(before.handle(handle)), vec2(REACH, REACH));
        let response = ui.interact(rect, ui.scope_id().with(("crop", handle)), Sense::click_and_drag());
        let across = if seen.mirror { -handle.0 } else { handle.0 };
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, wording::crop_handle(across, handle.1)));
        if let Some(at) = response.interact_pointer_pos().filter(|_| response.dragged()) {
            now = now.pulled(handle, transform.on_photo(at), ratio, size);
        }
        if let Some((right, down)) = by_keys(&response) {
            let (x, y) = now.handle(handle);
            // With its shape kept a corner follows the key that was pressed.
            let (right, down) = match ratio {
                Some(ratio) if down == 0.0 => (right, right / ratio * f32::from(handle.0) * f32::from(handle.1)),
                Some(ratio) => (down * ratio * f32::from(handle.0) * f32::from(handle.1), down),
                None => (right, down),
            };
            now = now.pulled(handle, (x + right, y + down), ratio, size);
            rests = true;
        }
        rests |= response.drag_stopped();
        if response.has_focus() {
            focused = Some(handle);
        }
        response.on_hover_cursor(match (across, handle.1) {
            (0, _) => CursorIcon::ResizeVertical,
            (_, 0) => CursorIcon::ResizeHorizontal,
            (x, y) if x == y => CursorIcon::ResizeNwSe,
            _ => CursorIcon::ResizeNeSw,
        });
    }
    if now != before {
        panels.crop.pulled = Some(now);
        ui.ctx().request_repaint();
    }
    if rests {
        take(state, panels, seen, now);
    }
    let shown = on_screen(now);
    draw(&ui.painter_at(transform.clip), transform.whole, shown);
    for &handle in CORNERS.iter().chain(sides) {
        let at = transform.on_screen(now.handle(handle));
        let side = if focused == Some(handle) { HANDLE + 5.0 } else { HANDLE };
        let square = Rect::from_center_size(at, vec2(side, side));
        let painter = ui.painter_at(transform.clip.expand(HANDLE).intersect(ui.clip_rect()));
        painter.rect_filled(square, CornerRadius::ZERO, theme::ON_LIGHT);
        painter.rect_filled(square.shrink(1.5), CornerRadius::ZERO, theme::BRIGHT);
    }
    if focused == Some((0, 0)) {
        widgets::focus_ring(ui, &inside, shown.shrink(6.0));
    }
    shown
}

/// What is left out recedes; the frame lies around the rest.
fn draw(painter: &Painter, whole: Rect, frame: Rect) {
    for part in [
        whole.with_max_y(frame.top()),
        whole.with_min_y(frame.bottom()),
        Rect::from_min_max(egui::pos2(whole.left(), frame.top()), frame.left_bottom()),
        Rect::from_min_max(frame.right_top(), egui::pos2(whole.right(), frame.bottom())),
    ] {
        if part.is_positive() {
            painter.rect_filled(part, CornerRadius::ZERO, theme::RECEDES);
        }
    }
    for stroke in [Stroke::new(3.0, theme::ON_LIGHT), Stroke::new(1.5, theme::BRIGHT)] {
        painter.rect_stroke(frame, CornerRadius::ZERO, stroke, StrokeKind::Middle);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: (f32, f32) = (400.0, 300.0);

    fn frame(left: f32, top: f32, right: f32, bottom: f32) -> CropFrame {
        CropFrame { left, top, right, bottom }
    }

    #[test]
    fn a_pull_moves_its_own_sides_and_stays_on_the_photo() {
        let now = frame(100.0, 100.0, 300.0, 200.0);
        assert_eq!(now.pulled((1, 0), (350.0, 7.0), None, SIZE), frame(100.0, 100.0, 350.0, 200.0));
        assert_eq!(now.pulled((-1, -1), (-20.0, 50.0), None, SIZE), frame(0.0, 50.0, 300.0, 200.0));
        // Never less than a crop may be, and never turned inside out.
        assert_eq!(now.pulled((1, 1), (0.0, 0.0), None, SIZE), frame(100.0, 100.0, 116.0, 116.0));
    }

    #[test]
    fn a_pull_keeps_the_shape_and_the_corner_across() {
        let now = frame(100.0, 100.0, 300.0, 200.0);
        assert_eq!(now.pulled((1, 1), (340.0, 150.0), Some(2.0), SIZE), frame(100.0, 100.0, 340.0, 220.0));
        assert_eq!(now.pulled((-1, -1), (0.0, 0.0), Some(2.0), SIZE), frame(0.0, 50.0, 300.0, 200.0));
        assert_eq!(now.pulled((1, -1), (900.0, -900.0), Some(2.0), SIZE), frame(100.0, 50.0, 400.0, 200.0));
        let square = frame(0.0, 0.0, 400.0, 300.0).in_shape(1.0);
        assert_eq!(square, frame(50.0, 0.0, 350.0, 300.0));
    }

    #[test]
    fn a_move_keeps_the_size_and_whole_pixels_lie_on_the_photo() {
        let now = frame(100.0, 100.0, 300.0, 200.0);
        assert_eq!(now.moved((500.0, -500.0), SIZE), frame(200.0, 0.0, 400.0, 100.0));
        assert_eq!(
            frame(0.4, 0.6, 399.7, 299.9).part((400, 300)),
            PixelRect { x: 0, y: 1, width_px: 400, height_px: 299 }
        );
        assert_eq!(
            frame(399.0, 0.0, 400.0, 1.0).part((400, 300)),
            PixelRect { x: 384, y: 0, width_px: 16, height_px: 16 }
        );
        assert_eq!(frame(0.0, 0.0, 9.0, 8.0).part((9, 8)), PixelRect { x: 0, y: 0, width_px: 9, height_px: 8 });
    }
}
