//! Changes of the board, the ground and the mixing model.

use super::boards::change_boards;
use super::picks::forget_gone_picks;
use super::{Done, Session, SessionError};
use crate::files::board_file;
use crate::files::kind::{FileKind, kind_of};
use crate::study::command::{Command, PaintFate, SwatchRef};
use std::collections::BTreeSet;
use std::path::Path;
use stint_model::board::check::check;
use stint_model::board::edit::{EditError, next_number};
use stint_model::board::{Board, Role};
use stint_model::colour::Colour;
use stint_model::ids::SwatchId;
use stint_model::paint::PaintKind;
use stint_model::photo::{Adjustments, Photo, swatch_sheet};
use stint_model::study::file::StepKind;
use stint_model::variation::relight::{White, relight, relight_to};
use stint_model::variation::{key::key, turn::turn};

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

    /// Swatch ids that this study has ever painted with, or has on another of its boards: they must not come back as other swatches.
    pub fn used_swatches(&self) -> Vec<SwatchId> {
        let kinds = self.document.paints.iter().map(|p| p.kind);
        let painted = kinds.filter_map(|kind| match kind {
            PaintKind::Swatch(id) | PaintKind::Removed(id) => Some(id),
            PaintKind::Free => None,
        });
        let others = self.document.boards.iter().flat_map(Board::swatches).map(|(_, s)| s.id);
        painted.chain(others).collect()
    }

    pub(super) fn with_swatch(
        &self,
        family: &str,
        role: Role,
        name: &str,
        colour: Colour,
    ) -> Result<(Board, SwatchId), SessionError> {
        let board = &self.document.board;
        let (board, id) = match board.family_named(family.trim()) {
            Some(found) => (board.clone(), found.id),
            None => board.with_family(family)?,
        };
        Ok(board.with_swatch(id, role, name, colour, &self.used_swatches())?)
    }

    /// A board from elsewhere with ids that mean the same swatches in this study. A swatch keeps its id when this study knows
    /// it by the same id, family and role, or has never used the id; else it gets a fresh one.
    fn taken_in(&self, mut board: Board) -> Result<Board, EditError> {
        let here = &self.document.board;
        let same = |id: SwatchId, family: &str, role: Role| {
            here.family_of(id).is_some_and(|f| f.name == family) && here.swatch(id).is_some_and(|s| s.role == role)
        };
        let used = self.used_swatches();
        let known: BTreeSet<_> = here.swatches().map(|(_, s)| s.id).chain(used).collect();
        let coming = board.swatches().map(|(_, s)| s.id);
        let mut fresh = next_number(known.iter().copied().chain(coming).map(|id| id.0), "a swatch");
        for family in &mut board.families {
            for swatch in &mut family.swatches {
                if known.contains(&swatch.id) && !same(swatch.id, &family.name, swatch.role) {
                    let id = fresh?;
                    swatch.id = SwatchId(id);
                    fresh = next_number([id].into_iter(), "a swatch");
                }
            }
        }
        Ok(board)
    }

    /// The board after a command that changes it.
    fn edited_board(&mut self, command: &Command) -> Result<Board, SessionError> {
        let board = self.document.board.clone();
        Ok(match command {
            Command::UseBoard(path) => self.taken_in(board_in(&self.folder.join(path))?)?,
            Command::ReviseBoard(board) => {
                check(board)?;
                (**board).clone()
            }
            Command::SetDistance { family, distance } => {
                board.with_distance(board.find_family(family)?.id, *distance)?
            }
            Command::Dismiss { remark, dismissed } => board.with_dismissed(remark, *dismissed),
            Command::AddFamily(name) => board.with_family(name)?.0,
            Command::RenameFamily { family, name } => board.with_family_renamed(board.find_family(family)?.id, name)?,
            Command::MoveFamily { family, place } => board.with_family_at(board.find_family(family)?.id, *place)?,
            Command::RemoveFamily(name) => board.without_family(board.find_family(name)?.id)?,
            Command::AddSwatch { family, role, name, colour } => {
                self.with_swatch(family, *role, name, Colour::from_hex(colour)?)?.0
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
            Command::SetLight(light) => board.with_light(*light),
            Command::Turn(degrees) => turn(&board, *degrees)?.board,
            Command::Relight(kelvin) => relight(&board, *kelvin)?.board,
            Command::RelightTo { white: (x, y) } => {
                let white = White::new(*x, *y).ok_or(SessionError::NotAWhite(*x, *y))?;
                relight_to(&board, white).board
            }
            Command::Key { spread, shift } => key(&board, *spread, *shift)?.board,
            _ => board,
        })
    }

    /// Makes a change of the board; paint on the canvas follows.
    pub(super) fn edit_board(&mut self, command: &Command) -> Result<Done, SessionError> {
        let mut document = self.document.clone();
        match command {
            Command::Pick { .. } | Command::PickTrio { .. } | Command::PickAgain | Command::ProposeBoard(_) => {
                self.pick_into(&mut document, command)?;
            }
            Command::NewBoard(_) | Command::SwitchBoard(_) | Command::ForgetBoard(_) => {
                change_boards(&mut document, command)?;
            }
            _ => document.board = self.edited_board(command)?,
        }
        // A swatch that is given a colour by hand is no pick any more.
        if let Command::Recolour { swatch, .. } = command {
            document.picks.remove(&self.find_swatch(swatch)?);
        }
        forget_gone_picks(&mut document);
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

/// The board of a file: the one that it carries, or what is seen on a picture of flat swatches.
fn board_in(path: &Path) -> Result<Board, SessionError> {
    if kind_of(path)? != FileKind::Other {
        return Ok(board_file::read_any(path)?);
    }
    let name = path.file_stem().map_or_else(|| "board".to_owned(), |n| n.to_string_lossy().into_owned());
    let photo = Photo::from_bytes(&stint_model::photo::open::read(path)?, &path.to_string_lossy())?;
    Ok(swatch_sheet(&photo.view(Adjustments::default()), &name)?.board)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::session::Loaded;
    use stint_model::board::LightOfDay;
    use stint_model::board::file::write_board;
    use stint_render::choose::EngineChoice;

    fn add(session: &mut Session, family: &str, role: Role, colour: &str) {
        let (family, colour) = (family.to_owned(), colour.to_owned());
        session.apply(&Command::AddSwatch { family, role, name: String::new(), colour }).unwrap();
    }

    #[test]
    fn a_board_from_elsewhere_keeps_what_is_the_same_and_renumbers_the_rest() {
        let folder = tempfile::tempdir().unwrap();
        let board = Board::new("depot", LightOfDay::Cool);
        let mut session = Session::in_memory((64, 64), board, EngineChoice::Cpu).unwrap();
        add(&mut session, "Brick", Role::Local, "#775544");
        add(&mut session, "Sky", Role::Light, "#99aacc");
        let brick = SwatchRef::Swatch { family: "Brick".to_owned(), role: Role::Local };
        session.apply(&Command::Load(brick.clone())).unwrap();
        let all = vec![[0.0, 0.0], [64.0, 0.0], [64.0, 64.0], [0.0, 64.0]];
        session.apply(&Command::Mass { outline: all, edge: Default::default() }).unwrap();
        // The same brick, darker; and where the sky's id was, another surface.
        let mut dusk = session.document().board.clone();
        dusk.families[0].swatches[0].colour = Colour::from_hex("#443322").unwrap();
        dusk.families[1].name = "Yard".to_owned();
        write_board(&folder.path().join("dusk.board.ron"), &dusk).unwrap();
        session.set_folder(folder.path());
        session.apply(&Command::UseBoard("dusk.board.ron".to_owned())).unwrap();
        let readout = session.readout().unwrap();
        assert_eq!(readout.board_share, 1.0);
        assert_eq!(readout.swatches[0].hex, "#443322");
        let ids: Vec<_> = session.document().board.swatches().map(|(_, s)| s.id.0).collect();
        assert_eq!(ids, [1, 3]);
        assert_eq!(session.loaded(), Some(Loaded::Swatch(SwatchId(1))));
        // Back again, and a board that has no brick: its paint stays and counts as free.
        dusk.families.remove(0);
        write_board(&folder.path().join("yard.board.ron"), &dusk).unwrap();
        session.apply(&Command::UseBoard("yard.board.ron".to_owned())).unwrap();
        assert_eq!(session.readout().unwrap().free_share, 1.0);
        session.apply(&Command::Undo).unwrap();
        assert_eq!(session.readout().unwrap().board_share, 1.0);
    }
}
