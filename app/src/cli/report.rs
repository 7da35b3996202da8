//! How results are written to standard output: a readout for people, shares in per cent, anything as JSON.

use super::CliError;
use crate::study::session::FREE_AIM;
use serde::Serialize;
use std::io::Write;
use stint_model::readout::{Opened, Readout, WorkTime};

/// Writes a value as indented JSON and ends the line.
///
/// # Errors
/// When it cannot be put into JSON or the output cannot be written.
pub(super) fn json(value: &impl Serialize, out: &mut dyn Write) -> Result<(), CliError> {
    // Whole text first, so that a reader that went away is an error of output, not of JSON.
    Ok(writeln!(out, "{}", serde_json::to_string_pretty(value)?)?)
}

/// A share of 1 in per cent with one decimal, wide enough that columns line up.
pub(super) fn percent(share: f64) -> String {
    format!("{:5.1} %", share * 100.0)
}

/// Writes a readout as lines for people.
pub(super) fn text(readout: &Readout, out: &mut dyn Write) -> std::io::Result<()> {
    let aim = if readout.free_share > FREE_AIM { "past the aim of 10 %" } else { "aim: at most 10 %" };
    writeln!(out, "{} from the board", percent(readout.board_share))?;
    writeln!(out, "{} free colour, {aim}", percent(readout.free_share))?;
    writeln!(out, "{} bare ground", percent(readout.bare_share))?;
    for family in &readout.families {
        writeln!(out, "\n{} {}", percent(family.share), family.name)?;
        for swatch in readout.swatches.iter().filter(|s| s.family == family.name) {
            writeln!(out, "  {} {:<7} {} {}", percent(swatch.share), swatch.role.word(), swatch.hex, swatch.name)?;
        }
    }
    let unused: Vec<_> = readout.swatches.iter().filter(|s| s.share == 0.0).map(|s| s.name.as_str()).collect();
    if !unused.is_empty() {
        writeln!(out, "\nUnused: {}", unused.join(", "))?;
    }
    if readout.eight_paints_share > Readout::TOLD_EIGHT_PAINTS_SHARE {
        let share = percent(readout.eight_paints_share);
        writeln!(out, "\n{share} of the paint lies in pixels of eight paints: there a ninth counts under the swatch")?;
        writeln!(out, "        most like it; from the board, free and bare are exact all the same")?;
    }
    let state = if readout.free_colour.open { "open" } else { "shut" };
    writeln!(out, "\nFree colour is {state}")?;
    opened_text(&readout.free_colour.opened, out)
}

/// Writes a line for every time that something was opened on purpose.
pub(super) fn opened_text(opened: &[Opened], out: &mut dyn Write) -> std::io::Result<()> {
    for opened in opened {
        writeln!(
            out,
            "  opened after {} strokes: {} from the board, {} free, {} bare",
            opened.after_strokes,
            percent(opened.board_share).trim_start(),
            percent(opened.free_share).trim_start(),
            percent(opened.bare_share).trim_start(),
        )?;
    }
    Ok(())
}

/// Writes a line about the time that a study took; nothing where that is not known.
pub(super) fn time_text(time: Option<WorkTime>, out: &mut dyn Write) -> std::io::Result<()> {
    let Some(time) = time else { return Ok(()) };
    match time.stint_min {
        Some(stint) => writeln!(out, "\n{} of {stint} minutes at work", time.minutes()),
        None if time.minutes() == 1 => writeln!(out, "\n1 minute at work"),
        None => writeln!(out, "\n{} minutes at work", time.minutes()),
    }
}
