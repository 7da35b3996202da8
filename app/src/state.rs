//! What the window knows beside the study: tool, look, sheets, notices. Panels change it; the window loop reads it.

use crate::command::{Command, SwatchRef};
use crate::panels::PanelState;
use crate::session::{Done, ExportOptions, Loaded, Session, SessionError, Tool};
use std::collections::BTreeSet;
use std::path::PathBuf;
use stint_model::board::Board;
use stint_model::ids::SwatchId;
use stint_model::readout::Readout;
use stint_model::study::tile::TilePos;
use stint_render::choose::EngineWish;

/// What the pointer does on the canvas.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum ToolKind {
    /// Lays the loaded paint along the stroke.
    #[default]
    Brush,
    /// Fills an outline with the loaded paint.
    Mass,
    /// Blends what is there.
    Soften,
    /// Takes paint off.
    Scrape,
}

impl ToolKind {
    /// What a stroke of this tool does; a mass is no stroke.
    pub fn stroke(self) -> Option<Tool> {
        match self {
            ToolKind::Brush => Some(Tool::Brush),
            ToolKind::Soften => Some(Tool::Soften),
            ToolKind::Scrape => Some(Tool::Scrape),
            ToolKind::Mass => None,
        }
    }
}

/// A way to look at the study; nothing of it changes.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub enum Look {
    /// As painted.
    #[default]
    Colour,
    /// Lightness alone.
    Value,
    /// Blurred, as through half-shut eyes; radius in canvas pixels.
    Squint {
        /// Standard deviation, canvas pixels.
        radius_px: f32,
    },
    /// A few flat values.
    TwoTone {
        /// How many, 2 to 5.
        values: u8,
    },
}

/// What lies around the canvas.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Surround {
    /// Near the panels.
    #[default]
    Dark,
    /// Munsell N5.
    Middle,
    /// Light grey.
    Light,
}

/// Tiles that must be shown anew.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Stale {
    /// Only these.
    Tiles(BTreeSet<TilePos>),
    /// The whole canvas.
    All,
}

impl Default for Stale {
    fn default() -> Self {
        Stale::Tiles(BTreeSet::new())
    }
}

impl Stale {
    /// Adds what a change touched.
    pub fn add(&mut self, done: &Done) {
        match self {
            // A stroke may enter its paint into the document; nothing but its tiles looks different for that.
            _ if done.document && done.stroke.is_none() => *self = Stale::All,
            Stale::Tiles(tiles) => tiles.extend(&done.tiles),
            Stale::All => {}
        }
    }
}

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

/// Something that is no command to a study. [`crate::panels::requests::handle`] does what needs no window.
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

/// The state of the window.
#[derive(Default)]
pub struct State {
    /// The open study; none on the start page.
    pub session: Option<Session>,
    /// What the pointer does.
    pub tool: ToolKind,
    /// How the study is looked at.
    pub look: Look,
    /// Left and right exchanged.
    pub mirror: bool,
    /// What lies around the canvas.
    pub surround: Surround,
    /// The swatch whose paint stands out, while the pointer is over it.
    pub lit: Option<SwatchId>,
    /// The swatches that a remark under the pointer is about: ringed in the tray, and their paint stands out.
    pub about: Vec<SwatchId>,
    /// The swatch loaded before the present one.
    pub previous: Option<SwatchId>,
    /// Tiles to be shown anew.
    pub stale: Stale,
    /// The readout as of the last change.
    pub readout: Option<Readout>,
    /// Sentences for the painter, newest last.
    pub notices: Vec<String>,
    /// For the window loop.
    pub requests: Vec<Request>,
    /// Which engine new and opened studies use.
    pub engine: EngineWish,
    /// The board that is being tried out on the painting.
    pub tried: Option<Board>,
    /// Whether the canvas on screen has yet to catch up with what the study shows.
    pub catching_up: bool,
    /// What the panels remember.
    pub panels: PanelState,
}

impl State {
    /// Applies a command to the open study, if there is one.
    ///
    /// # Errors
    /// When the study refuses it.
    pub fn change(&mut self, command: &Command) -> Result<(), SessionError> {
        if let Some(session) = &mut self.session {
            let done = session.apply(command);
            self.notices.extend(std::iter::from_fn(|| session.take_notice()));
            self.look_at_trial();
            self.stale.add(&done?);
            self.refresh();
        }
        Ok(())
    }

    /// Applies a command; a refusal becomes a notice. Tells whether it was done.
    pub fn apply(&mut self, command: &Command) -> bool {
        match self.change(command) {
            Ok(()) => self.session.is_some(),
            Err(error) => {
                self.notices.push(error.to_string());
                false
            }
        }
    }

    /// Shows the painting under another board, or under its own again; nothing is recorded.
    pub fn try_board(&mut self, board: Option<&Board>) {
        let Some(session) = &mut self.session else { return };
        if self.tried.as_ref() == board {
            return;
        }
        let shown = match board {
            Some(board) => session.preview(board),
            None => session.end_preview(),
        };
        match shown {
            Ok(()) => self.tried = board.cloned(),
            Err(error) => self.notices.push(error.to_string()),
        }
        self.stale = Stale::All;
    }

    /// Forgets the board that was tried out once the study no longer shows it: every change and every stroke ends a preview.
    pub fn look_at_trial(&mut self) {
        if self.tried.is_some() && !self.session.as_ref().is_some_and(Session::is_previewing) {
            self.tried = None;
            self.stale = Stale::All;
        }
    }

    /// The board whose colours the painting shows: the one that is tried out, or the study's own.
    pub fn shown_board(&self) -> Option<&Board> {
        self.tried.as_ref().or_else(|| Some(&self.session.as_ref()?.document().board))
    }

    /// Loads a swatch and remembers the one before it.
    pub fn load(&mut self, swatch: SwatchId) -> bool {
        let before = self.session.as_ref().and_then(Session::loaded);
        let done = self.apply(&Command::Load(SwatchRef::Id(swatch)));
        if done
            && let Some(Loaded::Swatch(before)) = before
            && before != swatch
        {
            self.previous = Some(before);
        }
        done
    }

    /// Reads the readout anew; counts only what changed.
    pub fn refresh(&mut self) {
        if let Some(session) = &mut self.session {
            match session.readout() {
                Ok(readout) => self.readout = Some(readout),
                Err(error) => self.notices.push(error.to_string()),
            }
        }
    }
}
