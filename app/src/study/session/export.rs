//! Export: the picture with its board attached, from the canvas of a session or, beside it, from a snapshot of its file.

use super::recorder::SnapshotReader;
use super::{Session, SessionError, lut, readout_of};
use crate::files::replace::{Writes, may_write};
use std::path::Path;
use stint_model::colour::Colour;
use stint_model::disk::Replace;
use stint_model::paint::PaintKind;
use stint_model::picture::{Attached, PaletteEntry, PngOptions, write_png};
use stint_model::readout::tally::FULL;
use stint_model::study::Document;
use stint_model::study::tile::{TILE_SIDE, TilePixels};
use stint_render::canvas::Canvas;
use stint_render::cpu::CpuEngine;
use stint_render::mask::CanvasSize;

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
    let attached = attached(session)?;
    let canvas = &mut session.canvas;
    let mut band = |row: u16| canvas.resolve_band(row).map_err(SessionError::from);
    write(path, options, (session.document.width, session.document.height), &attached, &mut band, progress)
}

/// Everything an export needs, taken at one moment: painting goes on while it is written.
pub struct ExportSource {
    document: Document,
    attached: Attached,
    tiles: SnapshotReader,
}

impl ExportSource {
    /// The study as it is now.
    ///
    /// # Errors
    /// When a step before could not be kept, the engine fails or the file cannot be read.
    pub fn of(session: &mut Session) -> Result<Self, SessionError> {
        session.settle()?;
        let attached = attached(session)?;
        Ok(ExportSource { document: session.document.clone(), attached, tiles: session.recorder.snapshot()? })
    }

    /// Rows of pixels.
    pub fn rows(&self) -> u64 {
        self.document.height.into()
    }

    /// Writes it as [`export_png`] does, on the CPU, one row of tiles in memory at a time.
    ///
    /// # Errors
    /// As for [`export_png`], and when the file cannot be read.
    pub fn write(
        self,
        path: &Path,
        options: &ExportOptions,
        progress: &mut dyn FnMut(u64),
    ) -> Result<(), SessionError> {
        may_write(path, Writes::Picture, options.replace)?;
        let ExportSource { document, attached, tiles } = self;
        let (width, height) = (document.width, document.height);
        let engine = Box::new(CpuEngine::default());
        let mut canvas = Canvas::new(CanvasSize { width, height }, engine, lut(&document), &document.passes)?;
        let mut band = |row: u16| {
            let tiles = tiles.read_row(row)?;
            let none = tiles.iter().map(|(key, _)| (*key, TilePixels::default())).collect();
            canvas.put_tiles(tiles)?;
            let colours = canvas.resolve_band(row)?;
            canvas.put_tiles(none)?;
            Ok(colours)
        };
        write(path, options, (width, height), &attached, &mut band, progress)
    }
}

/// What the picture carries.
fn attached(session: &mut Session) -> Result<Attached, SessionError> {
    let readout = session.readout()?;
    let document = session.document.clone();
    let name =
        session.path().file_stem().map_or_else(|| document.board.name.clone(), |n| n.to_string_lossy().into_owned());
    let worked_s = Some(session.work_time().worked_s);
    Ok(Attached { worked_s, ..Attached::new(name, document.board, readout, palette(session)?) })
}

/// Writes a picture whose rows of tiles `band` gives.
#[expect(clippy::cast_possible_truncation, reason = "a canvas has far fewer than 65536 rows of tiles")]
fn write(
    path: &Path,
    options: &ExportOptions,
    size: (u32, u32),
    attached: &Attached,
    band: &mut dyn FnMut(u16) -> Result<Vec<Colour>, SessionError>,
    progress: &mut dyn FnMut(u64),
) -> Result<(), SessionError> {
    let mut rows = |first_row: u32, out: &mut [Colour]| {
        out.copy_from_slice(&band((first_row / TILE_SIDE) as u16)?);
        Ok(())
    };
    write_png(path, options.replace, size, &options.png, attached, &mut rows, progress)?;
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
