//! The sheet that sets the brush that is held: a strip that shows its mark and takes strokes of the hand, and a slider for each setting that a
//! painter would reach for. What is set holds at once; a brush can be kept under a name of its own, or be as it came again.

use super::brush_files;
use super::brush_picture::{bow, image};
use super::file_browser::Purpose;
use super::pressure_sheet::PressureForm;
use super::widgets::{self, Pill};
use super::{PanelState, Sheet};
use crate::files::brushes::{NamedBrush, keep};
use crate::files::settings;
use crate::study::session::Session;
use crate::ui::pen_pressure::PenPressure;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{CornerRadius, Pos2, Rect, Role, Sense, TextureHandle, TextureOptions, Ui, Vec2, WidgetInfo, pos2, vec2};
use stint_render::mask::brush::Brush;
use stint_render::mask::curve::Curve;
use stint_render::mask::mark::Mark;
use stint_render::mask::{PenSample, Pointer};

/// Width of the sheet, points.
const WIDTH: f32 = 520.0;
/// Height of the strip, points, and where the window is lower than this, so that the buttons under it stay in sight.
const STRIP: f32 = 110.0;
const LOW_STRIP: f32 = 84.0;
const LOW: f32 = 700.0;
/// The strip shows the mark of a brush of this width at most, points.
const WIDEST: f32 = 56.0;

/// What the sheet remembers while it is open.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct BrushForm {
    /// The name under which the brush would be kept.
    name: String,
    /// The last stroke on the strip, points from its corner; the strip's own bow while there is none.
    tried: Vec<PenSample>,
}

impl BrushForm {
    /// For the brush that is held.
    pub fn of(state: &State) -> Self {
        let name = state.brushes.chosen_brush().map_or_else(String::new, |held| wording::own_brush(&held.named.name));
        BrushForm { name, tried: Vec::new() }
    }
}

/// The picture on the strip, with what it was drawn from.
pub(super) struct StripPicture {
    brush: Brush,
    size: Vec2,
    tried: Vec<PenSample>,
    texture: TextureHandle,
}

/// The sheet; gives itself back while it stays open.
pub(super) fn sheet(state: &mut State, panels: &mut PanelState, ui: &mut Ui, mut form: BrushForm) -> Option<Sheet> {
    let before = state.session.as_ref().map(Session::brush)?.clone();
    let mut brush = before.clone();
    let (mut done, mut next) = (false, None);
    let closed = widgets::sheet(ui, wording::BRUSH_SHEET, WIDTH, |ui| {
        strip(&mut state.pen, panels, ui, &brush, &mut form);
        widgets::gap(ui, 1.0);
        ui.spacing_mut().item_spacing.x = 3.0 * theme::STEP;
        ui.columns(2, |columns| {
            let [left, right] = columns else { return };
            paint_settings(left, &mut brush);
            pressing(left, &mut next);
            if let Some(mark) = &mut brush.mark {
                hair_settings(right, mark);
            }
            steadying(state, right);
        });
        widgets::gap(ui, 1.0);
        ui.spacing_mut().item_spacing.x = theme::STEP;
        ui.horizontal(|ui| {
            let field = widgets::bare_field(ui, wording::BRUSH_NAME, &mut form.name, 220.0);
            let entered = widgets::entered(ui, &field);
            if widgets::pill(ui, wording::KEEP_BRUSH, Pill::Second).clicked() || entered {
                keep_brush(state, &form.name, &brush);
            }
            let original = state.brushes.chosen_brush().map(|held| held.original.clone());
            if widgets::pill(ui, wording::AS_IT_CAME, Pill::Second).clicked()
                && let Some(original) = original
            {
                brush = original;
            }
        });
        widgets::footer(ui, |ui| {
            done = widgets::pill(ui, wording::DONE, Pill::First).clicked();
            if widgets::pill(ui, wording::BRUSH_FROM_FILE, Pill::Plain).clicked() {
                next = Some(Next::TakeIn);
            }
            if widgets::pill(ui, wording::BRUSH_TO_FILE, Pill::Plain).clicked() {
                next = Some(Next::HandOut);
            }
        });
    });
    if brush != before {
        state.set_brush(brush);
    }
    match next {
        Some(Next::Pressure) => return Some(Sheet::Pressure(PressureForm::default())),
        Some(Next::TakeIn) => panels.browse(state, Purpose::TakeBrush),
        Some(Next::HandOut) => brush_files::hand_out(state, panels, &form.name),
        None => {}
    }
    if panels.sheet.is_some() {
        return panels.sheet.take();
    }
    (!done && !closed).then_some(Sheet::Brush(form))
}

/// The strip: shows the mark, and with it what was last drawn on it.
fn strip(pen: &mut PenPressure, panels: &mut PanelState, ui: &mut Ui, brush: &Brush, form: &mut BrushForm) {
    let low = ui.ctx().content_rect().height() < LOW;
    let size = vec2(ui.available_width(), if low { LOW_STRIP } else { STRIP });
    let (rect, response) = ui.allocate_exact_size(size, Sense::drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, wording::BRUSH_STRIP));
    if response.drag_started() {
        pen.take_heard();
        form.tried.clear();
    }
    if response.dragged()
        && let Some(at) = response.interact_pointer_pos()
    {
        let heard = pen.take_heard();
        form.tried.push(tried(rect, at, ui.input(|i| i.time), heard.last().map(|pressure| pen.curve().at(*pressure))));
    }
    let shown = Brush { size_px: brush.size_px.min(WIDEST), ..brush.clone() };
    let known =
        panels.brush_strip.as_ref().is_some_and(|p| p.brush == shown && p.tried == form.tried && p.size == size);
    if !known {
        let samples = if form.tried.is_empty() { bow(size, size.y * 0.5) } else { form.tried.clone() };
        panels.brush_strip = image(&shown, &samples, size).ok().map(|picture| StripPicture {
            texture: ui.ctx().load_texture("brush strip", picture, TextureOptions::LINEAR),
            brush: shown,
            size,
            tried: form.tried.clone(),
        });
    }
    ui.painter().rect_filled(rect, CornerRadius::same(theme::CORNER), theme::CARD);
    if let Some(picture) = &panels.brush_strip {
        let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
        ui.painter().image(picture.texture.id(), rect, whole, theme::STRONG);
    }
    response.on_hover_text(wording::BRUSH_STRIP);
}

/// A sample of the pointer on the strip.
fn tried(strip: Rect, at: Pos2, seconds: f64, pressure: Option<f32>) -> PenSample {
    let Vec2 { x, y } = at - strip.min;
    let pointer = if pressure.is_some() { Pointer::Pen } else { Pointer::Mouse };
    PenSample { time_ms: Some(seconds * 1000.0), pointer, ..PenSample::new(x, y, pressure.unwrap_or(1.0)) }
}

fn part(ui: &mut Ui, name: &str, value: &mut f32) {
    let words = wording::per_cent(*value);
    widgets::slider(ui, name, &words, value, 0.0..=1.0, false);
}

/// How the brush lays its paint.
fn paint_settings(ui: &mut Ui, brush: &mut Brush) {
    ui.spacing_mut().item_spacing.y = theme::STEP;
    part(ui, wording::STRENGTH, &mut brush.strength);
    part(ui, wording::HARDNESS, &mut brush.hardness);
    let Some(mark) = &mut brush.mark else { return };
    under_light_hand(ui, wording::LIGHT_STRENGTH, &mut mark.dynamics.flow.pressure);
    let words = wording::brush_widths(mark.paint.holds);
    widgets::slider(ui, wording::HOLDS, &words, &mut mark.paint.holds, 0.5..=100.0, true);
    part(ui, wording::LIFT, &mut mark.paint.lift);
    part(ui, wording::TAKES_UP, &mut mark.wet.pickup);
    let words = wording::brush_widths(mark.wet.carries);
    widgets::slider(ui, wording::CARRIES, &words, &mut mark.wet.carries, 0.1..=8.0, true);
}

/// What a light hand makes of something that follows the pressure.
fn under_light_hand(ui: &mut Ui, name: &str, by_pressure: &mut Curve) {
    let before = by_pressure.at(0.0);
    let mut light = before;
    part(ui, name, &mut light);
    if light != before {
        *by_pressure = by_pressure.beginning_at(light);
    }
}

/// Its hair, its grain and its ends.
fn hair_settings(ui: &mut Ui, mark: &mut Mark) {
    ui.spacing_mut().item_spacing.y = theme::STEP;
    under_light_hand(ui, wording::LIGHT_WIDTH, &mut mark.dynamics.size.pressure);
    let words = format!("{:.0}", mark.bristles.count);
    widgets::slider(ui, wording::HAIRS, &words, &mut mark.bristles.count, 4.0..=400.0, true);
    part(ui, wording::UNEVEN, &mut mark.bristles.unevenness);
    part(ui, wording::PARTING, &mut mark.bristles.splitting);
    part(ui, wording::GRAIN, &mut mark.grain.amount);
    part(ui, wording::STREWN, &mut mark.tip.scatter);
    let words = wording::brush_widths(mark.path.taper_end);
    widgets::slider(ui, wording::TAPER, &words, &mut mark.path.taper_end, 0.0..=8.0, false);
}

/// What the sheet gives way to.
enum Next {
    Pressure,
    TakeIn,
    HandOut,
}

/// The way to the sheet on which the painter shows how hard the hand presses.
fn pressing(ui: &mut Ui, next: &mut Option<Next>) {
    if widgets::pill(ui, wording::PRESSURE_OPEN, Pill::Second).clicked() {
        *next = Some(Next::Pressure);
    }
}

/// How much a trembling hand is steadied, by every brush.
fn steadying(state: &mut State, ui: &mut Ui) {
    let held = state.session.as_ref().and_then(|s| s.brush().mark.as_deref()).map_or(0.0, |mark| mark.path.smoothing);
    let before = state.settings.get(&settings::STEADYING).unwrap_or(held);
    let mut now = before;
    part(ui, wording::STEADYING, &mut now);
    if now != before
        && let Err(why) = state.settings.set(&settings::STEADYING, &now)
    {
        state.notices.push(why);
    }
}

/// Keeps the brush among the painter's own, and takes it up.
fn keep_brush(state: &mut State, name: &str, brush: &Brush) {
    let named = NamedBrush { name: name.trim().to_owned(), brush: brush.clone() };
    match keep(state.data_folder.as_deref(), &named) {
        Ok(path) => {
            let told = state.brushes.take_own(state.data_folder.as_deref());
            state.notices.extend(told);
            state.brushes.choose_named(&named.name);
            state.notices.push(wording::brush_kept(&named.name, &path));
        }
        Err(error) => state.notices.push(error.to_string()),
    }
}
