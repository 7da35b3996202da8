//! `stint open`: a study, a photo, or an exported PNG.

use super::source::{Kind, kind_of};
use super::{CliError, EngineArgument, readout};
use crate::command::Command;
use crate::open::{LONG_SIDE_PX, canvas_size, stem};
use crate::session::Session;
use crate::window;
use clap::Args;
use std::io::Write;
use std::path::PathBuf;
use stint_model::board::{Board, LightOfDay};
use stint_model::photo::Photo;
use stint_model::picture::read_attached;
use stint_render::choose::EngineWish;

/// Open a study, start one from a photo, or get board and readout back from an exported PNG
///
/// Tells what was found and opens it in the window; without a display it only tells.
#[derive(Args, Debug)]
pub struct Open {
    /// A .stint study, a photo, or a PNG exported by Stint
    file: PathBuf,
    /// The study to make from a photo or a PNG [default: beside it]
    #[arg(short, long)]
    out: Option<PathBuf>,
    /// Longer side of a new canvas in pixels
    #[arg(long, default_value_t = LONG_SIDE_PX, value_parser = clap::value_parser!(u32).range(1..=16384))]
    long_side: u32,
    /// Only tell, and make the study if one is to be made
    #[arg(long)]
    no_window: bool,
    /// The engine that counts
    // One look at each tile: opening a graphics device would take longer.
    #[arg(long, value_enum, default_value = "cpu")]
    engine: EngineArgument,
}

impl Open {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let study = match kind_of(&self.file)? {
            Kind::Study => self.tell(out)?,
            Kind::Picture => self.on_the_board_of_a_picture(out)?,
            Kind::Other => self.on_a_photo(out)?,
            Kind::Ron | Kind::Css | Kind::Tokens | Kind::Card => {
                let wanted = "a study (.stint), a photo, nor a PNG exported by Stint";
                return Err(CliError::WrongKind { path: self.file, wanted });
            }
        };
        out.flush()?;
        if self.no_window || !window::has_display() {
            return Ok(());
        }
        Ok(window::run(Some(study), EngineWish::Auto)?)
    }

    fn tell(&self, out: &mut dyn Write) -> Result<PathBuf, CliError> {
        let mut session = Session::open_read_only(&self.file, self.engine.into())?;
        let document = session.document();
        let (width, height, board) = (document.width, document.height, &document.board.name);
        writeln!(out, "{}: {width} x {height} px, board \"{board}\"", self.file.display())?;
        readout::text(&session.readout()?, out)?;
        Ok(self.file.clone())
    }

    fn on_the_board_of_a_picture(&self, out: &mut dyn Write) -> Result<PathBuf, CliError> {
        let attached = read_attached(&self.file)?;
        readout::text(&attached.readout, out)?;
        let size = (attached.readout.width, attached.readout.height);
        let session = self.new_study(size, attached.board)?;
        let study = session.path().to_owned();
        writeln!(out, "\nnew study {} on the board of {}", study.display(), self.file.display())?;
        session.close()?;
        Ok(study)
    }

    fn on_a_photo(&self, out: &mut dyn Write) -> Result<PathBuf, CliError> {
        // What is to be known about it is said when the study takes it in.
        let photo = Photo::open(&self.file)?;
        let size = canvas_size((photo.width_px(), photo.height_px()), self.long_side);
        // The study opens it again: two at a time could take more memory than there is.
        drop(photo);
        let name = stem(&self.file);
        let mut session = self.new_study(size, Board::new(&name, LightOfDay::Neutral))?;
        let study = session.path().to_owned();
        let full =
            std::path::absolute(&self.file).map_err(|source| CliError::Read { path: self.file.clone(), source })?;
        if let Err(error) = session.apply(&Command::Reference(full.to_string_lossy().into_owned())) {
            // A study without its photo is not what was asked for. It is ours, made a moment ago.
            drop(session);
            let _ = std::fs::remove_file(study);
            return Err(error.into());
        }
        while let Some(notice) = session.take_notice() {
            super::say(&notice);
        }
        writeln!(out, "new study {} with {} as its reference", study.display(), self.file.display())?;
        session.close()?;
        Ok(study)
    }

    fn new_study(&self, size: (u32, u32), board: Board) -> Result<Session, CliError> {
        let path = self.out.clone().unwrap_or_else(|| self.file.with_extension("stint"));
        if path.exists() {
            return Err(CliError::Exists(path));
        }
        Ok(Session::create(&path, size, board, self.engine.into())?)
    }
}
