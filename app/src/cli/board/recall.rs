//! `stint board recall` and `stint board progress`: swatches from memory.

use super::colour;
use crate::cli::CliError;
use crate::cli::source::board_of;
use crate::files::memory_record::{MemoryRecord, Try, add, load, words_of};
use clap::Args;
use serde_json::json;
use std::io::Write;
use std::path::PathBuf;
use stint_model::board::{Board, Family, Swatch};
use stint_model::colour::Colour;
use stint_model::colour::difference::ciede2000;

/// Say how far a colour guessed from memory is off its swatch, and in which way
#[derive(Args, Debug)]
pub(super) struct Recall {
    /// A .board.ron, a .stint study, a PNG exported by Stint, or the name of a kept board
    file: PathBuf,
    /// The swatch by family and role, or family and name: "Brick local" [default: the nearest to the guess]
    #[arg(long)]
    swatch: Option<String>,
    /// The guess, #rrggbb
    #[arg(long, value_parser = colour)]
    guess: Colour,
    /// Leave the try out of the record
    #[arg(long)]
    no_record: bool,
    /// As JSON
    #[arg(long)]
    json: bool,
}

impl Recall {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let board = board_of(&self.file)?;
        let (family, swatch) = match &self.swatch {
            Some(words) => named(&board, words),
            None => nearest(&board, self.guess),
        }
        .ok_or_else(|| CliError::NoSuchSwatch {
            words: self.swatch.clone().unwrap_or_default(),
            swatches: board.swatches().map(|(f, s)| words_of(f, s)).collect(),
        })?;
        let (tried, miss) = Try::new(family, swatch, self.guess);
        if !self.no_record {
            let (_, told) = add(None, &board, tried.clone(), false)?;
            if let Some(told) = told {
                crate::cli::say(&told);
            }
        }
        if self.json {
            let ways: Vec<_> = miss.axes().into_iter().map(|w| json!({ "way": w, "words": miss.words(w) })).collect();
            let value = json!({
                "swatch": tried.swatch, "wanted": tried.wanted, "guess": tried.guess, "delta_e": miss.delta_e,
                "value": miss.value_munsell, "warmth": miss.warmth, "redness": miss.redness, "chroma": miss.chroma,
                "ways": ways, "recorded": !self.no_record,
            });
            return crate::cli::report::json(&value, out);
        }
        writeln!(out, "{} is {}, the guess {}: {:.1} off", tried.swatch, tried.wanted, tried.guess, miss.delta_e)?;
        Ok(writeln!(out, "{}", miss.sentence())?)
    }
}

/// The swatch with these words, whatever the case of their letters.
fn named<'a>(board: &'a Board, words: &str) -> Option<(&'a Family, &'a Swatch)> {
    let wanted = words.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    board.swatches().find(|(family, swatch)| {
        let role = family.role_name(swatch.role);
        [words_of(family, swatch), role, swatch.name.clone()].iter().any(|w| w.to_lowercase() == wanted)
    })
}

fn nearest(board: &Board, guess: Colour) -> Option<(&Family, &Swatch)> {
    let far = |swatch: &Swatch| ciede2000(swatch.colour.lab(), guess.lab());
    board.swatches().min_by(|a, b| far(a.1).total_cmp(&far(b.1)))
}

/// Show how far guesses from memory were off, sitting by sitting
#[derive(Args, Debug)]
pub(super) struct Progress {
    /// As JSON
    #[arg(long)]
    json: bool,
}

impl Progress {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let (record, told) = load(None)?;
        if let Some(told) = told {
            crate::cli::say(&told);
        }
        if self.json {
            let sitting = |s: &crate::files::memory_record::Sitting| json!({ "date": s.date, "board": s.board, "mean_delta_e": s.mean(), "tries": s.tries });
            let sittings: Vec<_> = record.sittings.iter().map(sitting).collect();
            return crate::cli::report::json(&json!({ "sittings": sittings }), out);
        }
        text(&record, out)
    }
}

fn text(record: &MemoryRecord, out: &mut dyn Write) -> Result<(), CliError> {
    if record.sittings.is_empty() {
        writeln!(out, "nothing was guessed from memory yet")?;
    }
    for sitting in &record.sittings {
        let tries = if sitting.tries.len() == 1 { "try" } else { "tries" };
        let (n, mean) = (sitting.tries.len(), sitting.mean());
        writeln!(out, "{}  {n} {tries}, {mean:.1} off in the mean  {}", sitting.date, sitting.board)?;
    }
    Ok(())
}
