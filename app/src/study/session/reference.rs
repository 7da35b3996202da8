//! The reference photo of a study.

use super::recorder::StoredPhoto;
use super::{Done, Session, SessionError};
use crate::study::command::Command;
use std::path::Path;
use std::sync::Arc;
use stint_model::photo::{Adjustments, Framing, MIN_CROP_PX, Photo, PixelRect};
use stint_model::study::file::StepKind;
use stint_model::study::{Document, Reference};

/// A photo that was read and decoded, without what its file tells about place, time and camera. Reading takes a while: do it beside
/// the window.
pub struct DecodedPhoto {
    /// Name of its file, without the folder: it goes into the history.
    name: String,
    photo: Photo,
    bytes: Vec<u8>,
}

impl DecodedPhoto {
    /// Reads a photo.
    ///
    /// # Errors
    /// When the file is no photo or cannot be read.
    pub fn read(path: &Path) -> Result<Self, SessionError> {
        Self::read_with(path, |_, _| {})
    }

    /// The same; its bytes and its name are handed out before they are decoded.
    ///
    /// # Errors
    /// When the file is no photo or cannot be read.
    pub fn read_with(path: &Path, on_the_way: impl FnOnce(&[u8], &str)) -> Result<Self, SessionError> {
        let bytes = stint_model::photo::open::read(path)?;
        on_the_way(&bytes, &name_of(path));
        let (photo, bytes) = Photo::without_private_data(bytes, &name_of(path))?;
        Ok(DecodedPhoto { name: name_of(path), photo, bytes })
    }

    /// Width and height, pixels.
    pub fn size_px(&self) -> (u32, u32) {
        (self.photo.width_px(), self.photo.height_px())
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
        self.may_begin()?;
        self.end_preview();
        let command = Command::Reference(decoded.name.clone());
        self.store_photo(&command, decoded)
    }

    /// Takes a photo into the study: its pixels as they are coded, nothing baked, without what the file tells about place, time
    /// and camera.
    pub(super) fn take_reference(&mut self, command: &Command, path: &str) -> Result<Done, SessionError> {
        // Decoded first, so that nothing unreadable is ever stored.
        let decoded = DecodedPhoto::read(&self.folder.join(path))?;
        self.store_photo(command, decoded)
    }

    /// A photo with the key that the next step gives it. Every step must have been answered.
    pub(super) fn to_store(&self, name: String, bytes: Vec<u8>) -> Result<StoredPhoto, SessionError> {
        let bytes = Arc::new(bytes);
        let (asked, of) = (name.clone(), bytes.clone());
        let key = self.recorder.call(move |file| file.photo_key(&asked, &of))?;
        Ok(StoredPhoto { key, name, bytes })
    }

    fn store_photo(&mut self, command: &Command, decoded: DecodedPhoto) -> Result<Done, SessionError> {
        let DecodedPhoto { name, photo, bytes } = decoded;
        self.settle()?;
        let stored = self.to_store(name.clone(), bytes)?;
        let key = stored.key;
        let mut document = self.document.clone();
        document.reference = Some(Reference { name, photo: key, adjustments: Adjustments::default(), framing: None });
        // A photo that is brought in is to be looked at.
        document.photo_shut = false;
        let done = self.record_with_photo(command, StepKind::Edit, document, (Vec::new(), None), Some(stored))?;
        self.notices.extend(photo.warnings().iter().map(ToString::to_string));
        self.photo = Some((key, Arc::new(photo)));
        Ok(done)
    }

    /// The decoded reference and its adjustments; read from the study file the first time.
    ///
    /// # Errors
    /// When there is none, it is shut, or its bytes cannot be read.
    pub fn reference(&mut self) -> Result<(Arc<Photo>, Adjustments), SessionError> {
        if self.document.photo_shut {
            return Err(SessionError::PhotoShut);
        }
        self.decoded()
    }

    /// The same, shut or not.
    pub(super) fn decoded(&mut self) -> Result<(Arc<Photo>, Adjustments), SessionError> {
        let reference = self.document.reference.clone().ok_or(SessionError::NoReference)?;
        if let Some((key, photo)) = &self.photo
            && *key == reference.photo
        {
            return Ok((photo.clone(), reference.adjustments));
        }
        let key = reference.photo;
        let (name, bytes) = self.recorder.call(move |file| file.photo(key))?;
        let photo = Arc::new(Photo::from_bytes(&bytes, &name)?);
        self.photo = Some((reference.photo, photo.clone()));
        Ok((photo, reference.adjustments))
    }
}

/// Says which part of the reference the canvas shows.
pub(super) fn line_up(document: &mut Document, corners: Option<[(f32, f32); 4]>) -> Result<(), SessionError> {
    let reference = document.reference.as_mut().ok_or(SessionError::NoReference)?;
    reference.framing = corners.map(Framing::new).transpose()?;
    Ok(())
}

/// Sets the adjustments of the reference; what it is cropped to stays.
pub(super) fn adjust(document: &mut Document, to: Adjustments) -> Result<(), SessionError> {
    let values = [
        ("hue turn", to.hue_turn_degrees),
        ("soften", to.soften_px),
        ("exposure", to.exposure_stops),
        ("contrast", to.contrast),
    ];
    for ((what, value), (low, high)) in values.into_iter().zip(Adjustments::RANGES) {
        if !(low..=high).contains(&value) {
            return Err(SessionError::Range { what, value, low, high });
        }
    }
    let reference = document.reference.as_mut().ok_or(SessionError::NoReference)?;
    reference.adjustments = Adjustments { crop: reference.adjustments.crop, ..to };
    Ok(())
}

/// Uses a part of the reference alone, or all of it.
pub(super) fn crop_photo(
    session: &mut Session,
    document: &mut Document,
    part: Option<PixelRect>,
) -> Result<(), SessionError> {
    let (photo, _) = session.reference()?;
    let (width_px, height_px) = (photo.width_px(), photo.height_px());
    let crop = match part {
        None => None,
        Some(part) => {
            let least = MIN_CROP_PX.min(width_px).min(height_px);
            let fits = part.within(width_px, height_px) == Some(part);
            if !fits || part.width_px < least || part.height_px < least {
                return Err(SessionError::Crop { width_px, height_px, least });
            }
            // All of it is no crop.
            (part != PixelRect { x: 0, y: 0, width_px, height_px }).then_some(part)
        }
    };
    if let Some(reference) = document.reference.as_mut() {
        reference.adjustments.crop = crop;
    }
    Ok(())
}
