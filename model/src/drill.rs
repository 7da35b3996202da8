//! Drills: one thing about colour at a time, asked of made-up chips, so that the eye can be trained without a study.
//!
//! Every question is made from a seed and the same for the same seed. A run has [`QUESTIONS`], each harder than the one before; the steps
//! are common practice, no published source.

use crate::board::{Board, LightOfDay, Role};
use crate::colour::warmth::{AXIS, warmer_by};
use crate::colour::{Colour, Oklab, Oklch, narrow};
use crate::random::SplitMix64;
use crate::variation::relight::relight;
use serde::{Deserialize, Serialize};

/// Questions of a run.
pub const QUESTIONS: usize = 8;
/// How much warmer one of a pair is than the other, question by question, OKLab units; 0.02 is about just visible (CSS Color 4).
const WARMTH_STEPS: [f32; QUESTIONS] = [0.06, 0.05, 0.045, 0.04, 0.035, 0.03, 0.025, 0.02];
/// How far the light is from daylight, question by question, reciprocal megakelvin, a scale of steps that look about equal (CIE 15:2004).
const LIGHT_STEPS: [f32; QUESTIONS] = [140.0, 120.0, 100.0, 90.0, 80.0, 70.0, 60.0, 50.0];
/// Daylight, reciprocal megakelvin (6504 K).
const DAYLIGHT_MIRED: f32 = 153.75;
/// The coolest light there is, reciprocal megakelvin (25 000 K).
const COOLEST_MIRED: f32 = 40.0;
/// A value guessed this near counts as right, Munsell values.
pub const VALUE_HIT: f64 = 0.5;
/// Surfaces that the light falls on, as they are in daylight: invented for a street beside a depot.
const SURFACES: [&str; 10] =
    ["#8a5a4e", "#b9a184", "#5f6b4c", "#6d7078", "#a9a59c", "#7d4b39", "#c9bd9a", "#4f5a66", "#8c8f6e", "#93705a"];
/// Chips that a light is told from.
const CHIPS: usize = 5;

/// What is asked.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Drill {
    /// The grey of the same value as a colour.
    Value,
    /// Which of two colours is warmer.
    Warmth,
    /// Which light of the day falls on a few surfaces.
    Light,
}

impl Drill {
    /// All of them.
    pub const ALL: [Drill; 3] = [Drill::Value, Drill::Warmth, Drill::Light];
}

/// One question.
#[derive(Clone, PartialEq, Debug)]
pub enum Question {
    /// A colour whose value is to be found on a scale of greys.
    Value(Colour),
    /// Two colours, left and right.
    Warmth([Colour; 2]),
    /// Surfaces, and the light that falls on them.
    Light(Vec<Colour>, LightOfDay),
}

/// What was answered.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Reply {
    /// A grey, Munsell values, 0 to 10.
    Value(f32),
    /// The right one of two is warmer, or the left one.
    RightIsWarmer(bool),
    /// A light.
    Light(LightOfDay),
}

/// An answer and what it was worth.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// Whether it was right.
    pub right: bool,
    /// By how much a value was missed, Munsell values, positive for too light; for a pair how much warmer the warmer one was, OKLab
    /// units; for a light 0.
    pub by: f64,
}

/// A question. `number` counts from 0 within its run; from [`QUESTIONS`] on it is as hard as the last.
pub fn question(drill: Drill, seed: u64, number: usize) -> Question {
    let mut random = SplitMix64(seed.wrapping_mul(31).wrapping_add(number as u64));
    let number = number.min(QUESTIONS - 1);
    match drill {
        Drill::Value => Question::Value(any_colour(&mut random)),
        Drill::Warmth => Question::Warmth(pair(&mut random, WARMTH_STEPS[number])),
        Drill::Light => {
            let light = LightOfDay::ALL[(random.next_u64() % 3) as usize];
            Question::Light(surfaces(&mut random, light, LIGHT_STEPS[number]), light)
        }
    }
}

impl Question {
    /// What an answer is worth; none where it answers another kind of question.
    pub fn judge(&self, reply: Reply) -> Option<Answer> {
        Some(match (self, reply) {
            (Question::Value(colour), Reply::Value(value)) => {
                let by = f64::from(value) - f64::from(colour.munsell_value());
                Answer { right: by.abs() <= VALUE_HIT, by }
            }
            (Question::Warmth([left, right]), Reply::RightIsWarmer(answered)) => {
                let by = warmer_by(*right, *left);
                Answer { right: answered == (by > 0.0), by: f64::from(by.abs()) }
            }
            (Question::Light(_, light), Reply::Light(answered)) => Answer { right: *light == answered, by: 0.0 },
            (Question::Value(_), Reply::RightIsWarmer(_) | Reply::Light(_))
            | (Question::Warmth(_), Reply::Value(_) | Reply::Light(_))
            | (Question::Light(..), Reply::Value(_) | Reply::RightIsWarmer(_)) => return None,
        })
    }
}

/// A number between two others.
fn between(random: &mut SplitMix64, low: f32, high: f32) -> f32 {
    low + (high - low) * narrow(random.fraction())
}

/// What a screen of 8 bits a channel shows of a colour.
fn shown(colour: Colour) -> Colour {
    Colour::from_srgb8(colour.to_srgb8())
}

/// A colour that sRGB holds, neither black nor white.
fn any_colour(random: &mut SplitMix64) -> Colour {
    let (l, h_degrees) = (between(random, 0.35, 0.85), between(random, 0.0, 360.0));
    let mut chroma = between(random, 0.03, 0.14);
    loop {
        let colour = Oklch { l, c: chroma, h_degrees }.colour();
        if colour.in_srgb() {
            return shown(colour);
        }
        chroma *= 0.9;
    }
}

/// Two colours, of which one is warmer by about `step`; they differ a little in lightness and across the axis too, so that neither tells.
fn pair(random: &mut SplitMix64, step: f32) -> [Colour; 2] {
    loop {
        let one = any_colour(random).oklab();
        let (across, lighter) = (between(random, -0.3, 0.3) * step, between(random, -0.03, 0.03));
        let [along_a, along_b] = AXIS.map(narrow);
        let other = Oklab {
            l: one.l + lighter,
            a: one.a + step * along_a + across * along_b,
            b: one.b + step * along_b - across * along_a,
        };
        let [cool, warm] = [one, other].map(Oklab::colour);
        // After rounding to what a screen shows, the step is still there.
        let steps = warm.in_srgb() && warmer_by(shown(warm), shown(cool)) > 0.7 * step;
        if steps {
            let pair = [shown(cool), shown(warm)];
            return if random.next_u64() & 1 == 0 { pair } else { [pair[1], pair[0]] };
        }
    }
}

/// A few surfaces in a light, none of them white.
fn surfaces(random: &mut SplitMix64, light: LightOfDay, step: f32) -> Vec<Colour> {
    let kelvin = match light {
        LightOfDay::Warm => 1e6 / (DAYLIGHT_MIRED + step),
        LightOfDay::Cool => 1e6 / (DAYLIGHT_MIRED - step).max(COOLEST_MIRED),
        LightOfDay::Neutral => 1e6 / DAYLIGHT_MIRED,
    };
    let mut hexes = SURFACES.to_vec();
    let mut chosen = Vec::with_capacity(CHIPS);
    while chosen.len() < CHIPS {
        let place = usize::try_from(random.next_u64() % hexes.len() as u64).unwrap_or_default();
        let hex = hexes.swap_remove(place);
        // Every hexadecimal number of the table is a colour.
        let Ok(colour) = Colour::from_hex(hex) else { continue };
        // The same surface in more or less of the light.
        let amount = between(random, 0.6, 1.3);
        chosen.push(Colour::new(colour.r * amount, colour.g * amount, colour.b * amount));
    }
    let in_daylight = chosen.clone();
    relit(&chosen, kelvin).unwrap_or(in_daylight).into_iter().map(shown).collect()
}

/// Colours as they look in a light; none where a board cannot hold them.
fn relit(colours: &[Colour], kelvin: f32) -> Option<Vec<Colour>> {
    let (mut board, family) = Board::new("light", LightOfDay::Neutral).with_family("surfaces").ok()?;
    for (i, colour) in colours.iter().enumerate() {
        board = board.with_swatch(family, Role::Accent, &format!("surface {i}"), *colour, &[]).ok()?.0;
    }
    let relit = relight(&board, kelvin.clamp(1700.0, 25_000.0)).ok()?.board;
    Some(relit.swatches().map(|(_, swatch)| swatch.colour).collect())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::colour::warmth::warmth;

    fn all(drill: Drill) -> impl Iterator<Item = Question> {
        (0..60).flat_map(move |seed| (0..QUESTIONS).map(move |n| question(drill, seed, n)))
    }

    #[test]
    fn questions_are_the_same_for_the_same_seed_and_others_for_another() {
        for drill in Drill::ALL {
            assert_eq!(question(drill, 7, 3), question(drill, 7, 3));
            assert_ne!(question(drill, 7, 3), question(drill, 8, 3));
            assert_ne!(question(drill, 7, 3), question(drill, 7, 4));
        }
    }

    #[test]
    fn a_value_is_right_within_half_a_step_and_the_miss_has_its_sign() {
        for asked in all(Drill::Value) {
            let Question::Value(colour) = &asked else { panic!("{asked:?}") };
            let value = colour.munsell_value();
            assert!((1.5..9.0).contains(&value), "{value}");
            for (off, right) in [(0.0, true), (0.4, true), (-0.4, true), (0.6, false), (-2.0, false)] {
                let answer = asked.judge(Reply::Value(value + off)).unwrap();
                assert_eq!(answer.right, right, "{off}");
                assert!((answer.by - f64::from(off)).abs() < 1e-5);
            }
            assert_eq!(asked.judge(Reply::RightIsWarmer(true)), None);
        }
    }

    #[test]
    fn one_of_two_is_warmer_by_the_step_and_sits_on_either_side() {
        let (mut rights, mut count) = (0, 0);
        for (i, asked) in all(Drill::Warmth).enumerate() {
            let Question::Warmth([left, right]) = asked else { panic!("{asked:?}") };
            let by = warmer_by(right, left);
            let step = WARMTH_STEPS[i % QUESTIONS];
            assert!((0.7 * step..1.3 * step).contains(&by.abs()), "{by} for {step}");
            assert!((left.l_star() - right.l_star()).abs() < 12.0, "lightness must not tell");
            let answer = asked.judge(Reply::RightIsWarmer(by > 0.0)).unwrap();
            assert!(answer.right && !asked.judge(Reply::RightIsWarmer(by < 0.0)).unwrap().right);
            rights += usize::from(by > 0.0);
            count += 1;
        }
        assert!((count * 2 / 5..=count * 3 / 5).contains(&rights), "{rights} of {count}");
    }

    #[test]
    fn the_light_shows_in_the_mean_of_the_surfaces() {
        for (i, asked) in all(Drill::Light).enumerate() {
            let Question::Light(chips, light) = &asked else { panic!("{asked:?}") };
            assert_eq!(chips.len(), CHIPS);
            for other in LightOfDay::ALL {
                assert_eq!(asked.judge(Reply::Light(other)).unwrap().right, other == *light);
            }
            // The same surfaces in all three lights: warmer under the warm one, whatever the surfaces are.
            let mean = |light| {
                let mut random = SplitMix64(i as u64);
                let chips = surfaces(&mut random, light, LIGHT_STEPS[i % QUESTIONS]);
                chips.iter().map(|c| warmth(*c)).sum::<f32>() / CHIPS as f32
            };
            let [cool, neutral, warm] = [LightOfDay::Cool, LightOfDay::Neutral, LightOfDay::Warm].map(mean);
            assert!(cool + 0.008 < neutral && neutral + 0.008 < warm, "{cool} {neutral} {warm}");
        }
    }
}
