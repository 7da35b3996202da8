//! Opening a photo: from a file of any trust to samples that are all there.

use super::Adjustments;
use super::jpeg;
use super::orient::Upright;
use super::profile::{
    CHANNELS_GREY, CHANNELS_GREY_ALPHA, CHANNELS_RGB, CHANNELS_RGBA, Channels, Conversion, Described,
};
use super::view::View;
use crate::colour::Colour;
use image::codecs::{png::PngDecoder, tiff::TiffDecoder, webp::WebPDecoder};
use image::metadata::Orientation;
use image::{ColorType, ImageDecoder, ImageError, Limits};
use std::io::Cursor;
use std::path::Path;

/// Most pixels a photo may have: 200 megapixels.
pub const MAX_PIXELS: u64 = 200_000_000;
/// Longest side a photo may have, in pixels.
pub const MAX_SIDE_PX: u32 = 65_535;
/// Largest file that is read, in bytes.
pub const MAX_FILE_BYTES: u64 = 1 << 30;

/// Why a photo could not be opened.
#[derive(Debug, thiserror::Error)]
pub enum PhotoError {
    /// The file system said no.
    #[error("could not read {name}: {source}; check that the file is there and may be read")]
    Read {
        /// The file.
        name: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// A file of no bytes.
    #[error("{name} is empty; copy it from the camera again")]
    Empty {
        /// The file.
        name: String,
    },
    /// Not one of the kinds of picture that are read.
    #[error("{name} is {what}, not a JPEG, PNG, WebP or TIFF; export it as one of these")]
    NotAPhoto {
        /// The file.
        name: String,
        /// What it looks like.
        what: &'static str,
    },
    /// A known kind of picture with samples of a kind that is not read.
    #[error("{name} holds {what}, which cannot be read; export it with 8 or 16 bits a channel in sRGB")]
    Unsupported {
        /// The file.
        name: String,
        /// What it holds.
        what: String,
    },
    /// More pixels or bytes than are read. Raised before memory for the pixels is taken.
    #[error("{name} is too large ({size}); make a copy of at most 200 megapixels and 65535 pixels a side")]
    TooLarge {
        /// The file.
        name: String,
        /// Its size in words.
        size: String,
    },
    /// The file stops before its picture does.
    #[error("{name} ends before its picture does; copy it from the camera again")]
    CutShort {
        /// The file.
        name: String,
    },
    /// The file contradicts itself.
    #[error("{name} is damaged ({reason}); copy it from the camera again")]
    Damaged {
        /// The file.
        name: String,
        /// What the decoder said.
        reason: String,
    },
    /// The colours of the file are described in a way that cannot be followed. Guessing would give wrong colours.
    #[error("the colour profile of {name} cannot be used: {reason}; export the photo as sRGB")]
    Profile {
        /// The file.
        name: String,
        /// What is wrong with it.
        reason: String,
    },
}

/// Stored samples, interleaved, rows from the top as stored.
pub(super) enum Samples {
    /// 8 bits each.
    Eight(Vec<u8>),
    /// 16 bits each.
    Sixteen(Vec<u16>),
}

/// What a decoder hands over.
pub(super) struct Decoded {
    /// Stored width.
    pub width_px: u32,
    /// Stored height.
    pub height_px: u32,
    /// Layout of a pixel.
    pub channels: Channels,
    /// All samples.
    pub samples: Samples,
    /// How to hold the picture.
    pub orientation: Orientation,
    /// Its colour space.
    pub described: Described,
}

/// A photo: its samples as decoded, and how to read them. Nothing is converted until it is looked at.
///
/// *Read*: JPEG (baseline and progressive; grey, YCbCr, RGB; CMYK without a profile by the plain formula), PNG (all
/// kinds; 16 bits kept), WebP (first frame), TIFF (8 and 16 bits). EXIF orientation is honoured in all of them.
/// *Colour*: PNG `cICP` (sRGB, Display P3; anything else is refused), else an embedded ICC profile, else sRGB; `gAMA`
/// and `cHRM` of a PNG without either are taken as sRGB.
pub struct Photo {
    name: String,
    samples: Samples,
    channels: Channels,
    conversion: Conversion,
    upright: Upright,
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

/// The bytes of a photo file, for those who keep them as they are: a study does.
///
/// # Errors
/// When the file cannot be read or is larger than [`MAX_FILE_BYTES`].
pub fn read(path: &Path) -> Result<Vec<u8>, PhotoError> {
    let name = path.display().to_string();
    let refused = |source| PhotoError::Read { name: name.clone(), source };
    let length = std::fs::metadata(path).map_err(refused)?.len();
    if length > MAX_FILE_BYTES {
        return Err(PhotoError::TooLarge { name, size: format!("a file of {length} bytes") });
    }
    std::fs::read(path).map_err(refused)
}

impl Photo {
    /// Opens a photo file. Its kind is told by its content, never by its name.
    pub fn open(path: impl AsRef<Path>) -> Result<Self, PhotoError> {
        let path = path.as_ref();
        Self::from_bytes(&read(path)?, &path.display().to_string())
    }

    /// Opens a photo from the bytes of its file; `name` is used in messages.
    pub fn from_bytes(bytes: &[u8], name: &str) -> Result<Self, PhotoError> {
        let decoded = match Kind::of(bytes) {
            Kind::Jpeg => jpeg::decode(bytes, name)?,
            Kind::Png => {
                // First, because a decoder's word for a bad chunk is less clear than ours.
                let described = png_colour(bytes, name)?;
                let mut decoded = decode(PngDecoder::with_limits(Cursor::new(bytes), limits()), name)?;
                if let Some(described) = described {
                    decoded.described = described;
                }
                decoded
            }
            Kind::WebP => decode(WebPDecoder::new(Cursor::new(bytes)), name)?,
            Kind::Tiff => decode(TiffDecoder::new(Cursor::new(bytes)), name)?,
            Kind::Other(_) if bytes.is_empty() => return Err(PhotoError::Empty { name: name.to_owned() }),
            Kind::Other(what) => return Err(PhotoError::NotAPhoto { name: name.to_owned(), what }),
        };
        let max_sample = match decoded.samples {
            Samples::Eight(_) => u16::from(u8::MAX),
            Samples::Sixteen(_) => u16::MAX,
        };
        let [red, green, _] = decoded.channels.colour;
        let conversion = Conversion::new(&decoded.described, red == green, max_sample)
            .map_err(|reason| PhotoError::Profile { name: name.to_owned(), reason })?;
        Ok(Photo {
            name: name.to_owned(),
            samples: decoded.samples,
            channels: decoded.channels,
            conversion,
            upright: Upright::new(decoded.orientation, decoded.width_px, decoded.height_px),
        })
    }

    /// The name it was opened under.
    pub fn name(&self) -> &str {
        &self.name
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

    /// The photo under these adjustments. Costs nothing; work is done where the view is asked.
    pub fn view(&self, adjustments: Adjustments) -> View<'_> {
        View::new(self, adjustments)
    }

    /// Linear components in the photo's own primaries, and alpha, of the upright pixels (x, y), (x + 1, y), ... All
    /// must lie inside the photo.
    pub(super) fn row(&self, x: u32, y: u32, out: &mut [[f32; 4]]) {
        let (first, step) = (self.upright.index(x, y), self.upright.step_x);
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

enum Kind {
    Jpeg,
    Png,
    WebP,
    Tiff,
    Other(&'static str),
}

impl Kind {
    /// By the first bytes: ITU-T T.81 B.1.1.3; PNG 5.2; RFC 9649; TIFF 6.0 section 2. The names of the others are for
    /// the message only.
    fn of(bytes: &[u8]) -> Kind {
        match bytes {
            [0xFF, 0xD8, 0xFF, ..] => Kind::Jpeg,
            [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1A, b'\n', ..] => Kind::Png,
            [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Kind::WebP,
            [b'I', b'I', 42 | 43, 0, ..] | [b'M', b'M', 0, 42 | 43, ..] => Kind::Tiff,
            [b'G', b'I', b'F', b'8', ..] => Kind::Other("a GIF"),
            [b'B', b'M', _, _, _, _, 0, 0, 0, 0, ..] => Kind::Other("a BMP"),
            [_, _, _, _, b'f', b't', b'y', b'p', b'a', b'v', b'i', b'f', ..] => Kind::Other("an AVIF"),
            [_, _, _, _, b'f', b't', b'y', b'p', b'h' | b'm', b'e' | b'i', ..] => Kind::Other("a HEIF (HEIC) photo"),
            _ => Kind::Other("something else"),
        }
    }
}

/// Refuses sizes that are out of bounds, before anything is allocated for them.
pub(super) fn check_size(name: &str, width_px: u32, height_px: u32) -> Result<(), PhotoError> {
    let fits =
        width_px <= MAX_SIDE_PX && height_px <= MAX_SIDE_PX && u64::from(width_px) * u64::from(height_px) <= MAX_PIXELS;
    if width_px == 0 || height_px == 0 {
        Err(PhotoError::Damaged { name: name.to_owned(), reason: "it has no pixels".into() })
    } else if fits {
        Ok(())
    } else {
        Err(PhotoError::TooLarge { name: name.to_owned(), size: format!("{width_px} x {height_px} pixels") })
    }
}

/// Bounds for the decoders' own buffers; the samples are bounded by [`check_size`].
fn limits() -> Limits {
    let mut limits = Limits::no_limits();
    limits.max_alloc = Some(MAX_PIXELS * 8);
    limits
}

/// Decodes by one of the decoders of crate `image`. Going through the decoder skips that crate's own size limits, hence
/// the check here.
fn decode<D: ImageDecoder>(decoder: Result<D, ImageError>, name: &str) -> Result<Decoded, PhotoError> {
    let failed = |error| failure(error, name);
    let mut decoder = decoder.map_err(failed)?;
    let (width_px, height_px) = decoder.dimensions();
    check_size(name, width_px, height_px)?;
    decoder.set_limits(limits()).map_err(failed)?;
    let (channels, sixteen) = match decoder.color_type() {
        ColorType::L8 => (CHANNELS_GREY, false),
        ColorType::La8 => (CHANNELS_GREY_ALPHA, false),
        ColorType::Rgb8 => (CHANNELS_RGB, false),
        ColorType::Rgba8 => (CHANNELS_RGBA, false),
        ColorType::L16 => (CHANNELS_GREY, true),
        ColorType::La16 => (CHANNELS_GREY_ALPHA, true),
        ColorType::Rgb16 => (CHANNELS_RGB, true),
        ColorType::Rgba16 => (CHANNELS_RGBA, true),
        other => {
            return Err(PhotoError::Unsupported { name: name.to_owned(), what: format!("samples of kind {other:?}") });
        }
    };
    let described = decoder.icc_profile().map_err(failed)?.map_or(Described::Srgb, Described::Icc);
    let orientation = decoder.orientation().map_err(failed)?;
    let count = width_px as usize * height_px as usize * channels.count;
    let mut bytes = vec![0; if sixteen { 2 * count } else { count }];
    decoder.read_image(&mut bytes).map_err(failed)?;
    let samples = if sixteen {
        Samples::Sixteen(bytes.chunks_exact(2).map(|b| u16::from_ne_bytes([b[0], b[1]])).collect())
    } else {
        Samples::Eight(bytes)
    };
    Ok(Decoded { width_px, height_px, channels, samples, orientation, described })
}

fn failure(error: ImageError, name: &str) -> PhotoError {
    let name = name.to_owned();
    match error {
        ImageError::IoError(e) if e.kind() == std::io::ErrorKind::UnexpectedEof => PhotoError::CutShort { name },
        ImageError::Limits(_) => PhotoError::TooLarge { name, size: "more memory than allowed".into() },
        ImageError::Unsupported(e) => PhotoError::Unsupported { name, what: e.to_string() },
        other => PhotoError::Damaged { name, reason: other.to_string() },
    }
}

/// The colour space of a `cICP` chunk, if there is one before the image data: it comes before every other description
/// (PNG third edition, 4.3 and 11.3.2.6). Crate `image` does not hand it on. Code points: ITU-T H.273.
fn png_colour(bytes: &[u8], name: &str) -> Result<Option<Described>, PhotoError> {
    let mut rest = bytes.get(8..).unwrap_or_default();
    while let [l0, l1, l2, l3, t0, t1, t2, t3, data @ ..] = rest {
        let length = u32::from_be_bytes([*l0, *l1, *l2, *l3]) as usize;
        match [*t0, *t1, *t2, *t3].as_slice() {
            b"cICP" => {
                return match data.get(..length) {
                    Some([1, 13, 0, 1]) => Ok(Some(Described::Srgb)),
                    Some([12, 13, 0, 1]) => Ok(Some(Described::DisplayP3)),
                    other => {
                        let reason = format!("its cICP code points are {other:?}, neither sRGB nor Display P3");
                        Err(PhotoError::Profile { name: name.to_owned(), reason })
                    }
                };
            }
            b"IDAT" => break,
            _ => rest = data.get(length.saturating_add(4)..).unwrap_or_default(),
        }
    }
    Ok(None)
}

#[cfg(test)]
#[path = "open_tests.rs"]
pub(super) mod tests;
