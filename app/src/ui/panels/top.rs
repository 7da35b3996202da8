//! The top bar: the study's name, the looks, the history, export.

use super::measures::Measures;
use super::study_menu;
use super::widgets::{self, Pill};
use crate::study::session::Session;
use crate::ui::looks::{Guides, Look, MAX_GRID, Surround};
use crate::ui::panels::PanelState;
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{
    Align, Area, CornerRadius, Frame, Id, Layout, Margin, Order, Popup, PopupCloseBehavior, Rect, Stroke, Ui,
    UiBuilder, Vec2, pos2, vec2,
};
use stint_model::disk::Mirrored;
use stint_model::study::travel::Direction;

/// Radius of squint when it is first chosen, canvas pixels.
const SQUINT_PX: f32 = 12.0;
/// Largest radius of squint, canvas pixels.
const MAX_SQUINT_PX: f32 = 64.0;
/// Room for the beginning of the study's name, points.
const LEFT_NEEDS: f32 = 110.0;
/// Space between the parts of the bar, points.
const GAP: f32 = 14.0;
/// Number of values when two-tone is first chosen.
const VALUES: u8 = 2;

/// The study's name: that of its file, or of its board while it lives in memory.
fn study_name(session: &Session) -> String {
    let path = session.path();
    match path.file_stem() {
        Some(stem) if path.extension().is_some() => stem.to_string_lossy().into_owned(),
        _ => session.document().board.name.clone(),
    }
}

/// Draws the top bar: name, looks, view and history, as many of them in full as there is room for.
pub(super) fn bar(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let all = ui.max_rect().shrink2(vec2(theme::MARGIN + 2.0, 0.0));
    let (looks_wide, right_wide) = (looks_width(panels, ui), right_width(panels, ui));
    let (whole, short) = (view_width(state, ui), widgets::pill_width(ui, wording::VIEW));
    // What does not fit beside the looks lies behind one button.
    let fits = LEFT_NEEDS + looks_wide + whole + right_wide + 3.0 * GAP <= all.width();
    let view_wide = if fits { whole } else { short };
    let wanted = looks_wide + GAP + view_wide;
    // In the middle of the window, unless what stands to their right needs the room.
    let least = all.left() + LEFT_NEEDS;
    let left = (all.center().x - wanted / 2.0).min(all.right() - right_wide - GAP - wanted).max(least);
    let looks = Rect::from_min_size(pos2(left, all.top()), vec2(looks_wide, all.height()));
    let strip = |ui: &mut Ui, name: &str, rect: Rect, layout: Layout, content: &mut dyn FnMut(&mut Ui)| {
        let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout).id_salt(name));
        content(&mut ui);
    };
    name_and_words(state, panels, ui, Rect::from_min_max(all.min, pos2(looks.left() - GAP, all.bottom())));
    strip(ui, "looks", looks, Layout::left_to_right(Align::Center), &mut |ui| look_pills(state, panels, ui));
    let view = Rect::from_min_max(pos2(looks.right() + GAP, all.top()), all.max);
    strip(ui, "view", view, Layout::left_to_right(Align::Center), &mut |ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        if fits {
            view_buttons(state, ui);
        } else {
            let button = widgets::pill(ui, wording::VIEW, Pill::Second);
            Popup::menu(&button).close_behavior(PopupCloseBehavior::CloseOnClickOutside).show(|ui| {
                ui.spacing_mut().item_spacing = vec2(4.0, 6.0);
                view_buttons(state, ui);
                if state.guides.grid {
                    grid_setting(state, ui);
                }
            });
        }
    });
    strip(ui, "history", all, Layout::right_to_left(Align::Center), &mut |ui| history(state, panels, ui));
    look_setting(state, panels, ui, looks);
    if fits && state.guides.grid {
        below_the_bar(state, panels, ui, ("grid setting", view.left()), |state, _, ui| grid_setting(state, ui));
    }
}

/// Columns and rows of the painter's own grid.
fn grid_setting(state: &mut State, ui: &mut Ui) {
    let (columns, rows) = &mut state.guides.cells;
    for (count, name) in [(columns, wording::GRID_COLUMNS), (rows, wording::GRID_ROWS)] {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 8.0;
            widgets::cell(ui, name, 56.0, theme::QUIET);
            let (rail, _) = ui.allocate_exact_size(vec2(90.0, widgets::PILL), egui::Sense::hover());
            let mut value = f32::from(*count);
            let plain = f32::from(Guides::default().cells.0);
            let range = 1.0..=f32::from(MAX_GRID);
            let slider = widgets::rail_slider(ui, rail, name, &mut value, range, (false, Some(plain)));
            *count = u8::try_from(widgets::whole(&slider, (*count).into(), value)).unwrap_or(MAX_GRID);
            widgets::cell(ui, &count.to_string(), 20.0, theme::TEXT);
        });
    }
}

/// The zoom as the painter reads it: a canvas pixel on so much of a screen pixel.
fn fit_words(state: &State) -> String {
    if state.zoom > 0.0 { wording::fit_at(state.zoom) } else { wording::FIT.to_owned() }
}

fn surround_words(state: &State) -> (&'static str, Surround) {
    match state.surround {
        Surround::Dark => (wording::SURROUND[0], Surround::Middle),
        Surround::Middle => (wording::SURROUND[1], Surround::Light),
        Surround::Light => (wording::SURROUND[2], Surround::Dark),
    }
}

fn view_width(state: &State, ui: &Ui) -> f32 {
    let fit = wording::fit_at(state.zoom.max(10.0));
    let words = [
        wording::MIRROR,
        wording::THIRDS,
        wording::DIAGONALS,
        wording::GRID,
        &fit,
        wording::ACTUAL_SIZE,
        wording::SURROUND_SHORT,
    ];
    words.iter().map(|words| widgets::pill_width(ui, words) + 4.0).sum()
}

/// Mirror and guides, which are on or off; how large the canvas shows, and what lies around it.
fn view_buttons(state: &mut State, ui: &mut Ui) {
    for (on, words) in [
        (&mut state.mirror, wording::MIRROR),
        (&mut state.guides.thirds, wording::THIRDS),
        (&mut state.guides.diagonals, wording::DIAGONALS),
        (&mut state.guides.grid, wording::GRID),
    ] {
        if widgets::toggle(ui, words, *on).clicked() {
            *on = !*on;
        }
    }
    if widgets::pill_named(ui, &fit_words(state), wording::FIT, Pill::Second).clicked() {
        state.requests.push(Request::Fit);
    }
    if widgets::pill(ui, wording::ACTUAL_SIZE, Pill::Second).clicked() {
        state.requests.push(Request::ActualSize);
    }
    let (name, next) = surround_words(state);
    if widgets::pill_named(ui, wording::SURROUND_SHORT, name, Pill::Second).clicked() {
        state.surround = next;
    }
}

/// Whether every stroke is where it lasts.
fn kept_words(session: &Session) -> &'static str {
    match session.mirrored() {
        Mirrored::Done => wording::ALL_KEPT,
        Mirrored::Underway => wording::BEING_KEPT,
        Mirrored::Failed(_) => wording::NOT_KEPT,
    }
}

fn name_and_words(state: &mut State, panels: &mut PanelState, ui: &mut Ui, rect: Rect) {
    let Some(session) = &state.session else { return };
    let name = study_name(session);
    let kept = kept_words(session);
    let font = theme::font(theme::MIDDLE, Weight::Semibold);
    let words = ui.painter().layout_no_wrap(kept.to_owned(), theme::font(theme::SMALL, Weight::Regular), theme::QUIET);
    let galley = ui.painter().layout_no_wrap(name.clone(), font, theme::STRONG);
    // Both in full, or the name alone: half a statement says nothing.
    let wide = galley.size().x + study_menu::PADDING;
    let both = words.size().x + 16.0 + wide.min(LEFT_NEEDS) <= rect.width();
    let room = if both { rect.width() - words.size().x - 16.0 } else { rect.width() }.min(wide);
    let title = Rect::from_min_size(rect.min, vec2(room.max(0.0) + 1.0, rect.height()));
    let response = study_menu::name(state, panels, ui, &name, title);
    if both {
        let at = Rect::from_min_max(pos2(title.right() + 16.0, rect.top()), rect.max);
        let mut words = ui.new_child(UiBuilder::new().max_rect(at).layout(Layout::left_to_right(Align::Center)));
        widgets::quiet(&mut words, kept);
    } else {
        response.on_hover_text(format!("{name}\n{kept}"));
    }
}

/// The looks as they are when they are chosen, with their words.
fn looks(panels: &PanelState) -> [(Look, &'static str); 4] {
    [
        (Look::Colour, wording::COLOUR),
        (Look::Value, wording::VALUE),
        (Look::Squint { radius_px: panels.squint_radius_px.unwrap_or(SQUINT_PX) }, wording::SQUINT),
        (Look::TwoTone { values: panels.values.unwrap_or(VALUES) }, wording::TWO_TONE),
    ]
}

fn looks_width(panels: &PanelState, ui: &Ui) -> f32 {
    looks(panels).iter().map(|(_, words)| widgets::pill_width(ui, words)).sum::<f32>() + 6.0
}

fn look_pills(state: &mut State, panels: &PanelState, ui: &mut Ui) {
    let looks = looks(panels);
    let kind = std::mem::discriminant(&state.look);
    let chosen = looks.iter().map(|(look, _)| *look).find(|look| std::mem::discriminant(look) == kind);
    let pressed = ui.vertical(|ui| {
        ui.add_space((ui.available_height() - widgets::PILL - 6.0).max(0.0) / 2.0);
        widgets::hinted_segments(ui, chosen, &looks.map(|(look, words)| (look, words, wording::look_hint(look))))
    });
    if let Some(look) = pressed.inner {
        state.look = look;
    }
}

/// What a look can be set to, under its button, over the surround: nothing moves when it comes.
fn look_setting(state: &mut State, panels: &mut PanelState, ui: &Ui, looks: Rect) {
    if matches!(state.look, Look::Colour | Look::Value | Look::Difference) {
        return;
    }
    let left = looks.left().max(beside_left_panel(state, panels, ui));
    below_the_bar(state, panels, ui, ("look setting", left), |state, panels, ui| {
        ui.horizontal(|ui| match &mut state.look {
            Look::Squint { radius_px } => {
                ui.spacing_mut().item_spacing.x = 8.0;
                let (label, _) = ui.allocate_exact_size(vec2(64.0, widgets::PILL), egui::Sense::hover());
                widgets::line(ui, label.left_center(), egui::Align2::LEFT_CENTER, wording::SQUINT_RADIUS, theme::QUIET);
                let (rail, _) = ui.allocate_exact_size(Vec2::new(120.0, widgets::PILL), egui::Sense::hover());
                widgets::rail_slider(
                    ui,
                    rail,
                    wording::SQUINT_RADIUS,
                    radius_px,
                    1.0..=MAX_SQUINT_PX,
                    (true, Some(SQUINT_PX)),
                );
                panels.squint_radius_px = Some(*radius_px);
                widgets::quiet(ui, wording::pixels(*radius_px));
            }
            Look::TwoTone { values } => {
                ui.spacing_mut().item_spacing.x = 2.0;
                widgets::quiet(ui, wording::VALUES_SHOWN);
                let counts = [2, 3, 4, 5].map(|count| (count, count.to_string(), wording::values_of(count)));
                let counts = counts.each_ref().map(|(count, label, name)| (*count, label.as_str(), name.as_str()));
                if let Some(count) = widgets::choices(ui, Some(*values), &counts) {
                    *values = count;
                    panels.values = Some(count);
                }
            }
            Look::Colour | Look::Value | Look::Difference => {}
        });
    });
}

/// Where the surround begins, beside the panel on the left: the photo, or for the left hand the readout.
fn beside_left_panel(state: &State, panels: &PanelState, ui: &Ui) -> f32 {
    let measures = Measures::of(ui.ctx());
    let (away, width) = match state.preferences.left_handed {
        false => (panels.reference_away, measures.left_width()),
        true => (panels.readout_away, measures.right_width()),
    };
    if away { 0.0 } else { width + theme::STEP }
}

/// A small sheet under the bar, over the surround; it has a name and a left edge.
fn below_the_bar(
    state: &mut State,
    panels: &mut PanelState,
    ui: &Ui,
    (name, left): (&str, f32),
    content: impl FnOnce(&mut State, &mut PanelState, &mut Ui),
) {
    let at = pos2(left, ui.max_rect().bottom() + panels.next_step_height + 6.0);
    let frame = Frame::new()
        .fill(theme::BAR)
        .stroke(Stroke::new(1.0, theme::LINE))
        .corner_radius(CornerRadius::same(7))
        .inner_margin(Margin::symmetric(8, 4));
    let area = Area::new(Id::unique(name)).order(Order::Middle).fixed_pos(at).constrain(false);
    area.show(ui.ctx(), |ui| frame.show(ui, |ui| content(state, panels, ui)));
}

/// Width of what stands at the right end.
fn right_width(panels: &PanelState, ui: &Ui) -> f32 {
    let mut words = vec![wording::EXPORT, wording::STEP_ON, wording::STEP_BACK, wording::CLOSE];
    words.extend(panels.readout_away.then_some(wording::SHOW_READOUT));
    words.extend(panels.reference_away.then_some(wording::SHOW_REFERENCE));
    words.iter().map(|words| widgets::pill_width(ui, words) + 4.0).sum()
}

fn history(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let Some(session) = &state.session else { return };
    let (back, on) = session.depths();
    ui.spacing_mut().item_spacing.x = 4.0;
    if widgets::pill(ui, wording::EXPORT, Pill::First).clicked()
        && let Some(session) = &state.session
    {
        panels.open_export(session);
    }
    for (words, depth, way) in [(wording::STEP_ON, on, Direction::On), (wording::STEP_BACK, back, Direction::Back)] {
        let pressed = ui.add_enabled_ui(depth > 0, |ui| widgets::pill(ui, words, Pill::Second).clicked()).inner;
        if pressed {
            state.step(way);
        }
    }
    if widgets::pill(ui, wording::CLOSE, Pill::Second).clicked() {
        state.requests.push(Request::CloseStudy);
    }
    if panels.readout_away && widgets::pill(ui, wording::SHOW_READOUT, Pill::Second).clicked() {
        panels.readout_away = false;
    }
    if panels.reference_away && widgets::pill(ui, wording::SHOW_REFERENCE, Pill::Second).clicked() {
        panels.reference_away = false;
    }
}
