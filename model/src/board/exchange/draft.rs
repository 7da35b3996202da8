//! A board in the making: swatches as they are found, with or without identity and role.

use super::roles::with_guesses;
use super::{ExchangeError, FORMAT, Incoming};
use crate::board::check::check;
use crate::board::{Board, Distance, Family, Role, Swatch};
use crate::colour::Colour;
use crate::ids::{FamilyId, SwatchId};
use std::collections::{HashMap, HashSet};

/// A swatch as found.
pub(super) struct DraftSwatch {
    /// Its identity, when it has one.
    pub id: Option<u32>,
    /// Its role, when it is told.
    pub role: Option<Role>,
    /// Its own name.
    pub name: String,
    /// Its colour.
    pub colour: Colour,
}

struct DraftFamily {
    id: Option<u32>,
    name: String,
    distance: Option<Distance>,
    swatches: Vec<DraftSwatch>,
}

/// Everything found so far, in order.
#[derive(Default)]
pub(super) struct Draft {
    families: Vec<DraftFamily>,
    by_name: HashMap<String, usize>,
    /// See [`Incoming::left_out`].
    pub left_out: usize,
    /// See [`Incoming::made_opaque`].
    pub made_opaque: usize,
}

impl Draft {
    /// Adds a family; returns its place.
    pub fn family(&mut self, id: Option<u32>, name: &str, distance: Option<Distance>) -> usize {
        let place = self.families.len();
        self.by_name.entry(name.to_lowercase()).or_insert(place);
        self.families.push(DraftFamily { id, name: name.to_owned(), distance, swatches: Vec::new() });
        place
    }

    /// The place of the family of this name in either case, which is added if need be.
    pub fn family_named(&mut self, name: &str) -> usize {
        match self.by_name.get(&name.to_lowercase()) {
            Some(&place) => place,
            None => self.family(None, name, None),
        }
    }

    /// Adds a swatch to the family at `place`.
    pub fn swatch(&mut self, place: usize, swatch: DraftSwatch) {
        self.families[place].swatches.push(swatch);
    }

    /// Whether nothing was found.
    pub fn is_empty(&self) -> bool {
        self.families.is_empty()
    }

    /// Puts the families on `board`, which has none: ids that are missing, 0 or taken are given anew, and roles that nobody
    /// told are guessed.
    ///
    /// # Errors
    /// When the board is not sound, for example a family has no name.
    pub fn finish(self, mut board: Board) -> Result<Incoming, ExchangeError> {
        let mut family_ids = IdAllocator::reserving(self.families.iter().map(|f| f.id));
        let mut swatch_ids = IdAllocator::reserving(self.families.iter().flat_map(|f| f.swatches.iter().map(|s| s.id)));
        for family in self.families {
            let known: Vec<_> = family.swatches.iter().map(|s| (s.colour, s.role)).collect();
            let swatches = family.swatches.into_iter().zip(with_guesses(&known)).map(|(s, role)| Swatch {
                id: SwatchId(swatch_ids.allocate(s.id)),
                role,
                name: s.name,
                colour: s.colour,
            });
            let swatches = swatches.collect();
            let id = FamilyId(family_ids.allocate(family.id));
            board.families.push(Family { id, name: family.name, distance: family.distance, swatches });
        }
        check(&board)?;
        Ok(Incoming { board, left_out: self.left_out, made_opaque: self.made_opaque })
    }
}

/// Gives out ids: the wished one to whoever asks first, else one above all wishes.
struct IdAllocator {
    given: HashSet<u32>,
    next: u32,
}

impl IdAllocator {
    fn reserving(wishes: impl Iterator<Item = Option<u32>>) -> Self {
        let highest = wishes.flatten().max().unwrap_or(0);
        // When even the last id is taken, the gaps below are used.
        IdAllocator { given: HashSet::new(), next: highest.checked_add(1).unwrap_or(1) }
    }

    fn allocate(&mut self, wish: Option<u32>) -> u32 {
        if let Some(id) = wish.filter(|&id| id > 0)
            && self.given.insert(id)
        {
            return id;
        }
        while !self.given.insert(self.next) {
            self.next = self.next.checked_add(1).unwrap_or(1);
        }
        self.next
    }
}

/// Refuses notes of a format that is not known here.
pub(super) fn check_format(found: u32) -> Result<(), ExchangeError> {
    if (1..=FORMAT).contains(&found) { Ok(()) } else { Err(ExchangeError::Newer { found, known: FORMAT }) }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::board::LightOfDay;

    #[test]
    fn identities_are_kept_once_and_made_where_they_lack() {
        let mut draft = Draft::default();
        let a = draft.family(Some(7), "a", None);
        let b = draft.family(Some(7), "b", None);
        assert_eq!(draft.family_named("A"), a);
        for (family, id) in [(a, None), (a, Some(3)), (b, Some(3)), (b, Some(u32::MAX)), (b, Some(0))] {
            let colour = Colour::default();
            draft.swatch(family, DraftSwatch { id, role: Some(Role::Local), name: String::new(), colour });
        }
        let board = draft.finish(Board::new("x", LightOfDay::Warm)).unwrap().board;
        assert_eq!(board.families.iter().map(|f| f.id.0).collect::<Vec<_>>(), [7, 8]);
        assert_eq!(board.swatches().map(|(_, s)| s.id.0).collect::<Vec<_>>(), [1, 3, 2, u32::MAX, 4]);
    }
}
