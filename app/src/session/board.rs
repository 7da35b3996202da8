//! Changes of the board, the ground and the mixing model.

use super::{Done, Session, SessionError};
use crate::command::{Command, PaintFate, SwatchRef};
use stint_model::board::edit::EditError;
use stint_model::board::{Board, Role};
use stint_model::colour::Colour;
use stint_model::ids::SwatchId;
use stint_model::paint::PaintKind;
use stint_model::photo::{Outline, pick, trio};
use stint_model::study::file::StepKind;

impl Session {
    /// The swatch a person means.
    pub(super) fn find_swatch(&self, wanted: &SwatchRef) -> Result<SwatchId, SessionError> {
        let board = &self.document.board;
        let found = match wanted {
            SwatchRef::Id(id) => board.swatch(*id),
            SwatchRef::Swatch { family, role } => board.find_family(family)?.with_role(*role),
            SwatchRef::Named { family, name } => board.find_family(family)?.swatches.iter().find(|s| s.name == *name),
        };
        let text = || match wanted {
            SwatchRef::Id(id) => format!("number {id}"),
            SwatchRef::Swatch { family, role } => format!("\"{family}\" {}", role.word()),
            SwatchRef::Named { family, name } => format!("\"{name}\" in \"{family}\""),
        };
        Ok(found.map(|s| s.id).ok_or_else(|| EditError::NoSwatch(text()))?)
    }

    /// Swatch ids that this study has ever painted with: they must not come back as other swatches.
    fn used_swatches(&self) -> Vec<SwatchId> {
        let kinds = self.document.paints.iter().map(|p| p.kind);
        kinds
            .filter_map(|kind| match kind {
                PaintKind::Swatch(id) | PaintKind::Removed(id) => Some(id),
                PaintKind::Free => None,
            })
            .collect()
    }

    fn with_swatch(&self, family: &str, role: Role, name: &str, colour: Colour) -> Result<Board, SessionError> {
        let board = &self.document.board;
        let (board, id) = match board.family_named(family.trim()) {
            Some(found) => (board.clone(), found.id),
            None => board.with_family(family)?,
        };
        Ok(board.with_swatch(id, role, name, colour, &self.used_swatches())?.0)
    }

    /// The board after a command that changes it.
    fn edited_board(&mut self, command: &Command) -> Result<Board, SessionError> {
        let board = self.document.board.clone();
        Ok(match command {
            Command::Pick { family, role, name, at, aperture } => {
                let (photo, adjustments) = self.reference()?;
                let colour = pick(&photo.view(adjustments), at.0, at.1, *aperture)?;
                self.with_swatch(family, *role, name, colour)?
            }
            Command::PickTrio { family, outline } => {
                let (photo, adjustments) = self.reference()?;
                let outline = Outline::new(outline.iter().map(|&(x, y)| [x, y]).collect())?;
                let found = trio(&photo.view(adjustments), &outline)?;
                let tones = [
                    (Role::Light, found.light.colour),
                    (Role::Local, found.local.colour),
                    (Role::Shadow, found.shadow.colour),
                ];
                board.with_trio(family, tones, &self.used_swatches())?
            }
            Command::AddFamily(name) => board.with_family(name)?.0,
            Command::RenameFamily { family, name } => board.with_family_renamed(board.find_family(family)?.id, name)?,
            Command::MoveFamily { family, place } => board.with_family_at(board.find_family(family)?.id, *place)?,
            Command::RemoveFamily(name) => board.without_family(board.find_family(name)?.id)?,
            Command::AddSwatch { family, role, name, colour } => {
                self.with_swatch(family, *role, name, Colour::from_hex(colour)?)?
            }
            Command::Recolour { swatch, colour } => {
                board.with_colour(self.find_swatch(swatch)?, Colour::from_hex(colour)?)?
            }
            Command::RenameSwatch { swatch, name } => board.with_swatch_renamed(self.find_swatch(swatch)?, name)?,
            Command::SetRole { swatch, role } => board.with_role(self.find_swatch(swatch)?, *role)?,
            Command::MoveSwatch { swatch, family, place } => {
                board.with_swatch_at(self.find_swatch(swatch)?, board.find_family(family)?.id, *place)?
            }
            Command::RemoveSwatch { swatch, .. } => board.without_swatch(self.find_swatch(swatch)?)?,
            Command::RenameBoard(name) => board.renamed(name)?,
            Command::SetLight(light) => board.under(*light),
            _ => board,
        })
    }

    /// Makes a change of the board; paint on the canvas follows.
    pub(super) fn edit_board(&mut self, command: &Command) -> Result<Done, SessionError> {
        let board = self.edited_board(command)?;
        let mut document = self.document.clone();
        document.board = board;
        if let Command::RemoveSwatch { swatch, paint: PaintFate::GiveTo(heir) } = command {
            let (from, to) = (self.find_swatch(swatch)?, self.find_swatch(heir)?);
            if from == to {
                return Err(SessionError::GiveToItself);
            }
            document.paints.give(from, to);
        }
        document.paints.follow(&document.board);
        let done = self.record(command, StepKind::Edit, document, Vec::new(), None)?;
        // A swatch that is gone cannot stay on the brush.
        if let Some(super::Loaded::Swatch(id)) = self.loaded
            && self.document.board.swatch(id).is_none()
        {
            self.loaded = None;
        }
        Ok(done)
    }

    /// Sets the ground or the mixing model.
    pub(super) fn set_ground_or_mixing(&mut self, command: &Command) -> Result<Done, SessionError> {
        let mut document = self.document.clone();
        match command {
            Command::SetGround { name, colour } => {
                document.ground.name = name.trim().to_owned();
                document.ground.colour = Colour::from_hex(colour)?;
            }
            Command::SetMixing(mixing) => document.mixing = *mixing,
            _ => {}
        }
        self.record(command, StepKind::Edit, document, Vec::new(), None)
    }
}
