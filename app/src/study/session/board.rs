//! Changes of the board.

use super::{Done, Session, SessionError};
use crate::files::board_file;
use crate::files::kind::{FileKind, kind_of};
use crate::study::command::{Command, PaintFate, SwatchRef};
use std::collections::BTreeSet;
use std::path::Path;
use stint_model::board::edit::{EditError, next_number};
use stint_model::board::{Board, Role};
use stint_model::colour::Colour;
use stint_model::ids::SwatchId;
use stint_model::paint::PaintKind;
use stint_model::photo::{Adjustments, Photo, swatch_sheet};
use stint_model::study::Document;
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

    /// Swatch ids that this study has ever painted with, or has on another of its boards: they must not come back as other swatches.
    pub fn used_swatches(&self) -> Vec<SwatchId> {
        used_swatches(&self.document)
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

    /// The board of a file, ready for this study.
    pub(super) fn board_from(&self, path: &str) -> Result<Board, SessionError> {
        Ok(self.taken_in(board_in(&self.folder.join(path))?)?)
    }

    /// Gives a swatch name, role and colour. One that gets another colour by hand is no pick any more.
    pub(super) fn change_swatch(
        &self,
        document: &mut Document,
        swatch: &SwatchRef,
        role: Role,
        name: &str,
        colour: &str,
    ) -> Result<(), SessionError> {
        let id = self.find_swatch(swatch)?;
        let colour = Colour::from_hex(colour)?;
        if document.board.swatch(id).is_some_and(|s| s.colour.to_srgb8() != colour.to_srgb8()) {
            self.recolour(document, swatch, colour)?;
        }
        document.board = document.board.with_swatch_renamed(id, name)?.with_role(id, role)?;
        Ok(())
    }

    /// Recolours a swatch, which is no pick any more.
    pub(super) fn recolour(
        &self,
        document: &mut Document,
        swatch: &SwatchRef,
        colour: Colour,
    ) -> Result<(), SessionError> {
        let id = self.find_swatch(swatch)?;
        document.board = document.board.with_colour(id, colour)?;
        document.picks.remove(&id);
        Ok(())
    }

    /// Takes a swatch off the board.
    pub(super) fn remove_swatch(
        &self,
        document: &mut Document,
        swatch: &SwatchRef,
        paint: &PaintFate,
    ) -> Result<(), SessionError> {
        let from = self.find_swatch(swatch)?;
        document.board = document.board.without_swatch(from)?;
        if let PaintFate::GiveTo(heir) = paint {
            let to = self.find_swatch(heir)?;
            if from == to {
                return Err(SessionError::GiveToItself);
            }
            document.paints.give(from, to);
        }
        Ok(())
    }

    /// Makes a change of the board; paint on the canvas follows.
    pub(super) fn edit_board(
        &mut self,
        command: &Command,
        change: impl FnOnce(&mut Session, &mut Document) -> Result<(), SessionError>,
    ) -> Result<Done, SessionError> {
        self.edit(command, |session, document| {
            change(session, document)?;
            forget_gone_picks(document);
            document.well = document.well.following(&document.board);
            document.paints.follow(&document.board);
            Ok(())
        })
    }

    /// Makes a change of the document that leaves every tile as it is.
    pub(super) fn edit(
        &mut self,
        command: &Command,
        change: impl FnOnce(&mut Session, &mut Document) -> Result<(), SessionError>,
    ) -> Result<Done, SessionError> {
        let mut document = self.document.clone();
        change(self, &mut document)?;
        let done = self.record(command, StepKind::Edit, document, Vec::new(), None)?;
        self.unload_what_is_gone();
        Ok(done)
    }
}

/// Lets go of the links of swatches that no board of the study has any more.
fn forget_gone_picks(document: &mut Document) {
    let Document { board, boards, picks, .. } = document;
    picks.retain(|id, _| boards.iter().chain([&*board]).any(|b| b.swatch(*id).is_some()));
}

/// Swatch ids that a study has ever painted with, or has on another of its boards.
pub(super) fn used_swatches(document: &Document) -> Vec<SwatchId> {
    let kinds = document.paints.iter().map(|p| p.kind);
    let painted = kinds.filter_map(|kind| match kind {
        PaintKind::Swatch(id) | PaintKind::Removed(id) => Some(id),
        PaintKind::Free => None,
    });
    let others = document.boards.iter().flat_map(Board::swatches).map(|(_, s)| s.id);
    painted.chain(others).collect()
}

/// A swatch that is to be added.
#[derive(Clone, Copy)]
pub(super) struct NewSwatch<'a> {
    /// Name of its family, which is made if need be.
    pub(super) family: &'a str,
    pub(super) role: Role,
    pub(super) name: &'a str,
    /// Whether it goes to the place of its role, not to the end.
    pub(super) by_role: bool,
}

/// The board of a document with a new swatch.
pub(super) fn with_swatch(
    document: &Document,
    new: NewSwatch<'_>,
    colour: Colour,
) -> Result<(Board, SwatchId), SessionError> {
    let NewSwatch { family, role, name, by_role } = new;
    let (board, family) = match document.board.family_named(family.trim()) {
        Some(found) => (document.board.clone(), found.id),
        None => document.board.with_family(family)?,
    };
    let place = board.place_by_role(family, role);
    let (board, id) = board.with_swatch(family, role, name, colour, &used_swatches(document))?;
    Ok(if by_role { (board.with_swatch_at(id, family, place)?, id) } else { (board, id) })
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
        session.apply(&Command::AddSwatch { family, role, name: String::new(), colour, by_role: false }).unwrap();
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
