//! Laying paint: strokes and masses in one go.

use super::{Done, Loaded, Session, SessionError, Tool};
use crate::study::command::Command;
use stint_model::ids::{PaintId, PassId};
use stint_model::paint::{PaintClass, PaintKind};
use stint_model::study::Document;
use stint_model::study::file::StepKind;
use stint_render::canvas::{BrushLoad, StrokeOp};
use stint_render::mask::Mask;
use stint_render::mask::PenSample;
use stint_render::mask::brush::BrushError;
use stint_render::mask::mass::Edge;

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
    pub(super) fn loaded_paint(&self) -> Result<(StrokeOp, Document), SessionError> {
        let mut document = self.document.clone();
        let id = match self.loaded.ok_or(SessionError::NothingLoaded)? {
            Loaded::Swatch(id) => {
                let colour = document.board.swatch(id).ok_or(SessionError::LoadedGone)?.colour;
                document.paints.load_swatch(id, colour)?
            }
            Loaded::Free(_) if !document.free_open => return Err(SessionError::FreeShut),
            Loaded::Free(colour) => document.paints.load_free(colour)?,
            Loaded::Mixture => {
                let load = self.usable_mixture().ok_or(SessionError::LoadedGone)?.clone();
                return Ok((StrokeOp::Lay(load), document));
            }
        };
        Ok((StrokeOp::lay(id), document))
    }

    /// Loads what shows at a canvas pixel.
    pub(super) fn load_from(&mut self, (x, y): (u32, u32)) -> Result<Done, SessionError> {
        let found = self.canvas.paints_at(x, y)?;
        if found.is_empty() {
            return Err(SessionError::NoPaintThere);
        }
        let allowed: Vec<_> = found.into_iter().filter(|(id, _)| may_load(&self.document, *id)).collect();
        let load = BrushLoad::mixture(&allowed).ok_or(SessionError::FreeShut)?;
        let kind = |id: PaintId| self.document.paints.get(id).map(|p| (p.kind, p.colour));
        self.loaded = Some(match load.parts() {
            [(id, _)] => match kind(*id) {
                Some((PaintKind::Swatch(swatch), _)) => Loaded::Swatch(swatch),
                Some((PaintKind::Free, colour)) => Loaded::Free(colour),
                _ => Loaded::Mixture,
            },
            _ => Loaded::Mixture,
        });
        self.mixture = Some(load);
        Ok(Done::default())
    }

    /// The mixture that was picked last, if all its paints may be laid now.
    pub(super) fn usable_mixture(&self) -> Option<&BrushLoad> {
        let load = self.mixture.as_ref()?;
        load.parts().iter().all(|(id, _)| may_load(&self.document, *id)).then_some(load)
    }

    /// A whole stroke along samples: the same path as one painted live.
    pub(super) fn stroke(&mut self, tool: Tool, samples: &[PenSample]) -> Result<Done, SessionError> {
        if samples.is_empty() {
            return Err(BrushError::Empty.into());
        }
        self.begin_stroke(tool)?;
        if let Err(error) = self.extend_stroke(samples) {
            self.cancel_stroke();
            return Err(error);
        }
        self.finish_stroke()
    }

    /// A mass of the loaded paint.
    pub(super) fn mass(&mut self, command: &Command, outline: &[[f32; 2]], edge: Edge) -> Result<Done, SessionError> {
        let pass = self.paintable_pass()?;
        let (work, document) = self.loaded_paint()?;
        let mut mask = Mask::new(self.canvas.size());
        mask.add_mass(outline, edge, u16::MAX)?;
        self.show(&document);
        let changes = match self.canvas.commit(pass, &work, &mask) {
            Ok(changes) => changes,
            Err(error) => {
                let before = self.document.clone();
                self.show(&before);
                return Err(error.into());
            }
        };
        self.record(command, StepKind::Stroke, document, changes, None)
    }
}

/// Whether a paint may be on the brush: board paint always, anything else only while free colour is open.
fn may_load(document: &Document, id: PaintId) -> bool {
    document.paints.get(id).is_some_and(|p| document.free_open || p.class() == PaintClass::Board)
}
