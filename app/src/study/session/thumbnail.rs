//! Thumbnail pictures of the painting under other boards, as for a strip of variations.

use super::{Session, SessionError, lut};
use stint_model::board::Board;
use stint_render::canvas::Thumbnail;

impl Session {
    /// A thumbnail of the painting as it is now, its longer side `max_side` cells at most, that keeps its paints. Only what was
    /// painted since the last call is read; [`Session::changes`] tells when to ask again.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn thumbnail(&mut self, max_side: u32) -> Result<Thumbnail, SessionError> {
        Ok(self.canvas.thumbnail(max_side)?)
    }

    /// The colours of a thumbnail under a board of the same swatches, mixed as the study mixes: packed 8-bit sRGB RGBA, red in
    /// the lowest byte, row by row.
    pub fn thumbnail_under(&self, thumbnail: &Thumbnail, board: &Board) -> Vec<u32> {
        let mut document = self.document.clone();
        document.paints.follow(board);
        thumbnail.colours(&lut(&document))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::{Command, SwatchRef};
    use stint_model::board::{LightOfDay, Role};
    use stint_model::study::tile::{TILE_SIDE, TilePos};
    use stint_model::variation::turn::turn;
    use stint_render::choose::EngineChoice;

    #[test]
    fn a_thumbnail_is_the_painting_under_any_board() {
        let board = Board::new("Depot", LightOfDay::Cool);
        let mut session = Session::in_memory((128, 96), board, EngineChoice::Cpu).unwrap();
        let (family, name) = ("Brick".to_owned(), String::new());
        let colour = "#73524e".to_owned();
        session
            .apply(&Command::AddSwatch { family: family.clone(), role: Role::Local, name, colour, by_role: false })
            .unwrap();
        session.apply(&Command::Load(SwatchRef::Swatch { family, role: Role::Local })).unwrap();
        let outline = vec![[10.0, 10.0], [90.0, 20.0], [60.0, 90.0]];
        session.apply(&Command::Mass { outline, edge: Default::default() }).unwrap();
        let at = session.changes();
        let thumbnail = session.thumbnail(32).unwrap();
        let turned = turn(&session.document().board, 120.0).unwrap().board;
        session.preview(&turned).unwrap();
        let shown = session.canvas().resolve(&[TilePos { column: 0, row: 0 }]).unwrap();
        let middles = (0..24).flat_map(|y| (0..32).map(move |x| (4 * y + 2) * TILE_SIDE + 4 * x + 2));
        let expected: Vec<u32> = middles.map(|i| shown[i as usize]).collect();
        assert_eq!(session.thumbnail_under(&thumbnail, &turned), expected);
        assert_eq!(session.changes(), at, "a preview is no change");
        session.apply(&Command::Undo).unwrap();
        assert_ne!(session.changes(), at);
    }
}
