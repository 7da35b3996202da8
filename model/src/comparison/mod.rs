//! A painting held against its photo: value, warmth and strength of every surface on both, and what holds for the whole picture.
//!
//! | question | where |
//! | --- | --- |
//! | painting and photo on one grid | [`PaintedCells`], [`PhotoCells`] |
//! | which cells a surface takes | `surface` |
//! | what all surfaces share | [`WholePicture`] |
//! | how a surface is off beside that, in words | [`Compared`], by [`Deviation`] |
//!
//! A surface is compared over the same cells of both: those that are painted and that the photo has. Its colour is the mean of their
//! light, as half-shut eyes see it.

mod cells;
mod surface;
mod whole;

pub use cells::{PaintedCells, PhotoCells};
pub use surface::{FoundBy, PickedFrom};
pub use whole::WholePicture;

use crate::board::Board;
use crate::colour::Colour;
use crate::colour::deviation::Deviation;
use crate::colour::difference::ciede2000;
use crate::colour::warmth::warmer_by;
use crate::ids::{FamilyId, SwatchId};
use crate::photo::Framing;
use crate::photo::region::Span;
use whole::Pair;

/// A surface of which less than this is painted is not judged yet.
const PAINTED_ENOUGH: f64 = 0.25;

/// One surface on both.
#[derive(Clone, PartialEq, Debug)]
pub struct Compared {
    /// The family's name, or where it lies.
    pub name: String,
    /// Its family; none for a part of the rest.
    pub family: Option<FamilyId>,
    /// How it was found.
    pub found_by: FoundBy,
    /// Its cells as a fraction of the canvas, 0-1.
    pub share: f64,
    /// The part of it that is painted and that the photo has, 0-1.
    pub painted: f64,
    /// Its mean colour on the photo.
    pub photo: Colour,
    /// Its mean colour on the canvas.
    pub painting: Colour,
    /// How it is off beside what holds for the whole picture.
    pub off: Deviation,
    /// Its cells, for showing where it lies.
    pub spans: Vec<Span>,
}

impl Compared {
    /// How it is off, in words: "0.8 too dark, a little cool"; "right".
    pub fn verdict(&self) -> String {
        self.off.graded_sentence()
    }

    /// Whether nothing is to be told of it.
    pub fn is_right(&self) -> bool {
        self.verdict() == Deviation::RIGHT
    }

    /// With its name: "wet yard 0.8 too dark".
    pub fn sentence(&self) -> String {
        // A part of the rest is named by its place: "elsewhere, right: right".
        let colon = if self.family.is_none() { ":" } else { "" };
        format!("{}{colon} {}", self.name, self.verdict())
    }

    /// How both look beside each other, for a painter: "value 3.2, on the photo 4.0; a little cooler and much duller than the photo". The
    /// whole picture is not left out of it, as it is in [`Compared::verdict`].
    pub fn beside_photo(&self) -> String {
        let values =
            format!("value {:.1}, on the photo {:.1}", self.painting.munsell_value(), self.photo.munsell_value());
        let warmer = f64::from(warmer_by(self.painting, self.photo));
        let stronger = f64::from(self.painting.oklch().c) - f64::from(self.photo.oklch().c);
        let ways = [(warmer, ["warmer", "cooler"]), (stronger, ["stronger in colour", "duller"])];
        let told: Vec<String> = ways
            .into_iter()
            .filter_map(|(by, [more, less])| {
                Some(format!("{}{}", Deviation::degree(by)?, if by > 0.0 { more } else { less }))
            })
            .collect();
        match told.as_slice() {
            [] => format!("{values}; as warm and as strong in colour as the photo"),
            told => format!("{values}; {} than the photo", told.join(" and ")),
        }
    }

    /// The figures of both: "value 3.2, the photo 4.0; chroma 0.031, the photo 0.028; warmth 0.010 less than the photo's".
    pub fn figures(&self) -> String {
        let [painting, photo] = [self.painting, self.photo].map(|c| (c.munsell_value(), c.oklch().c));
        let warmer = warmer_by(self.painting, self.photo);
        format!(
            "value {:.1}, the photo {:.1}; chroma {:.3}, the photo {:.3}; {:.3} {} than the photo",
            painting.0,
            photo.0,
            painting.1,
            photo.1,
            warmer.abs(),
            if warmer < 0.0 { "cooler" } else { "warmer" },
        )
    }
}

/// What came of holding a painting against its photo.
#[derive(Clone, PartialEq, Debug)]
pub struct Comparison {
    /// What holds for the whole picture.
    pub whole: WholePicture,
    /// Surfaces that are painted: the families in the order of the board, then the rest.
    pub surfaces: Vec<Compared>,
    /// Names of families that the canvas shows and that are not painted yet.
    pub bare: Vec<String>,
    /// Columns and rows of the grid that spans are of.
    pub grid: (u32, u32),
}

impl Comparison {
    #[expect(clippy::cast_possible_truncation, reason = "back to the precision of colours")]
    /// Holds a painting against the photo. Both must be on the same grid.
    pub fn new(
        board: &Board,
        from: PickedFrom<'_>,
        framing: &Framing,
        painting: &PaintedCells,
        photo: &PhotoCells,
    ) -> Self {
        let cells = painting.colours.len();
        let (mut seen, mut bare) = (Vec::new(), Vec::new());
        for surface in surface::surfaces(board, from, framing, painting, photo) {
            let (mut count, mut on_photo, mut both) = (0_u64, 0_u64, 0_u64);
            let mut sums = [[0.0; 3]; 2];
            for span in &surface.spans {
                for x in span.from_x..span.to_x {
                    let i = (span.y * painting.width + x) as usize;
                    count += 1;
                    let Some(there) = photo.colours[i] else { continue };
                    on_photo += 1;
                    if painting.painted[i] {
                        both += 1;
                        for (sum, c) in sums.iter_mut().zip([painting.colours[i], there]) {
                            let parts = [c.r, c.g, c.b];
                            (0..3).for_each(|k| sum[k] += f64::from(parts[k]));
                        }
                    }
                }
            }
            let painted = both as f64 / (on_photo as f64).max(1.0);
            if on_photo > 0 && painted < PAINTED_ENOUGH {
                bare.push(surface.name);
            } else if both > 0 {
                let [painting, photo] = sums.map(|sum| {
                    let [r, g, b] = sum.map(|s| (s / both as f64) as f32);
                    Colour::new(r, g, b)
                });
                let share = count as f64 / cells as f64;
                let pair = Pair { painting, photo, weight: both as f64 };
                seen.push((pair, share, both as f64 / count as f64, surface));
            }
        }
        let pairs: Vec<Pair> = seen.iter().map(|(pair, ..)| *pair).collect();
        let whole = WholePicture::of(&pairs);
        let surfaces = seen.into_iter().map(|(pair, share, painted, surface)| {
            let off = Deviation::of_surface(whole.taken_from(pair.painting), pair.photo);
            let value = f64::from(pair.painting.munsell_value()) - f64::from(pair.photo.munsell_value());
            Compared {
                name: surface.name,
                family: surface.family,
                found_by: surface.found_by,
                share,
                painted,
                photo: pair.photo,
                painting: pair.painting,
                off: Deviation {
                    value_munsell: value - whole.value_munsell,
                    delta_e: ciede2000(pair.painting.lab(), whole.given_to(pair.photo).lab()),
                    ..off
                },
                spans: surface.spans,
            }
        });
        Comparison { surfaces: surfaces.collect(), whole, bare, grid: (painting.width, painting.height) }
    }

    /// All that is to be said, the whole picture first: then the surfaces that are off, or that all are right; nothing where nothing
    /// is painted.
    pub fn sentences(&self) -> Vec<String> {
        if self.surfaces.is_empty() {
            return Vec::new();
        }
        let mut sentences = self.whole_sentences();
        let off: Vec<_> = self.surfaces.iter().filter(|s| !s.is_right()).map(Compared::sentence).collect();
        if off.is_empty() {
            sentences.push("every surface right".to_owned());
        }
        sentences.extend(off);
        sentences
    }

    /// What is to be said of the whole picture, one sentence a way, and nothing where it is as the photo is.
    pub fn whole_sentences(&self) -> Vec<String> {
        let against = |surface: &Compared| {
            let plain = surface.off.value_munsell + self.whole.value_munsell;
            Deviation::value_step(plain).is_some() && plain * self.whole.value_munsell < 0.0
        };
        self.whole.sentences(self.surfaces.iter().any(against))
    }

    /// The swatch of the board that comes nearest (CIEDE2000) to what a surface shows on the photo, in the key of the painting.
    pub fn nearest_paint(&self, surface: &Compared, board: &Board) -> Option<SwatchId> {
        let wanted = self.whole.given_to(surface.photo).lab();
        let apart = |colour: Colour| ciede2000(colour.lab(), wanted);
        board.swatches().map(|(_, s)| (s.id, apart(s.colour))).min_by(|a, b| a.1.total_cmp(&b.1)).map(|(id, _)| id)
    }
}

impl WholePicture {
    /// What is to be said of it, one sentence a way: "everything 0.5 darker, which keeps the mood". `some_against` tells that a surface
    /// is off in value the other way, so that not everything is.
    fn sentences(&self, some_against: bool) -> Vec<String> {
        let mut sentences = Vec::new();
        if let Some(step) = Deviation::value_step(self.value_munsell) {
            let way = if self.value_munsell > 0.0 { "lighter" } else { "darker" };
            let all = if some_against { "nearly everything" } else { "everything" };
            sentences.push(format!("{all} {step} {way}, which keeps the mood"));
        }
        if let Some(degree) = Deviation::degree(self.warmth) {
            let way = if self.warmth > 0.0 { "warmer" } else { "cooler" };
            sentences.push(format!("everything {degree}{way}, as in another light"));
        }
        if let Some(degree) = strength_degree(self.strength) {
            let way = if self.strength > 1.0 { "stronger in colour" } else { "duller" };
            sentences.push(format!("everything {degree}{way}"));
        }
        sentences
    }
}

/// How much another strength is, in words that stand before "duller"; none when it is too little to be spoken of.
fn strength_degree(strength: f64) -> Option<&'static str> {
    match libm::log(strength).abs() {
        x if x < 0.1 => None,
        x if x < 0.25 => Some("a little "),
        x if x < 0.6 => Some(""),
        _ => Some("much "),
    }
}

#[cfg(test)]
mod tests;
