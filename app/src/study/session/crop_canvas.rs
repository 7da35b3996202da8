//! Cropping and extending the canvas: one step, with everything that is told by the canvas's edges brought along.

use super::{Done, Session, SessionError};
use crate::study::command::Command;
use stint_model::photo::Framing;
use stint_model::study::Document;
use stint_model::study::canvas_rect::CanvasRect;
use stint_model::study::document::{CANVAS_LIMIT, CanvasSizeError};
use stint_model::study::file::StepKind;

impl Session {
    /// Makes the canvas a rectangle of it, which may reach beyond it.
    pub(super) fn crop_canvas(&mut self, command: &Command, part: CanvasRect) -> Result<Done, SessionError> {
        let mut document = self.document.clone();
        let CanvasRect { width_px, height_px, .. } = part;
        let sides = 1..=CANVAS_LIMIT;
        if !sides.contains(&width_px) || !sides.contains(&height_px) {
            return Err(CanvasSizeError { width: width_px, height: height_px }.into());
        }
        if !part.meets(document.width, document.height) {
            return Err(SessionError::BesideCanvas { width_px: document.width, height_px: document.height });
        }
        self.keep_lined_up(&mut document, part)?;
        if let Some(area) = &mut document.protected {
            for [x, y] in &mut area.outline {
                (*x, *y) = (*x - part.x as f32, *y - part.y as f32);
            }
        }
        (document.width, document.height) = (width_px, height_px);
        let changes = self.canvas.crop(part)?;
        self.record(command, StepKind::Edit, document, changes, None)
    }

    /// Lays the corners of the canvas that is a part of this one where they are on the photo.
    #[expect(clippy::cast_possible_truncation, reason = "places on the photo in the single precision of framings")]
    fn keep_lined_up(&mut self, document: &mut Document, part: CanvasRect) -> Result<(), SessionError> {
        let size = (document.width, document.height);
        let Some(reference) = document.reference.as_mut().filter(|_| part != CanvasRect::whole(size.0, size.1)) else {
            return Ok(());
        };
        let (photo, _) = self.decoded()?;
        let now = self.framing(&photo);
        let corners = part.corners(size).map(|corner| now.photo_from_canvas(corner).map(|at| at as f32).into());
        reference.framing = Some(Framing::new(corners).map_err(|_| SessionError::TooFarAslant)?);
        Ok(())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::SwatchRef;
    use stint_model::board::{Board, LightOfDay, Role};
    use stint_model::study::protected::Side;
    use stint_render::choose::EngineChoice;
    use stint_render::mask::mass::Edge;

    const PHOTO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg");

    fn painted() -> Session {
        let board = Board::new("Depot", LightOfDay::Cool);
        let mut session = Session::in_memory((200, 100), board, EngineChoice::Cpu).unwrap();
        let (family, name, colour) = ("Brick".to_owned(), String::new(), "#73524e".to_owned());
        let local = SwatchRef::Swatch { family: family.clone(), role: Role::Local };
        for command in [
            Command::AddSwatch { family, role: Role::Local, name, colour, by_role: false },
            Command::Load(local),
            // The left half.
            Command::Mass { outline: vec![[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]], edge: Edge::Hard },
        ] {
            session.apply(&command).unwrap();
        }
        session
    }

    fn crop(x: i32, y: i32, width_px: u32, height_px: u32) -> Command {
        Command::CropCanvas { part: CanvasRect { x, y, width_px, height_px } }
    }

    #[test]
    fn the_readout_is_of_the_canvas_as_it_is_now_and_undo_brings_the_rest_back() {
        let mut session = painted();
        let before = session.readout().unwrap();
        assert_eq!((before.painted_px, before.bare_share), (10_000.0, 0.5));
        let done = session.apply(&crop(50, 0, 150, 80)).unwrap();
        assert!(done.document && done.stroke.is_none());
        let cropped = session.readout().unwrap();
        assert_eq!((cropped.width_px, cropped.height_px, cropped.painted_px), (150, 80, 4000.0));
        assert!((cropped.bare_share - 2.0 / 3.0).abs() < 1e-12);
        session.apply(&crop(-10, -20, 200, 200)).unwrap();
        let extended = session.readout().unwrap();
        assert_eq!((extended.painted_px, extended.bare_share), (4000.0, 0.9));
        assert_eq!(session.paints_at(9, 50).unwrap(), []);
        assert_eq!(session.paints_at(10, 50).unwrap().len(), 1);
        let shares: Vec<f64> = session.shares().unwrap().iter().map(|row| row.shares.bare).collect();
        assert_eq!(shares.len(), 5);
        session.apply(&Command::Undo).unwrap();
        session.apply(&Command::Undo).unwrap();
        assert_eq!(session.readout().unwrap(), before);
        assert_eq!((session.document().width, session.document().height), (200, 100));
        // The stroke that follows is of the canvas as it is.
        session.apply(&Command::Redo).unwrap();
        session
            .apply(&Command::Mass {
                outline: vec![[0.0, 0.0], [900.0, 0.0], [900.0, 900.0], [0.0, 900.0]],
                edge: Edge::Hard,
            })
            .unwrap();
        assert_eq!(session.readout().unwrap().painted_px, 150.0 * 80.0);
    }

    #[test]
    fn the_photo_stays_lined_up_with_the_painting() {
        let mut session = painted();
        session.apply(&Command::Reference(PHOTO.to_owned())).unwrap();
        let (photo, _) = session.reference().unwrap();
        let aslant = [(100.0, 60.0), (700.0, 40.0), (720.0, 500.0), (60.0, 480.0)];
        for corners in [None, Some(aslant)] {
            session.apply(&Command::LineUp { corners }).unwrap();
            let before = session.framing(&photo);
            for part in [(20, 10, 100, 50), (-40, -10, 300, 120)] {
                session.apply(&crop(part.0, part.1, part.2, part.3)).unwrap();
                let now = session.framing(&photo);
                // A place of the painting lies where it lay on the photo.
                for at in [(30.0, 20.0), (90.0, 45.0)] {
                    let [x, y] = before.photo_from_canvas([at.0 / 200.0, at.1 / 100.0]);
                    let moved = [
                        (at.0 - f64::from(part.0)) / f64::from(part.2),
                        (at.1 - f64::from(part.1)) / f64::from(part.3),
                    ];
                    let [u, v] = now.photo_from_canvas(moved);
                    assert!((x - u).hypot(y - v) < 0.01, "{corners:?} {part:?}: {x} {y}, {u} {v}");
                }
                session.apply(&Command::Undo).unwrap();
                assert_eq!(session.framing(&photo), before);
            }
        }
    }

    #[test]
    fn a_protected_area_stays_where_it_lies_in_the_painting() {
        let mut session = painted();
        let outline = vec![[120.0, 20.0], [180.0, 20.0], [180.0, 80.0], [120.0, 80.0]];
        session.apply(&Command::Protect { outline, paintable: Side::Inside }).unwrap();
        let all = vec![[0.0, 0.0], [900.0, 0.0], [900.0, 900.0], [0.0, 900.0]];
        let mass = Command::Mass { outline: all, edge: Edge::Hard };
        let painted_px = |session: &mut Session| session.readout().unwrap().painted_px;
        // First at another place of the same outline, then on a canvas of another size alone.
        for part in [(100, 10, 300, 200), (0, 0, 250, 60)] {
            session.apply(&crop(part.0, part.1, part.2, part.3)).unwrap();
            let before = painted_px(&mut session);
            session.apply(&mass).unwrap();
            let within = if part.0 == 100 { 60.0 * 60.0 } else { 60.0 * 40.0 };
            assert_eq!(painted_px(&mut session) - before, within);
            session.apply(&Command::Undo).unwrap();
            session.apply(&Command::Undo).unwrap();
        }
        session.apply(&mass).unwrap();
        assert_eq!(painted_px(&mut session), 10_000.0 + 3600.0);
    }

    #[test]
    fn a_rectangle_that_is_no_canvas_is_refused_and_changes_nothing() {
        let mut session = painted();
        let before = (session.document().clone(), session.depths(), session.readout().unwrap());
        for (wrong, words) in [
            (crop(0, 0, 0, 100), "0 x 100"),
            (crop(0, 0, 100, 16_385), "16384"),
            (crop(200, 0, 100, 100), "beside the canvas"),
            (crop(0, -100, 100, 100), "beside the canvas"),
        ] {
            let error = session.apply(&wrong).unwrap_err().to_string();
            assert!(error.contains(words), "{error}");
        }
        assert_eq!((session.document().clone(), session.depths(), session.readout().unwrap()), before);
    }
}
