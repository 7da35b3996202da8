//! `stint readout`: shares of a study, or of an exported PNG; with a board, of any picture.

use super::against;
use super::report::{json, opened_text, text, time_text};
use super::source::{Kind, kind_of};
use super::{CliError, EngineArgument, MixingArgument};
use crate::study::session::Session;
use clap::Args;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;
use stint_model::board_match::{MAX_WITHIN_CIEDE2000, WITHIN_CIEDE2000};
use stint_model::mixing::Mixing;
use stint_model::picture::read_attached;
use stint_model::readout::{Opened, Readout, WorkTime};

/// Say what share of a study or a picture comes from its board, or from another
#[derive(Args, Debug)]
pub struct ReadoutArguments {
    /// A .stint study, or a PNG exported by Stint; with --board, any picture
    file: PathBuf,
    /// Test the colours seen against everything this board can mix: a .board.ron, a study, or a PNG exported by Stint
    #[arg(long)]
    board: Option<PathBuf>,
    /// Largest CIEDE2000 from a mixture of the board that still counts as the board's
    #[arg(long, requires = "board", default_value_t = WITHIN_CIEDE2000, value_parser = difference)]
    within: f64,
    /// How the paints of the board mix; as in the study, and for other pictures as in a new study, if it is left out
    #[arg(long, requires = "board", value_enum)]
    mixing: Option<MixingArgument>,
    /// As JSON, with shares as fractions of 1
    #[arg(long)]
    json: bool,
    /// The engine that counts
    // One look at each tile: opening a graphics device would take longer.
    #[arg(long, value_enum, default_value = "cpu")]
    engine: EngineArgument,
}

impl ReadoutArguments {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        if let Some(board) = &self.board {
            let mixing = self.mixing.map(Mixing::from);
            return against::run(&self.file, board, (self.within, mixing), self.json, self.engine, out);
        }
        let mut photo = None;
        let (readout, time) = match kind_of(&self.file)? {
            Kind::Study => {
                let mut session = Session::open_read_only(&self.file, self.engine.into())?;
                let (shut, opened) = (session.document().photo_shut, session.photo_opened().to_vec());
                photo = (shut || !opened.is_empty()).then_some(PhotoNote { shut, opened });
                (session.readout()?, Some(session.work_time()))
            }
            Kind::Picture => {
                let attached = read_attached(&self.file)?;
                let time = attached.worked_s.map(|worked_s| WorkTime { worked_s, stint_min: None });
                (attached.readout, time)
            }
            Kind::Ron | Kind::Css | Kind::Tokens | Kind::Card | Kind::Other => {
                let wanted = "a study (.stint) nor a PNG exported by Stint (any other picture needs --board)";
                return Err(CliError::WrongKind { path: self.file, wanted });
            }
        };
        if self.json {
            return json(&Told { readout, time, photo }, out);
        }
        text(&readout, out)?;
        if let Some(PhotoNote { shut, opened }) = photo {
            writeln!(out, "\nThe photo is {}", if shut { "shut" } else { "open" })?;
            opened_text(&opened, out)?;
        }
        Ok(time_text(time, out)?)
    }
}

/// A readout with the time that the study took; none where that is not known.
#[derive(Serialize)]
struct Told {
    #[serde(flatten)]
    readout: Readout,
    time: Option<WorkTime>,
    /// Only of a study that is painted from memory.
    #[serde(skip_serializing_if = "Option::is_none")]
    photo: Option<PhotoNote>,
}

/// Whether the photo is shut, and every time it was opened.
#[derive(Serialize)]
struct PhotoNote {
    shut: bool,
    opened: Vec<Opened>,
}

fn difference(text: &str) -> Result<f64, String> {
    let value: f64 = text.parse().map_err(|_| format!("\"{text}\" is not a number"))?;
    if (0.0..=MAX_WITHIN_CIEDE2000).contains(&value) {
        Ok(value)
    } else {
        Err(format!("give a CIEDE2000 from 0 to {MAX_WITHIN_CIEDE2000}"))
    }
}
