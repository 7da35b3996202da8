//! Moving, scaling and turning what is in the protected area: shown while it is placed, recorded when it is put down.

use super::{Done, Session, SessionError};
use crate::study::command::Command;
use std::collections::BTreeSet;
use stint_model::study::tile::TilePos;
use stint_render::canvas::{MoveError, MovedPaint, Placement};

/// What is being moved.
pub(super) struct ActiveMove {
    moved: MovedPaint,
    placement: Placement,
}

/// Where something is that is being moved.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Moving {
    /// Left, top, right and bottom of the outline before it was moved, canvas pixels.
    pub bounds: [f64; 4],
    /// The point about which it is scaled and turned, canvas pixels.
    pub pivot: [f64; 2],
    /// Its place now.
    pub placement: Placement,
}

impl Session {
    /// What is being moved, if anything is.
    pub fn moving(&self) -> Option<Moving> {
        let active = self.active_move.as_ref()?;
        let (bounds, pivot) = (active.moved.bounds(), active.moved.pivot());
        Some(Moving { bounds, pivot, placement: active.placement })
    }

    /// Takes up the paint of the selected pass that lies inside the outline of the protected area, whichever side of it can be painted.
    ///
    /// # Errors
    /// When there is no area or no paint in it, the pass is hidden, or something is in the making already.
    pub fn begin_move(&mut self) -> Result<(), SessionError> {
        self.finish_fill();
        self.finish_travels()?;
        self.may_begin()?;
        self.end_preview();
        self.work_on();
        let pass = self.paintable_pass()?;
        let area = self.document.protected.as_ref().ok_or(SessionError::NoArea)?;
        let moved = self.canvas.take_up(pass, &area.outline).map_err(|error| match error {
            MoveError::Outline(error) => SessionError::from(error),
            MoveError::Engine(error) => error.into(),
        })?;
        let name = || self.document.pass(pass).map(|pass| pass.name.clone()).unwrap_or_default();
        let moved = moved.ok_or_else(|| SessionError::NothingToMove(name()))?;
        self.active_move = Some(ActiveMove { moved, placement: Placement::default() });
        Ok(())
    }

    /// Shows what is being moved at another place; tells the tiles that look different now.
    ///
    /// # Errors
    /// When a number of the place is out of range or the engine fails; it stays where it was.
    pub fn place_moved(&mut self, placement: &Placement) -> Result<BTreeSet<TilePos>, SessionError> {
        placement.check().map_err(|fault| SessionError::Range {
            what: fault.what,
            value: fault.value,
            low: fault.low,
            high: fault.high,
        })?;
        let Some(active) = &mut self.active_move else { return Ok(BTreeSet::new()) };
        self.work.note();
        let touched = self.canvas.preview_moved(&mut active.moved, placement)?;
        active.placement = *placement;
        Ok(touched)
    }

    /// Puts down what is being moved, with the area that it was taken from, as one step. Where it was not moved nothing changes.
    ///
    /// # Errors
    /// When the engine fails; the study is as it was before.
    pub fn finish_move(&mut self) -> Result<Done, SessionError> {
        let Some(active) = self.active_move.take() else { return Ok(Done::default()) };
        if active.placement.is_rest() {
            self.show_as_before_stroke();
            return Ok(Done::default());
        }
        let lift = match self.canvas.lift() {
            Ok(lift) => lift,
            Err(error) => {
                self.show_as_before_stroke();
                return Err(error.into());
            }
        };
        let mut document = self.document.clone();
        if let Some(area) = &mut document.protected {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "places on the canvas in the single precision of outlines"
            )]
            for place in &mut area.outline {
                *place = active.placement.placed(active.moved.pivot(), place.map(f64::from)).map(|v| v as f32);
            }
        }
        self.record_lift(&Command::MoveArea(active.placement), document, lift)
    }

    /// Puts what is being moved back where it was; tells the tiles that look different now.
    pub fn cancel_move(&mut self) -> BTreeSet<TilePos> {
        let Some(active) = self.active_move.take() else { return BTreeSet::new() };
        self.show_as_before_stroke();
        active.moved.shown().clone()
    }

    /// The whole of it in one go.
    pub(super) fn move_area(&mut self, placement: &Placement) -> Result<Done, SessionError> {
        self.begin_move()?;
        if let Err(error) = self.place_moved(placement) {
            self.cancel_move();
            return Err(error);
        }
        self.finish_move()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::SwatchRef;
    use crate::study::session::StrokeTool;
    use stint_model::board::{Board, LightOfDay, Role};
    use stint_model::ids::SwatchId;
    use stint_model::study::protected::Side;
    use stint_render::choose::EngineChoice;
    use stint_render::mask::mass::Edge;

    fn session() -> Session {
        let mut session =
            Session::in_memory((200, 150), Board::new("Depot", LightOfDay::Cool), EngineChoice::Cpu).unwrap();
        let (family, name, colour) = ("Brick".to_owned(), String::new(), "#73524e".to_owned());
        session.apply(&Command::AddSwatch { family, role: Role::Local, name, colour, by_role: false }).unwrap();
        session.apply(&Command::Load(SwatchRef::Id(SwatchId(1)))).unwrap();
        let outline = vec![[20.0, 20.0], [60.0, 20.0], [60.0, 50.0], [20.0, 50.0]];
        session.apply(&Command::Mass { outline: outline.clone(), edge: Edge::Hard }).unwrap();
        session.apply(&Command::Protect { outline, paintable: Side::Outside }).unwrap();
        session
    }

    fn by(right: f32, down: f32) -> Placement {
        Placement { by: [right, down], ..Placement::default() }
    }

    fn is_painted(session: &mut Session, x: u32, y: u32) -> bool {
        !session.paints_at(x, y).unwrap().is_empty()
    }

    /// Shown on the way, put down in one step with its outline, and taken back in one.
    #[test]
    fn a_move_is_one_step_and_its_outline_goes_with_it() {
        let mut session = session();
        let (depths, before) = (session.depths(), session.readout().unwrap());
        session.begin_move().unwrap();
        for placement in [by(30.0, 10.0), by(90.0, 60.0)] {
            assert!(!session.place_moved(&placement).unwrap().is_empty());
        }
        assert_eq!(session.moving().map(|moving| moving.placement), Some(by(90.0, 60.0)));
        assert!(is_painted(&mut session, 115, 85) && !is_painted(&mut session, 25, 25));
        // Nothing else can happen meanwhile but what is taken in hand.
        assert!(matches!(session.apply(&Command::Undo), Err(SessionError::Moving)));
        assert!(matches!(session.begin_stroke(StrokeTool::Brush), Err(SessionError::Moving)));
        session.apply(&Command::Load(SwatchRef::Id(SwatchId(1)))).unwrap();
        assert_eq!(session.depths(), depths);
        session.finish_move().unwrap();
        session.settle().unwrap();
        assert_eq!(session.depths().0, depths.0 + 1);
        assert_eq!(session.readout().unwrap().painted_px, before.painted_px, "every unit is still there");
        assert_eq!(session.protected_area().unwrap().outline[0], [110.0, 80.0]);
        session.apply(&Command::Undo).unwrap();
        assert!(is_painted(&mut session, 25, 25) && !is_painted(&mut session, 115, 85));
        assert_eq!(session.protected_area().unwrap().outline[0], [20.0, 20.0]);
        session.apply(&Command::Redo).unwrap();
        assert_eq!(session.protected_area().unwrap().outline[0], [110.0, 80.0]);
    }

    #[test]
    fn a_move_that_is_let_go_leaves_nothing() {
        let mut session = session();
        let (depths, tiles) = (session.depths(), session.canvas().all_tiles().unwrap());
        session.begin_move().unwrap();
        session.place_moved(&by(100.0, 50.0)).unwrap();
        assert!(matches!(session.place_moved(&by(f32::NAN, 0.0)), Err(SessionError::Range { .. })));
        assert!(!session.cancel_move().is_empty());
        assert_eq!((session.depths(), session.canvas().all_tiles().unwrap()), (depths, tiles.clone()));
        // Put down where it was it is no step either.
        session.begin_move().unwrap();
        session.finish_move().unwrap();
        assert_eq!((session.depths(), session.canvas().all_tiles().unwrap()), (depths, tiles));
    }

    #[test]
    fn what_cannot_be_moved_says_why() {
        let mut session = session();
        session.apply(&Command::AddPass("glaze".to_owned())).unwrap();
        let refused = session.apply(&Command::MoveArea(by(5.0, 5.0)));
        assert!(matches!(refused, Err(SessionError::NothingToMove(pass)) if pass == "glaze"));
        session.apply(&Command::Unprotect).unwrap();
        assert!(matches!(session.begin_move(), Err(SessionError::NoArea)));
    }
}
