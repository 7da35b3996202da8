//! `stint board mark`: how far away surfaces lie.

use super::{Target, keep};
use crate::cli::CliError;
use crate::cli::source::board_of;
use crate::study::session::SessionError;
use clap::{ArgGroup, Args};
use std::io::Write;
use std::path::PathBuf;
use stint_model::board::{Board, Distance};

/// Mark surfaces of a board as near, middle or far, and keep the result as a new board
#[derive(Args, Debug)]
#[command(group(ArgGroup::new("marks").args(["far", "middle", "near", "unmark"]).multiple(true).required(true)))]
pub(super) struct Mark {
    /// A .board.ron, a .stint study, or a PNG exported by Stint
    file: PathBuf,
    /// Families towards the horizon
    #[arg(long, value_name = "FAMILY", num_args = 1..)]
    far: Vec<String>,
    /// Families half way
    #[arg(long, value_name = "FAMILY", num_args = 1..)]
    middle: Vec<String>,
    /// Families close by
    #[arg(long, value_name = "FAMILY", num_args = 1..)]
    near: Vec<String>,
    /// Families whose distance is left open again
    #[arg(long, value_name = "FAMILY", num_args = 1..)]
    unmark: Vec<String>,
    #[command(flatten)]
    target: Target,
}

impl Mark {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        keep(&self.marked(board_of(&self.file)?)?, &self.target, out)
    }

    fn marked(&self, mut board: Board) -> Result<Board, CliError> {
        let marks = [
            (&self.far, Some(Distance::Far)),
            (&self.middle, Some(Distance::Middle)),
            (&self.near, Some(Distance::Near)),
            (&self.unmark, None),
        ];
        let mut marked: Vec<&str> = Vec::new();
        for (families, distance) in marks {
            for name in families {
                if marked.contains(&name.as_str()) {
                    return Err(CliError::MarkedTwice(name.clone()));
                }
                marked.push(name);
                let family = board.find_family(name).map_err(SessionError::from)?.id;
                board = board.with_distance(family, distance).map_err(SessionError::from)?;
            }
        }
        Ok(board)
    }
}
