//! One sentence for the next study, drawn from the figures of those before it, and only where they bear it.
//!
//! A lean is told when it is too steady to be chance. For every rule the last [`MOST`] studies that have the figure are held to Student's
//! t (one sample, two sides) at a level so low that all rules together, looked at after every study, seldom speak to a painter without a
//! lean: a test paints many such painters and counts. A lean must also be large enough to be worth a word.

use super::{Miss, StudyOnDay};

/// Fewest studies that bear a sentence.
pub const LEAST: usize = 5;
/// Studies that are looked at, the newest first.
pub const MOST: usize = 12;
/// Student's t with two sides at a level of 0.0005, for 4 degrees of freedom and on; a test works the areas out again from the density
/// (Student 1908).
const T: [f64; MOST - LEAST + 1] = [10.306, 7.976, 6.788, 6.082, 5.617, 5.291, 5.049, 4.863];
/// The aim: at most this share of the painted area in free colour. Common practice among painters, no published source.
const FREE_AIM: f64 = 0.1;

/// What to try in the next study.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Advice {
    /// What it is about, for not being told again: "value-dark".
    pub key: &'static str,
    /// The sentence.
    pub sentence: String,
}

/// A rule: what is looked at, how large a lean is worth a word, and what is said of one downwards and one upwards.
struct Rule {
    figure: fn(&StudyOnDay) -> Option<f64>,
    least: f64,
    down: Option<Said>,
    up: Option<Said>,
}

/// What is said of a lean.
struct Said {
    key: &'static str,
    ends: &'static str,
    then: fn(f64) -> String,
}

fn by_miss(study: &StudyOnDay, of: fn(&Miss) -> f64) -> Option<f64> {
    study.figures.miss.as_ref().map(of)
}

/// So many values, as a painter counts them.
fn values(size: f64) -> &'static str {
    match size {
        s if s < 0.75 => "half a value",
        s if s < 1.5 => "one value",
        _ => "two values",
    }
}

const RULES: [Rule; 4] = [
    Rule {
        figure: |s| by_miss(s, |m| m.value.lean),
        least: 0.3,
        down: Some(Said {
            key: "value-dark",
            ends: "end darker than their photo",
            then: |by| format!("start {} higher", values(by)),
        }),
        up: Some(Said {
            key: "value-light",
            ends: "end lighter than their photo",
            then: |by| format!("start {} lower", values(by)),
        }),
    },
    Rule {
        figure: |s| by_miss(s, |m| m.warmth.lean),
        least: 0.008,
        down: Some(Said {
            key: "warmth-cool",
            ends: "end cooler than their photo",
            then: |_| "let the first masses lean warmer".to_owned(),
        }),
        up: Some(Said {
            key: "warmth-warm",
            ends: "end warmer than their photo",
            then: |_| "let the first masses lean cooler".to_owned(),
        }),
    },
    Rule {
        figure: |s| by_miss(s, |m| m.chroma.lean),
        least: 0.01,
        down: Some(Said {
            key: "chroma-dull",
            ends: "end duller than their photo",
            then: |_| "pick the locals a step stronger".to_owned(),
        }),
        up: Some(Said {
            key: "chroma-strong",
            ends: "end stronger in colour than their photo",
            then: |_| "pick the locals a step greyer".to_owned(),
        }),
    },
    Rule {
        figure: |s| Some(s.figures.free_share - FREE_AIM),
        least: 0.03,
        down: None,
        up: Some(Said {
            key: "free-past-aim",
            ends: "go past a tenth of free colour",
            then: |_| "lay the colour you reach for on the board first".to_owned(),
        }),
    },
];

/// The one sentence that the figures bear best; none where they bear none, or none that was not sent away: `away` holds the keys of those.
/// Studies are given oldest first.
pub fn advice(studies: &[StudyOnDay], away: &[String]) -> Option<Advice> {
    let found = RULES.iter().filter_map(|rule| {
        let figures = studies.iter().rev().filter_map(|s| (rule.figure)(s)).take(MOST).collect::<Vec<_>>();
        let t = steady(&figures)?;
        let mean = mean(&figures);
        if mean.abs() < rule.least {
            return None;
        }
        let said = if mean < 0.0 { rule.down.as_ref() } else { rule.up.as_ref() }?;
        if away.iter().any(|key| key == said.key) {
            return None;
        }
        let times = figures.iter().filter(|f| f.signum() == mean.signum()).count();
        let (all, then) = (figures.len(), (said.then)(mean.abs()));
        let sentence = if times == all {
            format!("Your last {} studies {}: {then}.", number(all), said.ends)
        } else {
            format!("{} of your last {} studies {}: {then}.", capital(&number(times)), number(all), said.ends)
        };
        Some((t, Advice { key: said.key, sentence }))
    });
    found.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, advice)| advice)
}

fn mean(figures: &[f64]) -> f64 {
    figures.iter().sum::<f64>() / figures.len().max(1) as f64
}

/// How far Student's t lies beyond its limit, as a ratio, where the figures lean too steadily for chance.
fn steady(figures: &[f64]) -> Option<f64> {
    let limit = T.get(figures.len().checked_sub(LEAST)?)?;
    let (count, mean) = (figures.len() as f64, mean(figures));
    let variance = figures.iter().map(|f| (f - mean).powi(2)).sum::<f64>() / (count - 1.0);
    // Figures that are all the same, to the last digit, are a program's, and as steady as can be.
    let t = mean.abs() / (variance / count).sqrt().max(f64::MIN_POSITIVE);
    (t > *limit).then_some(t / limit)
}

fn number(count: usize) -> String {
    const WORDS: [&str; MOST + 1] =
        ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    WORDS.get(count).map_or_else(|| count.to_string(), |word| (*word).to_owned())
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::tests::study;
    use super::super::{Lean, Miss};
    use super::*;
    use crate::random::SplitMix64;

    /// A number of the normal distribution (Box and Muller 1958).
    fn normal(random: &mut SplitMix64) -> f64 {
        let (one, two) = (random.fraction().max(1e-12), random.fraction());
        (-2.0 * one.ln()).sqrt() * (std::f64::consts::TAU * two).cos()
    }

    /// A painter's studies, one after the other: leans in value, warmth and chroma around a mean, and free colour around the aim.
    fn painter(
        random: &mut SplitMix64,
        count: usize,
        lean: [f64; 3],
        spread: [f64; 3],
        heavy: bool,
    ) -> Vec<StudyOnDay> {
        (0..count)
            .map(|_| {
                let mut study = study("a", "2026-01-01", 0.0);
                // Now and then a study goes quite wrong: the tails are heavier than the normal distribution's.
                let wild = if heavy && random.fraction() < 0.15 { 4.0 } else { 1.0 };
                let [v, w, c] = [0, 1, 2].map(|i| lean[i] + spread[i] * wild * normal(random));
                let lean = |lean: f64| Lean { lean, size: lean.abs() };
                study.figures.miss = Some(Miss { value: lean(v), warmth: lean(w), chroma: lean(c) });
                study.figures.free_share = (0.1 + 0.06 * normal(random)).clamp(0.0, 1.0);
                study
            })
            .collect()
    }

    /// Painters without a lean, at home anywhere between sure and wild hands: over their first forty studies, looked at after every one of
    /// them, fewer than 5 in 100 are ever told anything.
    #[test]
    fn a_painter_without_a_lean_is_seldom_told_of_one() {
        let mut random = SplitMix64(2026);
        for (name, spread, heavy) in [
            ("a sure hand", [0.15, 0.006, 0.006], false),
            ("a usual hand", [0.5, 0.02, 0.02], false),
            ("a wild hand", [1.5, 0.06, 0.06], false),
            ("a hand that slips now and then", [0.5, 0.02, 0.02], true),
        ] {
            let painters = 1500;
            let told = (0..painters)
                .filter(|_| {
                    let studies = painter(&mut random, 40, [0.0; 3], spread, heavy);
                    (1..=studies.len()).any(|n| advice(&studies[..n], &[]).is_some())
                })
                .count();
            let share = told as f64 / f64::from(painters);
            println!("{name}: {share:.4}");
            assert!(share < 0.05, "{name}: {share}");
        }
    }

    /// A lean that a teacher would see is told of within a dozen studies, and of the right kind.
    #[test]
    fn a_steady_lean_is_told_in_time() {
        let mut random = SplitMix64(7);
        for (lean, key) in
            [([-0.9, 0.0, 0.0], "value-dark"), ([0.0, 0.035, 0.0], "warmth-warm"), ([0.0, 0.0, -0.035], "chroma-dull")]
        {
            let told = (0..300)
                .filter(|_| {
                    let studies = painter(&mut random, 12, lean, [0.4, 0.015, 0.015], false);
                    advice(&studies, &[]).is_some_and(|a| a.key == key)
                })
                .count();
            assert!(told > 270, "{key}: {told} of 300");
        }
    }

    #[test]
    fn five_studies_are_needed_and_a_small_lean_is_no_matter() {
        let dark = |count: usize, by: f64| -> Vec<StudyOnDay> {
            (0..count).map(|i| study("a", "2026-01-01", by + 0.01 * (i % 3) as f64)).collect()
        };
        // Their warmth and chroma lean too, all alike; only value is looked at here.
        let away: Vec<String> = ["warmth-warm", "chroma-dull"].map(str::to_owned).to_vec();
        assert_eq!(advice(&dark(4, -0.9), &away), None);
        let told = advice(&dark(5, -0.9), &away).unwrap();
        assert_eq!(told.key, "value-dark");
        assert_eq!(told.sentence, "Your last five studies end darker than their photo: start one value higher.");
        assert_eq!(advice(&dark(9, -0.2), &away), None, "too small to be worth a word");
        let half = advice(&dark(7, 0.5), &away).unwrap();
        assert_eq!(half.sentence, "Your last seven studies end lighter than their photo: start half a value lower.");
        // Sent away for good.
        let away: Vec<String> = away.into_iter().chain(["value-dark".to_owned()]).collect();
        assert_eq!(advice(&dark(9, -0.9), &away), None);
        // What was long ago does not count.
        let mut mended = dark(12, -0.9);
        mended.extend((0..12).map(|i| study("b", "2026-05-01", if i % 2 == 0 { 0.2 } else { -0.2 })));
        assert_eq!(advice(&mended, &away[..2]), None);
        let mut mostly = dark(11, -0.9);
        mostly.insert(4, study("b", "2026-01-01", 0.05));
        let told = advice(&mostly, &away[..2]).unwrap();
        assert!(told.sentence.starts_with("Eleven of your last twelve studies end darker"), "{}", told.sentence);
    }

    /// The limits of Student's t against the area under its density, by the rule of midpoints.
    #[test]
    fn the_limits_leave_one_in_two_thousand() {
        for (i, limit) in T.iter().enumerate() {
            let freedom = (LEAST - 1 + i) as f64;
            // Without its constant: the areas are compared with the whole.
            let density = |t: f64| (1.0 + t * t / freedom).powf(-(freedom + 1.0) / 2.0);
            let area = |from: f64, to: f64| {
                let steps = 200_000;
                let width = (to - from) / f64::from(steps);
                (0..steps).map(|k| density(from + (f64::from(k) + 0.5) * width) * width).sum::<f64>()
            };
            let beyond = area(*limit, 400.0) / area(0.0, 400.0);
            assert!((beyond - 0.0005).abs() < 1e-5, "{freedom} degrees of freedom: {beyond}");
        }
    }
}
