//! The well: up to four swatches of the board worked together into one mixture, in whole parts. Board paint by definition.

use crate::board::Board;
use crate::ids::SwatchId;
use serde::{Deserialize, Serialize};

/// Swatches that the well holds at most: more than four make mud (common practice among painters, no published source).
pub const MOST_SWATCHES: usize = 4;
/// Parts of one swatch at most.
pub const MOST_PARTS: u32 = 999;

/// Some parts of one swatch.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WellPart {
    /// The swatch.
    pub swatch: SwatchId,
    /// How many parts, 1 to [`MOST_PARTS`].
    pub parts: u32,
}

/// Why the well did not take a swatch.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
pub enum WellError {
    /// Four others are in it.
    #[error("the well holds four swatches; take one out or clear it first")]
    Full,
}

/// What is in the well.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Well {
    parts: Vec<WellPart>,
}

impl Well {
    /// What is in it, in the order in which it came.
    pub fn parts(&self) -> &[WellPart] {
        &self.parts
    }

    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty()
    }

    /// The parts in their smallest whole numbers: 6 and 2 are 3 to 1.
    pub fn ratio(&self) -> Vec<WellPart> {
        let common = self.parts.iter().fold(0, |common, part| greatest_common_divisor(common, part.parts)).max(1);
        self.parts.iter().map(|part| WellPart { parts: part.parts / common, ..*part }).collect()
    }

    /// Works parts of a swatch in, or takes some out where the number is negative: as many as there are at most, and the swatch with
    /// the last of them.
    ///
    /// # Errors
    /// When a fifth swatch comes.
    pub fn stirred(&self, swatch: SwatchId, parts: i32) -> Result<Self, WellError> {
        let mut well = self.clone();
        let now = |before: u32| before.saturating_add_signed(parts).min(MOST_PARTS);
        match well.parts.iter().position(|part| part.swatch == swatch) {
            Some(place) => well.parts[place].parts = now(well.parts[place].parts),
            None if parts <= 0 => {}
            None if well.parts.len() == MOST_SWATCHES => return Err(WellError::Full),
            None => well.parts.push(WellPart { swatch, parts: now(0) }),
        }
        well.parts.retain(|part| part.parts > 0);
        Ok(well)
    }

    /// What of it a board has: a swatch that is taken off the board leaves the well.
    pub fn following(&self, board: &Board) -> Self {
        Well { parts: self.parts.iter().filter(|part| board.swatch(part.swatch).is_some()).copied().collect() }
    }

    /// Whether it holds what it may: false only for a damaged file.
    pub fn is_sound(&self, board: &Board) -> bool {
        let once = |i: usize, part: &WellPart| self.parts[..i].iter().all(|other| other.swatch != part.swatch);
        self.parts.len() <= MOST_SWATCHES
            && self.parts.iter().enumerate().all(|(i, part)| {
                (1..=MOST_PARTS).contains(&part.parts) && board.swatch(part.swatch).is_some() && once(i, part)
            })
    }
}

fn greatest_common_divisor(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { greatest_common_divisor(b, a % b) }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::board::{LightOfDay, Role};
    use crate::colour::Colour;

    #[test]
    fn parts_are_worked_in_taken_out_and_told_as_a_ratio() {
        let id = SwatchId;
        let well = Well::default().stirred(id(1), 6).unwrap().stirred(id(2), 2).unwrap();
        let ratio: Vec<_> = well.ratio().iter().map(|part| (part.swatch.0, part.parts)).collect();
        assert_eq!(ratio, [(1, 3), (2, 1)]);
        // More than there is takes it out; nothing of what is not there.
        let well = well.stirred(id(1), -50).unwrap().stirred(id(7), -1).unwrap();
        assert_eq!(well.parts(), [WellPart { swatch: id(2), parts: 2 }]);
        let full = (3..=5).fold(well, |well, i| well.stirred(id(i), 1).unwrap());
        assert_eq!(full.stirred(id(6), 1), Err(WellError::Full));
        assert_eq!(full.stirred(id(5), 5000).unwrap().parts()[3].parts, MOST_PARTS);
        assert!(Well::default().ratio().is_empty());
    }

    #[test]
    fn what_leaves_the_board_leaves_the_well() {
        let (board, family) = Board::new("depot", LightOfDay::Cool).with_family("Brick").unwrap();
        let (board, one) = board.with_swatch(family, Role::Local, "", Colour::new(0.2, 0.1, 0.1), &[]).unwrap();
        let (board, two) = board.with_swatch(family, Role::Light, "", Colour::new(0.4, 0.2, 0.2), &[]).unwrap();
        let well = Well::default().stirred(one, 2).unwrap().stirred(two, 1).unwrap();
        assert!(well.is_sound(&board) && well.following(&board) == well);
        let less = board.without_swatch(one).unwrap();
        assert!(!well.is_sound(&less));
        assert_eq!(well.following(&less).parts(), [WellPart { swatch: two, parts: 1 }]);
        let twice = Well { parts: vec![WellPart { swatch: two, parts: 1 }; 2] };
        assert!(!twice.is_sound(&board));
    }
}
