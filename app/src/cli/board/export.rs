//! `stint board export`: a board for other programs and for people.

use crate::cli::CliError;
use crate::cli::source::{board_of, replaceable};
use crate::files::board_file::{BoardAnyError, form_of, write_any};
use clap::Args;
use std::io::Write;
use std::path::PathBuf;

/// Write a board for other programs, or as a card to look at
#[derive(Args, Debug)]
pub(super) struct Export {
    /// A .board.ron, .css or .json file, a .stint study, or a PNG that carries a board
    file: PathBuf,
    /// The file to write; its ending says in which form: .css for custom properties, .json for design tokens, .svg or .png for a
    /// card (the PNG carries the board), .board.ron for Stint's own
    #[arg(short, long)]
    out: PathBuf,
}

impl Export {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let form = form_of(&self.out).ok_or_else(|| BoardAnyError::NoForm(self.out.clone()))?;
        replaceable(&self.out, form)?;
        let board = board_of(&self.file)?;
        write_any(&self.out, &board)?;
        Ok(writeln!(out, "wrote {} with {} swatches", self.out.display(), board.swatches().count())?)
    }
}
