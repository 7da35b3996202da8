//! Does what is far look cooler than what is near?
//!
//! Common practice, no published source: air between the painter and a surface cools it, greys it and brings its values
//! together. The rule asks for the cooling alone, because it is what a board shows most clearly; where a far surface is also
//! stronger or wider in value the remark says so. Only families that are marked near, middle or far take part.

use super::draft::Draft;
use super::{Definition, Remark, Rule};
use crate::bisect::least_amount;
use crate::board::moves::warmed;
use crate::board::{Board, Family, Role, Swatch};
use crate::colour::deviation::Deviation;
use crate::colour::warmth::warmth;
use crate::printable::listed;

/// A farther surface is cooler when it lies at least this far towards the cool end, in OKLab units along the warmth axis; less
/// is not seen.
const DISTANCE_COOLS_BY: f32 = 0.005;
/// A difference of warmth below this, in OKLab units, is none.
const HARDLY_OKLAB: f32 = 0.0005;
/// A farther surface whose mean OKLCh chroma is higher by this is told to be stronger.
const DISTANCE_CHROMA_MARGIN: f32 = 0.02;
/// A farther surface whose range of Munsell values is wider by this is told to be wider.
const DISTANCE_VALUES_MARGIN_MUNSELL: f32 = 0.5;
/// How far past the limit an offer leads.
const CLEAR_OKLAB: f32 = 0.0005;
/// An offer moves a surface by at most this, OKLab units.
const MAX_MOVE_OKLAB: f32 = 0.2;

/// The swatches that show what a surface looks like: not its accents, unless it has nothing else.
fn surface(family: &Family) -> Vec<&Swatch> {
    let surface: Vec<&Swatch> = family.swatches.iter().filter(|s| s.role != Role::Accent).collect();
    if surface.is_empty() { family.swatches.iter().collect() } else { surface }
}

fn mean(figures: impl Iterator<Item = f32>) -> Option<f32> {
    let figures: Vec<f32> = figures.collect();
    (!figures.is_empty()).then(|| figures.iter().sum::<f32>() / figures.len() as f32)
}

fn mean_of(family: &Family, figure: fn(&Swatch) -> f32) -> Option<f32> {
    mean(surface(family).into_iter().map(figure))
}

/// How much more of `figure` a far family has than a near one: role by role, so that a surface without a shadow is not taken
/// for a lighter one; as a whole when they share no role.
fn more_of(far: &Family, near: &Family, figure: fn(&Swatch) -> f32) -> Option<f32> {
    let of_role = |family: &Family, role| mean(family.swatches.iter().filter(|s| s.role == role).map(figure));
    let by_role = [Role::Shadow, Role::Local, Role::Light].into_iter();
    let by_role = by_role.filter_map(|role| Some(of_role(far, role)? - of_role(near, role)?));
    mean(by_role).or_else(|| Some(mean_of(far, figure)? - mean_of(near, figure)?))
}

/// The families that are marked nearer than `far` and have swatches.
fn nearer<'a>(board: &'a Board, far: &Family) -> Vec<&'a Family> {
    let Some(distance) = far.distance else {
        return Vec::new();
    };
    let is_nearer = |f: &&Family| f.distance.is_some_and(|d| d < distance) && !f.swatches.is_empty();
    board.families.iter().filter(is_nearer).collect()
}

/// How much warmer `far` is than the nearer families together; none when there is nothing to compare.
fn warmer_than(far: &Family, nearer: &[&Family]) -> Option<f32> {
    mean(nearer.iter().filter_map(|near| more_of(far, near, |s| warmth(s.colour))))
}

fn value_range(family: &Family) -> Option<f32> {
    let values = || surface(family).into_iter().map(|s| s.colour.munsell_value());
    Some(values().max_by(f32::total_cmp)? - values().min_by(f32::total_cmp)?)
}

/// [`Rule::DistanceNotCooler`].
pub(super) const NOT_COOLER: Definition = Definition {
    words: "distance not cooler",
    unit: "OKLab along the warmth axis",
    find: not_cooler,
    draft: |board, remark, _| drafts(board, remark),
    settles: false,
    about_warmth: true,
    #[cfg(test)]
    boards: tests::boards,
};

/// Far and middle surfaces that are not cooler than the nearer ones taken together.
fn not_cooler(board: &Board) -> Vec<Remark> {
    board.families.iter().filter_map(|far| remark(board, far)).collect()
}

fn remark(board: &Board, far: &Family) -> Option<Remark> {
    let nearer = nearer(board, far);
    let warmer = warmer_than(far, &nearer)?;
    if warmer <= -DISTANCE_COOLS_BY {
        return None;
    }
    let found = if warmer >= HARDLY_OKLAB {
        format!("{}warmer", Deviation::degree(warmer.into()).unwrap_or("a little "))
    } else {
        "hardly cooler".to_owned()
    };
    let names: Vec<&str> = nearer.iter().map(|f| f.name.as_str()).collect();
    let text = format!(
        "{} ({}) is {found} than what is nearer ({}){}: distance cools; cool it, or warm what is nearer",
        far.name,
        far.distance?.word(),
        listed(&names),
        also(far, &nearer)
    );
    let ids: Vec<_> = nearer.iter().map(|f| f.id).collect();
    let families = board.families.iter().map(|f| f.id).filter(|id| *id == far.id || ids.contains(id)).collect();
    Some(Remark { rule: Rule::DistanceNotCooler, swatches: Vec::new(), families, figure: warmer, text })
}

/// What else distance would have changed.
fn also(far: &Family, nearer: &[&Family]) -> String {
    let chroma = mean(nearer.iter().filter_map(|near| more_of(far, near, |s| s.colour.oklch().c)));
    let wider = value_range(far).zip(mean(nearer.iter().filter_map(|near| value_range(near))));
    let stronger = chroma.filter(|&c| c > DISTANCE_CHROMA_MARGIN).map(|_| "stronger".to_owned());
    let wider = wider.map(|(far, near)| far - near).filter(|&w| w > DISTANCE_VALUES_MARGIN_MUNSELL);
    let wider = wider.map(|w| format!("wider in value by {w:.1}"));
    let also: Vec<String> = [stronger, wider].into_iter().flatten().collect();
    if also.is_empty() { String::new() } else { format!("; it is also {}", also.join(" and ")) }
}

/// The farthest family of a remark.
fn far_of<'a>(board: &'a Board, remark: &Remark) -> Option<&'a Family> {
    let families = remark.families.iter().filter_map(|&id| board.family(id));
    families.max_by_key(|f| f.distance)
}

/// The board with the surfaces of some families moved along the warmth axis.
fn all_warmed(board: &Board, families: &[&Family], by: f32) -> Board {
    let mut board = board.clone();
    for family in board.families.iter_mut().filter(|f| families.iter().any(|g| g.id == f.id)) {
        let moved: Vec<_> = surface(family).iter().map(|s| s.id).collect();
        for swatch in family.swatches.iter_mut().filter(|s| moved.contains(&s.id)) {
            swatch.colour = warmed(swatch.colour, by);
        }
    }
    board
}

/// The far surface cooled by the least, the nearer ones warmed by the least, or the distance left open.
fn drafts(board: &Board, remark: &Remark) -> Vec<Draft> {
    let Some(far) = far_of(board, remark) else {
        return Vec::new();
    };
    let nearer = nearer(board, far);
    let cool_enough = |board: &Board| {
        let Some(far) = board.family(far.id) else {
            return false;
        };
        let nearer: Vec<&Family> = nearer.iter().filter_map(|f| board.family(f.id)).collect();
        warmer_than(far, &nearer).is_some_and(|warmer| warmer <= -DISTANCE_COOLS_BY - CLEAR_OKLAB)
    };
    let names: Vec<&str> = nearer.iter().map(|f| f.name.as_str()).collect();
    let ways = [(vec![far], -1.0, far.name.clone()), (nearer.clone(), 1.0, listed(&names))];
    let mut drafts = Vec::new();
    for (families, sign, name) in ways {
        let moved = |by: f32| all_warmed(board, &families, sign * by);
        if let Some(by) = least_amount(MAX_MOVE_OKLAB, |by| cool_enough(&moved(by))) {
            let degree = Deviation::degree(by.into()).unwrap_or("a little ");
            let words = format!("make all of {name} {degree}{}", if sign < 0.0 { "cooler" } else { "warmer" });
            drafts.push(Draft { words: Some(words), ..Draft::moved(moved(by)) });
        }
    }
    drafts.extend(board.with_distance(far.id, None).ok().map(Draft::removing));
    drafts
}

#[cfg(test)]
mod tests {
    use super::super::offers;
    use super::super::test_boards::{Boards, changed, rules_of, sound_board};
    use super::*;
    use crate::board::Distance;

    /// The sound board with brick and wet yard marked.
    fn marked(brick: Distance, yard: Distance) -> Board {
        changed(|board| {
            board.families[0].distance = Some(brick);
            board.families[1].distance = Some(yard);
        })
    }

    pub fn boards() -> Boards {
        Boards {
            breaking: vec![marked(Distance::Far, Distance::Near), marked(Distance::Middle, Distance::Near)],
            sound: vec![marked(Distance::Near, Distance::Far), marked(Distance::Far, Distance::Far)],
        }
    }

    #[test]
    fn a_warm_far_surface_before_a_cool_near_one() {
        let board = marked(Distance::Far, Distance::Near);
        assert_eq!(rules_of(&board), [Rule::DistanceNotCooler]);
        let remark = &not_cooler(&board)[0];
        assert_eq!(remark.families, [board.families[0].id, board.families[1].id]);
        assert!(remark.text.contains("warmer than what is nearer (wet yard)"), "{}", remark.text);
        assert!(remark.text.contains("; it is also stronger: distance cools"), "{}", remark.text);
    }

    #[test]
    fn a_cool_far_surface_and_equal_distances_are_left_in_peace() {
        assert_eq!(rules_of(&marked(Distance::Near, Distance::Far)), []);
        assert_eq!(rules_of(&marked(Distance::Near, Distance::Middle)), []);
        assert_eq!(rules_of(&marked(Distance::Far, Distance::Far)), []);
        let mut alone = sound_board();
        alone.families[0].distance = Some(Distance::Far);
        assert_eq!(rules_of(&alone), []);
    }

    #[test]
    fn the_same_colours_near_and_far_are_not_cooler() {
        let mut board = marked(Distance::Far, Distance::Near);
        for i in 0..3 {
            board.families[0].swatches[i].colour = board.families[1].swatches[i].colour;
        }
        let remark = &not_cooler(&board)[0];
        assert!(remark.text.contains("is hardly cooler than what is nearer"), "{}", remark.text);
    }

    #[test]
    fn the_offer_cools_the_far_surface_to_the_limit_and_no_further() {
        let board = marked(Distance::Far, Distance::Near);
        let first = &offers(&board, &not_cooler(&board)[0], &[])[0].board;
        let warmer = warmer_than(&first.families[0], &[&first.families[1]]).unwrap_or_default();
        assert!((-DISTANCE_COOLS_BY - 0.002..=-DISTANCE_COOLS_BY).contains(&warmer), "{warmer}");
    }
}
