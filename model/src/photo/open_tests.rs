#![allow(clippy::unwrap_used)]

use super::*;
use crate::photo::Adjustments;
use crate::photo::raster::{CHANNELS_RGB, CHANNELS_RGBA};
use crate::photo::view::View;
use image::metadata::Orientation;
use image::{ExtendedColorType, ImageEncoder};
use std::io::Cursor;

/// An sRGB photo of these samples.
pub(crate) fn photo_of(width_px: u32, rgb: &[u8]) -> Photo {
    photo_from(width_px, CHANNELS_RGB, rgb)
}

/// An sRGB photo with straight alpha.
pub(in crate::photo) fn photo_with_alpha(width_px: u32, rgba: &[u8]) -> Photo {
    photo_from(width_px, CHANNELS_RGBA, rgba)
}

fn photo_from(width_px: u32, channels: Channels, samples: &[u8]) -> Photo {
    let height_px = samples.len() as u32 / channels.count as u32 / width_px;
    Photo {
        name: "test".into(),
        samples: Samples::Eight(samples.to_vec()),
        channels,
        conversion: Conversion::new(&Described::Srgb, &channels, 255).unwrap(),
        upright: Upright::new(Orientation::NoTransforms, width_px, height_px),
        warnings: Vec::new(),
    }
}

fn png(chunk: Option<(&[u8; 4], &[u8])>) -> Vec<u8> {
    let mut bytes = Vec::new();
    {
        let mut encoder = png::Encoder::new(&mut bytes, 1, 1);
        encoder.set_color(png::ColorType::Rgb);
        let mut writer = encoder.write_header().unwrap();
        if let Some((kind, data)) = chunk {
            writer.write_chunk(png::chunk::ChunkType(*kind), data).unwrap();
        }
        writer.write_image_data(&[255, 0, 0]).unwrap();
    }
    bytes
}

#[test]
fn photos_can_cross_threads() {
    fn check<T: Send + Sync>() {}
    check::<Photo>();
    check::<View<'_>>();
}

#[test]
fn cicp_is_honoured_or_refused() {
    let red = |bytes: &[u8]| Photo::from_bytes(bytes, "a.png").map(|p| p.view(Adjustments::default()).colour(0, 0));
    let plain = red(&png(None)).unwrap();
    assert!((plain.r - 1.0).abs() < 1e-5 && plain.g.abs() < 1e-5 && plain.b.abs() < 1e-5, "{plain:?}");
    assert_eq!(red(&png(Some((b"cICP", &[1, 13, 0, 1])))).unwrap(), plain);
    let p3 = red(&png(Some((b"cICP", &[12, 13, 0, 1])))).unwrap();
    assert!(p3.r > 1.2 && p3.g < -0.03, "{p3:?}");
    for (high, curve) in [([9, 16, 0, 1], "PQ"), ([9, 18, 0, 1], "HLG")] {
        let error = red(&png(Some((b"cICP", &high)))).unwrap_err().to_string();
        assert!(error.contains("a.png") && error.contains(curve) && error.contains("; export"), "{error}");
    }
    // Not RGB, or cut short: against the specification. Refused like other broken chunks, or told.
    let broken: [&[u8]; 2] = [&[12, 13, 6, 1], &[1, 13]];
    for broken in broken {
        match Photo::from_bytes(&png(Some((b"cICP", broken))), "a.png") {
            Ok(photo) => assert_eq!(photo.warnings().len(), 1),
            Err(error) => assert!(matches!(error, PhotoError::Damaged { .. } | PhotoError::CutShort { .. }), "{error}"),
        }
    }
    for odd in [[12, 13, 0, 0], [77, 13, 0, 1]] {
        let photo = Photo::from_bytes(&png(Some((b"cICP", &odd))), "a.png").unwrap();
        assert_eq!(photo.view(Adjustments::default()).colour(0, 0), plain);
        let [warning] = photo.warnings() else { panic!("{:?}", photo.warnings()) };
        assert!(warning.to_string().contains("a.png") && warning.to_string().contains("read as sRGB"), "{warning}");
    }
}

#[test]
fn webp_and_tiff_are_read() {
    let pixels = [12u8, 34, 56, 200, 100, 50];
    let mut webp = Vec::new();
    image::codecs::webp::WebPEncoder::new_lossless(&mut webp)
        .write_image(&pixels, 2, 1, ExtendedColorType::Rgb8)
        .unwrap();
    let mut tiff = Cursor::new(Vec::new());
    image::codecs::tiff::TiffEncoder::new(&mut tiff).write_image(&pixels, 2, 1, ExtendedColorType::Rgb8).unwrap();
    let expected = photo_of(2, &pixels);
    let expected = expected.view(Adjustments::default());
    for bytes in [webp.as_slice(), tiff.get_ref()] {
        let photo = Photo::from_bytes(bytes, "a").unwrap();
        assert_eq!((photo.width_px(), photo.height_px()), (2, 1));
        assert_eq!(photo.view(Adjustments::default()).colour(1, 0), expected.colour(1, 0));
        // Anything cut off is refused or still whole, and never a panic.
        for cut in 0..bytes.len() {
            if let Ok(photo) = Photo::from_bytes(&bytes[..cut], "a") {
                assert_eq!(photo.view(Adjustments::default()).colour(1, 0), expected.colour(1, 0), "cut at {cut}");
            }
        }
    }
}

#[test]
fn other_files_are_named_for_what_they_are() {
    let avif = b"\0\0\0\x18ftypavif\0\0\0\0avifmif1";
    let message = Photo::from_bytes(avif, "IMG_1.avif").unwrap_err().to_string();
    assert!(message.contains("IMG_1.avif is an AVIF photo") && message.contains("; open it"), "{message}");
    let message = Photo::open("no-such-photo.jpg").unwrap_err().to_string();
    assert!(message.contains("no-such-photo.jpg"), "{message}");
}

/// Found by fuzzing: all rows were there and the rest was not; such a photo could be looked at, and not taken into a study.
#[test]
fn a_png_without_its_end_is_cut_short() {
    let whole = png(None);
    Photo::from_bytes(&whole, "a.png").unwrap();
    let mut damaged = whole[..whole.len() - 12].to_vec();
    for tail in [&b""[..], b"\x74\x44\x9f\x2bcription"] {
        damaged.truncate(whole.len() - 12);
        damaged.extend_from_slice(tail);
        let error = Photo::from_bytes(&damaged, "a.png").unwrap_err();
        assert!(matches!(error, PhotoError::CutShort { .. }), "{error}");
    }
}
