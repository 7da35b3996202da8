//! Everything a board can mix, and what of it comes nearest to a colour.

use super::hull::{Corners, Point, nearest};
use super::metric::{local_metric, times};
use super::pigments::Pigments;
use crate::board::Board;
use crate::colour::difference::ciede2000;
use crate::colour::{Colour, Lab};
use crate::ids::FamilyId;
use crate::mixing::{LATENT, Mixing, WEIGHT};

/// A colour nearer than this to the hull, in the mixing space, is a mixture: 2000 times less than what can just be seen.
const INSIDE_DISTANCE: f64 = 1e-5;
/// Beyond this many times the tolerance a better mixture could not come within it.
const FAR_TIMES: f64 = 3.0;
/// Most times a nearer mixture is looked for, and the least it must be nearer by.
const MAX_REFINEMENTS: usize = 3;
const MIN_GAIN_CIEDE2000: f64 = 0.02;
/// Parts of a mixture below this weight are not named.
const NAMED_WEIGHT: f64 = 0.05;

/// The mixtures of a board's swatches.
pub(super) struct Mixtures<'a> {
    board: &'a Board,
    space: Space,
}

/// Where mixtures are looked for.
enum Space {
    /// The convex hull of the swatches' points in the space of a mixing model of three dimensions.
    Hull(Hull),
    /// Pigments have no such space.
    Pigments(Pigments),
}

struct Hull {
    mixing: Mixing,
    points: Vec<Point>,
}

/// The mixture nearest to a colour.
pub(super) struct Mixture {
    pub colour: Colour,
    pub corners: Corners,
    /// From the colour.
    pub ciede2000: f64,
}

impl<'a> Mixtures<'a> {
    pub fn new(board: &'a Board, mixing: Mixing) -> Self {
        let colours = board.swatches().map(|(_, s)| s.colour);
        let space = match mixing {
            Mixing::Light | Mixing::Perceptual => {
                Space::Hull(Hull { mixing, points: colours.map(|colour| latent(mixing, colour)).collect() })
            }
            Mixing::Pigment => Space::Pigments(Pigments::new(colours)),
        };
        Mixtures { board, space }
    }

    /// The same with one colour more.
    pub fn with(&self, colour: Colour) -> Self {
        let space = match &self.space {
            Space::Hull(Hull { mixing, points }) => {
                let points = points.iter().copied().chain([latent(*mixing, colour)]).collect();
                Space::Hull(Hull { mixing: *mixing, points })
            }
            Space::Pigments(pigments) => Space::Pigments(pigments.with(colour)),
        };
        Mixtures { board: self.board, space }
    }

    /// The mixture of the board nearest to a colour, and how far it is; none for an empty board. `start` are the corners found for a
    /// neighbouring colour, `within` is the difference on which a verdict hangs: far from it, the difference may come out a tenth too
    /// large.
    pub fn nearest(&self, colour: Colour, within: f64, start: Corners) -> Option<Mixture> {
        self.found(colour, within, start, 0.0)
    }

    /// Whether a mixture comes within a difference, with one that does, or the nearest where none does; none for an empty board.
    pub fn reaches(&self, colour: Colour, within: f64, start: Corners) -> Option<(bool, Corners)> {
        let found = self.found(colour, within, start, within)?;
        Some((found.ciede2000 <= within, found.corners))
    }

    fn found(&self, colour: Colour, within: f64, start: Corners, enough: f64) -> Option<Mixture> {
        match &self.space {
            Space::Hull(hull) => hull.nearest(colour, within, start),
            Space::Pigments(pigments) => {
                let verdict = (within, FAR_TIMES * within);
                let (colour, corners, ciede2000) = pigments.nearest(colour, start, verdict, enough)?;
                Some(Mixture { colour, corners, ciede2000 })
            }
        }
    }

    /// The families whose swatches make up the mixture, largest part first.
    pub fn families(&self, corners: &Corners) -> Vec<String> {
        let owners: Vec<(FamilyId, &str)> = self.board.swatches().map(|(f, _)| (f.id, f.name.as_str())).collect();
        let mut parts: Vec<(FamilyId, &str, f64)> = Vec::new();
        for (i, weight) in corners.iter() {
            let (id, name) = owners[i];
            match parts.iter_mut().find(|p| p.0 == id) {
                Some(part) => part.2 += weight,
                None => parts.push((id, name, weight)),
            }
        }
        parts.sort_by(|a, b| b.2.total_cmp(&a.2).then(a.0.cmp(&b.0)));
        parts.into_iter().filter(|p| p.2 >= NAMED_WEIGHT).map(|p| p.1.to_owned()).collect()
    }
}

impl Hull {
    /// First the mixture nearest in the mixing space. CIEDE2000 weighs lightness, chroma and hue differently in every part of
    /// colour space, so where the verdict hangs on it the hull is looked at again, flattened so that lengths are CIEDE2000 halfway
    /// between the colour and the mixture found, as long as that brings a nearer one.
    fn nearest(&self, colour: Colour, within: f64, start: Corners) -> Option<Mixture> {
        let target = latent(self.mixing, colour);
        let found = nearest(&self.points, target, start)?;
        if found.distance < INSIDE_DISTANCE {
            return Some(Mixture { colour, corners: found.corners, ciede2000: 0.0 });
        }
        let lab = colour.lab();
        let first = self.mixture(found.corners, lab);
        if first.ciede2000 <= within || first.ciede2000 > FAR_TIMES * within {
            return Some(first);
        }
        let (mut best, mut place) = (first, found.place);
        for _ in 0..MAX_REFINEMENTS {
            let halfway = std::array::from_fn(|i| f64::midpoint(place[i], target[i]));
            let flat = self.flattened_at(halfway);
            let points: Vec<Point> = self.points.iter().map(|p| times(&flat, *p)).collect();
            let corners = nearest(&points, times(&flat, target), best.corners)?.corners;
            let next = self.mixture(corners, lab);
            if next.ciede2000 > best.ciede2000 - MIN_GAIN_CIEDE2000 {
                break;
            }
            place = self.place(corners);
            best = next;
        }
        Some(best)
    }

    fn place(&self, corners: Corners) -> Point {
        let mut place = [0.0; 3];
        for (i, weight) in corners.iter() {
            for (sum, part) in place.iter_mut().zip(self.points[i]) {
                *sum += weight * part;
            }
        }
        place
    }

    fn mixture(&self, corners: Corners, lab: Lab) -> Mixture {
        let place = self.place(corners);
        let colour = colour_at(self.mixing, place);
        Mixture { colour, corners, ciede2000: ciede2000(colour.lab(), lab) }
    }

    /// The linear map that takes small offsets in the mixing space, around a place, to a space where their length is CIEDE2000.
    fn flattened_at(&self, place: Point) -> [[f64; 3]; 3] {
        // Small against what can be seen, large against the rounding of f32.
        const STEP: f64 = 2e-3;
        let lab_of = |place: Point| colour_at(self.mixing, place).lab();
        let metric = local_metric(lab_of(place));
        let mut map = [[0.0; 3]; 3];
        for axis in 0..3 {
            let at = |step: f64| {
                let mut beside = place;
                beside[axis] += step;
                lab_of(beside)
            };
            let (ahead, behind) = (at(STEP), at(-STEP));
            let slope = [ahead.l - behind.l, ahead.a - behind.a, ahead.b - behind.b].map(|d| d / (2.0 * STEP));
            for (row, seen) in map.iter_mut().zip(times(&metric, slope)) {
                row[axis] = seen;
            }
        }
        map
    }
}

fn latent(mixing: Mixing, colour: Colour) -> Point {
    let [x, y, z, ..] = mixing.latent(colour);
    [x, y, z].map(f64::from)
}

/// The colour of a point of a model of three dimensions.
fn colour_at(mixing: Mixing, place: Point) -> Colour {
    let mut point = [0.0; LATENT];
    #[expect(clippy::cast_possible_truncation, reason = "a place in the single precision of colours")]
    point.iter_mut().zip(place).for_each(|(to, x)| *to = x as f32);
    point[WEIGHT] = 1.0;
    mixing.colour(&point)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::board::{LightOfDay, Role};

    fn board(hexes: &[&str]) -> Board {
        let mut board = Board::new("", LightOfDay::Neutral);
        for (i, hex) in hexes.iter().enumerate() {
            let (with, id) = board.with_family(&format!("surface {i}")).unwrap();
            board = with.with_swatch(id, Role::Local, "", Colour::from_hex(hex).unwrap(), &[]).unwrap().0;
        }
        board
    }

    /// Against brute force: no mixture on a fine grid of weights may be much nearer than the one found.
    #[test]
    fn no_mixture_on_a_fine_grid_is_nearer() {
        let board = board(&["#28323f", "#7fa0c4", "#a8543a", "#d9c9a0"]);
        for mixing in Mixing::ALL {
            let mixtures = Mixtures::new(&board, mixing);
            let steps = 24;
            let mut grid = Vec::new();
            for i in 0..=steps {
                for j in 0..=steps - i {
                    for k in 0..=steps - i - j {
                        let weights = [i, j, k, steps - i - j - k].map(|w| w as f32);
                        let colours = board.swatches().map(|(_, s)| s.colour);
                        grid.push(mixing.mixed(colours.zip(weights)).lab());
                    }
                }
            }
            let mut refined = 0;
            for i in 0..400_u32 {
                let colour = Colour::from_srgb8([i * 37 % 256, i * 101 % 256, i * 59 % 256].map(|x| x as u8));
                let found = mixtures.nearest(colour, 3.0, Corners::default()).unwrap();
                let least = grid.iter().map(|g| ciede2000(*g, colour.lab())).fold(f64::INFINITY, f64::min);
                if found.ciede2000 > 3.0 && found.ciede2000 <= FAR_TIMES * 3.0 {
                    assert!(
                        found.ciede2000 <= if least < 6.0 { 1.03 * least + 0.3 } else { 1.15 * least },
                        "{mixing:?} {}: {} but {least}",
                        colour.hex(),
                        found.ciede2000
                    );
                    refined += 1;
                }
                // The verdict for a colour that is beyond doubt needs no second look.
                assert!(
                    least > 3.0 || found.ciede2000 <= FAR_TIMES * 3.0,
                    "{mixing:?} {}: {} but {least}",
                    colour.hex(),
                    found.ciede2000
                );
                assert!(
                    mixtures.nearest(found.colour, 3.0, Corners::default()).unwrap().ciede2000 < 0.05,
                    "a mixture is its own"
                );
            }
            assert!(refined > 20, "{refined}");
        }
    }

    #[test]
    fn families_are_named_by_their_part() {
        let board = board(&["#000000", "#ffffff", "#ff0000"]);
        let mixtures = Mixtures::new(&board, Mixing::Light);
        let found = mixtures.nearest(Colour::new(0.7, 0.7, 0.7), 3.0, Corners::default()).unwrap();
        assert_eq!(mixtures.families(&found.corners), ["surface 1", "surface 0"]);
        assert!(found.ciede2000 < 1e-3);
    }
}
