//! Is the surface's own colour its most saturated?

use super::draft::Draft;
use super::{Definition, Remark, Rule, with_role, within};
use crate::board::limits::GREY_CHROMA;
use crate::board::moves::with_chroma;
use crate::board::{Board, Family, Role, Swatch};
use crate::colour::{Colour, Oklch};

/// By how much OKLCh chroma a local may fall short of the duller of its neighbours before it is remarked on.
const DULL_MARGIN: f32 = 0.01;
/// How far inside the margin an offer leads.
const CLEAR_OKLAB: f32 = 0.0005;

fn dullest<'a>(swatches: impl Iterator<Item = &'a Swatch>) -> Option<f32> {
    swatches.map(|s| s.colour.oklch().c).min_by(f32::total_cmp)
}

/// [`Rule::LocalDull`].
pub(super) const LOCAL_DULL: Definition = Definition {
    words: "dull local",
    unit: "OKLCh chroma",
    find: local_dull,
    draft: |board, remark, _| drafts(board, remark),
    settles: false,
    about_warmth: false,
    #[cfg(test)]
    boards: tests::boards,
};

/// Locals less saturated than every shadow and every light of their family.
fn local_dull(board: &Board) -> Vec<Remark> {
    let mut remarks = Vec::new();
    for family in &board.families {
        let neighbours = dullest(with_role(family, Role::Shadow)).zip(dullest(with_role(family, Role::Light)));
        let Some((shadow, light)) = neighbours else {
            continue;
        };
        for local in with_role(family, Role::Local) {
            let chroma = local.colour.oklch().c;
            if chroma < shadow.min(light) - DULL_MARGIN {
                let text = format!(
                    "{} is duller than its shadow and its light: the local is usually the most saturated of the three; \
                     strengthen it or grey the others",
                    family.swatch_name_and_place(local)
                );
                remarks.push(within(Rule::LocalDull, family, &[local], chroma, text));
            }
        }
    }
    remarks
}

/// The local strengthened, the shadow or the light greyed, or the local called an accent.
fn drafts(board: &Board, remark: &Remark) -> Vec<Draft> {
    let found = remark.families.first().and_then(|&id| board.family(id)).zip(remark.swatches.first());
    let Some((family, local)) = found.and_then(|(family, &id)| Some((family, board.swatch(id)?))) else {
        return Vec::new();
    };
    let reach = DULL_MARGIN - CLEAR_OKLAB;
    let chroma = local.colour.oklch().c;
    let mut drafts = Vec::new();
    let neighbours = [Role::Shadow, Role::Light].map(|role| dullest(with_role(family, role)));
    if let [Some(shadow), Some(light)] = neighbours {
        let stronger = with_chroma(hued(local.colour, family), shadow.min(light) - reach);
        drafts.extend(board.with_colour(local.id, stronger).ok().map(Draft::moved));
    }
    for role in [Role::Shadow, Role::Light] {
        // One neighbour duller than the local is enough.
        let least = with_role(family, role).min_by(|a, b| a.colour.oklch().c.total_cmp(&b.colour.oklch().c));
        let greyed = least.map(|s| board.with_colour(s.id, with_chroma(s.colour, chroma + reach)));
        drafts.extend(greyed.and_then(Result::ok).map(Draft::moved));
    }
    drafts.extend(board.with_role(local.id, Role::Accent).ok().map(Draft::removing));
    drafts
}

/// A grey with the hue of the strongest of its family, which it takes on when it is strengthened.
fn hued(colour: Colour, family: &Family) -> Colour {
    let place = colour.oklch();
    let strongest = family.swatches.iter().map(|s| s.colour.oklch()).max_by(|a, b| a.c.total_cmp(&b.c));
    match strongest {
        Some(Oklch { h_degrees, .. }) if place.c < GREY_CHROMA => Oklch { h_degrees, ..place }.colour(),
        _ => colour,
    }
}

#[cfg(test)]
mod tests {
    use super::super::test_boards::{Boards, oklch, recoloured, rules_of};
    use super::*;

    pub fn boards() -> Boards {
        Boards {
            breaking: vec![recoloured(0, 1, oklch(0.46, 0.03, 38.0)), recoloured(0, 1, oklch(0.46, 0.0, 0.0))],
            sound: vec![recoloured(0, 1, oklch(0.46, 0.052, 38.0)), recoloured(0, 1, oklch(0.46, 0.042, 38.0))],
        }
    }

    #[test]
    fn a_grey_local_between_coloured_neighbours() {
        let board = recoloured(0, 1, oklch(0.46, 0.03, 38.0));
        assert_eq!(rules_of(&board), [Rule::LocalDull]);
        let text = &local_dull(&board)[0].text;
        assert!(text.starts_with("brick local is duller than its shadow and its light:"), "{text}");
    }

    #[test]
    fn duller_than_one_neighbour_is_usual() {
        assert_eq!(rules_of(&recoloured(0, 1, oklch(0.46, 0.052, 38.0))), []);
    }
}
