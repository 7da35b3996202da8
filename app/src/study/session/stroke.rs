//! A stroke in the making: shown while the pen is down, recorded when it lifts.

use super::{Done, Session, SessionError};
use crate::study::command::Command;
use std::collections::BTreeSet;
use stint_model::ids::PassId;
use stint_model::pass::PassKind;
use stint_model::study::Document;
use stint_model::study::tile::TilePos;
use stint_render::canvas::{Canvas, SoftenStroke, StrokeOp, WetStroke};
use stint_render::engine::EngineError;
use stint_render::mask::protect::ProtectedMask;
use stint_render::mask::{PenSample, StrokeMask, Visits};

/// What a stroke along samples does.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum StrokeTool {
    /// Lays the loaded paint.
    Brush,
    /// Takes paint off.
    Scrape,
    /// Blends what is there.
    Soften,
}

/// How far soften blurs, as a part of the brush's diameter.
const SOFTEN_REACH: f32 = 0.15;

/// The stroke.
pub(super) struct ActiveStroke {
    tool: StrokeTool,
    op: StrokeOp,
    pass: PassId,
    /// The document with the loaded paint entered.
    document: Document,
    mask: StrokeMask,
    /// What of the cover is not held back, where an area is protected.
    held: Option<ProtectedMask>,
    carried: Carried,
    samples: Vec<PenSample>,
    /// Tiles whose cover changed when the engine failed: they are shown with the next.
    owed: BTreeSet<TilePos>,
    /// The stroke as it was where a straight line began.
    anchor: Option<Anchor>,
}

/// What a stroke carries along beside its cover.
#[derive(Clone)]
enum Carried {
    /// Nothing: its cover says all.
    Nothing,
    /// What lies under the tip of a wet brush.
    Wet(Box<WetStroke>),
    /// What softening drags along.
    Soften(Box<SoftenStroke>),
}

/// A stroke as it was, with its number of samples.
struct Anchor {
    mask: StrokeMask,
    carried: Carried,
    samples: usize,
}

impl ActiveStroke {
    /// Shows the stroke so far.
    fn show(&mut self, canvas: &mut Canvas, mut touched: BTreeSet<TilePos>) -> Result<BTreeSet<TilePos>, EngineError> {
        let mut visits = match self.carried {
            Carried::Nothing => Visits::default(),
            Carried::Wet(_) | Carried::Soften(_) => self.mask.take_visits(),
        };
        let mask = match &mut self.held {
            Some(held) => {
                held.follow(self.mask.mask(), &mut visits, touched.iter().copied());
                held.mask()
            }
            None => self.mask.mask(),
        };
        touched.append(&mut self.owed);
        let wanted = touched.clone();
        let shown = match &mut self.carried {
            Carried::Nothing => canvas.preview(self.pass, &self.op, mask, wanted),
            Carried::Wet(wet) => canvas.preview_wet(self.pass, wet, visits, mask, wanted),
            Carried::Soften(soften) => canvas.preview_soften(self.pass, soften, visits, mask, wanted),
        };
        shown.inspect_err(|_| self.owed = touched)
    }

    /// Shows what the engine could not show when the pen moved last.
    fn show_owed(&mut self, canvas: &mut Canvas) -> Result<(), EngineError> {
        let owed = std::mem::take(&mut self.owed);
        if owed.is_empty() {
            return Ok(());
        }
        let mask = self.held.as_ref().map_or(self.mask.mask(), ProtectedMask::mask);
        let shown = match &mut self.carried {
            Carried::Nothing => canvas.preview(self.pass, &self.op, mask, owed),
            Carried::Wet(wet) => canvas.preview_wet_again(self.pass, wet, mask, owed),
            Carried::Soften(soften) => canvas.preview_soften_again(self.pass, soften, mask, owed),
        };
        shown.map(drop)
    }

    /// Whether all that it covers is protected.
    fn is_held_back(&self) -> bool {
        self.held.as_ref().is_some_and(|held| held.mask().tiles.is_empty()) && !self.mask.mask().tiles.is_empty()
    }
}

impl Session {
    /// From the next stroke on the hand is steadied so much, 0-1, by every brush; by each as it says where there is none.
    pub fn steady(&mut self, steadying: Option<f32>) {
        self.steadying = steadying.map(|much| much.clamp(0.0, 1.0));
    }

    /// Puts the pen down.
    ///
    /// # Errors
    /// When there is nothing on the brush, the pass is hidden, or a stroke is in the making already.
    pub fn begin_stroke(&mut self, tool: StrokeTool) -> Result<(), SessionError> {
        self.finish_fill();
        self.finish_travels()?;
        self.may_begin()?;
        self.settle_pick();
        self.end_preview();
        self.work_on();
        let (op, pass, document) = match tool {
            StrokeTool::Brush => self.loaded_paint()?,
            StrokeTool::Scrape => (StrokeOp::Scrape, self.paintable_pass()?, self.document.clone()),
            StrokeTool::Soften => {
                let radius_px = self.brush.size_px * SOFTEN_REACH;
                (StrokeOp::Soften { radius_px }, self.paintable_pass()?, self.document.clone())
            }
        };
        let mut brush = match tool {
            StrokeTool::Brush => self.brush.clone(),
            // Nothing is used up where nothing is laid.
            StrokeTool::Scrape => self.brush.without_end(),
            StrokeTool::Soften => self.brush.for_softening(),
        };
        if let (Some(much), Some(mark)) = (self.steadying, &mut brush.mark) {
            mark.path.smoothing = much;
        }
        let carried = match (&op, brush.wet()) {
            (StrokeOp::Lay(load), Some(wet)) => {
                // Free paint is taken up only where it may be laid.
                let on_free = document.pass(pass).is_some_and(|p| p.kind == PassKind::Free);
                let takes_free = document.free_open && on_free;
                Carried::Wet(Box::new(WetStroke::new(*load, wet, brush.size_px, takes_free)))
            }
            (StrokeOp::Soften { radius_px }, _) => {
                Carried::Soften(Box::new(SoftenStroke::new(*radius_px, brush.size_px)))
            }
            (StrokeOp::Lay(_) | StrokeOp::Scrape, _) => Carried::Nothing,
        };
        let size = self.canvas.size();
        let mask = match carried {
            Carried::Nothing => StrokeMask::new(size, brush)?,
            Carried::Wet(_) | Carried::Soften(_) => StrokeMask::noting(size, brush)?,
        };
        let held = self.protection()?.map(ProtectedMask::new);
        self.show(&document);
        let samples = Vec::new();
        self.active_stroke = Some(ActiveStroke {
            tool,
            op,
            pass,
            document,
            mask,
            held,
            carried,
            samples,
            owed: BTreeSet::new(),
            anchor: None,
        });
        Ok(())
    }

    /// Takes further samples of the pen and shows the stroke so far; tells the tiles that look different now.
    ///
    /// # Errors
    /// When a sample is not finite: none of these is taken then. When the engine fails: what it could not show is shown with the next
    /// samples, or when the pen lifts.
    pub fn extend_stroke(&mut self, samples: &[PenSample]) -> Result<BTreeSet<TilePos>, SessionError> {
        let Some(stroke) = &mut self.active_stroke else { return Ok(BTreeSet::new()) };
        let touched = stroke.mask.extend(samples)?;
        stroke.samples.extend_from_slice(samples);
        // The pen is down, however long the stroke takes.
        self.work.note();
        Ok(stroke.show(&mut self.canvas, touched)?)
    }

    /// From here on [`Session::redraw_stroke`] draws anew.
    pub fn anchor_stroke(&mut self) {
        if let Some(stroke) = &mut self.active_stroke {
            let (mask, carried) = (stroke.mask.clone(), stroke.carried.clone());
            stroke.anchor = Some(Anchor { mask, carried, samples: stroke.samples.len() });
        }
    }

    /// Replaces everything since the anchor with other samples; tells the tiles that look different now.
    ///
    /// # Errors
    /// As [`Session::extend_stroke`].
    pub fn redraw_stroke(&mut self, samples: &[PenSample]) -> Result<BTreeSet<TilePos>, SessionError> {
        let Some(stroke) = &mut self.active_stroke else { return Ok(BTreeSet::new()) };
        let Some(anchor) = &stroke.anchor else { return self.extend_stroke(samples) };
        let mut mask = anchor.mask.clone();
        mask.extend(samples)?;
        let tiles = |mask: &StrokeMask| mask.mask().tiles.keys().copied().collect::<Vec<_>>();
        let touched: BTreeSet<_> = tiles(&stroke.mask).into_iter().chain(tiles(&mask)).collect();
        stroke.samples.truncate(anchor.samples);
        stroke.samples.extend_from_slice(samples);
        stroke.carried.clone_from(&anchor.carried);
        stroke.mask = mask;
        Ok(stroke.show(&mut self.canvas, touched)?)
    }

    /// Lifts the pen: the stroke becomes part of its pass and goes to the queue that records it. Never waits for a device.
    ///
    /// # Errors
    /// When the engine fails, or all of it lies in the protected part; the stroke is gone then and the study as it was before it.
    pub fn finish_stroke(&mut self) -> Result<Done, SessionError> {
        let Some(mut stroke) = self.active_stroke.take() else { return Ok(Done::default()) };
        if stroke.is_held_back() {
            self.show_as_before_stroke();
            return Err(SessionError::Protected);
        }
        let lift = match stroke.show_owed(&mut self.canvas).and_then(|()| self.canvas.lift()) {
            Ok(lift) => lift,
            Err(error) => {
                self.show_as_before_stroke();
                return Err(error.into());
            }
        };
        let command = match stroke.tool {
            StrokeTool::Brush => Command::Stroke(stroke.samples),
            StrokeTool::Scrape => Command::Scrape(stroke.samples),
            StrokeTool::Soften => Command::Soften(stroke.samples),
        };
        self.record_lift(&command, stroke.document, lift)
    }

    /// Takes the stroke in the making back; without one it does nothing.
    pub fn cancel_stroke(&mut self) {
        if self.active_stroke.take().is_some() {
            self.show_as_before_stroke();
        }
    }

    pub(super) fn show_as_before_stroke(&mut self) {
        self.canvas.cancel();
        let document = self.document.clone();
        self.show(&document);
    }
}
