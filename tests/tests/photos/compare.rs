//! A painting held against its photo, from the command line: figures against libraries that are not ours, copies of a known photo with
//! planted shifts, and words.

use image::{ExtendedColorType, ImageEncoder};
use serde_json::Value;
use std::collections::BTreeMap;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use stint::study::command::{Command as Change, SwatchRef};
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::colour::munsell::{munsell_value_of_y, y_of_munsell_value};
use stint_model::colour::warmth::AXIS;
use stint_model::colour::{Colour, Oklab};
use stint_model::comparison::{Comparison, PaintedCells, PhotoCells, PickedFrom};
use stint_model::ids::SwatchId;
use stint_model::photo::{Adjustments, Framing, Photo};
use stint_model::study::{PickSource, Picked};
use stint_render::mask::mass::Edge;
use stint_tests::program::{TestFolder, data};
use stint_tests::scripts::{desk_with_study, play, strokes};

fn compare(desk: &TestFolder, words: &[&str]) -> Value {
    let words = [&["compare"], words, &["--json"]].concat();
    serde_json::from_str(&desk.stint(words).success()).unwrap()
}

/// What coloraide and Pillow find on two pictures inside outlines: value, chroma, a and b of each.
fn outside(picture: &Path, photo: &Path, outlines: &str) -> BTreeMap<String, [[f64; 4]; 2]> {
    let python = std::env::var_os("STINT_TEST_PYTHON")
        .expect("STINT_TEST_PYTHON must name a Python that has coloraide and Pillow; tests/run makes one");
    let mut child = Command::new(python)
        .args([data("compare/outside.py").as_path(), picture, photo])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(outlines.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success());
    let text = String::from_utf8(output.stdout).unwrap();
    let line = |line: &str| {
        let mut words = line.split(' ');
        let name = words.next().unwrap().to_owned();
        let numbers: Vec<f64> = words.map(|word| word.parse().unwrap()).collect();
        (name, [[0, 1, 2, 3].map(|i| numbers[i]), [4, 5, 6, 7].map(|i| numbers[i])])
    };
    text.lines().map(line).collect()
}

/// Surfaces of the demo's photo: name and outline.
const SURFACES: [(&str, [(f32, f32); 4]); 4] = [
    ("Sky", [(24.0, 16.0), (470.0, 16.0), (470.0, 384.0), (24.0, 410.0)]),
    ("Brick", [(760.0, 270.0), (1300.0, 196.0), (1290.0, 320.0), (760.0, 460.0)]),
    ("Yard", [(1412.0, 800.0), (1590.0, 762.0), (1590.0, 1150.0), (1412.0, 1100.0)]),
    ("Lamp", [(1112.0, 334.0), (1350.0, 321.0), (1350.0, 470.0), (1112.0, 469.0)]),
];

/// A study with four surfaces picked, no bare ground, and winding strokes of all its swatches over one another.
fn painted(desk: &TestFolder) {
    let photo = concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg");
    let mut commands = vec![Change::Reference(photo.to_owned())];
    for (family, outline) in SURFACES {
        commands.push(Change::PickTrio { family: family.to_owned(), outline: outline.to_vec(), moved: Vec::new() });
    }
    let load = |i: usize| {
        let role = [Role::Local, Role::Light, Role::Shadow][i / 4 % 3];
        Change::Load(SwatchRef::Swatch { family: SURFACES[i % 4].0.to_owned(), role })
    };
    let all = vec![[-9.0, -9.0], [1009.0, -9.0], [1009.0, 759.0], [-9.0, 759.0]];
    commands.extend([load(0), Change::Mass { outline: all, edge: Edge::default() }]);
    for (i, stroke) in strokes(48).into_iter().enumerate() {
        commands.extend([load(i), stroke]);
    }
    desk.script("depot.ron", (1000, 750), commands);
    play(desk, "depot.ron", "depot.stint").success();
}

/// A painted study and its exported picture, inside the outlines its families were picked from.
#[test]
fn figures_are_those_of_an_independent_library_with_the_same_masks() {
    let desk = TestFolder::new();
    painted(&desk);
    desk.stint(["export", "depot.stint", "-o", "depot.png"]).success();
    let photo = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg"));
    let found = compare(&desk, &["depot.stint"]);
    let line = |(name, outline): (&str, [(f32, f32); 4])| {
        let corners = outline.map(|(x, y)| format!("{x} {y}"));
        format!("{name} {}\n", corners.join(" "))
    };
    let others = outside(&desk.path("depot.png"), photo, &SURFACES.map(line).concat());
    assert_eq!(others.len(), SURFACES.len());
    for (name, others) in others {
        let surfaces = found["surfaces"].as_array().unwrap();
        let ours = surfaces.iter().find(|s| s["name"] == name.as_str()).unwrap();
        let figure = |of: &str, what: &str| ours[of][what].as_f64().unwrap();
        assert_eq!((figure_of(ours, "painted"), &ours["found_by"]), (1.0, &"outline".into()), "{name}");
        for (of, other) in ["painting", "photo"].into_iter().zip(others) {
            let value = figure(of, "value") - other[0];
            assert!(value.abs() < 0.05, "{name}, {of}: value off by {value}");
            let chroma = figure(of, "chroma");
            assert!((chroma - other[1]).abs() < 0.003, "{name}, {of}: {chroma} {}", other[1]);
        }
        let difference = figure("difference", "value") - (others[0][0] - others[1][0]);
        assert!(difference.abs() < 0.05, "{name}: {difference}");
        let warmer = (others[0][2] - others[1][2]) * AXIS[0] + (others[0][3] - others[1][3]) * AXIS[1];
        assert!((figure("difference", "warmth") - warmer).abs() < 0.003, "{name}: {warmer}");
    }
}

fn figure_of(of: &Value, what: &str) -> f64 {
    of[what].as_f64().unwrap()
}

/// Less light of one chromaticity is a little less chroma in OKLab, too: its strength may differ by that.
///
/// A copy of a photo, every pixel lighter by so many Munsell values (ASTM D1535, its chromaticity kept) and moved along the warmth axis in
/// OKLab, in 16 bits so that nothing is rounded away.
fn copy(photo: &Photo, value: f64, warmth: f64) -> Photo {
    let view = photo.view(Adjustments::default());
    let mut samples: Vec<u8> = Vec::new();
    for y in 0..photo.height_px() {
        for x in 0..photo.width_px() {
            let colour = view.colour(x, y);
            let y = colour.xyz().y.max(1e-6);
            let scale = (y_of_munsell_value((munsell_value_of_y(y) + value).clamp(0.0, 10.0)) / y) as f32;
            let place = Colour::new(colour.r * scale, colour.g * scale, colour.b * scale).oklab();
            let [a, b] = [place.a, place.b].map(f64::from);
            let tinted = Oklab { l: place.l, a: (a + warmth * AXIS[0]) as f32, b: (b + warmth * AXIS[1]) as f32 };
            samples.extend(
                tinted
                    .colour()
                    .srgb()
                    .map(|c| (c.clamp(0.0, 1.0) * 65535.0).round() as u16)
                    .iter()
                    .flat_map(|c| c.to_ne_bytes()),
            );
        }
    }
    let mut png = Vec::new();
    image::codecs::png::PngEncoder::new(&mut png)
        .write_image(&samples, photo.width_px(), photo.height_px(), ExtendedColorType::Rgb16)
        .unwrap();
    Photo::from_bytes(&png, "copy.png").unwrap()
}

/// A photo held against copies of itself, its surfaces six rectangles.
#[test]
fn planted_shifts_of_a_known_photo_come_back() {
    let photo = Photo::open(data("photos/rocket.jpg")).unwrap();
    let (width, height) = (photo.width_px(), photo.height_px());
    let mut board = Board::new("six", LightOfDay::Neutral);
    let mut picks: BTreeMap<SwatchId, Picked> = BTreeMap::new();
    for part in 0..6_u8 {
        let (with, family) = board.with_family(&format!("part {part}")).unwrap();
        let (with, id) =
            with.with_swatch(family, Role::Local, "", Colour::from_srgb8([part * 30 + 40; 3]), &[]).unwrap();
        board = with;
        let (w, h) = (width as f32 / 3.0, height as f32 / 2.0);
        let (x, y) = (f32::from(part % 3) * w, f32::from(part / 3) * h);
        let outline = vec![(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
        picks.insert(id, Picked { photo: 1, how: PickSource::Surface { outline, role: Role::Local } });
    }
    let framing = Framing::whole(width, height);
    let grid = (256, 256 * height / width);
    let cells =
        |photo: &Photo| PhotoCells::new(&photo.blocks(512), &photo.view(Adjustments::default()), &framing, grid);
    let own = cells(&photo);
    let from = PickedFrom { picks: &picks, photo: 1, longer_side_px: width.max(height) };
    for (value, warmth) in [(0.0, 0.0), (-0.5, 0.0), (0.6, 0.0), (0.0, 0.02), (-0.4, -0.015)] {
        let shown = cells(&copy(&photo, value, warmth));
        let colours: Vec<Colour> = shown.colours.iter().map(|c| c.unwrap()).collect();
        let painting = PaintedCells {
            width: grid.0,
            height: grid.1,
            painted: vec![true; colours.len()],
            families: vec![None; colours.len()],
            colours,
        };
        let found = Comparison::new(&board, from, &framing, &painting, &own);
        let whole = found.whole;
        assert!((whole.value_munsell - value).abs() < 0.1, "{value} {warmth}: {whole:?}");
        // The mean light of shifted pixels is not quite the shifted mean. 0.02 is just visible (CSS Color 4).
        assert!(
            (whole.warmth - warmth).abs() < 0.008 && (whole.strength - 1.0).abs() < 0.15,
            "{value} {warmth}: {whole:?}"
        );
        assert_eq!(found.surfaces.len(), 6);
        for surface in &found.surfaces {
            assert!(
                surface.off.value_munsell.abs() < 0.25,
                "{value} {warmth}: {} {:?}",
                surface.sentence(),
                surface.off
            );
        }
    }
}

#[test]
fn words_are_for_people_and_refusals_say_what_to_do() {
    let desk = TestFolder::new();
    desk.stint(["demo", "--out", "demo", "--engine", "cpu"]).success();
    let text = desk.stint(["compare", "demo/tram_depot.stint"]).success();
    assert!(text.contains("Sky ") && text.contains("value ") && text.contains(", the photo "), "{text}");
    // Against a copy of the photo that is another size, surfaces are found by their paint.
    desk.take("photos/china.jpg");
    let other = compare(&desk, &["demo/tram_depot.stint", "--photo", "china.jpg"]);
    let by = |found: &Value| -> Vec<String> {
        found["surfaces"].as_array().unwrap().iter().map(|s| s["found_by"].as_str().unwrap().to_owned()).collect()
    };
    assert!(by(&other).iter().all(|by| by == "paint" || by == "part"), "{:?}", by(&other));
    let own = compare(&desk, &["demo/tram_depot.stint"]);
    assert!(by(&own).iter().filter(|by| *by == "outline").count() >= 5, "{:?}", by(&own));
    let without = desk_with_study();
    without.stint(["compare", "depot.stint"]).refused(&["photo"]);
    without.stint(["compare", "nothing.stint"]).refused(&["nothing.stint"]);
    without.stint(["compare", "depot.stint", "--photo", "depot.ron"]).refused(&["depot.ron"]);
}
