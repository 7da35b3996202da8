//! Changes of the passes.

use super::free::fresh_pass;
use super::{Done, Session, SessionError};
use crate::study::command::Command;
use stint_model::board::edit::EditError;
use stint_model::pass::{Pass, PassKind};
use stint_model::printable::listed;
use stint_model::study::Document;
use stint_model::study::file::StepKind;

fn place_of(document: &Document, name: &str) -> Result<usize, SessionError> {
    document.passes.iter().position(|p| p.name == name).ok_or_else(|| {
        let passes: Vec<_> = document.passes.iter().map(|p| p.name.as_str()).collect();
        SessionError::NoPass { name: name.to_owned(), passes: listed(&passes) }
    })
}

fn free_name(document: &Document, name: &str) -> Result<String, SessionError> {
    let name = name.trim();
    if name.is_empty() {
        return Err(EditError::EmptyName("a pass").into());
    }
    if document.passes.iter().any(|p| p.name == name) {
        return Err(SessionError::SamePass(name.to_owned()));
    }
    Ok(name.to_owned())
}

/// Adds a board pass above the others, which is painted on from now on.
pub(super) fn add_pass(document: &mut Document, name: &str) -> Result<(), SessionError> {
    let name = free_name(document, name)?;
    let id = fresh_pass(&document.passes)?;
    let place = document.passes.iter().rposition(|p| p.kind == PassKind::Board).map_or(0, |i| i + 1);
    document.passes.insert(place, Pass::new(id, &name, PassKind::Board));
    document.active_pass = id;
    Ok(())
}

/// Renames a pass.
pub(super) fn rename_pass(document: &mut Document, pass: &str, name: &str) -> Result<(), SessionError> {
    let place = place_of(document, pass)?;
    if pass != name.trim() {
        document.passes[place].name = free_name(document, name)?;
    }
    Ok(())
}

/// Shows or hides a pass.
pub(super) fn show_pass(document: &mut Document, pass: &str, visible: bool) -> Result<(), SessionError> {
    let place = place_of(document, pass)?;
    document.passes[place].visible = visible;
    Ok(())
}

/// Sets how strongly a pass shows.
pub(super) fn set_strength(document: &mut Document, pass: &str, strength: f32) -> Result<(), SessionError> {
    if !(0.0..=1.0).contains(&strength) {
        let (low, high) = (0.0, 1.0);
        return Err(SessionError::Range { what: "strength of a pass", value: strength, low, high });
    }
    let place = place_of(document, pass)?;
    document.passes[place].strength = stint_render::amount::from_fraction(strength);
    Ok(())
}

/// Moves a pass to a place, from 0 at the bottom.
pub(super) fn move_pass(document: &mut Document, pass: &str, place: usize) -> Result<(), SessionError> {
    let from = place_of(document, pass)?;
    let last = document.passes.len() - 1;
    if place > last {
        return Err(EditError::NoPlace { place, last }.into());
    }
    let moved = document.passes.remove(from);
    document.passes.insert(place, moved);
    let kinds = document.passes.iter().map(|p| p.kind == PassKind::Free);
    if kinds.is_sorted() { Ok(()) } else { Err(SessionError::FreeOnTop) }
}

impl Session {
    /// Paints on another pass from now on. No step: a look at another pass leaves what can be redone alone.
    pub(super) fn select_pass(&mut self, name: &str) -> Result<Done, SessionError> {
        let id = self.document.passes[place_of(&self.document, name)?].id;
        let differs = std::mem::replace(&mut self.document.active_pass, id) != id;
        Ok(Done { document: differs, ..Done::default() })
    }

    /// Merges a pass into the one below it.
    pub(super) fn merge_down(&mut self, command: &Command, name: &str) -> Result<Done, SessionError> {
        let mut document = self.document.clone();
        let place = place_of(&document, name)?;
        let below = place.checked_sub(1).ok_or_else(|| SessionError::NoPassBelow(name.to_owned()))?;
        if !(document.passes[place].visible && document.passes[below].visible) {
            return Err(SessionError::MergeHidden);
        }
        let gone = document.passes.remove(place);
        let kept = &mut document.passes[below];
        let (top, under) = ((gone.id, gone.strength), (kept.id, kept.strength));
        kept.strength = u16::MAX;
        // A pass that holds what was laid after free colour was opened is the free pass from now on.
        if gone.kind == PassKind::Free {
            kept.kind = PassKind::Free;
        }
        if document.active_pass == gone.id {
            document.active_pass = kept.id;
        }
        let changes = self.canvas.merge(top, under)?;
        self.record(command, StepKind::Edit, document, changes, None)
    }

    /// Takes all paint off a pass.
    pub(super) fn clear_pass(&mut self, command: &Command, name: &str) -> Result<Done, SessionError> {
        let document = self.document.clone();
        let changes = self.canvas.clear_pass(document.passes[place_of(&document, name)?].id)?;
        self.record(command, StepKind::Edit, document, changes, None)
    }

    /// Takes a pass with its paint away.
    pub(super) fn remove_pass(&mut self, command: &Command, name: &str) -> Result<Done, SessionError> {
        let mut document = self.document.clone();
        let place = place_of(&document, name)?;
        if document.passes.len() == 1 {
            return Err(SessionError::LastPass);
        }
        let gone = document.passes.remove(place);
        if document.active_pass == gone.id {
            let next = place.min(document.passes.len() - 1);
            document.active_pass = document.passes[next].id;
        }
        let changes = self.canvas.clear_pass(gone.id)?;
        self.record(command, StepKind::Edit, document, changes, None)
    }
}
