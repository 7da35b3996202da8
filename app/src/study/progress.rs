//! The figures of all studies and exercises of a painter, gathered beside the window. Each study is opened once and its figures kept for
//! as long as its file does not change.

use super::session::{Session, SessionError};
use crate::base::clock;
use crate::files::figures_store::FiguresStore;
use crate::files::memory_record::{self, MemoryRecord};
use crate::files::names::stem;
use crate::files::picture_store::Stamp;
use crate::files::recent;
use std::path::Path;
use stint_model::board::review::review;
use stint_model::colour::Colour;
use stint_model::disk;
use stint_model::progress::{ExerciseOnDay, Miss, Practice, Progress, StudyFigures, StudyOnDay};
use stint_render::choose::EngineChoice;

/// Everything that is known, the oldest first, and what a person should know about the record. Takes a while the first time: call it
/// beside the window. `done` hears how many studies were looked at, of how many, and says whether to go on.
pub fn gather(data_folder: Option<&Path>, done: &mut dyn FnMut(u64, u64) -> bool) -> (Progress, Vec<String>) {
    let files = recent::load(data_folder);
    let mut store = FiguresStore::open(data_folder);
    let mut progress = Progress::default();
    let all = files.len() as u64;
    for (i, file) in files.into_iter().enumerate() {
        if !done(i as u64, all) {
            break;
        }
        match on_its_day(&file, &mut store) {
            Ok(study) => progress.studies.extend(study),
            Err(_) => progress.unreadable.push(file),
        }
    }
    // Figures that cannot be kept cost nothing but the time to count again.
    let _ = store.keep();
    progress.studies.sort_by(|a, b| (&a.day, &a.file).cmp(&(&b.day, &b.file)));
    let told = match memory_record::load(data_folder) {
        Ok((record, told)) => {
            progress.exercises = exercises(&record);
            told.into_iter().collect()
        }
        Err(error) => vec![error.to_string()],
    };
    (progress, told)
}

/// A study on the day it was last painted on; none for one without paint.
fn on_its_day(file: &Path, store: &mut FiguresStore) -> Result<Option<StudyOnDay>, SessionError> {
    let gone = |error: std::io::Error| SessionError::Internal(error.to_string());
    let stamp = Stamp::of(file).map_err(gone)?;
    let figures = match store.find(&stamp) {
        Some(known) => known,
        None => {
            let counted = figures_of(file)?;
            store.add(&stamp, counted.clone());
            counted
        }
    };
    let modified = disk::metadata(file).and_then(|m| m.modified()).map_err(gone)?;
    let day = clock::day_of(modified).unwrap_or_default();
    Ok(figures.map(|figures| StudyOnDay { file: file.to_owned(), name: stem(file), day, figures }))
}

/// The figures of a study; none for one without paint.
///
/// # Errors
/// When the file is no sound study.
pub fn figures_of(file: &Path) -> Result<Option<StudyFigures>, SessionError> {
    let mut session = Session::open_read_only(file, EngineChoice::Cpu)?;
    let readout = session.readout()?;
    if readout.painted_px == 0.0 {
        return Ok(None);
    }
    let document = session.document();
    let (board, from_memory) = (document.board.clone(), document.paints_again.is_some());
    let time = session.work_time();
    let openings = |all: &[stint_model::readout::Opened]| all.iter().map(|o| o.after_strokes).collect();
    Ok(Some(StudyFigures {
        strokes: session.strokes(),
        board_share: readout.board_share,
        free_share: readout.free_share,
        bare_share: readout.bare_share,
        free_opened: openings(&readout.free_colour.opened),
        from_memory,
        photo_opened: openings(session.photo_opened()),
        worked_s: time.worked_s,
        stint_min: time.stint_min,
        remarks: review(&board).len() as u64,
        board: board.name,
        miss: miss_of(&mut session),
    }))
}

/// How the surfaces of a study miss its photo; none without a photo that is open, or where nothing is painted that the photo shows.
fn miss_of(session: &mut Session) -> Option<Miss> {
    let compared = session.comparison_source().ok()?.compare(None).comparison;
    Miss::of(compared.surfaces.iter().map(|s| (s.painting, s.photo, s.share * s.painted)))
}

/// The exercises of the record, the oldest first.
fn exercises(record: &MemoryRecord) -> Vec<ExerciseOnDay> {
    let sittings = record.sittings.iter().map(|sitting| ExerciseOnDay {
        day: sitting.date.clone(),
        practice: Practice::Swatches,
        board: Some(sitting.board.clone()),
        miss: Miss::of(sitting.tries.iter().filter_map(|tried| {
            Some((Colour::from_hex(&tried.guess).ok()?, Colour::from_hex(&tried.wanted).ok()?, 1.0))
        })),
        right: None,
    });
    let runs = record.runs.iter().map(|run| ExerciseOnDay {
        day: run.date.clone(),
        practice: Practice::Drill(run.drill),
        board: None,
        // A drill of value tells of value alone; it stands in a chart of its own.
        miss: None,
        right: Some((run.right(), run.answers.len())),
    });
    let mut all: Vec<ExerciseOnDay> = sittings.chain(runs).collect();
    all.sort_by(|a, b| a.day.cmp(&b.day));
    all
}
