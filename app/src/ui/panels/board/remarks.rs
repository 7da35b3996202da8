//! The remarks: what was found, what is usual, and changes that would satisfy it, tried out on the painting under the pointer.

use super::super::swatch_sheet::called;
use super::super::widgets;
use super::reviewed::OpenRemark;
use crate::study::command::Command;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{CornerRadius, Frame, Margin, Rect, Response, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};
use stint_model::board::Board;
use stint_model::board::review::Remark;
use stint_model::ids::SwatchId;

/// Swatches that are shown beside a remark at most.
const SHOWN: usize = 8;
/// Half the width and height of such a dab, points.
const DAB: egui::Vec2 = vec2(7.0, 5.0);

/// What was done; after the list is drawn, because it is borrowed meanwhile.
enum RemarkAction {
    Take(Board),
    Dismiss(Remark, bool),
}

/// What the review says about the board, a card a remark, and the dismissed ones below.
pub(super) fn section(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let Some(board) = state.session.as_ref().map(|s| s.document().board.clone()) else { return };
    if panels.board.reviewed.work() {
        ui.ctx().request_repaint();
    }
    let reviewed = std::mem::take(&mut panels.board.reviewed);
    let mut action = None;
    if reviewed.standing() == 0 {
        widgets::quiet(ui, wording::NO_REMARKS);
    }
    for open in reviewed.remarks() {
        action = card(state, panels, ui, &board, open).or(action);
    }
    if !reviewed.dismissed().is_empty() {
        widgets::gap(ui, 2.0);
        widgets::heading(ui, wording::DISMISSED);
        for remark in reviewed.dismissed() {
            if dismissed(ui, remark) {
                action = Some(RemarkAction::Dismiss(remark.clone(), false));
            }
        }
    }
    panels.board.reviewed = reviewed;
    match action {
        Some(RemarkAction::Take(board)) => {
            state.apply(&Command::ReviseBoard(Box::new(board)));
        }
        Some(RemarkAction::Dismiss(remark, dismissed)) => {
            state.apply(&Command::Dismiss { remark: remark.subject(), dismissed });
        }
        None => {}
    }
}

/// What is found, and what is usual with the advice.
fn halves(remark: &Remark) -> (String, String) {
    let (found, usual) = remark.text.split_once(": ").unwrap_or((&remark.text, ""));
    (wording::sentence_start(found), wording::sentence_start(usual))
}

fn card(
    state: &mut State,
    panels: &mut PanelState,
    ui: &mut Ui,
    board: &Board,
    open: &OpenRemark,
) -> Option<RemarkAction> {
    let mut action = None;
    let remark = &open.remark;
    let frame = Frame::new().fill(theme::ROW).corner_radius(CornerRadius::same(8)).inner_margin(Margin::same(10));
    let mut on_offer = false;
    let shown = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 4.0;
        let (found, usual) = halves(remark);
        swatches(ui, board, remark);
        widgets::text(ui, found);
        if !usual.is_empty() {
            widgets::quiet(ui, usual);
        }
        for offer in open.offers.iter().flatten() {
            let response = offer_button(ui, &offer.words);
            panels.board.trial.ask(&response, &offer.board);
            on_offer |= response.hovered() || response.has_focus();
            if response.clicked() {
                action = Some(RemarkAction::Take(offer.board.clone()));
            }
        }
        ui.horizontal(|ui| {
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let name = wording::dismiss_remark(&halves(remark).0);
                if widgets::text_button(ui, wording::DISMISS_REMARK, &name).clicked() {
                    action = Some(RemarkAction::Dismiss(remark.clone(), true));
                }
            });
        });
    });
    if shown.response.contains_pointer() || on_offer {
        state.remarked.extend(about(board, remark));
    }
    action
}

/// The swatches that a remark is about; all of its families when it names none.
fn about(board: &Board, remark: &Remark) -> Vec<SwatchId> {
    if !remark.swatches.is_empty() {
        return remark.swatches.clone();
    }
    let families = remark.families.iter().filter_map(|id| board.family(*id));
    families.flat_map(|f| f.swatches.iter().map(|s| s.id)).collect()
}

/// The dabs that a remark is about.
fn swatches(ui: &mut Ui, board: &Board, remark: &Remark) {
    let found: Vec<_> = about(board, remark).into_iter().filter_map(|id| board.swatch(id)).take(SHOWN).collect();
    if found.is_empty() {
        return;
    }
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        for swatch in found {
            let (rect, response) = ui.allocate_exact_size(DAB * 2.0, Sense::hover());
            let name = wording::about_swatch(&called(board, swatch.id));
            response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &name));
            ui.painter().add(Shape::ellipse_filled(rect.center(), DAB, theme::paint(swatch.colour)));
            if theme::is_faint_on(theme::ROW, swatch.colour) {
                ui.painter().add(Shape::ellipse_stroke(rect.center(), DAB, Stroke::new(1.0, theme::LINE)));
            }
        }
    });
}

/// An offer: words over as many lines as they need, on a ground of their own.
fn offer_button(ui: &mut Ui, words: &str) -> Response {
    let words = wording::sentence_start(words);
    let font = theme::font(theme::SMALL, Weight::Medium);
    let inside = vec2(10.0, 6.0);
    let width = ui.available_width();
    let galley = ui.painter().layout(words.clone(), font, theme::STRONG, width - inside.x * 2.0);
    let (rect, response) = ui.allocate_exact_size(vec2(width, galley.size().y + inside.y * 2.0), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, ui.is_enabled(), &words));
    let ground = if response.hovered() { theme::ROW_CHOSEN_HOVERED } else { theme::ROW_CHOSEN };
    ui.painter().rect_filled(rect, CornerRadius::same(theme::CORNER), ground);
    ui.painter().galley(rect.min + inside, galley, theme::STRONG);
    widgets::focus_ring(ui, &response, rect);
    response
}

/// A remark that was dismissed, on one line; tells whether it is wanted back.
fn dismissed(ui: &mut Ui, remark: &Remark) -> bool {
    let (found, _) = halves(remark);
    let width = widgets::text_button_width(ui, wording::BRING_BACK);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), widgets::PILL - 8.0), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &found));
    let room = Rect::from_min_max(rect.min, pos2(rect.right() - width - 12.0, rect.bottom()));
    widgets::clipped(ui, room, &found, theme::font(theme::SMALL, Weight::Regular), theme::QUIET);
    response.on_hover_text(&remark.text);
    let end = Rect::from_min_max(pos2(rect.right() - width, rect.top()), rect.max);
    let id = ui.scope_id().with(("bring back", remark.rule, &remark.swatches, &remark.families));
    let layout = egui::Layout::right_to_left(egui::Align::Center);
    let mut inside = ui.new_child(egui::UiBuilder::new().max_rect(end).layout(layout).scope_id(id));
    let name = wording::bring_back(&found);
    widgets::text_button(&mut inside, wording::BRING_BACK, &name).clicked()
}
