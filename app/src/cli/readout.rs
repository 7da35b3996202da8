//! `stint readout`: shares of a study, or of an exported PNG; with a board, of any picture.

use super::against;
use super::source::{Kind, kind_of};
use super::{CliError, EngineArgument};
use crate::study::session::{FREE_AIM, Session};
use clap::Args;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;
use stint_model::board_match::{MAX_WITHIN_CIEDE2000, WITHIN_CIEDE2000};
use stint_model::picture::read_attached;
use stint_model::readout::Readout;

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
            return against::run(&self.file, board, self.within, self.json, self.engine, out);
        }
        let readout = match kind_of(&self.file)? {
            Kind::Study => Session::open_read_only(&self.file, self.engine.into())?.readout()?,
            Kind::Picture => read_attached(&self.file)?.readout,
            Kind::Ron | Kind::Css | Kind::Tokens | Kind::Card | Kind::Other => {
                let wanted = "a study (.stint) nor a PNG exported by Stint (any other picture needs --board)";
                return Err(CliError::WrongKind { path: self.file, wanted });
            }
        };
        if self.json { json(&readout, out) } else { Ok(text(&readout, out)?) }
    }
}

/// A value as JSON.
pub(super) fn json(value: &impl Serialize, out: &mut dyn Write) -> Result<(), CliError> {
    // Whole text first, so that a reader that went away is an error of output, not of JSON.
    Ok(writeln!(out, "{}", serde_json::to_string_pretty(value)?)?)
}

fn difference(text: &str) -> Result<f64, String> {
    let value: f64 = text.parse().map_err(|_| format!("\"{text}\" is not a number"))?;
    if (0.0..=MAX_WITHIN_CIEDE2000).contains(&value) {
        Ok(value)
    } else {
        Err(format!("give a CIEDE2000 from 0 to {MAX_WITHIN_CIEDE2000}"))
    }
}

pub(super) fn percent(share: f64) -> String {
    format!("{:5.1} %", share * 100.0)
}

/// The readout in lines for reading.
pub(super) fn text(readout: &Readout, out: &mut dyn Write) -> std::io::Result<()> {
    let aim = if readout.free_share > FREE_AIM { "past the aim of 10 %" } else { "aim: at most 10 %" };
    writeln!(out, "{} from the board", percent(readout.board_share))?;
    writeln!(out, "{} free colour, {aim}", percent(readout.free_share))?;
    writeln!(out, "{} bare ground", percent(readout.bare_share))?;
    for family in &readout.families {
        writeln!(out, "\n{} {}", percent(family.share), family.name)?;
        for swatch in readout.swatches.iter().filter(|s| s.family == family.name) {
            writeln!(out, "  {} {:<7} {} {}", percent(swatch.share), swatch.role.word(), swatch.hex, swatch.name)?;
        }
    }
    let unused: Vec<_> = readout.swatches.iter().filter(|s| s.share == 0.0).map(|s| s.name.as_str()).collect();
    if !unused.is_empty() {
        writeln!(out, "\nUnused: {}", unused.join(", "))?;
    }
    let state = if readout.free_colour.open { "open" } else { "shut" };
    writeln!(out, "\nFree colour is {state}")?;
    for opened in &readout.free_colour.opened {
        writeln!(
            out,
            "  opened after {} strokes: {} from the board, {} free, {} bare",
            opened.after_strokes,
            percent(opened.board_share).trim_start(),
            percent(opened.free_share).trim_start(),
            percent(opened.bare_share).trim_start(),
        )?;
    }
    Ok(())
}
