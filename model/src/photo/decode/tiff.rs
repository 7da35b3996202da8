//! TIFF: grey, RGB and CMYK, whole numbers of 1 to 16 bits. Of several pages the first full one.

use crate::photo::bounds::{MAX_PROFILE_BYTES, check_memory, check_size};
use crate::photo::container::exif::ORIENTATION;
use crate::photo::container::tags::{Directory, Tiff};
use crate::photo::error::PhotoError;
use crate::photo::kind::{DEVELOP_IT, EXPORT_IT};
use crate::photo::raster::{
    CHANNELS_CMYK, CHANNELS_GREY, CHANNELS_GREY_ALPHA, CHANNELS_RGB, CHANNELS_RGBA, Channels, Decoded, Described,
    Samples, make_alpha_straight,
};
use bytemuck::{Pod, Zeroable};
use image::metadata::Orientation;
use std::io::{Cursor, ErrorKind};
use tiff::decoder::{Decoder, Limits};
use tiff::{ColorType, TiffError};

/// Tags, by their numbers in TIFF 6.0 and its supplements.
pub(in crate::photo) mod tag {
    /// Bit 0: a smaller copy of another page.
    pub const SUBFILE_TYPE: u16 = 254;
    /// How samples are coded.
    pub const COMPRESSION: u16 = 259;
    /// Places and lengths of strips.
    pub const STRIPS: [u16; 2] = [273, 279];
    /// Places and lengths of tiles.
    pub const TILES: [u16; 2] = [324, 325];
    /// What samples mean.
    pub const PHOTOMETRIC: u16 = 262;
    /// Places of further directories.
    pub const SUB_DIRECTORIES: u16 = 330;
    /// Tables that all parts coded as JPEG share.
    pub const JPEG_TABLES: u16 = 347;
    /// What the samples beside the colours are.
    pub const EXTRA_SAMPLES: u16 = 338;
    /// Whole numbers, signed ones, floating point.
    pub const SAMPLE_FORMAT: u16 = 339;
    /// An ICC profile.
    pub const ICC_PROFILE: u16 = 34675;
    /// The version of a camera's raw file (DNG).
    pub const DNG_VERSION: u16 = 50706;
}

/// Most pages that are looked through for a full one.
const MAX_PAGES: usize = 64;
/// Value of `ExtraSamples` for an alpha that colours were multiplied by.
const ASSOCIATED_ALPHA: u64 = 1;
/// Value of `Compression` for parts that are JPEGs (TIFF technical note 2).
const CODED_AS_JPEG: u64 = 7;
/// Value of `ExtraSamples` for a straight alpha.
const STRAIGHT_ALPHA: u64 = 2;

/// Decodes a TIFF.
pub(super) fn decode(bytes: &[u8], name: &str) -> Result<Decoded, PhotoError> {
    let failed = |error| failure(&error, name);
    let tags = Tiff::new(bytes).ok_or_else(|| PhotoError::damaged(name, "its header does not hold"))?;
    let (page, directory) = full_page(&tags, name)?;
    let number = |tag| directory.number(&tags, tag);
    check_kind(&tags, &directory, name)?;

    let mut limits = Limits::default();
    limits.decoding_buffer_size = usize::MAX;
    let mut decoder = Decoder::new(Cursor::new(bytes)).map_err(failed)?.with_limits(limits);
    decoder.seek_to_image(page).map_err(failed)?;
    let (width_px, height_px) = decoder.dimensions().map_err(failed)?;
    check_size(name, width_px, height_px)?;
    let extra = directory.entry(tag::EXTRA_SAMPLES).map(|e| tags.numbers(e)).unwrap_or_default();
    let has_alpha = matches!(extra.first(), Some(&(ASSOCIATED_ALPHA | STRAIGHT_ALPHA)));
    let (channels, bits) = match decoder.colortype().map_err(failed)? {
        ColorType::Gray(bits) => (CHANNELS_GREY, bits),
        ColorType::Multiband { bit_depth, num_samples: 2 } if has_alpha => (CHANNELS_GREY_ALPHA, bit_depth),
        ColorType::RGB(bits) => (CHANNELS_RGB, bits),
        // A fourth sample that the file does not call alpha is none.
        ColorType::RGBA(bits) => (Channels { alpha: has_alpha.then_some(3), ..CHANNELS_RGBA }, bits),
        ColorType::CMYK(bits) => (CHANNELS_CMYK, bits),
        _ => return Err(PhotoError::unread(name, "a TIFF of an unusual kind of colour", EXPORT_IT)),
    };
    let layout = decoder.image_buffer_layout().map_err(failed)?;
    let planes = layout.planes.max(1);
    let bytes_per_sample = if bits > 8 { 2 } else { 1 };
    // Planes are put together in a second copy.
    let copies = if planes > 1 { 2 } else { 1 };
    let per_pixel = (channels.count * bytes_per_sample * copies) as f64;
    check_memory(name, [width_px, height_px], bytes.len(), per_pixel)?;
    check_jpeg_parts(&tags, &directory, name)?;
    let size = [width_px as usize, height_px as usize];
    let mut samples = match bits {
        8 => Samples::Eight(read(&mut decoder, size, &channels, planes, layout.complete_len, name)?),
        16 => Samples::Sixteen(read(&mut decoder, size, &channels, planes, layout.complete_len, name)?),
        1 | 2 | 4 if channels == CHANNELS_GREY => {
            let mut packed = vec![0; layout.complete_len];
            decoder.read_image_bytes(&mut packed).map_err(failed)?;
            Samples::Eight(unpacked(&packed, size, bits))
        }
        bits => return Err(PhotoError::unread(name, format!("a TIFF of {bits} bits a sample"), EXPORT_IT)),
    };
    let max_sample = if bits == 16 { u16::MAX } else { u16::from(u8::MAX) };
    if extra.first() == Some(&ASSOCIATED_ALPHA) {
        make_alpha_straight(&mut samples, &channels, max_sample);
    }
    let described = match directory.entry(tag::ICC_PROFILE) {
        None => Described::Srgb,
        Some(entry) if entry.values.len() > MAX_PROFILE_BYTES => {
            Described::Unusable("it is larger than any real one".to_owned())
        }
        Some(entry) => Described::Icc(bytes[entry.values.clone()].to_vec()),
    };
    let orientation = number(ORIENTATION).and_then(|n| Orientation::from_exif(u8::try_from(n).ok()?));
    let orientation = orientation.unwrap_or(Orientation::NoTransforms);
    Ok(Decoded { width_px, height_px, channels, samples, max_sample, orientation, described })
}

/// The first page that is not a smaller copy of another one, with its number. Cameras' raw files are TIFFs whose first page is
/// such a copy, and whose real picture is not one that can be looked at.
pub(super) fn full_page(tags: &Tiff<'_>, name: &str) -> Result<(usize, Directory), PhotoError> {
    let broken = || PhotoError::damaged(name, "its list of pages does not hold");
    let mut at = tags.first;
    for page in 0..MAX_PAGES {
        let directory = tags.directory(at).ok_or_else(broken)?;
        let reduced = directory.number(tags, tag::SUBFILE_TYPE).is_some_and(|t| t & 1 == 1);
        let raw =
            directory.entry(tag::DNG_VERSION).is_some() || (reduced && directory.entry(tag::SUB_DIRECTORIES).is_some());
        if raw {
            return Err(PhotoError::unread(name, "a camera's raw file", DEVELOP_IT));
        }
        if !reduced {
            return Ok((page, directory));
        }
        at = directory.next;
        if at == 0 {
            break;
        }
    }
    Err(PhotoError::unread(name, "a TIFF that holds only a reduced copy of its picture", EXPORT_IT))
}

/// Refuses the sound kinds of TIFF that are not read, by name.
fn check_kind(tags: &Tiff<'_>, directory: &Directory, name: &str) -> Result<(), PhotoError> {
    let number = |tag| directory.number(tags, tag);
    let what = match (number(tag::PHOTOMETRIC), number(tag::SAMPLE_FORMAT)) {
        (Some(3), _) => "a TIFF with a palette",
        (Some(4), _) => "a TIFF that is a mask",
        (Some(6), _) => "a TIFF in YCbCr",
        (Some(8..=10), _) => "a TIFF in Lab",
        (Some(32803 | 34892), _) => return Err(PhotoError::unread(name, "a camera's raw file", DEVELOP_IT)),
        (Some(32844 | 32845), _) => "a TIFF in LogLuv",
        (_, Some(3)) => "a TIFF in floating point",
        (_, Some(2 | 5 | 6)) => "a TIFF of signed numbers",
        _ => return Ok(()),
    };
    Err(PhotoError::unread(name, what, "export it as RGB with 8 or 16 bits a channel"))
}

/// Refuses a TIFF whose strips or tiles are coded as JPEG when one of them is damaged: the decoder of TIFF would fill it up.
fn check_jpeg_parts(tags: &Tiff<'_>, directory: &Directory, name: &str) -> Result<(), PhotoError> {
    if directory.number(tags, tag::COMPRESSION) != Some(CODED_AS_JPEG) {
        return Ok(());
    }
    let tables = directory.entry(tag::JPEG_TABLES).map_or(&[][..], |e| &tags.bytes[e.values.clone()]);
    // Without their end marker, so that a part can follow behind its own start marker.
    let tables = tables.strip_suffix(&[0xFF, 0xD9]).unwrap_or(tables);
    for [places, lengths] in [tag::STRIPS, tag::TILES] {
        let numbers = |tag| directory.entry(tag).map(|e| tags.numbers(e)).unwrap_or_default();
        for (place, length) in numbers(places).into_iter().zip(numbers(lengths)) {
            let part = usize::try_from(place).ok().zip(usize::try_from(length).ok());
            let part = part.and_then(|(place, length)| tags.bytes.get(place..place.checked_add(length)?));
            let part = part.ok_or_else(|| PhotoError::cut_short(name))?;
            let whole =
                if tables.is_empty() { part.to_vec() } else { [tables, part.get(2..).unwrap_or_default()].concat() };
            if !super::jpeg::decodes_strictly(&whole) {
                return Err(PhotoError::damaged(name, "part of its picture data cannot be what was written"));
            }
        }
    }
    Ok(())
}

/// All samples, interleaved.
fn read<S: Pod + Zeroable>(
    decoder: &mut Decoder<Cursor<&[u8]>>,
    [width, height]: [usize; 2],
    channels: &Channels,
    planes: usize,
    complete_bytes: usize,
    name: &str,
) -> Result<Vec<S>, PhotoError> {
    let pixels = width * height;
    let count = pixels * channels.count;
    // A decoder that sees the picture otherwise than this would put samples where they do not belong.
    if (planes > 1 && planes < channels.count) || (planes == 1 && complete_bytes != count * size_of::<S>()) {
        return Err(PhotoError::unread(name, "a TIFF of an unusual kind", EXPORT_IT));
    }
    let mut samples = vec![S::zeroed(); complete_bytes / size_of::<S>()];
    decoder.read_image_bytes(bytemuck::cast_slice_mut(&mut samples)).map_err(|error| failure(&error, name))?;
    if planes == 1 {
        return Ok(samples);
    }
    let plane = samples.len() / planes;
    if plane != pixels {
        return Err(PhotoError::unread(name, "a TIFF of an unusual kind", EXPORT_IT));
    }
    let mut interleaved = vec![S::zeroed(); count];
    for (i, pixel) in interleaved.chunks_exact_mut(channels.count).enumerate() {
        for (place, sample) in pixel.iter_mut().enumerate() {
            *sample = samples[place * plane + i];
        }
    }
    Ok(interleaved)
}

/// Grey samples of 1, 2 or 4 bits as 8 bits; each row begins with a byte of its own.
#[expect(clippy::cast_possible_truncation, reason = "a sample scaled to a byte")]
fn unpacked(packed: &[u8], [width, height]: [usize; 2], bits: u8) -> Vec<u8> {
    let bits = usize::from(bits);
    let row_bytes = (width * bits).div_ceil(8);
    let most = (1u16 << bits) - 1;
    let mut samples = Vec::with_capacity(width * height);
    for row in packed.chunks_exact(row_bytes).take(height) {
        samples.extend((0..width).map(|x| {
            let shift = 8 - bits - x * bits % 8;
            let value = u16::from(row[x * bits / 8] >> shift) & most;
            (value * 255 / most) as u8
        }));
    }
    samples.resize(width * height, 0);
    samples
}

fn failure(error: &TiffError, name: &str) -> PhotoError {
    match error {
        TiffError::IoError(e) if e.kind() == ErrorKind::UnexpectedEof => PhotoError::cut_short(name),
        TiffError::UnsupportedError(_) => PhotoError::unread(name, "a TIFF of an unusual kind", EXPORT_IT),
        TiffError::LimitsExceeded | TiffError::IntSizeError => {
            PhotoError::too_large(name, "more to decode than is allowed".to_owned(), EXPORT_IT)
        }
        _ => PhotoError::damaged(name, "its picture data or its tags do not hold"),
    }
}
