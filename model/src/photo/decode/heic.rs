//! HEIC: what phones write. 8 to 12 bits, one picture or a grid of tiles.
//!
//! The container's own turn and mirror are carried out by the decoder, so the orientation that EXIF tells as well is not
//! applied (ISO/IEC 23008-12, A.2: it is for information only). Of a burst the main picture is read.

use super::is_copy_of;
use crate::photo::bounds::{MAX_PIXELS, MAX_PROFILE_BYTES, check_memory, check_size};
use crate::photo::error::PhotoError;
use crate::photo::kind::EXPORT_IT;
use crate::photo::raster::{
    CHANNELS_RGBA, Channels, Decoded, Described, HighDynamicRange, Samples, from_code_points, make_alpha_straight,
};
use heifer::color::{ColorParams, frame_to_rgba_sized};
use heifer::heifer_hevc_dec::decoder::{DecodeOptions, decode_picture};
use heifer::heifer_hevc_dec::nal::NalUnit;
use heifer::heifer_hevc_dec::params::ParameterSets;
use heifer::heifer_isobmff::boxes::{ColorInfo, Property};
use heifer::heifer_isobmff::{HeifFile, ItemId};
use heifer::{Error, Image, Options};
use image::metadata::Orientation;

/// The most that decoding holds in bytes a pixel, for 8 bits: the planes of one coded picture (two bytes a sample), the
/// result, and its copy while it is turned.
const EIGHT_BITS_PER_PIXEL: f64 = 12.0;
/// The same for more bits.
const MORE_BITS_PER_PIXEL: f64 = 20.0;

/// Most pixels of a small copy that is looked at; phones write 320 x 240.
const MAX_THUMBNAIL_PX: u64 = 1 << 20;

/// What is known of the main picture before it is decoded.
struct Main {
    id: ItemId,
    width_px: u32,
    height_px: u32,
    eight: bool,
    described: Described,
}

/// Looks at the main picture: whether it is of a kind that is read, and not too large.
fn main_of(file: &HeifFile<'_>, bytes: &[u8], name: &str) -> Result<Main, PhotoError> {
    let broken = || PhotoError::damaged(name, "its container does not hold");
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
    let described = colours(file, id, first_coded).map_err(|HighDynamicRange(curve)| {
        PhotoError::unread(name, format!("an HDR photo ({curve})"), "export it with ordinary brightness (SDR)")
    })?;
    Ok(Main { id, width_px, height_px, eight, described })
}

/// The largest small copy that the file holds, upright.
pub(super) fn coarse(bytes: &[u8], name: &str) -> Option<Decoded> {
    let file = HeifFile::parse(bytes).ok()?;
    let main = main_of(&file, bytes, name).ok()?;
    let area = |id| file.image_size(id).ok().flatten().map_or(0, |(w, h)| u64::from(w) * u64::from(h));
    let copies = file.referencing_items(main.id, b"thmb").into_iter();
    let id = copies.filter(|&id| (1..=MAX_THUMBNAIL_PX).contains(&area(id))).max_by_key(|&id| area(id))?;
    let limits = DecodeOptions { max_pixels: MAX_THUMBNAIL_PX, ..DecodeOptions::default() };
    let frame = decode_picture(&file.hevc_bitstream(id).ok()?, limits).ok()?;
    let (width_px, height_px) = file.image_size(id).ok()??;
    let said = file.item_properties(id).ok()?.find_map(|p| match p {
        Property::Color(ColorInfo::Nclx { matrix, full_range, .. }) => {
            Some(ColorParams { matrix: *matrix, full_range: *full_range })
        }
        _ => None,
    });
    let params = said.unwrap_or_else(|| ColorParams::from_frame(&frame));
    let image = turned(&file, id, frame_to_rgba_sized(&frame, params, width_px, height_px))?;
    // A copy that lies otherwise than the main picture says nothing of how it is turned.
    let lies = if is_turned_aside(&file, main.id)? {
        [main.height_px, main.width_px]
    } else {
        [main.width_px, main.height_px]
    };
    // Where it names no colours of its own, they are those of the photo.
    let described = match colours(&file, id, id).ok()? {
        Described::Srgb => main.described,
        own => own,
    };
    is_copy_of([image.width, image.height], lies).then_some(Decoded {
        width_px: image.width,
        height_px: image.height,
        channels: Channels { alpha: None, ..CHANNELS_RGBA },
        samples: Samples::Eight(image.data),
        max_sample: u16::from(u8::MAX),
        orientation: Orientation::NoTransforms,
        described,
    })
}

/// Whether what was coded as the width of a picture is shown as its height.
fn is_turned_aside(file: &HeifFile<'_>, id: ItemId) -> Option<bool> {
    let quarters = file.item_properties(id).ok()?.filter(|p| matches!(p, Property::Rotation(1 | 3)));
    Some(quarters.count() % 2 == 1)
}

/// A picture as the container says it is to be shown.
fn turned(file: &HeifFile<'_>, id: ItemId, picture: Image<u8>) -> Option<Image<u8>> {
    file.item_properties(id).ok()?.try_fold(picture, |picture, property| match property {
        Property::CleanAperture { width, height, horiz_offset, vert_offset } => {
            let (x, across) = clean(*width, *horiz_offset, picture.width)?;
            let (y, down) = clean(*height, *vert_offset, picture.height)?;
            Some(picture.crop(x, y, across, down))
        }
        Property::Rotation(0) => Some(picture),
        Property::Rotation(quarters) => Some(picture.rotate_ccw(*quarters)),
        Property::Mirror(top_bottom) => Some(picture.mirror(*top_bottom)),
        _ => Some(picture),
    })
}

/// Where what is to be shown of a side begins, and how long it is: fractions of a length, and of how far its middle lies off the side's
/// (ISO/IEC 14496-12, clean aperture).
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "it saturates, and a crop is held to the picture"
)]
fn clean(length: (u32, u32), offset: (i32, u32), side: u32) -> Option<(u32, u32)> {
    if length.1 == 0 || offset.1 == 0 {
        return None;
    }
    let length = f64::from(length.0) / f64::from(length.1);
    let middle = f64::from(offset.0) / f64::from(offset.1) + f64::from(side) / 2.0;
    Some(((middle - length / 2.0).round() as u32, length.round() as u32))
}

/// Decodes the main picture.
pub(super) fn decode(bytes: &[u8], name: &str) -> Result<Decoded, PhotoError> {
    let file = HeifFile::parse(bytes).map_err(|_| PhotoError::damaged(name, "its container does not hold"))?;
    let Main { id, width_px, height_px, eight, described } = main_of(&file, bytes, name)?;

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

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::colour::Colour;
    use crate::photo::{Adjustments, Photo};
    use heifer::{EncodeOptions, encode_rgb8};

    #[test]
    fn the_small_copy_in_a_file_shows_the_photo_that_is_coming() {
        let (width, height) = (900_u32, 600_u32);
        let pixels: Vec<u8> = (0..width * height)
            .flat_map(|i| [(i % width * 255 / width) as u8, (i / width * 255 / height) as u8, 120])
            .collect();
        let bytes = encode_rgb8(width, height, &pixels, &EncodeOptions::default()).unwrap();
        let (whole, coarse) = (Photo::from_bytes(&bytes, "a").unwrap(), Photo::coarse(&bytes, "a").unwrap());
        assert_eq!((coarse.width_px(), coarse.height_px()), (320, 213));
        let seen = |photo: &Photo| photo.view(Adjustments::default()).thumbnail(320, Colour::default());
        let ((w, h, fine), (cw, ch, shown)) = (seen(&whole), seen(&coarse));
        assert!((w, h) == (320, 214) && (cw, ch) == (320, 213));
        let off: u32 = shown.iter().flatten().zip(fine.iter().flatten()).map(|(a, b)| u32::from(a.abs_diff(*b))).sum();
        assert!(off < 3 * 3 * 320 * 213, "{off}");
        // Cut short it shows nothing, or what there is.
        for end in (0..bytes.len()).step_by(131) {
            let _ = Photo::coarse(&bytes[..end], "a");
        }
    }
}
