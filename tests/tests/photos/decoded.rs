//! Photos against outside references: colour profiles, orientations, odd and broken files, softening, the main flow.
//! Where each reference comes from is written in `data/SOURCES.md`.

use std::collections::{BTreeMap, HashMap};
use stint_model::board::Role;
use stint_model::colour::Colour;
use stint_model::photo::soften::Kernel;
use stint_model::photo::{Adjustments, Outline, Photo, PhotoError, PixelRect, pick, propose, propose_board, trio};

const DATA: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/data/photos/");

fn open(name: &str) -> Photo {
    Photo::open(format!("{DATA}{name}")).unwrap()
}

/// The rows of a table, each by column name.
fn table(name: &str) -> Vec<HashMap<String, String>> {
    let rows: Vec<_> =
        csv::Reader::from_path(format!("{DATA}{name}")).unwrap().deserialize().map(Result::unwrap).collect();
    assert!(!rows.is_empty(), "{name} has no rows");
    rows
}

fn number(row: &HashMap<String, String>, column: &str) -> f64 {
    row[column].parse().unwrap_or_else(|_| panic!("{column}: {:?}", row[column]))
}

fn numbers<const N: usize>(row: &HashMap<String, String>, columns: [&str; N]) -> [f64; N] {
    columns.map(|c| number(row, c))
}

/// sRGB transfer curve (IEC 61966-2-1), odd for negative light as in CSS Color 4.
fn encoded(colour: Colour) -> [f64; 3] {
    [colour.r, colour.g, colour.b].map(|v| {
        let v = f64::from(v);
        let m = v.abs();
        v.signum() * if m <= 0.003_130_8 { 12.92 * m } else { 1.055 * m.powf(1.0 / 2.4) - 0.055 }
    })
}

fn codes(colour: Colour) -> [f64; 3] {
    encoded(colour).map(|v| 255.0 * v.clamp(0.0, 1.0))
}

fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

fn plain(photo: &Photo, x: u32, y: u32) -> Colour {
    photo.view(Adjustments::default()).colour(x, y)
}

#[test]
fn wide_gamut_patches_keep_their_unclipped_colour() {
    let mut outside = 0;
    let mut worst: HashMap<String, f64> = HashMap::new();
    let mut photos: HashMap<String, Photo> = HashMap::new();
    for row in table("icc_patches.csv") {
        let file = row["file"].clone();
        let photo = photos.entry(file.clone()).or_insert_with(|| open(&file));
        let [x, y] = numbers(&row, ["center_x", "center_y"]);
        let expected = numbers(&row, ["srgb_r", "srgb_g", "srgb_b"]);
        let seen = encoded(plain(photo, x as u32, y as u32));
        outside += usize::from(seen.iter().any(|v| *v < -0.01 || *v > 1.01));
        let error = apart(seen, expected);
        // The PNGs hold the codes themselves; profile numbers are rounded to 1/65536. A JPEG is off by up to two codes,
        // which the wide primaries stretch. Measured: 2.1e-4 and 6.7e-3.
        let allowed = if file.ends_with(".png") { 4e-4 } else { 0.012 };
        assert!(error < allowed, "{file} patch {}: {seen:?} is not {expected:?}", row["patch"]);
        let worst = worst.entry(file).or_default();
        *worst = worst.max(error);
    }
    println!("largest difference by file, sRGB 0-1: {worst:?}");
    assert_eq!(photos.len(), 5);
    assert!(outside > 30, "only {outside} patches lie outside sRGB");
}

#[test]
fn a_photo_in_adobe_rgb_agrees_with_littlecms() {
    let photo = open("rocket.jpg");
    let view = photo.view(Adjustments::default());
    for row in table("rocket_blocks.csv") {
        let [x, y, w, h] = numbers(&row, ["x", "y", "w", "h"]).map(|v| v as u32);
        let colours = view.region(PixelRect { x, y, width_px: w, height_px: h });
        let mut mean = [0.0; 3];
        for colour in &colours {
            for (mean, code) in mean.iter_mut().zip(codes(*colour)) {
                *mean += code / colours.len() as f64;
            }
        }
        let expected = numbers(&row, ["srgb_lcms_r", "srgb_lcms_g", "srgb_lcms_b"]);
        assert!(apart(mean, expected) < 1.0, "block at {x}, {y}: {mean:?} is not {expected:?}");
    }
}

#[test]
fn all_orientations_come_out_upright() {
    for (kind, allowed) in [("mosaic", 0.0), ("orient", 4.0)] {
        let upright = open(&format!("exif/{kind}_upright.png"));
        let whole = |p: &Photo| {
            let size = PixelRect { x: 0, y: 0, width_px: p.width_px(), height_px: p.height_px() };
            p.view(Adjustments::default()).region(size)
        };
        for orientation in 1..=8 {
            let photo = open(&format!("exif/{kind}_{orientation}.jpg"));
            assert_eq!((photo.width_px(), photo.height_px()), (64, 48), "{kind} {orientation}");
            let pairs = whole(&photo).into_iter().zip(whole(&upright));
            let worst = pairs.map(|(a, b)| apart(codes(a), codes(b))).fold(0.0, f64::max);
            assert!(worst <= allowed, "{kind} {orientation}: {worst} codes apart");
        }
    }
}

#[test]
fn sixteen_bits_are_kept() {
    let photo = open("odd/rgb16.png");
    for row in table("rgb16_values.csv") {
        let [x, y] = numbers(&row, ["x", "y"]);
        let expected = numbers(&row, ["r16", "g16", "b16"]);
        let seen = encoded(plain(&photo, x as u32, y as u32)).map(|v| v * 65535.0);
        assert!(apart(seen, expected) < 0.25, "{x}, {y}: {seen:?} is not {expected:?}");
    }
    let grey = open("odd/gray16.png");
    for x in 0..32 {
        let seen = encoded(plain(&grey, x, 3)).map(|v| v * 65535.0);
        assert!(apart(seen, [f64::from(2114 * x); 3]) < 0.25, "{x}: {seen:?}");
    }
}

#[test]
fn unusual_pictures_are_read() {
    // Adam7, equal to the high byte of rgb16.png.
    let interlaced = open("odd/interlaced.png");
    for row in table("rgb16_values.csv") {
        let [x, y] = numbers(&row, ["x", "y"]);
        let expected = numbers(&row, ["r16", "g16", "b16"]).map(|v| (v / 256.0).floor());
        assert!(apart(codes(plain(&interlaced, x as u32, y as u32)), expected) < 0.01);
    }
    for name in ["odd/one.png", "odd/png_named.jpg"] {
        let one = open(name);
        assert_eq!((one.width_px(), one.height_px()), (1, 1));
        assert!(apart(codes(plain(&one, 0, 0)), [12.0, 34.0, 56.0]) < 0.01);
    }
    let grey = open("odd/gray.jpg");
    let colour = plain(&grey, 48, 32);
    assert!(colour.r == colour.g && colour.g == colour.b && colour.g > 0.0);
    assert!(apart(codes(plain(&open("odd/splt_itxt.png"), 0, 0)), [160.0, 82.0, 45.0]) < 0.01);
    // CMYK without a profile: the plain formula, within what JPEG loses.
    let cmyk = open("odd/cmyk.jpg");
    for row in table("cmyk_values.csv") {
        let [x, y] = numbers(&row, ["center_x", "center_y"]);
        let expected = numbers(&row, ["naive_r8", "naive_g8", "naive_b8"]);
        let seen = codes(plain(&cmyk, x as u32, y as u32));
        assert!(apart(seen, expected) <= 2.01, "patch {}: {seen:?} is not {expected:?}", row["patch"]);
    }
}

#[test]
fn transparency_weighs() {
    let photo = open("odd/rgba.png");
    let view = photo.view(Adjustments::default());
    let block = view.block(PixelRect { x: 0, y: 5, width_px: 32, height_px: 1 });
    for (x, alpha) in block.alpha.iter().enumerate() {
        assert!((f64::from(*alpha) * 255.0 - (255 * x / 31) as f64).abs() < 1e-3);
    }
    // (0, 0) is fully transparent and of another colour; the mean around it must not hold any of that.
    let around = pick(&view, 1, 1, 3).unwrap();
    assert!(apart(codes(around), [200.0, 80.0, 40.0]) < 0.01, "{around:?}");
    assert!(pick(&view, 0, 0, 1).is_err());
    assert!(open("odd/indexed_trns.png").has_alpha());
}

#[test]
fn broken_files_are_refused_by_name() {
    type Expected = fn(&PhotoError) -> bool;
    let cases: [(&str, Expected); 9] = [
        ("truncated.jpg", |e| matches!(e, PhotoError::CutShort { .. })),
        ("truncated.png", |e| matches!(e, PhotoError::CutShort { .. })),
        ("bad_crc.png", |e| matches!(e, PhotoError::Damaged { .. })),
        ("anim.gif", |e| matches!(e, PhotoError::Unread { what, .. } if what == "a GIF")),
        ("text.jpg", |e| matches!(e, PhotoError::NotAPhoto { what: "text", .. })),
        ("empty.jpg", |e| matches!(e, PhotoError::Empty { .. })),
        ("bomb_60000.png", |e| matches!(e, PhotoError::TooLarge { .. })),
        ("bomb_valid_20000_1bit.png", |e| matches!(e, PhotoError::TooLarge { .. })),
        ("no_such_photo.jpg", |e| matches!(e, PhotoError::Read { .. })),
    ];
    for (name, expected) in cases {
        let error = Photo::open(format!("{DATA}odd/{name}")).unwrap_err();
        let message = error.to_string();
        assert!(message.contains(name), "{message}");
        assert!(message.contains(';'), "what to do next: {message}");
        assert!(expected(&error), "{name}: {error:?}");
    }
}

#[test]
fn every_cut_of_a_photo_is_refused() {
    for name in ["exif/orient_6.jpg", "icc/p3_patches.jpg", "icc/p3_patches.png", "odd/interlaced.png"] {
        let bytes = std::fs::read(format!("{DATA}{name}")).unwrap();
        assert!(Photo::from_bytes(&bytes, name).is_ok());
        // A PNG's last bytes are its empty end chunk and checks, after the whole picture.
        let whole = if name.ends_with(".png") { bytes.len() - 20 } else { bytes.len() };
        for cut in (0..whole).step_by(7) {
            assert!(Photo::from_bytes(&bytes[..cut], name).is_err(), "{name} cut at {cut}");
        }
    }
}

#[test]
fn damage_inside_a_photo_never_panics() {
    for name in
        ["exif/orient_6.jpg", "icc/p3_patches.jpg", "icc/p3_patches.png", "odd/indexed_trns.png", "odd/cmyk.jpg"]
    {
        let bytes = std::fs::read(format!("{DATA}{name}")).unwrap();
        for at in (0..bytes.len()).step_by(3) {
            let mut changed = bytes.clone();
            changed[at] ^= 0x5A;
            if let Ok(photo) = Photo::from_bytes(&changed, name) {
                let soft = photo.view(Adjustments { hue_turn_degrees: 10.0, soften_px: 0.5, ..Adjustments::default() });
                assert!(soft.colour(photo.width_px() / 2, photo.height_px() / 2).is_finite(), "{name}, byte {at}");
            }
        }
    }
}

// The definition tested is the Gaussian integrated over each pixel (columns pixel_integral). The kernel is cut at five
// standard deviations, which leaves out less than 6e-7; the rest is f32 rounding.
const SOFTEN_TOLERANCE: f64 = 2e-6;

#[test]
fn the_kernel_is_the_gaussian_integrated_over_each_pixel() {
    for row in table("gaussian_kernels.csv") {
        let [sigma, offset, expected] = numbers(&row, ["sigma", "offset", "pixel_integral"]);
        let kernel = Kernel::new(sigma as f32).unwrap();
        let at = kernel.radius_px() as i64 + offset as i64;
        let seen = usize::try_from(at).ok().and_then(|at| kernel.taps().get(at)).map_or(0.0, |&w| f64::from(w));
        assert!((seen - expected).abs() < SOFTEN_TOLERANCE, "sigma {sigma}, offset {offset}: {seen} is not {expected}");
    }
}

#[test]
fn lines_and_edges_soften_as_the_reference() {
    let mut signals: BTreeMap<(String, String), Vec<(f32, f64)>> = BTreeMap::new();
    for row in table("gaussian_1d.csv") {
        let [input, expected] = numbers(&row, ["input", "pixel_integral"]);
        signals.entry((row["signal"].clone(), row["sigma"].clone())).or_default().push((input as f32, expected));
    }
    assert_eq!(signals.len(), 10);
    for ((signal, sigma), values) in signals {
        let input: Vec<[f32; 1]> = values.iter().map(|v| [v.0]).collect();
        let soft = Kernel::new(sigma.parse().unwrap()).unwrap().whole(&input, input.len());
        for (i, (seen, (_, expected))) in soft.iter().zip(&values).enumerate() {
            assert!((f64::from(seen[0]) - expected).abs() < SOFTEN_TOLERANCE, "{signal}, sigma {sigma}, {i}");
        }
    }
}

#[test]
fn a_patch_softens_as_the_reference() {
    let rows = table("gaussian_patch.csv");
    let input: Vec<[f32; 3]> =
        rows.chunks(3).map(|rgb| std::array::from_fn(|c| (number(&rgb[c], "input8") / 255.0) as f32)).collect();
    for sigma in ["0.3", "0.5", "0.8", "1.0", "2.0"] {
        let soft = Kernel::new(sigma.parse().unwrap()).unwrap().whole(&input, 16);
        for (i, rgb) in rows.chunks(3).enumerate() {
            for (c, row) in rgb.iter().enumerate() {
                let expected = number(row, &format!("pixel_integral_s{sigma}"));
                let seen = f64::from(soft[i][c]);
                assert!(
                    (seen - expected).abs() < SOFTEN_TOLERANCE,
                    "sigma {sigma}, pixel {i}: {seen} is not {expected}"
                );
            }
        }
    }
}

#[test]
fn an_outlined_surface_gives_shadow_local_and_light() {
    // china.jpg: the red pillars and walls under the roof; coffee.jpg: the dark coffee with its foam, in the cup.
    for (name, x, y, w, h) in [("china.jpg", 60.0, 200.0, 520.0, 120.0), ("coffee.jpg", 230.0, 90.0, 170.0, 160.0)] {
        let photo = open(name);
        let view = photo.view(Adjustments { hue_turn_degrees: 0.0, soften_px: 0.5, ..Adjustments::default() });
        let outline = Outline::new(vec![[x, y], [x + w, y], [x + w, y + h], [x, y + h]]).unwrap();
        let found = trio(&view, &outline).unwrap();
        assert!(!found.stepped, "{name}: {found:?}");
        let l = [found.shadow, found.local, found.light].map(|t| t.colour.oklab().l);
        assert!(l[0] + 0.06 <= l[1] + 1e-5 && l[1] + 0.06 <= l[2] + 1e-5, "{name}: {l:?}");
        for tone in [found.shadow, found.local, found.light] {
            let [px, py] = tone.at_px;
            assert!((x..x + w).contains(&(px as f32 + 0.5)) && (y..y + h).contains(&(py as f32 + 0.5)));
            let (a, b) = (view.colour(px, py).oklab(), tone.colour.oklab());
            let distance = (a.l - b.l).hypot((a.a - b.a).hypot(a.b - b.b));
            assert!(distance < 0.03, "{name}: the marked pixel is {distance} away");
            assert!(tone.share > 0.02, "{name}: {tone:?}");
        }
        assert_eq!(trio(&view, &outline).unwrap(), found);
    }
}

#[test]
fn a_whole_photo_gives_a_usable_board() {
    for name in ["china.jpg", "coffee.jpg", "rocket.jpg"] {
        let photo = open(name);
        let board = propose_board(&photo.view(Adjustments::default()), 5, name).unwrap();
        assert!((3..=5).contains(&board.families.len()), "{name}: {} families", board.families.len());
        let mut ids = Vec::new();
        for family in &board.families {
            let roles: Vec<Role> = family.swatches.iter().map(|s| s.role).collect();
            // As it lies on a tray.
            assert_eq!(roles, [Role::Light, Role::Local, Role::Shadow]);
            let l: Vec<f32> = family.swatches.iter().map(|s| s.colour.oklab().l).collect();
            assert!(l[0] > l[1] && l[1] > l[2], "{name}, {}: {l:?}", family.name);
            // CIE L* from luminance (CIE 15:2004): no black, no white.
            for swatch in &family.swatches {
                let c = swatch.colour;
                let y = 0.2126 * f64::from(c.r) + 0.7152 * f64::from(c.g) + 0.0722 * f64::from(c.b);
                let l_star = if y > 216.0 / 24389.0 { 116.0 * y.cbrt() - 16.0 } else { y * 24389.0 / 27.0 };
                assert!((5.0..=97.0).contains(&l_star), "{name}, {}: L* {l_star}", family.name);
            }
            ids.extend(family.swatches.iter().map(|s| s.id.0));
        }
        assert_eq!(ids, (1..=ids.len() as u32).collect::<Vec<_>>());
        assert_eq!(propose_board(&photo.view(Adjustments::default()), 5, name).unwrap(), board);
    }
}

/// Specks and a blown-out lamp laid over real photos change no family: neither their colours nor a place in them is proposed.
#[test]
fn specks_and_blown_out_areas_are_left_out_of_a_proposal() {
    for name in ["china.jpg", "coffee.jpg"] {
        let photo = open(name);
        let (width, height) = (photo.width_px(), photo.height_px());
        let all = PixelRect { x: 0, y: 0, width_px: width, height_px: height };
        let plain: Vec<[u8; 3]> = photo.view(Adjustments::default()).region(all).iter().map(|c| c.to_srgb8()).collect();
        let lamp = |x: u32, y: u32| (x.abs_diff(width / 2)).pow(2) + (y.abs_diff(height / 3)).pow(2) < 40 * 40;
        let spoilt: Vec<[u8; 3]> = plain
            .iter()
            .enumerate()
            .map(|(i, &code)| match i as u32 {
                i if lamp(i % width, i / width) => [255; 3],
                i if i % 211 == 0 => [0, 255, 0],
                i if i % 223 == 0 => [255, 0, 255],
                _ => code,
            })
            .collect();
        let [before, after] = [plain, spoilt].map(|codes| {
            let mut png = Vec::new();
            let encoder = image::codecs::png::PngEncoder::new(&mut png);
            let rgb = image::ExtendedColorType::Rgb8;
            image::ImageEncoder::write_image(encoder, codes.as_flattened(), width, height, rgb).unwrap();
            let photo = Photo::from_bytes(&png, name).unwrap();
            propose(&photo.view(Adjustments::default()), 5, name).unwrap()
        });
        assert_eq!(before.board.families.len(), after.board.families.len(), "{name}");
        let near = |c: Colour, board: &stint_model::board::Board| {
            let apart = |o: Colour| {
                let (p, q) = (c.oklab(), o.oklab());
                (p.l - q.l).hypot((p.a - q.a).hypot(p.b - q.b))
            };
            board.swatches().map(|(_, s)| apart(s.colour)).fold(f32::INFINITY, f32::min)
        };
        for (_, swatch) in after.board.swatches() {
            let apart = near(swatch.colour, &before.board);
            assert!(apart < 0.12, "{name}: {} is {apart:.3} from all that the clean photo gives", swatch.colour.hex());
            let lab = swatch.colour.oklab();
            for speck in [[0, 255, 0], [255, 0, 255]].map(|s| Colour::from_srgb8(s).oklab()) {
                let apart = (lab.l - speck.l).hypot((lab.a - speck.a).hypot(lab.b - speck.b));
                assert!(apart > 0.1, "{name}: {} is {apart:.3} from a speck", swatch.colour.hex());
            }
        }
        assert_eq!(after.places.len(), after.board.families.len());
        let total: f32 = after.places.iter().map(|p| p.share).sum();
        assert!(total > 0.7 && total <= 1.0, "{name}: {total}");
        for place in &after.places {
            for (_, [x, y]) in place.spots {
                assert!(!lamp(x, y), "{name}: {x}, {y} is in the lamp");
            }
        }
    }
}

/// A WebP of sides `photo` that is turned by a quarter (EXIF orientation 6), with a JPEG of sides `small` in its EXIF data; first the JPEG.
fn webp_with_small_copy(small: [u32; 2], photo: [u32; 2]) -> (Vec<u8>, Vec<u8>) {
    let ramp = |[width, height]: [u32; 2]| -> Vec<u8> {
        (0..width * height)
            .flat_map(|i| [(i % width * 255 / width) as u8, 80, (i / width * 255 / height) as u8])
            .collect()
    };
    let mut jpeg = Vec::new();
    let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut jpeg, 95);
    image::ImageEncoder::write_image(encoder, &ramp(small), small[0], small[1], image::ExtendedColorType::Rgb8)
        .unwrap();
    // A first directory with the orientation, a second one with place and length of the JPEG (TIFF 6.0, EXIF 2.32).
    let long = |n: usize| u32::try_from(n).unwrap().to_le_bytes();
    let mut exif = b"II\x2a\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\x1a\0\0\0\x02\0".to_vec();
    exif.extend([&b"\x01\x02\x04\0\x01\0\0\0"[..], &long(56), b"\x02\x02\x04\0\x01\0\0\0", &long(jpeg.len())].concat());
    exif.extend([0; 4]);
    assert_eq!(exif.len(), 56);
    exif.extend(&jpeg);
    let mut file = Vec::new();
    let mut encoder = image::codecs::webp::WebPEncoder::new_lossless(&mut file);
    image::ImageEncoder::set_exif_metadata(&mut encoder, exif).unwrap();
    image::ImageEncoder::write_image(encoder, &ramp(photo), photo[0], photo[1], image::ExtendedColorType::Rgb8)
        .unwrap();
    (jpeg, file)
}

/// What shows while a photo is decoded: an eighth of its sides, upright, in its colours, as far as means of blocks can tell.
#[test]
fn a_coarse_view_shows_the_photo_that_is_coming() {
    for name in [
        "jpeg/baseline.jpg",
        "jpeg/progressive.jpg",
        "jpeg/one_scan_a_channel.jpg",
        "jpeg/restarts.jpg",
        "odd/gray.jpg",
        "exif/orient_6.jpg",
        "icc/p3_patches.jpg",
        "print/profile.jpg",
        "china.jpg",
        "rocket.jpg",
    ] {
        let bytes = std::fs::read(format!("{DATA}{name}")).unwrap();
        let (whole, coarse) = (open(name), Photo::coarse(&bytes, name).unwrap_or_else(|| panic!("{name}")));
        let sides = |photo: &Photo| (photo.width_px(), photo.height_px());
        let eighth = (whole.width_px().div_ceil(8), whole.height_px().div_ceil(8));
        assert_eq!(sides(&coarse), eighth, "{name}");
        let pixels = |photo: &Photo| {
            let side = photo.width_px().max(photo.height_px());
            photo.view(Adjustments::default()).thumbnail(side, Colour::default()).2
        };
        let (fine, coarse) = (pixels(&whole), pixels(&coarse));
        let (width, height) = (whole.width_px() as usize, whole.height_px() as usize);
        assert_eq!((fine.len(), coarse.len()), (width * height, (eighth.0 * eighth.1) as usize), "{name}");
        let mut off = 0.0;
        for (at, shown) in coarse.iter().enumerate() {
            let (left, top) = (at % eighth.0 as usize * 8, at / eighth.0 as usize * 8);
            let rows = top..(top + 8).min(height);
            let block: Vec<_> = rows.flat_map(|y| &fine[y * width + left..y * width + (left + 8).min(width)]).collect();
            for i in 0..3 {
                let mean = block.iter().map(|p| f64::from(p[i])).sum::<f64>() / block.len() as f64;
                off += (mean - f64::from(shown[i])).abs();
            }
        }
        let off = off / (3.0 * coarse.len() as f64);
        assert!(off < 6.0, "{name}: {off}");
    }
    for name in ["odd/rgba.png", "odd/text.jpg", "odd/empty.jpg", "jpeg/arithmetic.jpg"] {
        assert!(Photo::coarse(&std::fs::read(format!("{DATA}{name}")).unwrap(), name).is_none(), "{name}");
    }
    // A small copy that lies in the EXIF data, where nothing quicker is known.
    let (small, file) = webp_with_small_copy([40, 30], [80, 60]);
    let coarse = Photo::coarse(&file, "small.webp").unwrap();
    assert_eq!((coarse.width_px(), coarse.height_px()), (30, 40), "turned as the photo is");
    let alone = Photo::from_bytes(&small, "small.jpg").unwrap();
    let at = |photo: &Photo, x, y| pick(&photo.view(Adjustments::default()), x, y, 1).unwrap().to_srgb8();
    assert_eq!(at(&coarse, 29, 0), at(&alone, 0, 0));
    assert!(Photo::coarse(&webp_with_small_copy([40, 22], [80, 60]).1, "another shape").is_none());
    assert!(Photo::coarse(&webp_with_small_copy([80, 60], [40, 30]).1, "larger than the photo").is_none());
    assert!(Photo::coarse(&std::fs::read(format!("{DATA}private/depot.webp")).unwrap(), "it lies otherwise").is_none());
    // A file that breaks off shows what there is, or nothing.
    let bytes = std::fs::read(format!("{DATA}china.jpg")).unwrap();
    for end in (0..bytes.len()).step_by(997) {
        let _ = Photo::coarse(&bytes[..end], "china.jpg");
    }
}
