//! Bottom left: the choice of tool and the settings of the brush.

use super::measures::Measures;
use super::parts;
use crate::study::session::Session;
use crate::ui::state::State;
use crate::ui::tool_kind::ToolKind;
use crate::ui::wording;
use egui::Ui;

/// Largest size the slider reaches, canvas pixels; keys and scripts go further.
const LARGEST_PX: f32 = 500.0;

/// Pills for the tools of [`ToolKind::ALL`], then sliders for the brush's size (canvas pixels), strength and hardness (0 to 1).
pub(super) fn panel(state: &mut State, ui: &mut Ui) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let tools = ToolKind::ALL.map(|tool| (tool, tool.label(), tool.label()));
        if let Some(tool) = parts::choices(ui, Some(state.tool), &tools) {
            state.tool = tool;
        }
    });
    let Some(before) = state.session.as_ref().map(Session::brush).cloned() else { return };
    let mut brush = before.clone();
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
