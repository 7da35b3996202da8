//! The painting held against its photo: what is taken from the session at one moment, and the work on it, which takes a while.

use super::{Session, SessionError, lut};
use rayon::prelude::*;
use std::sync::Arc;
use stint_model::board::Board;
use stint_model::colour::Colour;
use stint_model::comparison::{Comparison, PaintedCells, PhotoCells, PickedFrom};
use stint_model::ids::PaintId;
use stint_model::paint::PaintKind;
use stint_model::photo::{Adjustments, Blocks, Framing, Photo};
use stint_model::study::Document;
use stint_render::canvas::Thumbnail;
use stint_render::paints::PaintLut;

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

/// The painting as it was compared, kept from one comparison to the next: what did not change is not coloured again.
struct LaidPainting {
    thumbnail: Thumbnail,
    paints: PaintLut,
    classes: Vec<Option<u16>>,
    cells: PaintedCells,
}

/// What the next comparison need not work out again.
#[derive(Clone)]
pub struct Kept {
    photo: LaidPhoto,
    painting: Arc<LaidPainting>,
}

impl Kept {
    /// The photo as it lies under the canvas.
    pub fn photo(&self) -> &LaidPhoto {
        &self.photo
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
    pub kept: Kept,
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
    /// Compares, on all cores. `before` is what was kept of the last time, if there was one: then the work on the painting follows what
    /// was touched since.
    pub fn compare(self, before: Option<Kept>) -> ComparisonResult {
        let ComparisonSource { thumbnail, document, photo, adjustments, framing, picked_here } = self;
        let grid = (thumbnail.width(), thumbnail.height());
        let key = if picked_here { document.reference.as_ref().map_or(0, |r| r.photo) } else { 0 };
        let part = adjustments.part_of(photo.width_px(), photo.height_px());
        let longer_side_px = part.width_px.max(part.height_px);
        let (laid, painting) = before.map_or((None, None), |kept| (Some(kept.photo), Some(kept.painting)));
        let photo = LaidPhoto::new(laid, photo, adjustments, framing, grid);
        let painting = Arc::new(LaidPainting::new(painting, thumbnail, &document));
        let from = PickedFrom { picks: &document.picks, photo: key, longer_side_px };
        let comparison = Comparison::new(&document.board, from, &framing, &painting.cells, &photo.cells);
        ComparisonResult { comparison, kept: Kept { photo, painting }, board: document.board }
    }
}

impl LaidPainting {
    fn new(before: Option<Arc<LaidPainting>>, thumbnail: Thumbnail, document: &Document) -> Self {
        let place = |swatch| document.board.families.iter().position(|f| f.swatches.iter().any(|s| s.id == swatch));
        // By paint id; ids begin at 1.
        let mut classes = vec![None];
        classes.extend(document.paints.iter().map(|paint| match paint.kind {
            PaintKind::Swatch(id) => place(id).and_then(|place| u16::try_from(place).ok()),
            PaintKind::Free | PaintKind::Removed(_) => None,
        }));
        let paints = lut(document);
        let grid = (thumbnail.width(), thumbnail.height());
        let before =
            before.filter(|b| (b.cells.width, b.cells.height) == grid && b.paints == paints && b.classes == classes);
        let changed = thumbnail.parts_since(before.as_ref().map(|b| &b.thumbnail));
        let worked_out: Vec<_> = changed
            .into_par_iter()
            .map(|part| {
                let class_of = |id: PaintId| classes.get(usize::from(id.0)).copied().flatten();
                (part, part.colours(&paints), part.cell_paints(class_of))
            })
            .collect();
        let mut cells = before.as_ref().map_or_else(
            || {
                let count = grid.0 as usize * grid.1 as usize;
                PaintedCells {
                    width: grid.0,
                    height: grid.1,
                    colours: vec![Colour::default(); count],
                    painted: vec![false; count],
                    families: vec![None; count],
                }
            },
            |before| before.cells.clone(),
        );
        for (part, colours, found) in worked_out {
            for (place, (packed, cell)) in part.places().zip(colours.into_iter().zip(found)) {
                let [r, g, b, _] = packed.to_le_bytes();
                cells.colours[place] = Colour::from_srgb8([r, g, b]);
                cells.painted[place] = cell.cover >= PAINTED;
                cells.families[place] = cell.class;
            }
        }
        LaidPainting { thumbnail, paints, classes, cells }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::{Command, SwatchRef};
    use stint_model::board::{LightOfDay, Role};
    use stint_model::variation::turn::turn;
    use stint_render::choose::EngineChoice;

    /// What is kept from one time to the next changes nothing of what is found: after marks, an undo, another board and another strength
    /// of a pass.
    #[test]
    fn cells_that_follow_what_was_touched_are_those_worked_out_whole() {
        let mut session =
            Session::in_memory((700, 500), Board::new("Depot", LightOfDay::Cool), EngineChoice::Cpu).unwrap();
        for (family, colour) in [("Brick", "#73524e"), ("Yard", "#525a68")] {
            let (family, colour) = (family.to_owned(), colour.to_owned());
            let name = String::new();
            session.apply(&Command::AddSwatch { family, role: Role::Local, name, colour, by_role: false }).unwrap();
        }
        let mass = |session: &mut Session, family: &str, x: f32| {
            session.apply(&Command::Load(SwatchRef::Swatch { family: family.to_owned(), role: Role::Local })).unwrap();
            let outline = vec![[x, 20.0], [x + 200.0, 40.0], [x + 80.0, 400.0]];
            session.apply(&Command::Mass { outline, edge: Default::default() }).unwrap();
        };
        let mut before: Option<Arc<LaidPainting>> = None;
        let mut follow = |session: &mut Session| {
            let thumbnail = session.thumbnail(GRID_SIDE).unwrap();
            let worked = before.as_ref().map_or(0, |b| thumbnail.parts_since(Some(&b.thumbnail)).len());
            let whole = LaidPainting::new(None, thumbnail.clone(), session.document());
            let followed = LaidPainting::new(before.take(), thumbnail, session.document());
            assert!(whole.cells == followed.cells);
            before = Some(Arc::new(followed));
            worked
        };
        mass(&mut session, "Brick", 20.0);
        follow(&mut session);
        mass(&mut session, "Yard", 460.0);
        // Of 24 parts only those that the second mass lies on.
        let touched = follow(&mut session);
        assert!((4..=12).contains(&touched), "{touched}");
        session.apply(&Command::Undo).unwrap();
        assert_eq!(follow(&mut session), touched);
        let turned = turn(&session.document().board, 120.0).unwrap().board;
        session.preview(&turned).unwrap();
        follow(&mut session);
    }
}
