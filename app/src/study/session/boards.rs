//! The boards of a study: one is active, the others wait. Swatches of the same id are the same swatch on all of them, so that
//! the painting follows when the active board changes.

use super::{Session, SessionError};
use stint_model::board::Board;
use stint_model::board::check::check;
use stint_model::disk;
use stint_model::printable::listed;
use stint_model::study::Document;

/// Keeps the active board among the others and makes a new one the active one.
pub(super) fn new_board(document: &mut Document, board: &Board) -> Result<(), SessionError> {
    check(board)?;
    let taken = document.boards.iter().chain([&document.board]).any(|b| b.name == board.name);
    if taken {
        return Err(SessionError::SameBoard(board.name.clone()));
    }
    let before = std::mem::replace(&mut document.board, board.clone());
    document.boards.push(before);
    Ok(())
}

/// Makes another board the active one.
pub(super) fn switch_board(document: &mut Document, name: &str) -> Result<(), SessionError> {
    let place = place_of(document, name)?;
    std::mem::swap(&mut document.board, &mut document.boards[place]);
    Ok(())
}

/// Takes a board that is not active away.
pub(super) fn forget_board(document: &mut Document, name: &str) -> Result<(), SessionError> {
    let place = place_of(document, name)?;
    document.boards.remove(place);
    Ok(())
}

fn place_of(document: &Document, name: &str) -> Result<usize, SessionError> {
    let found = document.boards.iter().position(|b| b.name == name);
    found.ok_or_else(|| {
        let names: Vec<_> = document.boards.iter().map(|b| b.name.as_str()).collect();
        let boards = if names.is_empty() { "none".to_owned() } else { listed(&names) };
        SessionError::NoBoard { name: name.to_owned(), boards }
    })
}

impl Session {
    /// A name for another board of this study: `wanted`, or that with a number behind it when it is taken.
    pub fn free_board_name(&self, wanted: &str) -> String {
        let document = &self.document;
        let taken = |name: &str| document.boards.iter().chain([&document.board]).any(|b: &Board| b.name == name);
        disk::numbered(wanted, taken)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::{Command, SwatchRef};
    use stint_model::board::{LightOfDay, Role};
    use stint_model::variation::turn::turn;
    use stint_render::choose::EngineChoice;

    fn painted() -> Session {
        let board = Board::new("Depot", LightOfDay::Cool);
        let mut session = Session::in_memory((64, 64), board, EngineChoice::Cpu).unwrap();
        let colour = "#73524e".to_owned();
        let (family, name) = ("Brick".to_owned(), String::new());
        session
            .apply(&Command::AddSwatch { family: family.clone(), role: Role::Local, name, colour, by_role: false })
            .unwrap();
        session.apply(&Command::Load(SwatchRef::Swatch { family, role: Role::Local })).unwrap();
        let outline = vec![[0.0, 0.0], [64.0, 0.0], [64.0, 64.0], [0.0, 64.0]];
        session.apply(&Command::Mass { outline, edge: Default::default() }).unwrap();
        session
    }

    fn hex(session: &mut Session) -> String {
        session.readout().unwrap().swatches[0].hex.clone()
    }

    #[test]
    fn the_painting_follows_from_board_to_board() {
        let mut session = painted();
        let mut dusk = turn(&session.document().board, 60.0).unwrap().board;
        assert!(matches!(
            session.apply(&Command::NewBoard(Box::new(dusk.clone()))),
            Err(SessionError::SameBoard(name)) if name == "Depot"
        ));
        assert_eq!(session.free_board_name("Depot"), "Depot 2");
        dusk.name = "Dusk".to_owned();
        session.apply(&Command::NewBoard(Box::new(dusk.clone()))).unwrap();
        let turned = dusk.families[0].swatches[0].colour.hex();
        assert_eq!(hex(&mut session), turned);
        assert_eq!(session.readout().unwrap().board_share, 1.0);
        session.apply(&Command::SwitchBoard("Depot".to_owned())).unwrap();
        assert_eq!(hex(&mut session), "#73524e");
        // A swatch that is new here gets an id that no other board has.
        let add = |family: &str| Command::AddSwatch {
            family: family.to_owned(),
            role: Role::Light,
            name: String::new(),
            colour: "#99aacc".to_owned(),
            by_role: false,
        };
        session.apply(&add("Sky")).unwrap();
        session.apply(&Command::SwitchBoard("Dusk".to_owned())).unwrap();
        session.apply(&add("Yard")).unwrap();
        assert_eq!(session.document().board.swatches().map(|(_, s)| s.id.0).max(), Some(3));
        session.apply(&Command::ForgetBoard("Depot".to_owned())).unwrap();
        assert!(session.apply(&Command::SwitchBoard("Depot".to_owned())).is_err());
        session.apply(&Command::Undo).unwrap();
        assert_eq!(session.document().boards.len(), 1);
    }

    #[test]
    fn a_preview_shows_and_leaves_nothing() {
        let mut session = painted();
        let resolved = |session: &mut Session| {
            session.canvas().resolve(&[stint_model::study::tile::TilePos { column: 0, row: 0 }]).unwrap()
        };
        let before = resolved(&mut session);
        let turned = turn(&session.document().board, 90.0).unwrap().board;
        session.preview(&turned).unwrap();
        assert_ne!(resolved(&mut session), before);
        let depths = session.depths();
        session.end_preview();
        assert_eq!(resolved(&mut session), before);
        session.preview(&turned).unwrap();
        // A change ends it.
        session.apply(&Command::SetLight(LightOfDay::Warm)).unwrap();
        assert_eq!(resolved(&mut session), before);
        assert_eq!(session.depths().0, depths.0 + 1);
    }
}
