//! Is the board small?

use super::offer::Draft;
use super::{Remark, Rule, called, roles};
use crate::board::{Board, Family, Role, Swatch};
use crate::colour::Oklab;
use crate::colour::difference::delta_ok;
use crate::ids::SwatchId;

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
    let figure = count as f32;
    vec![Remark { rule: Rule::TooMany, swatches: Vec::new(), families: Vec::new(), figure, text }]
}

/// The swatches that are missed least taken off, one after the other: accents and second swatches of a role before the only one
/// of its role, and of those the one that lies nearest to another swatch.
pub(super) fn drafts(board: &Board) -> Vec<Draft> {
    let mut left = board.clone();
    let mut taken = Vec::new();
    while left.swatches().count() > ENOUGH_SWATCHES {
        let Some((name, id)) = least_missed(&left) else {
            return Vec::new();
        };
        let Ok(without) = left.without_swatch(id) else {
            return Vec::new();
        };
        left = without;
        taken.push(name);
    }
    let words = if let [name] = taken.as_slice() {
        format!("take {name} off the board, which others stand in for best")
    } else {
        format!("take {} swatches off the board, which others stand in for best: {}", taken.len(), taken.join(", "))
    };
    vec![Draft { words: Some(words), ..Draft::instead(left) }]
}

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

fn least_missed(board: &Board) -> Option<(String, SwatchId)> {
    let places: Vec<(SwatchId, Oklab)> = board.swatches().map(|(_, s)| (s.id, s.colour.oklab())).collect();
    let miss = |family: &Family, swatch: &Swatch| {
        let here = swatch.colour.oklab();
        let nearest = places.iter().filter(|(id, _)| *id != swatch.id).map(|(_, place)| delta_ok(here, *place));
        let rest = Family {
            swatches: family.swatches.iter().filter(|s| s.id != swatch.id).cloned().collect(),
            ..family.clone()
        };
        Miss {
            role_missing: roles::missing(&rest).is_some(),
            only_one: swatch.role != Role::Accent && rest.with_role(swatch.role).is_none(),
            nearest: nearest.min_by(f32::total_cmp).unwrap_or(0.0),
        }
    };
    let all = board.swatches().map(|(family, swatch)| (miss(family, swatch), family, swatch));
    let least = all.min_by(|(one, ..), (other, ..)| one.partial_cmp(other).unwrap_or(std::cmp::Ordering::Equal));
    least.map(|(_, family, swatch)| (called(family, swatch), swatch.id))
}

#[cfg(test)]
mod tests {
    use super::super::sample::rules_of;
    use super::super::sample_boards::filled_up;
    use super::*;

    #[test]
    fn one_more_than_enough() {
        assert_eq!(rules_of(&filled_up(ENOUGH_SWATCHES)), []);
        let board = filled_up(ENOUGH_SWATCHES + 1);
        assert_eq!(rules_of(&board), [Rule::TooMany]);
        assert!(too_many(&board)[0].text.starts_with("the board has 25 swatches:"));
    }
}
