//! Is the board small?

use super::{Remark, Rule};
use crate::board::Board;

/// As many swatches as eight surfaces of three; with more the choice has no end again.
pub const ENOUGH_SWATCHES: usize = 24;

/// Boards with more than [`ENOUGH_SWATCHES`].
pub(super) fn too_many(board: &Board) -> Vec<Remark> {
    let count = board.swatches().count();
    if count <= ENOUGH_SWATCHES {
        return Vec::new();
    }
    let text = format!(
        "the board has {count} swatches: with more than {ENOUGH_SWATCHES} every stroke starts with a choice again; let \
         small surfaces borrow from large ones and delete what the readout never shows"
    );
    vec![Remark { rule: Rule::TooMany, swatches: Vec::new(), families: Vec::new(), text }]
}

#[cfg(test)]
mod tests {
    use super::super::sample::{oklch, rules_of, sound_board};
    use super::*;
    use crate::board::{Role, Swatch};
    use crate::ids::SwatchId;

    /// The sound board filled up with distinct accents to `count` swatches.
    fn filled_up(count: usize) -> Board {
        let mut board = sound_board();
        for i in board.swatches().count()..count {
            let (row, column) = (i / 6, i % 6);
            let colour = oklch(0.54 + 0.08 * row as f32, 0.07, 30.0 + 60.0 * column as f32);
            let id = SwatchId(100 + i as u32);
            board.families[3].swatches.push(Swatch { id, role: Role::Accent, name: String::new(), colour });
        }
        board
    }

    #[test]
    fn one_more_than_enough() {
        assert_eq!(rules_of(&filled_up(ENOUGH_SWATCHES)), []);
        let board = filled_up(ENOUGH_SWATCHES + 1);
        assert_eq!(rules_of(&board), [Rule::TooMany]);
        assert!(too_many(&board)[0].text.starts_with("the board has 25 swatches:"));
    }
}
