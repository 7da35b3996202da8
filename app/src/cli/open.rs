//! `stint open`: a study, a photo, or an exported PNG.

use super::{CliError, EngineArgument, Next, report};
use crate::study::opening::{LONG_SIDE_PX, NewCanvas, Openable, Place, openable, study_from_photo, study_on_board_of};
use crate::study::session::{Session, SessionError};
use clap::Args;
use std::io::Write;
use std::path::{Path, PathBuf};
use stint_model::disk;

/// Open a study, start one from a photo, or get board and readout back from an exported PNG
///
/// Tells what was found and opens it in the window; without a display it only tells.
#[derive(Args, Debug)]
pub struct Open {
    /// A .stint study, a photo, or a PNG exported by Stint
    #[arg(required_unless_present = "in_window")]
    file: Option<PathBuf>,
    /// The study to make from a photo or a PNG [default: beside it]
    #[arg(short, long)]
    out: Option<PathBuf>,
    /// Longer side of a new canvas in pixels
    #[arg(long, default_value_t = LONG_SIDE_PX, value_parser = clap::value_parser!(u32).range(1..=16384))]
    long_side: u32,
    /// How long the painter means to work on a new study from a photo, minutes
    #[arg(long, value_name = "MINUTES", value_parser = clap::value_parser!(u32).range(1..=1440))]
    stint: Option<u32>,
    /// Only tell, and make the study if one is to be made
    #[arg(long)]
    no_window: bool,
    /// Hand the file to the window unseen, or open the window without one: what is found and what is wrong is said there, for those who
    /// start Stint from a menu
    #[arg(long, conflicts_with_all = ["no_window", "out", "long_side", "stint", "engine"])]
    in_window: bool,
    /// The engine that counts
    // One look at each tile: opening a graphics device would take longer.
    #[arg(long, value_enum, default_value = "cpu")]
    engine: EngineArgument,
}

impl Open {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<Next, CliError> {
        let file = match &self.file {
            Some(file) if !self.in_window => file,
            Some(file) => return Ok(Next::WindowWith(file.clone())),
            None => return Ok(Next::Window),
        };
        let opened = match openable(file) {
            Err(SessionError::NotToOpen(path)) => {
                let wanted = "a study (.stint), a photo, nor a PNG exported by Stint";
                return Err(CliError::WrongKind { path, wanted });
            }
            other => other?,
        };
        let study = match opened {
            Openable::Study => self.tell(file, out)?,
            Openable::Picture(attached) => {
                report::text(&attached.readout, out)?;
                let session = study_on_board_of(file, &attached, self.place(file)?, self.engine.into())?;
                let study = session.path().to_owned();
                writeln!(
                    out,
                    "\nnew study {} on the board of {}, which is its reference",
                    study.display(),
                    file.display()
                )?;
                session.close()?;
                study
            }
            Openable::Photo => {
                let canvas = NewCanvas { stint_min: self.stint, ..NewCanvas::with_long_side(self.long_side) };
                let mut session = study_from_photo(file, self.place(file)?, &canvas, self.engine.into())?;
                let study = session.path().to_owned();
                writeln!(out, "new study {} with {} as its reference", study.display(), file.display())?;
                while let Some(notice) = session.take_notice() {
                    super::say(&notice);
                }
                session.close()?;
                study
            }
        };
        Ok(if self.no_window { Next::End } else { Next::WindowWith(study) })
    }

    fn tell(&self, file: &Path, out: &mut dyn Write) -> Result<PathBuf, CliError> {
        let mut session = Session::open_read_only(file, self.engine.into())?;
        let document = session.document();
        let (width, height, board) = (document.width, document.height, &document.board.name);
        writeln!(out, "{}: {width} x {height} px, board \"{board}\"", file.display())?;
        let time = session.work_time();
        report::text(&session.readout()?, out)?;
        report::time_text(Some(time), out)?;
        Ok(file.to_owned())
    }

    /// Where a new study goes; a name that was asked for is never taken from another file.
    fn place<'a>(&'a self, file: &'a Path) -> Result<Place<'a>, CliError> {
        match &self.out {
            Some(path) if disk::exists(path) => Err(CliError::Exists(path.clone())),
            Some(path) => Ok(Place::At(path)),
            None => Ok(Place::Beside(file)),
        }
    }
}
