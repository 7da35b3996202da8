#![allow(clippy::unwrap_used)]

use super::*;
use crate::colour::difference::ciede2000;
use crate::photo::{Adjustments, Photo};
use image::{ExtendedColorType, ImageEncoder};

/// A drawing with anti-aliased shapes: 4 x 4 samples a pixel, mixed in encoded values as most programs do.
struct Drawing {
    width: usize,
    height: usize,
    pixels: Vec<[f32; 3]>,
}

#[derive(Clone, Copy, Debug)]
enum Shape {
    Rectangle,
    Rounded,
    Circle,
    Blob,
}

const SHAPES: [Shape; 4] = [Shape::Rectangle, Shape::Rounded, Shape::Circle, Shape::Blob];

fn code(hex: &str) -> [u8; 3] {
    Colour::from_hex(hex).unwrap().to_srgb8()
}

impl Drawing {
    fn new(width: usize, height: usize, ground: &str) -> Self {
        Drawing { width, height, pixels: vec![code(ground).map(f32::from); width * height] }
    }

    /// A shape in the rectangle at (x, y).
    fn shape(&mut self, shape: Shape, [x, y, w, h]: [f32; 4], hex: &str) {
        let inside = |px: f32, py: f32| {
            let (u, v) = (2.0 * (px - x) / w - 1.0, 2.0 * (py - y) / h - 1.0);
            match shape {
                Shape::Rectangle => u.abs() <= 1.0 && v.abs() <= 1.0,
                Shape::Rounded => {
                    let radius = w.min(h) / 4.0;
                    let [dx, dy] = [
                        (u.abs() * w / 2.0 - w / 2.0 + radius).max(0.0),
                        (v.abs() * h / 2.0 - h / 2.0 + radius).max(0.0),
                    ];
                    dx.hypot(dy) <= radius && u.abs() <= 1.0 && v.abs() <= 1.0
                }
                Shape::Circle => u.hypot(v) <= 1.0,
                Shape::Blob => {
                    u.hypot(v) <= 0.86 + 0.09 * (3.0 * v.atan2(u) + x).sin() + 0.05 * (5.0 * v.atan2(u)).cos()
                }
            }
        };
        let colour = code(hex).map(f32::from);
        for py in (y.floor().max(0.0) as usize)..((y + h).ceil() as usize).min(self.height) {
            for px in (x.floor().max(0.0) as usize)..((x + w).ceil() as usize).min(self.width) {
                let at = |i: usize| (i as f32 + 0.5) / 4.0;
                let hits = (0..16).filter(|s| inside(px as f32 + at(s % 4), py as f32 + at(s / 4))).count();
                let cover = hits as f32 / 16.0;
                let pixel = &mut self.pixels[py * self.width + px];
                *pixel = std::array::from_fn(|i| pixel[i] + cover * (colour[i] - pixel[i]));
            }
        }
    }

    /// Something like a word: thin upright, level and slanting strokes, and rings.
    fn word(&mut self, x: f32, y: f32, size: f32, letters: usize, [hex, paper]: [&str; 2]) {
        let thick = size / 8.0;
        for i in 0..letters {
            let left = x + i as f32 * size * 0.65;
            self.shape(Shape::Rectangle, [left, y, thick, size], hex);
            if i % 2 == 0 {
                self.shape(Shape::Rectangle, [left, y + size * 0.45, size * 0.5, thick], hex);
            } else {
                self.shape(Shape::Circle, [left, y + size * 0.5, size * 0.5, size * 0.5], hex);
                let inner = [left + thick, y + size * 0.5 + thick, size * 0.5 - 2.0 * thick, size * 0.5 - 2.0 * thick];
                self.shape(Shape::Circle, inner, paper);
            }
        }
    }

    fn codes(&self) -> Vec<u8> {
        self.pixels.iter().flatten().map(|v| v.round() as u8).collect()
    }

    fn png(&self) -> Photo {
        let mut bytes = Vec::new();
        let encoder = image::codecs::png::PngEncoder::new(&mut bytes);
        encoder.write_image(&self.codes(), self.width as u32, self.height as u32, ExtendedColorType::Rgb8).unwrap();
        Photo::from_bytes(&bytes, "sheet.png").unwrap()
    }

    fn jpeg(&self) -> Photo {
        let mut bytes = Vec::new();
        let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, 80);
        encoder.write_image(&self.codes(), self.width as u32, self.height as u32, ExtendedColorType::Rgb8).unwrap();
        Photo::from_bytes(&bytes, "sheet.jpg").unwrap()
    }
}

fn read(photo: &Photo) -> Result<SwatchSheet, SwatchSheetError> {
    swatch_sheet(&photo.view(Adjustments::default()), "sheet")
}

/// Six surfaces of a tram depot at blue hour, light to shadow; the last two have two swatches and four.
const FAMILIES: [&[&str]; 6] = [
    &["#a3b9d0", "#5c7398", "#35486b"],
    &["#8c98a6", "#626b7a", "#454455"],
    &["#967b7c", "#74504a", "#4c322f"],
    &["#8fa0b8", "#515c6b", "#33343d"],
    &["#bcb98a", "#8c7c3a"],
    &["#efd6a4", "#d9a05c", "#a8643a", "#6d3d2c"],
];

/// The sheet has exactly these families in this order, each colour within a CIEDE2000.
fn check(sheet: &Result<SwatchSheet, SwatchSheetError>, families: &[&[&str]], within: f64, what: &str) {
    let sheet = sheet.as_ref().unwrap_or_else(|error| panic!("{what}: {error}"));
    let found: Vec<Vec<String>> =
        sheet.board.families.iter().map(|f| f.swatches.iter().map(|s| s.colour.hex()).collect()).collect();
    let counts = |families: &[usize]| families.to_vec();
    let lengths: Vec<usize> = families.iter().map(|f| f.len()).collect();
    assert_eq!(counts(&found.iter().map(Vec::len).collect::<Vec<_>>()), lengths, "{what}: {found:?}");
    for (family, hexes) in sheet.board.families.iter().zip(families) {
        for (swatch, hex) in family.swatches.iter().zip(*hexes) {
            let off = ciede2000(swatch.colour.lab(), Colour::from_hex(hex).unwrap().lab());
            assert!(off <= within, "{what}: {} for {hex} is {off:.2} off", swatch.colour.hex());
        }
    }
}

/// Families in columns (or rows), with gaps, words under each and a title.
fn laid_out(shape: Shape, by_columns: bool, size: f32, gap: f32, ground: &str, ink: &str, words: bool) -> Drawing {
    let (left, top) = (40.0, 90.0);
    let place = |family: usize, i: usize| {
        let (across, along) = (family as f32 * (size * 1.2 + gap), i as f32 * (size + gap));
        let [w, h] = if by_columns { [size * 1.2, size] } else { [size, size * 1.2] };
        if by_columns { [left + across, top + along, w, h] } else { [left + along, top + across, w, h] }
    };
    let (across, along) = (6.0 * (size * 1.2 + gap), 4.0 * (size + gap));
    let [w, h] = if by_columns { [across, along] } else { [along, across] };
    let mut drawing = Drawing::new((w + 2.0 * left) as usize, (h + top + 50.0) as usize, ground);
    if words {
        drawing.word(left, 20.0, 34.0, 10, [ink, ground]);
    }
    for (f, family) in FAMILIES.iter().enumerate() {
        for (i, hex) in family.iter().enumerate() {
            drawing.shape(shape, place(f, i), hex);
        }
        if words {
            let [x, y, w, h] = place(f, family.len() - 1);
            if by_columns && gap < 14.0 {
                drawing.word(x, y + h + 4.0, 13.0, 5, [ink, ground]);
            } else if !by_columns && gap > 8.0 {
                drawing.word(x + w + 6.0, y + h / 2.0, 13.0, 4, [ink, ground]);
            }
        }
    }
    drawing
}

#[test]
fn sheets_of_all_shapes_by_columns_and_by_rows() {
    for shape in SHAPES {
        for by_columns in [true, false] {
            for (size, gap, ground, ink) in [
                (64.0, 16.0, "#f4f4f4", "#222222"),
                (48.3, 9.7, "#2b2b2b", "#e0e0e0"),
                (120.0, 24.0, "#ffffff", "#000000"),
            ] {
                let drawing = laid_out(shape, by_columns, size, gap, ground, ink, true);
                let what = format!("{shape:?}, columns {by_columns}, {size} px on {ground}");
                check(&read(&drawing.png()), &FAMILIES, 1.0, &format!("PNG {what}"));
                check(&read(&drawing.jpeg()), &FAMILIES, 2.0, &format!("JPEG {what}"));
            }
        }
    }
}

#[test]
fn touching_patches_are_apart_and_so_are_near_duplicates() {
    for by_columns in [true, false] {
        let drawing = laid_out(Shape::Rectangle, by_columns, 60.0, 0.0, "#808080", "#000000", false);
        check(&read(&drawing.png()), &FAMILIES, 1.0, "PNG touching");
        check(&read(&drawing.jpeg()), &FAMILIES, 2.0, "JPEG touching");
    }
    let near: [&[&str]; 2] = [&["#7a5a4c", "#7b5b4d", "#5a4038"], &["#5a6a7c", "#5a6a7e", "#39434f"]];
    let mut drawing = Drawing::new(300, 340, "#e8e8e8");
    for (f, family) in near.iter().enumerate() {
        for (i, hex) in family.iter().enumerate() {
            drawing.shape(Shape::Rounded, [30.0 + 130.0 * f as f32, 30.0 + 100.0 * i as f32, 100.0, 80.0], hex);
        }
    }
    check(&read(&drawing.png()), &near, 0.2, "near duplicates");
    check(&read(&drawing.jpeg()), &near, 2.0, "near duplicates in JPEG");
}

#[test]
fn one_row_one_column_and_two_bands() {
    let family: [&[&str]; 1] = [FAMILIES[5]];
    for by_columns in [true, false] {
        let (w, h) = if by_columns { (140, 420) } else { (420, 140) };
        let mut drawing = Drawing::new(w, h, "#ffffff");
        for (i, hex) in family[0].iter().enumerate() {
            let at = 30.0 + 95.0 * i as f32;
            let [x, y] = if by_columns { [40.0, at] } else { [at, 40.0] };
            drawing.shape(Shape::Circle, [x, y, 70.0, 70.0], hex);
        }
        let found = read(&drawing.png());
        check(&found, &family, 1.0, "one line");
        let roles: Vec<Role> = found.unwrap().board.families[0].swatches.iter().map(|s| s.role).collect();
        assert_eq!(roles, [Role::Light, Role::Local, Role::Accent, Role::Shadow]);
    }
    // Four families of three, two above two, words between the bands.
    let four = &FAMILIES[..4];
    let mut drawing = Drawing::new(300, 620, "#eceae4");
    for (f, family) in four.iter().enumerate() {
        let (x, y) = (40.0 + 120.0 * (f % 2) as f32, 30.0 + 300.0 * (f / 2) as f32);
        for (i, hex) in family.iter().enumerate() {
            drawing.shape(Shape::Blob, [x, y + 76.0 * i as f32, 96.0, 66.0], hex);
        }
        drawing.word(x, y + 232.0, 15.0, 6, ["#333333", "#eceae4"]);
    }
    check(&read(&drawing.png()), four, 1.0, "two bands");
    check(&read(&drawing.jpeg()), four, 2.0, "two bands in JPEG");
}

#[test]
fn patches_on_cards_and_words_on_patches() {
    check(&read(&tray("#383838", true).png()), &FAMILIES, 1.0, "tray");
    // Lossy storage takes the edge off a patch that is nearly of the card's colour, and leaves nothing flat round small words
    // on a small patch.
    check(&read(&tray("#1a1a1a", false).jpeg()), &FAMILIES, 2.0, "tray in JPEG");
}

/// A tray: each family on a card of its own, with a ring round one patch and words on others.
fn tray(card: &str, words: bool) -> Drawing {
    let mut drawing = Drawing::new(760, 330, "#2e2e2e");
    for (f, family) in FAMILIES.iter().enumerate() {
        let x = 20.0 + 120.0 * f as f32;
        drawing.shape(Shape::Rounded, [x, 20.0, 104.0, 290.0], card);
        for (i, hex) in family.iter().enumerate() {
            let place = [x + 18.0, 30.0 + 66.0 * i as f32, 68.0, 54.0];
            if (f, i) == (2, 1) {
                let [x, y, w, h] = place;
                drawing.shape(Shape::Blob, [x - 6.0, y - 5.0, w + 12.0, h + 10.0], "#ffffff");
                drawing.shape(Shape::Blob, [x - 4.0, y - 3.0, w + 8.0, h + 6.0], "#383838");
            }
            drawing.shape(Shape::Blob, place, hex);
            if i == 0 && words {
                drawing.word(place[0] + 20.0, place[1] + 22.0, 11.0, 4, ["#202020", hex]);
            }
        }
    }
    drawing
}

#[test]
fn roles_follow_value_and_places_point_at_the_patches() {
    let photo = laid_out(Shape::Rounded, true, 64.0, 16.0, "#f4f4f4", "#222222", true).png();
    let sheet = read(&photo).unwrap();
    let roles: Vec<Vec<Role>> =
        sheet.board.families.iter().map(|f| f.swatches.iter().map(|s| s.role).collect()).collect();
    let trio = vec![Role::Light, Role::Local, Role::Shadow];
    assert_eq!(roles[..4], [trio.clone(), trio.clone(), trio.clone(), trio]);
    assert_eq!(roles[4], [Role::Light, Role::Shadow]);
    assert_eq!(roles[5], [Role::Light, Role::Local, Role::Accent, Role::Shadow]);
    assert_eq!((sheet.board.name.as_str(), sheet.board.families[1].name.as_str()), ("sheet", "family 2"));
    let view = photo.view(Adjustments::default());
    assert_eq!(sheet.places.len(), 18);
    for (id, place) in &sheet.places {
        let middle = view.colour(place.x + place.width_px / 2, place.y + place.height_px / 2);
        assert_eq!(middle.hex(), sheet.board.swatch(*id).unwrap().colour.hex());
        assert!(place.width_px > 55 && place.width_px < 80, "{place:?}");
    }
}

#[test]
fn a_large_sheet_is_reduced_and_a_slightly_turned_one_is_read() {
    let large = laid_out(Shape::Rounded, true, 260.0, 60.0, "#f0f0f0", "#101010", true);
    check(&read(&large.png()), &FAMILIES, 1.0, "large");
    // Turned by 2 degrees: squares about a middle, by samples.
    let mut drawing = Drawing::new(700, 460, "#ffffff");
    let (sin, cos) = 2.0_f32.to_radians().sin_cos();
    for (f, family) in FAMILIES[..4].iter().enumerate() {
        for (i, hex) in family.iter().enumerate() {
            let (x, y) = (60.0 + 140.0 * f as f32, 50.0 + 120.0 * i as f32);
            drawing.shape(Shape::Circle, [x * cos - y * sin + 20.0, x * sin + y * cos, 100.0, 100.0], hex);
        }
    }
    check(&read(&drawing.png()), &FAMILIES[..4], 1.0, "turned");
}

#[test]
fn what_is_no_sheet_is_refused_with_advice() {
    let blank = Drawing::new(400, 300, "#f0f0f0");
    assert_eq!(read(&blank.png()), Err(SwatchSheetError::NoPatches { found: 0 }));
    let mut page = Drawing::new(400, 300, "#f0f0f0");
    for line in 0..9 {
        page.word(20.0, 20.0 + 30.0 * line as f32, 16.0, 30, ["#111111", "#f0f0f0"]);
    }
    assert!(matches!(read(&page.png()), Err(SwatchSheetError::NoPatches { .. })));
    // Patches strewn about lie in no lines.
    let mut strewn = Drawing::new(600, 600, "#f0f0f0");
    for i in 0..24_u32 {
        let (x, y) = ((i * 7 % 24) as f32 * 23.0, i as f32 * 23.0);
        strewn.shape(Shape::Circle, [x, y, 44.0, 44.0], &format!("#{:06x}", (i * 0x0a_3571) & 0x7f_7f7f));
    }
    assert!(matches!(read(&strewn.png()), Err(SwatchSheetError::NoLines { .. })), "{:?}", read(&strewn.png()));
    for error in
        [SwatchSheetError::APhoto, SwatchSheetError::NoLines { found: 3 }, SwatchSheetError::NoPatches { found: 0 }]
    {
        assert!(error.to_string().contains("crop"), "{error}");
    }
}

#[test]
fn photos_are_refused() {
    for name in ["china.jpg", "coffee.jpg", "rocket.jpg", "exif/orient_1.jpg"] {
        let photo = Photo::open(format!("{}/../tests/data/photos/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
        let found = read(&photo);
        assert!(matches!(found, Err(SwatchSheetError::APhoto)), "{name}: {found:?}");
    }
}
