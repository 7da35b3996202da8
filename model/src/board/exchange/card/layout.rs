//! Where everything stands on a card, in whole units: a unit is a pixel at scale 1, so that patches have sharp edges.

use crate::board::Board;

/// Around everything.
pub(super) const MARGIN: u32 = 40;
/// Base line of the board's name.
pub(super) const TITLE_BASE: u32 = 66;
/// Base line of the line below it.
pub(super) const LINE_BASE: u32 = 96;
/// Where columns begin.
const COLUMNS_TOP: u32 = 128;
/// Space within a column, left, right and below.
pub(super) const PAD: u32 = 8;
/// Width and height of a patch.
pub const PATCH_SIZE: (u32, u32) = (128, 64);
/// Radius of the corners of patches and columns.
pub(super) const CORNER: u32 = 6;
/// Width of a column.
pub(super) const COLUMN_WIDTH: u32 = PATCH_SIZE.0 + 2 * PAD;
/// Base line of a family's name, from the top of its column.
pub(super) const FAMILY_BASE: u32 = 24;
/// Top of the first patch, from the top of its column.
const PATCHES_TOP: u32 = 40;
/// Base line of a swatch's name, from the lower edge of its patch.
pub(super) const LABEL_BASE: u32 = 16;
/// From patch to patch.
const PATCH_STEP: u32 = PATCH_SIZE.1 + 32;
/// Between columns.
const GAP: u32 = 16;
/// Least width of a card, so that its name has room.
const MIN_WIDTH: u32 = 480;
/// Columns side by side, when there are not very many.
const SIDE_BY_SIDE: usize = 8;

/// The size of a card and of its columns.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Layout {
    /// Width of the card.
    pub width: u32,
    /// Height of the card.
    pub height: u32,
    /// Height of every column.
    pub(super) column_height: u32,
    side_by_side: usize,
}

impl Layout {
    /// For a board. Up to eight families stand in one row; more make as many rows as columns, roughly, as the card is to
    /// stay near a square. Whatever would not fit into u32 stops there.
    pub fn of(board: &Board) -> Self {
        let families = board.families.len();
        #[expect(clippy::cast_possible_truncation, reason = "the root of a count")]
        let side_by_side = families.min(SIDE_BY_SIDE.max((families as f64).sqrt().ceil() as usize)).max(1);
        let rows = count(families.div_ceil(side_by_side));
        let most = count(board.families.iter().map(|f| f.swatches.len()).max().unwrap_or(0));
        let column_height =
            PATCH_STEP.saturating_mul(most).saturating_add(PATCHES_TOP + if most == 0 { PAD } else { 0 });
        let columns = (COLUMN_WIDTH + GAP).saturating_mul(count(side_by_side)) - GAP;
        let width = columns.saturating_add(2 * MARGIN).max(MIN_WIDTH);
        let below = column_height.saturating_add(GAP).saturating_mul(rows).saturating_sub(GAP);
        let height = below.saturating_add(COLUMNS_TOP + MARGIN);
        Layout { width, height, column_height, side_by_side }
    }

    /// The upper left corner of every column, row by row.
    pub(super) fn columns(self) -> impl Iterator<Item = (u32, u32)> {
        (0..).map(move |at: usize| {
            let (row, column) = (count(at / self.side_by_side), count(at % self.side_by_side));
            let x = (COLUMN_WIDTH + GAP).saturating_mul(column).saturating_add(MARGIN);
            let y = self.column_height.saturating_add(GAP).saturating_mul(row).saturating_add(COLUMNS_TOP);
            (x, y)
        })
    }
}

/// Tops of the patches, from the top of their column.
pub(super) fn patch_tops() -> impl Iterator<Item = u32> {
    (0..).map(|at: u32| PATCH_STEP.saturating_mul(at).saturating_add(PATCHES_TOP))
}

/// The area of a patch, square units; its corners are quarter circles.
pub fn patch_area() -> f64 {
    f64::from(PATCH_SIZE.0 * PATCH_SIZE.1) - (4.0 - std::f64::consts::PI) * f64::from(CORNER * CORNER)
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::board::{Family, LightOfDay, Role, Swatch};
    use crate::colour::Colour;
    use crate::ids::{FamilyId, SwatchId};

    fn board(families: u32, swatches: u32) -> Board {
        let mut board = Board::new("x", LightOfDay::Cool);
        for f in 1..=families {
            let mut family = Family::new(FamilyId(f), "f");
            for s in 0..swatches {
                let id = SwatchId(f * 1000 + s);
                family.swatches.push(Swatch { id, role: Role::Local, name: String::new(), colour: Colour::default() });
            }
            board.families.push(family);
        }
        board
    }

    #[test]
    fn everything_is_on_the_card_and_nothing_overlaps() {
        for (families, swatches) in [(0, 0), (1, 0), (1, 1), (6, 3), (8, 4), (9, 1), (100, 30)] {
            let board = board(families, swatches);
            let layout = Layout::of(&board);
            let corners: Vec<_> = layout.columns().take(board.families.len()).collect();
            for (i, &(x, y)) in corners.iter().enumerate() {
                assert!(
                    x + COLUMN_WIDTH + MARGIN <= layout.width && y + layout.column_height + MARGIN <= layout.height
                );
                for &(u, v) in &corners[..i] {
                    assert!(x >= u + COLUMN_WIDTH || u >= x + COLUMN_WIDTH || y >= v + layout.column_height);
                }
            }
            let last = patch_tops().nth(swatches.max(1) as usize - 1).unwrap_or_default();
            assert!(swatches == 0 || last + PATCH_SIZE.1 + LABEL_BASE < layout.column_height);
        }
    }

    #[test]
    fn many_families_stay_near_a_square() {
        assert_eq!(Layout::of(&board(8, 3)).side_by_side, 8);
        assert_eq!(Layout::of(&board(9, 3)).side_by_side, 8);
        assert_eq!(Layout::of(&board(100, 3)).side_by_side, 10);
    }
}
