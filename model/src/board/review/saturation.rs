//! Is the surface's own colour its most saturated?

use super::{Remark, Rule, called, with_role, within};
use crate::board::{Board, Role, Swatch};

/// By how much OKLCh chroma a local may fall short of the duller of its neighbours before it is remarked on.
pub const DULL_MARGIN: f32 = 0.01;

fn dullest<'a>(swatches: impl Iterator<Item = &'a Swatch>) -> Option<f32> {
    swatches.map(|s| s.colour.oklch().c).min_by(f32::total_cmp)
}

/// Locals less saturated than every shadow and every light of their family.
pub(super) fn local_dull(board: &Board) -> Vec<Remark> {
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
                    "{} is duller (chroma {chroma:.2}) than its shadow ({shadow:.2}) and its light ({light:.2}): the \
                     local is usually the most saturated of the three; strengthen it or grey the others",
                    called(family, local)
                );
                remarks.push(within(Rule::LocalDull, family, &[local], text));
            }
        }
    }
    remarks
}

#[cfg(test)]
mod tests {
    use super::super::sample::{oklch, recoloured, rules_of};
    use super::*;

    #[test]
    fn a_grey_local_between_coloured_neighbours() {
        let board = recoloured(0, 1, oklch(0.46, 0.03, 38.0));
        assert_eq!(rules_of(&board), [Rule::LocalDull]);
        let text = &local_dull(&board)[0].text;
        assert!(
            text.starts_with("brick local is duller (chroma 0.03) than its shadow (0.06) and its light (0.05):"),
            "{text}"
        );
    }

    #[test]
    fn duller_than_one_neighbour_is_usual() {
        assert_eq!(rules_of(&recoloured(0, 1, oklch(0.46, 0.052, 38.0))), []);
    }
}
