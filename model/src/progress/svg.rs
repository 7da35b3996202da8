//! The charts as a drawing for other programs: SVG 1.1 text that stands alone, grey on grey. Every point is an element of its own with
//! its words as `title`. Names of files stand without their folders.

use super::chart::{Chart, Mark, Point, axis, charts};
use super::{Progress, days};
use crate::board::exchange::card::escaped;
use std::fmt::Write;

/// Width of the drawing, units.
pub const WIDTH: u32 = 960;
/// Where the charts begin and end, units.
const LEFT: f64 = 120.0;
const RIGHT: f64 = 930.0;
/// Height of the title, of a chart and of the space between two, and of the axis, units.
const HEAD: u32 = 70;
const CHART: u32 = 110;
const GAP: u32 = 44;
const FOOT: u32 = 40;
/// Radius of a point, units.
const RADIUS: f64 = 4.5;
/// Greys, 8-bit sRGB codes: ground, lines, quiet words, words and points.
const GROUND: u8 = 46;
const LINE: u8 = 90;
const QUIET: u8 = 166;
const STRONG: u8 = 230;
/// The typeface of Stint, and what viewers have instead.
const FONTS: &str = "Figtree, system-ui, sans-serif";

/// Height of the drawing, units.
pub fn height(progress: &Progress) -> u32 {
    // Charts are a handful.
    let count = u32::try_from(charts(progress).len().max(1)).unwrap_or(1);
    HEAD + count * (CHART + GAP) + FOOT
}

/// The drawing.
pub fn svg(progress: &Progress) -> String {
    let charts = charts(progress);
    let height = height(progress);
    let mut out = String::new();
    // Writing to a string does not fail.
    let _ = draw(&mut out, progress, &charts, height);
    out
}

fn grey(code: u8) -> String {
    format!("#{code:02x}{code:02x}{code:02x}")
}

fn draw(out: &mut String, progress: &Progress, charts: &[Chart], height: u32) -> std::fmt::Result {
    writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{WIDTH}\" height=\"{height}\" viewBox=\"0 0 {WIDTH} {height}\" \
         font-family=\"{FONTS}\" font-size=\"13\" fill=\"{}\">",
        grey(QUIET)
    )?;
    writeln!(out, "<title>Progress</title>")?;
    writeln!(out, "<rect width=\"{WIDTH}\" height=\"{height}\" fill=\"{}\"/>", grey(GROUND))?;
    text(out, (30.0, 42.0), "start", 21, STRONG, "Progress")?;
    text(out, (RIGHT, 42.0), "end", 13, QUIET, &summary(progress))?;
    if charts.is_empty() {
        text(out, (30.0, f64::from(HEAD) + 30.0), "start", 13, QUIET, "Nothing was painted or practised yet.")?;
    }
    for (i, chart) in charts.iter().enumerate() {
        let top = f64::from(HEAD) + i as f64 * f64::from(CHART + GAP) + 20.0;
        text(out, (30.0, top - 8.0), "start", 13, STRONG, chart.title)?;
        text(out, (RIGHT, top - 8.0), "end", 12, QUIET, &format!("up: {}, down: {}", chart.ends[0], chart.ends[1]))?;
        let y = |figure: f64| top + f64::from(CHART) * (1.0 - chart.height(figure));
        for (figure, words) in &chart.lines {
            let y = y(*figure);
            let colour = grey(LINE);
            writeln!(out, "<path d=\"M{LEFT} {y:.2}H{RIGHT}\" stroke=\"{colour}\" fill=\"none\"/>")?;
            text(out, (LEFT - 12.0, y + 4.0), "end", 12, QUIET, words)?;
        }
        for point in &chart.points {
            mark(out, point, (LEFT + (RIGHT - LEFT) * point.x, y(point.figure)))?;
        }
    }
    let bottom = f64::from(height - FOOT) + 12.0;
    for (x, words) in axis(progress) {
        let anchor = if x > 0.9 { "end" } else { "start" };
        text(out, (LEFT + (RIGHT - LEFT) * x, bottom), anchor, 12, QUIET, &words)?;
    }
    writeln!(out, "</svg>")
}

/// What the drawing is of: "12 studies, 30 exercises, 3 Jan 2026 to 26 Nov 2026".
fn summary(progress: &Progress) -> String {
    let count = |n: usize, one: &str, many: &str| format!("{n} {}", if n == 1 { one } else { many });
    let mut all: Vec<i64> = progress.studies.iter().filter_map(|s| days::number_of(&s.day)).collect();
    all.extend(progress.exercises.iter().filter_map(|e| days::number_of(&e.day)));
    let what = format!(
        "{}, {}",
        count(progress.studies.len(), "study", "studies"),
        count(progress.exercises.len(), "exercise", "exercises")
    );
    match (all.iter().min(), all.iter().max()) {
        (Some(first), Some(last)) if first < last => {
            format!("{what}, {} to {}", days::words(*first), days::words(*last))
        }
        _ => what,
    }
}

fn text(out: &mut String, (x, y): (f64, f64), anchor: &str, size: u32, colour: u8, words: &str) -> std::fmt::Result {
    let (colour, words) = (grey(colour), escaped(words));
    writeln!(
        out,
        "<text x=\"{x:.2}\" y=\"{y:.2}\" text-anchor=\"{anchor}\" font-size=\"{size}\" fill=\"{colour}\">{words}</text>"
    )
}

/// A point: a full dot is a study, a ring one from memory, a small square an exercise; a dot in a ring had free colour opened.
fn mark(out: &mut String, point: &Point, (x, y): (f64, f64)) -> std::fmt::Result {
    let (strong, ground) = (grey(STRONG), grey(GROUND));
    writeln!(out, "<g><title>{}</title>", escaped(&point.words))?;
    match point.mark {
        Mark::Study => writeln!(out, "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"{RADIUS}\" fill=\"{strong}\"/>")?,
        Mark::FromMemory => writeln!(
            out,
            "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"{RADIUS}\" fill=\"{ground}\" stroke=\"{strong}\" stroke-width=\"1.5\"/>"
        )?,
        Mark::Exercise => {
            let (x, y, side) = (x - 3.0, y - 3.0, 6.0);
            let quiet = grey(QUIET);
            writeln!(out, "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{side}\" height=\"{side}\" fill=\"{quiet}\"/>")?;
        }
    }
    if point.opened {
        let r = RADIUS + 3.0;
        writeln!(out, "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"{r}\" fill=\"none\" stroke=\"{strong}\"/>")?;
    }
    writeln!(out, "</g>")
}

#[cfg(test)]
mod tests {
    use super::super::tests::study;
    use super::*;

    #[test]
    fn every_point_is_drawn_with_its_words_and_nothing_has_a_colour() {
        let studies = vec![study("depot <wet>", "2026-01-10", 0.4), study("yard & sky", "2026-03-10", 0.0)];
        let progress = Progress { studies, ..Progress::default() };
        let text = svg(&progress);
        assert!(text.starts_with("<svg ") && text.ends_with("</svg>\n"));
        // Six charts of two points.
        assert_eq!(text.matches("<g><title>").count(), 12);
        assert!(text.contains("depot &lt;wet&gt;, 10 Jan 2026: 0.4 too light") && text.contains("yard &amp; sky"));
        assert!(!text.contains("/studies/"), "no folders");
        for hex in text.split('#').skip(1).map(|rest| &rest[..6]) {
            assert!(hex[..2] == hex[2..4] && hex[2..4] == hex[4..], "{hex}");
        }
        assert!(svg(&Progress::default()).contains("Nothing was painted"));
    }
}
