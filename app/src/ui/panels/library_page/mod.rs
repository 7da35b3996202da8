//! The kept boards as small trays, over the whole window.
//!
//! | place | file |
//! | --- | --- |
//! | left: what is looked for, what was discarded | `filters` |
//! | middle: the cards that fit; only those in sight are laid out | `grid`, `card` |
//! | right: the chosen board and what can be done with it | `detail` |
//! | small pictures of photos | `pictures` |
//! | a photo that boards are compared with, read beside the window | `compare` |

mod card;
mod compare;
mod detail;
mod filters;
mod grid;
mod pictures;

pub(super) use card::tray;

use super::file_browser::Purpose;
use super::measures::Measures;
use super::{Page, Side, cut, place};
use crate::base::clock::Stopwatch;
use crate::files::library::{Discarded, Entry, Hit, Library, Query, search};
use crate::study::command::Command;
use crate::study::keep_board::keep_board;
use crate::ui::panels::PanelState;
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::Ui;
use std::path::PathBuf;
use std::time::Duration;

/// How old the look into the folder may be when a frame is drawn.
const LOOK_EVERY: Duration = Duration::from_secs(2);

/// What the page remembers.
#[derive(Default)]
pub(super) struct LibraryState {
    library: Option<Library>,
    looked: Option<Stopwatch>,
    discarded: Vec<Discarded>,
    filters: filters::Filters,
    /// What the hits answer to: the query, and the state of the library.
    asked: Option<(Query, u64)>,
    hits: Vec<Hit>,
    /// The file of the chosen card.
    chosen: Option<PathBuf>,
    grid: grid::GridState,
    detail: detail::DetailState,
    pictures: pictures::PictureCache,
    /// A photo that was chosen to compare with.
    photo: Option<PathBuf>,
    /// Whether a field had the keyboard in the last frame, so that Escape leaves the field first.
    editing: bool,
}

/// What was asked for; done after the page is drawn.
enum LibraryAction {
    Start(PathBuf),
    Use(PathBuf),
    Rename(PathBuf, String),
    Duplicate(PathBuf),
    Discard(PathBuf),
    Restore(PathBuf),
    Keep,
    ChoosePhoto,
    Leave,
}

/// The page of kept boards: filters on the left, the boards in the middle, the chosen one on the right.
pub(super) fn page(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let mut library = std::mem::take(&mut panels.library);
    let mut action = None;
    library.look(state);
    if let Some(photo) = library.photo.take() {
        library.filters.compare_with(ui.ctx(), photo);
    }
    library.filters.poll(ui.ctx(), &mut state.notices);
    library.search();
    let mut rest = ui.max_rect();
    let measures = Measures::of(ui.ctx());
    let left = cut(&mut rest, Side::Left, measures.left_width());
    let right = cut(&mut rest, Side::Right, measures.right_width());
    let alone = !panels.sheet_is_open();
    if alone && !library.editing && ui.input(|i| i.key_pressed(egui::Key::Escape)) {
        action = Some(LibraryAction::Leave);
    }
    place(ui, "kept boards", rest, theme::BAR, |ui| library.grid(ui, alone, &mut action));
    place(ui, "what is looked for", left, theme::PANEL, |ui| {
        super::column(ui, |ui| filters::panel(&mut library, state, ui, &mut action));
    });
    place(ui, "chosen board", right, theme::PANEL, |ui| {
        super::column(ui, |ui| detail::panel(&mut library, state, ui, &mut action));
    });
    library.editing = ui.ctx().text_edit_focused();
    let done = action.map(|action| library.act(state, panels, action));
    panels.library = library;
    if done.is_some() {
        ui.ctx().request_repaint();
    }
}

impl LibraryState {
    /// The page is drawn anew from what is on the disk.
    pub fn look_again(&mut self) {
        self.looked = None;
    }

    /// Looks into the folder now and then; a folder that cannot be read is told once for every look.
    fn look(&mut self, state: &mut State) {
        let library = self.library.get_or_insert_with(|| Library::open(state.data_folder.as_deref()));
        if self.looked.is_some_and(|at| at.elapsed() < LOOK_EVERY) {
            return;
        }
        self.looked = Some(Stopwatch::start());
        let looked = library.entries().map(|_| ()).and_then(|()| library.discarded());
        match looked {
            Ok(discarded) => self.discarded = discarded,
            Err(error) => {
                let said = error.to_string();
                if !state.notices.contains(&said) {
                    state.notices.push(said);
                }
            }
        }
    }

    /// Searches when the question or the library has changed; keeps the choice where it is still in sight.
    fn search(&mut self) {
        let Some(library) = &self.library else { return };
        let wanted = (self.filters.query(), library.changes());
        if self.asked.as_ref() == Some(&wanted) {
            return;
        }
        self.hits = search(library.seen(), &wanted.0);
        if self.asked.as_ref().is_none_or(|(_, changes)| *changes != wanted.1) {
            self.pictures.clear();
        }
        self.asked = Some(wanted);
        if self.place().is_none() {
            self.chosen = self.hits.first().map(|hit| self.entries()[hit.place].path.clone());
            self.detail.leave();
        }
        self.grid.reveal();
    }

    fn entries(&self) -> &[Entry] {
        self.library.as_ref().map_or(&[], Library::seen)
    }

    /// The chosen card's place among the hits.
    fn place(&self) -> Option<usize> {
        let chosen = self.chosen.as_ref()?;
        self.hits.iter().position(|hit| self.entries()[hit.place].path == *chosen)
    }

    /// The chosen board.
    fn chosen_entry(&self) -> Option<(&Entry, Hit)> {
        let hit = self.hits[self.place()?];
        Some((&self.entries()[hit.place], hit))
    }

    fn choose(&mut self, path: PathBuf) {
        if self.chosen.as_ref() != Some(&path) {
            self.chosen = Some(path);
            self.detail.leave();
        }
    }

    fn act(&mut self, state: &mut State, panels: &mut PanelState, action: LibraryAction) {
        let Some(library) = &mut self.library else { return };
        let next = match action {
            LibraryAction::ChoosePhoto => return panels.browse(state, Purpose::LikePhoto),
            LibraryAction::Leave => {
                panels.page = Page::Canvas;
                self.look_again();
                return;
            }
            LibraryAction::Start(path) => {
                let board = library.seen().iter().find(|e| e.path == path).and_then(|e| e.board().ok().cloned());
                let Some(board) = board else { return };
                panels.start.with_board(board);
                panels.page = Page::Canvas;
                if state.session.is_some() {
                    state.requests.push(Request::CloseStudy);
                }
                return;
            }
            LibraryAction::Use(path) => {
                let full = std::path::absolute(&path).unwrap_or(path);
                if state.apply(&Command::UseBoard(full.to_string_lossy().into_owned())) {
                    panels.page = Page::Canvas;
                }
                return;
            }
            LibraryAction::Keep if !state.settle() => return,
            LibraryAction::Keep => match &mut state.session {
                Some(session) => keep_board(library, session),
                None => return,
            },
            LibraryAction::Rename(path, name) => library.rename(&path, &name),
            LibraryAction::Duplicate(path) => library.duplicate(&path, None),
            LibraryAction::Restore(path) => library.restore(&path),
            LibraryAction::Discard(path) => {
                // The card that takes its place is chosen then.
                let neighbour =
                    self.place().map(|at| if at + 1 < self.hits.len() { at + 1 } else { at.saturating_sub(1) });
                let neighbour = neighbour.map(|at| self.entries()[self.hits[at].place].path.clone());
                let Some(library) = &mut self.library else { return };
                library.discard(&path).map(|_| neighbour.unwrap_or(path))
            }
        };
        match next {
            Ok(path) => {
                self.chosen = Some(path);
                self.detail.leave();
                self.grid.reveal();
            }
            Err(error) => state.notices.push(error.to_string()),
        }
        self.look_again();
    }
}

/// Compares the boards with a photo from the next frame on.
pub(super) fn compare_with(panels: &mut PanelState, photo: PathBuf) {
    panels.library.photo = Some(photo);
}

/// The words of a card below its name.
fn facts(entry: &Entry) -> [String; 2] {
    match &entry.content {
        Ok(kept) => {
            let board = &kept.board;
            [wording::light_and_date(board.light, &board.date), wording::remark_count(kept.remarks)]
        }
        Err(_) => [wording::BROKEN_FILE.to_owned(), String::new()],
    }
}
