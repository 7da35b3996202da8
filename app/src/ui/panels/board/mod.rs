//! The board's panel, in the place of the reference: its name and light, the remarks with what would satisfy them, variations, and
//! the study's boards. Whatever is looked at here is tried out on the painting first.
//!
//! | part | file |
//! | --- | --- |
//! | name, light, the ways to other pages | `about` |
//! | the study's boards | `boards`, `mini_tray` |
//! | boards from files and into files | `files` |
//! | remarks and offers | `remarks`, `reviewed` |
//! | sliders of a variation, and what becomes of it | `vary`, `lights`, `keep` |
//! | a white picked from the photo | `white` |
//! | twelve small pictures above the tray | `strip`, `presets` |
//! | what is shown on the painting meanwhile | `trial` |

mod about;
mod boards;
mod files;
mod keep;
mod lights;
mod mini_tray;
mod presets;
mod remarks;
mod reviewed;
mod strip;
mod trial;
mod vary;
mod white;

pub(super) use boards::forget_sheet;
pub(super) use files::{replace_file, write_file};
pub(super) use strip::strip;
pub(super) use trial::{end_stale_trial, follow};

use super::widgets;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{Rect, ScrollArea, Ui, UiBuilder, vec2};

/// Room for the bar beside what scrolls, points.
const BAR: f32 = 8.0;

/// What the panel shows.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default)]
enum Tab {
    /// Name, light, the study's boards.
    #[default]
    Board,
    /// Remarks.
    Remarks,
    /// Sliders.
    Variations,
}

/// What the board's panel remembers.
#[derive(Default)]
pub(super) struct BoardState {
    tab: Tab,
    about: about::AboutState,
    reviewed: reviewed::BoardReview,
    vary: vary::VaryState,
    strip: strip::StripState,
    trial: trial::Trial,
}

/// What the small pictures of the strip are called.
#[cfg(test)]
pub(super) fn strip_labels() -> impl Iterator<Item = &'static str> {
    presets::PRESETS.iter().map(|(label, _)| *label)
}

impl BoardState {
    /// Whether all sliders are where the board is as it is.
    #[cfg(test)]
    pub fn at_rest(&self) -> bool {
        self.vary.settings().is_neutral()
    }
}

/// The board's panel: one tab at a time, in place of the reference.
pub(super) fn panel(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let all = ui.max_rect();
    let inner = Rect::from_min_max(all.min + vec2(theme::MARGIN, 10.0), all.max - vec2(theme::MARGIN - BAR, 0.0));
    let mut inside = ui.new_child(UiBuilder::new().max_rect(inner).id_salt("board"));
    // Room for focus rings.
    inside.set_clip_rect(all.shrink2(vec2(4.0, 0.0)).intersect(ui.clip_rect()));
    let ui = &mut inside;
    ui.scope(|ui| {
        ui.set_max_width(inner.width() - BAR);
        let away = (wording::BACK, wording::BACK_FROM_BOARD);
        if widgets::heading_with(ui, wording::BOARD_SHEET, &[away]).is_some() {
            panels.board_open = false;
        }
        panels.board.reviewed.follow(state.session.as_ref());
        tabs(panels, ui);
    });
    ui.add_space(theme::STEP / 2.0);
    let tab = panels.board.tab;
    // Each tab stays where it was scrolled to.
    ScrollArea::vertical().auto_shrink(false).id_salt(tab).show(ui, |ui| {
        ui.set_max_width(inner.width() - BAR);
        match tab {
            Tab::Board => {
                about::section(state, panels, ui);
                boards::section(state, panels, ui);
                files::section(state, panels, ui);
            }
            Tab::Remarks => remarks::section(state, panels, ui),
            Tab::Variations => vary::section(state, panels, ui),
        }
        ui.add_space(theme::STEP);
    });
}

fn tabs(panels: &mut PanelState, ui: &mut Ui) {
    let board_panel = &mut panels.board;
    let remarks = wording::remarks_tab(board_panel.reviewed.standing());
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        let all = [
            (Tab::Board, wording::BOARD_TAB, wording::BOARD_TAB_NAME),
            (Tab::Remarks, &remarks, &remarks),
            (Tab::Variations, wording::VARIATIONS, wording::VARIATIONS),
        ];
        if let Some(tab) = widgets::choices(ui, Some(board_panel.tab), &all) {
            board_panel.tab = tab;
        }
    });
}
