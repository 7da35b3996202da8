//! Free colour: shut, until it is opened on purpose.

use super::{Done, Loaded, Session, SessionError};
use crate::study::command::Command;
use stint_model::board::edit::{EditError, next_number};
use stint_model::colour::Colour;
use stint_model::ids::PassId;
use stint_model::pass::{Pass, PassKind};
use stint_model::readout::Opened;
use stint_model::study::Document;
use stint_model::study::file::{Lid, StepKind};

/// Name of the pass that opening free colour makes.
pub const FREE_PASS: &str = "Free colour";

/// The aim: at most this share of the painted area in free colour. A mark, not a wall. Common practice among painters, no
/// published source.
pub const FREE_AIM: f64 = 0.1;

impl Session {
    /// Loads a free colour.
    pub(super) fn load_free(&mut self, colour: Colour) -> Result<Done, SessionError> {
        if !self.document.free_open {
            return Err(SessionError::FreeShut);
        }
        self.loaded = Some(Loaded::Free(colour));
        Ok(Done::default())
    }

    /// Opens free colour, notes the shares, and makes the free pass, which is painted on from now on.
    pub(super) fn open_free(&mut self, command: &Command) -> Result<Done, SessionError> {
        if self.document.free_open {
            return Err(SessionError::FreeOpen);
        }
        let readout = self.readout()?;
        let mut document = self.document.clone();
        document.free_open = true;
        document.active_pass = free_pass(&mut document)?;
        let opened = Opened {
            after_strokes: self.strokes(),
            board_share: readout.board_share,
            free_share: readout.free_share,
            bare_share: readout.bare_share,
        };
        self.record(command, StepKind::Edit, document, Vec::new(), Some((Lid::FreeColour, opened)))
    }

    /// Shuts free colour: the brush lets a free colour go, and painting goes on in the topmost board pass.
    pub(super) fn shut_free(&mut self, command: &Command) -> Result<Done, SessionError> {
        if !self.document.free_open {
            return Err(SessionError::FreeShut);
        }
        let mut document = self.document.clone();
        document.free_open = false;
        if let Some(pass) = document.passes.iter().rev().find(|p| p.kind == PassKind::Board) {
            document.active_pass = pass.id;
        }
        let done = self.record(command, StepKind::Edit, document, Vec::new(), None)?;
        self.unload_what_is_gone();
        Ok(done)
    }
}

/// The topmost free pass; made where there is none.
pub(super) fn free_pass(document: &mut Document) -> Result<PassId, EditError> {
    if let Some(pass) = document.passes.iter().rev().find(|p| p.kind == PassKind::Free) {
        return Ok(pass.id);
    }
    let id = fresh_pass(&document.passes)?;
    document.passes.push(Pass::new(id, FREE_PASS, PassKind::Free));
    Ok(id)
}

/// A pass id above all there are.
pub(super) fn fresh_pass(passes: &[Pass]) -> Result<PassId, EditError> {
    next_number(passes.iter().map(|p| p.id.0), "a pass").map(PassId)
}
