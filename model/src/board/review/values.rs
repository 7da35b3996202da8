//! Do the values of a surface step from dark to light?

use super::draft::Draft;
use super::settle::settled;
use super::{Definition, Remark, Rule, with_role, within};
use crate::board::limits::{CLOSE_VALUES_MUNSELL, HIGHEST_MUNSELL, LOWEST_MUNSELL, WANTED_RISE_MUNSELL};
use crate::board::moves::at_value;
use crate::board::{Board, Family, Role, Swatch};

/// Two swatches that should step up in value, and by how much they do, in Munsell value steps.
struct Step<'a> {
    family: &'a Family,
    darker: &'a Swatch,
    lighter: &'a Swatch,
    rise_munsell: f32,
}

/// All pairs of swatches with neighbouring roles; shadow and light are neighbours where there is no local.
fn steps(board: &Board) -> impl Iterator<Item = Step<'_>> {
    board.families.iter().flat_map(|family| {
        let pairs: &[(Role, Role)] = if family.with_role(Role::Local).is_some() {
            &[(Role::Shadow, Role::Local), (Role::Local, Role::Light)]
        } else {
            &[(Role::Shadow, Role::Light)]
        };
        pairs.iter().flat_map(move |&(low, high)| {
            with_role(family, low).flat_map(move |darker| {
                with_role(family, high).map(move |lighter| {
                    let rise_munsell = lighter.colour.munsell_value() - darker.colour.munsell_value();
                    Step { family, darker, lighter, rise_munsell }
                })
            })
        })
    })
}

impl Step<'_> {
    /// "brick light (value 4.2)" and "brick local (value 3.9)".
    fn names_with_values(&self) -> [String; 2] {
        [self.lighter, self.darker]
            .map(|s| format!("{} (value {:.1})", self.family.swatch_name_and_place(s), s.colour.munsell_value()))
    }

    fn remark(&self, rule: Rule, text: String) -> Remark {
        within(rule, self.family, &[self.lighter, self.darker], self.rise_munsell, text)
    }
}

/// [`Rule::ValuesOutOfOrder`].
pub(super) const OUT_OF_ORDER: Definition = Definition {
    words: "values out of order",
    unit: "Munsell value steps between the two",
    find: out_of_order,
    draft: |board, remark, _| drafts(board, remark),
    settles: true,
    about_warmth: false,
    #[cfg(test)]
    boards: tests::out_of_order_boards,
};

/// [`Rule::ValuesTooClose`].
pub(super) const TOO_CLOSE: Definition = Definition {
    words: "values too close",
    unit: "Munsell value steps between the two",
    find: too_close,
    draft: |board, remark, _| drafts(board, remark),
    settles: true,
    about_warmth: false,
    #[cfg(test)]
    boards: tests::too_close_boards,
};

/// Lights darker than their local, locals darker than their shadow.
fn out_of_order(board: &Board) -> Vec<Remark> {
    let wrong = steps(board).filter(|step| step.rise_munsell < 0.0);
    wrong
        .map(|step| {
            let [lighter, darker] = step.names_with_values();
            let text = format!(
                "{lighter} is darker than {darker}, by {:.2}: values should rise from shadow over local to light; \
                 change one of the two or swap their roles",
                -step.rise_munsell
            );
            step.remark(Rule::ValuesOutOfOrder, text)
        })
        .collect()
}

/// Neighbouring roles in order, but with almost the same value.
fn too_close(board: &Board) -> Vec<Remark> {
    let close = steps(board).filter(|step| (0.0..CLOSE_VALUES_MUNSELL).contains(&step.rise_munsell));
    close
        .map(|step| {
            let [lighter, darker] = step.names_with_values();
            let text = format!(
                "{lighter} is only {:.2} lighter than {darker}: less than {CLOSE_VALUES_MUNSELL} of a value step reads \
                 as one when you squint; lighten the one or darken the other",
                step.rise_munsell
            );
            step.remark(Rule::ValuesTooClose, text)
        })
        .collect()
}

/// The lighter one lightened, the darker one darkened, both by half, their values or their roles swapped, or the whole family
/// settled: in a crowded one a swatch has nowhere to go alone.
fn drafts(board: &Board, remark: &Remark) -> Vec<Draft> {
    let [lighter, darker] = remark.swatches.as_slice() else {
        return Vec::new();
    };
    let (Some(lighter), Some(darker)) = (board.swatch(*lighter), board.swatch(*darker)) else {
        return Vec::new();
    };
    let [high, low] = [lighter, darker].map(|s| s.colour.munsell_value());
    let half = WANTED_RISE_MUNSELL / 2.0;
    let middle = f32::midpoint(low, high).clamp(LOWEST_MUNSELL + half, HIGHEST_MUNSELL - half);
    let mut wanted =
        vec![(low + WANTED_RISE_MUNSELL, low), (high, high - WANTED_RISE_MUNSELL), (middle + half, middle - half)];
    if high < low {
        wanted.push((low, high));
    }
    let at = |board: &Board, swatch: &Swatch, from: f32, to: f32| {
        if from == to { Ok(board.clone()) } else { board.with_colour(swatch.id, at_value(swatch.colour, to)) }
    };
    let moved = wanted.into_iter().filter_map(|(to_high, to_low)| {
        let board = at(board, lighter, high, to_high).ok()?;
        at(&board, darker, low, to_low).ok()
    });
    let mut drafts: Vec<Draft> = moved.map(Draft::moved).collect();
    let swapped = board.with_role(lighter.id, darker.role).and_then(|b| b.with_role(darker.id, lighter.role));
    drafts.extend(swapped.ok().map(Draft::moved));
    drafts.extend(remark.families.iter().map(|&family| Draft::moved(settled(board, family))));
    drafts
}

#[cfg(test)]
mod tests {
    use super::super::test_boards::{Boards, oklch, recoloured, rules_of, sound_board};
    use super::*;

    pub fn out_of_order_boards() -> Boards {
        Boards {
            breaking: vec![recoloured(0, 2, oklch(0.40, 0.05, 10.0)), recoloured(2, 1, oklch(0.47, 0.06, 240.0))],
            sound: vec![recoloured(0, 2, oklch(0.52, 0.05, 15.0))],
        }
    }

    pub fn too_close_boards() -> Boards {
        Boards {
            breaking: vec![recoloured(0, 0, oklch(0.44, 0.06, 45.0)), recoloured(1, 1, oklch(0.31, 0.04, 265.0))],
            sound: vec![recoloured(0, 0, oklch(0.40, 0.06, 45.0))],
        }
    }

    #[test]
    fn a_light_darker_than_its_local() {
        let board = recoloured(0, 2, oklch(0.40, 0.05, 10.0));
        assert_eq!(rules_of(&board), [Rule::ValuesOutOfOrder]);
        let remark = &out_of_order(&board)[0];
        let [_, local, light] = [0, 1, 2].map(|i| &board.families[0].swatches[i]);
        assert_eq!(remark.swatches, [light.id, local.id]);
        let (l, d) = (light.colour.munsell_value(), local.colour.munsell_value());
        let start = format!("brick light (value {l:.1}) is darker than brick local (value {d:.1}), by {:.2}:", d - l);
        assert!(remark.text.starts_with(&start), "{}", remark.text);
    }

    #[test]
    fn a_shadow_almost_as_light_as_its_local() {
        let board = recoloured(0, 0, oklch(0.44, 0.06, 45.0));
        assert_eq!(rules_of(&board), [Rule::ValuesTooClose]);
        assert_eq!(too_close(&board)[0].swatches, [2, 1].map(|i| board.families[0].swatches[i - 1].id));
    }

    #[test]
    fn shadow_and_light_are_neighbours_without_a_local() {
        let mut board = sound_board();
        board.families[0].swatches.remove(1);
        assert_eq!(rules_of(&board), []);
        board.families[0].swatches[0].colour = oklch(0.70, 0.06, 45.0);
        assert_eq!(rules_of(&board), [Rule::ValuesOutOfOrder]);
    }
}
