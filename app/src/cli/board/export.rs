//! `stint board export`: a board for other programs and for people.

use crate::cli::CliError;
use crate::cli::source::board_of;
use crate::files::board_file::write_any;
use crate::files::replace::{Writes, may_write};
use clap::Args;
use std::io::Write;
use std::path::PathBuf;

/// Write a board for other programs, or as a card to look at
#[derive(Args, Debug)]
pub(super) struct Export {
    /// A .board.ron, .css or .json file, a .stint study, or a PNG that carries a board
    file: PathBuf,
    /// The file to write, under a name that is free; its ending says in which form: .css for custom properties, .json for design tokens, .svg or .png for a
    /// card (the PNG carries the board), .board.ron for Stint's own
    #[arg(short, long)]
    out: PathBuf,
    /// Replace a file that is there already
    #[arg(long)]
    replace: bool,
}

impl Export {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let replace = crate::cli::replace_if(self.replace);
        // Said before the board is read; whoever writes looks again.
        may_write(&self.out, Writes::Board, replace)?;
        let board = board_of(&self.file)?;
        write_any(&self.out, &board, replace)?;
        Ok(writeln!(out, "wrote {} with {} swatches", self.out.display(), board.swatches().count())?)
    }
}
