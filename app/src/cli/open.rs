//! `stint open`: a study, a photo, or an exported PNG.

use super::source::{Kind, kind_of, photo_of};
use super::{CliError, EngineArgument, readout};
use crate::command::Command;
use crate::session::Session;
use clap::Args;
use std::io::Write;
use std::path::{Path, PathBuf};
use stint_model::board::{Board, LightOfDay};
use stint_model::picture::read_attached;

/// Open a study, start one from a photo, or get board and readout back from an exported PNG
#[derive(Args, Debug)]
pub struct Open {
    /// A .stint study, a photo, or a PNG exported by Stint
    file: PathBuf,
    /// The study to make from a photo or a PNG [default: beside it]
    #[arg(short, long)]
    out: Option<PathBuf>,
    /// Longer side of a new canvas in pixels
    #[arg(long, default_value_t = 2048, value_parser = clap::value_parser!(u32).range(1..=16384))]
    long_side: u32,
    /// The engine that counts
    // One look at each tile: opening a graphics device would take longer.
    #[arg(long, value_enum, default_value = "cpu")]
    engine: EngineArgument,
}

impl Open {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let mut session = match kind_of(&self.file)? {
            Kind::Study => Session::open_read_only(&self.file, self.engine.into())?,
            Kind::Picture => {
                let attached = read_attached(&self.file)?;
                readout::text(&attached.readout, out)?;
                let size = (attached.readout.width, attached.readout.height);
                let session = self.new_study(size, attached.board)?;
                writeln!(out, "\nnew study {} on the board of {}", session.path().display(), self.file.display())?;
                return Ok(session.close()?);
            }
            Kind::Board => {
                let wanted = "a study (.stint), a photo, nor a PNG exported by Stint";
                return Err(CliError::WrongKind { path: self.file, wanted });
            }
            Kind::Other => {
                let photo = photo_of(&self.file)?;
                let long = photo.width_px().max(photo.height_px());
                let side = |px: u32| {
                    let scaled = f64::from(px) * f64::from(self.long_side) / f64::from(long);
                    if long > self.long_side { (scaled.round() as u32).max(1) } else { px }
                };
                let size = (side(photo.width_px()), side(photo.height_px()));
                let name = stem(&self.file);
                let mut session = self.new_study(size, Board::new(&name, LightOfDay::Neutral))?;
                let photo = std::path::absolute(&self.file)
                    .map_err(|source| CliError::Read { path: self.file.clone(), source })?;
                if let Err(error) = session.apply(&Command::Reference(photo.to_string_lossy().into_owned())) {
                    // A study without its photo is not what was asked for. It is ours, made a moment ago.
                    let half_made = session.path().to_owned();
                    drop(session);
                    let _ = std::fs::remove_file(half_made);
                    return Err(error.into());
                }
                writeln!(out, "new study {} with {} as its reference", session.path().display(), self.file.display())?;
                return Ok(session.close()?);
            }
        };
        let document = session.document();
        writeln!(
            out,
            "{}: {} x {} px, board \"{}\"",
            self.file.display(),
            document.width,
            document.height,
            document.board.name
        )?;
        let now = session.readout()?;
        Ok(readout::text(&now, out)?)
    }

    fn new_study(&self, size: (u32, u32), board: Board) -> Result<Session, CliError> {
        let path = self.out.clone().unwrap_or_else(|| self.file.with_extension("stint"));
        if path.exists() {
            return Err(CliError::Exists(path));
        }
        Ok(Session::create(&path, size, board, self.engine.into())?)
    }
}

fn stem(path: &Path) -> String {
    path.file_stem().map_or_else(|| "study".to_owned(), |s| s.to_string_lossy().into_owned())
}
