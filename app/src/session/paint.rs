//! Laying paint: strokes and masses in one go.

use super::{Done, Loaded, Session, SessionError, Tool};
use crate::command::Command;
use stint_model::ids::PassId;
use stint_model::study::Document;
use stint_model::study::file::StepKind;
use stint_render::engine::Op;
use stint_render::mask::Mask;
use stint_render::mask::brush::BrushError;
use stint_render::mask::mass::Edge;
use stint_render::mask::path::Sample;

impl Session {
    /// The pass that is painted on, if it shows.
    pub(super) fn paintable_pass(&self) -> Result<PassId, SessionError> {
        let id = self.document.active_pass;
        match self.document.pass(id) {
            Some(pass) if pass.visible => Ok(id),
            Some(pass) => Err(SessionError::PassHidden(pass.name.clone())),
            None => Err(SessionError::Internal("the selected pass is gone".to_owned())),
        }
    }

    /// What laying the loaded paint means, and the document with that paint in its table.
    pub(super) fn loaded_paint(&self) -> Result<(Op, Document), SessionError> {
        let mut document = self.document.clone();
        let id = match self.loaded.ok_or(SessionError::NothingLoaded)? {
            Loaded::Swatch(id) => {
                let colour = document.board.swatch(id).ok_or(SessionError::LoadedGone)?.colour;
                document.paints.load_swatch(id, colour)?
            }
            Loaded::Free(_) if !document.free_open => return Err(SessionError::FreeShut),
            Loaded::Free(colour) => document.paints.load_free(colour)?,
        };
        Ok((Op::Lay(id), document))
    }

    /// A whole stroke of brush or scraper: the same path as one painted live.
    pub(super) fn stroke(&mut self, command: &Command, samples: &[Sample]) -> Result<Done, SessionError> {
        if samples.is_empty() {
            return Err(BrushError::Empty.into());
        }
        let tool = if matches!(command, Command::Scrape(_)) { Tool::Scrape } else { Tool::Brush };
        self.begin_stroke(tool)?;
        if let Err(error) = self.extend_stroke(samples) {
            self.drop_stroke()?;
            return Err(error);
        }
        self.finish_stroke()
    }

    /// A mass of the loaded paint.
    pub(super) fn mass(&mut self, command: &Command, outline: &[[f32; 2]], edge: Edge) -> Result<Done, SessionError> {
        let pass = self.paintable_pass()?;
        let (op, document) = self.loaded_paint()?;
        let mut mask = Mask::new(self.canvas.size());
        mask.add_mass(outline, edge, u16::MAX)?;
        self.show(&document)?;
        let changes = self.canvas.commit(pass, op, &mask)?;
        self.record(command, StepKind::Stroke, document, changes, None)
    }
}
