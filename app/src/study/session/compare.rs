//! The painting held against its photo: what is taken from the session at one moment, and the work on it, which takes a while.

use super::{Session, SessionError, lut};
use std::sync::Arc;
use stint_model::board::Board;
use stint_model::colour::Colour;
use stint_model::comparison::{Comparison, PaintedCells, PhotoCells, PickedFrom};
use stint_model::paint::PaintKind;
use stint_model::photo::{Adjustments, Blocks, Framing, Photo};
use stint_model::study::Document;
use stint_render::canvas::Thumbnail;

/// Cells along the longer side of the grid.
const GRID_SIDE: u32 = 512;
/// Blocks of the photo along its longer side: as many as cells, so that all of it on a canvas of its form is compared block by cell.
const PHOTO_SIDE: u32 = GRID_SIDE;
/// Paint on a cell from this cover on, of 65535.
const PAINTED: u32 = 32768;

/// The photo as it lies under the canvas, kept from one comparison to the next while photo, adjustments and framing stay.
#[derive(Clone)]
pub struct LaidPhoto {
    photo: Arc<Photo>,
    blocks: Arc<Blocks>,
    adjustments: Adjustments,
    framing: Framing,
    cells: Arc<PhotoCells>,
}

impl LaidPhoto {
    /// The photo, cell by cell of the canvas.
    pub fn cells(&self) -> &Arc<PhotoCells> {
        &self.cells
    }

    /// Lays a photo, with what is still true of the one laid before.
    fn new(
        before: Option<LaidPhoto>,
        photo: Arc<Photo>,
        adjustments: Adjustments,
        framing: Framing,
        grid: (u32, u32),
    ) -> Self {
        let part = adjustments.part_of(photo.width_px(), photo.height_px());
        let same = |b: &LaidPhoto| Arc::ptr_eq(&b.photo, &photo) && b.blocks.rect() == part;
        let before = before.filter(same);
        if let Some(before) = &before
            && (before.adjustments, before.framing) == (adjustments, framing)
            && (before.cells.width, before.cells.height) == grid
        {
            return before.clone();
        }
        let blocks = before.map_or_else(|| Arc::new(Blocks::new(&photo, part, PHOTO_SIDE)), |b| b.blocks);
        let cells = Arc::new(PhotoCells::new(&blocks, &photo.view(adjustments), &framing, grid));
        LaidPhoto { photo, blocks, adjustments, framing, cells }
    }
}

/// The study as it was taken, ready to be compared beside the window.
pub struct ComparisonSource {
    thumbnail: Thumbnail,
    document: Document,
    photo: Arc<Photo>,
    adjustments: Adjustments,
    framing: Framing,
    /// Whether the swatches were picked from this photo.
    picked_here: bool,
}

/// What came of it.
pub struct ComparisonResult {
    /// Surface by surface.
    pub comparison: Comparison,
    /// For the next one.
    pub laid: LaidPhoto,
    /// The board it was compared by.
    pub board: Board,
}

impl Session {
    /// Takes the study as it shows now. Of the canvas only tiles that changed since the last time are read.
    ///
    /// # Errors
    /// When there is no photo, it cannot be read, or the engine fails.
    pub fn comparison_source(&mut self) -> Result<ComparisonSource, SessionError> {
        let (photo, adjustments) = self.reference()?;
        let framing = self.framing(&photo);
        self.source(photo, adjustments, framing, true)
    }

    /// The same against another photo, whole and as it is. Outlines and spots that swatches were picked from hold for it too when it has
    /// the size of the study's own: it is then taken for another version of it.
    ///
    /// # Errors
    /// As [`Session::comparison_source`].
    pub fn comparison_source_with(&mut self, photo: Arc<Photo>) -> Result<ComparisonSource, SessionError> {
        let size = |photo: &Photo| (photo.width_px(), photo.height_px());
        let own = self.reference().ok().map(|(own, _)| own);
        let same = own.is_some_and(|own| size(&own) == size(&photo));
        let framing = if same { self.framing(&photo) } else { Framing::whole(photo.width_px(), photo.height_px()) };
        let own = self.document.reference.as_ref().map_or_else(Adjustments::default, |r| r.adjustments);
        let adjustments = if same { own.crop_alone() } else { Adjustments::default() };
        self.source(photo, adjustments, framing, same)
    }

    /// Which part of a photo of the reference's size the canvas shows: what was lined up, or all that the photo is cropped to.
    pub fn framing(&self, photo: &Photo) -> Framing {
        let reference = self.document.reference.as_ref();
        let adjustments = reference.map_or_else(Adjustments::default, |r| r.adjustments);
        let part = adjustments.part_of(photo.width_px(), photo.height_px());
        reference.and_then(|r| r.framing).unwrap_or_else(|| Framing::part(part))
    }

    fn source(
        &mut self,
        photo: Arc<Photo>,
        adjustments: Adjustments,
        framing: Framing,
        picked_here: bool,
    ) -> Result<ComparisonSource, SessionError> {
        let thumbnail = self.thumbnail(GRID_SIDE)?;
        Ok(ComparisonSource { thumbnail, document: self.document.clone(), photo, adjustments, framing, picked_here })
    }
}

impl ComparisonSource {
    /// Compares, on all cores. `laid` is the photo of the last time, if there was one.
    pub fn compare(self, laid: Option<LaidPhoto>) -> ComparisonResult {
        let ComparisonSource { thumbnail, document, photo, adjustments, framing, picked_here } = self;
        let grid = (thumbnail.width(), thumbnail.height());
        let key = if picked_here { document.reference.as_ref().map_or(0, |r| r.photo) } else { 0 };
        let part = adjustments.part_of(photo.width_px(), photo.height_px());
        let longer_side_px = part.width_px.max(part.height_px);
        let laid = LaidPhoto::new(laid, photo, adjustments, framing, grid);
        let painting = painted_cells(&thumbnail, &document);
        let from = PickedFrom { picks: &document.picks, photo: key, longer_side_px };
        let comparison = Comparison::new(&document.board, from, &framing, &painting, &laid.cells);
        ComparisonResult { comparison, laid, board: document.board }
    }
}

fn painted_cells(thumbnail: &Thumbnail, document: &Document) -> PaintedCells {
    let place = |swatch| document.board.families.iter().position(|f| f.swatches.iter().any(|s| s.id == swatch));
    // By paint id; ids begin at 1.
    let mut classes = vec![None];
    classes.extend(document.paints.iter().map(|paint| match paint.kind {
        PaintKind::Swatch(id) => place(id).and_then(|place| u16::try_from(place).ok()),
        PaintKind::Free | PaintKind::Removed(_) => None,
    }));
    let cells = thumbnail.cell_paints(|id| classes.get(usize::from(id.0)).copied().flatten());
    let colour = |packed: u32| {
        let [r, g, b, _] = packed.to_le_bytes();
        Colour::from_srgb8([r, g, b])
    };
    PaintedCells {
        width: thumbnail.width(),
        height: thumbnail.height(),
        colours: thumbnail.colours(&lut(document)).into_iter().map(colour).collect(),
        painted: cells.iter().map(|cell| cell.cover >= PAINTED).collect(),
        families: cells.iter().map(|cell| cell.class).collect(),
    }
}
