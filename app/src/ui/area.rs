//! What the window does to areas: filling them, protecting one, moving what is in it.

use crate::study::command::Command;
use crate::study::session::{Session, SessionError};
use crate::ui::stale::Stale;
use crate::ui::state::State;
use std::collections::BTreeSet;
use stint_model::study::protected::Side;
use stint_model::study::tile::TilePos;
use stint_render::canvas::{Fill, Placement};

impl State {
    /// Begins to fill an area, beside the window; a refusal becomes a notice.
    pub fn begin_fill(&mut self, fill: Fill) {
        let Some(session) = &mut self.session else { return };
        let begun = session.begin_fill(fill);
        self.drop_ended_trial();
        match begun {
            Ok(()) => self.follow_answers(),
            Err(error) => self.told(error),
        }
    }

    /// The side of the protected area that can be painted; that of the next one while there is none.
    pub fn paintable_side(&self) -> Side {
        let area = self.session.as_ref().and_then(Session::protected_area);
        area.map_or(self.next_paintable, |area| area.paintable)
    }

    /// Exchanges the side that can be painted; a refusal becomes a notice.
    pub fn set_paintable_side(&mut self, side: Side) {
        self.next_paintable = side;
        let area = self.session.as_ref().and_then(Session::protected_area).cloned();
        if let Some(area) = area.filter(|area| area.paintable != side) {
            self.apply(&Command::Protect { outline: area.outline, paintable: side });
        }
    }

    /// Puts the protected area away, or brings it back; that there is none becomes a notice.
    pub fn toggle_protection(&mut self) {
        let protects = self.session.as_ref().is_some_and(Session::is_protecting);
        self.apply(&Command::UseProtection(!protects));
    }

    /// Whether something is being moved.
    pub fn is_moving(&self) -> bool {
        self.session.as_ref().is_some_and(|session| session.moving().is_some())
    }

    /// Takes up what is in the area, to be moved; why not becomes a notice.
    pub fn begin_move(&mut self) {
        let Some(session) = &mut self.session else { return };
        let begun = session.begin_move();
        self.drop_ended_trial();
        if let Err(error) = begun {
            self.refuse(error.to_string());
        }
    }

    /// Shows what is being moved at another place.
    pub fn place_moved(&mut self, placement: &Placement) {
        let Some(session) = &mut self.session else { return };
        match session.place_moved(placement) {
            Ok(tiles) => self.show_anew(&tiles),
            Err(error) => self.refuse(error.to_string()),
        }
    }

    /// Puts down what is being moved; a failure becomes a notice.
    pub fn finish_move(&mut self) {
        let Some(session) = &mut self.session else { return };
        match session.finish_move() {
            // The lines over the canvas are drawn with every frame; of the study nothing but these tiles looks different.
            Ok(done) => self.show_anew(&done.tiles),
            Err(error) => {
                // What was shown on the way is gone.
                self.stale = Stale::All;
                self.told(error);
            }
        }
        self.refresh();
    }

    /// Puts what is being moved back.
    pub fn cancel_move(&mut self) {
        if let Some(session) = &mut self.session {
            let tiles = session.cancel_move();
            self.show_anew(&tiles);
        }
    }

    /// Tells why something was not done.
    pub(super) fn told(&mut self, error: SessionError) {
        if let SessionError::TakenBack { .. } = error {
            self.stale = Stale::All;
            self.notices.push(error.to_string());
            self.refresh();
        } else {
            self.refuse(error.to_string());
        }
    }

    fn show_anew(&mut self, tiles: &BTreeSet<TilePos>) {
        if let Stale::Tiles(stale) = &mut self.stale {
            stale.extend(tiles);
        }
    }
}
