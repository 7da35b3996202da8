//! Getting better: the figures of a painter's studies and exercises over the months, as charts, as a table, and as one sentence for the
//! next study.
//!
//! | question | where |
//! | --- | --- |
//! | what is told of one study, and of one exercise | [`StudyFigures`], [`Miss`] |
//! | the charts, the same on screen and in files | [`chart`](mod@chart) |
//! | days and months | `days` |
//! | a drawing and a table for other programs | [`svg`], [`csv`] |
//! | what to try next time | [`advice`](mod@advice) |

pub mod advice;
pub mod chart;
pub mod csv;
mod days;
pub mod svg;

pub use advice::{Advice, advice};
pub use chart::{Chart, Mark, Point, charts};

use crate::colour::Colour;
use crate::colour::warmth::warmer_by;
use crate::drill::Drill;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// How something was missed: on the whole, and in the mean with signs left out.
#[derive(Clone, Copy, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lean {
    /// The mean with its sign: a painter who is as often above as below has none.
    pub lean: f64,
    /// The mean of the sizes.
    pub size: f64,
}

/// How colours were missed, by value (Munsell values, positive for too light), warmth (OKLab units along the warmth axis, positive for
/// too warm) and chroma (OKLCh, positive for too strong).
#[derive(Clone, Copy, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Miss {
    /// Lightness.
    pub value: Lean,
    /// Warm and cool.
    pub warmth: Lean,
    /// Strength of colour.
    pub chroma: Lean,
}

impl Miss {
    /// Of pairs: the colour that was made, the one that was wanted, and how much the pair counts. None without a pair that counts.
    pub fn of(pairs: impl IntoIterator<Item = (Colour, Colour, f64)>) -> Option<Self> {
        let (mut all, mut sums) = (0.0, [[0.0; 2]; 3]);
        for (made, wanted, weight) in pairs {
            let value = f64::from(made.munsell_value()) - f64::from(wanted.munsell_value());
            let warmth = f64::from(warmer_by(made, wanted));
            let chroma = f64::from(made.oklch().c) - f64::from(wanted.oklch().c);
            for (sum, by) in sums.iter_mut().zip([value, warmth, chroma]) {
                sum[0] += weight * by;
                sum[1] += weight * by.abs();
            }
            all += weight;
        }
        let [value, warmth, chroma] = sums.map(|[lean, size]| Lean { lean: lean / all, size: size / all });
        (all > 0.0).then_some(Miss { value, warmth, chroma })
    }
}

/// The figures of one study, as they are read from its file.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StudyFigures {
    /// Name of its board.
    pub board: String,
    /// Strokes laid.
    pub strokes: u64,
    /// Share of the painted area that is from the board, 0-1.
    pub board_share: f64,
    /// Share of the painted area that is free colour, 0-1.
    pub free_share: f64,
    /// Bare share of the canvas, 0-1; 1 for a study without paint.
    pub bare_share: f64,
    /// After how many strokes free colour was opened, each time.
    pub free_opened: Vec<u64>,
    /// Whether it was painted without its photo.
    pub from_memory: bool,
    /// After how many strokes its photo was opened, each time.
    pub photo_opened: Vec<u64>,
    /// Seconds at work.
    pub worked_s: u64,
    /// Length of its stint, minutes.
    pub stint_min: Option<u32>,
    /// Remarks on its board that are left open.
    pub remarks: u64,
    /// How its surfaces miss its photo; none without a photo, or without enough paint.
    pub miss: Option<Miss>,
}

/// A study on its day.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct StudyOnDay {
    /// Its file.
    pub file: PathBuf,
    /// Its name.
    pub name: String,
    /// The day it was last painted on, `2026-11-25`.
    pub day: String,
    /// Its figures.
    #[serde(flatten)]
    pub figures: StudyFigures,
}

/// What was practised.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
pub enum Practice {
    /// Swatches from memory.
    Swatches,
    /// One thing at a time.
    Drill(Drill),
}

/// An exercise on its day.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct ExerciseOnDay {
    /// The day, `2026-11-25`.
    pub day: String,
    /// What was practised.
    pub practice: Practice,
    /// The board it was on, for swatches.
    pub board: Option<String>,
    /// How colours were missed, where the exercise tells.
    pub miss: Option<Miss>,
    /// How many answers were right, and of how many, where there is a right and a wrong.
    pub right: Option<(usize, usize)>,
}

/// Everything, the oldest first.
#[derive(Clone, PartialEq, Debug, Default, Serialize)]
pub struct Progress {
    /// Studies with paint on them.
    pub studies: Vec<StudyOnDay>,
    /// Exercises.
    pub exercises: Vec<ExerciseOnDay>,
    /// Studies that cannot be read.
    pub unreadable: Vec<PathBuf>,
}

impl Progress {
    /// Boards that more than one study was painted with, and how many; the most used first.
    pub fn boards_used_again(&self) -> Vec<(String, usize)> {
        let mut counts = std::collections::BTreeMap::<&str, usize>::new();
        for study in &self.studies {
            *counts.entry(&study.figures.board).or_default() += 1;
        }
        let mut again: Vec<_> = counts.into_iter().filter(|(_, n)| *n > 1).map(|(b, n)| (b.to_owned(), n)).collect();
        again.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
        again
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
pub(crate) mod tests {
    use super::*;

    /// A study of a day with a lean in value; all else middling.
    pub fn study(name: &str, day: &str, value: f64) -> StudyOnDay {
        let lean = |lean: f64| Lean { lean, size: lean.abs() + 0.1 };
        StudyOnDay {
            file: PathBuf::from(format!("/studies/{name}.stint")),
            name: name.to_owned(),
            day: day.to_owned(),
            figures: StudyFigures {
                board: "Tram depot".to_owned(),
                strokes: 120,
                board_share: 0.94,
                free_share: 0.06,
                bare_share: 0.02,
                free_opened: vec![90],
                from_memory: false,
                photo_opened: Vec::new(),
                worked_s: 1500,
                stint_min: Some(20),
                remarks: 2,
                miss: Some(Miss { value: lean(value), warmth: lean(0.01), chroma: lean(-0.02) }),
            },
        }
    }

    #[test]
    fn a_miss_has_its_lean_and_its_size() {
        let grey = |value: f64| {
            let y = crate::colour::munsell::y_of_munsell_value(value) as f32;
            Colour::new(y, y, y)
        };
        let miss = Miss::of([(grey(6.0), grey(5.0), 1.0), (grey(4.0), grey(5.0), 3.0)]).unwrap();
        assert!((miss.value.lean + 0.5).abs() < 1e-4 && (miss.value.size - 1.0).abs() < 1e-4, "{miss:?}");
        assert!(miss.warmth.size < 1e-4 && miss.chroma.size < 1e-4, "{miss:?}");
        assert_eq!(Miss::of([]), None);
        assert_eq!(Miss::of([(grey(1.0), grey(2.0), 0.0)]), None);
        let [warm, cool] = [[200, 150, 90], [120, 150, 190]].map(Colour::from_srgb8);
        let miss = Miss::of([(warm, cool, 1.0)]).unwrap();
        assert!(miss.warmth.lean > 0.1, "{miss:?}");
    }

    #[test]
    fn boards_that_were_used_again_are_counted() {
        let mut other = study("c", "2026-03-01", 0.0);
        other.figures.board = "Yard".to_owned();
        let studies = vec![study("a", "2026-01-01", 0.0), study("b", "2026-02-01", 0.0), other];
        let progress = Progress { studies, ..Progress::default() };
        assert_eq!(progress.boards_used_again(), [("Tram depot".to_owned(), 2)]);
    }
}
