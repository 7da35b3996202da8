//! A stroke in the making, of any tool that works along a path: samples gather during a frame and are shown once.

use crate::files::settings;
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
    /// When the first sample came, by the clock of its device.
    began_ms: f64,
    /// The sample that a straight line goes on from, while there is one.
    straight_from: Option<PenSample>,
    /// Whether the session has drawn a part of the straight line.
    anchored: bool,
    /// Every tile it has changed so far: they are shown anew when it ends.
    touched: BTreeSet<TilePos>,
}

impl Stroke {
    /// Begins a stroke at its first sample. None when the session refuses it; why becomes a notice.
    pub fn begin(state: &mut State, tool: StrokeTool, first: PenSample) -> Option<Self> {
        let session = state.session.as_mut()?;
        session.steady(state.settings.get(&settings::STEADYING));
        let begun = session.begin_stroke(tool);
        state.drop_ended_trial();
        if let Err(error) = begun {
            state.notices.push(error.to_string());
            return None;
        }
        let mut stroke = Stroke { began_ms: first.time_ms.unwrap_or(0.0), ..Stroke::default() };
        stroke.add(first, false);
        Some(stroke)
    }

    /// Takes a sample, of a straight line or of a free hand; a pen at rest gives none.
    pub fn add(&mut self, sample: PenSample, straight: bool) {
        // A device that was begun with may lie behind: a straight line goes on from another stroke.
        let time_ms = sample.time_ms.map(|ms| (ms - self.began_ms).max(0.0));
        let sample = PenSample { time_ms, ..sample };
        let still = |last: PenSample| PenSample { time_ms, ..last } == sample;
        if self.last.is_some_and(still) {
            return;
        }
        match (straight, self.straight_from) {
            (true, None) => self.straight_from = self.last,
            (false, Some(_)) => (self.straight_from, self.anchored) = (None, false),
            _ => {}
        }
        self.last = Some(sample);
        self.pending.push(sample);
    }

    /// Its last sample, without its time.
    pub fn end(&self) -> Option<PenSample> {
        self.last.map(|last| PenSample { time_ms: None, ..last })
    }

    /// Hands what has gathered to the session.
    fn hand_over(&mut self, session: &mut Session) -> Result<BTreeSet<TilePos>, SessionError> {
        let pending = std::mem::take(&mut self.pending);
        let Some(from) = self.straight_from else { return session.extend_stroke(&pending) };
        let mut touched = BTreeSet::new();
        if !self.anchored {
            // What came before the key went down is drawn freely.
            let before = pending.iter().position(|s| *s == from).map_or(0, |i| i + 1);
            touched = session.extend_stroke(&pending[..before])?;
            session.anchor_stroke();
            self.anchored = true;
        }
        let Some(to) = self.last else { return Ok(touched) };
        touched.extend(session.redraw_stroke(&line(&from, &to))?);
        Ok(touched)
    }

    /// Shows what has gathered. Tells whether the stroke goes on.
    pub fn show(&mut self, state: &mut State) -> bool {
        if self.pending.is_empty() {
            return true;
        }
        let Some(session) = state.session.as_mut() else { return false };
        match self.hand_over(session) {
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
            self.leave(state, Session::finish_stroke);
        }
    }

    /// Ends the stroke as if it had not begun.
    pub fn cancel(self, state: &mut State) {
        self.leave(state, |session| {
            session.cancel_stroke();
            Ok(Done::default())
        });
    }

    fn leave(self, state: &mut State, how: impl FnOnce(&mut Session) -> Result<Done, SessionError>) {
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

/// A straight line after `from`, up to `to`: near points, so that the curve through them is straight.
fn line(from: &PenSample, to: &PenSample) -> Vec<PenSample> {
    let steps = 16_u8;
    let mix = |a: f32, b: f32, t: f32| a + (b - a) * t;
    (1..=steps)
        .map(|i| {
            let t = f32::from(i) / f32::from(steps);
            PenSample {
                x_px: mix(from.x_px, to.x_px, t),
                y_px: mix(from.y_px, to.y_px, t),
                pressure: mix(from.pressure, to.pressure, t),
                time_ms: from.time_ms.zip(to.time_ms).map(|(a, b)| a + (b - a) * f64::from(t)),
                ..*to
            }
        })
        .collect()
}
