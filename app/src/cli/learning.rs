//! `stint progress`: the figures of all studies and exercises over the months.

use super::progress::Progress as Bar;
use super::report::{json, percent};
use super::{CliError, replace_if, say};
use crate::files::progress_file;
use crate::files::replace::{Writes, may_write};
use crate::study::progress::gather;
use clap::Args;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;
use stint_model::progress::{Advice, ExerciseOnDay, Practice, Progress, StudyOnDay, advice};

/// Show how studies and exercises went over the months: misses by value, warmth and chroma, shares, minutes, remarks
///
/// Reads the studies that were opened last, and the record of exercises. Nothing leaves this machine.
#[derive(Args, Debug)]
pub struct Learning {
    /// As JSON
    #[arg(long)]
    json: bool,
    /// Write a file instead, under a name that is free; its ending says in which form: .csv for a table, .svg or .png for charts
    #[arg(short, long, conflicts_with = "json")]
    out: Option<PathBuf>,
    /// Replace a file that is there already
    #[arg(long, requires = "out")]
    replace: bool,
}

/// What `--json` prints.
#[derive(Serialize)]
struct Told<'a> {
    #[serde(flatten)]
    progress: &'a Progress,
    boards_used_again: Vec<(String, usize)>,
    /// What to try in the next study, where the figures bear it.
    next_time: Option<String>,
}

impl Learning {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let replace = replace_if(self.replace);
        // Said before the studies are read; whoever writes looks again.
        if let Some(path) = &self.out {
            may_write(path, Writes::Progress, replace)?;
        }
        let mut bar = None;
        let (progress, told) = gather(None, &mut |done, all| {
            bar.get_or_insert_with(|| Bar::new("reading studies", all)).set(done);
            true
        });
        drop(bar);
        told.iter().for_each(|what| say(what));
        for file in &progress.unreadable {
            say(&format_args!("{} cannot be read as a study and is left out", file.display()));
        }
        if let Some(path) = &self.out {
            progress_file::write(path, &progress, replace)?;
            return Ok(writeln!(out, "wrote {}", path.display())?);
        }
        let next_time = advice(&progress.studies, &[]).map(|Advice { sentence, .. }| sentence);
        if self.json {
            let boards_used_again = progress.boards_used_again();
            return json(&Told { progress: &progress, boards_used_again, next_time }, out);
        }
        Ok(text(&progress, next_time.as_deref(), out)?)
    }
}

fn text(progress: &Progress, next_time: Option<&str>, out: &mut dyn Write) -> std::io::Result<()> {
    if progress.studies.is_empty() && progress.exercises.is_empty() {
        writeln!(out, "nothing was painted or practised yet")?;
    }
    for study in &progress.studies {
        writeln!(out, "{}", study_line(study))?;
    }
    if !progress.exercises.is_empty() && !progress.studies.is_empty() {
        writeln!(out)?;
    }
    for exercise in &progress.exercises {
        writeln!(out, "{}", exercise_line(exercise))?;
    }
    for (i, (board, count)) in progress.boards_used_again().iter().enumerate() {
        if i == 0 {
            writeln!(out, "\nBoards used again:")?;
        }
        writeln!(out, "  {count} studies  {board}")?;
    }
    if let Some(sentence) = next_time {
        writeln!(out, "\n{sentence}")?;
    }
    Ok(())
}

fn study_line(study: &StudyOnDay) -> String {
    let f = &study.figures;
    let miss = f.miss.as_ref().map_or_else(
        || " ".repeat(37),
        |m| format!("value {:+.1}  warmth {:+.3}  chroma {:+.3}", m.value.lean, m.warmth.lean, m.chroma.lean),
    );
    let opened = f.free_opened.first().map(|at| format!(", free colour after stroke {at}")).unwrap_or_default();
    let memory = if f.from_memory { ", from memory" } else { "" };
    let (board, minutes, remarks) = (percent(f.board_share), f.worked_s / 60, f.remarks);
    format!(
        "{}  {miss}  {board} board  {minutes:3} min  {remarks:2} remarks  {}{memory}{opened}",
        study.day, study.name
    )
}

fn exercise_line(exercise: &ExerciseOnDay) -> String {
    let what = match exercise.practice {
        Practice::Swatches => "swatches from memory".to_owned(),
        Practice::Drill(drill) => format!("drill, {}", format!("{drill:?}").to_lowercase()),
    };
    let went = match (&exercise.right, &exercise.miss) {
        (Some((right, of)), _) => format!("{right} of {of} right"),
        (None, Some(miss)) => format!("value {:+.1}, {:.1} in the mean", miss.value.lean, miss.value.size),
        (None, None) => String::new(),
    };
    format!("{}  {what:<22}{went}", exercise.day)
}
