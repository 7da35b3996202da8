//! The sheet on which the painter shows how hard the hand presses: three strokes, and the curve they make.

use super::widgets::{self, Pill};
use super::{PanelState, Sheet};
use crate::files::settings;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{
    Align2, Color32, CornerRadius, Pos2, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2,
};
use stint_render::mask::pressure_curve::{COUNT_AS, PressureCurve, stroke_pressure};

/// Width of the sheet, and height of the fields for the strokes and of the curve, points.
const WIDTH: f32 = 560.0;
const FIELD: f32 = 96.0;
const CURVE: f32 = 180.0;
/// A stroke of full pressure shows this wide, points.
const WIDEST: f32 = 22.0;
/// Points of the curve.
const POINTS: u16 = 64;

/// One stroke as it was drawn: places from the corner of its field, and the pressures.
#[derive(Clone, PartialEq, Debug, Default)]
struct Drawn {
    places: Vec<Pos2>,
    pressures: Vec<f32>,
    /// What was heard is no pressure: a mouse drew it.
    mute: bool,
}

/// What the sheet remembers while it is open.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct PressureForm {
    strokes: [Drawn; 3],
}

/// The sheet; gives itself back while it stays open, and the brush's sheet when it is done.
pub(super) fn sheet(state: &mut State, panels: &mut PanelState, ui: &mut Ui, mut form: PressureForm) -> Option<Sheet> {
    let (mut done, mut plain) = (false, false);
    let closed = widgets::sheet(ui, wording::PRESSURE_SHEET, WIDTH, |ui| {
        widgets::quiet(ui, wording::PRESSURE_HOW);
        widgets::gap(ui, 1.0);
        ui.spacing_mut().item_spacing.x = theme::STEP;
        let heard = state.pen.take_heard();
        ui.columns(3, |columns| {
            for ((ui, drawn), name) in columns.iter_mut().zip(&mut form.strokes).zip(wording::PRESSURE_STROKES) {
                field(ui, name, drawn, &heard);
            }
        });
        widgets::gap(ui, 1.0);
        let told = form.told();
        if let Ok(Some(curve)) = told
            && curve != state.pen.curve()
        {
            take(state, curve);
        }
        chart(ui, state.pen.curve());
        // The place of this line is kept, so that nothing below it moves.
        widgets::quiet(ui, told.err().unwrap_or_else(|| wording::pressures_told(state.pen.curve().pressures())));
        widgets::footer(ui, |ui| {
            done = widgets::pill(ui, wording::DONE, Pill::First).clicked();
            plain = widgets::pill(ui, wording::PRESSURE_PLAIN, Pill::Plain).clicked();
        });
    });
    if plain {
        form = PressureForm::default();
        take(state, PressureCurve::PLAIN);
    }
    match done || closed {
        false => Some(Sheet::Pressure(form)),
        true => {
            panels.open_brush_sheet(state);
            panels.sheet.take()
        }
    }
}

impl PressureForm {
    /// The curve of the three strokes, nothing while one is missing.
    ///
    /// # Errors
    /// What is amiss, for the painter.
    fn told(&self) -> Result<Option<PressureCurve>, String> {
        if self.strokes.iter().any(|s| s.mute) {
            return Err(wording::PRESSURE_MUTE.to_owned());
        }
        if self.strokes.iter().any(|s| s.places.is_empty()) {
            return Ok(None);
        }
        let [light, usual, firm] = &self.strokes;
        let pressures = [&light.pressures, &usual.pressures, &firm.pressures].map(Vec::as_slice);
        PressureCurve::of_strokes(pressures).map(Some).map_err(|fault| wording::sentence_start(&fault.to_string()))
    }
}

fn take(state: &mut State, curve: PressureCurve) {
    state.pen.set(curve);
    if let Err(why) = state.settings.set(&settings::PRESSURE, &curve) {
        state.notices.push(why);
    }
}

/// A field for one stroke, which shows it as wide as it was pressed.
fn field(ui: &mut Ui, name: &str, drawn: &mut Drawn, heard: &[f32]) {
    let told = stroke_pressure(&drawn.pressures).map_or_else(String::new, wording::per_cent);
    let (head, _) = ui.allocate_exact_size(vec2(ui.available_width(), 18.0), Sense::hover());
    widgets::line(ui, head.left_top(), Align2::LEFT_TOP, name, theme::TEXT);
    widgets::line(ui, head.right_top(), Align2::RIGHT_TOP, &told, theme::TEXT);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), FIELD), Sense::drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, wording::pressure_field(name)));
    if response.drag_started() {
        *drawn = Drawn::default();
    }
    if response.dragged()
        && let Some(at) = response.interact_pointer_pos()
    {
        drawn.places.push((at - rect.min).to_pos2());
        // While it touches: a pen that hovers tells a pressure of nothing.
        drawn.pressures.extend(heard.iter().filter(|pressure| **pressure > 0.0));
        drawn.mute = drawn.pressures.is_empty();
    }
    ui.painter().rect_filled(rect, CornerRadius::same(theme::CORNER), theme::CARD);
    widgets::focus_ring(ui, &response, rect);
    let painter = ui.painter().with_clip_rect(rect);
    let count = drawn.places.len().max(2) - 1;
    for (i, ends) in drawn.places.windows(2).enumerate() {
        let pressure = drawn.pressures.get(i * drawn.pressures.len().max(1) / count).copied().unwrap_or(0.0);
        let line = ends.iter().map(|at| rect.min + at.to_vec2()).collect::<Vec<_>>();
        let width = (WIDEST * pressure).max(1.0);
        painter.circle_filled(line[1], width / 2.0, theme::STRONG);
        painter.line_segment([line[0], line[1]], Stroke::new(width, theme::STRONG));
    }
}

/// The curve: across, how hard the hand presses; upwards, what brushes take it for.
fn chart(ui: &mut Ui, curve: PressureCurve) {
    let (room, response) = ui.allocate_exact_size(vec2(ui.available_width(), CURVE), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, wording::PRESSURE_CURVE));
    let square = Rect::from_min_size(room.min + vec2(136.0, 4.0), vec2(CURVE - 28.0, CURVE - 28.0));
    let place = |x: f32, y: f32| pos2(egui::lerp(square.x_range(), x), egui::lerp(square.bottom()..=square.top(), y));
    let painter = ui.painter();
    painter.rect_stroke(square, CornerRadius::ZERO, Stroke::new(1.0, theme::LINE), StrokeKind::Inside);
    painter.extend(Shape::dashed_line(&[place(0.0, 0.0), place(1.0, 1.0)], Stroke::new(1.0, theme::LINE), 4.0, 4.0));
    let points = (0..=POINTS).map(|i| f32::from(i) / f32::from(POINTS)).map(|x| place(x, curve.at(x))).collect();
    painter.add(Shape::line(points, Stroke::new(2.0, theme::STRONG)));
    for ((x, y), name) in curve.pressures().into_iter().zip(COUNT_AS).zip(wording::PRESSURE_STROKES) {
        painter.circle_filled(place(x, y), 4.0, theme::BRIGHT);
        widgets::line(ui, pos2(square.right() + 10.0, place(x, y).y - 8.0), Align2::LEFT_TOP, name, theme::TEXT);
    }
    let words = |at, align, words: &str, colour: Color32| widgets::line(ui, at, align, words, colour);
    words(square.left_top() - vec2(10.0, 0.0), Align2::RIGHT_TOP, wording::PRESSURE_TO, theme::TEXT);
    words(square.center_bottom() + vec2(0.0, 4.0), Align2::CENTER_TOP, wording::PRESSURE_FROM, theme::TEXT);
}
