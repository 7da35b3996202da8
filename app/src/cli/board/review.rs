//! `stint board review`: what a careful colourist would question.

use crate::cli::CliError;
use crate::cli::source::board_of;
use clap::Args;
use std::io::Write;
use std::path::PathBuf;
use stint_model::board::Board;
use stint_model::board::review::review;

/// Say what a careful colourist would question in a board
#[derive(Args, Debug)]
pub(super) struct Review {
    /// A .board.ron, .css or .json file, a .stint study, or a PNG that carries a board
    file: PathBuf,
    /// As JSON
    #[arg(long)]
    json: bool,
}

impl Review {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        remarks(&board_of(&self.file)?, self.json, out)
    }
}

/// The remarks on a board.
pub(super) fn remarks(board: &Board, json: bool, out: &mut dyn Write) -> Result<(), CliError> {
    let remarks = review(board);
    if json {
        return crate::cli::readout::json(&remarks, out);
    }
    if remarks.is_empty() {
        writeln!(out, "no remarks")?;
    }
    for remark in remarks {
        writeln!(out, "{}", remark.text)?;
    }
    Ok(())
}
