//! Has every surface a shadow, a local and a light?

use super::draft::Draft;
use super::{Definition, Remark, Rule, within};
use crate::board::moves::{at_value, warmed, with_chroma};
use crate::board::{Board, Family, LightOfDay, Role, Swatch};
use crate::colour::difference::ciede2000;
use crate::colour::{Colour, Oklab};
use crate::ids::SwatchId;

/// A family of this many swatches is a tiny surface and needs no third.
const TINY_SURFACE_SWATCHES: usize = 2;
/// The roles of a surface.
const WANTED: [Role; 3] = [Role::Shadow, Role::Local, Role::Light];
/// How far an added swatch lies from its neighbour, in Munsell value steps: the first that brings no new remark.
const STEPS_MUNSELL: [f32; 5] = [1.5, 1.1, 2.0, 0.8, 2.6];
/// How far an added shadow or light leans against its neighbour, in OKLab units along the warmth axis.
const ADDED_LEAN: f32 = 0.012;
/// Chroma of an added shadow or light as a share of its neighbour's: the local is usually the most saturated.
const ADDED_CHROMA: f32 = 0.85;
/// As many accents are tried in a missing role.
const ACCENTS_TRIED: usize = 6;
/// An accent may fill a missing role when it is within this CIEDE2000 of what would be added, brought to its value: farther off
/// it is a colour of its own, and no part of the surface.
const ACCENT_FITS_CIEDE2000: f64 = 10.0;

/// [`Rule::RoleMissing`].
pub(super) const ROLE_MISSING: Definition = Definition {
    words: "role missing",
    unit: "roles",
    find: role_missing,
    draft: drafts,
    settles: false,
    about_warmth: false,
    #[cfg(test)]
    boards: tests::boards,
};

/// Families that lack a role. Tiny ones and families of accents alone, which are no surface, are left in peace.
fn role_missing(board: &Board) -> Vec<Remark> {
    board.families.iter().filter_map(missing).collect()
}

fn absent_from(family: &Family) -> Vec<Role> {
    WANTED.into_iter().filter(|&role| family.with_role(role).is_none()).collect()
}

/// The remark on one family, if it lacks a role.
pub(super) fn missing(family: &Family) -> Option<Remark> {
    let count = family.swatches.len();
    let accents_only = count > 0 && family.swatches.iter().all(|s| s.role == Role::Accent);
    let absent: Vec<&str> = absent_from(family).into_iter().map(Role::word).collect();
    if absent.is_empty() || accents_only || count == TINY_SURFACE_SWATCHES {
        return None;
    }
    let name = &family.name;
    let figure = absent.len() as f32;
    let text = if count == 0 {
        format!("{name} has no swatch yet: a surface wants shadow, local and light; pick them or delete the family")
    } else {
        let absent = absent.join(" and no ");
        format!(
            "{name} has {count} {} but no {absent}: a surface wants shadow, local and light, and only a tiny one does \
             with two; pick the missing ones from the reference",
            if count == 1 { "swatch" } else { "swatches" }
        )
    };
    Some(within(Rule::RoleMissing, family, &[], figure, text))
}

/// An accent put into the missing role, the missing swatches added beside their neighbours, or the family deleted.
fn drafts(board: &Board, remark: &Remark, used: &[SwatchId]) -> Vec<Draft> {
    let Some(family) = remark.families.first().and_then(|&id| board.family(id)) else {
        return Vec::new();
    };
    let mut drafts = with_accents(board, family);
    drafts.extend(STEPS_MUNSELL.iter().filter_map(|&step| with_added(board, family, step, used)).map(Draft::moved));
    drafts.extend(board.without_family(family.id).ok().map(Draft::removing));
    drafts
}

/// Fitting accents put into the missing roles, in every way there is.
fn with_accents(board: &Board, family: &Family) -> Vec<Draft> {
    let accents: Vec<SwatchId> =
        family.swatches.iter().filter(|s| s.role == Role::Accent).map(|s| s.id).take(ACCENTS_TRIED).collect();
    let mut ways = vec![board.clone()];
    for role in absent_from(family) {
        let wanted = stepped(family, role, STEPS_MUNSELL[0], board.light);
        let fits = |accent: &Swatch| {
            wanted.is_some_and(|wanted| {
                let wanted = at_value(wanted, accent.colour.munsell_value()).lab();
                ciede2000(wanted, accent.colour.lab()) <= ACCENT_FITS_CIEDE2000
            })
        };
        let next = ways.iter().flat_map(|way| {
            let still_accents = accents.iter().filter_map(|&id| way.swatch(id)).filter(|s| s.role == Role::Accent);
            let fitting = still_accents.filter(|s| fits(s)).map(|s| s.id).collect::<Vec<_>>();
            fitting.into_iter().filter_map(|id| way.with_role(id, role).ok())
        });
        ways = next.collect();
    }
    ways.into_iter().map(Draft::moved).collect()
}

/// The missing roles added, `step` Munsell values from their neighbours, leaning as the light of the day wants.
fn with_added(board: &Board, family: &Family, step: f32, used: &[SwatchId]) -> Option<Board> {
    let mut board = board.clone();
    // The local first: the others step off it.
    for role in [Role::Local, Role::Shadow, Role::Light] {
        let now = board.family(family.id)?;
        if now.with_role(role).is_some() {
            continue;
        }
        let colour = stepped(now, role, step, board.light)?;
        board = board.with_swatch(family.id, role, "", colour, used).ok()?.0;
    }
    Some(board)
}

/// The colour of a missing role, from the colours of the others; none when there are none.
fn stepped(family: &Family, role: Role, step: f32, light: LightOfDay) -> Option<Colour> {
    let (shadow, other) = (family.with_role(Role::Shadow), family.with_role(Role::Light));
    // Which way a light leans against its shadow.
    let lean = ADDED_LEAN
        * match light {
            LightOfDay::Warm => 1.0,
            LightOfDay::Cool => -1.0,
            LightOfDay::Neutral => 0.0,
        };
    let value = |s: &Swatch| s.colour.munsell_value();
    let off = |from: &Swatch, by: f32, lean: f32, share: f32| {
        let leaning = warmed(at_value(from.colour, value(from) + by), lean);
        with_chroma(leaning, leaning.oklch().c * share)
    };
    // The darkest or lightest of what is there, so that nothing is passed over; accents where there is nothing else.
    let by_value = |a: &&Swatch, b: &&Swatch| value(a).total_cmp(&value(b));
    let surface = || family.swatches.iter().filter(|s| s.role != Role::Accent);
    let darkest = surface().min_by(by_value).or_else(|| family.swatches.iter().min_by(by_value))?;
    let lightest = surface().max_by(by_value).or_else(|| family.swatches.iter().max_by(by_value))?;
    Some(match role {
        Role::Shadow => off(darkest, -step, -lean, ADDED_CHROMA),
        Role::Light => off(lightest, step, lean, ADDED_CHROMA),
        Role::Local | Role::Accent => match (shadow, other) {
            (Some(shadow), Some(light)) => between(shadow.colour, light.colour),
            (Some(_), None) => off(lightest, step, lean / 2.0, 1.0 / ADDED_CHROMA),
            (None, Some(_)) => off(darkest, -step, -lean / 2.0, 1.0 / ADDED_CHROMA),
            // Only accents: the darkest is as good a local as any.
            (None, None) => darkest.colour,
        },
    })
}

/// Half way in value, and as strong as the stronger of the two.
fn between(shadow: Colour, light: Colour) -> Colour {
    let (one, other) = (shadow.oklab(), light.oklab());
    let middle =
        Oklab { l: f32::midpoint(one.l, other.l), a: f32::midpoint(one.a, other.a), b: f32::midpoint(one.b, other.b) };
    let colour = at_value(middle.colour(), f32::midpoint(shadow.munsell_value(), light.munsell_value()));
    with_chroma(colour, one.chroma().max(other.chroma()))
}

#[cfg(test)]
mod tests {
    use super::super::test_boards::{Boards, changed, rules_of, sound_board};
    use super::*;

    pub fn boards() -> Boards {
        Boards {
            breaking: vec![
                changed(|b| b.families[0].swatches[2].role = Role::Accent),
                changed(|b| b.families[1].swatches.truncate(1)),
                changed(|b| b.families[1].swatches.clear()),
                changed(|b| drop(b.families[1].swatches.drain(..2))),
            ],
            sound: vec![
                changed(|b| b.families[1].swatches.truncate(2)),
                changed(|b| drop(b.families[0].swatches.remove(1))),
            ],
        }
    }

    #[test]
    fn three_swatches_without_a_light() {
        let mut board = sound_board();
        board.families[0].swatches[2].role = Role::Accent;
        assert_eq!(rules_of(&board), [Rule::RoleMissing]);
        let remark = &role_missing(&board)[0];
        assert_eq!(remark.families, [board.families[0].id]);
        assert!(remark.text.starts_with("brick has 3 swatches but no light:"), "{}", remark.text);
    }

    #[test]
    fn one_swatch_and_none() {
        let mut board = sound_board();
        board.families[1].swatches.truncate(1);
        assert!(role_missing(&board)[0].text.starts_with("wet yard has 1 swatch but no local and no light:"));
        board.families[1].swatches.clear();
        assert!(role_missing(&board)[0].text.starts_with("wet yard has no swatch yet:"));
        assert_eq!(rules_of(&board), [Rule::RoleMissing]);
    }
}
