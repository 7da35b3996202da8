//! Bottom left: what the pointer does, and the brush.

use super::measures::Measures;
use super::parts;
use crate::study::session::Session;
use crate::ui::state::State;
use crate::ui::tool_kind::ToolKind;
use crate::ui::wording;
use egui::Ui;

/// Largest size the slider reaches, canvas pixels; keys and typed commands go further.
const LARGEST_PX: f32 = 500.0;

/// Tools, size, strength, hardness.
pub(super) fn panel(state: &mut State, ui: &mut Ui) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let tools = [
            (ToolKind::Brush, wording::BRUSH, wording::BRUSH),
            (ToolKind::Mass, wording::MASS, wording::MASS),
            (ToolKind::Soften, wording::SOFTEN_TOOL, wording::SOFTEN_TOOL),
            (ToolKind::Scrape, wording::SCRAPE, wording::SCRAPE),
        ];
        if let Some(tool) = parts::choices(ui, Some(state.tool), &tools) {
            state.tool = tool;
        }
    });
    let Some(before) = state.session.as_ref().map(Session::brush).copied() else { return };
    let mut brush = before;
    ui.spacing_mut().item_spacing.y = Measures::of(ui.ctx()).between(7.0, 18.0);
    let largest = LARGEST_PX.max(brush.size_px);
    parts::slider(ui, wording::SIZE, &wording::pixels(brush.size_px), &mut brush.size_px, 1.0..=largest, true);
    let strength = wording::per_cent(brush.strength);
    parts::slider(ui, wording::STRENGTH, &strength, &mut brush.strength, 0.0..=1.0, false);
    let hardness = wording::per_cent(brush.hardness);
    parts::slider(ui, wording::HARDNESS, &hardness, &mut brush.hardness, 0.0..=1.0, false);
    if brush != before {
        state.set_brush(brush);
    }
}
