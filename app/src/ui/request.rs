//! What panels and keys ask for that is no command to a study.

use crate::study::keeping::Keeping;
use crate::study::opening::NewCanvas;
use crate::study::session::ExportOptions;
use crate::ui::keys::Action;
use std::path::PathBuf;

/// A study to be made.
#[derive(Clone, PartialEq, Debug)]
pub struct NewStudy {
    /// The photo it starts from; none for a canvas alone.
    pub photo: Option<PathBuf>,
    /// Its canvas, its ground and its board.
    pub canvas: NewCanvas,
}

/// Something that is no command to a study. [`super::studies::handle`] does what needs no window.
#[derive(Clone, PartialEq, Debug)]
pub enum Request {
    /// Make a study and open it. It lies beside its photo, or among the user's pictures.
    NewStudy(NewStudy),
    /// Begin a study that paints the open one again without its photo.
    PaintAgain,
    /// Make the demo study and open it.
    Demo,
    /// Write the study as a picture.
    Export {
        /// The file; `.png`.
        path: PathBuf,
        /// How.
        options: ExportOptions,
    },
    /// Show the whole canvas.
    Fit,
    /// One canvas pixel on one screen pixel.
    ActualSize,
    /// Cover the whole screen, or be a window again.
    WholeScreen,
    /// Open a file: a study, a photo, or an exported picture.
    Open(PathBuf),
    /// What was being opened beside the window is there: go on with it.
    Opened,
    /// Open what is on the clipboard, if it is a photo or a file.
    Paste,
    /// Do something with a study's file.
    Keep(Keeping),
    /// Do what a key does.
    Act(Action),
    /// Let the painter choose a file of the device, where only the system around the program can: on the page in a browser. It
    /// comes into [`State::arrived`](super::state::State::arrived).
    Choose {
        /// Whether a picture is wanted, which may be taken with the camera then.
        pictures: bool,
    },
    /// Hand a file that was written over to the painter, where it does not lie among files of theirs yet: on the page in a browser.
    HandOver(PathBuf),
    /// Hand everything that the painter has here over as one file: on the page in a browser.
    HandOverAll,
    /// Go back to the start page.
    CloseStudy,
    /// End the program.
    Quit,
}
