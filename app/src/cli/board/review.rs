//! `stint board review`: what a careful colourist would question, and what would help.

use super::{Target, keep};
use crate::cli::CliError;
use crate::cli::source::{Kind, board_of, kind_of};
use clap::{ArgGroup, Args};
use serde::Serialize;
use std::io::Write;
use std::path::{Path, PathBuf};
use stint_model::board::Board;
use stint_model::board::light_guess::guess_light;
use stint_model::board::review::{Offer, Remark, Rule, offers, review_all};
use stint_model::disk;
use stint_model::ids::{FamilyId, SwatchId};
use stint_model::paint::PaintKind;
use stint_model::study::file::StudyFile;

/// Say what a careful colourist would question in a board, and what would help
#[derive(Args, Debug)]
#[command(group(ArgGroup::new("changes").args(["take", "dismiss", "bring_back"]).multiple(true)))]
pub(super) struct Review {
    /// A .board.ron, .css or .json file, a .stint study, or a PNG that carries a board
    file: PathBuf,
    /// As JSON
    #[arg(long, conflicts_with = "changes")]
    json: bool,
    /// Show dismissed remarks too
    #[arg(long)]
    all: bool,
    /// Take the first offer of the remark of this number; may be given several times
    #[arg(long, value_name = "N")]
    take: Vec<usize>,
    /// Dismiss the remark of this number; may be given several times
    #[arg(long, value_name = "N")]
    dismiss: Vec<usize>,
    /// Bring back the dismissed remark of this number; may be given several times
    #[arg(long, value_name = "N")]
    bring_back: Vec<usize>,
    /// File to write after these changes, under a name that is free and in the form of its ending: .board.ron, .css, .json,
    /// .svg or .png; without it the board goes to standard output
    #[arg(short, long, requires = "changes")]
    out: Option<PathBuf>,
    /// Replace a file that is there already
    #[arg(long, requires = "out")]
    replace: bool,
}

impl Review {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let board = board_of(&self.file)?;
        let used = used_in(&self.file)?;
        if self.take.is_empty() && self.dismiss.is_empty() && self.bring_back.is_empty() {
            let noted = noted(&board, &used, self.all);
            return if self.json { json(&board, &noted, out) } else { Ok(text(&board, &noted, out)?) };
        }
        let changed = self.changed(&board, &used)?;
        keep(&changed, &Target { out: self.out, replace: self.replace }, out)
    }

    /// The board after what was asked for. Numbers are those of the board as it was read.
    fn changed(&self, read: &Board, used: &[SwatchId]) -> Result<Board, CliError> {
        let remarks = review_all(read);
        let numbered = |number: usize| {
            let place = number.checked_sub(1).and_then(|place| remarks.get(place));
            place.ok_or(CliError::NoRemark { number, last: remarks.len() })
        };
        let mut board = read.clone();
        for &number in &self.take {
            let subject = numbered(number)?.subject();
            // The offers before this one may have satisfied it too.
            if let Some(remark) = review_all(&board).into_iter().find(|r| r.subject() == subject) {
                board = offers(&board, &remark, used).into_iter().next().ok_or(CliError::NoOffer(number))?.board;
            }
        }
        for (numbers, dismissed) in [(&self.dismiss, true), (&self.bring_back, false)] {
            for &number in numbers {
                board = board.with_dismissed(&numbered(number)?.subject(), dismissed);
            }
        }
        Ok(board)
    }
}

/// Swatch ids that must not come back as other swatches: those a study has painted with.
fn used_in(path: &Path) -> Result<Vec<SwatchId>, CliError> {
    // What is no file is a kept board.
    if !disk::is_file(path) || kind_of(path)? != Kind::Study {
        return Ok(Vec::new());
    }
    let study = StudyFile::open_read_only(path)?;
    let used = study.document().paints.iter().filter_map(|paint| match paint.kind {
        PaintKind::Swatch(id) | PaintKind::Removed(id) => Some(id),
        PaintKind::Free => None,
    });
    Ok(used.collect())
}

/// A remark as it is told of.
struct NumberedRemark {
    /// Its place among all remarks, from 1: the same whether dismissed ones are shown or not.
    number: usize,
    remark: Remark,
    dismissed: bool,
    offers: Vec<Offer>,
}

fn noted(board: &Board, used: &[SwatchId], all: bool) -> Vec<NumberedRemark> {
    let numbered = review_all(board).into_iter().zip(1..).map(|(remark, number)| {
        let dismissed = board.dismissed.contains(&remark.subject());
        let offers = if dismissed && !all { Vec::new() } else { offers(board, &remark, used) };
        NumberedRemark { number, dismissed, offers, remark }
    });
    numbered.filter(|n| all || !n.dismissed).collect()
}

/// The remarks that are not dismissed, one a line.
pub(super) fn remarks(board: &Board, out: &mut dyn Write) -> Result<(), CliError> {
    let mut none = true;
    for (remark, number) in review_all(board).iter().zip(1..) {
        if !board.dismissed.contains(&remark.subject()) {
            none = false;
            writeln!(out, "{number:2}. {}", remark.text)?;
        }
    }
    if none {
        writeln!(out, "no remarks")?;
    }
    Ok(())
}

fn text(board: &Board, noted: &[NumberedRemark], out: &mut dyn Write) -> std::io::Result<()> {
    if noted.is_empty() {
        writeln!(out, "no remarks")?;
    }
    for NumberedRemark { number, remark, dismissed, offers } in noted {
        let dismissed = if *dismissed { " (dismissed)" } else { "" };
        writeln!(out, "{number:2}. {}{dismissed}", remark.text)?;
        for (i, offer) in offers.iter().enumerate() {
            writeln!(out, "    {} {}", if i == 0 { "offer:" } else { "   or:" }, offer.words)?;
        }
    }
    let hidden = review_all(board).len() - noted.len();
    if hidden > 0 {
        let remarks = if hidden == 1 { "remark is" } else { "remarks are" };
        writeln!(out, "{hidden} {remarks} dismissed; --all shows all")?;
    }
    let guess = guess_light(board);
    if guess.differs_from(board) {
        writeln!(
            out,
            "the board says {} light, but its colours speak for a {} one: {}",
            board.light.word(),
            guess.light.word(),
            guess.why
        )?;
    }
    Ok(())
}

/// One remark in JSON.
#[derive(Serialize)]
struct RemarkJson<'a> {
    number: usize,
    rule: Rule,
    words: &'static str,
    swatches: &'a [SwatchId],
    families: &'a [FamilyId],
    text: &'a str,
    figure: f32,
    unit: &'static str,
    dismissed: bool,
    /// The words of the offers, the smallest first.
    offers: Vec<&'a str>,
}

fn json(board: &Board, noted: &[NumberedRemark], out: &mut dyn Write) -> Result<(), CliError> {
    let told = noted.iter().map(|NumberedRemark { number, remark, dismissed, offers }| RemarkJson {
        number: *number,
        rule: remark.rule,
        words: remark.rule.words(),
        swatches: &remark.swatches,
        families: &remark.families,
        text: &remark.text,
        figure: remark.figure,
        unit: remark.rule.unit(),
        dismissed: *dismissed,
        offers: offers.iter().map(|offer| offer.words.as_str()).collect(),
    });
    let guess = guess_light(board);
    let value = serde_json::json!({
        "board": board.name,
        "light": board.light,
        "light_guess": {
            "light": guess.light,
            "certainty": guess.certainty,
            "why": guess.why,
            "differs": guess.differs_from(board),
        },
        "dismissed": review_all(board).iter().filter(|r| board.dismissed.contains(&r.subject())).count(),
        "remarks": told.collect::<Vec<_>>(),
    });
    crate::cli::report::json(&value, out)
}
