//! Cropping and extending the canvas: figures in the place of the photo, and a frame over the canvas that is pulled by its corners and
//! sides. Nothing is done before "Set the canvas", and that in one step.

mod edges;
mod frame;

pub use frame::frame;

use super::widgets::{self, Pill};
use super::{Page, PanelState};
use crate::study::command::Command;
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use edges::Edges;
use egui::{Key, Ui, vec2};

/// Width of a field for pixels, points.
const FIELD: f32 = 72.0;
/// Width of the name before it, points.
const NAME: f32 = 50.0;
/// Height of the lines that tell how large the canvas will be, or why it cannot be: kept, so that nothing under them moves.
const WORDS_HEIGHT: f32 = 40.0;

/// What keys ask for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Asked {
    Set,
    Leave,
}

/// What the panel and the frame remember.
#[derive(Default)]
pub(super) struct CanvasCropState {
    /// Whether they show.
    pub open: bool,
    /// The size of the canvas that the frame lies on.
    of: (u32, u32),
    now: Edges,
    /// What is written in the fields, left, top, right and bottom.
    fields: [String; 4],
    keeps_shape: bool,
    /// Where a drag inside the frame began, canvas pixels, and the frame as it was then.
    grabbed: Option<([f64; 2], Edges)>,
    /// The canvas has yet to be shown with room around it.
    fresh: bool,
    /// The frame as it was when it was last made sure that all of it shows.
    looked_at: Edges,
    /// What a key on the canvas asked for.
    asked: Option<Asked>,
    /// A handle, or the frame, had the keyboard in the last frame.
    has_keyboard: bool,
}

impl CanvasCropState {
    fn set(&mut self, now: Edges) {
        self.now = now;
        self.fields = now.added(Edges::of(self.of)).map(|px| px.to_string());
    }
}

impl PanelState {
    /// Whether a frame lies on the canvas: nothing is painted then.
    pub fn crops_canvas(&self) -> bool {
        self.canvas_crop.open
    }

    /// Shows the frame over the canvas, or leaves it.
    pub fn toggle_canvas_crop(&mut self, state: &mut State) {
        if self.canvas_crop.open {
            self.leave_canvas_crop(state);
            return;
        }
        let Some(session) = state.session.as_ref().filter(|session| !session.is_read_only()) else { return };
        let of = (session.document().width, session.document().height);
        self.leave_crop();
        (self.page, self.board_open) = (Page::Canvas, false);
        self.canvas_crop = CanvasCropState { open: true, of, fresh: true, ..CanvasCropState::default() };
        self.canvas_crop.set(Edges::of(of));
        self.canvas_crop.looked_at = self.canvas_crop.now;
    }

    /// Sets the canvas with the next frame, as Enter does.
    pub(super) fn want_canvas(&mut self) {
        self.canvas_crop.asked = Some(Asked::Set);
    }

    /// Leaves it as it is with the next frame, as Escape does.
    pub(super) fn cancel_canvas_crop(&mut self) {
        self.canvas_crop.asked = Some(Asked::Leave);
    }

    /// Puts the frame away; the canvas stays as it is.
    pub(super) fn leave_canvas_crop(&mut self, state: &mut State) {
        if std::mem::take(&mut self.canvas_crop.open) {
            state.requests.push(Request::Fit);
        }
    }
}

/// Puts the frame away where something else lies in the place of the canvas, or the canvas is another one. Call it once a frame.
pub(super) fn follow(state: &mut State, panels: &mut PanelState) {
    if !panels.canvas_crop.open {
        return;
    }
    let size = state.session.as_ref().map(|session| (session.document().width, session.document().height));
    if panels.page != Page::Canvas || panels.board_open || size != Some(panels.canvas_crop.of) {
        panels.leave_canvas_crop(state);
    }
}

/// The panel in the place of the photo.
pub(super) fn panel(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let leaves =
        widgets::heading_with(ui, wording::CROPPING_CANVAS, &[(wording::BACK, wording::LEAVE_CANVAS)]).is_some();
    widgets::quiet(ui, wording::CANVAS_HINT);
    widgets::gap(ui, 1.5);
    let crop = &mut panels.canvas_crop;
    let canvas = Edges::of(crop.of);
    let mut in_field = false;
    let mut written = true;
    for pair in [[0, 2], [1, 3]] {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            for edge in pair {
                widgets::cell(ui, wording::CANVAS_EDGES[edge].0, NAME, theme::TEXT);
                let mut value = std::mem::take(&mut crop.fields[edge]);
                let field = widgets::bare_field(ui, wording::CANVAS_EDGES[edge].1, &mut value, FIELD);
                widgets::selects_all(ui, &field, &value);
                let px = value.trim().parse::<i32>();
                if let Ok(px) = px
                    && px != crop.now.added(canvas)[edge]
                {
                    crop.now = crop.now.with_added(canvas, edge, px);
                }
                in_field |= field.has_focus() || field.lost_focus();
                written &= px.is_ok();
                crop.fields[edge] = value;
            }
        });
    }
    let keeps = crop.keeps_shape;
    if widgets::toggle_named(ui, wording::KEEP_SHAPE, wording::KEEP_SHAPE_NAME, keeps).clicked() {
        crop.keeps_shape = !keeps;
    }
    widgets::gap(ui, 1.5);
    let part = crop.now.part(crop.of).filter(|_| written);
    let words = match part {
        Some(part) => wording::canvas_size((part.width_px, part.height_px), crop.of),
        None if !written => wording::WHOLE_PIXELS.to_owned(),
        None => wording::NO_SUCH_CANVAS.to_owned(),
    };
    ui.allocate_ui(vec2(ui.available_width(), WORDS_HEIGHT), |ui| {
        ui.set_min_height(WORDS_HEIGHT);
        widgets::text(ui, words);
    });
    let is_other = crop.now != canvas || !written;
    let mut sets = false;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        let can_set = part.is_some() && is_other;
        sets = ui.add_enabled_ui(can_set, |ui| widgets::pill(ui, wording::SET_CANVAS, Pill::First).clicked()).inner;
        let back = ui.add_enabled_ui(is_other, |ui| {
            widgets::pill_named(ui, wording::CANVAS_AS_IT_IS, wording::CANVAS_AS_IT_IS_NAME, Pill::Second).clicked()
        });
        if back.inner {
            crop.set(canvas);
        }
    });
    widgets::gap(ui, 1.5);
    widgets::quiet(ui, wording::CANVAS_KEPT);
    let ours = in_field || crop.has_keyboard || ui.memory(|m| m.focused().is_none());
    let key = |key: Key| ui.input(|i| i.key_pressed(key));
    let sheet = panels.sheet_is_open();
    let asked = panels.canvas_crop.asked.take();
    let enter = asked == Some(Asked::Set) || !sheet && ours && key(Key::Enter);
    if leaves || asked == Some(Asked::Leave) || !sheet && key(Key::Escape) {
        panels.leave_canvas_crop(state);
    } else if sets || enter {
        set(state, panels, part.filter(|_| is_other));
    }
}

/// Makes the canvas what the frame shows; a refusal becomes a notice, and the frame stays.
fn set(state: &mut State, panels: &mut PanelState, part: Option<stint_model::study::canvas_rect::CanvasRect>) {
    if let Some(part) = part
        && state.apply(&Command::CropCanvas { part })
    {
        panels.leave_canvas_crop(state);
    }
}
