//! A photo, and the canvas that it starts.

use super::StartActions;
use crate::study::opening::{CanvasShape, NewCanvas};
use crate::ui::panels::file_browser::Purpose;
use crate::ui::panels::stint;
use crate::ui::panels::widgets::{self, Pill};
use crate::ui::request::{NewStudy, Request};
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{
    Align, CornerRadius, Layout, Rect, RichText, Role, Sense, Stroke, StrokeKind, Ui, UiBuilder, Vec2, WidgetInfo, vec2,
};
use stint_model::board::Board;
use stint_model::colour::Colour;

/// The sides of a sheet of the A series are as one to this (ISO 216).
const SHEET: f64 = std::f64::consts::SQRT_2;
/// Longer sides that are offered, pixels.
const QUICK_PX: u32 = 1600;
const LARGE_PX: u32 = 3200;
/// Millimetres of the longer side of A4 and of A5 (ISO 216).
const A4_MM: f64 = 297.0;
const A5_MM: f64 = 210.0;
/// Side of the chip of a ground, points.
const CHIP: f32 = 30.0;
/// Width from which on sizes and grounds stand side by side, points.
const SIDE_BY_SIDE: f32 = 600.0;
/// Least height of the zone, points.
const MIN_HEIGHT: f32 = 330.0;

/// A shape that is offered.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
enum Shape {
    #[default]
    Photo,
    A4,
    A5,
    Own,
}

/// What is chosen for the next new study.
pub(super) struct Form {
    shape: Shape,
    large: bool,
    width_px: String,
    height_px: String,
    ground: usize,
    /// Minutes; none for as long as it takes.
    stint_min: Option<u32>,
    /// A kept board to start from.
    pub board: Option<Board>,
}

impl Default for Form {
    fn default() -> Self {
        let (width_px, height_px) = (QUICK_PX.to_string(), (QUICK_PX * 3 / 4).to_string());
        Form { shape: Shape::default(), large: false, width_px, height_px, ground: 0, stint_min: None, board: None }
    }
}

impl Form {
    fn own_px(&self) -> Option<(u32, u32)> {
        Some((self.width_px.trim().parse().ok()?, self.height_px.trim().parse().ok()?))
    }

    /// The canvas that is chosen; none while its own size is not two whole numbers.
    #[expect(clippy::cast_possible_truncation, reason = "the shorter side of a sheet is below the longer one")]
    pub fn canvas(&self) -> Option<NewCanvas> {
        let shape = match self.shape {
            Shape::Photo => CanvasShape::Photo,
            Shape::A4 | Shape::A5 => CanvasShape::Sheet(SHEET),
            Shape::Own => {
                let (width, height) = self.own_px()?;
                CanvasShape::Own(width, height)
            }
        };
        let long = if self.large { LARGE_PX } else { QUICK_PX };
        // The smaller sheet at the same fineness of grain.
        let long_side_px =
            if self.shape == Shape::A5 { (f64::from(long) * A5_MM / A4_MM).round() as u32 } else { long };
        let (_, name, colour) = wording::GROUNDS[self.ground];
        let ground = Some((name.to_owned(), colour.to_owned()));
        Some(NewCanvas { shape, long_side_px, ground, board: self.board.clone(), stint_min: self.stint_min })
    }
}

/// The zone: it takes what is dropped, as the whole window does.
pub(super) fn zone(form: &mut Form, state: &State, ui: &mut Ui, actions: &mut StartActions, size: Vec2) {
    let inner = if size.x < 560.0 { 20.0 } else { 40.0 };
    let place = ui.available_rect_before_wrap();
    let ground = ui.painter().add(egui::Shape::Noop);
    let mut inside = ui.new_child(
        UiBuilder::new()
            .max_rect(Rect::from_min_size(place.min, vec2(size.x, f32::INFINITY)).shrink2(vec2(inner, 0.0)))
            .layout(Layout::top_down(Align::Min))
            .id_salt("photo first"),
    );
    let height = size.y.max(MIN_HEIGHT);
    // What is left of the room lies above, between and below, as a third each.
    let spare = ((height - 316.0) / 3.0).clamp(14.0, 60.0);
    inside.add_space(spare);
    offer(form, state, &mut inside, actions);
    inside.add_space(spare);
    canvas(form, &mut inside);
    let bottom = (inside.min_rect().bottom() + spare).max(place.top() + height);
    let zone = Rect::from_min_max(place.min, egui::pos2(place.left() + size.x, bottom));
    let mut shapes = vec![egui::Shape::rect_filled(zone, CornerRadius::same(10), theme::ZONE)];
    shapes.extend(widgets::dashed(zone.shrink(0.5), theme::LINE));
    ui.painter().set(ground, egui::Shape::Vec(shapes));
    ui.allocate_rect(zone, Sense::hover());
}

fn offer(form: &mut Form, state: &State, ui: &mut Ui, actions: &mut StartActions) {
    let title = RichText::new(wording::FROM_PHOTO).font(theme::font(theme::LARGE, Weight::Semibold));
    ui.label(title.color(theme::STRONG));
    let line = |ui: &mut Ui, words: &str| {
        let font = theme::font(theme::MIDDLE, Weight::Regular);
        ui.label(RichText::new(words).font(font).color(theme::QUIET));
    };
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.y = 4.0;
        line(ui, wording::PHOTO_WILL_DO);
        line(ui, wording::DROP_ANYWHERE);
    });
    ui.add_space(10.0);
    // While a size is half written there is no canvas to start.
    let can = form.canvas().is_some() && state.opening.is_none();
    ui.add_enabled_ui(can, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(10.0, 8.0);
            if widgets::large_pill(ui, wording::CHOOSE_A_PHOTO, true).clicked() {
                actions.browse = Some(Purpose::NewStudy);
            }
            if widgets::large_pill(ui, wording::PASTE, false).clicked() {
                actions.requests.push(Request::Paste);
            }
            if widgets::large_pill(ui, wording::START_EMPTY, false).clicked()
                && let Some(canvas) = form.canvas()
            {
                actions.requests.push(Request::NewStudy(NewStudy { photo: None, canvas }));
            }
        });
    });
    // Its place is kept, so that nothing jumps when a board is chosen.
    ui.allocate_ui_with_layout(vec2(ui.available_width(), 28.0), Layout::left_to_right(Align::Center), |ui| {
        ui.set_height(28.0);
        let mut without = false;
        if let Some(board) = &form.board {
            widgets::text(ui, wording::with_board(&board.name));
            without = widgets::pill(ui, wording::WITHOUT_BOARD, Pill::Second).clicked();
        }
        if without {
            form.board = None;
        }
    });
}

fn canvas(form: &mut Form, ui: &mut Ui) {
    widgets::quiet(ui, wording::CANVAS);
    let shapes = [
        (Shape::Photo, wording::SHAPE_OF_PHOTO),
        (Shape::A4, "A4"),
        (Shape::A5, "A5"),
        (Shape::Own, wording::OWN_SIZE),
    ];
    // Side by side, or below one another where the column is narrow.
    let wide = ui.available_width() >= SIDE_BY_SIDE;
    let layout = if wide { Layout::left_to_right(Align::Min) } else { Layout::top_down(Align::Min) };
    ui.allocate_ui_with_layout(vec2(ui.available_width(), CHIP + 4.0), layout, |ui| {
        ui.spacing_mut().item_spacing = vec2(8.0, 8.0);
        if let Some(shape) = widgets::segments(ui, Some(form.shape), &shapes) {
            form.shape = shape;
        }
        if let Some(minutes) = stint::choice(ui, form.stint_min) {
            form.stint_min = minutes;
        }
    });
    ui.horizontal(|ui| {
        ui.set_min_height(CHIP + 4.0);
        ui.spacing_mut().item_spacing = vec2(8.0, 8.0);
        if form.shape == Shape::Own {
            for (name, value) in [(wording::WIDTH_PX, &mut form.width_px), (wording::HEIGHT_PX, &mut form.height_px)] {
                widgets::quiet(ui, name);
                widgets::bare_field(ui, name, value, 64.0);
            }
        } else if let Some(large) =
            widgets::segments(ui, Some(form.large), &[(false, wording::QUICK), (true, wording::LARGE_CANVAS)])
        {
            form.large = large;
        }
        if wide {
            ui.add_space(12.0);
            grounds(form, ui);
        }
    });
    if !wide {
        ui.horizontal(|ui| grounds(form, ui));
    }
    let fault = (form.shape == Shape::Own && form.own_px().is_none()).then_some(wording::SIZE_MISSING);
    widgets::cell(ui, &wording::sentence_start(fault.unwrap_or_default()), ui.available_width(), theme::STRONG);
}

/// The grounds as chips, and the name of the one that is chosen, or under the pointer.
fn grounds(form: &mut Form, ui: &mut Ui) {
    let mut named = form.ground;
    for (i, (label, _, hex)) in wording::GROUNDS.iter().enumerate() {
        let (rect, response) = ui.allocate_exact_size(Vec2::splat(CHIP), Sense::click());
        let name = wording::ground_named(label);
        response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, form.ground == i, &name));
        if let Ok(colour) = Colour::from_hex(hex) {
            ui.painter().rect_filled(rect, CornerRadius::same(5), theme::paint(colour));
        }
        if form.ground == i {
            let ring = Stroke::new(2.0, theme::STRONG);
            ui.painter().rect_stroke(rect.expand(3.0), CornerRadius::same(7), ring, StrokeKind::Inside);
        }
        widgets::focus_ring(ui, &response, rect.expand(3.0));
        if response.hovered() || response.has_focus() {
            named = i;
        }
        if response.clicked() {
            form.ground = i;
        }
    }
    widgets::quiet(ui, wording::ground_named(wording::GROUNDS[named].0));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_choices_are_canvases() {
        let mut form = Form::default();
        let size = |form: &Form, photo| form.canvas().map(|c| c.size_px(photo));
        assert_eq!(size(&form, Some((4000, 3000))), Some((1600, 1200)));
        form.large = true;
        assert_eq!(size(&form, Some((640, 480))), Some((3200, 2400)));
        form.shape = Shape::A4;
        assert_eq!(size(&form, Some((3000, 4000))), Some((2263, 3200)));
        form.shape = Shape::A5;
        // 3200 px for 297 mm, so that 210 mm are 2263 px: the shorter side of the one is the longer of the other.
        assert_eq!(size(&form, None), Some((2263, 1600)));
        form.shape = Shape::Own;
        assert_eq!(size(&form, None), Some((1600, 1200)));
        form.width_px = "12x".to_owned();
        assert_eq!(size(&form, None), None);
    }
}
