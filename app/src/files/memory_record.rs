//! What was guessed from memory: a small record in the user's data folder, so that a painter sees progress over the days.
//!
//! A sitting is a row of tries on one board. Every try is written at once. The record keeps the last [`MAX_SITTINGS`] sittings.

use crate::base::{clock, folders};
use serde::{Deserialize, Serialize};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use stint_model::board::{Board, Family, Swatch};
use stint_model::colour::Colour;
use stint_model::colour::deviation::Deviation;
use stint_model::disk;
use stint_model::drill::{Answer, Drill, QUESTIONS};
use stint_model::format::{TextStep, TextVersionError, VersionError, Versions, adds_fields};

/// The format this program writes and reads.
const FORMAT: u32 = VERSIONS.current();
/// Format 2 has the drills.
const VERSIONS: Versions<TextStep> = Versions::new(&[adds_fields]);
/// Most sittings that are kept.
pub const MAX_SITTINGS: usize = 200;
/// Most runs of drills that are kept.
pub const MAX_RUNS: usize = 400;
/// Tries of a sitting.
pub const TRIES: usize = 6;

/// One guess.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Try {
    /// The swatch by its words: "Brick local".
    pub swatch: String,
    /// Its colour then, `#rrggbb`.
    pub wanted: String,
    /// The guess, `#rrggbb`.
    pub guess: String,
    /// CIEDE2000 of both.
    pub delta_e: f64,
}

impl Try {
    /// A guess at a swatch.
    pub fn new(family: &Family, swatch: &Swatch, guess: Colour) -> (Self, Deviation) {
        let miss = Deviation::of(guess, swatch.colour);
        let (wanted, guess) = (swatch.colour.hex(), guess.hex());
        (Try { swatch: words_of(family, swatch), wanted, guess, delta_e: miss.delta_e }, miss)
    }
}

/// Tries on one board, one after the other.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sitting {
    /// The day it began, `2026-11-25`.
    pub date: String,
    /// Name of the board.
    pub board: String,
    /// The tries, in order.
    pub tries: Vec<Try>,
}

impl Sitting {
    /// Mean CIEDE2000 of its tries; 0 of none.
    pub fn mean(&self) -> f64 {
        self.tries.iter().map(|t| t.delta_e).sum::<f64>() / self.tries.len().max(1) as f64
    }
}

/// Answers to the questions of one drill, one after the other.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// The day it began, `2026-11-25`.
    pub date: String,
    /// What was asked.
    pub drill: Drill,
    /// The answers, in order.
    pub answers: Vec<Answer>,
}

impl Run {
    /// How many answers were right.
    pub fn right(&self) -> usize {
        self.answers.iter().filter(|a| a.right).count()
    }

    /// By how much values were missed in the mean, signs left out; 0 of none.
    pub fn mean_miss(&self) -> f64 {
        self.answers.iter().map(|a| a.by.abs()).sum::<f64>() / self.answers.len().max(1) as f64
    }
}

/// All sittings, the first one first.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MemoryRecord {
    format: u32,
    /// The sittings.
    pub sittings: Vec<Sitting>,
    /// The runs of drills.
    #[serde(default)]
    pub runs: Vec<Run>,
}

impl Default for MemoryRecord {
    fn default() -> Self {
        MemoryRecord { format: FORMAT, sittings: Vec::new(), runs: Vec::new() }
    }
}

/// Why the record cannot be read or written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum RecordError {
    /// It cannot be read.
    #[error("the record of tries {} cannot be read ({source}); check its permissions", path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// It cannot be written.
    #[error("the record of tries {} cannot be written ({source}); this try is not in it", path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// A newer program wrote it.
    #[error("the record of tries {} {source}", path.display())]
    Newer {
        /// The file.
        path: PathBuf,
        /// Its format.
        source: VersionError,
    },
}

/// How a swatch is called to somebody who has to remember it.
pub fn words_of(family: &Family, swatch: &Swatch) -> String {
    let words = if swatch.name.is_empty() { swatch.role.word() } else { &swatch.name };
    format!("{} {words}", family.name)
}

/// Where the record lies; in `folder` instead of the user's data folder if given.
pub fn record_file(folder: Option<&Path>) -> PathBuf {
    folders::data(folder).join("memory.ron")
}

/// The record; empty when there is none yet. One that is damaged is set aside under another name, which is told, and a new one is
/// begun.
///
/// # Errors
/// When it cannot be read or set aside, or was made by a newer program.
pub fn load(folder: Option<&Path>) -> Result<(MemoryRecord, Option<String>), RecordError> {
    let path = record_file(folder);
    let bytes = match disk::read(&path) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok((MemoryRecord::default(), None)),
        Err(source) => return Err(RecordError::Read { path, source }),
    };
    let text = String::from_utf8_lossy(&bytes);
    let text = match VERSIONS.upgrade_text(&text, "MemoryRecord") {
        Err(TextVersionError::Version(source @ VersionError::Newer { .. })) => {
            return Err(RecordError::Newer { path, source });
        }
        text => text.ok(),
    };
    match text.map(|text| ron::from_str::<MemoryRecord>(&text)) {
        Some(Ok(record)) if is_sound(&record) => Ok((MemoryRecord { format: FORMAT, ..record }, None)),
        _ => {
            let aside = disk::free_name(&disk::folder_of(&path), "memory damaged", ".ron");
            disk::rename(&path, &aside).map_err(|source| RecordError::Read { path: path.clone(), source })?;
            let said = format!(
                "the record of tries {} is damaged and now called {}; a new one is begun",
                path.display(),
                aside.display()
            );
            Ok((MemoryRecord::default(), Some(said)))
        }
    }
}

/// Whether every number in it is one.
fn is_sound(record: &MemoryRecord) -> bool {
    record.sittings.iter().flat_map(|s| &s.tries).all(|t| t.delta_e.is_finite())
        && record.runs.iter().flat_map(|r| &r.answers).all(|a| a.by.is_finite())
}

/// Adds an answer to a drill and writes the record. It joins the last run if that is of the same drill and day and not full, unless a new
/// one begins. The record, and what [`load`] told.
///
/// # Errors
/// As [`add`].
pub fn add_answer(
    folder: Option<&Path>,
    drill: Drill,
    answer: Answer,
    begins: bool,
) -> Result<(MemoryRecord, Option<String>), RecordError> {
    let (mut record, told) = load(folder)?;
    let date = clock::today();
    match record.runs.last_mut() {
        Some(last) if !begins && last.date == date && last.drill == drill && last.answers.len() < QUESTIONS => {
            last.answers.push(answer);
        }
        _ => record.runs.push(Run { date, drill, answers: vec![answer] }),
    }
    let surplus = record.runs.len().saturating_sub(MAX_RUNS);
    record.runs.drain(..surplus);
    keep(folder, &record)?;
    Ok((record, told))
}

/// Adds a try and writes the record. It joins the last sitting if that is on the same board and day and not full, unless a new one
/// begins. The record, and what [`load`] told.
///
/// # Errors
/// As [`load`], and when it cannot be written; the old record is whole then.
pub fn add(
    folder: Option<&Path>,
    board: &Board,
    tried: Try,
    begins: bool,
) -> Result<(MemoryRecord, Option<String>), RecordError> {
    let (mut record, told) = load(folder)?;
    let date = clock::today();
    match record.sittings.last_mut() {
        Some(last) if !begins && last.date == date && last.board == board.name && last.tries.len() < TRIES => {
            last.tries.push(tried);
        }
        _ => record.sittings.push(Sitting { date, board: board.name.clone(), tries: vec![tried] }),
    }
    let surplus = record.sittings.len().saturating_sub(MAX_SITTINGS);
    record.sittings.drain(..surplus);
    keep(folder, &record)?;
    Ok((record, told))
}

fn keep(folder: Option<&Path>, record: &MemoryRecord) -> Result<(), RecordError> {
    let path = record_file(folder);
    write(&path, record).map_err(|source| RecordError::Write { path, source })
}

/// Writes the record whole or not at all.
fn write(path: &Path, record: &MemoryRecord) -> std::io::Result<()> {
    let style = ron::ser::PrettyConfig::new().new_line("\n").depth_limit(4).struct_names(false);
    let text = ron::ser::to_string_pretty(record, style).map_err(|e| std::io::Error::other(e.to_string()))?;
    if let Some(folder) = path.parent() {
        disk::create_dir_all(folder)?;
    }
    disk::write(path, format!("{text}\n"))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use stint_model::board::{LightOfDay, Role};

    fn board(name: &str) -> Board {
        let (board, id) = Board::new(name, LightOfDay::Cool).with_family("Brick").unwrap();
        let colour = Colour::from_srgb8([115, 82, 78]);
        board.with_swatch(id, Role::Local, "", colour, &[]).unwrap().0
    }

    fn tried(board: &Board, code: u8) -> Try {
        let (family, swatch) = board.swatches().next().unwrap();
        Try::new(family, swatch, Colour::from_srgb8([code, 82, 78])).0
    }

    #[test]
    fn tries_gather_into_sittings_and_come_back() {
        let home = tempfile::tempdir().unwrap();
        let at = Some(home.path());
        assert_eq!(load(at).unwrap(), (MemoryRecord::default(), None));
        let (depot, yard) = (board("Depot"), board("Yard"));
        for i in 0..8 {
            add(at, &depot, tried(&depot, 100 + i), false).unwrap();
        }
        add(at, &yard, tried(&yard, 115), false).unwrap();
        add(at, &yard, tried(&yard, 90), true).unwrap();
        let (record, told) = load(at).unwrap();
        assert_eq!(told, None);
        let sizes: Vec<_> = record.sittings.iter().map(|s| (s.board.as_str(), s.tries.len())).collect();
        assert_eq!(sizes, [("Depot", 6), ("Depot", 2), ("Yard", 1), ("Yard", 1)]);
        let first = &record.sittings[0].tries[0];
        assert_eq!((first.swatch.as_str(), first.wanted.as_str()), ("Brick local", "#73524e"));
        assert_eq!((first.guess.as_str(), record.sittings[0].date.clone()), ("#64524e", clock::today()));
        assert_eq!(record.sittings[2].mean(), 0.0);
        let two = &record.sittings[1];
        assert!((two.mean() - (two.tries[0].delta_e + two.tries[1].delta_e) / 2.0).abs() < 1e-12);
    }

    #[test]
    fn answers_gather_into_runs_beside_the_sittings() {
        let home = tempfile::tempdir().unwrap();
        let at = Some(home.path());
        let depot = board("Depot");
        std::fs::create_dir_all(record_file(at).parent().unwrap()).unwrap();
        // A record of the format before drills is read and goes on.
        std::fs::write(record_file(at), "(format: 1, sittings: [(date: \"2026-01-02\", board: \"Depot\", tries: [])])")
            .unwrap();
        for i in 0..10 {
            add_answer(at, Drill::Value, Answer { right: i % 2 == 0, by: -0.5 }, false).unwrap();
        }
        add_answer(at, Drill::Light, Answer { right: true, by: 0.0 }, false).unwrap();
        add_answer(at, Drill::Light, Answer { right: true, by: 0.0 }, true).unwrap();
        add(at, &depot, tried(&depot, 90), false).unwrap();
        let (record, told) = load(at).unwrap();
        assert_eq!(told, None);
        let runs: Vec<_> = record.runs.iter().map(|r| (r.drill, r.answers.len(), r.right())).collect();
        assert_eq!(runs, [(Drill::Value, 8, 4), (Drill::Value, 2, 1), (Drill::Light, 1, 1), (Drill::Light, 1, 1)]);
        assert_eq!((record.sittings.len(), record.runs[0].mean_miss()), (2, 0.5));
        let text = std::fs::read_to_string(record_file(at)).unwrap();
        assert!(text.contains("format: 2"), "{text}");
    }

    #[test]
    fn the_record_stays_bounded() {
        let home = tempfile::tempdir().unwrap();
        let depot = board("Depot");
        let sitting =
            |i: usize| Sitting { date: format!("{i}"), board: "Depot".into(), tries: vec![tried(&depot, 90)] };
        let full = MemoryRecord { sittings: (0..MAX_SITTINGS).map(sitting).collect(), ..Default::default() };
        std::fs::create_dir_all(home.path().join("stint")).unwrap();
        write(&record_file(Some(home.path())), &full).unwrap();
        let (record, _) = add(Some(home.path()), &depot, tried(&depot, 91), true).unwrap();
        assert_eq!((record.sittings.len(), record.sittings[0].date.as_str()), (MAX_SITTINGS, "1"));
    }

    #[test]
    fn a_damaged_record_is_set_aside_and_a_newer_one_left_alone() {
        let home = tempfile::tempdir().unwrap();
        let (at, depot) = (Some(home.path()), board("Depot"));
        let file = record_file(at);
        std::fs::create_dir_all(file.parent().unwrap()).unwrap();
        for damaged in ["(format: 1, sittings: [", "\u{0}\u{1}", "(format: 1, sittings: [], extra: 2)"] {
            std::fs::write(&file, damaged).unwrap();
            let (record, told) = add(at, &depot, tried(&depot, 90), false).unwrap();
            assert!(told.unwrap().contains("memory damaged"));
            assert_eq!(record.sittings.len(), 1);
        }
        let kept = std::fs::read_to_string(file.with_file_name("memory damaged.ron")).unwrap();
        assert_eq!(kept, "(format: 1, sittings: [");
        assert!(file.with_file_name("memory damaged 3.ron").is_file());
        let newer = "(format: 9, sittings: {}, more: true)";
        std::fs::write(&file, newer).unwrap();
        assert!(matches!(
            add(at, &depot, tried(&depot, 90), false),
            Err(RecordError::Newer { source: VersionError::Newer { found: 9, .. }, .. })
        ));
        assert_eq!(std::fs::read_to_string(&file).unwrap(), newer);
    }
}
