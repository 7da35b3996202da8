//! Small named scenes.

use crate::numbers::Numbers;
use stint::study::command::{Command, SwatchRef};
use stint::study::session::Session;
use stint_model::board::{Board, Family, LightOfDay, Role, Swatch};
use stint_model::colour::{Colour, Oklab};
use stint_model::ids::{FamilyId, SwatchId};
use stint_model::paint::PaintTable;
use stint_render::mask::brush::Brush;
use stint_render::mask::mass::Edge;
use stint_render::mask::{CanvasSize, Mask, PenSample, StrokeMask};

/// A board of `families` families with shadow, local and light each, ids counting up from 1.
pub fn board(families: u32) -> Board {
    let mut board = Board::new("invented", LightOfDay::Cool);
    for f in 0..families {
        let swatch = |i: u32, role| Swatch {
            id: SwatchId(f * 3 + i + 1),
            role,
            name: String::new(),
            colour: wheel(f as f32 / families as f32, 0.3 + 0.2 * i as f32),
        };
        let family = Family::new(FamilyId(f + 1), &format!("surface {}", f + 1));
        let swatches = vec![swatch(0, Role::Shadow), swatch(1, Role::Local), swatch(2, Role::Light)];
        board.families.push(Family { swatches, ..family });
    }
    board
}

/// A moderate colour: `turn` 0-1 around the hues, OKLab lightness `l`.
pub fn wheel(turn: f32, l: f32) -> Colour {
    let (sin, cos) = (turn * std::f32::consts::TAU).sin_cos();
    Oklab { l, a: 0.07 * cos, b: 0.07 * sin }.colour()
}

/// A paint table with all swatches of a board and `free` free colours.
///
/// # Panics
/// Never for the small numbers of tests.
pub fn paints(board: &Board, free: u16) -> PaintTable {
    let mut table = PaintTable::default();
    for (_, swatch) in board.swatches() {
        table.load_swatch(swatch.id, swatch.colour).expect("room for every swatch");
    }
    for i in 0..free {
        table.load_free(wheel(f32::from(i) / 7.3, 0.6)).expect("room for every colour");
    }
    table
}

/// Blocks in a square canvas: a mass that covers all of it, and large overlapping shapes over that.
///
/// # Panics
/// When a mass cannot be laid on the study, whose board must be [`board`]`(6)`.
pub fn block_in(session: &mut Session, side: u32, masses: usize) {
    let roles = [Role::Shadow, Role::Local, Role::Light];
    let mut numbers = Numbers(9);
    let side = side as f32;
    for i in 0..masses {
        let family = format!("surface {}", 1 + i % 6);
        let load = Command::Load(SwatchRef::Swatch { family, role: roles[i / 6 % 3] });
        session.apply(&load).expect("a swatch of the board");
        let mut corner = || [numbers.range(-0.05 * side, 1.05 * side), numbers.range(-0.05 * side, 1.05 * side)];
        let outline = match i {
            0 => vec![[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]],
            _ => (0..6).map(|_| corner()).collect(),
        };
        session.apply(&Command::Mass { outline, edge: Edge::Soft }).expect("a mass");
    }
}

/// A random mask: a mass or a brush stroke, soft or hard, weak or strong, often reaching beyond the canvas.
///
/// # Panics
/// Never: what it draws is in range.
pub fn mask(size: CanvasSize, numbers: &mut Numbers) -> Mask {
    let mut mask = Mask::new(size);
    let (w, h) = (size.width as f32, size.height as f32);
    let mut place =
        |margin: f32| [numbers.range(-margin * w, w * (1.0 + margin)), numbers.range(-margin * h, h * (1.0 + margin))];
    let outline: Vec<_> = (0..5).map(|_| place(0.3)).collect();
    if numbers.below(2) == 0 {
        let edge = if numbers.below(3) == 0 { Edge::Hard } else { Edge::Soft };
        let strength = if numbers.below(2) == 0 { u16::MAX } else { numbers.below(65536) as u16 };
        mask.add_mass(&outline, edge, strength).expect("a fillable outline");
    } else {
        let brush = Brush {
            size_px: numbers.range(2.0, 90.0),
            hardness: numbers.range(0.0, 1.0),
            spacing: numbers.range(0.05, 0.4),
            strength: numbers.range(0.02, 1.0),
            pressure_size: numbers.below(2) == 0,
            pressure_strength: numbers.below(2) == 0,
            mark: None,
        };
        let samples: Vec<_> = outline.iter().map(|p| PenSample::new(p[0], p[1], numbers.range(0.1, 1.0))).collect();
        let mut stroke = StrokeMask::new(size, brush).expect("a brush in range");
        stroke.extend(&samples).expect("finite samples");
        mask = stroke.into_mask();
    }
    mask
}
