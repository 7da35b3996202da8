//! A first board from a whole photo: its large surfaces, each with shadow, local and light.

use super::adjustments::PixelRect;
use super::cluster::cluster_points;
use super::reduce::Reduced;
use super::trio::{PlacedColour, Tone, Trio, from_samples};
use super::view::View;
use crate::board::{Board, Family, LightOfDay, Role, Swatch};
use crate::colour::words::plain_name;
use crate::colour::{Colour, Oklab};
use crate::ids::{FamilyId, SwatchId};

/// Most families that can be asked for.
pub const MAX_FAMILIES: usize = 16;
/// Fewest usable cells of the reduced photo.
pub const MIN_CELLS: usize = 64;

/// Longer side of the reduced photo in which surfaces are looked for.
const CELLS: u32 = 300;
/// Above this lightness (OKLab) a cell is blown out, below the other it holds nothing but noise.
const BLOWN_L: f32 = 0.975;
const BLACK_L: f32 = 0.10;
/// How much the parts of a cell's description count when surfaces are told apart. One surface has light and shadow, so
/// lightness counts less than green-red and blue-yellow; place (over the longer side, 0-1) holds neighbours together.
/// Chosen by looking at the boards of six photos (buildings, still life, portrait, animal, night); no published source.
const LIGHTNESS_WEIGHT: f32 = 0.55;
const COLOUR_WEIGHT: f32 = 2.0;
const PLACE_WEIGHT: f32 = 0.22;
/// Share of the photo below which a surface is a detail.
const DETAIL_SHARE: f32 = 0.01;
/// Two surfaces are one when each of their three values is nearer than this in OKLab: about two steps that can just be
/// told apart side by side (0.02 is the difference CSS Color 4 calls just noticeable in OKLab).
const SAME_OKLAB: f32 = 0.04;
/// Starts of the k-means that finds surfaces; the best one counts.
pub const RESTARTS: usize = 6;
const SEED: u64 = 0x5354_494E_5400_0002;

/// Why no board could be proposed.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
pub enum ProposeError {
    /// A number of families that makes no sense.
    #[error("a board of {0} families cannot be proposed; ask for 1 to 16")]
    Families(usize),
    /// Too little to see.
    #[error(
        "the photo holds {usable} usable spots and {needed} are needed; choose a larger or less over-exposed photo"
    )]
    TooLittle {
        /// Cells that are opaque and neither black nor blown out.
        usable: usize,
        /// The least that is worked with.
        needed: usize,
    },
}

/// A proposed board, and where its families lie in the photo.
#[derive(Clone, PartialEq, Debug)]
pub struct Proposal {
    /// The board.
    pub board: Board,
    /// One for each family of the board, in its order.
    pub places: Vec<FamilyPlace>,
}

/// Where a proposed family lies in the photo.
#[derive(Clone, PartialEq, Debug)]
pub struct FamilyPlace {
    /// The family.
    pub family: FamilyId,
    /// The pixel that shows each tone best (column, row), lightest first. A tone that was stepped off its neighbour, because
    /// the surface is too even to show it, has its neighbour's.
    pub spots: [(Role, [u32; 2]); 3],
    /// Share of the photo that the surface takes, 0-1.
    pub share: f32,
}

/// The board of [`propose`], without the places.
///
/// # Errors
/// As [`propose`].
pub fn propose_board(view: &View<'_>, families: usize, name: &str) -> Result<Board, ProposeError> {
    propose(view, families, name).map(|proposal| proposal.board)
}

/// Proposes a board of at most `families` (1 to 16) surfaces from all of a view that is used.
///
/// The photo is reduced by block means to 300 cells on its longer side; transparent, blown-out and black cells are left
/// out. The rest is gathered by place and colour together (k-means); surfaces under 1 % of the photo are left out as
/// details, and surfaces that could not be told apart on a palette become one, so fewer families may come back. Each
/// gets shadow, local and light as [`super::trio()`] finds them, which keeps near-black and near-white off the board.
/// Families are ordered from the top of the picture to the bottom, called by their colour and place, "dark blue, top", and hold their
/// swatches as they lie on a tray, the lightest on top. The light of the day is left neutral: a photo's colours do not tell it apart from the
/// camera's white balance.
///
/// The same view gives the same bits.
///
/// # Errors
/// When the number of families is out of range, or too little of the photo can be used.
pub fn propose(view: &View<'_>, families: usize, name: &str) -> Result<Proposal, ProposeError> {
    if !(1..=MAX_FAMILIES).contains(&families) {
        return Err(ProposeError::Families(families));
    }
    let reduced = Reduced::new(view, CELLS);
    let cells = usable(&reduced);
    if cells.len() < MIN_CELLS {
        return Err(ProposeError::TooLittle { usable: cells.len(), needed: MIN_CELLS });
    }
    let mut surfaces = surfaces(&reduced, &cells, families);
    surfaces.sort_by(|a, b| a.middle_row().total_cmp(&b.middle_row()));

    let names: Vec<String> = surfaces.iter().map(|surface| surface.name(view.part())).collect();
    let names = Board::new(name, LightOfDay::Neutral).free_family_names(names.iter().map(String::as_str));
    let mut proposal = Proposal { board: Board::new(name, LightOfDay::Neutral), places: Vec::new() };
    let mut next_id = 1;
    for (i, surface) in surfaces.iter().enumerate() {
        let tones =
            [(Role::Light, surface.trio.light), (Role::Local, surface.trio.local), (Role::Shadow, surface.trio.shadow)];
        let swatches = tones.map(|(role, tone)| {
            let id = SwatchId(next_id);
            next_id += 1;
            Swatch { id, role, name: String::new(), colour: tone.colour }
        });
        #[expect(clippy::cast_possible_truncation, reason = "at most MAX_FAMILIES")]
        let number = i as u32 + 1;
        let family = Family::new(FamilyId(number), &names[i]);
        proposal.places.push(FamilyPlace {
            family: family.id,
            spots: tones.map(|(role, tone)| (role, spot(view, &reduced, &tone))),
            share: surface.samples.len() as f32 / reduced.colours.len() as f32,
        });
        proposal.board.families.push(Family { swatches: swatches.to_vec(), ..family });
    }
    Ok(proposal)
}

/// The pixel of a tone's cell that is nearest to its colour: a cell is a mean of many.
fn spot(view: &View<'_>, reduced: &Reduced, tone: &Tone) -> [u32; 2] {
    let block = view.block(reduced.cell_px(tone.at_px));
    let wanted = tone.colour.oklab();
    let apart = |colour: &Colour| {
        let lab = colour.oklab();
        (lab.l - wanted.l).powi(2) + (lab.a - wanted.a).powi(2) + (lab.b - wanted.b).powi(2)
    };
    let opaque = (0..block.colours.len()).filter(|&i| block.alpha[i] >= 0.5);
    let best = opaque.min_by(|&i, &j| apart(&block.colours[i]).total_cmp(&apart(&block.colours[j])));
    best.map_or(tone.at_px, |i| {
        #[expect(clippy::cast_possible_truncation, reason = "a block of the photo has far fewer than 2^32 pixels")]
        let (width, i) = (block.rect.width_px, i as u32);
        [block.rect.x + i % width, block.rect.y + i / width]
    })
}

/// One usable cell.
struct Cell {
    index: usize,
    lab: Oklab,
}

fn usable(reduced: &Reduced) -> Vec<Cell> {
    let cells = reduced.colours.iter().zip(&reduced.alpha).enumerate();
    cells
        .filter(|(_, (_, alpha))| **alpha >= 0.5)
        .map(|(index, (colour, _))| Cell { index, lab: colour.oklab() })
        .filter(|cell| (BLACK_L..BLOWN_L).contains(&cell.lab.l))
        .collect()
}

/// One surface.
struct Surface {
    samples: Vec<PlacedColour>,
    trio: Trio,
}

impl Surface {
    fn new(samples: Vec<PlacedColour>) -> Option<Self> {
        from_samples(&samples).map(|trio| Surface { samples, trio })
    }

    fn middle_row(&self) -> f64 {
        self.middle(1)
    }

    /// Mean column (0) or row (1) of its cells, in the unit of their places.
    fn middle(&self, axis: usize) -> f64 {
        self.samples.iter().map(|s| f64::from(s.at_px[axis])).sum::<f64>() / self.samples.len() as f64
    }

    /// Its colour and its place, in words: "dark blue, top left".
    #[expect(clippy::cast_possible_truncation, reason = "one of three; the cast saturates")]
    fn name(&self, part: PixelRect) -> String {
        let (from, size) = ([part.x, part.y].map(f64::from), [part.width_px, part.height_px].map(f64::from));
        let third = |axis: usize, words: [&'static str; 3]| {
            words[(((self.middle(axis) - from[axis]) / size[axis] * 3.0) as usize).min(2)]
        };
        let (row, column) = (third(1, ["top", "", "bottom"]), third(0, ["left", "", "right"]));
        let place = match (row, column) {
            ("", "") => "middle".to_owned(),
            (one, "") | ("", one) => one.to_owned(),
            (row, column) => format!("{row} {column}"),
        };
        format!("{}, {place}", plain_name(self.trio.local.colour))
    }

    /// The greatest OKLab distance between values of the same role.
    fn apart(&self, other: &Surface) -> f32 {
        let tones = |s: &Surface| [s.trio.shadow, s.trio.local, s.trio.light].map(|t| t.colour.oklab());
        let distances = tones(self).into_iter().zip(tones(other));
        distances.map(|(p, q)| libm::hypotf(p.l - q.l, libm::hypotf(p.a - q.a, p.b - q.b))).fold(0.0, f32::max)
    }
}

fn surfaces(reduced: &Reduced, cells: &[Cell], families: usize) -> Vec<Surface> {
    let unit = PLACE_WEIGHT / reduced.width.max(reduced.height) as f32;
    let points: Vec<[f32; 5]> = cells
        .iter()
        .map(|&Cell { index, lab }| {
            let (x, y) = (index % reduced.width, index / reduced.width);
            [lab.l * LIGHTNESS_WEIGHT, lab.a * COLOUR_WEIGHT, lab.b * COLOUR_WEIGHT, x as f32 * unit, y as f32 * unit]
        })
        .collect();
    let found = cluster_points(&points, families, RESTARTS, SEED);
    let mut members: Vec<Vec<PlacedColour>> = vec![Vec::new(); found.centres.len()];
    for (cell, &cluster) in cells.iter().zip(&found.assignments) {
        members[usize::from(cluster)].push(PlacedColour { lab: cell.lab, at_px: reduced.middle_px(cell.index) });
    }
    #[expect(clippy::cast_possible_truncation, reason = "a share of a count")]
    let least = (DETAIL_SHARE * (reduced.width * reduced.height) as f32) as usize;
    let largest = members.iter().map(Vec::len).max().unwrap_or(0);
    let mut surfaces: Vec<Surface> =
        members.into_iter().filter(|samples| samples.len() >= least.min(largest)).filter_map(Surface::new).collect();
    while let Some((a, b)) = same_pair(&surfaces) {
        let mut samples = std::mem::take(&mut surfaces[a].samples);
        samples.extend(surfaces.remove(b).samples);
        if let Some(joined) = Surface::new(samples) {
            surfaces[a] = joined;
        }
    }
    surfaces
}

/// The first two surfaces that could not be told apart on a palette; the earlier one comes first.
fn same_pair(surfaces: &[Surface]) -> Option<(usize, usize)> {
    let pairs = (0..surfaces.len()).flat_map(|a| (a + 1..surfaces.len()).map(move |b| (a, b)));
    pairs.into_iter().find(|&(a, b)| surfaces[a].apart(&surfaces[b]) < SAME_OKLAB)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::photo::Adjustments;
    use crate::photo::open::tests::photo_of;

    /// Sky over a brick wall over wet ground, each with a little variation, and a blown lamp.
    fn street() -> Vec<u8> {
        let mut samples = Vec::new();
        for y in 0..120i32 {
            for x in 0..160i32 {
                let base = if y < 40 {
                    [90, 120, 200]
                } else if y < 85 {
                    [160, 80, 50]
                } else {
                    [70, 75, 80]
                };
                let shade = ((x * 7 + y * 13) % 41 - 20) * 2;
                let lamp = (x - 80).pow(2) + (y - 60).pow(2) < 30;
                samples.extend(base.map(|c: i32| if lamp { 255 } else { (c + shade).clamp(0, 255) as u8 }));
            }
        }
        samples
    }

    #[test]
    fn surfaces_come_from_top_to_bottom_with_ordered_values() {
        let photo = photo_of(160, &street());
        let board = propose_board(&photo.view(Adjustments::default()), 3, "street").unwrap();
        assert_eq!((board.name.as_str(), board.light), ("street", LightOfDay::Neutral));
        assert_eq!(
            board.families.iter().map(|f| f.name.as_str()).collect::<Vec<_>>(),
            ["blue, top", "brown, middle", "dark grey, bottom"]
        );
        assert_eq!(board.swatches().map(|(_, s)| s.id.0).collect::<Vec<_>>(), (1..=9).collect::<Vec<_>>());
        let local = |i: usize| board.families[i].with_role(Role::Local).unwrap().colour;
        assert!(local(0).b > local(0).r && local(1).r > 2.0 * local(1).b);
        let lab = local(2).oklab();
        assert!(lab.a.hypot(lab.b) < 0.03, "the ground is grey: {lab:?}");
        for family in &board.families {
            let l: Vec<f32> = family.swatches.iter().map(|s| s.colour.oklab().l).collect();
            assert!(l[0] > l[1] && l[1] > l[2] && l[0] < 0.96, "{l:?}");
        }
    }

    #[test]
    fn places_tell_where_each_tone_was_seen() {
        let photo = photo_of(160, &street());
        let view = photo.view(Adjustments::default());
        let found = propose(&view, 3, "street").unwrap();
        assert_eq!(propose_board(&view, 3, "street").unwrap(), found.board);
        let bands = [0..40, 40..85, 85..120];
        for ((place, family), rows) in found.places.iter().zip(&found.board.families).zip(bands) {
            assert_eq!(place.family, family.id);
            let height = rows.len() as f32 / 120.0;
            assert!((place.share - height).abs() < 0.01, "{place:?}");
            for ((role, [x, y]), swatch) in place.spots.iter().zip(&family.swatches) {
                assert!(*role == swatch.role && rows.contains(y), "{place:?}");
                let (seen, wanted) = (view.colour(*x, *y).oklab(), swatch.colour.oklab());
                assert!((seen.l - wanted.l).abs() < 0.03, "{seen:?} {wanted:?}");
            }
        }
    }

    #[test]
    fn of_a_cropped_photo_only_the_part_is_looked_at() {
        let photo = photo_of(160, &street());
        let crop = crate::photo::PixelRect { x: 20, y: 45, width_px: 100, height_px: 75 };
        let view = photo.view(Adjustments { crop: Some(crop), ..Adjustments::default() });
        let found = propose(&view, 3, "street").unwrap();
        // The sky lies outside; wall and ground are named by their place on what is used.
        let names: Vec<_> = found.board.families.iter().map(|f| f.name.as_str()).collect();
        assert!(names.iter().all(|name| !name.starts_with("blue")), "{names:?}");
        assert!(names[0].contains("top") && names[names.len() - 1].contains("bottom"), "{names:?}");
        for [x, y] in found.places.iter().flat_map(|place| place.spots.map(|(_, at)| at)) {
            assert!((20..120).contains(&x) && (45..120).contains(&y), "{x}, {y}");
        }
    }

    #[test]
    fn surfaces_that_look_alike_are_one_family() {
        let photo = photo_of(40, &[120, 110, 100].repeat(1600));
        let board = propose_board(&photo.view(Adjustments::default()), 6, "flat").unwrap();
        assert_eq!((board.families.len(), board.families[0].swatches.len()), (1, 3));
    }

    #[test]
    fn what_cannot_be_proposed_says_so() {
        let photo = photo_of(4, &[120; 4 * 4 * 3]);
        let view = photo.view(Adjustments::default());
        assert_eq!(propose_board(&view, 0, ""), Err(ProposeError::Families(0)));
        assert_eq!(propose_board(&view, 17, ""), Err(ProposeError::Families(17)));
        assert_eq!(propose_board(&view, 3, ""), Err(ProposeError::TooLittle { usable: 16, needed: MIN_CELLS }));
        let white = photo_of(40, &[255; 40 * 40 * 3]);
        let nothing = propose_board(&white.view(Adjustments::default()), 3, "");
        assert!(matches!(nothing, Err(ProposeError::TooLittle { usable: 0, .. })));
    }
}
