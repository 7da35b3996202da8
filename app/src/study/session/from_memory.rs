//! A study that is painted from memory: its photo is shut until it is opened on purpose, as free colour is.

use super::engine::choose;
use super::{Done, Reading, Session, SessionError};
use crate::study::command::Command;
use std::collections::BTreeMap;
use std::path::Path;
use stint_model::readout::Opened;
use stint_model::study::file::{Lid, StepKind, StudyFile};
use stint_model::study::{Document, Picked, Reference};
use stint_render::choose::EngineChoice;

impl Session {
    /// A new study, at `path`, that paints another one again without its photo: the same board, canvas, ground, way of mixing and stint,
    /// and the photo with its adjustments, shut.
    ///
    /// # Errors
    /// When the other study has no photo, or the new one cannot be written.
    pub fn paint_again(source: &StudyFile, path: &Path, choice: EngineChoice) -> Result<Self, SessionError> {
        let from = source.document();
        let reference = from.reference.clone().ok_or(SessionError::NoReference)?;
        let (name, bytes) = source.photo(reference.photo)?;
        let document = Document {
            ground: from.ground.clone(),
            mixing: from.mixing,
            stint_min: from.stint_min,
            paints_again: source.path().file_name().map(|name| name.to_string_lossy().into_owned()),
            ..Document::new(from.width, from.height, from.board.clone())?
        };
        // The engine first: without one there shall be no file either.
        let chosen = choose(choice)?;
        let mut session = Session::start(StudyFile::create(path, &document)?, chosen, Reading::Now)?;
        let stored = session.to_store(name.clone(), bytes)?;
        let photo = stored.key;
        let followed = |picked: &Picked| Picked { photo, how: picked.how.clone() };
        let picks = from.picks.iter().filter(|(_, picked)| picked.photo == reference.photo);
        let document = Document {
            picks: picks.map(|(id, picked)| (*id, followed(picked))).collect::<BTreeMap<_, _>>(),
            reference: Some(Reference { photo, ..reference }),
            photo_shut: true,
            ..document
        };
        let command = Command::Reference(name);
        session.record_with_photo(&command, StepKind::Edit, document, (Vec::new(), None), Some(stored))?;
        session.settle()?;
        Ok(session)
    }

    /// Opens the photo and notes the shares of this moment.
    pub(super) fn open_photo(&mut self, command: &Command) -> Result<Done, SessionError> {
        if self.document.reference.is_none() {
            return Err(SessionError::NoReference);
        }
        if !self.document.photo_shut {
            return Err(SessionError::PhotoOpen);
        }
        let readout = self.readout()?;
        let document = Document { photo_shut: false, ..self.document.clone() };
        let opened = Opened {
            after_strokes: self.strokes(),
            board_share: readout.board_share,
            free_share: readout.free_share,
            bare_share: readout.bare_share,
        };
        self.record(command, StepKind::Edit, document, Vec::new(), Some((Lid::Photo, opened)))
    }

    /// Shuts the photo: what is painted from now on is painted from memory.
    pub(super) fn shut_photo(&mut self, command: &Command) -> Result<Done, SessionError> {
        match &self.document {
            Document { reference: None, .. } => Err(SessionError::NoReference),
            Document { photo_shut: true, .. } => Err(SessionError::PhotoShut),
            document => {
                let document = Document { photo_shut: true, ..document.clone() };
                self.record(command, StepKind::Edit, document, Vec::new(), None)
            }
        }
    }

    /// Every opening of the photo while the study was painted from memory, oldest first, those that were undone included.
    pub fn photo_opened(&self) -> &[Opened] {
        self.recorder.photo_opened()
    }

    /// Decodes the photo where it is not decoded yet, shut or not: beside the window, so that showing it later takes no time.
    ///
    /// # Errors
    /// As [`Session::reference`], except that a photo that is shut is none.
    pub fn decode_photo(&mut self) -> Result<(), SessionError> {
        self.decoded().map(|_| ())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::SwatchRef;
    use stint_model::board::{Board, LightOfDay, Role};
    use stint_render::mask::mass::Edge;

    const PHOTO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg");

    /// A study with a photo, one picked swatch and a mass of it.
    fn painted(path: &Path) -> Session {
        let mut session =
            Session::create(path, (96, 64), Board::new("Depot", LightOfDay::Cool), EngineChoice::Cpu).unwrap();
        let (family, name) = ("Brick".to_owned(), String::new());
        let outline = vec![[0.0, 0.0], [48.0, 0.0], [48.0, 64.0], [0.0, 64.0]];
        for command in [
            Command::Reference(PHOTO.to_owned()),
            Command::Adjust { hue_turn: 4.0, soften: 0.3, exposure: 0.0, contrast: 1.0 },
            Command::Pick {
                family: family.clone(),
                role: Role::Local,
                name,
                at: (300, 200),
                aperture: 5,
                nudged: false,
                by_role: false,
            },
            Command::SetStint(Some(40)),
            Command::Load(SwatchRef::Swatch { family, role: Role::Local }),
            Command::Mass { outline, edge: Edge::default() },
        ] {
            session.apply(&command).unwrap();
        }
        session
    }

    #[test]
    fn a_study_is_painted_again_without_its_photo() {
        let folder = tempfile::tempdir().unwrap();
        let [first, second] = ["depot.stint", "depot from memory.stint"].map(|name| folder.path().join(name));
        let before = painted(&first);
        let (then, bytes) = (before.document().clone(), std::fs::metadata(&first).unwrap().len());
        let source = StudyFile::open_read_only(&first).unwrap();
        let mut again = Session::paint_again(&source, &second, EngineChoice::Cpu).unwrap();
        let now = again.document().clone();
        assert_eq!((&now.board, &now.ground, now.mixing), (&then.board, &then.ground, then.mixing));
        assert_eq!((now.width, now.height, now.stint_min), (96, 64, Some(40)));
        assert_eq!(now.paints_again.as_deref(), Some("depot.stint"));
        assert_eq!(now.picks.len(), 1);
        let (old, new) = (then.reference.unwrap(), now.reference.unwrap());
        assert_eq!((old.name, old.adjustments), (new.name, new.adjustments));
        assert_eq!(std::fs::metadata(&first).unwrap().len(), bytes, "the first study stays as it is");
        // Nothing of the photo is to be had: not its pixels, and no colour picked from it.
        assert!(matches!(again.reference(), Err(SessionError::PhotoShut)));
        assert!(matches!(again.apply(&Command::ProposeBoard(3)), Err(SessionError::PhotoShut)));
        assert!(matches!(again.apply(&Command::PickAgain), Err(SessionError::PhotoShut)));
        assert!(matches!(again.apply(&Command::ShutPhoto), Err(SessionError::PhotoShut)));
        again.decode_photo().unwrap();
        assert!(again.reference().is_err());
        // Not by a walk through the history either.
        again.apply(&Command::Undo).unwrap();
        assert!(again.reference().is_err());
        again.apply(&Command::Redo).unwrap();
        assert!(matches!(again.reference(), Err(SessionError::PhotoShut)));
    }

    #[test]
    fn opening_the_photo_is_noted_with_the_shares_and_undo_does_not_take_the_note_out() {
        let folder = tempfile::tempdir().unwrap();
        let [first, second] = ["depot.stint", "again.stint"].map(|name| folder.path().join(name));
        painted(&first).close().unwrap();
        let source = StudyFile::open_read_only(&first).unwrap();
        let mut again = Session::paint_again(&source, &second, EngineChoice::Cpu).unwrap();
        let id = again.document().board.swatches().next().unwrap().1.id;
        again.apply(&Command::Load(SwatchRef::Id(id))).unwrap();
        let outline = vec![[0.0, 0.0], [96.0, 0.0], [96.0, 16.0], [0.0, 16.0]];
        again.apply(&Command::Mass { outline, edge: Edge::default() }).unwrap();
        let readout = again.readout().unwrap();
        again.apply(&Command::OpenPhoto).unwrap();
        again.reference().unwrap();
        assert!(matches!(again.apply(&Command::OpenPhoto), Err(SessionError::PhotoOpen)));
        let noted = Opened { after_strokes: 1, board_share: 1.0, free_share: 0.0, bare_share: readout.bare_share };
        assert_eq!(again.photo_opened(), std::slice::from_ref(&noted));
        again.apply(&Command::Undo).unwrap();
        assert!(again.reference().is_err());
        again.apply(&Command::OpenPhoto).unwrap();
        again.apply(&Command::ShutPhoto).unwrap();
        assert!(again.reference().is_err());
        again.close().unwrap();
        let file = StudyFile::open_read_only(&second).unwrap();
        assert_eq!(file.photo_opened(), [noted.clone(), noted]);
        assert!(file.opened().is_empty(), "free colour was not opened");
    }

    #[test]
    fn a_study_without_a_photo_cannot_be_painted_again_and_leaves_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let [first, second] = ["depot.stint", "again.stint"].map(|name| folder.path().join(name));
        Session::create(&first, (8, 8), Board::default(), EngineChoice::Cpu).unwrap().close().unwrap();
        let source = StudyFile::open_read_only(&first).unwrap();
        assert!(matches!(Session::paint_again(&source, &second, EngineChoice::Cpu), Err(SessionError::NoReference)));
        assert!(!second.exists());
    }
}
