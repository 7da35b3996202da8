//! `stint demo`: the whole job on the shipped scene, without a window.

use super::play::play;
use super::{CliError, EngineArgument, export, report};
use crate::study::demo;
use clap::Args;
use std::io::Write;
use std::path::{Path, PathBuf};
use stint_model::board::file::place_board;
use stint_model::board::review::review;
use stint_model::disk::{self, Replace};
use stint_model::picture::{PngOptions, read_attached};
use stint_model::study::file::{StudyError, StudyFile};

/// Do the whole job on the shipped scene: board, block-in, readout, free colour, PNG
#[derive(Args, Debug)]
pub struct Demo {
    /// Folder for what the demo makes
    #[arg(long, default_value = "out/demo")]
    out: PathBuf,
    /// The engine that paints
    #[arg(long, value_enum, default_value_t)]
    engine: EngineArgument,
}

impl Demo {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let make = |source| CliError::Make { path: self.out.clone(), source };
        disk::create_dir_all(&self.out).map_err(make)?;
        let study = self.out.join("tram_depot.stint");
        let script = demo::script(&self.out)?;
        let board_path = self.out.join("tram_depot.board.ron");
        let picture = self.out.join("tram_depot.png");
        // What lies beside an older demo came from it. Without one, files of these names are somebody else's.
        let replace = if remove_old(&study, script.commands.len() as u64)? { Replace::Asked } else { Replace::Never };
        if replace == Replace::Never {
            let taken = [&board_path, &picture].into_iter().find(|path| disk::is_taken(path)).cloned();
            if let Some(taken) = taken.or_else(|| demo::in_the_way(&self.out)) {
                return Err(CliError::Exists(taken));
            }
        }
        demo::unpack(&self.out)?;
        let script_path = self.out.join(demo::SCRIPT_NAME);
        let mut strokes = 0;
        let mut session = play(&script, &script_path, &study, self.engine, &mut |number, _| {
            strokes = number;
            Ok(())
        })?;
        let engine = session.engine();
        writeln!(out, "painted {strokes} strokes with the engine {} ({})", engine.name, engine.detail)?;
        let board = session.document().board.clone();
        place_board(&board_path, &board, replace)?;
        writeln!(out, "board \"{}\": {} swatches", board.name, board.swatches().count())?;
        for remark in review(&board) {
            writeln!(out, "  {}", remark.text)?;
        }
        let now = session.readout()?;
        writeln!(out)?;
        report::text(&now, out)?;
        export::to_png(&mut session, &picture, PngOptions::default(), replace)?;
        session.close()?;
        // What left with the picture must come back from it.
        let back = read_attached(&picture)?;
        if back.board != board || back.readout != now {
            let wanted = "the board and readout it was written with";
            return Err(CliError::WrongKind { path: picture, wanted });
        }
        writeln!(out, "\nphoto   {}", self.out.join(demo::PHOTO_NAME).display())?;
        writeln!(out, "board   {}", board_path.display())?;
        writeln!(out, "study   {}", study.display())?;
        writeln!(out, "picture {} (carries its board: try `stint readout` on it)", picture.display())?;
        Ok(())
    }
}

/// Makes way for a new study: the demo starts afresh every time. A study that somebody has open or has painted on, and a
/// file that is no study, stay. `steps` is how many the demo itself makes at most. Tells whether there was an older one.
fn remove_old(study: &Path, steps: u64) -> Result<bool, CliError> {
    match StudyFile::open(study) {
        Err(StudyError::Missing { .. }) => return Ok(false),
        Err(error @ (StudyError::OpenElsewhere { .. } | StudyError::NotAStudy { .. })) => return Err(error.into()),
        Ok(old) if old.undo_depth() + old.redo_depth() > steps => return Err(CliError::Exists(study.to_owned())),
        _ => {}
    }
    disk::remove_file(study).map_err(|source| CliError::Make { path: study.to_owned(), source })?;
    Ok(true)
}
