//! Is the board small?

use super::draft::Draft;
use super::{Definition, Remark, Rule, roles};
use crate::board::{Board, Family, Role, Swatch};
use crate::colour::Oklab;
use crate::colour::difference::delta_ok;
use crate::ids::SwatchId;

/// As many swatches as eight surfaces of three; with more the choice has no end again.
pub const ENOUGH_SWATCHES: usize = 24;

/// [`Rule::TooMany`].
pub(super) const TOO_MANY: Definition = Definition {
    words: "too many swatches",
    unit: "swatches",
    find: too_many,
    draft: |board, _, _| drafts(board),
    settles: false,
    about_warmth: false,
    #[cfg(test)]
    boards: tests::boards,
};

/// Boards with more than [`ENOUGH_SWATCHES`].
fn too_many(board: &Board) -> Vec<Remark> {
    let count = board.swatches().count();
    if count <= ENOUGH_SWATCHES {
        return Vec::new();
    }
    let text = format!(
        "the board has {count} swatches: with more than {ENOUGH_SWATCHES} every stroke starts with a choice again; let \
         small surfaces borrow from large ones and delete what the readout never shows"
    );
    let figure = count as f32;
    vec![Remark { rule: Rule::TooMany, swatches: Vec::new(), families: Vec::new(), figure, text }]
}

/// The swatches that are missed least taken off, one after the other: accents and second swatches of a role before the only one
/// of its role, and of those the one that lies nearest to another swatch.
fn drafts(board: &Board) -> Vec<Draft> {
    let mut left = Left::of(board);
    let mut after = board.clone();
    let mut taken = Vec::new();
    while left.places.len() > ENOUGH_SWATCHES {
        let Some((name, id)) = left.least_missed(&after) else {
            return Vec::new();
        };
        let Ok(without) = after.without_swatch(id) else {
            return Vec::new();
        };
        after = without;
        left.take(id);
        taken.push(name);
    }
    let words = match taken.as_slice() {
        [name] => format!("take {name} off the board: another stands in for it best"),
        names if names.len() <= TOLD_SWATCHES => {
            format!("take off the board what others stand in for best: {}", names.join(", "))
        }
        names => format!(
            "take {} swatches off the board that others stand in for best, {} among them",
            names.len(),
            names[..2].join(" and ")
        ),
    };
    vec![Draft { words: Some(words), ..Draft::instead(after) }]
}

/// More swatches than this are told of as a whole.
const TOLD_SWATCHES: usize = 4;

/// How much a family would miss a swatch.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
struct Miss {
    /// Its family would lack a role.
    role_missing: bool,
    /// It is the only one of a role.
    only_one: bool,
    /// Distance in OKLab to the nearest other swatch.
    nearest: f32,
}

/// A swatch that is still on the board.
#[derive(Clone, Copy, Debug)]
struct Place {
    id: SwatchId,
    oklab: Oklab,
    /// The nearest other one and how far it is in OKLab: kept, because a large board has thousands of pairs.
    nearest: Option<(SwatchId, f32)>,
}

/// The swatches that are still on the board.
struct Left {
    places: Vec<Place>,
}

impl Left {
    fn of(board: &Board) -> Self {
        let place = |s: &Swatch| Place { id: s.id, oklab: s.colour.oklab(), nearest: None };
        let mut left = Left { places: board.swatches().map(|(_, s)| place(s)).collect() };
        for i in 0..left.places.len() {
            left.places[i].nearest = left.nearest_to(left.places[i]);
        }
        left
    }

    fn nearest_to(&self, place: Place) -> Option<(SwatchId, f32)> {
        let others = self.places.iter().filter(|other| other.id != place.id);
        others.map(|other| (other.id, delta_ok(place.oklab, other.oklab))).min_by(|a, b| a.1.total_cmp(&b.1))
    }

    fn take(&mut self, id: SwatchId) {
        self.places.retain(|place| place.id != id);
        for i in 0..self.places.len() {
            if self.places[i].nearest.is_some_and(|(nearest, _)| nearest == id) {
                self.places[i].nearest = self.nearest_to(self.places[i]);
            }
        }
    }

    /// The swatch of `board` that is missed least, with what it is called.
    fn least_missed(&self, board: &Board) -> Option<(String, SwatchId)> {
        let mut places = self.places.iter();
        let mut least: Option<(Miss, String, SwatchId)> = None;
        for family in &board.families {
            let roles: Vec<Role> = family.swatches.iter().map(|s| s.role).collect();
            // What is missed depends on the role alone: once a role, not once a swatch.
            let misses = Role::ALL.map(|role| without_one(family, &roles, role));
            for swatch in &family.swatches {
                let nearest = places.next().and_then(|p| p.nearest).map_or(0.0, |(_, distance)| distance);
                let [role_missing, only_one] = misses[swatch.role as usize];
                let miss = Miss { role_missing, only_one, nearest };
                if least.as_ref().is_none_or(|(least, ..)| miss < *least) {
                    least = Some((miss, family.swatch_name_and_place(swatch), swatch.id));
                }
            }
        }
        least.map(|(_, name, id)| (name, id))
    }
}

/// Whether a family lacks a role after one swatch of this role is gone, and whether that was the only one.
fn without_one(family: &Family, roles: &[Role], role: Role) -> [bool; 2] {
    let Some(gone) = roles.iter().position(|r| *r == role) else {
        return [false; 2];
    };
    let mut rest = family.clone();
    rest.swatches.remove(gone);
    let only_one = role != Role::Accent && rest.with_role(role).is_none();
    [roles::missing(&rest).is_some(), only_one]
}

#[cfg(test)]
mod tests {
    use super::super::test_boards::{Boards, changed, oklch, rules_of};
    use super::*;

    /// The sound board filled up with distinct accents to `count` swatches.
    fn filled_up(count: usize) -> Board {
        changed(|board| {
            for i in board.swatches().count()..count {
                let (row, column) = (i / 6, i % 6);
                let colour = oklch(0.54 + 0.08 * row as f32, 0.07, 30.0 + 60.0 * column as f32);
                let id = SwatchId(100 + i as u32);
                board.families[3].swatches.push(Swatch { id, role: Role::Accent, name: String::new(), colour });
            }
        })
    }

    pub fn boards() -> Boards {
        Boards { breaking: vec![filled_up(25), filled_up(30)], sound: vec![filled_up(24)] }
    }

    #[test]
    fn one_more_than_enough() {
        assert_eq!(rules_of(&filled_up(ENOUGH_SWATCHES)), []);
        let board = filled_up(ENOUGH_SWATCHES + 1);
        assert_eq!(rules_of(&board), [Rule::TooMany]);
        assert!(too_many(&board)[0].text.starts_with("the board has 25 swatches:"));
    }
}
