//! What is taken up again when the program runs the next time: tool, brush, steadying, loupe.

use super::title;
use crate::files::settings::{BRUSH_SIZES, STEADYING};
use crate::ui::brushes::Brushes;
use crate::ui::panels::PanelState;
use crate::ui::panels::reference::loupe_state::{APERTURE_PX, MAX_APERTURE_PX};
use crate::ui::panels::widgets;
use crate::ui::state::State;
use crate::ui::tool_kind::ToolKind;
use crate::ui::{remembered, theme, wording};
use egui::{Ui, vec2};

/// The section.
pub(super) fn section(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    title(ui, wording::IN_HAND);
    wrapped(ui, |ui| {
        for tool in ToolKind::ALL {
            let name = wording::tool_in_hand(tool.label());
            if widgets::text_choice(ui, tool.label(), &name, state.tool == tool).clicked() {
                state.tool = tool;
                remembered::remember(state);
            }
        }
    });
    let names: Vec<String> = state.brushes.all().iter().map(|brush| brush.named.name.clone()).collect();
    let chosen = state.brushes.chosen();
    wrapped(ui, |ui| {
        for (index, words) in names.iter().enumerate() {
            if widgets::text_choice(ui, words, &wording::brush_in_hand(words), index == chosen).clicked() {
                state.choose_brush(index);
            }
        }
    });
    let sized = state.settings.get(&BRUSH_SIZES).is_some_and(|sizes| !sizes.is_empty());
    let back =
        ui.add_enabled_ui(sized, |ui| widgets::text_button(ui, wording::BRUSH_SIZES_BACK, wording::BRUSH_SIZES_BACK));
    if back.inner.clicked() {
        sizes_back(state);
    }

    title(ui, wording::HAND);
    let own = state.settings.get(&STEADYING);
    if widgets::toggle(ui, wording::STEADIED_ALIKE, own.is_some()).clicked() {
        let done = match own {
            Some(_) => state.settings.unset(&STEADYING),
            None => state.settings.set(&STEADYING, &of_brush(state)),
        };
        state.notices.extend(done.err());
    }
    // Its place is kept: nothing moves when it is turned on.
    ui.add_enabled_ui(own.is_some(), |ui| {
        let mut now = own.unwrap_or_else(|| of_brush(state));
        let words = wording::per_cent(now);
        let slider = widgets::slider(ui, wording::STEADYING, &words, &mut now, 0.0..=1.0, false);
        if slider.changed() && own.is_some() {
            state.notices.extend(state.settings.set(&STEADYING, &now).err());
        }
    });

    let lively = state.preferences.lively_mouse;
    if widgets::toggle(ui, wording::LIVELY_MOUSE, lively).clicked() {
        state.preferences.lively_mouse = !lively;
        remembered::remember(state);
    }
    widgets::quiet(ui, wording::LIVELY_MOUSE_TAPERS);

    title(ui, wording::LOUPE_TITLE);
    let mut width = panels.loupe.aperture_px as f32;
    let words = wording::photo_pixels(panels.loupe.aperture_px);
    let plain = Some(APERTURE_PX as f32);
    let slider = widgets::slider_back(
        ui,
        (wording::LOUPE_WIDTH, &words),
        &mut width,
        1.0..=MAX_APERTURE_PX as f32,
        false,
        plain,
    );
    if slider.changed() {
        panels.loupe.set_aperture(widgets::whole(&slider, panels.loupe.aperture_px, width));
    }
    if widgets::rested(&slider) {
        panels.remember(state);
    }
}

/// How much the brush that is held steadies the hand by itself.
fn of_brush(state: &State) -> f32 {
    let held = state.brushes.chosen_brush().and_then(|held| held.named.brush.mark.as_deref());
    held.map_or(0.0, |mark| mark.path.smoothing)
}

/// Gives every brush the size it came with.
fn sizes_back(state: &mut State) {
    state.notices.extend(state.settings.unset(&BRUSH_SIZES).err());
    state.brushes = Brushes::default();
    state.gather_brushes();
    if let Some(held) = state.brushes.chosen_brush() {
        state.set_brush(held.named.brush.clone());
    }
}

/// Choices that go on in the next line where one is full.
pub(super) fn wrapped(ui: &mut Ui, content: impl FnOnce(&mut Ui)) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(4.0, theme::STEP / 2.0);
        content(ui);
    });
}
