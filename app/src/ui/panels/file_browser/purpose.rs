//! What a file is chosen for. What becomes of it is `chosen.rs` beside this folder.

use crate::files::brushes;
use crate::files::kind::form_of;
use crate::files::listing::Wanted;
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
    /// A file for the picture of the open study; the name that is offered.
    Picture(PathBuf),
    /// A file for the figures of the page of progress; the name that is offered.
    WriteProgress(PathBuf),
    /// A photo that boards are compared with.
    LikePhoto,
    /// A brush file.
    TakeBrush,
    /// A file for the brush that is held: the name that is offered, and what the brush is called in it.
    WriteBrush(PathBuf, String),
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
            Purpose::WriteProgress(_) => wording::PLACE_PROGRESS,
            Purpose::TakeBrush => wording::CHOOSE_BRUSH,
            Purpose::WriteBrush(..) => wording::PLACE_BRUSH,
        }
    }

    /// Words on the button that accepts.
    pub fn button(&self) -> &'static str {
        match self {
            Purpose::WriteBoard(_) | Purpose::WriteProgress(_) | Purpose::WriteBrush(..) => wording::WRITE_IT,
            Purpose::Picture(_) => wording::USE_NAME,
            Purpose::NewStudy
            | Purpose::Study
            | Purpose::Reference
            | Purpose::TakeBoard
            | Purpose::LikePhoto
            | Purpose::TakeBrush => wording::OPEN_IT,
        }
    }

    /// Words on the button that opens the device's own choice of files.
    pub fn device_words(&self) -> &'static str {
        match self {
            Purpose::NewStudy | Purpose::Reference | Purpose::LikePhoto => wording::FROM_DEVICE_PHOTO,
            Purpose::Study
            | Purpose::TakeBoard
            | Purpose::WriteBoard(_)
            | Purpose::Picture(_)
            | Purpose::WriteProgress(_)
            | Purpose::TakeBrush
            | Purpose::WriteBrush(..) => wording::FROM_DEVICE,
        }
    }

    /// Which files are shown.
    pub fn wanted(&self) -> Wanted {
        match self {
            Purpose::NewStudy
            | Purpose::Reference
            | Purpose::LikePhoto
            | Purpose::Picture(_)
            | Purpose::WriteProgress(_) => Wanted::Photo,
            Purpose::Study => Wanted::Study,
            Purpose::TakeBoard | Purpose::WriteBoard(_) => Wanted::Board,
            Purpose::TakeBrush | Purpose::WriteBrush(..) => Wanted::Brush,
        }
    }

    /// Whether a file is to be written.
    pub fn writes(&self) -> bool {
        matches!(
            self,
            Purpose::WriteBoard(_) | Purpose::Picture(_) | Purpose::WriteProgress(_) | Purpose::WriteBrush(..)
        )
    }

    /// The name that is offered, and the folder.
    pub fn starts_at(&self) -> Option<PathBuf> {
        match self {
            Purpose::WriteBoard(path)
            | Purpose::Picture(path)
            | Purpose::WriteProgress(path)
            | Purpose::WriteBrush(path, _) => Some(path.clone()),
            Purpose::NewStudy
            | Purpose::Study
            | Purpose::Reference
            | Purpose::TakeBoard
            | Purpose::LikePhoto
            | Purpose::TakeBrush => None,
        }
    }

    /// A name with the ending that is missing.
    pub fn with_ending(&self, path: PathBuf) -> PathBuf {
        let ending = match self {
            Purpose::WriteBoard(_) => form_of(&path).is_none().then_some(".board.ron"),
            Purpose::Picture(_) => path.extension().is_none().then_some(".png"),
            Purpose::WriteProgress(_) => path.extension().is_none().then_some(".csv"),
            Purpose::WriteBrush(..) => {
                let ends = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("ron"));
                (!ends).then_some(brushes::ENDING)
            }
            Purpose::NewStudy
            | Purpose::Study
            | Purpose::Reference
            | Purpose::TakeBoard
            | Purpose::LikePhoto
            | Purpose::TakeBrush => None,
        };
        let Some(ending) = ending else { return path };
        let mut name = path.into_os_string();
        name.push(ending);
        name.into()
    }
}
