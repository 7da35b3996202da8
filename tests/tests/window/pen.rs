//! A pen with pressure on a real X server: what the hand does comes into the study.
//!
//! Needs Xorg with its dummy screen, and a software Vulkan driver; without them this fails and says what to install.

use crate::pen_support::{Device, Server};
use std::process::Command;
use stint::study::command::Command as Change;
use stint_model::study::file::StudyFile;
use stint_render::mask::PenSample;
use stint_render::mask::curve::Curve;
use stint_tests::display::{Control, Place, software_driver, wait_for};
use stint_tests::program::{TestFolder, lacks, skipped};

const STUDY: &str = "depot.stint";

/// Commands of the steps in a study.
fn steps(desk: &TestFolder) -> Vec<Change> {
    let steps = StudyFile::open_read_only(&desk.path(STUDY)).unwrap().steps().unwrap();
    steps.iter().map(|s| ron::from_str(&s.command).unwrap()).collect()
}

/// A straight line, its pressure changing evenly from one end to the other.
fn draw(device: &mut Device, from: Place, to: Place, pressures: Option<(f64, f64)>) {
    let parts = 60;
    let between = |a: f64, b: f64, i: i32| a + (b - a) * f64::from(i) / f64::from(parts);
    let at = |i: i32| {
        let part = |a: i32, b: i32| between(f64::from(a), f64::from(b), i).round() as i32;
        (part(from.0, to.0), part(from.1, to.1))
    };
    let pressure = |i: i32| pressures.map(|(a, b)| between(a, b, i));
    device.move_to(at(0), pressures.map(|_| 0.0));
    device.move_to(at(0), pressure(0));
    device.press();
    for i in 1..=parts {
        device.move_to(at(i), pressure(i));
        std::thread::sleep(std::time::Duration::from_millis(4));
    }
    device.release();
}

/// Pressures of a stroke, and its ends on the canvas.
fn of(samples: &[PenSample]) -> (Vec<f32>, [f32; 2], [f32; 2]) {
    let (first, last) = (samples.first().unwrap(), samples.last().unwrap());
    (samples.iter().map(|s| s.pressure).collect(), [first.x_px, first.y_px], [last.x_px, last.y_px])
}

/// Width of the brush, and its part that a pressure of 0, one half and 1 gives.
const SIZE_PX: f32 = 60.0;
const BY_PRESSURE: Curve = Curve(0.1, 0.54, 1.0);

/// The study as a picture.
fn picture(desk: &TestFolder, name: &str) -> image::RgbImage {
    desk.stint(["export", STUDY, "--out", name]).success();
    image::open(desk.path(name)).unwrap().to_rgb8()
}

/// How wide paint lies across a straight stroke, this part of its length along; the median of a few places. Bare is what the corner of the
/// picture shows.
fn width_px(picture: &image::RgbImage, from: [f32; 2], to: [f32; 2], along: f32) -> f32 {
    let way = [to[0] - from[0], to[1] - from[1]];
    let length = way[0].hypot(way[1]);
    let [x, y] = way.map(|step| step / length);
    let bare = *picture.get_pixel(2, 2);
    let across = |at: f32| {
        let is_paint = |offset: f32| {
            let (px, py) = (from[0] + x * at - y * offset, from[1] + y * at + x * offset);
            let there = picture.get_pixel(px as u32, py as u32);
            there.0.iter().zip(bare.0).map(|(a, b)| u32::from(a.abs_diff(b))).sum::<u32>() > 20
        };
        let painted: Vec<f32> = (-200..=200).map(|i| i as f32 / 4.0).filter(|offset| is_paint(*offset)).collect();
        painted.last().map_or(0.0, |last| last - painted[0])
    };
    let mut widths: Vec<f32> = (-4_i8..=4).map(|i| across(along * length + 3.0 * f32::from(i))).collect();
    widths.sort_by(f32::total_cmp);
    widths[widths.len() / 2]
}

#[test]
fn pressure_and_place_of_a_pen_reach_the_stroke_and_its_other_end_scrapes() {
    if lacks(&["Xorg", "x11-libraries", "vulkan"]) {
        return;
    }
    let desk = TestFolder::new();
    desk.study_with_brick(STUDY);
    let Some(server) = Server::start() else {
        return skipped("a pen on X11: this user may not start an X server");
    };
    let [mut pen, mut eraser, mut mouse] = ["pen", "eraser", "mouse"].map(|name| server.device(name));

    // A brush whose mark is as wide as the pressure says, full to its end, in hand.
    let (data, config) = (desk.path("own"), desk.path("settings"));
    let write = |path: std::path::PathBuf, text: String| {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    };
    let Curve(low, middle, high) = BY_PRESSURE;
    let plain = "grain: (amount: 0.0), paint: (holds: 100.0), path: (smoothing: 0.0, taper_start: 0.0, taper_end: 0.0)";
    let brush = format!(
        "(size: {SIZE_PX:.1}, mark: (kind: Round, dynamics: (size: (pressure: ({low:?}, {middle:?}, {high:?}))), {plain}))"
    );
    write(data.join("stint/brushes/ramp.brush.ron"), format!("(name: \"Ramp\", brush: {brush})"));
    write(config.join("stint/settings.ron"), "{\"brush\": \"Ramp\"}".to_owned());

    let controls = desk.path("controls");
    let mut command: Command = desk.command(["open", STUDY]);
    command
        .env("DISPLAY", server.name())
        .env("HOME", desk.path(""))
        .env("XDG_DATA_HOME", &data)
        .env("XDG_CONFIG_HOME", &config)
        .env(stint::host::window::CONTROLS_VARIABLE, &controls);
    command.env("VK_DRIVER_FILES", software_driver()).env("VK_ICD_FILENAMES", software_driver());
    let program = command.spawn().unwrap();
    struct Running(std::process::Child);
    impl Drop for Running {
        fn drop(&mut self) {
            // A program that has ended is no trouble.
            let _ = self.0.kill();
            let _ = self.0.wait();
        }
    }
    let _running = Running(program);
    let canvas = || {
        let text = std::fs::read_to_string(&controls).unwrap_or_default();
        text.lines().filter_map(Control::of_line).find(|c| c.name == "Canvas")
    };
    wait_for("the canvas", || canvas().is_some());
    let canvas = canvas().unwrap();
    // A canvas of four to three, shown whole: the room between its ends and those of the area is even.
    let [left, top, right, bottom] = canvas.edges;
    // 24 points of the area stay free on either side.
    let scale = 1200.0 / ((bottom - top) as f32 - 48.0);
    let middle = ((left + right) as f32 / 2.0, (top + bottom) as f32 / 2.0);
    let on_canvas = |(x, y): Place| [800.0 + (x as f32 - middle.0) * scale, 600.0 + (y as f32 - middle.1) * scale];

    let (from, to) = ((450, 200), (850, 450));
    pen.enter_proximity(from);
    let before = steps(&desk).len();
    draw(&mut pen, from, to, Some((0.2, 0.9)));
    wait_for("the stroke", || steps(&desk).len() == before + 1);
    let Change::Stroke(samples) = steps(&desk).pop().unwrap() else { panic!("no stroke: {:?}", steps(&desk)) };
    let (pressures, first, last) = of(&samples);
    assert!(pressures.len() > 30, "{pressures:?}");
    assert!((pressures[0] - 0.2).abs() < 0.03 && (pressures.last().unwrap() - 0.9).abs() < 0.03, "{pressures:?}");
    assert!(pressures.is_sorted(), "it was pressed harder and harder: {pressures:?}");
    for (found, wanted) in [(first, on_canvas(from)), (last, on_canvas(to))] {
        let off = (found[0] - wanted[0]).hypot(found[1] - wanted[1]);
        assert!(off < 4.0, "{found:?} is {off} canvas pixels from {wanted:?}");
    }

    // The mark widens as the brush's curve says.
    let seen = picture(&desk, "ramp.png");
    for part in [0.2, 0.35, 0.5, 0.65, 0.8] {
        let wanted = SIZE_PX * BY_PRESSURE.at(0.2 + 0.7 * part);
        let found = width_px(&seen, on_canvas(from), on_canvas(to), part);
        // Hair is a little uneven at its edges.
        assert!((0.86..1.06).contains(&(found / wanted)), "{part} along: {found} px wide, not {wanted}");
    }

    // The other end takes paint off.
    eraser.enter_proximity(from);
    draw(&mut eraser, from, to, Some((1.0, 1.0)));
    wait_for("the scrape", || steps(&desk).len() == before + 2);
    assert!(matches!(steps(&desk).pop().unwrap(), Change::Scrape(_)), "{:?}", steps(&desk));
    let scraped = picture(&desk, "scraped.png");
    let left = |part| width_px(&scraped, on_canvas(from), on_canvas(to), part);
    assert!([0.2, 0.5, 0.8].iter().all(|part| left(*part) < 2.0), "paint is left: {:?}", [0.2, 0.5, 0.8].map(left));

    // A mouse presses fully, as ever, and is heard once.
    draw(&mut mouse, (450, 300), (850, 300), None);
    wait_for("the stroke of the mouse", || steps(&desk).len() == before + 3);
    let Change::Stroke(samples) = steps(&desk).pop().unwrap() else { panic!("no stroke: {:?}", steps(&desk)) };
    assert!(of(&samples).0.iter().all(|&p| p == 1.0));
    assert_eq!(steps(&desk).len(), before + 3);

    // The cable comes out in the middle of a stroke: what was painted is kept, and the mouse goes on.
    pen.move_to((450, 350), Some(0.5));
    pen.press();
    pen.move_to((650, 380), Some(0.5));
    server.unplug("Test Pen");
    wait_for("the stroke that was cut short", || steps(&desk).len() == before + 4);
    draw(&mut mouse, (450, 400), (850, 400), None);
    wait_for("a stroke of the mouse after it", || steps(&desk).len() == before + 5);
    let Change::Stroke(samples) = steps(&desk).pop().unwrap() else { panic!("no stroke: {:?}", steps(&desk)) };
    assert!(of(&samples).0.len() > 30, "the whole stroke");
}
