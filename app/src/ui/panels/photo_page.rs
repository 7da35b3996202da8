//! The photo, large, in the place of the canvas: picked from and outlined as in the column, closer if wanted.

use super::photo::{self, DisplayedPhoto};
use super::reference;
use super::reference::photo_transform::{PhotoTransform, whole_uv};
use super::widgets;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{Color32, Event, MouseWheelSource, PointerButton, Pos2, Rect, Response, Sense, Ui, Vec2, vec2};
use stint_model::photo::PixelRect;

/// Space around the whole photo, points.
pub(super) const MARGIN: f32 = 24.0;
/// Height of the two ways on under it, points.
const FOOT: f32 = 58.0;
/// Most points on screen that a photo pixel gets.
const MAX_POINTS_A_PIXEL: f32 = 32.0;
/// One notch of the wheel, this many points of it, and one press of a key come closer by this.
const ZOOM_STEP: f32 = 1.15;
const POINTS_A_NOTCH: f32 = 40.0;
/// The part that shows is made sharp when nothing moved for this long, seconds.
const REST_SECONDS: f64 = 0.12;
/// What is made around it, as a part of it, so that a small move needs nothing new.
const DETAIL_MARGIN_SHARE: f32 = 0.1;

/// What the page remembers.
#[derive(Default)]
pub(super) struct PhotoPageState {
    /// The photo the rest is about, and what of it is shown.
    of: Option<(i64, PixelRect)>,
    /// Points on screen a photo pixel gets; none while all of it shows.
    scale: Option<f32>,
    /// What of the photo as it shows is in the middle of the page, 0-1.
    middle: Vec2,
    /// What a key asked for.
    wanted: Option<ZoomRequest>,
    /// When the view last changed, seconds.
    moved: f64,
    /// Whether the last wheel was two fingers on a trackpad, which move the photo as they move the canvas.
    is_trackpad: bool,
    /// The key that moves the photo is down.
    pub pan: bool,
}

/// A zoom that a key or a button asked for; done when the page knows its size.
#[derive(Clone, Copy, PartialEq, Debug)]
enum ZoomRequest {
    Fit,
    /// One photo pixel on one screen pixel.
    Actual,
    /// By a factor, about the pointer or the middle.
    By(f32),
}

impl PhotoPageState {
    /// Shows all of the photo.
    pub fn fit(&mut self) {
        self.wanted = Some(ZoomRequest::Fit);
    }

    /// Shows a photo pixel on a screen pixel.
    pub fn actual_size(&mut self) {
        self.wanted = Some(ZoomRequest::Actual);
    }

    /// Comes closer by a step, or goes back.
    pub fn closer(&mut self, closer: bool) {
        self.wanted = Some(ZoomRequest::By(if closer { ZOOM_STEP * ZOOM_STEP } else { 1.0 / (ZOOM_STEP * ZOOM_STEP) }));
    }

    /// Where all of the photo lies, points.
    fn whole(&self, seen: &DisplayedPhoto, room: Rect) -> Rect {
        match self.scale {
            None => reference::fitted(seen.size(), room.shrink(MARGIN)),
            Some(scale) => {
                let size = seen.size() * scale;
                Rect::from_min_size(room.center() - self.middle * size, size)
            }
        }
    }

    /// Comes closer by a factor; what lies at `at` stays there.
    fn zoom(&mut self, seen: &DisplayedPhoto, room: Rect, at: Pos2, factor: f32) {
        let before = self.whole(seen, room);
        let fit = reference::fitted(seen.size(), room.shrink(MARGIN)).width() / seen.size().x;
        let scale = (before.width() / seen.size().x * factor).min(MAX_POINTS_A_PIXEL.max(fit));
        if scale <= fit {
            self.scale = None;
            return;
        }
        let fraction = (at - before.min) / before.size();
        self.scale = Some(scale);
        let size = seen.size() * scale;
        self.middle = fraction + (room.center() - at) / size;
        self.keep_in_view(size, room);
    }

    /// No grey shows beside the photo that the photo could fill.
    fn keep_in_view(&mut self, size: Vec2, room: Rect) {
        let held = |middle: f32, size: f32, room: f32| {
            let half = room / 2.0 / size;
            if half >= 0.5 { 0.5 } else { middle.clamp(half, 1.0 - half) }
        };
        self.middle = vec2(held(self.middle.x, size.x, room.width()), held(self.middle.y, size.y, room.height()));
    }

    /// Moves the photo, once not all of it shows.
    fn shift(&mut self, seen: &DisplayedPhoto, room: Rect, by: Vec2) {
        if let Some(scale) = self.scale {
            let size = seen.size() * scale;
            self.middle -= by / size;
            self.keep_in_view(size, room);
        }
    }

    /// Follows wheel, pinch, drags and keys; tells whether the pointer moves the photo.
    fn follow(&mut self, ui: &Ui, seen: &DisplayedPhoto, room: Rect, response: &Response) -> bool {
        let before = (self.scale, self.middle);
        let of = Some((seen.key, seen.part()));
        if self.of != of {
            *self = PhotoPageState { of, middle: Vec2::splat(0.5), pan: self.pan, ..Default::default() };
        }
        let at = response.hover_pos().unwrap_or(room.center());
        match self.wanted.take() {
            Some(ZoomRequest::Fit) => self.scale = None,
            Some(ZoomRequest::Actual) => {
                let now = self.whole(seen, room).width() / seen.size().x;
                self.zoom(seen, room, at, 1.0 / ui.pixels_per_point() / now);
            }
            Some(ZoomRequest::By(factor)) => self.zoom(seen, room, at, factor),
            None => {}
        }
        if response.contains_pointer() {
            let (scroll, pinch) = ui.input(|i| (i.smooth_scroll_delta(), i.zoom_delta()));
            ui.input(|i| self.is_trackpad = is_trackpad(&i.events).unwrap_or(self.is_trackpad));
            let wheel = if self.is_trackpad { 0.0 } else { scroll.y };
            if self.is_trackpad {
                self.shift(seen, room, scroll);
            }
            let factor = ZOOM_STEP.powf(wheel / POINTS_A_NOTCH) * pinch;
            if factor != 1.0 {
                self.zoom(seen, room, at, factor);
            }
        }
        let space = self.pan || ui.input(|i| i.key_down(egui::Key::Space));
        let moves = response.dragged_by(PointerButton::Middle) || space && response.dragged_by(PointerButton::Primary);
        if moves {
            self.shift(seen, room, response.drag_delta());
        }
        if before != (self.scale, self.middle) {
            self.moved = ui.input(|i| i.time);
            // What can be pressed is where the photo was in this frame.
            ui.ctx().request_repaint();
        }
        moves || space && response.hovered()
    }
}

/// Whether a scroll of this frame is of two fingers on a trackpad; nothing without one.
fn is_trackpad(events: &[Event]) -> Option<bool> {
    events.iter().rev().find_map(|event| match event {
        Event::MouseWheel { source, modifiers, .. } => {
            Some(matches!(source, MouseWheelSource::Trackpad | MouseWheelSource::Momentum) && !modifiers.command)
        }
        _ => None,
    })
}

/// The photo in place of the canvas, zoomed and moved, with the way back under it.
pub(super) fn page(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let mut room = ui.max_rect();
    ui.painter().rect_filled(room, 0.0, theme::surround(state.surround));
    if panels.proposal.open {
        let ways = super::cut(&mut room, super::Side::Bottom, FOOT);
        super::place(ui, "ways on", ways, theme::STRIP, |ui| {
            let inner = ways.shrink2(vec2(MARGIN, (FOOT - widgets::LARGE_PILL) / 2.0));
            let mut inside = ui.new_child(egui::UiBuilder::new().max_rect(inner));
            reference::proposal::next_actions(state, panels, &mut inside);
        });
    }
    if !room.shrink(MARGIN).is_positive() {
        return;
    }
    let Some(seen) = photo::displayed(state, panels) else {
        let mut inside = ui.new_child(egui::UiBuilder::new().max_rect(room.shrink(MARGIN)));
        let ground = egui::Frame::new().fill(theme::PANEL).corner_radius(8).inner_margin(12);
        let words = if super::shut_photo::is_shut(state) { wording::PHOTO_IS_SHUT } else { wording::NO_PHOTO_LARGE };
        ground.show(&mut inside, |ui| widgets::quiet(ui, words));
        return;
    };
    let now = panels.photo_page.whole(&seen, room).intersect(room);
    let response = ui.interact(now, ui.scope_id().with("photo"), Sense::click_and_drag());
    let moves = panels.photo_page.follow(ui, &seen, room, &response);
    let whole = panels.photo_page.whole(&seen, room);
    let transform = PhotoTransform::new(&seen, whole, whole.intersect(room));
    picture(panels, ui, &seen, &transform, room);
    reference::on_photo(state, panels, ui, &seen, &transform, &response, !moves);
    if moves {
        ui.ctx().set_cursor_icon(egui::CursorIcon::Grab);
    }
}

/// All that is used of the photo, as sharp as it is when all of it shows, and over it the part that shows, sharp.
fn picture(panels: &mut PanelState, ui: &Ui, seen: &DisplayedPhoto, transform: &PhotoTransform, room: Rect) {
    let whole = transform.whole;
    let fit = reference::fitted(seen.size(), room.shrink(MARGIN)).size().max_elem();
    let texture = panels.photo.large(ui, seen, fit);
    let painter = ui.painter_at(room);
    painter.image(texture.id(), whole, whole_uv(seen.mirror), Color32::WHITE);
    let made = texture.size()[0].max(texture.size()[1]) as f32;
    let wanted = whole.size().max_elem() * ui.pixels_per_point();
    let has_more = seen.size().max_elem() > made;
    if !has_more
        || panels.photo.waits()
        || wanted < made * ZOOM_STEP
        || panels.photo.preview.is_some()
        || matches!(seen.look, crate::ui::looks::Look::Squint { .. })
    {
        return;
    }
    let points = transform.scale();
    let still = ui.input(|i| i.time) - panels.photo_page.moved;
    if still >= REST_SECONDS {
        let visible = pixels(transform, whole.intersect(room));
        let covered = panels.photo.last_detail(seen).is_some_and(|(of, scale)| {
            let sharp =
                scale.size()[0] as f32 / of.width_px as f32 * ZOOM_STEP >= (points * ui.pixels_per_point()).min(1.0);
            sharp && holds(of, visible)
        });
        if !covered {
            let shows = whole.intersect(room);
            let wanted_rect = pixels(transform, shows.expand2(shows.size() * DETAIL_MARGIN_SHARE).intersect(whole));
            let longest = wanted_rect.width_px.max(wanted_rect.height_px) as f32 * points;
            panels.photo.make_detail(ui, seen, wanted_rect, longest);
        }
    } else {
        ui.ctx().request_repaint_after(std::time::Duration::from_secs_f64(REST_SECONDS));
    }
    if let Some((of, texture)) = panels.photo.last_detail(seen) {
        let place = |x: u32, y: u32| transform.on_screen((x as f32, y as f32));
        let rect = Rect::from_two_pos(place(of.x, of.y), place(of.x + of.width_px, of.y + of.height_px));
        painter.image(texture.id(), rect, whole_uv(seen.mirror), Color32::WHITE);
    }
}

/// The photo pixels in a part of the screen.
#[expect(clippy::cast_possible_truncation, reason = "places on the photo")]
fn pixels(transform: &PhotoTransform, screen_rect: Rect) -> PixelRect {
    let ends = [screen_rect.min, screen_rect.max].map(|at| transform.on_photo(at));
    let range = |a: f32, b: f32| (a.min(b).floor() as u32, a.max(b).ceil() as u32);
    let ((left, right), (top, bottom)) = (range(ends[0].0, ends[1].0), range(ends[0].1, ends[1].1));
    PixelRect { x: left, y: top, width_px: (right - left).max(1), height_px: (bottom - top).max(1) }
}

fn holds(outer: PixelRect, inner: PixelRect) -> bool {
    outer.x <= inner.x
        && outer.y <= inner.y
        && outer.x + outer.width_px >= inner.x + inner.width_px
        && outer.y + outer.height_px >= inner.y + inner.height_px
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn what_lies_at_the_pointer_stays_there_and_the_photo_fills_the_page() {
        let photo = concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg");
        let photo = std::sync::Arc::new(stint_model::photo::Photo::open(photo).unwrap());
        let plain = stint_model::photo::Adjustments::default();
        let seen = DisplayedPhoto {
            photo,
            adjustments: plain,
            shown: plain,
            key: 1,
            look: Default::default(),
            canvas_px: 1600,
            mirror: false,
            uncropped: false,
        };
        let room = Rect::from_min_max(pos2(300.0, 44.0), pos2(1024.0, 610.0));
        let mut page = PhotoPageState { middle: Vec2::splat(0.5), ..Default::default() };
        let all = page.whole(&seen, room);
        assert!(room.shrink(MARGIN - 0.1).contains_rect(all) && (all.aspect_ratio() - 4.0 / 3.0).abs() < 1e-3);
        let at = pos2(500.0, 300.0);
        let fraction = |page: &PhotoPageState| (at - page.whole(&seen, room).min) / page.whole(&seen, room).size();
        page.zoom(&seen, room, at, 3.0);
        let before = fraction(&page);
        page.zoom(&seen, room, at, 2.0);
        assert!((fraction(&page) - before).length() < 1e-4);
        assert!(page.whole(&seen, room).contains_rect(room));
        page.zoom(&seen, room, room.min, 1e9);
        assert!(page.scale.unwrap() <= MAX_POINTS_A_PIXEL && page.whole(&seen, room).contains_rect(room));
        page.zoom(&seen, room, at, 1e-9);
        assert_eq!(page.whole(&seen, room), all);
    }
}
