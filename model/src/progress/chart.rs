//! The charts: a row a measure, one axis of time for all of them.

use super::{Miss, Practice, Progress, StudyFigures, StudyOnDay, days};
use crate::colour::deviation::Deviation;
use crate::drill::Drill;

/// Most names of months on the axis.
const MONTHS: usize = 8;

/// What a point stands for: told apart by shape.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Mark {
    /// A study painted with its photo, or without one.
    Study,
    /// A study painted from memory.
    FromMemory,
    /// Swatches from memory, or a drill.
    Exercise,
}

/// One point.
#[derive(Clone, PartialEq, Debug)]
pub struct Point {
    /// Its place on the axis of time, 0-1.
    pub x: f64,
    /// Its figure.
    pub figure: f64,
    /// What it says: "Depot, 12 Nov 2026: 0.4 too dark".
    pub words: String,
    /// The study that it is of, as a place in [`Progress::studies`].
    pub study: Option<usize>,
    /// Its shape.
    pub mark: Mark,
    /// Whether free colour was opened, in the chart of the board share.
    pub opened: bool,
}

/// One measure over time.
#[derive(Clone, PartialEq, Debug)]
pub struct Chart {
    /// What is measured: "Value against the photo".
    pub title: &'static str,
    /// What up and down mean.
    pub ends: [&'static str; 2],
    /// The figure at the lower edge and at the upper one.
    pub range: (f64, f64),
    /// Figures with a line across, and their words.
    pub lines: Vec<(f64, String)>,
    /// The points, the oldest first.
    pub points: Vec<Point>,
}

impl Chart {
    /// The height of a figure in the chart, 0 at the lower edge to 1 at the upper one.
    pub fn height(&self, figure: f64) -> f64 {
        let (low, high) = self.range;
        ((figure - low) / (high - low)).clamp(0.0, 1.0)
    }
}

/// The names on the axis of time with their places, 0-1: months, or the first and the last day where there is no month between.
pub fn axis(progress: &Progress) -> Vec<(f64, String)> {
    let Some(time) = Time::of(progress) else { return Vec::new() };
    let months = days::months(time.first, time.last, MONTHS);
    if months.len() >= 2 {
        return months.into_iter().map(|(day, words)| (time.place(day, 0.0), words)).collect();
    }
    let mut ends = vec![(time.place(time.first, 0.5), days::words(time.first))];
    if time.last > time.first {
        ends.push((time.place(time.last, 0.5), days::words(time.last)));
    }
    ends
}

/// The charts that have something to show, in the order in which they are looked at.
pub fn charts(progress: &Progress) -> Vec<Chart> {
    let Some(time) = Time::of(progress) else { return Vec::new() };
    let places = Places::of(progress, &time);
    let misses: [(&str, [&str; 2], Scale, Lean); 3] = [
        ("Value", ["too light", "too dark"], Scale::Values, |m| m.value.lean),
        ("Warmth", ["too warm", "too cool"], Scale::Degrees, |m| m.warmth.lean),
        ("Chroma", ["too strong", "too dull"], Scale::Degrees, |m| m.chroma.lean),
    ];
    let mut charts: Vec<Chart> = misses
        .into_iter()
        .map(|(title, ends, scale, lean)| miss(progress, &places, title, ends, scale, lean))
        .collect();
    charts.push(shares(progress, &places));
    charts.push(minutes(progress, &places));
    charts.push(remarks(progress, &places));
    for (drill, title) in
        [(Drill::Value, "Drill: value"), (Drill::Warmth, "Drill: warmer or cooler"), (Drill::Light, "Drill: the light")]
    {
        charts.push(drills(progress, &places, drill, title));
    }
    charts.retain(|chart| !chart.points.is_empty());
    charts
}

type Lean = fn(&Miss) -> f64;

/// The days that the axis covers, as numbers.
struct Time {
    first: i64,
    last: i64,
}

impl Time {
    fn of(progress: &Progress) -> Option<Self> {
        let studies = progress.studies.iter().map(|s| &s.day);
        let all = studies.chain(progress.exercises.iter().map(|e| &e.day)).filter_map(|day| days::number_of(day));
        let (first, last) = all.fold((i64::MAX, i64::MIN), |(low, high), day| (low.min(day), high.max(day)));
        (first <= last).then_some(Time { first, last })
    }

    /// The place of a moment of a day, 0-1; `part` is how much of the day has gone.
    fn place(&self, day: i64, part: f64) -> f64 {
        ((day - self.first) as f64 + part) / ((self.last - self.first) as f64 + 1.0)
    }
}

/// Where studies and exercises stand on the axis; those of one day beside each other, in their order. None for what has no day.
struct Places {
    studies: Vec<Option<f64>>,
    exercises: Vec<Option<f64>>,
}

impl Places {
    fn of(progress: &Progress, time: &Time) -> Self {
        let of = |days: Vec<Option<i64>>| {
            let among = |i: usize| {
                let same = |j: &usize| days[*j] == days[i];
                let (before, all) = ((0..i).filter(same).count(), (0..days.len()).filter(same).count());
                (before as f64 + 0.5) / all as f64
            };
            (0..days.len()).map(|i| Some(time.place(days[i]?, among(i)))).collect()
        };
        Places {
            studies: of(progress.studies.iter().map(|s| days::number_of(&s.day)).collect()),
            exercises: of(progress.exercises.iter().map(|e| days::number_of(&e.day)).collect()),
        }
    }
}

/// A figure of every study that has it, with its words.
fn of_studies<'a>(
    progress: &'a Progress,
    places: &'a Places,
    figure: impl Fn(&StudyOnDay) -> Option<(f64, String)> + 'a,
) -> impl Iterator<Item = Point> + 'a {
    let all = progress.studies.iter().zip(&places.studies).enumerate();
    all.filter_map(move |(i, (study, x))| {
        let ((figure, said), x) = (figure(study)?, (*x)?);
        let day = days::number_of(&study.day).map(days::words).unwrap_or_default();
        let mark = if study.figures.from_memory { Mark::FromMemory } else { Mark::Study };
        let words = format!("{}, {day}: {said}", study.name);
        Some(Point { x, figure, words, study: Some(i), mark, opened: false })
    })
}

/// How a miss is told, and what lines its chart has.
#[derive(Clone, Copy)]
enum Scale {
    /// In Munsell values, which painters count.
    Values,
    /// In words: nobody paints by OKLab units.
    Degrees,
}

impl Scale {
    /// The least that the chart reaches to both sides.
    fn least(self) -> f64 {
        match self {
            Scale::Values => 0.5,
            Scale::Degrees => Deviation::STEPS[0].0,
        }
    }

    /// A miss in words: "0.4 too dark", "a little cool", "as the photo".
    fn words(self, miss: f64, ends: [&str; 2], even: &str) -> String {
        let end = ends[usize::from(miss < 0.0)];
        match self {
            Scale::Values => {
                let steps = format!("{:.1}", miss.abs());
                if steps == "0.0" { even.to_owned() } else { format!("{steps} {end}") }
            }
            Scale::Degrees => Deviation::graded_fault(miss, end).unwrap_or_else(|| even.to_owned()),
        }
    }

    /// The lines of a chart that reaches so far to both sides.
    fn lines(self, far: f64) -> Vec<(f64, String)> {
        let steps = match self {
            Scale::Values => {
                let shown = step_below(far);
                vec![(0.0, "0".to_owned()), (shown, format!("{shown}"))]
            }
            Scale::Degrees => {
                let told = Deviation::STEPS.iter().filter(|(from, _)| *from <= far);
                let right = (0.0, Deviation::RIGHT.to_owned());
                std::iter::once(right).chain(told.map(|(from, word)| (*from, (*word).to_owned()))).collect()
            }
        };
        let below: Vec<_> = steps[1..].iter().map(|(at, words)| (-at, words.clone())).collect();
        steps.into_iter().rev().chain(below).collect()
    }
}

fn miss(
    progress: &Progress,
    places: &Places,
    title: &'static str,
    ends: [&'static str; 2],
    scale: Scale,
    lean: Lean,
) -> Chart {
    let studies = of_studies(progress, places, move |study| {
        let by = lean(study.figures.miss.as_ref()?);
        Some((by, scale.words(by, ends, "as the photo")))
    });
    let mut points: Vec<Point> = studies.collect();
    for (exercise, x) in progress.exercises.iter().zip(&places.exercises) {
        let (Some(found), Some(x)) = (&exercise.miss, *x) else { continue };
        let by = lean(found);
        let day = days::number_of(&exercise.day).map(days::words).unwrap_or_default();
        let words = format!("{}, {day}: {}", practice_words(exercise.practice), scale.words(by, ends, "as wanted"));
        points.push(Point { x, figure: by, words, study: None, mark: Mark::Exercise, opened: false });
    }
    points.sort_by(|a, b| a.x.total_cmp(&b.x));
    let far = points.iter().map(|p| p.figure.abs()).fold(scale.least(), f64::max) * 1.1;
    Chart { title, ends, range: (-far, far), lines: scale.lines(far), points }
}

/// The largest of 1, 2 and 5 times a power of ten that is not above a size.
fn step_below(size: f64) -> f64 {
    let power = libm::pow(10.0, libm::log10(size).floor());
    let step = [5.0, 2.0, 1.0].into_iter().map(|n| n * power).find(|step| *step <= size).unwrap_or(power);
    // What was a decimal fraction is one again.
    (step * 1e6).round() / 1e6
}

fn practice_words(practice: Practice) -> &'static str {
    match practice {
        Practice::Swatches => "Swatches from memory",
        Practice::Drill(Drill::Value) => "Drill of value",
        Practice::Drill(Drill::Warmth) => "Drill of warmth",
        Practice::Drill(Drill::Light) => "Drill of the light",
    }
}

fn shares(progress: &Progress, places: &Places) -> Chart {
    let points = of_studies(progress, places, |study| {
        let StudyFigures { board_share, free_opened, .. } = &study.figures;
        let mut words = format!("{:.0} % from the board", board_share * 100.0);
        if let Some(first) = free_opened.first() {
            words += &format!(", free colour opened after stroke {first}");
        }
        Some((*board_share, words))
    });
    let mut points: Vec<Point> = points.collect();
    for point in &mut points {
        let study = point.study.and_then(|i| progress.studies.get(i));
        point.opened = study.is_some_and(|s| !s.figures.free_opened.is_empty());
    }
    let lowest = points.iter().map(|p| p.figure).fold(0.8, f64::min);
    let low = ((lowest * 10.0 - 0.5).floor() / 10.0).clamp(0.0, 0.7);
    let lines = vec![(1.0, "100 %".to_owned()), (0.9, "90 %".to_owned())];
    Chart { title: "From the board", ends: ["board alone", "more free colour"], range: (low, 1.03), lines, points }
}

fn minutes(progress: &Progress, places: &Places) -> Chart {
    let points = of_studies(progress, places, |study| {
        let minutes = study.figures.worked_s / 60;
        // Nobody paints a study in no time: it is from before the time was counted.
        (minutes > 0).then(|| (minutes as f64, format!("{minutes} min at work")))
    });
    let points: Vec<Point> = points.collect();
    let most = points.iter().map(|p| p.figure).fold(20.0, f64::max);
    let shown = step_below(most);
    let lines = vec![(shown, format!("{shown} min")), (0.0, "0".to_owned())];
    Chart { title: "Minutes a study", ends: ["longer", "shorter"], range: (0.0, most * 1.1), lines, points }
}

fn remarks(progress: &Progress, places: &Places) -> Chart {
    let points = of_studies(progress, places, |study| {
        let remarks = study.figures.remarks;
        let noun = if remarks == 1 { "remark" } else { "remarks" };
        Some((remarks as f64, format!("{remarks} {noun} left open")))
    });
    let points: Vec<Point> = points.collect();
    let most = points.iter().map(|p| p.figure).fold(4.0, f64::max);
    let shown = step_below(most);
    let lines = vec![(shown, format!("{shown}")), (0.0, "0".to_owned())];
    Chart { title: "Remarks left open", ends: ["more", "fewer"], range: (0.0, most * 1.1), lines, points }
}

fn drills(progress: &Progress, places: &Places, drill: Drill, title: &'static str) -> Chart {
    let mut points = Vec::new();
    for (exercise, x) in progress.exercises.iter().zip(&places.exercises) {
        let (Practice::Drill(of), Some((right, all)), Some(x)) = (exercise.practice, exercise.right, *x) else {
            continue;
        };
        if of != drill || all == 0 {
            continue;
        }
        let day = days::number_of(&exercise.day).map(days::words).unwrap_or_default();
        let words = format!("{}, {day}: {right} of {all} right", practice_words(exercise.practice));
        let figure = right as f64 / all as f64;
        points.push(Point { x, figure, words, study: None, mark: Mark::Exercise, opened: false });
    }
    let lines = vec![(1.0, "all".to_owned()), (0.5, "half".to_owned())];
    Chart { title, ends: ["all right", "none right"], range: (0.0, 1.05), lines, points }
}

#[cfg(test)]
mod tests {
    use super::super::ExerciseOnDay;
    use super::super::tests::study;
    use super::*;

    fn progress() -> Progress {
        let mut memory = study("yard from memory", "2026-03-10", -0.9);
        memory.figures.from_memory = true;
        memory.figures.free_opened.clear();
        let exercise = |day: &str, practice, right| ExerciseOnDay {
            day: day.to_owned(),
            practice,
            board: None,
            miss: None,
            right: Some((right, 8)),
        };
        Progress {
            studies: vec![study("depot", "2026-01-10", 0.4), study("yard", "2026-03-10", 0.0), memory],
            exercises: vec![
                exercise("2026-02-01", Practice::Drill(Drill::Light), 6),
                exercise("2026-02-02", Practice::Drill(Drill::Light), 8),
            ],
            unreadable: Vec::new(),
        }
    }

    #[test]
    fn every_chart_has_its_points_in_their_order_and_in_its_range() {
        let progress = progress();
        let charts = charts(&progress);
        let titles: Vec<_> = charts.iter().map(|c| (c.title, c.points.len())).collect();
        let expected = [
            ("Value", 3),
            ("Warmth", 3),
            ("Chroma", 3),
            ("From the board", 3),
            ("Minutes a study", 3),
            ("Remarks left open", 3),
            ("Drill: the light", 2),
        ];
        assert_eq!(titles, expected);
        for chart in &charts {
            assert!(chart.points.windows(2).all(|p| p[0].x < p[1].x), "{}", chart.title);
            for point in &chart.points {
                assert!((0.0..=1.0).contains(&point.x) && (chart.range.0..=chart.range.1).contains(&point.figure));
            }
            for (figure, _) in &chart.lines {
                assert!((chart.range.0..=chart.range.1).contains(figure), "{}: {figure}", chart.title);
            }
        }
        let value = &charts[0].points;
        assert_eq!(value[0].words, "depot, 10 Jan 2026: 0.4 too light");
        assert_eq!(value[1].words, "yard, 10 Mar 2026: as the photo");
        assert_eq!(value[2].words, "yard from memory, 10 Mar 2026: 0.9 too dark");
        assert_eq!((value[2].study, value[2].mark), (Some(2), Mark::FromMemory));
        // Warmth and chroma are told in words, on the points and on the lines.
        for chart in &charts[1..3] {
            let lines: Vec<_> = chart.lines.iter().map(|(_, words)| words.as_str()).collect();
            assert!(lines.starts_with(&["plainly"]) || lines.starts_with(&["much", "plainly", "right"]), "{lines:?}");
            let all = chart.points.iter().map(|p| p.words.as_str()).chain(lines).collect::<String>();
            assert!(!all.contains("0."), "{all}");
        }
        assert_eq!(Scale::Degrees.words(-0.02, ["too warm", "too cool"], "as the photo"), "a little cool");
        assert_eq!(Scale::Degrees.words(0.07, ["too strong", "too dull"], "as the photo"), "much too strong");
        assert_eq!(Scale::Degrees.words(0.004, ["too warm", "too cool"], "as the photo"), "as the photo");
        // Two of one day stand beside each other.
        assert!(value[2].x > value[1].x);
        let shares: Vec<_> = charts[3].points.iter().map(|p| p.opened).collect();
        assert_eq!(shares, [true, true, false]);
        assert!(charts[3].points[0].words.ends_with("94 % from the board, free colour opened after stroke 90"));
        assert_eq!(charts[6].points[0].words, "Drill of the light, 1 Feb 2026: 6 of 8 right");
    }

    #[test]
    fn the_axis_names_months_or_the_days_at_its_ends() {
        let words = |progress: &Progress| axis(progress).into_iter().map(|(_, w)| w).collect::<Vec<_>>();
        assert_eq!(words(&progress()), ["Feb 2026", "Mar 2026"]);
        let studies = vec![study("a", "2026-01-10", 0.0), study("b", "2026-01-20", 0.0)];
        assert_eq!(words(&Progress { studies, ..Progress::default() }), ["10 Jan 2026", "20 Jan 2026"]);
        assert_eq!(axis(&Progress::default()), []);
        assert_eq!(charts(&Progress::default()), []);
    }

    #[test]
    fn steps_are_round() {
        for (size, step) in [(0.55, 0.5), (1.0, 1.0), (0.022, 0.02), (4.4, 2.0), (66.0, 50.0), (0.99, 0.5)] {
            assert_eq!(step_below(size), step, "{size}");
        }
    }
}
