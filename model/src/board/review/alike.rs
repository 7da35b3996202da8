//! Can every swatch be told from the others?

use super::draft::Draft;
use super::{Definition, Remark, Rule};
use crate::bisect::least_amount;
use crate::board::limits::TOLD_APART_CIEDE2000;
use crate::board::moves::{at_value, with_chroma};
use crate::board::{Board, Swatch};
use crate::colour::Colour;
use crate::colour::difference::ciede2000;

/// How far past that an offer leads.
const CLEAR_CIEDE2000: f64 = 0.05;
/// An offer moves a swatch by at most this many Munsell value steps.
const MAX_MOVE_MUNSELL: f32 = 2.0;
/// An offer moves a swatch by at most this OKLCh chroma.
const MAX_MOVE_CHROMA: f32 = 0.08;

/// [`Rule::Alike`].
pub(super) const ALIKE: Definition = Definition {
    words: "alike",
    unit: "CIEDE2000",
    find: alike,
    draft: |board, remark, _| drafts(board, remark),
    settles: false,
    about_warmth: false,
    #[cfg(test)]
    boards: tests::boards,
};

/// Swatches that cannot be told from one before them. Each is held against its nearest predecessor only, so that ten
/// equal swatches give nine remarks and not forty-five.
#[expect(clippy::cast_possible_truncation, reason = "a figure in single precision")]
fn alike(board: &Board) -> Vec<Remark> {
    let swatches: Vec<_> = board.swatches().map(|(family, swatch)| (family, swatch, swatch.colour.lab())).collect();
    let mut remarks = Vec::new();
    for (i, (family, swatch, lab)) in swatches.iter().enumerate() {
        let nearest = swatches[..i]
            .iter()
            .map(|before| (ciede2000(*lab, before.2), before))
            .min_by(|one, other| one.0.total_cmp(&other.0));
        let Some((difference, (other_family, other, _))) = nearest else {
            continue;
        };
        if difference >= TOLD_APART_CIEDE2000 {
            continue;
        }
        let text = format!(
            "{} and {} cannot be told apart: two dabs of them look like one colour; delete one or move them apart",
            family.swatch_name_and_place(swatch),
            other_family.swatch_name_and_place(other)
        );
        let mut families = vec![other_family.id, family.id];
        families.dedup();
        let swatches = vec![swatch.id, other.id];
        remarks.push(Remark { rule: Rule::Alike, swatches, families, figure: difference as f32, text });
    }
    remarks
}

/// One of the two moved away from everything else, in value or in chroma; or one taken off the board.
fn drafts(board: &Board, remark: &Remark) -> Vec<Draft> {
    let pair: Vec<&Swatch> = remark.swatches.iter().filter_map(|&id| board.swatch(id)).collect();
    let mut drafts = Vec::new();
    for swatch in &pair {
        let others: Vec<_> = board.swatches().filter(|(_, s)| s.id != swatch.id).map(|(_, s)| s.colour.lab()).collect();
        let stands_apart = |colour: Colour| {
            let lab = colour.lab();
            others.iter().all(|other| ciede2000(lab, *other) >= TOLD_APART_CIEDE2000 + CLEAR_CIEDE2000)
        };
        let (value, chroma) = (swatch.colour.munsell_value(), swatch.colour.oklch().c);
        for sign in [1.0, -1.0] {
            let in_value = |by: f32| at_value(swatch.colour, value + sign * by);
            let in_chroma = |by: f32| with_chroma(swatch.colour, chroma + sign * by);
            let moved = [
                least_amount(MAX_MOVE_MUNSELL, |by| stands_apart(in_value(by))).map(in_value),
                least_amount(MAX_MOVE_CHROMA, |by| stands_apart(in_chroma(by))).map(in_chroma),
            ];
            let boards = moved.into_iter().flatten().filter_map(|colour| board.with_colour(swatch.id, colour).ok());
            drafts.extend(boards.map(Draft::moved));
        }
    }
    drafts.extend(pair.iter().filter_map(|s| board.without_swatch(s.id).ok()).map(Draft::removing));
    drafts
}

#[cfg(test)]
mod tests {
    use super::super::offers;
    use super::super::test_boards::{Boards, recoloured, rules_of, sound_board};
    use super::*;
    use crate::board::Role;
    use crate::colour::Lab;
    use crate::ids::SwatchId;

    pub fn boards() -> Boards {
        let mut lab = sound_board().families[2].swatches[0].colour.lab();
        lab.l -= 1.0;
        let near = lab.colour();
        lab.l -= 4.0;
        Boards { breaking: vec![recoloured(1, 1, near)], sound: vec![recoloured(1, 1, lab.colour())] }
    }

    #[test]
    fn two_families_with_the_same_colour() {
        let sky = sound_board().families[2].swatches[0].colour.lab();
        let board = recoloured(1, 1, Lab { l: sky.l - 1.0, ..sky }.colour());
        assert_eq!(rules_of(&board), [Rule::Alike]);
        let remark = &alike(&board)[0];
        assert_eq!(remark.families, [board.families[1].id, board.families[2].id]);
        let start = "sky local and wet yard local cannot be told apart: ";
        assert!(remark.text.starts_with(start), "{}", remark.text);
        // How far apart they are is in the figure alone: a painter cannot use it.
        assert!((remark.figure - 1.0).abs() < 0.05 && !remark.text.contains(char::is_numeric), "{remark:?}");
    }

    #[test]
    fn either_is_moved_or_taken_off() {
        let mut lab = sound_board().families[2].swatches[0].colour.lab();
        lab.l -= 1.0;
        let board = recoloured(1, 1, lab.colour());
        let [first, _, last] = offers(&board, &alike(&board)[0], &[]).try_into().unwrap_or_else(|o| panic!("{o:?}"));
        assert_eq!(first.board.swatches().count(), board.swatches().count(), "{}", first.words);
        assert_eq!(last.board.swatches().count(), board.swatches().count() - 1, "{}", last.words);
        // Just told apart, and by no more.
        let [one, other] = [(1, 1), (2, 0)].map(|(f, s)| first.board.families[f].swatches[s].colour.lab());
        assert!((TOLD_APART_CIEDE2000..TOLD_APART_CIEDE2000 + 0.2).contains(&ciede2000(one, other)), "{}", first.words);
    }

    #[test]
    fn equal_swatches_give_one_remark_each() {
        let mut board = sound_board();
        let lamps = &mut board.families[3];
        for i in 0..4 {
            let mut copy = lamps.swatches[0].clone();
            (copy.id, copy.role) = (SwatchId(100 + i), Role::Accent);
            lamps.swatches.push(copy);
        }
        let remarks = alike(&board);
        assert_eq!(remarks.len(), 4);
        assert!(remarks.iter().all(|r| r.families == [board.families[3].id]));
    }
}
