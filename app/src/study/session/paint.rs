//! Laying paint: strokes and masses in one go.

use super::free::free_pass;
use super::{Done, Loaded, Session, SessionError, StrokeTool};
use crate::study::command::Command;
use stint_model::ids::{PaintId, PassId};
use stint_model::paint::{PaintClass, PaintKind};
use stint_model::pass::PassKind;
use stint_model::study::Document;
use stint_render::canvas::{BrushLoad, StrokeOp};
use stint_render::engine::answer::Answer;
use stint_render::mask::Mask;
use stint_render::mask::PenSample;
use stint_render::mask::brush::BrushError;
use stint_render::mask::loose::{LooseError, loose_mass};
use stint_render::mask::mass::Edge;

impl Session {
    /// The selected pass, if it shows.
    pub(super) fn paintable_pass(&self) -> Result<PassId, SessionError> {
        shown(&self.document, self.document.active_pass)
    }

    /// What laying the loaded paint means, the pass that it lands on, and the document with that paint in its table.
    pub(super) fn loaded_paint(&self) -> Result<(StrokeOp, PassId, Document), SessionError> {
        let (load, mut document) = self.load_in_hand()?;
        let pass = if holds_free(&load, &document) { free_pass(&mut document)? } else { document.active_pass };
        let pass = shown(&document, pass)?;
        Ok((StrokeOp::Lay(load), pass, document))
    }

    /// The pass that what is on the brush lands on: the free pass for free colour and for any mixture with free colour in it,
    /// whichever pass is selected. None where nothing can be laid, or the free pass is made by the first such stroke.
    pub fn lands_on(&self) -> Option<PassId> {
        let (load, document) = self.load_in_hand().ok()?;
        if !holds_free(&load, &document) {
            return Some(document.active_pass);
        }
        document.passes.iter().rev().find(|p| p.kind == PassKind::Free).map(|p| p.id)
    }

    fn load_in_hand(&self) -> Result<(BrushLoad, Document), SessionError> {
        let mut document = self.document.clone();
        let id = match self.loaded.ok_or(SessionError::NothingLoaded)? {
            Loaded::Swatch(id) => {
                let colour = document.board.swatch(id).ok_or(SessionError::LoadedGone)?.colour;
                document.paints.load_swatch(id, colour)?
            }
            Loaded::Free(_) if !document.free_open => return Err(SessionError::FreeShut),
            Loaded::Free(colour) => document.paints.load_free(colour)?,
            Loaded::Mixture => {
                let load = *self.usable_mixture().ok_or(SessionError::LoadedGone)?;
                return Ok((load, document));
            }
            Loaded::Well => {
                let load = well_load(&mut document)?;
                return Ok((load, document));
            }
        };
        Ok((BrushLoad::one(id), document))
    }

    /// Loads what shows at a canvas pixel.
    pub(super) fn load_from(&mut self, (x, y): (u32, u32)) -> Result<Done, SessionError> {
        let found = self.canvas.paints_at(x, y)?;
        self.load_found(found)
    }

    /// Asks what shows at a canvas pixel, column and row: it is loaded as soon as the engine has answered ([`Session::follow_pick`]). What
    /// was asked for before is not wanted any more.
    ///
    /// # Errors
    /// When a stroke is in the making, or the engine fails.
    pub fn pick_up(&mut self, (x, y): (u32, u32)) -> Result<(), SessionError> {
        if self.active_stroke.is_some() {
            return Err(SessionError::Painting);
        }
        self.picking = Some(self.canvas.ask_paints_at(x, y)?);
        Ok(())
    }

    /// Whether something was asked for that has not been loaded yet.
    pub fn is_picking(&self) -> bool {
        self.picking.is_some()
    }

    /// Loads what was asked for, if the engine has answered. Never waits. Tells whether something is on the brush now.
    ///
    /// # Errors
    /// When there is no paint that may be loaded, or the engine failed; the load is as it was.
    pub fn follow_pick(&mut self) -> Result<bool, SessionError> {
        let Some(answer) = self.picking.take_if(Answer::has_come) else { return Ok(false) };
        let found = answer.take()?;
        self.load_found(found).map(|_| true)
    }

    /// Loads what was asked for before something is laid with it; what cannot be loaded leaves the load as it was.
    pub(super) fn settle_pick(&mut self) {
        if let Some(Ok(found)) = self.picking.take().map(Answer::take) {
            let _ = self.load_found(found);
        }
    }

    /// Loads paints that were found somewhere.
    fn load_found(&mut self, found: Vec<(PaintId, u32)>) -> Result<Done, SessionError> {
        if found.is_empty() {
            return Err(SessionError::NoPaintThere);
        }
        let allowed: Vec<_> = found.into_iter().filter(|(id, _)| may_load(&self.document, *id)).collect();
        let load = BrushLoad::mixture(&allowed).ok_or(SessionError::FreeShut)?;
        let kind = |id: PaintId| self.document.paints.get(id).map(|p| (p.kind, p.colour));
        self.loaded = Some(match load.paints() {
            [(id, _)] => match kind(*id) {
                Some((PaintKind::Swatch(swatch), _)) => Loaded::Swatch(swatch),
                Some((PaintKind::Free, colour)) => Loaded::Free(colour),
                Some((PaintKind::Removed(_), _)) | None => Loaded::Mixture,
            },
            _ => Loaded::Mixture,
        });
        self.mixture = Some(load);
        Ok(Done::default())
    }

    /// Loads the mixture in the well.
    pub(super) fn load_well(&mut self) -> Result<Done, SessionError> {
        if self.document.well.is_empty() {
            return Err(SessionError::EmptyWell);
        }
        self.loaded = Some(Loaded::Well);
        Ok(Done::default())
    }

    /// The mixture that was picked last, if all its paints may be laid now.
    pub(super) fn usable_mixture(&self) -> Option<&BrushLoad> {
        let load = self.mixture.as_ref()?;
        load.paints().iter().all(|(id, _)| may_load(&self.document, *id)).then_some(load)
    }

    /// A whole stroke along samples: the same path as one painted live.
    pub(super) fn stroke(&mut self, tool: StrokeTool, samples: &[PenSample]) -> Result<Done, SessionError> {
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
        let mut mask = match edge {
            Edge::Soft | Edge::Hard => {
                let mut mask = Mask::new(self.canvas.size());
                mask.add_mass(outline, edge, u16::MAX)?;
                mask
            }
            Edge::Loose => {
                // A load that is refused is refused before the edge is painted.
                self.loaded_paint()?;
                loose_mass(self.canvas.size(), outline, self.brush()).map_err(|error| match error {
                    LooseError::Mass(error) => SessionError::from(error),
                    LooseError::Brush(error) => SessionError::from(error),
                })?
            }
        };
        self.hold_back(&mut mask)?;
        self.lay_mask(command, &mask)
    }

    /// Lays the loaded paint through a mask, as one step.
    pub(super) fn lay_mask(&mut self, command: &Command, mask: &Mask) -> Result<Done, SessionError> {
        let (work, pass, document) = self.loaded_paint()?;
        self.show(&document);
        let shown = self.canvas.preview(pass, &work, mask, mask.tiles.keys().copied().collect());
        match shown.and_then(|_| self.canvas.lift()) {
            Ok(lift) => self.record_lift(command, document, lift),
            Err(error) => {
                self.canvas.cancel();
                let before = self.document.clone();
                self.show(&before);
                Err(error.into())
            }
        }
    }
}

/// The mixture in the well, its paints entered in the table of the document.
fn well_load(document: &mut Document) -> Result<BrushLoad, SessionError> {
    let mut amounts = Vec::new();
    for part in document.well.parts() {
        let colour = document.board.swatch(part.swatch).ok_or(SessionError::LoadedGone)?.colour;
        amounts.push((document.paints.load_swatch(part.swatch, colour)?, part.parts));
    }
    BrushLoad::mixture(&amounts).ok_or(SessionError::EmptyWell)
}

/// A pass, if it shows.
fn shown(document: &Document, id: PassId) -> Result<PassId, SessionError> {
    match document.pass(id) {
        Some(pass) if pass.visible => Ok(id),
        Some(pass) => Err(SessionError::PassHidden(pass.name.clone())),
        None => Err(SessionError::Internal("the selected pass is gone".to_owned())),
    }
}

/// Whether any paint of a load counts as free.
fn holds_free(load: &BrushLoad, document: &Document) -> bool {
    let is_board = |id: PaintId| document.paints.get(id).is_some_and(|p| p.class() == PaintClass::Board);
    !load.paints().iter().all(|&(id, _)| is_board(id))
}

/// Whether a paint may be on the brush: board paint always, anything else only while free colour is open.
fn may_load(document: &Document, id: PaintId) -> bool {
    document.paints.get(id).is_some_and(|p| document.free_open || p.class() == PaintClass::Board)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::SwatchRef;
    use stint_model::board::{Board, LightOfDay, Role};
    use stint_render::choose::EngineChoice;

    fn square(left: f32) -> Command {
        let outline = vec![[left, 0.0], [left + 20.0, 0.0], [left + 20.0, 64.0], [left, 64.0]];
        Command::Mass { outline, edge: Edge::Hard }
    }

    /// Kinds of the passes that have paint, bottom first.
    fn painted(session: &mut Session) -> Vec<PassKind> {
        let passes = session.document().passes.clone();
        passes.iter().filter(|p| session.canvas().is_painted(p.id)).map(|p| p.kind).collect()
    }

    #[test]
    fn free_colour_lands_on_the_free_pass_whichever_is_selected() {
        let board = Board::new("Depot", LightOfDay::Cool);
        let mut session = Session::in_memory((64, 64), board, EngineChoice::Cpu).unwrap();
        let (family, name, colour) = ("Brick".to_owned(), String::new(), "#73524e".to_owned());
        session
            .apply(&Command::AddSwatch { family: family.clone(), role: Role::Local, name, colour, by_role: false })
            .unwrap();
        let block_in = session.document().passes[0].name.clone();
        session.apply(&Command::OpenFree).unwrap();
        session.apply(&Command::SelectPass(block_in.clone())).unwrap();
        session.apply(&Command::LoadFree("#dd3311".to_owned())).unwrap();
        let free = session.document().passes[1].id;
        assert_eq!(session.lands_on(), Some(free));
        session.apply(&square(0.0)).unwrap();
        assert_eq!(painted(&mut session), [PassKind::Free]);
        // Strokes as well as masses; the selection stays where the painter put it.
        let samples = vec![PenSample::new(5.0, 5.0, 1.0), PenSample::new(15.0, 60.0, 1.0)];
        session.apply(&Command::Stroke(samples)).unwrap();
        assert_eq!(painted(&mut session), [PassKind::Free]);
        assert_eq!(session.document().active_pass, session.document().passes[0].id);
        // Board paint goes where the selection is.
        session.apply(&Command::Load(SwatchRef::Swatch { family, role: Role::Local })).unwrap();
        assert_eq!(session.lands_on(), Some(session.document().active_pass));
        session.apply(&square(30.0)).unwrap();
        assert_eq!(painted(&mut session), [PassKind::Board, PassKind::Free]);
        // A mixture with free colour in it is free colour; the pass that it needs is made again if it is gone.
        session.apply(&Command::PassStrength { pass: super::super::FREE_PASS.to_owned(), strength: 0.5 }).unwrap();
        session.apply(&square(0.0)).unwrap();
        session.apply(&Command::LoadFrom { at: (10, 50) }).unwrap();
        assert_eq!((session.loaded(), session.mixture().unwrap().paints().len()), (Some(Loaded::Mixture), 2));
        assert_eq!(session.lands_on(), Some(free));
        session.apply(&Command::RemovePass(super::super::FREE_PASS.to_owned())).unwrap();
        assert_eq!(session.lands_on(), None);
        session.apply(&square(40.0)).unwrap();
        assert_eq!(painted(&mut session), [PassKind::Board, PassKind::Free]);
        // Hidden, it takes nothing and is not gone round.
        session.apply(&Command::ShowPass { pass: super::super::FREE_PASS.to_owned(), visible: false }).unwrap();
        assert!(
            matches!(session.apply(&square(0.0)), Err(SessionError::PassHidden(name)) if name == super::super::FREE_PASS)
        );
    }
}
