//! Free colour: its panel, the sheet that asks once, and the picker, which shows while it is open.

use super::Sheet;
use super::widgets::{self, Pill};
use super::{colour_form, dab, plane};
use crate::study::command::Command;
use crate::study::session::{FREE_AIM, Loaded};
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{
    Align, CornerRadius, Layout, Rect, Response, Role, Sense, Stroke, StrokeKind, TextureHandle, Ui, UiBuilder,
    WidgetInfo, pos2, vec2,
};
use stint_model::colour::Colour;
use stint_model::ids::SwatchId;
use stint_model::paint::PaintKind;
use stint_model::readout::Readout;

/// What the panel needs above and below the plane, points.
const AROUND_PLANE: f32 = 44.0;
/// How many free colours used before are offered.
const USED: usize = 5;
/// The picker's colour.
#[derive(Clone, PartialEq)]
struct PickerColour {
    /// Munsell, 0 to 10.
    value: f32,
    hue_degrees: f32,
    chroma: f32,
    hex: String,
}

impl Default for PickerColour {
    fn default() -> Self {
        PickerColour::new(plane::colour_at(5.0, 0.0, 0.12))
    }
}

impl PickerColour {
    fn new(colour: Colour) -> Self {
        let place = colour.oklch();
        let (hue_degrees, chroma) = (place.h_degrees, place.c);
        PickerColour { value: colour.munsell_value(), hue_degrees, chroma, hex: colour.hex() }
    }

    fn colour(&self) -> Colour {
        plane::colour_at(self.value, self.hue_degrees, self.chroma)
    }
}

/// What the panel remembers.
#[derive(Default)]
pub(super) struct FreeState {
    picked: PickerColour,
    /// The plane's picture and the value it shows, in hundredths.
    plane: Option<(i32, TextureHandle)>,
}

/// The panel of free colour at the bottom right: shut, or open with its picker.
pub(super) fn panel(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let Some(session) = &state.session else { return };
    let open = session.document().free_open;
    let margin = if ui.max_rect().width() < super::SHUT_FREE + 1.0 { 8.0 } else { 16.0 };
    let card = ui.max_rect().shrink2(vec2(margin, 14.0));
    let outline = if open { theme::QUIET } else { theme::LINE };
    if open {
        ui.painter().rect_stroke(card, CornerRadius::same(8), Stroke::new(1.0, outline), StrokeKind::Inside);
    } else {
        ui.painter().extend(widgets::dashed(card, outline));
    }
    let inner = card.shrink2(vec2(12.0, 10.0));
    let mut inside = ui.new_child(UiBuilder::new().max_rect(inner).id_salt("inside"));
    inside.spacing_mut().item_spacing.y = 6.0;
    if open {
        picker(state, panels, &mut inside, inner);
    } else {
        widgets::heading_with(&mut inside, wording::FREE, &[]);
        widgets::quiet(&mut inside, wording::FREE_IS_SHUT);
        inside.add_space(4.0);
        if widgets::pill_named(&mut inside, wording::OPEN_LID, wording::OPEN_LID_NAME, Pill::Second).clicked() {
            panels.open_free_sheet();
        }
    }
}

/// The sheet that asks; gives itself back while it stays open.
pub(super) fn open_sheet(state: &mut State, ui: &mut Ui) -> Option<Sheet> {
    let readout = state.readout.clone()?;
    let mut done = false;
    let closed = widgets::sheet(ui, wording::OPEN_SHEET, 400.0, |ui| {
        shares(ui, &readout);
        widgets::gap(ui, 1.5);
        widgets::text(ui, wording::OPENING);
        widgets::footer(ui, |ui| {
            if widgets::pill(ui, wording::OPEN_FREE, Pill::First).clicked() {
                state.apply(&Command::OpenFree);
                done = true;
            }
            done |= widgets::pill(ui, wording::LEAVE_SHUT, Pill::Plain).clicked();
        });
    });
    (!done && !closed).then_some(Sheet::OpenFree)
}

/// The three shares beside each other, as a sheet shows them that asks before something opens.
pub(super) fn shares(ui: &mut Ui, readout: &Readout) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 32.0;
        for (share, words) in [
            (readout.board_share, wording::FROM_BOARD),
            (readout.free_share, wording::free_words(readout.free_share > FREE_AIM)),
            (readout.bare_share, wording::BARE),
        ] {
            ui.vertical(|ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                widgets::number(ui, &wording::share_digits(share), "%", theme::LARGE);
                widgets::quiet(ui, words);
            });
        }
    });
}

fn picker(state: &mut State, panels: &mut PanelState, ui: &mut Ui, inner: Rect) {
    let mut load = None;
    if widgets::heading_with(ui, wording::FREE, &[(wording::SHUT_AGAIN, wording::SHUT_AGAIN)]).is_some() {
        state.apply(&Command::ShutFree);
        return;
    }
    let used: Vec<Colour> = match &state.session {
        Some(session) => {
            let free = session.document().paints.iter().filter(|p| p.kind == PaintKind::Free);
            let mut used: Vec<_> = free.map(|p| p.colour).collect();
            used.reverse();
            used.truncate(USED);
            used
        }
        None => Vec::new(),
    };
    let loaded = state.session.as_ref().and_then(|s| s.loaded());
    let free_panel = &mut panels.free;
    let before = free_panel.picked.clone();
    let top = inner.top() + 23.0;
    let square = Rect::from_min_size(pos2(inner.left(), top), egui::Vec2::splat(inner.height() - AROUND_PLANE));
    let plane = show_plane(free_panel, ui, square);
    if rested(&plane) {
        load = Some(free_panel.picked.colour());
    }
    let rail = Rect::from_min_max(pos2(inner.left(), square.bottom() + 4.0), pos2(square.right(), inner.bottom()));
    let value = &mut free_panel.picked.value;
    let slider = widgets::rail_slider(ui, rail, wording::FREE_VALUE, value, 0.5..=9.5, (false, None));
    if widgets::rested(&slider) {
        load = Some(free_panel.picked.colour());
    }
    if before != free_panel.picked {
        free_panel.picked.hex = free_panel.picked.colour().hex();
    }
    let words = format!("value {:.1}", free_panel.picked.value);
    let at = pos2(square.right() + 12.0, rail.center().y);
    widgets::line(ui, at, egui::Align2::LEFT_CENTER, &words, theme::QUIET);

    let side = Rect::from_min_max(pos2(square.right() + 12.0, top), pos2(inner.right(), square.bottom()));
    let layout = Layout::top_down(Align::Min);
    let mut side = ui.new_child(UiBuilder::new().max_rect(side).layout(layout).id_salt("side"));
    side.spacing_mut().item_spacing = vec2(4.0, 7.0);
    let width = side.available_width();
    let field = widgets::bare_field(&mut side, wording::FREE_HEX, &mut free_panel.picked.hex, width);
    let typed = Colour::from_hex(free_panel.picked.hex.trim());
    if field.changed()
        && let Ok(colour) = &typed
    {
        free_panel.picked = PickerColour { hex: free_panel.picked.hex.clone(), ..PickerColour::new(*colour) };
    }
    let enter = widgets::entered(&side, &field);
    side.horizontal(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(36.0, 28.0), Sense::hover());
        let colour = typed.clone().unwrap_or_else(|_| free_panel.picked.colour());
        let ring = (loaded == Some(Loaded::Free(colour))).then(colour_form::ring);
        dab::paint(ui.painter(), SwatchId(0), rect.center(), vec2(15.0, 11.0), theme::paint(colour), None);
        if let Some(stroke) = ring {
            ui.painter().rect_stroke(rect, CornerRadius::same(12), stroke, StrokeKind::Inside);
        }
        if widgets::pill_named(ui, wording::LOAD, wording::LOAD_FREE, Pill::Second).clicked() || enter {
            match &typed {
                Ok(colour) => load = Some(*colour),
                Err(error) => state.notices.push(error.to_string()),
            }
        }
    });
    side.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        for colour in &used {
            let (rect, response) = ui.allocate_exact_size(vec2(18.0, 18.0), Sense::click());
            let name = wording::used_before(&colour.hex());
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
            dab::paint(ui.painter(), SwatchId(0), rect.center(), vec2(7.5, 6.5), theme::paint(*colour), None);
            widgets::focus_ring(ui, &response, rect);
            if response.on_hover_text(&name).clicked() {
                free_panel.picked = PickerColour::new(*colour);
                load = Some(*colour);
            }
        }
    });
    if let Some(colour) = load {
        load_free(state, colour);
    }
}

/// Loads a free colour. It goes by its hex, so that the brush holds what the field shows.
fn load_free(state: &mut State, colour: Colour) {
    if let Some(Loaded::Swatch(before)) = state.session.as_ref().and_then(|s| s.loaded()) {
        state.previous = Some(before);
    }
    state.apply(&Command::LoadFree(colour.hex()));
}

/// Whether the plane came to rest on a colour in this frame.
fn rested(plane: &Response) -> bool {
    plane.clicked() || plane.drag_stopped() || (plane.changed() && !plane.dragged())
}

fn show_plane(free_panel: &mut FreeState, ui: &mut Ui, square: Rect) -> Response {
    let PickerColour { value, hue_degrees, chroma, .. } = &mut free_panel.picked;
    plane::show(
        ui,
        square,
        wording::PLANE,
        plane::PlanePoint { value: *value, hue_degrees, chroma },
        &mut free_panel.plane,
    )
}
