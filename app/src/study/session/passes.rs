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

impl Session {
    /// Makes a change of the passes.
    pub(super) fn edit_passes(&mut self, command: &Command) -> Result<Done, SessionError> {
        let mut document = self.document.clone();
        let passes = &document.passes;
        let mut cleared = None;
        let mut merged = None;
        match command {
            Command::AddPass(name) => {
                let name = free_name(&document, name)?;
                let id = fresh_pass(passes)?;
                let place = passes.iter().rposition(|p| p.kind == PassKind::Board).map_or(0, |i| i + 1);
                document.passes.insert(place, Pass::new(id, &name, PassKind::Board));
                document.active_pass = id;
            }
            Command::SelectPass(name) => document.active_pass = passes[place_of(&document, name)?].id,
            Command::RenamePass { pass, name } => {
                let place = place_of(&document, pass)?;
                if pass != name.trim() {
                    document.passes[place].name = free_name(&document, name)?;
                }
            }
            Command::ShowPass { pass, visible } => {
                let place = place_of(&document, pass)?;
                document.passes[place].visible = *visible;
            }
            Command::PassStrength { pass, strength } => {
                if !(0.0..=1.0).contains(strength) {
                    let (low, high) = (0.0, 1.0);
                    return Err(SessionError::Range { what: "strength of a pass", value: *strength, low, high });
                }
                let place = place_of(&document, pass)?;
                document.passes[place].strength = stint_render::amount::from_fraction(*strength);
            }
            Command::MovePass { pass, place } => {
                let from = place_of(&document, pass)?;
                let last = passes.len() - 1;
                if *place > last {
                    return Err(EditError::NoPlace { place: *place, last }.into());
                }
                let moved = document.passes.remove(from);
                document.passes.insert(*place, moved);
                let kinds = document.passes.iter().map(|p| p.kind == PassKind::Free);
                if !kinds.is_sorted() {
                    return Err(SessionError::FreeOnTop);
                }
            }
            Command::MergeDown(name) => {
                let place = place_of(&document, name)?;
                let below = place.checked_sub(1).ok_or_else(|| SessionError::NoPassBelow(name.clone()))?;
                if !(passes[place].visible && passes[below].visible) {
                    return Err(SessionError::MergeHidden);
                }
                let (top, under) = (&passes[place], &passes[below]);
                merged = Some(((top.id, top.strength), (under.id, under.strength)));
                let gone = document.passes.remove(place);
                let kept = &mut document.passes[below];
                kept.strength = u16::MAX;
                // A pass that holds what was laid after free colour was opened is the free pass from now on.
                if gone.kind == PassKind::Free {
                    kept.kind = PassKind::Free;
                }
                if document.active_pass == gone.id {
                    document.active_pass = kept.id;
                }
            }
            Command::ClearPass(name) => cleared = Some(passes[place_of(&document, name)?].id),
            Command::RemovePass(name) => {
                let place = place_of(&document, name)?;
                if passes.len() == 1 {
                    return Err(SessionError::LastPass);
                }
                let gone = document.passes.remove(place);
                cleared = Some(gone.id);
                if document.active_pass == gone.id {
                    let next = place.min(document.passes.len() - 1);
                    document.active_pass = document.passes[next].id;
                }
            }
            _ => {}
        }
        let changes = match (cleared, merged) {
            (Some(pass), _) => self.canvas.clear_pass(pass)?,
            (None, Some((top, below))) => self.canvas.merge(top, below)?,
            (None, None) => Vec::new(),
        };
        self.record(command, StepKind::Edit, document, changes, None)
    }
}
