//! The brushes at hand.

use super::*;
use crate::ui::tool_kind::ToolKind;
use egui_kittest::kittest::Queryable;
use stint_render::mask::brush::Brush;
use stint_render::mask::curve::Curve;
use stint_render::mask::mark::Kind;

fn brush<'a>(harness: &'a Harness<'_, Screen>) -> &'a Brush {
    harness.state().session.as_ref().unwrap().brush()
}

fn kind(harness: &Harness<'_, Screen>) -> Option<Kind> {
    brush(harness).mark.as_deref().map(|mark| mark.kind)
}

#[test]
fn a_brush_is_taken_up_by_its_name_and_remembers_how_it_was_set() {
    let mut harness = small(full());
    press(&mut harness, wording::MASS);
    for of in Kind::ALL {
        press(&mut harness, of.name());
        assert_eq!(kind(&harness), Some(of));
    }
    assert_eq!(harness.state().tool, ToolKind::Brush, "who takes up a brush paints with it");
    press(&mut harness, "Flat");
    harness.get_by_label(wording::SIZE).set_value_accesskit(77.0);
    harness.get_by_label(wording::PAINT).set_value_accesskit(0.25);
    harness.run();
    press(&mut harness, "Soft");
    assert_ne!(brush(&harness).size_px, 77.0);
    press(&mut harness, "Flat");
    assert_eq!(brush(&harness).size_px, 77.0);
    assert_eq!(brush(&harness).mark.as_deref().unwrap().paint.load, 0.25);
}

#[test]
fn the_brush_and_its_size_are_there_again_at_the_next_start() {
    let folder = tempfile::tempdir().unwrap();
    let start = || {
        let mut state = State { data_folder: Some(folder.path().to_owned()), ..State::default() };
        state.settings = crate::files::settings::Settings::read(folder.path()).0;
        state.gather_brushes();
        state
    };
    let mut state = start();
    state.session = empty().session.take();
    state.choose_brush(5);
    let rag = state.session.as_ref().unwrap().brush().clone();
    state.set_brush(Brush { size_px: 123.0, ..rag });
    crate::ui::studies::close(&mut state);
    assert!(state.notices.is_empty(), "{:?}", state.notices);
    let held = start().brushes.chosen_brush().unwrap().clone();
    assert_eq!((held.named.name.as_str(), held.named.brush.size_px), ("Rag", 123.0));
}

/// Grey alone, and each brush shows another mark.
#[test]
fn every_brush_has_a_picture_of_its_own() {
    let mut harness = small(full());
    press(&mut harness, "Knife");
    let whole = harness.render().unwrap();
    let mut seen: Vec<Vec<u8>> = Vec::new();
    for of in Kind::ALL.into_iter().filter(|of| *of != Kind::Knife) {
        let rect = harness.get_by_label(of.name()).rect();
        let mut greys = Vec::new();
        for y in 3..20 {
            for x in 3..rect.width() as u32 - 3 {
                let [r, g, b, _] = whole.get_pixel(rect.left() as u32 + x, rect.top() as u32 + y).0;
                assert!(r == g && g == b, "{of:?} has a colour");
                greys.push(r);
            }
        }
        assert!(greys.iter().max().unwrap() - greys.iter().min().unwrap() > 60, "{of:?} shows nothing");
        assert!(!seen.contains(&greys), "{of:?} looks like another");
        seen.push(greys);
    }
    if let Some(path) = std::env::var_os("STINT_LOOK_AT") {
        whole.save(path).unwrap();
    }
}

/// The panel has room for eight; the ninth, taken up by its key, is brought into sight.
#[test]
fn a_brush_that_a_key_takes_up_is_in_sight() {
    let mut harness = small(full());
    let below = |harness: &Harness<'_, Screen>, name: &str| {
        harness.get_by_label(name).rect().bottom() > harness.get_by_label(wording::SIZE).rect().top()
    };
    assert!(below(&harness, "Wet bristle"));
    harness.state_mut().take_up_brush(8);
    harness.run();
    assert!(!below(&harness, "Wet bristle"));
}

#[test]
fn the_brush_in_hand_is_set_tried_and_kept_as_ones_own() {
    let folder = tempfile::tempdir().unwrap();
    let mut screen = full();
    screen.data_folder = Some(folder.path().to_owned());
    let mut harness = small(screen);
    press(&mut harness, "Bristle");
    harness.get_by_label("Bristle").click_secondary();
    harness.run();
    harness.get_by_label(wording::UNEVEN).set_value_accesskit(0.25);
    harness.get_by_label(wording::TAKES_UP).set_value_accesskit(0.5);
    harness.get_by_label(wording::LIGHT_WIDTH).set_value_accesskit(0.3);
    harness.get_by_label(wording::LIGHT_STRENGTH).set_value_accesskit(0.4);
    harness.run();
    let mark = brush(&harness).mark.clone().unwrap();
    assert_eq!((mark.bristles.unevenness, mark.wet.pickup), (0.25, 0.5));
    let by_pressure = |curve: Curve| (curve.at(0.0), curve.at(1.0));
    assert_eq!(by_pressure(mark.dynamics.size.pressure), (0.3, 1.0));
    assert_eq!(by_pressure(mark.dynamics.flow.pressure), (0.4, 1.0));
    let strip = harness.get_by_label(wording::BRUSH_STRIP).rect();
    harness.drag_at(strip.center() - egui::vec2(100.0, 0.0));
    harness.hover_at(strip.center());
    harness.step();
    harness.drop_at(strip.center() + egui::vec2(100.0, 20.0));
    harness.run();
    keep_picture(&mut harness, "brush_sheet", [1280.0, 800.0]);
    harness.get_by_label(wording::BRUSH_NAME).set_text_value_accesskit("Depot wall");
    harness.run();
    press(&mut harness, wording::KEEP_BRUSH);
    press(&mut harness, wording::AS_IT_CAME);
    press(&mut harness, wording::DONE);
    let mine = harness.state().brushes.all().last().unwrap().clone();
    assert_eq!(mine.named.name, "Depot wall");
    assert_eq!(mine.original.mark.unwrap().bristles.unevenness, 0.25);
    assert!(mine.path.unwrap().starts_with(folder.path()));
}

/// Three strokes of a pen set the curve that every brush follows; it is kept, and one press lets the pen's pressure count as it is.
#[test]
fn three_strokes_set_how_hard_the_hand_presses() {
    let folder = tempfile::tempdir().unwrap();
    let mut screen = full();
    screen.settings = crate::files::settings::Settings::read(folder.path()).0;
    let mut harness = small(screen);
    press(&mut harness, "Bristle");
    harness.get_by_label("Bristle").click_secondary();
    harness.run();
    press(&mut harness, wording::PRESSURE_OPEN);
    let draw = |harness: &mut Harness<'_, Screen>, stroke: &str, pressure: Option<f32>| {
        let rect = harness.get_by_label(&wording::pressure_field(stroke)).rect();
        let at = |i: i16| rect.left_center() + egui::vec2(10.0 + 6.0 * f32::from(i), 0.0);
        harness.drag_at(at(0));
        for i in 1..16 {
            harness.state_mut().pen.hear(pressure);
            harness.hover_at(at(i));
            harness.step();
        }
        harness.drop_at(at(16));
        harness.run();
    };
    draw(&mut harness, "Light", Some(0.1));
    draw(&mut harness, "Usual", None);
    harness.get_by_label(wording::PRESSURE_MUTE);
    draw(&mut harness, "Usual", Some(0.2));
    let curve = |harness: &Harness<'_, Screen>| harness.state().pen.curve().pressures();
    let plain = stint_render::mask::pressure_curve::PressureCurve::PLAIN.pressures();
    assert_eq!(curve(&harness), plain, "two strokes are no curve");
    draw(&mut harness, "Firm", Some(0.15));
    harness.get_by_label_contains("a little harder than the one before");
    assert_eq!(curve(&harness), plain);
    draw(&mut harness, "Firm", Some(0.6));
    assert_eq!(curve(&harness), [0.1, 0.2, 0.6]);
    harness.get_by_label(wording::PRESSURE_CURVE);
    keep_picture(&mut harness, "pressure_sheet", [1280.0, 800.0]);
    let kept = crate::files::settings::Settings::read(folder.path()).0;
    assert_eq!(crate::ui::pen_pressure::PenPressure::of(&kept).curve().pressures(), [0.1, 0.2, 0.6]);
    press(&mut harness, wording::PRESSURE_PLAIN);
    assert_eq!(curve(&harness), plain);
    press(&mut harness, wording::DONE);
    // Back on the brush's sheet.
    harness.get_by_label(wording::BRUSH_STRIP);
}

#[test]
fn a_brush_goes_into_a_file_and_comes_from_one_and_no_name_is_taken_twice_unasked() {
    let (data, files) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let mut screen = full();
    screen.data_folder = Some(data.path().to_owned());
    let mut harness = small(screen);
    let open_sheet = |harness: &mut Harness<'_, Screen>| {
        // A brush taken in was brought into sight, and this one out of it.
        harness.get_by_label("Bristle").focus();
        harness.run();
        harness.get_by_label("Bristle").click_secondary();
        harness.run();
    };
    press(&mut harness, "Bristle");
    let path = files.path().join("wall.brush.ron");
    let write = |harness: &mut Harness<'_, Screen>| {
        open_sheet(harness);
        harness.get_by_label(wording::BRUSH_NAME).set_text_value_accesskit("Depot wall");
        harness.run();
        press(harness, wording::BRUSH_TO_FILE);
        choose(harness, &path, wording::WRITE_IT);
    };
    write(&mut harness);
    let written = crate::files::brushes::read(&path).unwrap();
    assert_eq!((written.name.as_str(), &written.brush), ("Depot wall", brush(&harness)));
    // The name is taken: it asks, and another name leaves the file.
    std::fs::write(&path, "mine").unwrap();
    write(&mut harness);
    press(&mut harness, wording::REPLACE);
    assert_eq!(crate::files::brushes::read(&path).unwrap().name, "Depot wall");

    let names = |harness: &Harness<'_, Screen>| {
        let own = harness.state().brushes.all().iter().filter(|b| b.path.is_some());
        own.map(|b| b.named.name.clone()).collect::<Vec<_>>()
    };
    let take = |harness: &mut Harness<'_, Screen>, path: &std::path::Path| {
        open_sheet(harness);
        press(harness, wording::BRUSH_FROM_FILE);
        choose(harness, path, wording::OPEN_IT);
    };
    take(&mut harness, &path);
    assert_eq!(names(&harness), ["Depot wall"]);
    assert_eq!(harness.state().brushes.chosen_brush().unwrap().named.name, "Depot wall");
    take(&mut harness, &path);
    press(&mut harness, &wording::keep_brush_as("Depot wall 2"));
    assert_eq!(names(&harness), ["Depot wall", "Depot wall 2"]);
    let changed = std::fs::read_to_string(&path).unwrap().replacen("strength: 1.0", "strength: 0.5", 1);
    std::fs::write(&path, changed).unwrap();
    take(&mut harness, &path);
    press(&mut harness, wording::BRUSH_INSTEAD);
    assert_eq!(names(&harness), ["Depot wall", "Depot wall 2"]);
    assert_eq!(brush(&harness).strength, 0.5);
    // A broken file is named with its line and reason, and nothing comes of it.
    let broken = files.path().join("broken.brush.ron");
    std::fs::write(&broken, "(\n  name: \"A\",\n  brush: (sise: 40.0),\n)").unwrap();
    take(&mut harness, &broken);
    let told = harness.state().notices.last().unwrap().clone();
    assert!(["line 3", "broken.brush.ron", "sise"].iter().all(|part| told.contains(part)), "{told}");
    assert_eq!(names(&harness).len(), 2);
}
