//! Steps of the history under the thumb that holds a tablet: over the surround beside the tray, once a finger was seen.

use super::widgets;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{Align2, Area, CornerRadius, Frame, Id, Margin, Order, Rect, Ui, vec2};
use stint_model::study::travel::Direction;

/// Distance from the edge of the canvas, points.
const AWAY: f32 = 10.0;

/// The two buttons at the lower corner of `over`, on the side of the hand that does not paint.
pub(super) fn buttons(state: &mut State, ui: &Ui, over: Rect) {
    let Some((back, on)) = state.session.as_ref().filter(|_| state.hands_on).map(|session| session.depths()) else {
        return;
    };
    let left = !state.preferences.left_handed;
    let (corner, pivot, way) = match left {
        true => (over.left_bottom(), Align2::LEFT_BOTTOM, 1.0),
        false => (over.right_bottom(), Align2::RIGHT_BOTTOM, -1.0),
    };
    let frame = Frame::new().fill(theme::BAR).corner_radius(CornerRadius::same(8)).inner_margin(Margin::same(4));
    let area = Area::new(Id::unique("steps under the thumb")).order(Order::Middle);
    area.pivot(pivot).fixed_pos(corner + vec2(way * AWAY, -AWAY)).constrain(false).show(ui.ctx(), |ui| {
        frame.show(ui, |ui| {
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing.x = 4.0;
                for (words, depth, way) in
                    [(wording::STEP_BACK, back, Direction::Back), (wording::STEP_ON, on, Direction::On)]
                {
                    if ui.add_enabled_ui(depth > 0, |ui| widgets::thumb_pill(ui, words).clicked()).inner {
                        state.step(way);
                    }
                }
            });
        });
    });
}
