//! Is the board small?

use super::draft::Draft;
use super::{Definition, MAX_SWATCHES_REVIEWED, Remark, Rule, roles};
use crate::board::{Board, Family, Role, Swatch};
use crate::colour::Oklab;
use crate::colour::difference::delta_ok;
use crate::ids::SwatchId;

/// As many swatches as eight surfaces of three; with more the choice has no end again.
const ENOUGH_SWATCHES: usize = 24;

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
    let text = if count > MAX_SWATCHES_REVIEWED {
        format!("{text}; with more than {MAX_SWATCHES_REVIEWED} their colours are not reviewed")
    } else {
        text
    };
    let figure = count as f32;
    vec![Remark { rule: Rule::TooMany, swatches: Vec::new(), families: Vec::new(), figure, text }]
}

/// The swatches that are missed least taken off, one after the other: accents and second swatches of a role before the only one
/// of its role, and of those the one that lies nearest to another swatch.
fn drafts(board: &Board) -> Vec<Draft> {
    let mut remaining = Remaining::of(board);
    let mut after = board.clone();
    let mut taken = Vec::new();
    while remaining.entries.len() > ENOUGH_SWATCHES {
        let Some((name, id)) = remaining.least_lost(&after) else {
            return Vec::new();
        };
        let Ok(without) = after.without_swatch(id) else {
            return Vec::new();
        };
        after = without;
        remaining.remove(id);
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
    vec![Draft { words: Some(words), ..Draft::removing(after) }]
}

/// More swatches than this are told of as a whole.
const TOLD_SWATCHES: usize = 4;

/// What a family loses with a swatch; the smaller comes off the board first.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
struct Loss {
    /// Its family would lack a role.
    role_missing: bool,
    /// It is the only one of a role.
    only_one: bool,
    /// Distance in OKLab to the nearest other swatch.
    nearest: f32,
}

/// A swatch that is still on the board.
#[derive(Clone, Copy, Debug)]
struct Entry {
    id: SwatchId,
    oklab: Oklab,
    /// The nearest other one and how far it is in OKLab: kept, because a large board has thousands of pairs.
    nearest: Option<(SwatchId, f32)>,
}

/// The swatches that are still on the board.
struct Remaining {
    entries: Vec<Entry>,
}

impl Remaining {
    fn of(board: &Board) -> Self {
        let entry = |s: &Swatch| Entry { id: s.id, oklab: s.colour.oklab(), nearest: None };
        let mut remaining = Remaining { entries: board.swatches().map(|(_, s)| entry(s)).collect() };
        for i in 0..remaining.entries.len() {
            remaining.entries[i].nearest = remaining.nearest_to(remaining.entries[i]);
        }
        remaining
    }

    fn nearest_to(&self, entry: Entry) -> Option<(SwatchId, f32)> {
        let others = self.entries.iter().filter(|other| other.id != entry.id);
        others.map(|other| (other.id, delta_ok(entry.oklab, other.oklab))).min_by(|a, b| a.1.total_cmp(&b.1))
    }

    fn remove(&mut self, id: SwatchId) {
        self.entries.retain(|entry| entry.id != id);
        for i in 0..self.entries.len() {
            if self.entries[i].nearest.is_some_and(|(nearest, _)| nearest == id) {
                self.entries[i].nearest = self.nearest_to(self.entries[i]);
            }
        }
    }

    /// The swatch of `board` that is missed least, with what it is called.
    fn least_lost(&self, board: &Board) -> Option<(String, SwatchId)> {
        let mut entries = self.entries.iter();
        let mut least: Option<(Loss, String, SwatchId)> = None;
        for family in &board.families {
            let roles: Vec<Role> = family.swatches.iter().map(|s| s.role).collect();
            // What is missed depends on the role alone: once a role, not once a swatch.
            let losses = Role::ALL.map(|role| without_one(family, &roles, role));
            for swatch in &family.swatches {
                let nearest = entries.next().and_then(|p| p.nearest).map_or(0.0, |(_, distance)| distance);
                let [role_missing, only_one] = losses[swatch.role as usize];
                let loss = Loss { role_missing, only_one, nearest };
                if least.as_ref().is_none_or(|(least, ..)| loss < *least) {
                    least = Some((loss, family.swatch_name_and_place(swatch), swatch.id));
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
