//! A board for every rule that breaks it alone, and one that comes close and does not.

use super::Rule;
use super::sample::{oklch, recoloured, sound_board};
use crate::board::{Board, Distance, Family, Role, Swatch};
use crate::colour::Colour;
use crate::ids::{FamilyId, SwatchId};

/// What a rule is tried on.
pub struct Samples {
    /// The rule.
    pub rule: Rule,
    /// Boards that break this rule and no other.
    pub breaking: Vec<Board>,
    /// Boards that come close and break no rule at all.
    pub sound: Vec<Board>,
}

/// The sound board after a change.
fn changed(change: impl FnOnce(&mut Board)) -> Board {
    let mut board = sound_board();
    change(&mut board);
    board
}

/// The sound board filled up with distinct accents to `count` swatches.
pub fn filled_up(count: usize) -> Board {
    changed(|board| {
        for i in board.swatches().count()..count {
            let (row, column) = (i / 6, i % 6);
            let colour = oklch(0.54 + 0.08 * row as f32, 0.07, 30.0 + 60.0 * column as f32);
            let id = SwatchId(100 + i as u32);
            board.families[3].swatches.push(Swatch { id, role: Role::Accent, name: String::new(), colour });
        }
    })
}

/// The sound board with a rust of nearly the hues of its brick, its values between those of brick; turned and lightened.
pub fn with_rust(turn_degrees: f32, lighter: f32) -> Board {
    let planned =
        [(Role::Shadow, [0.40, 0.062, 43.0]), (Role::Local, [0.52, 0.083, 36.0]), (Role::Light, [0.635, 0.045, 12.0])];
    let swatch = |(i, (role, [l, c, h])): (usize, (Role, [f32; 3]))| {
        let colour = oklch(l + lighter, c, h + turn_degrees);
        Swatch { id: SwatchId(90 + i as u32), role, name: String::new(), colour }
    };
    let swatches = planned.into_iter().enumerate().map(swatch).collect();
    changed(|board| board.families.push(Family { swatches, ..Family::new(FamilyId(9), "rust") }))
}

/// The sound board with brick and wet yard marked.
pub fn marked(brick: Distance, yard: Distance) -> Board {
    changed(|board| {
        board.families[0].distance = Some(brick);
        board.families[1].distance = Some(yard);
    })
}

/// Samples for one rule.
pub fn samples(rule: Rule) -> Samples {
    let (breaking, sound) = match rule {
        Rule::RoleMissing => (
            vec![
                changed(|b| b.families[0].swatches[2].role = Role::Accent),
                changed(|b| b.families[1].swatches.truncate(1)),
                changed(|b| b.families[1].swatches.clear()),
                changed(|b| drop(b.families[1].swatches.drain(..2))),
            ],
            vec![changed(|b| b.families[1].swatches.truncate(2)), changed(|b| drop(b.families[0].swatches.remove(1)))],
        ),
        Rule::ValuesOutOfOrder => (
            vec![recoloured(0, 2, oklch(0.40, 0.05, 10.0)), recoloured(2, 1, oklch(0.47, 0.06, 240.0))],
            vec![recoloured(0, 2, oklch(0.52, 0.05, 15.0))],
        ),
        Rule::ValuesTooClose => (
            vec![recoloured(0, 0, oklch(0.44, 0.06, 45.0)), recoloured(1, 1, oklch(0.31, 0.04, 265.0))],
            vec![recoloured(0, 0, oklch(0.40, 0.06, 45.0))],
        ),
        Rule::NearBlack => {
            (vec![recoloured(1, 0, oklch(0.12, 0.01, 280.0))], vec![recoloured(1, 0, oklch(0.235, 0.02, 280.0))])
        }
        Rule::NearWhite => {
            (vec![recoloured(2, 1, oklch(0.98, 0.005, 240.0))], vec![recoloured(2, 1, oklch(0.95, 0.015, 240.0))])
        }
        Rule::Garish => (
            vec![recoloured(3, 0, Colour::from_srgb8([255, 180, 0])), recoloured(3, 0, oklch(0.7, 0.3, 40.0))],
            vec![recoloured(3, 0, oklch(0.82, 0.15, 80.0))],
        ),
        Rule::LocalDull => (
            vec![recoloured(0, 1, oklch(0.46, 0.03, 38.0)), recoloured(0, 1, oklch(0.46, 0.0, 0.0))],
            vec![recoloured(0, 1, oklch(0.46, 0.052, 38.0)), recoloured(0, 1, oklch(0.46, 0.042, 38.0))],
        ),
        Rule::ShadowLean => (
            vec![recoloured(0, 0, oklch(0.34, 0.06, 300.0)), recoloured(1, 2, oklch(0.66, 0.04, 70.0))],
            vec![recoloured(0, 0, oklch(0.34, 0.06, 15.0))],
        ),
        Rule::Alike => {
            let mut lab = sound_board().families[2].swatches[0].colour.lab();
            lab.l -= 1.0;
            let near = lab.colour();
            lab.l -= 4.0;
            (vec![recoloured(1, 1, near)], vec![recoloured(1, 1, lab.colour())])
        }
        Rule::FamiliesOverlap => (vec![with_rust(0.0, 0.0)], vec![with_rust(35.0, 0.0), with_rust(0.0, 0.22)]),
        Rule::DistanceNotCooler => (
            vec![marked(Distance::Far, Distance::Near), marked(Distance::Middle, Distance::Near)],
            vec![marked(Distance::Near, Distance::Far), marked(Distance::Far, Distance::Far)],
        ),
        Rule::TooMany => (vec![filled_up(25), filled_up(30)], vec![filled_up(24)]),
    };
    Samples { rule, breaking, sound }
}
