//! JPEG XL: of an animation the first picture. Its orientation is in the coded picture and carried out by the decoder.

use crate::colour::rgb_space::{D65_XY, DISPLAY_P3_PRIMARIES, SRGB_PRIMARIES};
use crate::photo::bounds::{MAX_SIDE_PX, check_memory, check_size};
use crate::photo::error::PhotoError;
use crate::photo::kind::EXPORT_IT;
use crate::photo::raster::{
    BT2020_PRIMARIES, CHANNELS_GREY, CHANNELS_GREY_ALPHA, CHANNELS_RGB, CHANNELS_RGBA, Curve, Decoded, Described,
    HighDynamicRange, Samples,
};
use image::metadata::Orientation;
use jxl::api::{
    AlphaMode, Endianness, Event, ExtraChannel, JxlBasicInfo, JxlColorEncoding, JxlColorProfile, JxlColorType,
    JxlDataFormat, JxlDecoder, JxlDecoderOptions, JxlOutputBuffer, JxlParallelRunner, JxlParallelRunnerFun,
    JxlPixelFormat, JxlPrimaries, JxlTransferFunction, JxlWhitePoint, ProfileLevel,
};
use rayon::prelude::*;

/// What the decoder holds at most beside the samples, in bytes a pixel: a frame of floating point channels.
const DECODER_BYTES_PER_PIXEL: f64 = 16.0;

/// Decodes a JPEG XL.
pub(super) fn decode(bytes: &[u8], name: &str) -> Result<Decoded, PhotoError> {
    let damaged = || PhotoError::damaged(name, "its picture data do not hold");
    let mut options = JxlDecoderOptions::default();
    options.alpha_mode = AlphaMode::Unpremultiplied;
    options.max_profile_level = ProfileLevel::Main10;
    let mut decoder = JxlDecoder::new(options);
    let mut input = bytes;
    let mut next = |decoder: &mut JxlDecoder, buffers: Option<&mut [JxlOutputBuffer<'_>]>| match decoder.process(
        &mut input,
        buffers,
        Some(&mut Threads),
    ) {
        Ok(Event::NeedMoreInput { .. }) => Err(PhotoError::cut_short(name)),
        Ok(event) => Ok(event),
        Err(_) => Err(damaged()),
    };
    while !matches!(next(&mut decoder, None)?, Event::BasicInfo) {}
    let info = decoder.basic_info().ok_or_else(damaged)?.clone();
    let too_wide = |_| {
        let advice = format!("make a copy of at most {MAX_SIDE_PX} pixels a side");
        PhotoError::too_large(name, format!("{} x {} pixels", info.size.0, info.size.1), advice)
    };
    let (width_px, height_px) =
        (u32::try_from(info.size.0).map_err(too_wide)?, u32::try_from(info.size.1).map_err(too_wide)?);
    check_size(name, width_px, height_px)?;

    let (channels, color_type) = channels(&decoder, &info, name)?;
    let sixteen = info.bit_depth.bits_per_sample() > 8;
    let data_format = if sixteen {
        JxlDataFormat::U16 { endianness: Endianness::native(), bit_depth: 16 }
    } else {
        JxlDataFormat::U8 { bit_depth: 8 }
    };
    let row_bytes = (width_px as usize * channels.count) << usize::from(sixteen);
    let per_pixel = (channels.count << usize::from(sixteen)) as f64 + DECODER_BYTES_PER_PIXEL;
    check_memory(name, [width_px, height_px], bytes.len(), per_pixel)?;
    let format = JxlPixelFormat {
        color_type,
        color_data_format: Some(data_format),
        extra_channel_format: vec![None; info.extra_channels.len()],
    };
    decoder.set_pixel_format(format).map_err(|_| damaged())?;
    let described =
        decoder.output_color_profile().map_or(Ok(Described::Srgb), colours).map_err(|HighDynamicRange(curve)| {
            PhotoError::unread(name, format!("an HDR photo ({curve})"), "export it with ordinary brightness (SDR)")
        })?;

    while !matches!(next(&mut decoder, None)?, Event::FrameHeader) {}
    let count = width_px as usize * height_px as usize * channels.count;
    let (mut eight, mut sixteens) =
        if sixteen { (Vec::new(), vec![0u16; count]) } else { (vec![0u8; count], Vec::new()) };
    let target = if sixteen { bytemuck::cast_slice_mut(&mut sixteens) } else { eight.as_mut_slice() };
    let mut buffers = [JxlOutputBuffer::new(target, height_px as usize, row_bytes)];
    while !matches!(next(&mut decoder, Some(&mut buffers))?, Event::FrameComplete { .. }) {}
    Ok(Decoded {
        width_px,
        height_px,
        channels,
        samples: if sixteen { Samples::Sixteen(sixteens) } else { Samples::Eight(eight) },
        max_sample: if sixteen { u16::MAX } else { u16::from(u8::MAX) },
        orientation: Orientation::NoTransforms,
        described,
    })
}

/// Layout of a pixel, from what the picture holds.
fn channels(
    decoder: &JxlDecoder,
    info: &JxlBasicInfo,
    name: &str,
) -> Result<(crate::photo::raster::Channels, JxlColorType), PhotoError> {
    let holds = |wanted: fn(&ExtraChannel) -> bool| info.extra_channels.iter().any(|c| wanted(&c.ec_type));
    if holds(|c| matches!(c, ExtraChannel::Black)) {
        return Err(PhotoError::unread(name, "a JPEG XL made for print (CMYK)", EXPORT_IT));
    }
    let grey = decoder.current_pixel_format().is_some_and(|f| f.color_type.is_grayscale());
    let alpha = holds(|c| matches!(c, ExtraChannel::Alpha));
    Ok(match (grey, alpha) {
        (true, false) => (CHANNELS_GREY, JxlColorType::Grayscale),
        (true, true) => (CHANNELS_GREY_ALPHA, JxlColorType::GrayscaleAlpha),
        (false, false) => (CHANNELS_RGB, JxlColorType::Rgb),
        (false, true) => (CHANNELS_RGBA, JxlColorType::Rgba),
    })
}

/// The colour space that the decoder hands samples over in.
fn colours(profile: &JxlColorProfile) -> Result<Described, HighDynamicRange> {
    let encoding = match profile {
        JxlColorProfile::Icc(profile) => return Ok(Described::Icc(profile.clone())),
        JxlColorProfile::Simple(encoding) => encoding,
    };
    let (white_point, primaries, curve) = match encoding {
        JxlColorEncoding::RgbColorSpace { white_point, primaries, transfer_function, .. } => {
            (white_point, Some(primaries), transfer_function)
        }
        JxlColorEncoding::GrayscaleColorSpace { white_point, transfer_function, .. } => {
            (white_point, None, transfer_function)
        }
        JxlColorEncoding::XYB { .. } => return Ok(Described::Unusable("it names a space of coding only".to_owned())),
    };
    let curve = match curve {
        JxlTransferFunction::PQ => return Err(HighDynamicRange("PQ")),
        JxlTransferFunction::HLG => return Err(HighDynamicRange("HLG")),
        JxlTransferFunction::SRGB | JxlTransferFunction::BT709 => Curve::Srgb,
        JxlTransferFunction::Linear => Curve::Power(1.0),
        JxlTransferFunction::DCI => Curve::Power(2.6),
        JxlTransferFunction::Gamma(gamma) => Curve::Power(1.0 / f64::from(*gamma)),
    };
    let pair = |(x, y): (f32, f32)| [f64::from(x), f64::from(y)];
    // The published numbers, where the codec names a space; its own are rounded to single precision.
    let white = if *white_point == JxlWhitePoint::D65 { D65_XY } else { pair(white_point.to_xy_coords()) };
    let primaries = match primaries {
        None | Some(JxlPrimaries::SRGB) => SRGB_PRIMARIES,
        Some(JxlPrimaries::P3) => DISPLAY_P3_PRIMARIES,
        Some(JxlPrimaries::BT2100) => BT2020_PRIMARIES,
        Some(other) => other.to_xy_coords().map(pair),
    };
    if white == D65_XY && primaries == SRGB_PRIMARIES && curve == Curve::Srgb {
        return Ok(Described::Srgb);
    }
    Ok(Described::Numbers { primaries, white, curve })
}

/// Runs the decoder's parts on the threads that the program has already.
struct Threads;

impl JxlParallelRunner for Threads {
    fn run(&mut self, parts: usize, part: &JxlParallelRunnerFun<'_>) -> jxl::error::Result<()> {
        (0..parts).into_par_iter().try_for_each(part)
    }

    fn num_threads(&self) -> usize {
        rayon::current_num_threads()
    }
}
