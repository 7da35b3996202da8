//! Words of the exercise from memory.

use stint_model::board::LightOfDay;
use stint_model::colour::deviation::Deviation;
use stint_model::drill::{Answer, Drill, Question, Reply};

/// Shown beside the mixing sliders of the exercise.
pub const MEMORY_HINT: &str = "Mix it until it looks as you remember it. Photo, tray and painting are out of sight.";
/// Which of how many.
pub fn step_of(step: usize, all: usize) -> String {
    format!("{step} of {all}")
}
/// Slider of the Munsell value of the guess.
pub const GUESS_VALUE: &str = "Value";
/// Accessible name of the plane.
pub const GUESS_PLANE: &str = "Guess: hue to the right, chroma upwards, at this value";
/// Accessible name of the mixed colour.
pub const GUESS: &str = "The colour you mix";
/// Button that ends a guess and shows the swatch beside it.
pub const SHOW_SWATCH: &str = "Show";
/// Button that goes to the next swatch of the sitting.
pub const NEXT_SWATCH: &str = "Next";
/// Button after the last swatch, to the summary.
pub const END_SITTING: &str = "See how it went";
/// Button of the summary that starts another sitting.
pub const AGAIN: &str = "Once more";
/// Label of the guessed colour.
pub const YOURS: &str = "yours";
/// A value on its slider.
pub fn value_1(value: f32) -> String {
    format!("{value:.1}")
}
/// How far off, with what the figure is.
pub const DIFFERENCE: &str = "difference (1 is just visible)";
/// The mean of a sitting.
pub const MEAN_DIFFERENCE: &str = "mean difference of this sitting";
/// The miss, a line each, the largest part first: values in steps, all else in words.
pub fn miss_lines(miss: &Deviation) -> Vec<String> {
    let told: Vec<_> = miss.axes().into_iter().filter_map(|axis| miss.graded(axis)).collect();
    match told.is_empty() || miss.is_hit() {
        true => vec![super::sentence_start(&miss.sentence())],
        false => told.iter().map(|words| super::sentence_start(words)).collect(),
    }
}
/// The same in one line.
pub fn miss_line(miss: &Deviation) -> String {
    super::sentence_start(&miss_lines(miss).join(", ").to_lowercase())
}
/// A line of the summary where there is no picture.
pub fn tried_line(name: &str, delta_e: f64, sentence: &str) -> String {
    format!("{name}: {delta_e:.1}, {sentence}")
}
/// Title of the chart.
pub const OVER_SITTINGS: &str = "Mean difference, sitting by sitting";
/// Before there is a line.
pub const FIRST_SITTING: &str = "The first sitting. The next ones draw a line here.";
/// What the chart says where there is no picture.
pub fn sittings_words(count: usize, first: f64, last: f64) -> String {
    format!("{OVER_SITTINGS}: {count} sittings, the first {first:.1}, the last {last:.1}")
}
/// The exercises of the page.
pub const EXERCISES: [(Option<Drill>, &str); 4] = [
    (None, "Swatches"),
    (Some(Drill::Value), "Values"),
    (Some(Drill::Warmth), "Warmth"),
    (Some(Drill::Light), "Light"),
];
/// What a drill asks.
pub fn drill_question(drill: Drill) -> &'static str {
    match drill {
        Drill::Value => "Which grey is as light?",
        Drill::Warmth => "Which is warmer?",
        Drill::Light => "Which light is it?",
    }
}
/// How it is answered.
pub fn drill_hint(drill: Drill) -> &'static str {
    match drill {
        Drill::Value => "Set the grey on the right to the value of the colour on the left. Half-shut eyes help.",
        Drill::Warmth => "Press the warmer of the two, whatever their lightness.",
        Drill::Light => "These surfaces all lie in one light of the day. Look at all of them at once.",
    }
}
/// Accessible name of the colour whose value is looked for.
pub const DRILL_CHIP: &str = "The colour";
/// Accessible name of the grey that is set.
pub const DRILL_GREY: &str = "Your grey";
/// Accessible names of a pair.
pub const LEFT_CHIP: &str = "Left colour";
/// The other one.
pub const RIGHT_CHIP: &str = "Right colour";
/// Accessible name of the surfaces in a light.
pub const DRILL_SURFACES: &str = "Surfaces in one light";
/// Answers.
pub const LEFT_WARMER: &str = "The left one";
/// The other one.
pub const RIGHT_WARMER: &str = "The right one";
/// Button that ends setting the grey.
pub const SHOW_ANSWER: &str = "Hold together";
/// The answer was right.
pub const RIGHT_ANSWER: &str = "Right";
/// It was not.
pub const WRONG_ANSWER: &str = "Not this time";
/// What an answer was worth.
pub fn answer_words(question: &Question, reply: Reply, answer: &Answer) -> String {
    match (question, reply) {
        (Question::Value(colour), _) => {
            let value = format!("The colour has value {:.1}", colour.munsell_value());
            match (answer.by.abs() < 0.05, answer.by > 0.0) {
                (true, _) => format!("{value}, and so has your grey."),
                (false, true) => format!("{value}; your grey is {:.1} too light.", answer.by),
                (false, false) => format!("{value}; your grey is {:.1} too dark.", -answer.by),
            }
        }
        (Question::Warmth(_), Reply::RightIsWarmer(said_right)) => {
            let side = if said_right == answer.right { "right" } else { "left" };
            let degree = Deviation::degree(answer.by).unwrap_or("a little ");
            format!("The {side} one is {degree}warmer.")
        }
        (Question::Light(_, light), _) => match light {
            LightOfDay::Warm => "The light is warm, as of a low sun or a lamp.".to_owned(),
            LightOfDay::Cool => "The light is cool, as at blue hour or under an overcast sky.".to_owned(),
            LightOfDay::Neutral => "The light is neutral, as in the middle of the day.".to_owned(),
        },
        (Question::Warmth(_), Reply::Value(_) | Reply::Light(_)) => String::new(),
    }
}
/// Under the number of right answers.
pub fn right_of(questions: usize) -> String {
    format!("of {questions} right")
}
/// How values were missed over a run, Munsell values with their sign.
pub fn value_misses(misses: &[f64]) -> String {
    let count = misses.len().max(1) as f64;
    let far = misses.iter().map(|m| m.abs()).sum::<f64>() / count;
    let lean = misses.iter().sum::<f64>() / count;
    let words = format!("{far:.1} values off in the mean");
    match () {
        () if lean >= 0.15 => format!("{words}, and {lean:.1} too light on the whole."),
        () if lean <= -0.15 => format!("{words}, and {:.1} too dark on the whole.", -lean),
        () => format!("{words}, as often too light as too dark."),
    }
}
/// The runs before this one.
pub fn earlier_runs(right: &[usize]) -> String {
    let list: Vec<String> = right.iter().map(usize::to_string).collect();
    format!("Before: {} right", list.join(", "))
}
/// An answer among those of a run, where there is no picture.
pub fn answer_sign(number: usize, right: bool) -> String {
    format!("Question {number}: {}", if right { "right" } else { "wrong" })
}

/// Begins a study that paints the open one again.
pub const PAINT_AGAIN: &str = "Paint it again without the photo";
/// What that is.
pub const PAINT_AGAIN_LINE: &str = "A new study on the same board and canvas. Its photo is shut until you open it.";
/// In the place of a photo that is shut.
pub const PHOTO_IS_SHUT: &str = "The photo is shut. This study is painted from memory.";
/// Accessible name of the button that opens the sheet [`OPEN_PHOTO_SHEET`].
pub const OPEN_PHOTO_NAME: &str = "Open the photo of this study";
/// Title of the sheet.
pub const OPEN_PHOTO_SHEET: &str = "Open the photo?";
/// Text of the sheet.
pub const OPENING_PHOTO: &str = "Then both studies can be held against it. The study notes that the photo was opened, with the shares of \
     this moment.";
/// Button of the sheet.
pub const OPEN_PHOTO: &str = "Open the photo";
/// Accessible name of the button that shuts it again.
pub const SHUT_PHOTO_NAME: &str = "Shut the photo again";
/// Title of the page of the photo and its two studies, and its button.
pub const SIDE_BY_SIDE: &str = "Side by side";
/// Accessible name of the button.
pub const SIDE_BY_SIDE_NAME: &str = "The photo and both studies of it side by side";
/// Under the study that was painted with the photo.
pub const WITH_PHOTO: &str = "Painted with the photo";
/// Under the photo.
pub const THE_PHOTO: &str = "The photo";
/// Under the study from memory.
pub const PAINTED_FROM_MEMORY: &str = "Painted from memory";
/// The study that was painted with the photo is not where it was.
pub fn study_missing(name: &str) -> String {
    format!("{name} is not beside this study")
}

/// The board is empty.
pub const NOTHING_TO_RECALL: &str = "The board is empty. Lay swatches on it, then come back to find them from memory.";
