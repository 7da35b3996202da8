//! A stroke in the making, of any tool that works along a path: samples gather during a frame and are shown once.

use crate::study::session::{Done, Session, SessionError, StrokeTool};
use crate::ui::stale::Stale;
use crate::ui::state::State;
use std::collections::BTreeSet;
use stint_model::study::tile::TilePos;
use stint_render::mask::PenSample;

/// A stroke between the press and the release of the pointer.
#[derive(Debug, Default)]
pub struct Stroke {
    /// Samples since the last frame, not shown yet.
    pending: Vec<PenSample>,
    last: Option<PenSample>,
    /// Every tile it has changed so far: they are shown anew when it ends.
    touched: BTreeSet<TilePos>,
}

impl Stroke {
    /// Begins a stroke at its first sample. None when the session refuses it; why becomes a notice.
    pub fn begin(state: &mut State, tool: StrokeTool, first: PenSample) -> Option<Self> {
        let session = state.session.as_mut()?;
        let begun = session.begin_stroke(tool);
        state.drop_ended_trial();
        if let Err(error) = begun {
            state.notices.push(error.to_string());
            return None;
        }
        let mut stroke = Stroke::default();
        stroke.add(first);
        Some(stroke)
    }

    /// Takes a sample; a pen at rest gives none.
    pub fn add(&mut self, sample: PenSample) {
        if self.last != Some(sample) {
            self.last = Some(sample);
            self.pending.push(sample);
        }
    }

    /// Shows what has gathered. Tells whether the stroke goes on.
    pub fn show(&mut self, state: &mut State) -> bool {
        if self.pending.is_empty() {
            return true;
        }
        let Some(session) = &mut state.session else { return false };
        match session.extend_stroke(&std::mem::take(&mut self.pending)) {
            Ok(tiles) => {
                if let Stale::Tiles(stale) = &mut state.stale {
                    stale.extend(&tiles);
                }
                self.touched.extend(tiles);
                true
            }
            Err(error) => {
                state.notices.push(error.to_string());
                std::mem::take(self).cancel(state);
                false
            }
        }
    }

    /// Ends the stroke and records it; a failure becomes a notice.
    pub fn finish(mut self, state: &mut State) {
        if self.show(state) {
            self.end(state, Session::finish_stroke);
        }
    }

    /// Ends the stroke as if it had not begun.
    pub fn cancel(self, state: &mut State) {
        self.end(state, |session| {
            session.cancel_stroke();
            Ok(Done::default())
        });
    }

    fn end(self, state: &mut State, how: impl FnOnce(&mut Session) -> Result<Done, SessionError>) {
        let Some(session) = &mut state.session else { return };
        match how(session) {
            Ok(done) => state.stale.add(&done),
            Err(error) => {
                if matches!(error, SessionError::TakenBack { .. }) {
                    state.stale = Stale::All;
                }
                state.notices.push(error.to_string());
            }
        }
        if let Stale::Tiles(stale) = &mut state.stale {
            stale.extend(self.touched);
        }
        state.refresh();
    }
}
