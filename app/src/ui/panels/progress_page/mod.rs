//! Progress: how studies and exercises went over the months, over the whole window. Private: it is read from the painter's own files.
//!
//! | place | file |
//! | --- | --- |
//! | left: what the signs mean, boards used again, the ways into files | here |
//! | the charts; every point opens its study | `charts` |
//! | the figures, gathered beside the window | `figures` |
//! | the one sentence for the next study, on the start page | `next_time` |

mod charts;
mod figures;
pub(super) mod next_time;

use super::file_browser::Purpose;
use super::measures::Measures;
use super::widgets::{self, Pill};
use super::{Asks, Page, ReplaceForm, Side, cut, place};
use crate::base::folders;
use crate::base::jobs::{Job, Outcome};
use crate::files::progress_file;
use crate::files::replace::{Refusal, Writes, may_write};
use crate::ui::panels::PanelState;
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::{studies, theme, wording};
use egui::{Align2, Key, Rect, Sense, Ui, pos2, vec2};
use std::path::{Path, PathBuf};
use stint_model::disk::{Replace, free_name};
use stint_model::progress::Mark;

/// Boards that are named.
const BOARDS: usize = 6;

/// What the page remembers.
#[derive(Default)]
pub(super) struct ProgressState {
    pub figures: figures::Figures,
    writing: Option<(PathBuf, Job<Result<(), String>>)>,
    /// Whether a control had the keyboard in the last frame, so that Escape leaves it first.
    busy: bool,
}

/// The page.
pub(super) fn page(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let mut part = std::mem::take(&mut panels.progress);
    part.figures.follow(state, ui.ctx());
    part.follow_writing(state);
    let mut rest = ui.max_rect();
    let left = cut(&mut rest, Side::Left, Measures::of(ui.ctx()).left_width());
    let alone = !panels.sheet_is_open();
    let mut leave = alone && !part.busy && ui.input(|i| i.key_pressed(Key::Escape));
    let mut opened = None;
    place(ui, "progress charts", rest, theme::BAR, |ui| match part.figures.known() {
        Some(known) if known.charts.is_empty() => nothing(ui, wording::NO_PROGRESS),
        Some(known) => opened = charts::charts(known, ui),
        None => nothing(ui, wording::GATHERING),
    });
    let mut browse = None;
    place(ui, "progress column", left, theme::PANEL, |ui| {
        super::column(ui, |ui| {
            let back = (wording::BACK, wording::BACK);
            leave |= widgets::heading_with(ui, wording::PROGRESS, &[back]).is_some();
            widgets::quiet(ui, wording::PROGRESS_PRIVATE);
            if let Some(known) = part.figures.known() {
                side(known, ui);
                if !known.charts.is_empty() {
                    widgets::gap(ui, 2.0);
                    widgets::heading(ui, wording::PROGRESS_FILES);
                    widgets::quiet(ui, wording::PROGRESS_FORMS);
                    let free = part.writing.is_none();
                    if ui
                        .add_enabled_ui(free, |ui| widgets::pill(ui, wording::WRITE_PROGRESS, Pill::Second))
                        .inner
                        .clicked()
                    {
                        browse = Some(free_name(&folders::documents(), wording::PROGRESS, ".csv"));
                    }
                }
            }
        });
    });
    part.busy = ui.memory(|m| m.focused()).is_some();
    if let Some(study) = opened {
        let file = part.figures.known().and_then(|known| known.progress.studies.get(study)).map(|s| s.file.clone());
        state.requests.extend(file.map(Request::Open));
        leave = true;
    }
    panels.progress = part;
    if let Some(offered) = browse {
        panels.browse(state, Purpose::WriteProgress(offered));
    }
    if leave {
        panels.page = Page::Canvas;
        ui.ctx().request_repaint();
    }
}

/// A quiet sentence in the place of the charts.
fn nothing(ui: &Ui, words: &str) {
    widgets::line(ui, ui.max_rect().center(), Align2::CENTER_CENTER, words, theme::QUIET);
    let response = ui.interact(ui.max_rect(), ui.scope_id().with("nothing"), Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, words));
}

/// What the signs mean, how much there is, and the boards that were used again.
fn side(known: &figures::Gathered, ui: &mut Ui) {
    let progress = &known.progress;
    if !known.charts.is_empty() {
        widgets::gap(ui, 2.0);
        for (mark, opened, words) in [
            (Mark::Study, false, wording::MARK_STUDY),
            (Mark::FromMemory, false, wording::MARK_FROM_MEMORY),
            (Mark::Study, true, wording::MARK_OPENED),
            (Mark::Exercise, false, wording::MARK_EXERCISE),
        ] {
            let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), 20.0), Sense::hover());
            charts::mark(ui.painter(), pos2(rect.left() + 8.0, rect.center().y), mark, opened, theme::PANEL);
            widgets::line(ui, rect.left_center() + vec2(26.0, 0.0), Align2::LEFT_CENTER, words, theme::TEXT);
        }
        widgets::gap(ui, 1.5);
        widgets::text(ui, wording::progress_counts(progress.studies.len(), progress.exercises.len()));
    }
    if !progress.unreadable.is_empty() {
        let names: Vec<_> = progress.unreadable.iter().map(|p| p.display().to_string()).collect();
        widgets::quiet(ui, wording::unreadable_studies(names.len())).on_hover_text(names.join("\n"));
    }
    let again = progress.boards_used_again();
    if !again.is_empty() {
        widgets::gap(ui, 2.0);
        widgets::heading(ui, wording::BOARDS_AGAIN);
        for (board, count) in again.iter().take(BOARDS) {
            let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 20.0), Sense::hover());
            let words = wording::board_again(board, *count);
            response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, &words));
            let right = widgets::line(ui, rect.right_center(), Align2::RIGHT_CENTER, &count.to_string(), theme::QUIET);
            let room = Rect::from_min_max(rect.min, pos2(right.left() - 8.0, rect.bottom()));
            widgets::clipped(ui, room, board, theme::font(theme::SMALL, theme::Weight::Regular), theme::TEXT);
        }
    }
}

impl ProgressState {
    fn follow_writing(&mut self, state: &mut State) {
        let Some((path, job)) = &self.writing else { return };
        let told = match job.poll() {
            Outcome::Running => return,
            Outcome::Done(Ok(())) => {
                studies::hand_over(&mut state.requests, path);
                wording::progress_written(path)
            }
            Outcome::Done(Err(why)) => why,
            Outcome::Died => wording::PROGRESS_STOPPED.to_owned(),
        };
        state.notices.push(told);
        self.writing = None;
    }

    /// Whether a file is being written.
    #[cfg(test)]
    pub fn is_writing(&self) -> bool {
        self.writing.is_some()
    }
}

/// Begins to write the figures to a file, or gives the question back whether a file that is there gives way.
pub(super) fn write_file(
    state: &mut State,
    panels: &mut PanelState,
    ui: &Ui,
    path: &Path,
    replace: Replace,
) -> Option<ReplaceForm> {
    match may_write(path, Writes::Progress, replace) {
        Ok(()) => {}
        Err(Refusal::Taken { path, found }) => {
            return Some(ReplaceForm { path, found: found.to_string(), asks: Asks::Progress });
        }
        Err(refusal) => {
            state.notices.push(refusal.to_string());
            return None;
        }
    }
    let progress = panels.progress.figures.known()?.progress.clone();
    let (to, wake) = (path.to_owned(), ui.ctx().clone());
    let work = move |_: &_| progress_file::write(&to, &progress, replace).map_err(|error| error.to_string());
    match Job::start("progress file", move || wake.request_repaint(), work) {
        Ok(job) => panels.progress.writing = Some((path.to_owned(), job)),
        Err(error) => state.notices.push(error.to_string()),
    }
    None
}
