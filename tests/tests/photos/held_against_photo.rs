//! A study painted wrong in planted ways, held against its photo in the window, and read by accessible names.
//!
//! Needs Xvfb, xdotool and a software Vulkan driver; without them these tests fail and say what to install, unless the run goes on
//! without them.

use std::path::{Path, PathBuf};
use stint::study::command::{Command, SwatchRef};
use stint::ui::wording;
use stint_model::board::Role;
use stint_model::colour::munsell::y_of_munsell_value;
use stint_model::colour::warmth::AXIS;
use stint_model::colour::{Colour, Oklab};
use stint_model::photo::{Adjustments, Photo, PixelRect};
use stint_model::study::file::StudyFile;
use stint_render::mask::mass::Edge;
use stint_tests::display::{Display, NEEDS, Window, wait_for};
use stint_tests::program::{TestFolder, lacks};
use stint_tests::scripts::play;

const SIZE: (u32, u32) = (1280, 800);
/// Half the size of the photo.
const CANVAS: (u32, u32) = (800, 600);
/// Surfaces of the demo's photo: name, and left, top, right and bottom of a rectangle that lies inside.
const SURFACES: [(&str, [u32; 4]); 5] = [
    ("Sky", [24, 16, 464, 376]),
    ("Roofs", [20, 536, 110, 630]),
    ("Brick", [740, 290, 940, 470]),
    ("Yard", [1416, 800, 1586, 1100]),
    ("Lamp glow", [1116, 340, 1346, 460]),
];

fn photo() -> PathBuf {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg")).to_owned()
}

/// The mean light of a rectangle of the photo.
fn mean(photo: &Photo, [left, top, right, bottom]: [u32; 4]) -> Colour {
    let rect = PixelRect { x: left, y: top, width_px: right - left, height_px: bottom - top };
    let colours = photo.view(Adjustments::default()).region(rect);
    let sum =
        |of: fn(&Colour) -> f32| (colours.iter().map(|c| f64::from(of(c))).sum::<f64>() / colours.len() as f64) as f32;
    Colour::new(sum(|c| c.r), sum(|c| c.g), sum(|c| c.b))
}

/// A colour moved in value, Munsell steps, with its hue and chroma kept, and along the warmth axis in OKLab.
fn moved(colour: Colour, value: f64, warmth: f64) -> Colour {
    let place = colour.oklab();
    let [a, b] = [f64::from(place.a) + warmth * AXIS[0], f64::from(place.b) + warmth * AXIS[1]].map(|x| x as f32);
    let wanted = y_of_munsell_value(f64::from(colour.munsell_value()) + value);
    let (mut low, mut high) = (0.0_f32, 1.0_f32);
    for _ in 0..30 {
        let l = f32::midpoint(low, high);
        if (Oklab { l, a, b }).colour().xyz().y < wanted { low = l } else { high = l }
    }
    Oklab { l: low, a, b }.colour()
}

/// Plays a study whose surfaces have the photo's own mean colours, each moved in value and warmth.
fn painted(desk: &TestFolder, name: &str, off: [(f64, f64); 5]) {
    let seen = Photo::open(photo()).unwrap();
    let mut commands = vec![Command::Reference(photo().to_string_lossy().into_owned())];
    for ((family, rect), (value, warmth)) in SURFACES.into_iter().zip(off) {
        let [left, top, right, bottom] = rect.map(|x| x as f32);
        let outline = vec![(left, top), (right, top), (right, bottom), (left, bottom)];
        commands.push(Command::PickTrio { family: family.to_owned(), outline, moved: Vec::new() });
        let own = |role| SwatchRef::Swatch { family: family.to_owned(), role };
        let colour = moved(mean(&seen, rect), value, warmth).hex();
        commands.push(Command::AddSwatch {
            family: family.to_owned(),
            role: Role::Accent,
            name: String::new(),
            colour,
            by_role: false,
        });
        commands.push(Command::Load(own(Role::Accent)));
        // A little beyond the outline, so that no cell of it is half bare.
        let outline = [
            [left - 4.0, top - 4.0],
            [right + 4.0, top - 4.0],
            [right + 4.0, bottom + 4.0],
            [left - 4.0, bottom + 4.0],
        ];
        let outline = outline.map(|[x, y]| [x / 2.0, y / 2.0]).to_vec();
        commands.push(Command::Mass { outline, edge: Edge::default() });
    }
    desk.script(&format!("{name}.ron"), CANVAS, commands);
    play(desk, &format!("{name}.ron"), &format!("{name}.stint")).success();
}

/// Presses a control as soon as it shows.
fn press(window: &Window<'_>, name: &str) {
    wait_for(name, || window.shows(name));
    window.rest();
    window.press_control(name);
}

#[test]
fn planted_faults_are_read_by_their_names_and_paint_is_loaded() {
    if lacks(&NEEDS) {
        return;
    }
    let (desk, display) = (TestFolder::new(), Display::start(SIZE.0, SIZE.1));
    // The sky, the roofs and the lamp as they are, the brick a little cool, the yard 0.8 too dark.
    painted(&desk, "wrong", [(0.0, 0.0), (0.0, 0.0), (0.0, -0.02), (-0.8, 0.0), (0.0, 0.0)]);
    // Everything but the lamp 0.6 darker, and the lamp too light.
    painted(&desk, "darker", [(-0.6, 0.0), (-0.6, 0.0), (-0.6, 0.0), (-0.6, 0.0), (0.3, 0.0)]);
    let told = desk.stint(["compare", "wrong.stint"]).success();
    assert!(told.contains("Sky right") && told.contains("Yard 0.8 too dark"), "{told}");

    let window = display.open(desk.command(["open", "wrong.stint"]));
    press(&window, wording::HELD_AGAINST);
    for sentence in ["Sky right", "Roofs right", "Brick a little cool", "Yard 0.8 too dark", "Lamp glow right"] {
        wait_for(sentence, || window.shows(sentence));
    }
    assert!(window.shows(wording::IN_KEY));
    // The yard's line loads the paint that comes nearest to the yard of the photo: its local, not the wrong one.
    let board = StudyFile::open_read_only(&desk.path("wrong.stint")).unwrap().document().board.clone();
    let yard = board.family_named("Yard").unwrap();
    let names: Vec<String> = board
        .swatches()
        .map(|(family, swatch)| wording::load_nearest("Yard", &family.swatch_name(swatch)))
        .filter(|name| window.shows(name))
        .collect();
    assert_eq!(names.len(), 1, "{names:?}");
    let wrong = yard.with_role(Role::Accent).unwrap();
    assert_ne!(names[0], wording::load_nearest("Yard", &yard.swatch_name(wrong)));
    press(&window, &names[0]);
    // The surface that is pointed at stays as it is, and the rest of the canvas recedes.
    let place = |[left, top, right, bottom]: [u32; 4]| {
        let middle = |a: u32, b: u32, of: u32| f64::from(a + b) / 2.0 / f64::from(of);
        (middle(left, right, 1600), middle(top, bottom, 1200))
    };
    window.keys("Home");
    window.rest();
    let canvas = window.control("Canvas");
    let [left, top, right, bottom] = canvas.edges.map(f64::from);
    let room = (right - left, bottom - top);
    // The canvas is shown whole in the middle of its area, which it fills to one side.
    let scale = (room.0 / f64::from(CANVAS.0)).min(room.1 / f64::from(CANVAS.1));
    let on_screen = |rect: [u32; 4]| {
        let (x, y) = place(rect);
        let part = |at: f64, of: u32, room: f64| 0.5 + (at - 0.5) * f64::from(of) * scale / room;
        canvas.at(part(x, CANVAS.0, room.0), part(y, CANVAS.1, room.1))
    };
    window.point(canvas.at(0.5, 0.97));
    window.rest();
    let before = display.picture();
    window.point(window.control("Brick a little cool").at(0.3, 0.5));
    window.rest();
    let lit = display.picture();
    let [brick, sky] = [SURFACES[2].1, SURFACES[0].1].map(on_screen);
    assert_eq!(lit.pixel(brick), before.pixel(brick), "what is lit stays");
    assert_ne!(lit.pixel(sky), before.pixel(sky), "the rest recedes");
    window.keys("ctrl+q");
    window.end().success();

    let window = display.open(desk.command(["open", "darker.stint"]));
    press(&window, wording::HELD_AGAINST);
    let whole = "Nearly everything 0.6 darker, which keeps the mood";
    for sentence in [whole, "Sky right", "Roofs right", "Brick right", "Yard right", "Lamp glow 0.9 too light"] {
        wait_for(sentence, || window.shows(sentence));
    }
    window.keys("ctrl+q");
    window.end().success();
}
