//! `stint play`: commands from a script into a study.

use super::progress::Progress;
use super::{CliError, EngineArgument};
use crate::study::script::{self, Script};
use crate::study::session::Session;
use clap::Args;
use std::io::Write;
use std::path::{Path, PathBuf};
use stint_model::board::Board;

/// Run the commands of a script into a new study
#[derive(Args, Debug)]
pub struct Play {
    /// A script in RON; paths in it start at its own folder
    script: PathBuf,
    /// The study to make
    #[arg(short, long)]
    out: PathBuf,
    /// The engine that paints
    #[arg(long, value_enum, default_value_t)]
    engine: EngineArgument,
}

impl Play {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let script = script::read(&self.script)?;
        let session = play(&script, &self.script, &self.out, self.engine, &mut |stroke, label| {
            // Flushed at once: a line that was seen is a stroke that is kept.
            match writeln!(out, "stroke {stroke} kept: {label}").and_then(|()| out.flush()) {
                // A reader that has seen enough is no reason to leave the study half painted.
                Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
                said => said,
            }
        })?;
        let study = session.path().to_owned();
        session.close()?;
        Ok(writeln!(out, "{}", study.display())?)
    }
}

/// Plays a script into a new study at `path`; `kept` hears of every stroke once it is in the file.
pub(super) fn play(
    script: &Script,
    script_path: &Path,
    path: &Path,
    engine: EngineArgument,
    kept: &mut dyn FnMut(u64, &'static str) -> std::io::Result<()>,
) -> Result<Session, CliError> {
    let board = Board::new(&script.board, script.light);
    let mut session = Session::create(path, (script.width, script.height), board, engine.into())?;
    if let Some(notice) = session.take_notice() {
        super::say(&notice);
    }
    session.count_time(false);
    session.set_folder(script_path.parent().unwrap_or(Path::new(".")));
    let mut progress = Progress::new("painting", script.commands.len() as u64);
    for (i, command) in script.commands.iter().enumerate() {
        let label = command.label();
        let done = session.apply(command).map_err(|source| CliError::Script {
            script: script_path.to_owned(),
            number: i + 1,
            label,
            study: path.to_owned(),
            source,
        })?;
        while let Some(notice) = session.take_notice() {
            super::say(&notice);
        }
        if let Some(stroke) = done.stroke {
            kept(stroke, label)?;
        }
        progress.set(i as u64 + 1);
    }
    Ok(session)
}
