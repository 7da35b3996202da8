//! Photos of every kind that phones, cameras and editors write, against readers that are not ours. Where each value comes
//! from is written in `data/SOURCES.md`.

use std::collections::BTreeMap;
use stint_model::colour::Colour;
use stint_model::photo::{Adjustments, Photo, PhotoError, PhotoWarning, PixelRect};
use stint_tests::program::data;

fn bytes_of(name: &str) -> Vec<u8> {
    std::fs::read(data("photos").join(name)).unwrap()
}

fn open(name: &str) -> Photo {
    Photo::open(data("photos").join(name)).unwrap_or_else(|e| panic!("{e}"))
}

fn refused(name: &str) -> PhotoError {
    Photo::open(data("photos").join(name)).map_or_else(|e| e, |_| panic!("{name} was opened"))
}

fn codes(photo: &Photo, x: u32, y: u32) -> [f64; 3] {
    clipped(photo.view(Adjustments::default()).colour(x, y))
}

/// 8-bit codes of linear light, each channel clipped by itself as other readers do: IEC 61966-2-1.
fn clipped(colour: Colour) -> [f64; 3] {
    [colour.r, colour.g, colour.b].map(|v| {
        let v = f64::from(v).clamp(0.0, 1.0);
        let code = if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 };
        (code * 255.0).round()
    })
}

/// The codes that a photo in Display P3 stores: the colour in the primaries of Display P3 (matrix of CSS Color 4,
/// linear sRGB to linear Display P3, from memory to five digits), with the sRGB curve.
fn p3_codes(c: Colour) -> [f64; 3] {
    let p3 = |row: [f32; 3]| row[0] * c.r + row[1] * c.g + row[2] * c.b;
    clipped(Colour::new(
        p3([0.822_46, 0.177_54, 0.0]),
        p3([0.033_19, 0.966_81, 0.0]),
        p3([0.017_08, 0.072_40, 0.910_52]),
    ))
}

fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

/// Files of a table with their pixels: x, y and codes.
fn table(name: &str) -> BTreeMap<String, Vec<(u32, u32, [f64; 3])>> {
    let mut files: BTreeMap<String, Vec<_>> = BTreeMap::new();
    let rows = csv::Reader::from_path(data("photos").join(name)).unwrap().into_deserialize();
    for row in rows {
        let (file, x, y, r, g, b): (String, u32, u32, f64, f64, f64) = row.unwrap();
        files.entry(file).or_default().push((x, y, [r, g, b]));
    }
    files
}

/// Against `djpeg -strict` of libjpeg-turbo, pixel by pixel: progressive, arithmetic, odd samplings, restarts, one scan a
/// channel, two views in one file, a second picture or a film behind the first.
#[test]
fn sound_jpegs_of_every_kind_are_read_as_by_libjpeg() {
    let files = table("jpeg_values.csv");
    assert_eq!(files.len(), 14);
    for (file, pixels) in files {
        let photo = open(&format!("jpeg/{file}"));
        assert!(photo.warnings().is_empty(), "{file}: {:?}", photo.warnings());
        // Where brightness is coarser than colour, both scale it by the same triangle, in other roundings.
        let allowed = if file.starts_with("coarse_luma") { 2.0 } else { 0.0 };
        for (x, y, expected) in pixels {
            let seen = codes(&photo, x, y);
            assert!(apart(seen, expected) <= allowed, "{file} at {x}, {y}: {seen:?} is not {expected:?}");
        }
    }
}

/// One byte changed in the picture data; `djpeg -strict` judged each. What it refuses is refused.
#[test]
fn damaged_jpegs_are_refused_where_libjpeg_refuses_them() {
    let rows = csv::Reader::from_path(data("photos/jpeg_damage.csv")).unwrap().into_deserialize();
    let (mut both, mut ours_alone) = (0, 0);
    for row in rows {
        let (file, at, value, theirs): (String, usize, u8, u8) = row.unwrap();
        let mut bytes = bytes_of(&format!("jpeg/{file}"));
        bytes[at] = value;
        match Photo::from_bytes(&bytes, &file) {
            Ok(_) => assert_eq!(theirs, 0, "{file}, byte {at} set to {value}, was opened"),
            Err(error) => {
                let words = error.to_string();
                assert!(words.contains("copy it from the camera again"), "{words}");
                *(if theirs == 1 { &mut both } else { &mut ours_alone }) += 1;
            }
        }
    }
    println!("refused by both {both}, by us alone {ours_alone}");
    assert!(both > 60, "{both}");
}

/// All brightness of the lower half moved beyond what samples can hold, with data that decode: the coefficient of the mean is
/// the first of each block.
#[test]
fn impossible_brightness_is_damage() {
    // 16 x 8 grey, two blocks: the first mean is a difference of 2047 in one-quantiser steps, far outside +-1024.
    let mut jpeg = vec![0xFF, 0xD8, 0xFF, 0xDB, 0, 67, 0];
    jpeg.extend([1; 64]);
    jpeg.extend([0xFF, 0xC0, 0, 11, 8, 0, 8, 0, 8, 1, 1, 0x11, 0]);
    // One code a table: category 11 for the mean, end of block for the rest.
    for (class, symbol) in [(0x00, 11), (0x10, 0)] {
        jpeg.extend([0xFF, 0xC4, 0, 20, class, 1]);
        jpeg.extend([0; 15]);
        jpeg.push(symbol);
    }
    jpeg.extend([0xFF, 0xDA, 0, 8, 1, 1, 0, 0, 63, 0]);
    let with_mean = |bits: u16| {
        // Bit 0 for category 11, eleven bits of the difference, bit 0 for the end of the block, ones to fill up.
        let word = (bits & 0x7FF) << 4 | 0b0111;
        let mut whole = jpeg.clone();
        for byte in word.to_be_bytes() {
            whole.push(byte);
            if byte == 0xFF {
                whole.push(0);
            }
        }
        whole.extend([0xFF, 0xD9]);
        whole
    };
    assert!(Photo::from_bytes(&with_mean(1024), "bright.jpg").is_ok(), "the brightest block there is");
    let error = Photo::from_bytes(&with_mean(2047), "bright.jpg").unwrap_err();
    assert!(matches!(error, PhotoError::Damaged { .. }), "{error}");
}

/// Against libheif, an independent decoder, and djxl; Display P3 by profile and by code points.
#[test]
fn phone_photos_are_read_as_by_libheif_and_libjxl() {
    let files = table("phone_values.csv");
    assert_eq!(files.len(), 13);
    for (file, pixels) in files {
        let photo = open(&format!("phone/{file}"));
        assert!(photo.warnings().is_empty(), "{file}: {:?}", photo.warnings());
        let wide = ["icc_only.heic", "nclx_p3.heic", "g256_phone.heic", "p3_lossy.jxl"].contains(&file.as_str());
        let (mut sum, mut worst, count) = (0.0, 0.0f64, pixels.len() as f64);
        for (left, top, expected) in pixels {
            let rect = PixelRect { x: left, y: top, width_px: 64, height_px: 64 };
            let mut mean = [0.0; 3];
            for colour in photo.view(Adjustments::default()).region(rect) {
                let seen = if wide { p3_codes(colour) } else { clipped(colour) };
                mean = [0, 1, 2].map(|c| mean[c] + seen[c] / 4096.0);
            }
            sum += apart(mean, expected);
            worst = worst.max(apart(mean, expected));
        }
        println!("{file}: {:.2} codes apart on average, {worst:.2} at most", sum / count);
        // Readers scale halved colour up by different filters, which shows at the edges of the squares.
        assert!(sum / count <= 1.0 && worst <= 3.0, "{file}: {:.2} codes apart, {worst:.2} at most", sum / count);
    }
}

/// Against the picture that was encoded, without any decoder: wide colours come out wide.
#[test]
fn display_p3_is_the_same_from_every_kind() {
    let mean = |photo: &Photo| {
        let (width_px, height_px) = (photo.width_px() / 4, photo.height_px() / 4);
        (0..16)
            .map(|i| {
                let rect = PixelRect { x: i % 4 * width_px, y: i / 4 * height_px, width_px, height_px };
                let colours = photo.view(Adjustments::default()).region(rect);
                let sum = colours
                    .iter()
                    .fold([0.0; 3], |s, c| [s[0] + f64::from(c.r), s[1] + f64::from(c.g), s[2] + f64::from(c.b)]);
                sum.map(|s| s / colours.len() as f64)
            })
            .collect::<Vec<_>>()
    };
    let truth = mean(&open("phone/truth_p3.png"));
    for name in ["phone/icc_only.heic", "phone/nclx_p3.heic"] {
        for (seen, expected) in mean(&open(name)).into_iter().zip(&truth) {
            assert!(apart(seen, *expected) < 0.01, "{name}: {seen:?} is not {expected:?}");
        }
    }
}

/// The container turns, EXIF says so too: once is right.
#[test]
fn a_heic_is_turned_once() {
    for name in ["phone/o_irot1.heic", "phone/o_exif6.heic"] {
        let photo = open(name);
        assert_eq!((photo.width_px(), photo.height_px()), (248, 320), "{name}");
    }
    let alpha = open("phone/alpha.heic");
    assert!(alpha.has_alpha());
    let size = refused("phone/x_ispe_lie.heic");
    assert!(matches!(size, PhotoError::TooLarge { .. }), "{size}");
}

#[test]
fn cuts_of_phone_photos_are_refused() {
    for name in ["phone/s420_8.heic", "phone/s420_10.heic", "phone/lossy16.jxl", "phone/from_jpeg_o6.jxl"] {
        let bytes = bytes_of(name);
        for cut in (0..bytes.len() - 200).step_by(bytes.len() / 12) {
            let error = Photo::from_bytes(&bytes[..cut], name).unwrap_err().to_string();
            assert!(error.contains(name) && error.contains(';'), "cut at {cut}: {error}");
        }
    }
}

/// Against littleCMS through Pillow, relative colorimetric, and the plain formula for the file without a profile.
#[test]
fn inks_go_through_their_profile() {
    let files = table("print_values.csv");
    assert_eq!(files.len(), 3);
    for (file, pixels) in files {
        let photo = open(&file);
        let plain = file.ends_with("plain.tif");
        assert_eq!(
            matches!(photo.warnings(), [PhotoWarning::Inks { what: None, .. }]),
            plain,
            "{:?}",
            photo.warnings()
        );
        let mut worst: f64 = 0.0;
        for (x, y, expected) in pixels {
            worst = worst.max(apart(codes(&photo, x, y), expected));
        }
        println!("{file}: {worst} codes apart at most");
        assert!(worst <= 3.0, "{file}: {worst} codes apart");
    }
}

#[test]
fn tiffs_of_several_pages_and_layouts_are_read() {
    let plain = open("jpeg/baseline.jpg");
    assert!(plain.width_px() > 64);
    let full = open("pages/thumbnail_first.tif");
    assert_eq!((full.width_px(), full.height_px()), (64, 48));
    for name in ["pages/planes.tif", "pages/tiles16.tif"] {
        let photo = open(name);
        for (x, y) in [(0, 0), (63, 47), (31, 33), (40, 7)] {
            assert!(apart(codes(&photo, x, y), codes(&full, x, y)) < 0.01, "{name} at {x}, {y}");
        }
    }
    for name in ["pages/raw_like.tif", "pages/raw_like.dng"] {
        let error = refused(name).to_string();
        assert!(error.contains("raw file") && error.contains("develop it"), "{error}");
    }
    for (name, what) in [("palette", "palette"), ("float", "floating point"), ("lab", "Lab")] {
        let error = refused(&format!("pages/{name}.tif"));
        assert!(matches!(error, PhotoError::Unread { .. }), "{error}");
        assert!(error.to_string().contains(what) && !error.to_string().contains("damaged"), "{error}");
    }
}

/// (200, 80, 40) at every opacity, once stored straight and once multiplied.
#[test]
fn alpha_is_straight_however_it_is_stored() {
    for (name, allowed) in [("straight8", 0.01), ("straight16", 0.01), ("multiplied16", 0.3), ("multiplied8", 17.0)] {
        let photo = open(&format!("pages/{name}.tif"));
        let block = photo.view(Adjustments::default()).block(PixelRect { x: 0, y: 1, width_px: 32, height_px: 1 });
        for x in 1..32 {
            assert!((f64::from(block.alpha[x]) - x as f64 / 31.0).abs() < 0.003, "{name} {x}: {:?}", block.alpha[x]);
            let seen = clipped(block.colours[x]);
            // What eight bits lost at low opacity is lost: half a code over the opacity.
            let allowed = if name == "multiplied8" { 0.5 * 31.0 / x as f64 + 1.0 } else { allowed };
            assert!(apart(seen, [200.0, 80.0, 40.0]) <= allowed, "{name} {x}: {seen:?}");
        }
    }
}

#[test]
fn the_orientation_is_found_where_others_find_it() {
    let upright = open("exif/mosaic_upright.png");
    for name in ["prefix.webp", "plain.webp", "after_data.png", "long.jpg", "tag.tif"] {
        let photo = open(&format!("turned/{name}"));
        assert_eq!((photo.width_px(), photo.height_px()), (64, 48), "{name}");
        for y in 0..48 {
            for x in 0..64 {
                assert!(apart(codes(&photo, x, y), codes(&upright, x, y)) < 0.01, "{name} at {x}, {y}");
            }
        }
    }
}

/// PNG (third edition), 11.3.2: light is the sample to the power of one over `gAMA`; primaries are those of `cHRM`.
#[test]
fn a_png_with_numbers_for_its_colours_is_read_by_them() {
    let value =
        |name: &str, x: u32, y: u32| open(&format!("gamma/{name}.png")).view(Adjustments::default()).colour(x, y);
    for x in 0..16 {
        let sample = f64::from(x * 17) / 255.0;
        for (name, exponent) in [("linear", 1.0), ("wide", 1.0 / 0.454_71), ("d50", 1.0 / 0.555_56)] {
            let seen = value(name, x, 0);
            for light in [seen.r, seen.g, seen.b] {
                assert!((f64::from(light) - sample.powf(exponent)).abs() < 2e-4, "{name} {x}: {seen:?}");
            }
        }
    }
    // Linear Adobe RGB (1998) red and green in linear sRGB: matrices of its specification and of IEC 61966-2-1, multiplied.
    let (red, green) = (value("wide", 0, 1), value("wide", 1, 1));
    assert!((red.r - 1.398_3).abs() < 1e-3 && red.g.abs() < 1e-3 && red.b.abs() < 1e-3, "{red:?}");
    assert!(
        (green.r + 0.398_3).abs() < 1e-3 && (green.g - 1.0).abs() < 1e-3 && (green.b + 0.042_9).abs() < 1e-3,
        "{green:?}"
    );
    assert_eq!(clipped(value("wide_but_srgb", 3, 1)), [200.0, 100.0, 50.0], "sRGB comes before both");
}

#[test]
fn a_profile_that_cannot_be_used_is_told() {
    for (name, what) in
        [("gamma/broken_profile.png", "damaged"), ("gamma/profile_bomb.png", "larger than any real one")]
    {
        let photo = open(name);
        let [warning] = photo.warnings() else { panic!("{name}: {:?}", photo.warnings()) };
        let words = warning.to_string();
        assert!(words.contains(name) && words.contains(what) && words.contains("read as sRGB"), "{words}");
        assert_eq!(codes(&photo, 3, 1), [200.0, 100.0, 50.0]);
    }
    // A JPEG's profile in several pieces, of which one was lost.
    let bytes = bytes_of("icc/p3_patches.jpg");
    let at = bytes.windows(12).position(|w| w == b"ICC_PROFILE\0").unwrap();
    let mut lost = bytes;
    lost[at + 13] = 2;
    let photo = Photo::from_bytes(&lost, "lost.jpg").unwrap();
    let words = photo.warnings()[0].to_string();
    assert!(words.contains("piece 2 of 2 of it is missing"), "{words}");
}

#[test]
fn kinds_that_are_not_read_are_named() {
    for (name, bytes, words) in [
        (
            "a.avif",
            b"\0\0\0\x1cftypavif\0\0\0\0avifmif1miaf".as_slice(),
            "is an AVIF photo, which Stint does not read; open it",
        ),
        ("a.gif", b"GIF89a", "is a GIF, which Stint does not read"),
        ("a.cr3", b"\0\0\0\x18ftypcrx \0\0\0\0crx isom", "raw file (CR3), which Stint does not read; develop it"),
        ("a.mp4", b"\0\0\0\x18ftypmp42\0\0\0\0mp42isom", "is a film"),
        ("a.txt", b"Tuesday", "is text, not a photo"),
    ] {
        let error = Photo::from_bytes(bytes, name).unwrap_err().to_string();
        assert!(error.starts_with(name) && error.contains(words), "{error}");
    }
    // A 12-bit JPEG is a sound file of a kind that is not read.
    let mut twelve = bytes_of("jpeg/baseline.jpg");
    let frame = twelve.windows(4).position(|w| w == [0xFF, 0xC0, 0, 17]).unwrap();
    twelve[frame + 1] = 0xC1;
    twelve[frame + 4] = 12;
    let error = Photo::from_bytes(&twelve, "twelve.jpg").unwrap_err().to_string();
    assert!(error.contains("is a JPEG of 12 bits a sample, which Stint does not read"), "{error}");
}

/// The header of a bare JPEG XL of 8 x 8 pixels in the primaries of BT.2100, with a transfer function as its enumeration writes it: value and
/// number of bits, lowest first (ISO/IEC 18181-1, headers; from memory).
fn jpeg_xl_header(transfer: (u64, u32)) -> Vec<u8> {
    let fields = [
        // Size: in eights, one of them, a square.
        (1, 1),
        (0, 5),
        (1, 3),
        // Metadata: not the default, nothing extra, 8 bits a sample in whole numbers, no extra channels, not in the codec's own colours.
        (0, 1),
        (0, 1),
        (0, 1),
        (0, 2),
        (1, 1),
        (0, 2),
        (0, 1),
        // Colours: not the default, no profile, RGB, D65, BT.2100 (9), a named transfer function, relative colorimetric.
        (0, 1),
        (0, 1),
        (0, 2),
        (1, 2),
        (2 | 7 << 2, 6),
        (0, 1),
        transfer,
        (1, 2),
        // No extensions, the default transform.
        (0, 2),
        (1, 1),
    ];
    let (mut bits, mut at) = (0_u128, 0);
    for (value, width) in fields {
        bits |= u128::from(value) << at;
        at += width;
    }
    [&[0xFF, 0x0A][..], &bits.to_le_bytes(), &[0; 64]].concat()
}

/// PQ is 16 and HLG is 18 among the code points of ITU-T H.273, which HEIC and JPEG XL use as PNG does.
#[test]
fn pictures_of_high_dynamic_range_are_refused_by_name() {
    let heic = |transfer: u8| {
        let mut bytes = bytes_of("phone/nclx_p3.heic");
        let places: Vec<usize> = (0..bytes.len() - 8).filter(|&at| bytes[at..].starts_with(b"nclx")).collect();
        assert!(!places.is_empty());
        places.into_iter().for_each(|at| bytes[at + 7] = transfer);
        bytes
    };
    let jpeg_xl = |transfer: u64| {
        let coded = if transfer < 18 { (2 | (transfer - 2) << 2, 6) } else { (3 | (transfer - 18) << 2, 8) };
        jpeg_xl_header(coded)
    };
    for (transfer, curve) in [(16, "PQ"), (18, "HLG")] {
        for (name, bytes) in [("high.heic", heic(transfer)), ("high.jxl", jpeg_xl(transfer.into()))] {
            let error = Photo::from_bytes(&bytes, name).unwrap_err().to_string();
            let words = format!(
                "{name} is an HDR photo ({curve}), which Stint does not read; export it with ordinary brightness"
            );
            assert!(error.starts_with(&words), "{error}");
        }
    }
    // The same files with the curve of sRGB, 13: one is read, the other has a header alone.
    Photo::from_bytes(&heic(13), "plain.heic").unwrap();
    let error = Photo::from_bytes(&jpeg_xl(13), "plain.jxl").unwrap_err();
    assert!(matches!(error, PhotoError::CutShort { .. } | PhotoError::Damaged { .. }), "{error}");
}

/// Strips coded as JPEG are held to the same as a JPEG: by libtiff's coder through Pillow.
#[test]
fn damage_in_a_tiff_of_jpegs_is_refused() {
    let bytes = bytes_of("pages/jpeg_strips.tif");
    let photo = Photo::from_bytes(&bytes, "strips.tif").unwrap();
    assert_eq!((photo.width_px(), photo.height_px()), (171, 133));
    let mut damaged = bytes.clone();
    // Zeros over a piece of the picture data.
    damaged[2000..2060].fill(0);
    let error = Photo::from_bytes(&damaged, "strips.tif").unwrap_err();
    assert!(matches!(error, PhotoError::Damaged { .. }), "{error}");
}
