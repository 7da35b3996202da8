//! The figures as a table for other programs: CSV by RFC 4180, a line a study or exercise, the first line naming the columns. Names of
//! files stand without their folders: a table that is handed on tells nothing of the machine.

use super::{ExerciseOnDay, Lean, Miss, Practice, Progress, StudyOnDay};
use crate::drill::Drill;

/// The names of the columns. Shares are fractions of 1; values are Munsell values, warmth is in OKLab units, chroma is OKLCh.
pub const COLUMNS: [&str; 21] = [
    "kind",
    "day",
    "name",
    "board",
    "value_lean",
    "value_size",
    "warmth_lean",
    "warmth_size",
    "chroma_lean",
    "chroma_size",
    "board_share",
    "free_share",
    "bare_share",
    "strokes",
    "free_opened_after",
    "photo_opened_after",
    "minutes",
    "stint_minutes",
    "remarks",
    "right",
    "of",
];

/// The table.
pub fn csv(progress: &Progress) -> String {
    let mut out = line(&COLUMNS.map(str::to_owned));
    for study in &progress.studies {
        out += &line(&of_study(study));
    }
    for exercise in &progress.exercises {
        out += &line(&of_exercise(exercise));
    }
    out
}

fn of_study(study: &StudyOnDay) -> [String; COLUMNS.len()] {
    let f = &study.figures;
    let kind = if f.from_memory { "study from memory" } else { "study" };
    let strokes = |all: &[u64]| all.iter().map(u64::to_string).collect::<Vec<_>>().join(" ");
    let [a, b, c, d, e, g] = misses(f.miss.as_ref());
    [
        kind.to_owned(),
        study.day.clone(),
        study.name.clone(),
        f.board.clone(),
        a,
        b,
        c,
        d,
        e,
        g,
        format!("{:.6}", f.board_share),
        format!("{:.6}", f.free_share),
        format!("{:.6}", f.bare_share),
        f.strokes.to_string(),
        strokes(&f.free_opened),
        strokes(&f.photo_opened),
        format!("{:.1}", f.worked_s as f64 / 60.0),
        f.stint_min.map(|m| m.to_string()).unwrap_or_default(),
        f.remarks.to_string(),
        String::new(),
        String::new(),
    ]
}

fn of_exercise(exercise: &ExerciseOnDay) -> [String; COLUMNS.len()] {
    let kind = match exercise.practice {
        Practice::Swatches => "swatches from memory",
        Practice::Drill(Drill::Value) => "drill of value",
        Practice::Drill(Drill::Warmth) => "drill of warmth",
        Practice::Drill(Drill::Light) => "drill of the light",
    };
    let mut line: [String; COLUMNS.len()] = Default::default();
    line[0] = kind.to_owned();
    line[1].clone_from(&exercise.day);
    line[3] = exercise.board.clone().unwrap_or_default();
    for (to, from) in line[4..10].iter_mut().zip(misses(exercise.miss.as_ref())) {
        *to = from;
    }
    if let Some((right, of)) = exercise.right {
        (line[19], line[20]) = (right.to_string(), of.to_string());
    }
    line
}

/// Lean and size of the three ways; empty cells where there is no figure.
fn misses(miss: Option<&Miss>) -> [String; 6] {
    let Some(Miss { value, warmth, chroma }) = miss else { return Default::default() };
    let two = |l: &Lean| [format!("{:.4}", l.lean), format!("{:.4}", l.size)];
    let [[a, b], [c, d], [e, f]] = [value, warmth, chroma].map(two);
    [a, b, c, d, e, f]
}

/// A line, its end as RFC 4180 has it; a cell with a comma, a quote or an end of line in quotes.
fn line(cells: &[String]) -> String {
    let cell = |text: &String| {
        if text.contains([',', '"', '\n', '\r']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.clone() }
    };
    cells.iter().map(cell).collect::<Vec<_>>().join(",") + "\r\n"
}

#[cfg(test)]
mod tests {
    use super::super::tests::study;
    use super::*;

    #[test]
    fn names_with_commas_and_quotes_stay_one_cell_and_folders_stay_at_home() {
        let mut one = study("depot, \"wet\"", "2026-01-10", 0.4);
        one.figures.photo_opened = vec![3, 40];
        let progress = Progress { studies: vec![one], ..Progress::default() };
        let text = csv(&progress);
        let lines: Vec<_> = text.split("\r\n").collect();
        assert_eq!((lines.len(), lines[0].split(',').count(), lines[2]), (3, COLUMNS.len(), ""));
        assert_eq!(
            lines[1],
            "study,2026-01-10,\"depot, \"\"wet\"\"\",Tram depot,0.4000,0.5000,0.0100,0.1100,-0.0200,0.1200,0.940000,\
             0.060000,0.020000,120,90,3 40,25.0,20,2,,"
        );
        assert!(!text.contains("/studies/"), "{text}");
    }
}
