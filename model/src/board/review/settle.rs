//! Settling a family: all its values, leans and extremes put right at once, each swatch moved by little.
//!
//! Moves of one swatch are the better offer, but in a crowded family they run into the next swatch. Settling always ends
//! without a remark on values, extremes, strength or lean: three roles fit between near-black and near-white, and greys have no
//! lean.

use crate::board::limits::{HIGHEST_MUNSELL, LEAN_MARGIN, LOWEST_MUNSELL, WANTED_RISE_MUNSELL};
use crate::board::moves::{at_value, warmed};
use crate::board::nudge::nudge;
use crate::board::{Board, Family, LightOfDay, Role};
use crate::colour::warmth::warmth;
use crate::ids::FamilyId;

/// A value moved by less than this, in Munsell value steps, stays as it is.
const STAYS_MUNSELL: f32 = 1e-3;

/// The board with this family settled.
pub(super) fn settled(board: &Board, family: FamilyId) -> Board {
    let mut board = board.clone();
    let light = board.light;
    if let Some(family) = board.families.iter_mut().find(|f| f.id == family) {
        for swatch in &mut family.swatches {
            swatch.colour = nudge(swatch.colour);
        }
        settle_values(family);
        settle_lean(family, light);
    }
    board
}

/// Where the values of neighbouring roles part, in Munsell values: below `[0]` shadows, above `[1]` lights, locals between.
type Borders = [f32; 2];

/// The range of Munsell values that a role has between `borders`.
fn range(role: Role, borders: Borders) -> [f32; 2] {
    let half = WANTED_RISE_MUNSELL / 2.0;
    match role {
        Role::Shadow => [LOWEST_MUNSELL, borders[0] - half],
        Role::Local => [borders[0] + half, borders[1] - half],
        Role::Light => [borders[1] + half, HIGHEST_MUNSELL],
        Role::Accent => [0.0, 10.0],
    }
}

fn settle_values(family: &mut Family) {
    let values: Vec<(Role, f32)> = family.swatches.iter().map(|s| (s.role, s.colour.munsell_value())).collect();
    let has = |role| values.iter().any(|v| v.0 == role);
    // The sum of moves is piecewise linear in the borders: its minimum lies where a border touches a swatch, the end of the
    // scale, or the other border.
    let half = WANTED_RISE_MUNSELL / 2.0;
    let apart = if has(Role::Local) { WANTED_RISE_MUNSELL } else { 0.0 };
    let (lowest, highest) = (LOWEST_MUNSELL + half, HIGHEST_MUNSELL - half);
    let touching = values.iter().flat_map(|v| [v.1 - half, v.1 + half]).chain([lowest, highest]);
    let touching: Vec<f32> = touching.flat_map(|t| [t - apart, t, t + apart]).collect();
    let moved = |borders: Borders| -> f32 {
        values.iter().map(|&(role, v)| (v - clamp_to(v, range(role, borders))).abs()).sum()
    };
    let mut best: Option<(f32, Borders)> = None;
    for &low in touching.iter().filter(|&&t| t >= lowest - 1e-4) {
        let highs: &[f32] = if apart == 0.0 { &[low] } else { &touching };
        for &high in highs.iter().filter(|&&t| t <= highest + 1e-4 && t >= low + apart - 1e-4) {
            let sum = moved([low, high]);
            if best.is_none_or(|(least, _)| sum < least - 1e-5) {
                best = Some((sum, [low, high]));
            }
        }
    }
    let Some((_, borders)) = best else {
        return;
    };
    for swatch in &mut family.swatches {
        let value = swatch.colour.munsell_value();
        let wanted = clamp_to(value, range(swatch.role, borders));
        if (wanted - value).abs() > STAYS_MUNSELL {
            swatch.colour = at_value(swatch.colour, wanted);
        }
    }
}

/// `clamp` for ranges that rounding may have turned round.
fn clamp_to(value: f32, [low, high]: [f32; 2]) -> f32 {
    value.min(high).max(low.min(high))
}

fn settle_lean(family: &mut Family, light: LightOfDay) {
    // +1 where lights are the warmer ones.
    let sign = match light {
        LightOfDay::Warm => 1.0,
        LightOfDay::Cool => -1.0,
        LightOfDay::Neutral => return,
    };
    let leans = |family: &Family, role: Role| -> Vec<f32> {
        family.swatches.iter().filter(|s| s.role == role).map(|s| sign * warmth(s.colour)).collect()
    };
    let ends = |family: &Family| {
        let shadows = leans(family, Role::Shadow).into_iter().max_by(f32::total_cmp)?;
        let lights = leans(family, Role::Light).into_iter().min_by(f32::total_cmp)?;
        Some((shadows, lights))
    };
    let Some((shadows, lights)) = ends(family) else {
        return;
    };
    if shadows <= lights + LEAN_MARGIN {
        return;
    }
    let meeting = f32::midpoint(shadows, lights);
    // Where sRGB does not hold such warmth at both values they meet nearer to grey; at grey they always can.
    for share in [1.0, 0.75, 0.5, 0.25, 0.0] {
        let mut tried = family.clone();
        for swatch in &mut tried.swatches {
            let past = sign * warmth(swatch.colour) - meeting * share;
            if (swatch.role == Role::Shadow && past > 0.0) || (swatch.role == Role::Light && past < 0.0) {
                swatch.colour = warmed(swatch.colour, -sign * past);
            }
        }
        let met = ends(&tried).is_none_or(|(shadows, lights)| shadows <= lights + 1e-3);
        if met || share == 0.0 {
            *family = tried;
            return;
        }
    }
}
