//! One command at a time, to the part that knows how.

use super::{Done, Loaded, Session, SessionError, StrokeTool};
use crate::study::command::Command;
use stint_model::colour::Colour;
use stint_model::study::file::Moved;
use stint_model::study::file::StudyError;
use stint_model::study::file::StudyFile;

/// Applies a command.
pub(super) fn apply(session: &mut Session, command: &Command) -> Result<Done, SessionError> {
    if session.live.is_some() {
        return Err(SessionError::Painting);
    }
    // What is taken in hand changes nothing that shows, so a board that is tried out stays.
    let in_hand =
        matches!(command, Command::Load(_) | Command::LoadFrom { .. } | Command::LoadFree(_) | Command::Brush(_));
    if !in_hand {
        session.end_preview()?;
    }
    match command {
        Command::Reference(path) => session.take_reference(command, path),
        Command::Adjust { hue_turn, soften } => session.adjust(command, *hue_turn, *soften),
        Command::Pick { .. }
        | Command::PickTrio { .. }
        | Command::PickAgain
        | Command::ProposeBoard(_)
        | Command::UseBoard(_)
        | Command::ReviseBoard(_)
        | Command::NewBoard(_)
        | Command::SwitchBoard(_)
        | Command::ForgetBoard(_)
        | Command::SetDistance { .. }
        | Command::Dismiss { .. }
        | Command::AddFamily(_)
        | Command::RenameFamily { .. }
        | Command::MoveFamily { .. }
        | Command::RemoveFamily(_)
        | Command::AddSwatch { .. }
        | Command::Recolour { .. }
        | Command::RenameSwatch { .. }
        | Command::SetRole { .. }
        | Command::MoveSwatch { .. }
        | Command::RemoveSwatch { .. }
        | Command::RenameBoard(_)
        | Command::SetLight(_)
        | Command::Turn(_)
        | Command::Relight(_)
        | Command::RelightTo { .. }
        | Command::Key { .. } => session.edit_board(command),
        Command::SetGround { .. } | Command::SetMixing(_) => session.set_ground_or_mixing(command),
        Command::AddPass(_)
        | Command::SelectPass(_)
        | Command::RenamePass { .. }
        | Command::ShowPass { .. }
        | Command::PassStrength { .. }
        | Command::MovePass { .. }
        | Command::MergeDown(_)
        | Command::ClearPass(_)
        | Command::RemovePass(_) => session.edit_passes(command),
        Command::Load(swatch) => {
            let id = session.find_swatch(swatch)?;
            session.loaded = Some(Loaded::Swatch(id));
            Ok(Done::default())
        }
        Command::LoadFrom { at } => session.load_from(*at),
        Command::LoadFree(hex) => session.load_free(Colour::from_hex(hex)?),
        Command::Brush(brush) => {
            brush.check()?;
            session.brush = brush.clone();
            Ok(Done::default())
        }
        Command::Stroke(samples) => session.stroke(StrokeTool::Brush, samples),
        Command::Scrape(samples) => session.stroke(StrokeTool::Scrape, samples),
        Command::Soften(samples) => session.stroke(StrokeTool::Soften, samples),
        Command::Mass { outline, edge } => session.mass(command, outline, *edge),
        Command::OpenFree => session.open_free(command),
        Command::ShutFree => session.shut_free(command),
        Command::Undo => session.step(StudyFile::undo, SessionError::NothingToUndo),
        Command::Redo => session.step(StudyFile::redo, SessionError::NothingToRedo),
    }
}

impl Session {
    /// Moves the head of the history by one and brings the canvas along.
    fn step(
        &mut self,
        by_one: fn(&mut StudyFile) -> Result<Option<Moved>, StudyError>,
        at_the_end: SessionError,
    ) -> Result<Done, SessionError> {
        let Some(moved) = by_one(&mut self.file)? else { return Err(at_the_end) };
        self.changes += 1;
        let tiles = moved.tiles.iter().map(|(key, _)| key.pos).collect();
        self.document = self.file.document().clone();
        let document = self.document.clone();
        self.show(&document)?;
        self.canvas.put_tiles(moved.tiles)?;
        // What is loaded may not exist at this point of the history.
        self.loaded = self.loaded.filter(|loaded| match loaded {
            Loaded::Swatch(id) => document.board.swatch(*id).is_some(),
            Loaded::Free(_) => document.free_open,
            Loaded::Mixture => self.usable_mixture().is_some(),
        });
        Ok(Done { tiles, document: moved.document_changed, moved: Some(moved.label), ..Done::default() })
    }
}
