//! HEIC: what phones write. 8 to 12 bits, one picture or a grid of tiles.
//!
//! The container's own turn and mirror are carried out by the decoder, so the orientation that EXIF tells as well is not
//! applied (ISO/IEC 23008-12, A.2: it is for information only). Of a burst the main picture is read.

use crate::photo::bounds::{MAX_PIXELS, MAX_PROFILE_BYTES, check_memory, check_size};
use crate::photo::error::PhotoError;
use crate::photo::kind::EXPORT_IT;
use crate::photo::raster::{
    CHANNELS_RGBA, Channels, Decoded, Described, HighDynamicRange, Samples, from_code_points, make_alpha_straight,
};
use heifer::heifer_hevc_dec::nal::NalUnit;
use heifer::heifer_hevc_dec::params::ParameterSets;
use heifer::heifer_isobmff::boxes::{ColorInfo, Property};
use heifer::heifer_isobmff::{HeifFile, ItemId};
use heifer::{Error, Options};
use image::metadata::Orientation;

/// The most that decoding holds in bytes a pixel, for 8 bits: the planes of one coded picture (two bytes a sample), the
/// result, and its copy while it is turned.
const EIGHT_BITS_PER_PIXEL: f64 = 12.0;
/// The same for more bits.
const MORE_BITS_PER_PIXEL: f64 = 20.0;

/// Decodes the main picture.
pub(super) fn decode(bytes: &[u8], name: &str) -> Result<Decoded, PhotoError> {
    let broken = || PhotoError::damaged(name, "its container does not hold");
    let file = HeifFile::parse(bytes).map_err(|_| broken())?;
    let id = file.primary_id;
    let kind = file.primary_item().map_err(|_| broken())?.item_type.0;
    let first_coded = match &kind {
        b"hvc1" => id,
        b"grid" => *file.referenced_items(id, b"dimg").first().ok_or_else(broken)?,
        b"av01" => return Err(PhotoError::unread(name, "an AVIF photo", EXPORT_IT)),
        b"iovl" => return Err(PhotoError::unread(name, "a HEIF picture of several layers", EXPORT_IT)),
        _ => return Err(PhotoError::unread(name, "a HEIF picture of another coding than HEVC", EXPORT_IT)),
    };
    let (width_px, height_px) = if kind == *b"grid" {
        let grid = file.grid(id).map_err(|_| broken())?;
        (grid.output_width, grid.output_height)
    } else {
        file.image_size(id).ok().flatten().ok_or_else(broken)?
    };
    check_size(name, width_px, height_px)?;
    let config = file.hevc_config(first_coded).ok().flatten().ok_or_else(broken)?;
    let eight = config.bit_depth_luma <= 8 && config.bit_depth_chroma <= 8;
    let per_pixel = if eight { EIGHT_BITS_PER_PIXEL } else { MORE_BITS_PER_PIXEL };
    check_memory(name, [width_px, height_px], bytes.len(), per_pixel)?;
    let described = colours(&file, id, first_coded).map_err(|HighDynamicRange(curve)| {
        PhotoError::unread(name, format!("an HDR photo ({curve})"), "export it with ordinary brightness (SDR)")
    })?;

    // A coded picture can be larger than the container says, so the decoder is bounded too.
    let said = u64::from(width_px) * u64::from(height_px);
    let options = Options { max_threads: 0, max_pixels: (said * 2 + (1 << 20)).min(MAX_PIXELS) };
    let failed = |error| failure(&error, name);
    let (size, has_alpha, bits, mut samples) = if eight {
        let image = heifer::decode_rgba8(bytes, &options).map_err(failed)?;
        ([image.width, image.height], image.has_alpha, image.bit_depth, Samples::Eight(image.data))
    } else {
        let image = heifer::decode_with_options(bytes, &options).map_err(failed)?;
        ([image.width, image.height], image.has_alpha, image.bit_depth, Samples::Sixteen(image.data))
    };
    check_size(name, size[0], size[1])?;
    let channels = Channels { alpha: has_alpha.then_some(3), ..CHANNELS_RGBA };
    let max_sample = u16::MAX >> 16u8.saturating_sub(bits).min(15);
    if !file.referenced_items(id, b"prem").is_empty() {
        make_alpha_straight(&mut samples, &channels, max_sample);
    }
    Ok(Decoded {
        width_px: size[0],
        height_px: size[1],
        channels,
        samples,
        max_sample,
        orientation: Orientation::NoTransforms,
        described,
    })
}

/// The colour space: an embedded profile, else the code points of the container, else those of the coded stream. A grid may
/// have them at its first tile only.
fn colours(file: &HeifFile<'_>, id: ItemId, first_coded: ItemId) -> Result<Described, HighDynamicRange> {
    // Code points of high dynamic range count beside a profile too.
    let points = points_of_item(file, id)
        .or_else(|| points_of_item(file, first_coded))
        .or_else(|| points_of_stream(file, first_coded))
        .map_or(Ok(Described::Srgb), |[primaries, curve]| from_code_points(primaries, curve))?;
    Ok(match file.icc_profile(id) {
        Ok(Some(profile)) if profile.len() > MAX_PROFILE_BYTES => {
            Described::Unusable("it is larger than any real one".to_owned())
        }
        Ok(Some(profile)) => Described::Icc(profile.to_vec()),
        _ => points,
    })
}

fn points_of_item(file: &HeifFile<'_>, id: ItemId) -> Option<[u16; 2]> {
    file.item_properties(id).ok()?.find_map(|p| match p {
        Property::Color(ColorInfo::Nclx { primaries, transfer, .. }) => Some([*primaries, *transfer]),
        _ => None,
    })
}

fn points_of_stream(file: &HeifFile<'_>, id: ItemId) -> Option<[u16; 2]> {
    let mut sets = ParameterSets::default();
    for unit in &file.hevc_config(id).ok()??.nal_units {
        sets.add(&NalUnit::parse(unit).ok()?).ok()?;
    }
    let vui = sets.sps.iter().flatten().find_map(|s| s.vui.as_ref())?;
    Some([u16::from(vui.colour_primaries), u16::from(vui.transfer_characteristics)])
}

fn failure(error: &Error, name: &str) -> PhotoError {
    match error {
        Error::Unsupported(_) => PhotoError::unread(name, "a HEIC photo of an unusual kind", EXPORT_IT),
        _ => PhotoError::damaged(name, "its picture data do not hold"),
    }
}
