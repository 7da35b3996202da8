//! Protecting an area of the canvas from paint.
//!
//! An area is drawn, exchanged and taken off in steps: whoever outlined it point by point wants it back when a step is taken back, and what is
//! moved with it moves back with it. To put it away for a moment is no step, as choosing a pass is none: stepping back then still takes back
//! what was painted last.

use super::{Done, Session, SessionError};
use crate::study::command::Command;
use std::sync::Arc;
use stint_model::study::protected::{ProtectedArea, Side};
use stint_render::mask::Mask;
use stint_render::mask::protect::Protection;

/// What a session knows of its protected area beside the document.
#[derive(Default)]
pub(super) struct ProtectionState {
    /// Whether it is put away: it stays, and protects nothing.
    pub(super) away: bool,
    /// The cover that was made of it, for as long as it is the same.
    made: Option<(ProtectedArea, Arc<Protection>)>,
}

impl Session {
    /// The protected area, put away or not.
    pub fn protected_area(&self) -> Option<&ProtectedArea> {
        self.document.protected.as_ref()
    }

    /// Whether an area protects the canvas: there is one, and it is not put away.
    pub fn is_protecting(&self) -> bool {
        self.document.protected.is_some() && !self.protection.away
    }

    /// What holds paint back now.
    pub(super) fn protection(&mut self) -> Result<Option<Arc<Protection>>, SessionError> {
        let Some(area) = self.document.protected.as_ref().filter(|_| !self.protection.away) else { return Ok(None) };
        if let Some((of, made)) = &self.protection.made
            && of == area
            && made.size() == self.canvas.size()
        {
            return Ok(Some(made.clone()));
        }
        let made = Arc::new(Protection::new(self.canvas.size(), area)?);
        self.protection.made = Some((area.clone(), made.clone()));
        Ok(Some(made))
    }

    /// Takes off a mask what is protected.
    pub(super) fn hold_back(&mut self, mask: &mut Mask) -> Result<(), SessionError> {
        if let Some(protection) = self.protection()? {
            protection.clip_mask(mask);
            if mask.tiles.is_empty() {
                return Err(SessionError::Protected);
            }
        }
        Ok(())
    }

    /// Protects an area from now on, in the place of the one before.
    pub(super) fn protect(
        &mut self,
        command: &Command,
        outline: &[[f32; 2]],
        paintable: Side,
    ) -> Result<Done, SessionError> {
        let area = ProtectedArea { outline: outline.to_vec(), paintable };
        area.check()?;
        // What cannot be filled is refused here and not with the next stroke.
        let made = Arc::new(Protection::new(self.canvas.size(), &area)?);
        let done = self.edit(command, |_, document| {
            document.protected = Some(area.clone());
            Ok(())
        })?;
        self.protection = ProtectionState { away: false, made: Some((area, made)) };
        Ok(done)
    }

    /// Takes the area off.
    pub(super) fn unprotect(&mut self, command: &Command) -> Result<Done, SessionError> {
        if self.document.protected.is_none() {
            return Err(SessionError::NoArea);
        }
        self.edit(command, |_, document| {
            document.protected = None;
            Ok(())
        })
    }

    /// Puts the area away, or brings it back.
    pub(super) fn use_protection(&mut self, used: bool) -> Result<Done, SessionError> {
        if self.document.protected.is_none() {
            return Err(SessionError::NoArea);
        }
        self.protection.away = !used;
        Ok(Done::default())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::SwatchRef;
    use crate::study::session::StrokeTool;
    use stint_model::board::{Board, LightOfDay, Role};
    use stint_model::study::tile::TilePixels;
    use stint_render::choose::EngineChoice;
    use stint_render::mask::PenSample;
    use stint_render::mask::brush::Brush;
    use stint_render::mask::mass::Edge;

    const OUTLINE: [[f32; 2]; 4] = [[40.0, 30.0], [140.0, 30.0], [140.0, 120.0], [40.0, 120.0]];

    fn session() -> Session {
        let mut session =
            Session::in_memory((200, 150), Board::new("Depot", LightOfDay::Cool), EngineChoice::Cpu).unwrap();
        for (role, colour) in [(Role::Local, "#73524e"), (Role::Light, "#b08a72")] {
            let (family, name, colour) = ("Brick".to_owned(), String::new(), colour.to_owned());
            session.apply(&Command::AddSwatch { family, role, name, colour, by_role: false }).unwrap();
        }
        session.apply(&load(Role::Local)).unwrap();
        session
    }

    fn load(role: Role) -> Command {
        Command::Load(SwatchRef::Swatch { family: "Brick".to_owned(), role })
    }

    fn protect(paintable: Side) -> Command {
        Command::Protect { outline: OUTLINE.to_vec(), paintable }
    }

    fn all() -> Command {
        Command::Mass { outline: vec![[0.0, 0.0], [200.0, 0.0], [200.0, 150.0], [0.0, 150.0]], edge: Edge::Hard }
    }

    fn across() -> Vec<PenSample> {
        (0..=19_u8).map(|i| PenSample::new(10.0 * f32::from(i), 60.0 + f32::from(i), 0.9)).collect()
    }

    fn pixels(session: &mut Session) -> Vec<TilePixels> {
        let tiles = session.canvas().all_tiles().unwrap();
        tiles.into_iter().map(|(_, tile)| (*tile).clone()).collect()
    }

    fn is_painted(session: &mut Session, x: u32, y: u32) -> bool {
        !session.paints_at(x, y).unwrap().is_empty()
    }

    /// Whatever lays, takes or blends paint leaves the protected side as it was, to the bit.
    #[test]
    fn every_tool_leaves_the_protected_side_alone() {
        let wet: Brush =
            ron::from_str("(size: 40.0, mark: (kind: Bristle, wet: (pickup: 0.9, carries: 1.0, fresh: 0.1)))").unwrap();
        assert!(wet.wet().is_some());
        let round = Brush { size_px: 30.0, strength: 1.0, ..Brush::default() };
        let brushes = [round.clone(), wet];
        let commands = |brush: &Brush| {
            let fill = Command::Fill { at: (100, 60), tolerance: 1.0, gap: 0 };
            [all(), fill, Command::Stroke(across()), Command::Scrape(across()), Command::Soften(across())]
                .map(|command| (Command::Brush(brush.clone()), command))
        };
        for paintable in [Side::Inside, Side::Outside] {
            for (brush, command) in brushes.iter().flat_map(commands) {
                let mut session = session();
                session.apply(&all()).unwrap();
                session.apply(&load(Role::Light)).unwrap();
                // Something to blend on both sides of the edge.
                for left in [20.0, 90.0, 150.0] {
                    let outline = vec![[left, 0.0], [left + 25.0, 0.0], [left + 25.0, 150.0], [left, 150.0]];
                    session.apply(&Command::Mass { outline, edge: Edge::Hard }).unwrap();
                }
                let looked_at = [(45, 65), (100, 60), (135, 66), (20, 60), (36, 63), (150, 70), (180, 75)];
                let seen = |session: &mut Session| looked_at.map(|(x, y)| session.paints_at(x, y).unwrap());
                session.apply(&protect(paintable)).unwrap();
                let before = seen(&mut session);
                session.apply(&brush).unwrap();
                session.apply(&load(Role::Local)).unwrap();
                session.apply(&command).unwrap();
                let after = seen(&mut session);
                for (i, (x, _)) in looked_at.iter().enumerate() {
                    let inside = (40..140).contains(x);
                    if inside != (paintable == Side::Inside) {
                        assert_eq!(before[i], after[i], "{paintable:?} {} at {x}", command.label());
                    }
                }
                assert!(before != after, "{paintable:?} {} did nothing", command.label());
            }
        }
    }

    #[test]
    fn what_lies_in_the_protected_part_alone_is_refused_and_no_step() {
        let mut session = session();
        session.apply(&protect(Side::Outside)).unwrap();
        let depths = session.depths();
        let inside = vec![[60.0, 50.0], [80.0, 50.0], [80.0, 70.0]];
        let mass = Command::Mass { outline: inside, edge: Edge::Soft };
        assert!(matches!(session.apply(&mass), Err(SessionError::Protected)));
        session.begin_stroke(StrokeTool::Brush).unwrap();
        session.extend_stroke(&[PenSample::new(80.0, 70.0, 1.0), PenSample::new(100.0, 80.0, 1.0)]).unwrap();
        assert!(matches!(session.finish_stroke(), Err(SessionError::Protected)));
        assert_eq!((session.depths(), session.is_painting()), (depths, false));
        // Put away it protects nothing, which is no step; brought back it does.
        session.apply(&Command::UseProtection(false)).unwrap();
        assert!(!session.is_protecting() && session.protected_area().is_some());
        assert_eq!(session.depths(), depths);
        session.apply(&mass).unwrap();
        assert!(is_painted(&mut session, 75, 55));
        session.apply(&Command::UseProtection(true)).unwrap();
        assert!(matches!(session.apply(&mass), Err(SessionError::Protected)));
        session.apply(&Command::Unprotect).unwrap();
        session.apply(&mass).unwrap();
        assert!(matches!(session.apply(&Command::Unprotect), Err(SessionError::NoArea)));
        assert!(matches!(session.apply(&Command::UseProtection(true)), Err(SessionError::NoArea)));
    }

    /// What is drawn is a step: it comes back with a step back, and it is in the file.
    #[test]
    fn an_area_is_kept_with_the_study_and_steps_back_with_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("depot.stint");
        let board = Board::new("Depot", LightOfDay::Cool);
        let mut session = Session::create(&path, (200, 150), board, EngineChoice::Cpu).unwrap();
        session.apply(&protect(Side::Outside)).unwrap();
        session.apply(&protect(Side::Inside)).unwrap();
        session.apply(&Command::UseProtection(false)).unwrap();
        session.apply(&Command::Undo).unwrap();
        assert_eq!(session.protected_area().map(|area| area.paintable), Some(Side::Outside));
        assert!(session.is_protecting(), "another area than was put away");
        session.close().unwrap();
        let session = Session::open(&path, EngineChoice::Cpu).unwrap();
        assert_eq!(session.protected_area().map(|area| area.outline.len()), Some(4));
        assert!(session.is_protecting());
    }

    #[test]
    fn outlines_that_bound_nothing_are_refused() {
        let mut session = session();
        let outline = vec![[0.0, 0.0], [9.0, f32::INFINITY], [4.0, 4.0]];
        let protect = |outline: Vec<[f32; 2]>| Command::Protect { outline, paintable: Side::Inside };
        assert!(matches!(session.apply(&protect(outline)), Err(SessionError::Outline(_))));
        assert!(matches!(session.apply(&protect(vec![[0.0, 0.0]])), Err(SessionError::Outline(_))));
        assert!(session.protected_area().is_none() && pixels(&mut session).is_empty());
    }
}
