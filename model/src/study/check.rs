//! What must hold for a study to be opened and painted on. Checked when a file is opened, so that a damaged one is
//! found at once, and before anything is written, so that no file is made that would be refused later.

use super::document::{CANVAS_LIMIT, Document, STINT_LIMIT_MIN};
use super::tile::{TILE_SIDE, TileKey};
use crate::photo::Adjustments;
use rusqlite::Connection;
use std::collections::HashSet;

/// What is wrong with a document, in a few words.
pub(super) fn document(document: &Document) -> Result<(), String> {
    let Document { width, height, board, paints, passes, active_pass, ground, reference, boards, well, .. } = document;
    let sides = 1..=CANVAS_LIMIT;
    if !sides.contains(width) || !sides.contains(height) {
        return Err(format!("a canvas of {width} x {height} px, where each side must be 1 to {CANVAS_LIMIT} px"));
    }
    crate::board::check::check(board).map_err(|e| format!("on its board, {e}"))?;
    for board in boards {
        let name = &board.name;
        crate::board::check::check(board).map_err(|e| format!("on its board \"{name}\", {e}"))?;
    }
    if !well.is_sound(board) {
        return Err("its well holds what its board does not have".to_owned());
    }
    if !paints.is_sound() {
        return Err("its paint table has a gap, or a colour that is not three finite numbers".to_owned());
    }
    if let Some(Err(why)) = document.protected.as_ref().map(super::protected::ProtectedArea::check) {
        return Err(format!("of its protected area, {why}"));
    }
    let mut ids = HashSet::new();
    if let Some(pass) = passes.iter().find(|p| p.id.0 == 0 || !ids.insert(p.id)) {
        return Err(format!("its pass \"{}\" has id {}, which is 0 or taken", pass.name, pass.id));
    }
    if !ids.contains(active_pass) {
        return Err(format!("it is painting on pass {active_pass}, which it does not have"));
    }
    if !ground.colour.is_finite() {
        return Err("its ground is not three finite numbers".to_owned());
    }
    if let Some(reference) = reference {
        let Adjustments { hue_turn_degrees, soften_px, exposure_stops, contrast, crop } = reference.adjustments;
        if [hue_turn_degrees, soften_px, exposure_stops, contrast].iter().any(|value| !value.is_finite()) {
            return Err("the adjustments of its photo are not finite numbers".to_owned());
        }
        if crop.is_some_and(|crop| crop.width_px == 0 || crop.height_px == 0) {
            return Err("its photo is cropped to nothing".to_owned());
        }
    }
    if let Some(minutes) = document.stint_min
        && !(1..=STINT_LIMIT_MIN).contains(&minutes)
    {
        return Err(format!("a stint of {minutes} minutes, where 1 to {STINT_LIMIT_MIN} are possible"));
    }
    Ok(())
}

/// What is wrong with the place of a tile.
pub(super) fn tile(document: &Document, key: TileKey) -> Result<(), String> {
    let TileKey { pass, pos } = key;
    if document.pass(pass).is_none() {
        return Err(format!("there is paint on pass {pass}, which it does not have"));
    }
    let (column, row) = (u32::from(pos.column), u32::from(pos.row));
    if column >= document.width.div_ceil(TILE_SIDE) || row >= document.height.div_ceil(TILE_SIDE) {
        return Err(format!("there is paint outside the canvas, in tile column {column}, row {row}"));
    }
    Ok(())
}

/// What is wrong with a document that follows `before`: in itself, or because paint would be left without its meaning.
pub(super) fn next_document(document: &Document, before: &Document) -> Result<(), String> {
    self::document(document)?;
    if document.paints.len() < before.paints.len() {
        let (now, then) = (document.paints.len(), before.paints.len());
        return Err(format!("its paint table would shrink from {then} to {now} paints"));
    }
    Ok(())
}

/// What is wrong with the place of any stored tile, or with the photo that the document names.
pub(super) fn stored(db: &Connection, document: &Document) -> rusqlite::Result<Result<(), String>> {
    let mut query = db.prepare_cached(
        "SELECT pass, MIN(tile_row), MAX(tile_row), MIN(tile_column), MAX(tile_column) FROM tile GROUP BY pass",
    )?;
    let mut rows = query.query([])?;
    while let Some(row) = rows.next()? {
        let pass = crate::ids::PassId(row.get(0)?);
        for (r, c) in [(1, 3), (2, 4)] {
            let pos = super::tile::TilePos { row: row.get(r)?, column: row.get(c)? };
            if let Err(what) = tile(document, TileKey { pass, pos }) {
                return Ok(Err(what));
            }
        }
    }
    if let Some(reference) = &document.reference {
        let mut query = db.prepare_cached("SELECT EXISTS (SELECT 1 FROM photo WHERE key = ?1)")?;
        if !query.query_row([reference.photo], |row| row.get::<_, bool>(0))? {
            return Ok(Err(format!("its photo \"{}\" is not in it", reference.name)));
        }
    }
    Ok(Ok(()))
}
