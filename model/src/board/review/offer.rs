//! Offers: the smallest changes of a board that satisfy a remark.
//!
//! Each rule drafts its own changes, in its own file. Here they are tried: a draft after which the remark still stands is
//! dropped, and of the rest only those stay that bring the fewest new remarks. The smallest comes first, by the sum of the
//! CIEDE2000 that swatches move; taking a swatch away and the like come last, because they take something from the painter.

use super::describe::describe;
use super::draft::Draft;
use super::settle::settled;
use super::{MAX_SWATCHES_REVIEWED, Remark, Rule, Subject, review_all};
use crate::board::Board;
use crate::board::check::check;
use crate::colour::difference::ciede2000;
use crate::ids::{FamilyId, SwatchId};
use std::collections::HashSet;

/// Most offers that are made for one remark: more would be a choice of their own.
pub const MAX_OFFERS: usize = 3;

/// On a board of more swatches than this only [`Rule::TooMany`] gets an offer: with so many swatches every change meets others,
/// and trying it takes long.
pub const MAX_SWATCHES_FOR_OFFERS: usize = 128;

/// A change that satisfies a remark.
#[derive(Clone, PartialEq, Debug)]
pub struct Offer {
    /// What is changed, in a painter's words: "lighten brick light from value 4.2 to 4.7".
    pub words: String,
    /// The board after the change.
    pub board: Board,
}

/// How good a draft is; smaller is better.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
struct Rank {
    /// New remarks of the rules that [`settled`] satisfies.
    new_of_family: usize,
    /// New remarks of the other rules.
    new_others: usize,
    removes: bool,
    /// Sum of the CIEDE2000 of all swatches moved.
    moved: f64,
}

/// Changes of `board` that satisfy `remark`, the smallest first, at most [`MAX_OFFERS`]. After each the remark is gone; new
/// remarks come only where none of the drafts does without. None when `remark` is no remark on this board, or the board is larger
/// than [`MAX_SWATCHES_FOR_OFFERS`].
///
/// `used` are swatch ids that a new swatch must not get, as in [`Board::with_swatch`]. Takes some milliseconds: call it when
/// the board has changed, not for every frame.
pub fn offers(board: &Board, remark: &Remark, used: &[SwatchId]) -> Vec<Offer> {
    let count = board.swatches().count();
    if count > MAX_SWATCHES_REVIEWED || count > MAX_SWATCHES_FOR_OFFERS && remark.rule != Rule::TooMany {
        return Vec::new();
    }
    let before = subjects(board);
    let subject = remark.subject();
    if !before.contains(&subject) {
        return Vec::new();
    }
    let mut ranked: Vec<(Rank, Draft)> = Vec::new();
    for draft in (remark.rule.definition().draft)(board, remark, used) {
        let rank = rank(board, &before, &subject, &draft);
        if rank.is_none_or(|r| r.new_of_family > 0) {
            let families = families_of(board, remark);
            let words = draft.words.as_ref().map(|words| format!("{words}, and put its values and leans in order"));
            let after = families.iter().fold(draft.board.clone(), |b, f| settled(&b, *f));
            let settled = Draft { board: after, words, ..draft.clone() };
            ranked.extend(self::rank(board, &before, &subject, &settled).map(|rank| (rank, settled)));
        }
        ranked.extend(rank.map(|rank| (rank, draft)));
    }
    ranked.sort_by(|(one, _), (other, _)| one.partial_cmp(other).unwrap_or(std::cmp::Ordering::Equal));
    let new_remarks = |rank: &Rank| (rank.new_of_family, rank.new_others);
    let fewest = ranked.first().map(|(rank, _)| new_remarks(rank));
    ranked.retain(|(rank, _)| Some(new_remarks(rank)) == fewest);
    let mut offers: Vec<Offer> = Vec::new();
    for removes in [false, true] {
        // The last place is kept for taking something away, where that helps as well.
        let spare = usize::from(!removes && ranked.iter().any(|(rank, _)| rank.removes));
        for (_, draft) in ranked.iter().filter(|(rank, _)| rank.removes == removes) {
            let words = draft.words.clone().unwrap_or_else(|| describe(board, &draft.board, remark.rule));
            if offers.len() + spare < MAX_OFFERS && offers.iter().all(|offer| offer.words != words) {
                offers.push(Offer { words, board: draft.board.clone() });
            }
        }
    }
    offers
}

fn subjects(board: &Board) -> HashSet<Subject> {
    review_all(board).iter().map(Remark::subject).collect()
}

/// The families that a draft for this remark may change.
fn families_of(board: &Board, remark: &Remark) -> Vec<FamilyId> {
    if remark.families.is_empty() { board.families.iter().map(|f| f.id).collect() } else { remark.families.clone() }
}

/// The rank of a draft; none when it is no sound board, or the remark still stands.
fn rank(board: &Board, before: &HashSet<Subject>, subject: &Subject, draft: &Draft) -> Option<Rank> {
    if check(&draft.board).is_err() {
        return None;
    }
    let after = subjects(&draft.board);
    if after.contains(subject) {
        return None;
    }
    let new: Vec<&Subject> = after.difference(before).collect();
    let new_of_family = new.iter().filter(|s| s.rule.definition().settles).count();
    let moved = moved(board, &draft.board);
    Some(Rank { new_of_family, new_others: new.len() - new_of_family, removes: draft.removes, moved })
}

/// The sum of the CIEDE2000 between each swatch and itself after the change.
fn moved(before: &Board, after: &Board) -> f64 {
    let moves = before.swatches().filter_map(|(_, swatch)| {
        let now = after.swatch(swatch.id)?.colour;
        (now != swatch.colour).then(|| ciede2000(swatch.colour.lab(), now.lab()))
    });
    moves.sum()
}
