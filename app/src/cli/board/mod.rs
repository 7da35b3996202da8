//! `stint board`: everything about boards without a window, one file a command.

mod export;
mod from;
mod library;
mod mark;
mod reach;
mod recall;
mod review;
mod show;
mod swatches;
mod vary;

use super::{CliError, Next, subcommands};
use crate::files::board_file::write_any;
use clap::{Args, ValueEnum};
use std::io::Write;
use std::path::PathBuf;
use stint_model::board::file::board_text;
use stint_model::board::{Board, LightOfDay};
use stint_model::colour::{Colour, HexError};

/// Propose, show, review, vary, keep and pass on boards
#[derive(Args, Debug)]
pub struct BoardArguments {
    #[command(subcommand)]
    command: BoardCommand,
}

subcommands! {
    BoardCommand {
        From(from::From),
        Export(export::Export),
        Show(show::Show),
        Turn(vary::Turn),
        Relight(vary::Relight),
        Key(vary::Key),
        Mark(mark::Mark),
        Review(review::Review),
        Keep(library::Keep),
        List(library::List),
        Rename(library::Rename),
        Duplicate(library::Duplicate),
        Discard(library::Discard),
        Restore(library::Restore),
        Reach(reach::ReachArguments),
        Recall(recall::Recall),
        Progress(recall::Progress),
    }
}

impl std::convert::From<LightArgument> for LightOfDay {
    fn from(argument: LightArgument) -> Self {
        match argument {
            LightArgument::Warm => LightOfDay::Warm,
            LightArgument::Cool => LightOfDay::Cool,
            LightArgument::Neutral => LightOfDay::Neutral,
        }
    }
}

/// Where a board goes that a command made.
#[derive(Args, Debug)]
struct Target {
    /// File to write, under a name that is free and in the form of its ending: .board.ron, .css, .json, .svg or .png; without
    /// it the board goes to standard output
    #[arg(short, long)]
    out: Option<PathBuf>,
    /// Replace a file that is there already
    #[arg(long, requires = "out")]
    replace: bool,
}

/// Writes a board to a file, with the remarks on it to standard output; or the board itself to standard output.
fn keep(board: &Board, target: &Target, out: &mut dyn Write) -> Result<(), CliError> {
    match &target.out {
        None => Ok(write!(out, "{}", board_text(board)?)?),
        Some(path) => {
            write_any(path, board, super::replace_if(target.replace))?;
            writeln!(out, "wrote {} with {} swatches", path.display(), board.swatches().count())?;
            review::remarks(board, out)
        }
    }
}

#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum LightArgument {
    Warm,
    Cool,
    #[default]
    Neutral,
}

fn colour(text: &str) -> Result<Colour, HexError> {
    Colour::from_hex(text)
}

fn in_range<const LOW: i32, const HIGH: i32>(text: &str) -> Result<f32, String> {
    let value: f32 = text.parse().map_err(|_| format!("\"{text}\" is not a number"))?;
    if (LOW as f32..=HIGH as f32).contains(&value) {
        Ok(value)
    } else {
        Err(format!("give a number from {LOW} to {HIGH}"))
    }
}

impl BoardArguments {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<Next, CliError> {
        self.command.run(out)
    }
}
