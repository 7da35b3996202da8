//! From memory: swatches are mixed by eye on a neutral field, and compared when the painter says so. The page covers photo, tray,
//! readout and painting, and changes nothing of the study.
//!
//! | moment | file |
//! | --- | --- |
//! | mixing, and looking at the miss | `mix` |
//! | one thing at a time | `drill` |
//! | chips of colour with their edge | `chip` |
//! | the sitting is over | `summary`, `chart` |

mod chart;
mod chip;
mod drill;
mod mix;
mod summary;

use super::measures::Measures;
use super::{Page, Side, cut, place, widgets};
use crate::files::memory_record::{self, MemoryRecord, TRIES, Try, words_of};
use crate::ui::panels::PanelState;
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{Key, TextureHandle, Ui};
use std::hash::{DefaultHasher, Hash, Hasher};
use stint_model::board::Board;
use stint_model::colour::Colour;
use stint_model::colour::deviation::Deviation;
use stint_model::drill::Drill;
use stint_model::ids::SwatchId;

/// What the page remembers.
#[derive(Default)]
pub(super) struct MemoryState {
    sitting: Option<Sitting>,
    /// What was guessed so far, read when the page opens.
    record: Option<MemoryRecord>,
    plane: Option<(i32, TextureHandle)>,
    /// The drill that is chosen; none for swatches.
    drill: Option<Drill>,
    run: Option<drill::DrillRun>,
    /// Whether a field had the keyboard in the last frame.
    busy: bool,
}

/// The colour as it is being mixed.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Mix {
    /// Munsell, 0 to 10.
    value: f32,
    hue_degrees: f32,
    chroma: f32,
}

/// The grey of the field: it says nothing about what is looked for.
const START: Mix = Mix { value: 5.0, hue_degrees: 60.0, chroma: 0.0 };

/// A guess that was shown.
struct Guess {
    name: String,
    id: SwatchId,
    wanted: Colour,
    guess: Colour,
    miss: Deviation,
}

/// A row of swatches to be found, one after the other.
struct Sitting {
    swatches: Vec<SwatchId>,
    mix: Mix,
    tried: Vec<Guess>,
    /// Whether the last guess is still being looked at.
    shown: bool,
}

/// The page on which swatches are mixed from memory, or the summary of the sitting.
pub(super) fn page(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let Some(session) = &state.session else { return };
    let board = session.document().board.clone();
    let mut memory = std::mem::take(&mut panels.memory);
    memory.prepare(state, &board);
    let mut rest = ui.max_rect();
    let left = cut(&mut rest, Side::Left, Measures::of(ui.ctx()).left_width());
    let alone = !panels.sheet_is_open();
    let escape = alone && !memory.busy && ui.input(|i| i.key_pressed(Key::Escape));
    let mut leave = escape;
    let mut progress = false;
    let over = match &memory.run {
        Some(run) => run.is_over(),
        None => memory.sitting.as_ref().is_none_or(Sitting::is_over),
    };
    // Chips are seen in the surround that the canvas has.
    let surround = state.surround;
    let grey = if over { theme::BAR } else { theme::surround(surround) };
    place(ui, "memory field", rest, grey, |ui| match (memory.run.is_some(), &memory.sitting) {
        (true, _) if over => drill::answers(&memory, ui, grey),
        (true, _) => drill::field(&mut memory, state, ui, surround),
        (false, Some(sitting)) if over => summary::rows(sitting, ui),
        (false, Some(sitting)) => mix::field(sitting, ui, surround),
        (false, None) => {}
    });
    place(ui, "memory column", left, theme::PANEL, |ui| {
        super::column(ui, |ui| {
            let back = (wording::BACK, wording::BACK);
            leave |= widgets::heading_with(ui, wording::FROM_MEMORY, &[back]).is_some();
            if let Some(drill) = widgets::segments(ui, Some(memory.drill), &wording::EXERCISES)
                && drill != memory.drill
            {
                (memory.drill, memory.run) = (drill, None);
                ui.ctx().request_repaint();
            }
            if memory.run.is_some() {
                drill::column(&mut memory, state, ui, alone);
            } else if memory.drill.is_some() {
                // The run begins with the next frame.
            } else if board.swatches().next().is_none() {
                widgets::quiet(ui, wording::NOTHING_TO_RECALL);
            } else if over {
                if summary::column(&memory, ui) {
                    memory.sitting = None;
                    ui.ctx().request_repaint();
                }
            } else {
                mix::column(&mut memory, state, ui, &board, alone);
            }
            again(state, ui);
            widgets::gap(ui, 2.0);
            if widgets::pill(ui, wording::PROGRESS, widgets::Pill::Second).clicked() {
                progress = true;
            }
        });
    });
    // Escape leaves a control first, and the page when nothing has the keyboard.
    memory.busy = ui.memory(|m| m.focused()).is_some();
    panels.memory = memory;
    if leave {
        panels.page = Page::Canvas;
    } else if progress {
        // An exercise may have been added since.
        panels.progress.figures.look_again();
        panels.page = Page::Progress;
    }
}

/// The way to a study from memory, for a study that has a photo to put away.
fn again(state: &mut State, ui: &mut Ui) {
    let can = state.session.as_ref().is_some_and(|s| s.document().reference.is_some());
    if !can {
        return;
    }
    widgets::gap(ui, 3.0);
    widgets::quiet(ui, wording::PAINT_AGAIN_LINE);
    let free = state.opening.is_none();
    if ui.add_enabled_ui(free, |ui| widgets::pill(ui, wording::PAINT_AGAIN, widgets::Pill::Second).clicked()).inner {
        state.requests.push(Request::PaintAgain);
    }
}

impl MemoryState {
    /// Reads the record when there is none, and begins a sitting when there is none.
    fn prepare(&mut self, state: &mut State, board: &Board) {
        if self.record.is_none() {
            match memory_record::load(state.data_folder.as_deref()) {
                Ok((record, told)) => {
                    state.notices.extend(told);
                    self.record = Some(record);
                }
                Err(error) => {
                    state.notices.push(error.to_string());
                    self.record = Some(MemoryRecord::default());
                }
            }
        }
        if let Some(drill) = self.drill
            && self.run.is_none()
        {
            let before = self.record.as_ref().map_or(0, |r| r.runs.iter().filter(|r| r.drill == drill).count());
            self.run = Some(drill::DrillRun::new(drill, before));
        }
        if let Some(sitting) = &mut self.sitting {
            // The board may have changed meanwhile; what was guessed stays.
            let tried = sitting.tried.len();
            let mut at = 0;
            sitting.swatches.retain(|&id| {
                at += 1;
                at <= tried || board.swatch(id).is_some()
            });
        } else {
            let sittings = self.record.as_ref().map_or(0, |r| r.sittings.len());
            let swatches = drawn(board, sittings);
            if !swatches.is_empty() {
                self.sitting = Some(Sitting { swatches, mix: START, tried: Vec::new(), shown: false });
            }
        }
    }

    /// Compares the guess with the swatch and writes it into the record.
    fn show(&mut self, state: &mut State, board: &Board) {
        let Some(sitting) = &mut self.sitting else { return };
        let Some(id) = sitting.wanted() else { return };
        let Some((family, swatch)) = board.swatches().find(|(_, s)| s.id == id) else { return };
        let guess = sitting.mix.seen();
        let (tried, miss) = Try::new(family, swatch, guess);
        let begins = sitting.tried.is_empty();
        match memory_record::add(state.data_folder.as_deref(), board, tried, begins) {
            Ok((record, told)) => {
                state.notices.extend(told);
                self.record = Some(record);
            }
            Err(error) => state.notices.push(error.to_string()),
        }
        sitting.tried.push(Guess { name: words_of(family, swatch), id, wanted: swatch.colour, guess, miss });
        sitting.shown = true;
    }

    fn next(&mut self) {
        if let Some(sitting) = &mut self.sitting {
            (sitting.shown, sitting.mix) = (false, START);
        }
    }
}

impl Sitting {
    /// The swatch that is to be found.
    fn wanted(&self) -> Option<SwatchId> {
        self.swatches.get(self.tried.len()).copied()
    }

    /// The guess that is being looked at.
    fn looked_at(&self) -> Option<&Guess> {
        self.tried.last().filter(|_| self.shown)
    }

    fn is_over(&self) -> bool {
        !self.shown && self.wanted().is_none()
    }

    fn mean(&self) -> f64 {
        self.tried.iter().map(|t| t.miss.delta_e).sum::<f64>() / self.tried.len().max(1) as f64
    }
}

impl Mix {
    fn colour(self) -> Colour {
        super::plane::colour_at(self.value, self.hue_degrees, self.chroma)
    }

    /// What the screen shows of it: that is what the painter judges.
    fn seen(self) -> Colour {
        Colour::from_srgb8(self.colour().to_srgb8())
    }
}

/// The swatches of a sitting: another choice and order each time, the same for the same board and number of sittings.
fn drawn(board: &Board, sittings: usize) -> Vec<SwatchId> {
    let mut ids: Vec<SwatchId> = board.swatches().map(|(_, s)| s.id).collect();
    ids.sort_by_cached_key(|id| {
        let mut hasher = DefaultHasher::new();
        (sittings, id.0).hash(&mut hasher);
        (hasher.finish(), *id)
    });
    ids.truncate(TRIES);
    ids
}
