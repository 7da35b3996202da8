//! `stint readout IMAGE --board BOARD`: any picture tested against a board.

use super::report::{json, percent};
use super::source::{Kind, board_of, kind_of, photo_of};
use super::{CliError, EngineArgument};
use crate::study::session::Session;
use std::io::Write;
use std::path::Path;
use stint_model::board_match::{BoardMatch, PixelRows, match_board};
use stint_model::mixing::Mixing;
use stint_model::photo::Adjustments;
use stint_model::study::tile::TILE_SIDE;

/// Tests the picture in a file against the board in another, within a CIEDE2000 and for a mixing model. Without one a study is tested by
/// what it shows, in its own; every other picture in the one that new studies have.
#[expect(clippy::cast_possible_truncation, reason = "a canvas has far fewer than 65536 rows of tiles")]
pub(super) fn run(
    picture: &Path,
    board: &Path,
    (within, mixing): (f64, Option<Mixing>),
    as_json: bool,
    engine: EngineArgument,
    out: &mut dyn Write,
) -> Result<(), CliError> {
    let board = board_of(board)?;
    let found = if kind_of(picture)? == Kind::Study {
        let mut session = Session::open_read_only(picture, engine.into())?;
        let (width, height) = (session.document().width, session.document().height);
        let mut colours = Vec::with_capacity(width as usize * height as usize);
        for row in 0..height.div_ceil(TILE_SIDE) {
            colours
                .extend(session.canvas().resolve_band(row as u16).map_err(crate::study::session::SessionError::from)?);
        }
        match_board(&PixelRows::new(width, &colours), &board, mixing.unwrap_or(session.document().mixing), within)?
    } else {
        match_board(&photo_of(picture)?.view(Adjustments::default()), &board, mixing.unwrap_or_default(), within)?
    };
    if as_json { json(&found, out) } else { Ok(text(&found, &board.name, out)?) }
}

/// The result in lines for reading.
fn text(found: &BoardMatch, board: &str, out: &mut dyn Write) -> std::io::Result<()> {
    let within = found.within_ciede2000;
    writeln!(out, "{} could be mixed from \"{board}\" (CIEDE2000 at most {within})", percent(found.share))?;
    writeln!(out, "  {:5.1} mean CIEDE2000 from the nearest mixture", found.mean_ciede2000)?;
    if !found.worst.is_empty() {
        writeln!(out, "\nFarthest off:")?;
    }
    for area in &found.worst {
        writeln!(
            out,
            "{} {} at {},{} ({} x {} px): {}, CIEDE2000 {:.1} from {} of {}",
            percent(area.share_of_picture),
            area.hex,
            area.x_px,
            area.y_px,
            area.width_px,
            area.height_px,
            area.off,
            area.mean_ciede2000,
            area.nearest_hex,
            area.families.join(" and "),
        )?;
    }
    Ok(())
}
