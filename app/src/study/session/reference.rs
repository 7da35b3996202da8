//! The reference photo of a study.

use super::{Done, Session, SessionError};
use crate::study::command::Command;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use stint_model::photo::{Adjustments, Photo};
use stint_model::study::Reference;
use stint_model::study::file::StepKind;

/// A photo that was read and decoded, without what its file tells about place, time and camera. Reading takes a while: do it beside
/// the window.
pub struct DecodedPhoto {
    path: PathBuf,
    photo: Photo,
    bytes: Vec<u8>,
}

impl DecodedPhoto {
    /// Reads a photo.
    ///
    /// # Errors
    /// When the file is no photo or cannot be read.
    pub fn read(path: &Path) -> Result<Self, SessionError> {
        let bytes = stint_model::photo::open::read(path)?;
        let (photo, bytes) = Photo::without_private_data(bytes, &name_of(path))?;
        Ok(DecodedPhoto { path: path.to_owned(), photo, bytes })
    }
}

fn name_of(path: &Path) -> String {
    path.file_name().map_or_else(|| "photo".to_owned(), |n| n.to_string_lossy().into_owned())
}

impl Session {
    /// Takes a photo that was decoded beside the window into the study, as [`Command::Reference`] does.
    ///
    /// # Errors
    /// When a stroke is being painted, or the study cannot be written.
    pub fn take_decoded(&mut self, decoded: DecodedPhoto) -> Result<Done, SessionError> {
        if self.live.is_some() {
            return Err(SessionError::Painting);
        }
        self.end_preview()?;
        let command = Command::Reference(decoded.path.to_string_lossy().into_owned());
        self.store_photo(&command, name_of(&decoded.path), decoded.photo, &decoded.bytes)
    }

    /// Takes a photo into the study: its pixels as they are coded, nothing baked, without what the file tells about place, time
    /// and camera.
    pub(super) fn take_reference(&mut self, command: &Command, path: &str) -> Result<Done, SessionError> {
        let path = self.folder.join(path);
        let bytes = stint_model::photo::open::read(&path)?;
        self.take_photo_bytes(command, &path, bytes)
    }

    fn take_photo_bytes(&mut self, command: &Command, path: &Path, bytes: Vec<u8>) -> Result<Done, SessionError> {
        let name = name_of(path);
        // Decoded first, so that nothing unreadable is ever stored.
        let (photo, bytes) = Photo::without_private_data(bytes, &name)?;
        self.store_photo(command, name, photo, &bytes)
    }

    fn store_photo(
        &mut self,
        command: &Command,
        name: String,
        photo: Photo,
        bytes: &[u8],
    ) -> Result<Done, SessionError> {
        let key = self.file.add_photo(&name, bytes)?;
        let mut document = self.document.clone();
        document.reference = Some(Reference { name, photo: key, adjustments: Adjustments::default() });
        let done = self.record(command, StepKind::Edit, document, Vec::new(), None)?;
        self.notices.extend(photo.warnings().iter().map(ToString::to_string));
        self.photo = Some((key, Arc::new(photo)));
        Ok(done)
    }

    /// Sets the adjustments of the reference.
    pub(super) fn adjust(&mut self, command: &Command, hue_turn: f32, soften: f32) -> Result<Done, SessionError> {
        for (what, value, low, high) in [("hue turn", hue_turn, -180.0, 180.0), ("soften", soften, 0.0, 3.0)] {
            if !(low..=high).contains(&value) {
                return Err(SessionError::Range { what, value, low, high });
            }
        }
        let mut document = self.document.clone();
        let reference = document.reference.as_mut().ok_or(SessionError::NoReference)?;
        reference.adjustments = Adjustments { hue_turn_degrees: hue_turn, soften_px: soften };
        self.record(command, StepKind::Edit, document, Vec::new(), None)
    }

    /// The decoded reference and its adjustments; read from the study file the first time.
    ///
    /// # Errors
    /// When there is none, or its bytes cannot be read.
    pub fn reference(&mut self) -> Result<(Arc<Photo>, Adjustments), SessionError> {
        let reference = self.document.reference.clone().ok_or(SessionError::NoReference)?;
        if let Some((key, photo)) = &self.photo
            && *key == reference.photo
        {
            return Ok((photo.clone(), reference.adjustments));
        }
        let (name, bytes) = self.file.photo(reference.photo)?;
        let photo = Arc::new(Photo::from_bytes(&bytes, &name)?);
        self.photo = Some((reference.photo, photo.clone()));
        Ok((photo, reference.adjustments))
    }
}
