//! `stint study`: a copy of a study to hand out.

use super::{CliError, say};
use clap::Args;
use std::io::Write;
use std::path::PathBuf;
use stint_model::study::hand_out::{LeaveOut, hand_out};

/// Write a copy of a study to hand out
///
/// Photos in the copy tell nothing of place, time and camera, and its history names no folders.
#[derive(Args, Debug)]
pub struct StudyArguments {
    /// A .stint study; it stays as it is
    file: PathBuf,
    /// The copy to write, under a name that is free and ends in .stint
    #[arg(long, value_name = "OUT")]
    copy: PathBuf,
    /// Leave the photo out, and the links of swatches to it
    #[arg(long)]
    without_photo: bool,
    /// Leave the history out: nothing can be undone in the copy
    #[arg(long)]
    without_history: bool,
}

impl StudyArguments {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        if self.copy.extension().is_none_or(|ending| ending != "stint") {
            return Err(CliError::NotAStudyName(self.copy));
        }
        let leave_out = LeaveOut { photos: self.without_photo, history: self.without_history };
        for photo in hand_out(&self.file, &self.copy, leave_out)? {
            say(&format!(
                "{photo} is in the copy as it is, because its file cannot be told apart from what it says about place and \
                 camera; leave it out with --without-photo"
            ));
        }
        Ok(writeln!(out, "{}", self.copy.display())?)
    }
}
