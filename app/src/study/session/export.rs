//! Export: the picture with its board attached.

use super::{Session, SessionError, readout_of};
use crate::files::replace::{Writes, may_write};
use std::path::Path;
use stint_model::disk::Replace;
use stint_model::paint::PaintKind;
use stint_model::picture::{Attached, PaletteEntry, PngOptions, write_png};
use stint_model::readout::tally::FULL;
use stint_model::study::tile::TILE_SIDE;

/// How to export.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct ExportOptions {
    /// Depth, colour space and resolution.
    pub png: PngOptions,
    /// Whether a file that is there may give way.
    pub replace: Replace,
}

/// Writes the study as a PNG that carries its board, its readout and its palette. `progress` hears how many rows are done.
///
/// # Errors
/// When the path is no place for a picture or taken, the file cannot be written or the engine fails; a file that was there before is as it was.
pub fn export_png(
    session: &mut Session,
    path: &Path,
    options: &ExportOptions,
    progress: &mut dyn FnMut(u64),
) -> Result<(), SessionError> {
    may_write(path, Writes::Picture, options.replace)?;
    let readout = session.readout()?;
    let document = session.document.clone();
    let name = session
        .file
        .path()
        .file_stem()
        .map_or_else(|| document.board.name.clone(), |n| n.to_string_lossy().into_owned());
    let attached = Attached::new(name, document.board.clone(), readout, palette(session)?);
    let canvas = &mut session.canvas;
    let mut band = |first_row: u32, out: &mut [stint_model::colour::Colour]| {
        let colours = canvas.resolve_band((first_row / TILE_SIDE) as u16)?;
        out.copy_from_slice(&colours);
        Ok(())
    };
    let size = (document.width, document.height);
    write_png(path, options.replace, size, &options.png, &attached, &mut band, progress)?;
    Ok(())
}

/// Every colour of the board, every other paint that shows, and the ground, with their shares of the picture.
fn palette(session: &mut Session) -> Result<Vec<PaletteEntry>, SessionError> {
    let document = session.document.clone();
    let readout = readout_of(&mut session.canvas, &document, Default::default())?;
    let canvas_px = f64::from(document.width) * f64::from(document.height);
    let of_picture = readout.painted_px / canvas_px;
    let mut entries: Vec<_> = document
        .board
        .swatches()
        .zip(&readout.swatches)
        .map(|((_, swatch), share)| PaletteEntry {
            name: share.name.clone(),
            colour: swatch.colour,
            share: share.share * of_picture,
        })
        .collect();
    let tally = session.canvas.tally()?;
    for paint in document.paints.iter().filter(|p| !matches!(p.kind, PaintKind::Swatch(_))) {
        let share = tally.amount(paint.id) as f64 / FULL as f64 / canvas_px;
        if share > 0.0 {
            let name = if paint.kind == PaintKind::Free { "free colour" } else { "removed swatch" };
            entries.push(PaletteEntry { name: name.to_owned(), colour: paint.colour, share });
        }
    }
    if readout.bare_share > 0.0 {
        let ground = &document.ground;
        entries.push(PaletteEntry { name: ground.name.clone(), colour: ground.colour, share: readout.bare_share });
    }
    Ok(entries)
}
