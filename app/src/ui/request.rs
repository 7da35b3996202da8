//! What panels and keys ask for that is no command to a study.

use crate::study::session::ExportOptions;
use std::path::PathBuf;
use stint_model::board::Board;

/// A study to be made.
#[derive(Clone, PartialEq, Debug)]
pub struct NewStudy {
    /// The file; `.stint`.
    pub path: PathBuf,
    /// Canvas width and height in pixels.
    pub size: (u32, u32),
    /// Its board, which may be empty, under the light of the day.
    pub board: Board,
    /// Name of the ground and its colour, `#rrggbb`.
    pub ground: (String, String),
}

/// Something that is no command to a study. [`super::studies::handle`] does what needs no window.
#[derive(Clone, PartialEq, Debug)]
pub enum Request {
    /// Make a study and open it.
    NewStudy(NewStudy),
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
    /// Open a file: a study, a photo, or an exported picture.
    Open(PathBuf),
    /// Go back to the start page.
    CloseStudy,
    /// End the program.
    Quit,
}
