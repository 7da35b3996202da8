//! What a file is chosen for, and what becomes of it.

use crate::files::kind::form_of;
use crate::files::listing::Wanted;
use crate::study::command::Command;
use crate::ui::panels::export::ExportForm;
use crate::ui::panels::{PanelState, Sheet, board, library_page, reference, start};
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::wording;
use std::path::PathBuf;

/// What a file is chosen for.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::ui::panels) enum Purpose {
    /// A photo that starts a study.
    NewStudy,
    /// A study, or an exported picture.
    Study,
    /// Another photo for the open study.
    Reference,
    /// A board for the open study.
    TakeBoard,
    /// A file for the board of the open study; the name that is offered.
    WriteBoard(PathBuf),
    /// A file for the picture of the open study.
    Picture(ExportForm),
    /// A photo that boards are compared with.
    LikePhoto,
}

impl Purpose {
    /// Title of the sheet.
    pub fn title(&self) -> &'static str {
        match self {
            Purpose::NewStudy | Purpose::Reference | Purpose::LikePhoto => wording::CHOOSE_PHOTO,
            Purpose::Study => wording::CHOOSE_STUDY,
            Purpose::TakeBoard => wording::CHOOSE_BOARD,
            Purpose::WriteBoard(_) => wording::PLACE_BOARD,
            Purpose::Picture(_) => wording::PLACE_PICTURE,
        }
    }

    /// Words on the button that accepts.
    pub fn button(&self) -> &'static str {
        match self {
            Purpose::WriteBoard(_) => wording::WRITE_IT,
            Purpose::Picture(_) => wording::USE_NAME,
            _ => wording::OPEN_IT,
        }
    }

    /// Which files are shown.
    pub fn wanted(&self) -> Wanted {
        match self {
            Purpose::NewStudy | Purpose::Reference | Purpose::LikePhoto | Purpose::Picture(_) => Wanted::Photo,
            Purpose::Study => Wanted::Study,
            Purpose::TakeBoard | Purpose::WriteBoard(_) => Wanted::Board,
        }
    }

    /// Whether a file is to be written.
    pub fn writes(&self) -> bool {
        matches!(self, Purpose::WriteBoard(_) | Purpose::Picture(_))
    }

    /// The name that is offered, and the folder.
    pub fn starts_at(&self) -> Option<PathBuf> {
        match self {
            Purpose::WriteBoard(path) => Some(path.clone()),
            Purpose::Picture(form) => Some(form.path()),
            _ => None,
        }
    }

    /// A name with the ending that is missing.
    pub fn with_ending(&self, path: PathBuf) -> PathBuf {
        let ending = match self {
            Purpose::WriteBoard(_) if form_of(&path).is_none() => ".board.ron",
            Purpose::Picture(_) if path.extension().is_none() => ".png",
            _ => return path,
        };
        let mut name = path.into_os_string();
        name.push(ending);
        name.into()
    }

    /// Does it with the file; the sheet that is seen next.
    pub fn done(self, state: &mut State, panels: &mut PanelState, path: PathBuf) -> Option<Sheet> {
        match self {
            Purpose::NewStudy => start::start_from_photo(state, panels, path),
            Purpose::Study => state.requests.push(Request::Open(path)),
            Purpose::Reference => reference::take_photo(state, path),
            Purpose::TakeBoard => {
                state.apply(&Command::UseBoard(path.to_string_lossy().into_owned()));
            }
            Purpose::WriteBoard(_) => return board::write_file(state, &path).map(Sheet::Replace),
            Purpose::Picture(form) => return Some(Sheet::Export(form.at(&path))),
            Purpose::LikePhoto => library_page::compare_with(panels, path),
        }
        None
    }

    /// Nothing was chosen; the sheet that is seen next.
    pub fn left(self) -> Option<Sheet> {
        match self {
            Purpose::Picture(form) => Some(Sheet::Export(form)),
            _ => None,
        }
    }
}
