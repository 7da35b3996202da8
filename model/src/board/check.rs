//! What must hold for any board, wherever it comes from.
//!
//! These are faults; what a careful colourist would question is in [`super::review`].

use super::Board;
use std::collections::HashSet;
use std::fmt;

/// A family or a swatch by its place on the board, both counted from 0.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum BoardPlace {
    /// A family.
    Family {
        /// Its place among the families.
        family: usize,
        /// Its name, as it stands in the board; may be empty.
        name: String,
    },
    /// A swatch.
    Swatch {
        /// The place of its family.
        family: usize,
        /// The name of its family.
        family_name: String,
        /// Its place in the family.
        swatch: usize,
        /// Its own name; may be empty.
        name: String,
    },
}

impl fmt::Display for BoardPlace {
    // People count from 1.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BoardPlace::Family { family, name } => {
                write!(f, "family {}", family + 1)?;
                write_name(f, name)
            }
            BoardPlace::Swatch { family, family_name, swatch, name } => {
                write!(f, "swatch {}", swatch + 1)?;
                write_name(f, name)?;
                write!(f, " of family {}", family + 1)?;
                write_name(f, family_name)
            }
        }
    }
}

fn write_name(f: &mut fmt::Formatter<'_>, name: &str) -> fmt::Result {
    if name.trim().is_empty() { Ok(()) } else { write!(f, " \"{name}\"") }
}

/// What is wrong at a place.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
pub enum BoardFault {
    /// The id is 0, which means "none" elsewhere.
    #[error("has id 0; ids start at 1")]
    IdZero,
    /// An earlier one of its sort has the same id.
    #[error("has id {0}, which an earlier one has too; give it an id of its own")]
    IdTaken(u32),
    /// A family without a name, or with one of blanks only.
    #[error("has no name; name the surface it is for")]
    NoName,
    /// A component of the colour is NaN or infinite.
    #[error("has a colour that is not three finite numbers; pick it again")]
    ColourNotFinite,
}

/// The first thing that is wrong with a board.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("{place} {fault}")]
pub struct BoardError {
    /// Where.
    pub place: BoardPlace,
    /// What.
    pub fault: BoardFault,
}

/// Checks that ids are 1 or more and taken once, that families have names and that colours are finite.
///
/// # Errors
/// The first fault in the order of the board.
pub fn check(board: &Board) -> Result<(), BoardError> {
    let (mut family_ids, mut swatch_ids) = (HashSet::new(), HashSet::new());
    for (family_index, family) in board.families.iter().enumerate() {
        let place = || BoardPlace::Family { family: family_index, name: family.name.clone() };
        let id = id_fault(family.id.0, family_ids.insert(family.id));
        if let Some(fault) = id.or(family.name.trim().is_empty().then_some(BoardFault::NoName)) {
            return Err(BoardError { place: place(), fault });
        }
        for (swatch_index, swatch) in family.swatches.iter().enumerate() {
            let place = || BoardPlace::Swatch {
                family: family_index,
                family_name: family.name.clone(),
                swatch: swatch_index,
                name: swatch.name.clone(),
            };
            let id = id_fault(swatch.id.0, swatch_ids.insert(swatch.id));
            if let Some(fault) = id.or((!swatch.colour.is_finite()).then_some(BoardFault::ColourNotFinite)) {
                return Err(BoardError { place: place(), fault });
            }
        }
    }
    Ok(())
}

fn id_fault(id: u32, is_new: bool) -> Option<BoardFault> {
    match (id, is_new) {
        (0, _) => Some(BoardFault::IdZero),
        (id, false) => Some(BoardFault::IdTaken(id)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::board::{Family, LightOfDay, Role, Swatch};
    use crate::colour::Colour;
    use crate::ids::{FamilyId, SwatchId};

    fn swatch(id: u32, colour: Colour) -> Swatch {
        Swatch { id: SwatchId(id), role: Role::Local, name: String::new(), colour }
    }

    fn board(families: Vec<(u32, &str, Vec<Swatch>)>) -> Board {
        let families =
            families.into_iter().map(|(id, name, swatches)| Family { swatches, ..Family::new(FamilyId(id), name) });
        Board { families: families.collect(), ..Board::new("blue hour", LightOfDay::Cool) }
    }

    const GREY: Colour = Colour::new(0.2, 0.2, 0.2);

    fn fault(families: Vec<(u32, &str, Vec<Swatch>)>) -> Option<String> {
        check(&board(families)).err().map(|e| e.to_string())
    }

    #[test]
    fn a_sound_board_passes() {
        assert_eq!(fault(vec![]), None);
        // Families and swatches are numbered apart, and a family may wait for its swatches.
        assert_eq!(fault(vec![(1, "rails", vec![swatch(1, GREY), swatch(2, GREY)]), (2, "shed", vec![])]), None);
        let outside_srgb = Colour::new(1.4, -0.2, 0.0);
        assert_eq!(fault(vec![(1, "lamps", vec![swatch(7, outside_srgb)])]), None);
    }

    #[test]
    fn each_fault_says_where_and_what() {
        let say = |families| fault(families).unwrap_or_default();
        assert_eq!(say(vec![(0, "rails", vec![])]), "family 1 \"rails\" has id 0; ids start at 1");
        assert_eq!(
            say(vec![(3, "rails", vec![]), (3, "shed", vec![])]),
            "family 2 \"shed\" has id 3, which an earlier one has too; give it an id of its own"
        );
        assert_eq!(say(vec![(3, " \t", vec![])]), "family 1 has no name; name the surface it is for");
        assert_eq!(
            say(vec![(1, "rails", vec![swatch(4, GREY)]), (2, "shed", vec![swatch(5, GREY), swatch(4, GREY)])]),
            "swatch 2 of family 2 \"shed\" has id 4, which an earlier one has too; give it an id of its own"
        );
        assert_eq!(
            say(vec![(1, "rails", vec![swatch(0, GREY)])]),
            "swatch 1 of family 1 \"rails\" has id 0; ids start at 1"
        );
        for bad in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY] {
            for colour in [Colour::new(bad, 0.0, 0.0), Colour::new(0.0, bad, 0.0), Colour::new(0.0, 0.0, bad)] {
                assert_eq!(
                    say(vec![(1, "rails", vec![swatch(1, colour)])]),
                    "swatch 1 of family 1 \"rails\" has a colour that is not three finite numbers; pick it again"
                );
            }
        }
    }
}
