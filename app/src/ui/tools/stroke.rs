//! A stroke of brush or scraper in the making: samples gather during a frame and are shown once.

use crate::study::session::{Done, SessionError, Tool};
use crate::ui::stale::Stale;
use crate::ui::state::State;
use std::collections::BTreeSet;
use stint_model::study::tile::TilePos;
use stint_render::mask::PenSample;

/// The stroke.
#[derive(Debug, Default)]
pub struct Stroke {
    waiting: Vec<PenSample>,
    last: Option<PenSample>,
    touched: BTreeSet<TilePos>,
}

impl Stroke {
    /// Puts the pen down; a refusal becomes a notice.
    pub fn begin(state: &mut State, tool: Tool, first: PenSample) -> Option<Self> {
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
            self.waiting.push(sample);
        }
    }

    /// Shows what has gathered. Tells whether the stroke goes on.
    pub fn show(&mut self, state: &mut State) -> bool {
        if self.waiting.is_empty() {
            return true;
        }
        let Some(session) = &mut state.session else { return false };
        match session.extend_stroke(&std::mem::take(&mut self.waiting)) {
            Ok(tiles) => {
                if let Stale::Tiles(stale) = &mut state.stale {
                    stale.extend(&tiles);
                }
                self.touched.extend(tiles);
                true
            }
            Err(error) => {
                state.notices.push(error.to_string());
                std::mem::take(self).let_go(state);
                false
            }
        }
    }

    /// Lifts the pen: the stroke is recorded.
    pub fn finish(mut self, state: &mut State) {
        if self.show(state) {
            self.end(state, crate::study::session::Session::finish_stroke);
        }
    }

    /// Takes the stroke back as if it had not begun.
    pub fn let_go(self, state: &mut State) {
        self.end(state, |session| session.drop_stroke().map(|()| Done::default()));
    }

    fn end(
        self,
        state: &mut State,
        how: impl FnOnce(&mut crate::study::session::Session) -> Result<Done, SessionError>,
    ) {
        let Some(session) = &mut state.session else { return };
        match how(session) {
            Ok(done) => state.stale.add(&done),
            Err(error) => state.notices.push(error.to_string()),
        }
        if let Stale::Tiles(stale) = &mut state.stale {
            stale.extend(self.touched);
        }
        state.refresh();
    }
}
