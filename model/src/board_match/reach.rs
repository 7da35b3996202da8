//! What a board's mixtures reach: which colours of three values can be mixed, how much of a photo, and which one swatch more would
//! reach most of the rest.

use super::WITHIN_CIEDE2000;
use super::hull::Corners;
use super::mixtures::Mixtures;
use crate::board::Board;
use crate::colour::deviation::HIT_CIEDE2000;
use crate::colour::difference::{ciede2000, delta_ok};
use crate::colour::warmth::warmer_by;
use crate::colour::words::hue_word;
use crate::colour::{Colour, Oklab, at_value};
use crate::mixing::Mixing;
use crate::photo::{View, nudge};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// The values at which mixtures are shown, Munsell: a dark, a middle and a light one.
pub const VALUES_MUNSELL: [f32; 3] = [3.0, 5.0, 7.0];
/// Columns and rows of a slice, and of one of pigments, whose mixtures take four times as long to look for.
const SLICE_CELLS: usize = 48;
const PIGMENT_SLICE_CELLS: usize = 24;

/// Slices reach at least this far from grey, in OKLab a and b, and beyond the farthest swatch by this factor.
const LEAST_HALF: f32 = 0.1;
const ROOM: f32 = 1.15;
/// Places across and down at which a photo is looked at.
const LOOKS: u32 = 60;
/// Below this opacity a pixel is not counted.
const OPAQUE: f32 = 0.5;
/// Colours of the photo nearer to one another than this in OKLab are looked at as one: just visible (CSS Color 4).
const BIN: f32 = 0.02;
/// Swatches that are tried, and colours out of reach that each is tried on; the best few are tried on all.
const TRIED: usize = 16;
const PIGMENTS_TRIED: usize = 6;
const TRIED_ON: usize = 128;
const BEST: usize = 2;
/// A swatch that reaches less of the photo than this is not worth naming.
const LEAST_GAIN: f64 = 0.005;
/// Differences from here on are worth a word: Munsell values, OKLab units of warmth and of chroma.
const TOLD_VALUE: f32 = 0.5;
const TOLD_WARMTH: f32 = 0.02;
const TOLD_CHROMA: f32 = 0.03;
/// Colours that a task measures.
const COLOURS_PER_TASK: usize = 64;

/// What of one value can be mixed.
#[derive(Clone, PartialEq, Debug)]
pub struct Slice {
    /// Munsell value.
    pub value_munsell: f32,
    /// Its columns, as many as its rows.
    pub side: usize,
    /// Whether the colour at the middle of each cell comes within CIEDE2000 1 of a mixture; rows from blue-yellow +half down to
    /// -half, columns from green-red -half to +half.
    pub cells: Vec<bool>,
    /// The part of what sRGB shows at this value that can be mixed, 0-1.
    pub of_srgb: f64,
}

/// What can be mixed from a board.
#[derive(Clone, PartialEq, Debug)]
pub struct Reach {
    /// OKLab a and b at the edges of the slices.
    pub half: f32,
    /// One for each of [`VALUES_MUNSELL`].
    pub slices: Vec<Slice>,
}

impl Reach {
    /// The mixtures of a board in a mixing model; none without swatches.
    pub fn of(board: &Board, mixing: Mixing) -> Option<Self> {
        let farthest = board.swatches().map(|(_, s)| s.colour.oklab()).map(|c| c.a.abs().max(c.b.abs()));
        let half = (ROOM * farthest.reduce(f32::max)?).max(LEAST_HALF);
        let mixtures = Mixtures::new(board, mixing);
        let side = match mixing {
            Mixing::Light | Mixing::Perceptual => SLICE_CELLS,
            Mixing::Pigment => PIGMENT_SLICE_CELLS,
        };
        let slices = VALUES_MUNSELL.map(|value| slice(&mixtures, value, half, side));
        Some(Reach { half, slices: slices.into() })
    }

    /// The colour in the middle of a cell of a slice; it may lie outside any gamut.
    pub fn colour(&self, slice: &Slice, cell: usize) -> Colour {
        cell_colour(slice.value_munsell, self.half, slice.side, cell)
    }
}

fn cell_colour(value: f32, half: f32, side: usize, cell: usize) -> Colour {
    let place = |i: usize| ((i as f32 + 0.5) / side as f32 * 2.0 - 1.0) * half;
    at_value(value, place(cell % side), -place(cell / side))
}

fn slice(mixtures: &Mixtures<'_>, value_munsell: f32, half: f32, side: usize) -> Slice {
    let mut cells = vec![false; side * side];
    let shown: (usize, usize) = cells
        .par_chunks_mut(side)
        .enumerate()
        .map(|(row, cells)| {
            let (mut start, mut shown, mut mixed) = (Corners::default(), 0, 0);
            for (cell, index) in cells.iter_mut().zip(row * side..) {
                let colour = cell_colour(value_munsell, half, side, index);
                if let Some(found) = mixtures.reaches(colour, HIT_CIEDE2000, start) {
                    (*cell, start) = found;
                }
                let in_srgb = colour.in_srgb();
                shown += usize::from(in_srgb);
                mixed += usize::from(in_srgb && *cell);
            }
            (mixed, shown)
        })
        .reduce(|| (0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
    Slice { value_munsell, side, cells, of_srgb: shown.0 as f64 / (shown.1 as f64).max(1.0) }
}

/// Whether a colour is a mixture of the board's swatches, exactly but for rounding.
pub fn is_mixture(board: &Board, mixing: Mixing, colour: Colour) -> bool {
    let found = Mixtures::new(board, mixing).nearest(colour, 0.0, Corners::default());
    found.is_some_and(|found| found.ciede2000 == 0.0)
}

/// A colour of the photo.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PhotoColour {
    /// The colour.
    pub colour: Colour,
    /// The part of the photo that has it, 0-1.
    pub share: f64,
    /// Whether the board can mix it, within [`WITHIN_CIEDE2000`].
    pub within: bool,
}

/// One swatch more.
#[derive(Clone, PartialEq, Debug)]
pub struct Addition {
    /// Its colour, within what a board should hold.
    pub colour: Colour,
    /// How much more of the photo the board could mix with it, 0-1.
    pub gain: f64,
    /// What it is beside the swatch that is nearest to it: "a darker, cooler green".
    pub words: String,
}

/// How much of a photo a board reaches.
#[derive(Clone, PartialEq, Debug)]
pub struct PhotoReach {
    /// The part of the photo that can be mixed, 0-1.
    pub share: f64,
    /// The photo's own colours.
    pub colours: Vec<PhotoColour>,
    /// The one swatch that would reach most of the rest.
    pub addition: Option<Addition>,
}

impl PhotoReach {
    /// Looks at a photo at places spread over it; none for a board without swatches, or a transparent photo.
    pub fn of(board: &Board, mixing: Mixing, view: &View<'_>) -> Option<Self> {
        board.swatches().next()?;
        let seen = colours_of(view);
        let all: f64 = seen.iter().map(|(_, weight)| weight).sum();
        if all <= 0.0 {
            return None;
        }
        let mixtures = Mixtures::new(board, mixing);
        let within = within(&mixtures, &seen.iter().map(|(colour, _)| *colour).collect::<Vec<_>>());
        let colours = seen.iter().zip(within);
        let colours: Vec<PhotoColour> =
            colours.map(|(&(colour, weight), within)| PhotoColour { colour, share: weight / all, within }).collect();
        let share = colours.iter().filter(|c| c.within).map(|c| c.share).sum();
        let tried = match mixing {
            Mixing::Light | Mixing::Perceptual => TRIED,
            Mixing::Pigment => PIGMENTS_TRIED,
        };
        let addition = addition(board, &mixtures, &colours, tried);
        Some(PhotoReach { share, colours, addition })
    }
}

#[expect(clippy::cast_possible_truncation, reason = "pixels of a photo, and bins of a few hundred")]
/// The colours of what is used of a photo with how often they were met.
fn colours_of(view: &View<'_>) -> Vec<(Colour, f64)> {
    let part = view.part();
    let (across, down) = (LOOKS.min(part.width_px), LOOKS.min(part.height_px));
    let middle = |i: u32, of: u32, px: u32| ((2 * u64::from(i) + 1) * u64::from(px) / (2 * u64::from(of))) as u32;
    let places: Vec<[u32; 2]> = (0..down)
        .flat_map(|row| (0..across).map(move |column| (column, row)))
        .map(|(column, row)| {
            [part.x + middle(column, across, part.width_px), part.y + middle(row, down, part.height_px)]
        })
        .collect();
    let mut bins: BTreeMap<[i32; 3], ([f64; 3], f64)> = BTreeMap::new();
    for (colour, alpha) in view.at(&places) {
        if alpha >= OPAQUE {
            let place = colour.oklab();
            let place = [place.l, place.a, place.b];
            let bin = bins.entry(place.map(|x| (x / BIN).floor() as i32)).or_default();
            (0..3).for_each(|i| bin.0[i] += f64::from(place[i]));
            bin.1 += 1.0;
        }
    }
    let mean = |([l, a, b], n): ([f64; 3], f64)| {
        let [l, a, b] = [l, a, b].map(|sum| (sum / n) as f32);
        (Oklab { l, a, b }.colour(), n)
    };
    bins.into_values().map(mean).collect()
}

/// Whether each colour comes within [`WITHIN_CIEDE2000`] of a mixture.
fn within(mixtures: &Mixtures<'_>, colours: &[Colour]) -> Vec<bool> {
    let mut within = vec![false; colours.len()];
    within.par_chunks_mut(COLOURS_PER_TASK).zip(colours.par_chunks(COLOURS_PER_TASK)).for_each(|(within, colours)| {
        let mut start = Corners::default();
        for (within, colour) in within.iter_mut().zip(colours) {
            if let Some(found) = mixtures.reaches(*colour, WITHIN_CIEDE2000, start) {
                (*within, start) = found;
            }
        }
    });
    within
}

/// The colour of the photo that reaches most of what is out of reach, once it is on the board.
fn addition(board: &Board, mixtures: &Mixtures<'_>, colours: &[PhotoColour], tried: usize) -> Option<Addition> {
    let mut out: Vec<(Colour, f64)> = colours.iter().filter(|c| !c.within).map(|c| (c.colour, c.share)).collect();
    // Those that are most of the photo first.
    out.sort_by(|a, b| b.1.total_cmp(&a.1));
    let gain = |candidate: Colour, of: &[(Colour, f64)]| -> f64 {
        let colours: Vec<Colour> = of.iter().map(|(colour, _)| *colour).collect();
        let reached = within(&mixtures.with(candidate), &colours);
        of.iter().zip(reached).filter(|(_, reached)| *reached).map(|((_, share), _)| share).sum()
    };
    let some = &out[..out.len().min(TRIED_ON)];
    let mut tried: Vec<(Colour, f64)> =
        spread(&out, tried).into_iter().map(nudge).map(|colour| (colour, gain(colour, some))).collect();
    tried.sort_by(|a, b| b.1.total_cmp(&a.1));
    let best = tried.into_iter().take(BEST).map(|(colour, _)| (colour, gain(colour, &out)));
    let (colour, gain) = best.max_by(|a, b| a.1.total_cmp(&b.1))?;
    (gain >= LEAST_GAIN).then(|| Addition { colour, gain, words: words(board, colour) })
}

/// A few of many colours, each as far from those before it as can be; the first is the most frequent one.
fn spread(colours: &[(Colour, f64)], most: usize) -> Vec<Colour> {
    let places: Vec<Oklab> = colours.iter().map(|(colour, _)| colour.oklab()).collect();
    let mut apart = vec![f32::INFINITY; colours.len()];
    let mut chosen = Vec::new();
    let mut next = (!colours.is_empty()).then_some(0);
    while let Some(i) = next.filter(|_| chosen.len() < most) {
        chosen.push(colours[i].0);
        for (apart, place) in apart.iter_mut().zip(&places) {
            *apart = apart.min(delta_ok(*place, places[i]));
        }
        let farthest = apart.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1));
        next = farthest.filter(|(_, apart)| **apart > BIN).map(|(i, _)| i);
    }
    chosen
}

/// A colour beside the swatch that is nearest to it.
fn words(board: &Board, colour: Colour) -> String {
    let apart = |other: Colour| ciede2000(other.lab(), colour.lab());
    let nearest = board.swatches().map(|(_, s)| s.colour).min_by(|a, b| apart(*a).total_cmp(&apart(*b)));
    let mut how = Vec::new();
    if let Some(nearest) = nearest {
        let value = colour.munsell_value() - nearest.munsell_value();
        let (warmer, stronger) = (warmer_by(colour, nearest), colour.oklch().c - nearest.oklch().c);
        how.extend((value.abs() >= TOLD_VALUE).then_some(if value > 0.0 { "lighter" } else { "darker" }));
        how.extend((warmer.abs() >= TOLD_WARMTH).then_some(if warmer > 0.0 { "warmer" } else { "cooler" }));
        how.extend((stronger >= TOLD_CHROMA).then_some("stronger"));
    }
    let how = if how.is_empty() { "another".to_owned() } else { format!("a {}", how.join(", ")) };
    format!("{how} {}", hue_word(colour))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::board::{LightOfDay, Role};
    use crate::photo::Adjustments;
    use crate::photo::open::tests::photo_of;

    fn board(hex: &[&str]) -> Board {
        let (mut board, family) = Board::new("Depot", LightOfDay::Cool).with_family("yard").unwrap();
        for hex in hex {
            let colour = Colour::from_hex(hex).unwrap();
            board = board.with_swatch(family, Role::Accent, "", colour, &[]).unwrap().0;
        }
        board
    }

    const BRICKS: [&str; 5] = ["#2f2624", "#73524e", "#c9a58f", "#8c7a3c", "#525a68"];

    #[test]
    fn slices_hold_the_mixtures_of_their_value_and_no_more() {
        assert_eq!(Reach::of(&board(&[]), Mixing::Light), None);
        for mixing in [Mixing::Light, Mixing::Perceptual] {
            let board = board(&BRICKS);
            let reach = Reach::of(&board, mixing).unwrap();
            let mixtures = Mixtures::new(&board, mixing);
            let mut all = 0;
            for slice in &reach.slices {
                let held = slice.cells.iter().filter(|cell| **cell).count();
                all += held;
                assert!(held > 0 && held < slice.cells.len() / 2, "{mixing:?} {}: {held}", slice.value_munsell);
                assert!(slice.of_srgb > 0.0 && slice.of_srgb < 0.4, "{}", slice.of_srgb);
                for (i, held) in slice.cells.iter().enumerate().step_by(7) {
                    let colour = reach.colour(slice, i);
                    assert!((colour.munsell_value() - slice.value_munsell).abs() < 0.02 || !colour.in_srgb());
                    let alone = mixtures.nearest(colour, HIT_CIEDE2000, Corners::default()).unwrap();
                    assert!(*held == (alone.ciede2000 <= HIT_CIEDE2000) || (alone.ciede2000 - 1.0).abs() < 0.05);
                }
            }
            assert!(all > 60, "{mixing:?}: {all}");
        }
    }

    #[test]
    fn a_photo_of_mixtures_is_reached_whole_and_a_foreign_third_is_named() {
        let board = board(&BRICKS);
        let mixing = Mixing::Perceptual;
        let swatch = |hex: &str| Colour::from_hex(hex).unwrap();
        let mix = |t: f32| mixing.mixed([(swatch(BRICKS[0]), 1.0 - t), (swatch(BRICKS[2]), t)]).to_srgb8();
        let row = |green: bool| {
            (0..90_u8).flat_map(move |x| if green && x >= 60 { [38, 92, 60] } else { mix(f32::from(x % 60) / 60.0) })
        };
        let reach = |green: bool| {
            let photo = photo_of(90, &(0..60).flat_map(|_| row(green)).collect::<Vec<u8>>());
            PhotoReach::of(&board, mixing, &photo.view(Adjustments::default())).unwrap()
        };
        let whole = reach(false);
        assert!((whole.share - 1.0).abs() < 1e-9 && whole.addition.is_none(), "{whole:?}");
        let third = reach(true);
        assert!((third.share - 2.0 / 3.0).abs() < 0.02, "{}", third.share);
        let addition = third.addition.unwrap();
        assert!((addition.gain - 1.0 / 3.0).abs() < 0.02, "{addition:?}");
        assert!(addition.words.ends_with("green") && addition.words.starts_with("a "), "{}", addition.words);
        assert!((third.colours.iter().map(|c| c.share).sum::<f64>() - 1.0).abs() < 1e-9);
    }

    #[test]
    fn mixtures_are_known_from_what_only_lies_near() {
        let board = board(&["#404040", "#c0c0c0"]);
        assert!(is_mixture(&board, Mixing::Perceptual, Colour::from_srgb8([0x80; 3])));
        assert!(!is_mixture(&board, Mixing::Perceptual, Colour::from_srgb8([0x84, 0x80, 0x80])));
        assert!(!is_mixture(&board, Mixing::Perceptual, Colour::from_srgb8([0x20; 3])));
    }
}
