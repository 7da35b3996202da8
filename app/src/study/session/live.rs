//! A stroke in the making: shown while the pen is down, recorded when it lifts.

use super::{Done, Session, SessionError};
use crate::study::command::Command;
use std::collections::BTreeSet;
use stint_model::ids::PassId;
use stint_model::study::Document;
use stint_model::study::file::StepKind;
use stint_model::study::tile::TilePos;
use stint_render::canvas::StrokeOp;
use stint_render::mask::path::Path;
use stint_render::mask::{Mask, PenSample};

/// What a stroke along samples does.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Tool {
    /// Lays the loaded paint.
    Brush,
    /// Takes paint off.
    Scrape,
    /// Blends what is there.
    Soften,
}

/// How far soften carries paint, as a part of the brush's diameter.
const SOFTEN_REACH: f32 = 0.2;

/// The stroke.
pub(super) struct Live {
    tool: Tool,
    work: StrokeOp,
    pass: PassId,
    /// The document with the loaded paint entered.
    document: Document,
    path: Path,
    hardness: f32,
    mask: Mask,
    samples: Vec<PenSample>,
}

impl Session {
    /// Puts the pen down.
    ///
    /// # Errors
    /// When there is nothing on the brush, the pass is hidden, or a stroke is in the making already.
    pub fn begin_stroke(&mut self, tool: Tool) -> Result<(), SessionError> {
        if self.live.is_some() {
            return Err(SessionError::Painting);
        }
        self.end_preview()?;
        let pass = self.paintable_pass()?;
        let (work, document) = match tool {
            Tool::Brush => self.loaded_paint()?,
            Tool::Scrape => (StrokeOp::Scrape, self.document.clone()),
            Tool::Soften => (StrokeOp::Soften { radius_px: self.brush.size_px * SOFTEN_REACH }, self.document.clone()),
        };
        self.show(&document)?;
        self.live = Some(Live {
            tool,
            work,
            pass,
            document,
            path: Path::new(self.brush)?,
            hardness: self.brush.hardness,
            mask: Mask::new(self.canvas.size()),
            samples: Vec::new(),
        });
        Ok(())
    }

    /// Takes further samples of the pen and shows the stroke so far; tells the tiles that look different now.
    ///
    /// # Errors
    /// When a sample is not finite or the engine fails; the stroke goes on without the samples.
    pub fn extend_stroke(&mut self, samples: &[PenSample]) -> Result<BTreeSet<TilePos>, SessionError> {
        let Some(live) = &mut self.live else { return Ok(BTreeSet::new()) };
        let mut dabs = Vec::new();
        // On a copy: a sample that is refused must not leave half of the others behind.
        let mut path = live.path.clone();
        for &sample in samples {
            path.push(sample, &mut dabs)?;
        }
        live.path = path;
        live.samples.extend_from_slice(samples);
        self.show_dabs(&dabs)
    }

    fn show_dabs(&mut self, dabs: &[stint_render::mask::path::Dab]) -> Result<BTreeSet<TilePos>, SessionError> {
        let Some(live) = &mut self.live else { return Ok(BTreeSet::new()) };
        let mut touched = BTreeSet::new();
        live.mask.add_dabs(dabs, live.hardness, &mut touched);
        self.canvas.preview(live.pass, &live.work, &live.mask, touched.iter().copied())?;
        Ok(touched)
    }

    /// Lifts the pen: the stroke becomes part of its pass and is recorded.
    ///
    /// # Errors
    /// When the study file or the engine fails; the stroke is gone then and the study as it was before it.
    pub fn finish_stroke(&mut self) -> Result<Done, SessionError> {
        let mut dabs = Vec::new();
        if let Some(live) = &mut self.live {
            live.path.finish(&mut dabs);
        }
        let shown = self.show_dabs(&dabs);
        let Some(live) = self.live.take() else { return Ok(Done::default()) };
        if let Err(error) = shown {
            self.canvas.cancel();
            return Err(error);
        }
        let command = match live.tool {
            Tool::Brush => Command::Stroke(live.samples),
            Tool::Scrape => Command::Scrape(live.samples),
            Tool::Soften => Command::Soften(live.samples),
        };
        let changes = self.canvas.finish()?;
        self.record(&command, StepKind::Stroke, live.document, changes, None)
    }

    /// Lets the stroke in the making go.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn drop_stroke(&mut self) -> Result<(), SessionError> {
        if self.live.take().is_some() {
            self.canvas.cancel();
            let document = self.document.clone();
            self.show(&document)?;
        }
        Ok(())
    }
}
