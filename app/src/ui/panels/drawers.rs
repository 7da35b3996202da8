//! A window as low as a phone on its side has no room for the panels beside the canvas: there each is a drawer, which a button over the
//! surround opens and shuts, one at a time.

use super::{PanelState, widgets};
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{Align2, Area, CornerRadius, Frame, Id, Margin, Order, Rect, Ui, vec2};

/// A window lower than this is low, points: tray and top bar would leave less than half of it.
const LOW: f32 = 480.0;
/// Distance from the edge of the canvas, points.
const AWAY: f32 = 10.0;

/// A part of the window that is a drawer while the window is low.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Drawer {
    Reference,
    Tray,
    Readout,
}

/// Whether the panels are drawers in a window of this size.
pub(super) fn is_low(window: Rect) -> bool {
    window.height() < LOW && window.height() < window.width()
}

impl PanelState {
    /// Shuts a panel: the drawer that is open, and where panels are no drawers the place of this one.
    pub(super) fn put_away(&mut self, panel: Drawer) {
        if self.drawer.take().is_none() {
            match panel {
                Drawer::Reference => self.reference_away = true,
                Drawer::Readout => self.readout_away = true,
                Drawer::Tray => {}
            }
        }
    }
}

/// The buttons of the drawers at the lower corner of `over`, on the side of the readout.
pub(super) fn buttons(state: &State, panels: &mut PanelState, ui: &Ui, over: Rect) {
    if state.session.is_none() {
        return;
    }
    let (corner, pivot, way) = match state.preferences.left_handed {
        false => (over.right_bottom(), Align2::RIGHT_BOTTOM, -1.0),
        true => (over.left_bottom(), Align2::LEFT_BOTTOM, 1.0),
    };
    let frame = Frame::new().fill(theme::BAR).corner_radius(CornerRadius::same(8)).inner_margin(Margin::same(4));
    let area = Area::new(Id::unique("drawers")).order(Order::Middle);
    area.pivot(pivot).fixed_pos(corner + vec2(way * AWAY, -AWAY)).constrain(false).show(ui.ctx(), |ui| {
        frame.show(ui, |ui| {
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing.x = 4.0;
                for (words, drawer) in [
                    (wording::REFERENCE, Drawer::Reference),
                    (wording::TRAY, Drawer::Tray),
                    (wording::READOUT, Drawer::Readout),
                ] {
                    let open = panels.drawer == Some(drawer);
                    if widgets::thumb_toggle(ui, words, open).clicked() {
                        panels.drawer = (!open).then_some(drawer);
                    }
                }
            });
        });
    });
}
