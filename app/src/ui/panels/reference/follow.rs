//! Swatches that are linked to the photo: how many lag behind its adjustments, and picking them again.

use super::super::widgets;
use crate::study::command::Command;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::wording;
use egui::{Align, Layout, Ui};
use stint_model::photo::Adjustments;

/// What decides whether picks lag behind: the photo, its adjustments, and the codes of all swatches.
#[derive(Clone, PartialEq, Debug)]
struct Checked {
    photo: i64,
    adjustments: Adjustments,
    codes: Vec<[u8; 3]>,
    linked: usize,
}

/// What is remembered of it.
#[derive(Default)]
pub(in crate::ui::panels) struct FollowState {
    checked: Option<Checked>,
    /// How many lag behind; none while that is being found out.
    behind: Option<usize>,
    /// What picking again did, and after which state of things.
    done: Option<(String, Checked)>,
}

fn to_check(state: &State) -> Option<Checked> {
    let session = state.session.as_ref()?;
    let linked = session.linked_picks();
    let reference = session.document().reference.as_ref().filter(|_| linked > 0)?;
    let codes = session.document().board.swatches().map(|(_, s)| s.colour.to_srgb8()).collect();
    Some(Checked { photo: reference.photo, adjustments: reference.adjustments, codes, linked })
}

/// The line that says so; nothing when there is nothing to say.
pub(super) fn line(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let Some(now) = to_check(state) else { return };
    let linked = now.linked;
    check(state, panels, ui, now.clone());
    let follow = &panels.follow;
    match (follow.behind, &follow.done) {
        (Some(0), Some((words, after))) if *after == now => {
            widgets::quiet(ui, words.clone());
        }
        (None | Some(0), _) => {}
        (Some(_), _) => {
            let mut again = false;
            ui.horizontal(|ui| {
                widgets::quiet(ui, wording::picks_follow(linked));
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    again = widgets::text_button(ui, wording::PICK_AGAIN, wording::PICK_ALL_AGAIN).clicked();
                });
            });
            if again {
                pick_again(state, panels, &now);
            }
        }
    }
}

/// Looks again when something changed, a surface a frame.
fn check(state: &mut State, panels: &mut PanelState, ui: &Ui, now: Checked) {
    let follow = &mut panels.follow;
    if follow.checked.as_ref() == Some(&now) && follow.behind.is_some() {
        return;
    }
    let found = state.session.as_mut().map(|s| s.picks_behind());
    // A photo that cannot be read has its own notice.
    follow.behind = found.map_or(Some(0), |found| found.unwrap_or(Some(0)));
    follow.checked = Some(now);
    if follow.behind.is_none() {
        ui.ctx().request_repaint();
    }
}

fn pick_again(state: &mut State, panels: &mut PanelState, before: &Checked) {
    if state.apply(&Command::PickAgain)
        && let Some(after) = to_check(state)
    {
        let changed = before.codes.iter().zip(&after.codes).filter(|(a, b)| a != b).count();
        panels.follow.done = Some((wording::picked_again(changed, after.linked), after));
    }
}
