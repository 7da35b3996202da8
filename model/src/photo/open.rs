//! Opening a photo: from a file of any trust to samples that are all there.

use super::bounds::MAX_FILE_BYTES;
use super::decode::{coarse, decode};
use super::error::{PhotoError, PhotoWarning};
use super::orient::Upright;
use super::private::without_private_data;
use super::profile::Conversion;
use super::raster::{Channels, Decoded, Described, Samples};
use crate::colour::Colour;
use crate::disk::{self, Metadata};
use std::io::Read;
use std::path::Path;

/// A photo: its samples as decoded, and how to read them. Nothing is converted until it is looked at.
///
/// *Read*: JPEG (baseline and progressive, Huffman and arithmetic coding, any sampling; grey, YCbCr, RGB, CMYK), HEIC (8 to 12
/// bits), PNG (all kinds; 16 bits kept), WebP (first frame), TIFF (to 16 bits; first full page), JPEG XL (first frame). The
/// orientation is honoured in all of them.
/// *Colour*: code points, an embedded ICC profile, primaries and curve in numbers, else sRGB. What cannot be followed is read
/// as sRGB, with a warning. CMYK goes through its profile; without one by `R = (1 - C)(1 - K)`, with a warning. Pictures of high
/// dynamic range (PQ, HLG) are refused.
pub struct Photo {
    name: String,
    samples: Samples,
    channels: Channels,
    conversion: Conversion,
    upright: Upright,
    warnings: Vec<PhotoWarning>,
}

impl std::fmt::Debug for Photo {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Photo")
            .field("name", &self.name)
            .field("width_px", &self.width_px())
            .field("height_px", &self.height_px())
            .finish_non_exhaustive()
    }
}

/// The bytes of a photo file.
///
/// # Errors
/// When it is no file (a folder, a device, a pipe), cannot be read, or is larger than [`MAX_FILE_BYTES`].
pub fn read(path: &Path) -> Result<Vec<u8>, PhotoError> {
    let name = path.display().to_string();
    let refused = |source| PhotoError::Read { name: name.clone(), source };
    // Looked at by its name first: opening a pipe would wait for somebody to write into it.
    let told = disk::metadata(path).map_err(refused)?;
    if let Some(what) = no_file(&told) {
        return Err(PhotoError::NotAFile { name, what });
    }
    let too_large = |length| {
        let advice = format!("make a copy of at most {} MiB", MAX_FILE_BYTES >> 20);
        PhotoError::too_large(&name, format!("a file of {length} MiB"), advice)
    };
    if told.len() > MAX_FILE_BYTES {
        return Err(too_large(told.len() >> 20));
    }
    #[expect(clippy::cast_possible_truncation, reason = "held to MAX_FILE_BYTES above")]
    let mut bytes = Vec::with_capacity(told.len() as usize);
    // A file can grow while it is read, and some of those that a system makes up tell no length.
    disk::open(path).and_then(|file| file.take(MAX_FILE_BYTES + 1).read_to_end(&mut bytes)).map_err(refused)?;
    if bytes.len() as u64 > MAX_FILE_BYTES { Err(too_large((MAX_FILE_BYTES >> 20) + 1)) } else { Ok(bytes) }
}

fn no_file(told: &Metadata) -> Option<&'static str> {
    if told.is_file() {
        None
    } else if told.is_dir() {
        Some("a folder")
    } else {
        Some("a device or a pipe")
    }
}

impl Photo {
    /// Opens a photo file. Its kind is told by its content, never by its name.
    ///
    /// # Errors
    /// As [`read`] and [`Photo::from_bytes`].
    pub fn open(path: impl AsRef<Path>) -> Result<Self, PhotoError> {
        let path = path.as_ref();
        Self::from_bytes(&read(path)?, &path.display().to_string())
    }

    /// Opens a photo from the bytes of its file; `name` is used in messages.
    ///
    /// # Errors
    /// When it is damaged, too large, no photo, or of a kind that is not read.
    pub fn from_bytes(bytes: &[u8], name: &str) -> Result<Self, PhotoError> {
        Self::of(decode(bytes, name)?, name)
    }

    /// The same photo in much fewer pixels and a fraction of the time, for looking at while all of it is decoded: what is damaged may look
    /// as if it were not, so nothing is to be picked from it. None where there is no quick way: there is one to a JPEG, and where a small copy
    /// of it lies in the file, as in what phones write.
    pub fn coarse(bytes: &[u8], name: &str) -> Option<Self> {
        Self::of(coarse(bytes, name)?, name).ok()
    }

    fn of(decoded: Decoded, name: &str) -> Result<Self, PhotoError> {
        let Decoded { width_px, height_px, channels, samples, max_sample, orientation, described } = decoded;
        let mut warnings = Vec::new();
        let mut warn = |what: Option<String>| {
            let name = name.to_owned();
            warnings.push(match what {
                what if channels.black.is_some() => PhotoWarning::Inks { name, what },
                what => PhotoWarning::Profile { name, what: what.unwrap_or_default() },
            });
        };
        let conversion = match described {
            Described::Srgb if channels.black.is_some() => {
                warn(None);
                Conversion::plain_inks(max_sample)
            }
            described => Conversion::new(&described, &channels, max_sample).or_else(|what| {
                warn(Some(what));
                if channels.black.is_some() {
                    Conversion::plain_inks(max_sample)
                } else {
                    Conversion::new(&Described::Srgb, &channels, max_sample)
                }
            }),
        };
        let conversion = conversion.map_err(|_| PhotoError::damaged(name, "its samples have no range"))?;
        let upright = Upright::new(orientation, width_px, height_px);
        Ok(Photo { name: name.to_owned(), samples, channels, conversion, upright, warnings })
    }

    /// Opens a photo to be kept and handed out: without what its file tells about place, time, camera and owner (see
    /// [`super::private`]). Gives the photo and the bytes to keep, whose pixels are the same. A file whose parts cannot be told
    /// apart keeps everything, and a warning says so.
    ///
    /// # Errors
    /// As [`Photo::from_bytes`].
    pub fn without_private_data(bytes: Vec<u8>, name: &str) -> Result<(Self, Vec<u8>), PhotoError> {
        // What is kept is what is decoded, so that nothing unreadable is ever kept.
        if let Some(clean) = without_private_data(&bytes) {
            drop(bytes);
            return Ok((Self::from_bytes(&clean, name)?, clean));
        }
        let mut photo = Self::from_bytes(&bytes, name)?;
        photo.warnings.push(PhotoWarning::PrivateData { name: name.to_owned() });
        Ok((photo, bytes))
    }

    /// The name it was opened under.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// What a painter should know about it before picking colours.
    pub fn warnings(&self) -> &[PhotoWarning] {
        &self.warnings
    }

    /// Width of the upright photo, in pixels.
    pub fn width_px(&self) -> u32 {
        self.upright.width_px
    }

    /// Height of the upright photo, in pixels.
    pub fn height_px(&self) -> u32 {
        self.upright.height_px
    }

    /// Whether any pixel could be transparent: whether the file has an alpha channel.
    pub fn has_alpha(&self) -> bool {
        self.channels.alpha.is_some()
    }

    /// Linear components in the photo's own primaries, and alpha, of the upright pixels (x, y), (x + 1, y), ... All
    /// must lie inside the photo.
    pub(super) fn row(&self, x: u32, y: u32, out: &mut [[f32; 4]]) {
        self.every(1, x, y, out);
    }

    /// The same of the upright pixels (x, y), (x + `stride`, y), ...
    pub(super) fn every(&self, stride: u32, x: u32, y: u32, out: &mut [[f32; 4]]) {
        let (first, step) = (self.upright.index(x, y), self.upright.step_x * stride as isize);
        // A table that cannot be used was refused when the photo was opened, so the result needs no look here.
        match &self.samples {
            Samples::Eight(samples) => self.conversion.linearise(samples, &self.channels, first, step, out),
            Samples::Sixteen(samples) => self.conversion.linearise(samples, &self.channels, first, step, out),
        };
    }

    /// From linear components in the photo's own primaries to a colour.
    pub(super) fn colour_of(&self, own: [f32; 3]) -> Colour {
        self.conversion.colour(own)
    }
}

#[cfg(test)]
#[path = "open_tests.rs"]
pub(crate) mod tests;
