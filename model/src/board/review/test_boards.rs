//! The board that the tests of the rules start from, a tram depot at blue hour, cool light, invented, and changes of it.

use super::{Rule, review};
use crate::board::{Board, Family, LightOfDay, Role, Swatch};
use crate::colour::{Colour, Oklch};
use crate::ids::{FamilyId, SwatchId};

/// A colour by OKLCh.
pub fn oklch(l: f32, c: f32, h_degrees: f32) -> Colour {
    Oklch { l, c, h_degrees }.colour()
}

/// A role and a colour by OKLCh.
type Planned = (Role, [f32; 3]);

/// Breaks no rule: two surfaces of three swatches, a tiny one of two, and a family of accents.
pub fn sound_board() -> Board {
    use Role::{Accent, Light, Local, Shadow};
    let mut board = Board::new("tram depot", LightOfDay::Cool);
    let families: [(&str, &[Planned]); 4] = [
        ("brick", &[(Shadow, [0.34, 0.060, 45.0]), (Local, [0.46, 0.085, 38.0]), (Light, [0.58, 0.050, 15.0])]),
        ("wet yard", &[(Shadow, [0.29, 0.020, 280.0]), (Local, [0.44, 0.040, 265.0]), (Light, [0.66, 0.040, 250.0])]),
        ("sky", &[(Local, [0.55, 0.080, 262.0]), (Light, [0.76, 0.060, 240.0])]),
        ("lamps", &[(Accent, [0.82, 0.110, 80.0])]),
    ];
    for (name, swatches) in families {
        let family = FamilyId(board.families.len() as u32 + 1);
        let swatches = swatches.iter().enumerate().map(|(i, (role, [l, c, h]))| Swatch {
            id: SwatchId(family.0 * 10 + i as u32),
            role: *role,
            name: String::new(),
            colour: oklch(*l, *c, *h),
        });
        board.families.push(Family { swatches: swatches.collect(), ..Family::new(family, name) });
    }
    board
}

/// The sound board after a change.
pub fn changed(change: impl FnOnce(&mut Board)) -> Board {
    let mut board = sound_board();
    change(&mut board);
    board
}

/// The sound board with one swatch recoloured: family and swatch by position.
pub fn recoloured(family: usize, swatch: usize, colour: Colour) -> Board {
    let mut board = sound_board();
    board.families[family].swatches[swatch].colour = colour;
    board
}

/// The rules that `board` breaks, each once.
pub fn rules_of(board: &Board) -> Vec<Rule> {
    let mut rules: Vec<Rule> = review(board).iter().map(|r| r.rule).collect();
    rules.sort();
    rules.dedup();
    rules
}

/// What a rule is tried on.
pub struct Boards {
    /// Boards that break this rule and no other.
    pub breaking: Vec<Board>,
    /// Boards that come close and break no rule at all.
    pub sound: Vec<Board>,
}
