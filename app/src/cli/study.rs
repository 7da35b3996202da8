//! `stint study`: a copy of a study to hand out, or a study that paints it again from memory.

use super::{CliError, say};
use crate::study::opening::{Place, study_again};
use clap::Args;
use std::io::Write;
use std::path::PathBuf;
use stint_model::study::hand_out::{LeaveOut, hand_out};
use stint_render::choose::EngineChoice;

/// Write a copy of a study to hand out, or begin a study that paints it again without its photo
///
/// Photos in the copy tell nothing of place, time and camera, and its history names no folders.
#[derive(Args, Debug)]
pub struct StudyArguments {
    /// A .stint study; it stays as it is
    file: PathBuf,
    /// The copy to write, under a name that is free and ends in .stint
    #[arg(long, value_name = "OUT", required_unless_present = "from_memory")]
    copy: Option<PathBuf>,
    /// The study to begin: the same board, canvas and photo, the photo shut until it is opened on purpose
    #[arg(long, value_name = "OUT", conflicts_with_all = ["copy", "without_photo", "without_history"])]
    from_memory: Option<PathBuf>,
    /// Leave the photo out, and the links of swatches to it
    #[arg(long)]
    without_photo: bool,
    /// Leave the history out: nothing can be undone in the copy
    #[arg(long)]
    without_history: bool,
}

impl StudyArguments {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let Some(to) = self.copy.or_else(|| self.from_memory.clone()) else { return Ok(()) };
        if to.extension().is_none_or(|ending| ending != "stint") {
            return Err(CliError::NotAStudyName(to));
        }
        if self.from_memory.is_some() {
            study_again(&self.file, Place::At(&to), EngineChoice::Cpu)?.close()?;
            return Ok(writeln!(out, "{}", to.display())?);
        }
        let leave_out = LeaveOut { photos: self.without_photo, history: self.without_history };
        for photo in hand_out(&self.file, &to, leave_out)? {
            say(&format!(
                "{photo} is in the copy as it is, because its file cannot be told apart from what it says about place and \
                 camera; leave it out with --without-photo"
            ));
        }
        Ok(writeln!(out, "{}", to.display())?)
    }
}
