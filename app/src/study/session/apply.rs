//! One command at a time, to the part that knows how.

use super::{Done, Loaded, Session, SessionError, Tool};
use crate::study::command::Command;
use std::collections::BTreeSet;
use stint_model::colour::Colour;
use stint_model::study::Document;
use stint_model::study::file::Moved;
use stint_model::study::history::Direction;

/// Applies a command.
pub(super) fn apply(session: &mut Session, command: &Command) -> Result<Done, SessionError> {
    if session.live.is_some() {
        return Err(SessionError::Painting);
    }
    // What is taken in hand changes nothing that shows, so a board that is tried out stays.
    let in_hand =
        matches!(command, Command::Load(_) | Command::LoadFrom { .. } | Command::LoadFree(_) | Command::Brush(_));
    if !in_hand {
        session.end_preview();
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
            session.brush = *brush;
            Ok(Done::default())
        }
        Command::Stroke(samples) => session.stroke(Tool::Brush, samples),
        Command::Scrape(samples) => session.stroke(Tool::Scrape, samples),
        Command::Soften(samples) => session.stroke(Tool::Soften, samples),
        Command::Mass { outline, edge } => session.mass(command, outline, *edge),
        Command::OpenFree => session.open_free(command),
        Command::ShutFree => session.shut_free(command),
        Command::Undo => session.travel(Direction::Back, SessionError::NothingToUndo),
        Command::Redo => session.travel(Direction::On, SessionError::NothingToRedo),
    }
}

impl Session {
    /// Moves the head of the history by one and brings the canvas along: tiles first, then the file, and what shows last, which
    /// cannot fail.
    fn travel(&mut self, direction: Direction, at_the_end: SessionError) -> Result<Done, SessionError> {
        self.settle()?;
        let canvas = &mut self.canvas;
        let prepare = |moved: Moved| {
            let places: BTreeSet<_> = moved.tiles.iter().map(|(key, _)| key.pos).collect();
            Ok((moved.label, moved.document, places, canvas.upload(moved.tiles)?))
        };
        let moved = self.recorder.travel(direction, prepare)?;
        let (label, document, tiles, uploaded) = moved.ok_or(at_the_end)?;
        self.changes += 1;
        let done = Done { tiles, document: document.is_some(), moved: Some(label), ..Done::default() };
        if let Some(mut document) = document {
            self.recorded_pass = document.active_pass;
            // A pass that was chosen stays chosen, unless the step made or removed passes.
            let passes = |d: &Document| (d.free_open, d.passes.iter().map(|p| p.id).collect::<BTreeSet<_>>());
            if passes(&document) == passes(&self.document) {
                document.active_pass = self.document.active_pass;
            }
            self.document = document;
        }
        let document = self.document.clone();
        self.show(&document);
        self.canvas.place(uploaded);
        self.unload_what_is_gone();
        Ok(done)
    }
}
