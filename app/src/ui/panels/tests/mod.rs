//! The panels pressed by their labels, and looked at as pictures.
#![allow(clippy::unwrap_used)]

mod board;
mod brushes;
mod canvas_crop;
mod charts;
mod choosing;
mod comparison;
mod learning;
mod library;
mod looks;
mod memory;
mod painting;
mod photo;
mod photo_adjustments;
mod photo_picks;
mod settings;
mod starting;
mod studies;
mod study_files;
mod tray;
mod well;

use super::{PanelState, canvas_frame, enlargement, frame};
use crate::study::command::{Command, SwatchRef};
use crate::study::session::{Loaded, Session};
use crate::ui::canvas_view::transform::{Area, View};
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::accesskit::Role as Accessible;
use egui::{Ui, UiBuilder};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use std::ops::{Deref, DerefMut};
use stint_model::board::{Board, LightOfDay, Role};
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;
use stint_render::mask::mass::Edge;

/// The board of the pictures: six families of three, colours of our own.
const BOARD: [(&str, [&str; 3]); 6] = [
    ("Sky", ["#9db2c6", "#5c7394", "#3b4a66"]),
    ("Far roofs", ["#838f9b", "#646577", "#47454f"]),
    ("Brick", ["#8f7478", "#73524e", "#4c3432"]),
    ("Wet yard", ["#8f9db3", "#525a68", "#36353b"]),
    ("Enamel", ["#b9b489", "#8c7a3c", "#574526"]),
    ("Lamp glow", ["#ecd3a3", "#d49b5b", "#a4633b"]),
];

/// What a window holds side by side. Most tests look at the state.
struct Screen {
    state: State,
    panels: PanelState,
    view: View,
}

impl From<State> for Screen {
    fn from(state: State) -> Self {
        Screen { state, panels: PanelState::default(), view: View::default() }
    }
}

impl Deref for Screen {
    type Target = State;

    fn deref(&self) -> &State {
        &self.state
    }
}

impl DerefMut for Screen {
    fn deref_mut(&mut self) -> &mut State {
        &mut self.state
    }
}

fn photo() -> String {
    concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg").to_owned()
}

fn empty() -> Screen {
    let board = Board::new("Tram depot", LightOfDay::Cool);
    let session = Session::in_memory((160, 120), board, EngineChoice::Cpu).unwrap();
    let mut state = State { session: Some(session), ..State::default() };
    // The line with the next step has tests of its own.
    state.settings.set(&crate::files::settings::FIRST_STEPS, &false).unwrap();
    state.into()
}

/// A study with a board, a photo, masses, strokes, a second pass and a little free colour.
fn full() -> Screen {
    let mut state = empty();
    let mut apply = |command: Command| assert!(state.apply(&command), "{command:?}: {:?}", state.notices);
    apply(Command::Reference(photo()));
    for (family, colours) in BOARD {
        for (role, colour) in [Role::Light, Role::Local, Role::Shadow].into_iter().zip(colours) {
            let (family, name) = (family.to_owned(), String::new());
            apply(Command::AddSwatch { family, role, name, colour: colour.to_owned(), by_role: false });
        }
    }
    let load = |family: &str, role| Command::Load(SwatchRef::Swatch { family: family.to_owned(), role });
    let masses = [
        ("Sky", Role::Shadow, [0.0, 0.0, 160.0, 12.0]),
        ("Sky", Role::Local, [0.0, 12.0, 160.0, 30.0]),
        ("Sky", Role::Light, [0.0, 30.0, 54.0, 56.0]),
        ("Far roofs", Role::Local, [0.0, 52.0, 30.0, 70.0]),
        ("Brick", Role::Local, [54.0, 24.0, 146.0, 80.0]),
        ("Brick", Role::Shadow, [76.0, 42.0, 100.0, 80.0]),
        ("Wet yard", Role::Local, [0.0, 70.0, 160.0, 92.0]),
        ("Wet yard", Role::Shadow, [0.0, 92.0, 132.0, 120.0]),
        ("Enamel", Role::Local, [16.0, 54.0, 74.0, 76.0]),
        ("Enamel", Role::Shadow, [20.0, 72.0, 74.0, 88.0]),
        ("Lamp glow", Role::Local, [112.0, 44.0, 136.0, 58.0]),
    ];
    for (family, role, [x0, y0, x1, y1]) in masses {
        apply(load(family, role));
        apply(Command::Mass { outline: vec![[x0, y0], [x1, y0], [x1, y1], [x0, y1]], edge: Edge::default() });
    }
    apply(Command::AddPass("Second pass".to_owned()));
    apply(load("Sky", Role::Light));
    apply(Command::Stroke((0..20).map(|i| PenSample::new(20.0 + i as f32 * 4.0, 20.0 + i as f32, 0.5)).collect()));
    apply(Command::OpenFree);
    apply(Command::LoadFree("#c43a5e".to_owned()));
    apply(Command::Stroke((0..8).map(|i| PenSample::new(120.0 + i as f32, 70.0, 0.4)).collect()));
    apply(load("Brick", Role::Local));
    state
}

/// A window of a size in pixels, with the panels enlarged as the program would.
fn window(screen: impl Into<Screen>, size: [f32; 2]) -> Harness<'static, Screen> {
    let enlarged = enlargement(size.into());
    let points = egui::Vec2::from(size) / enlarged;
    let builder = Harness::builder()
        .with_size(points)
        .with_pixels_per_point(enlarged)
        .with_context_setup(theme::install)
        .with_max_steps(12);
    let draw = |ui: &mut Ui, screen: &mut Screen| {
        let Screen { state, panels, view } = screen;
        // The harness leaves a margin; the program does not.
        let window = ui.ctx().content_rect();
        let mut root = ui.new_child(UiBuilder::new().max_rect(window));
        root.set_clip_rect(window);
        let ui = &mut root;
        let rect = frame(ui, state, panels);
        let grey = theme::surround_grey(state.surround);
        ui.painter().rect_filled(rect, 0.0, theme::srgb([grey; 3]));
        let points = f64::from(ui.ctx().pixels_per_point());
        let [left, top] = [rect.left(), rect.top()].map(|v| f64::from(v) * points);
        let [width, height] = [rect.width(), rect.height()].map(|v| f64::from(v) * points);
        view.set_area(Area { left, top, width, height }, points);
        if rect.is_positive() {
            canvas_frame(ui, state, panels, view, rect, points);
        }
        let wake = ui.ctx().clone();
        crate::ui::studies::handle(state, move || wake.request_repaint());
    };
    let mut harness = builder.with_render_options(Default::default()).build_ui_state(draw, screen.into());
    harness.set_render_cursor(false);
    harness.run();
    harness
}

fn small(screen: impl Into<Screen>) -> Harness<'static, Screen> {
    window(screen, [1280.0, 800.0])
}

fn press(harness: &mut Harness<'_, Screen>, label: &str) {
    harness.get_by_label(label).click();
    harness.run();
}

/// Lets the pointer rest where it is until what waits for that has come.
fn rest_there(harness: &mut Harness<'_, Screen>) {
    let now = harness.input().time.unwrap_or_default().max(harness.ctx.input(|i| i.time));
    harness.input_mut().time = Some(now + 1.0);
    harness.run();
}

/// Runs until something is so: work beside the window takes its time.
fn until(harness: &mut Harness<'_, Screen>, what: &str, so: impl Fn(&Harness<'_, Screen>) -> bool) {
    for _ in 0..3000 {
        harness.step();
        if so(harness) {
            // Each picture that comes asks for a frame: on a busy machine they may come for longer than it takes to settle otherwise.
            for _ in 0..100 {
                if harness.try_run().is_ok() {
                    return;
                }
            }
            harness.run();
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    panic!("{what} did not come; notices: {:?}", harness.state().notices);
}

/// Opens a file as if it was dropped on the window, and waits for what comes of it.
fn open(harness: &mut Harness<'_, Screen>, path: &std::path::Path) {
    harness.state_mut().requests.push(crate::ui::request::Request::Open(path.to_owned()));
    harness.step();
    settled(harness);
}

/// Waits until nothing is being opened.
fn settled(harness: &mut Harness<'_, Screen>) {
    until(harness, "what is being opened", |h| {
        h.state().opening.is_none() && h.state().opened.is_none() && h.state().requests.is_empty()
    });
}

/// Presses a button that steps back or on, and lets the step arrive.
fn step(harness: &mut Harness<'_, Screen>, button: &str) {
    press(harness, button);
    assert!(harness.state_mut().settle());
    harness.run();
}

/// Keeps a picture of the window in the folder named by `STINT_PICTURES`, if one is named, to be looked at.
fn keep_picture(harness: &mut Harness<'_, Screen>, name: &str, size: [f32; 2]) {
    if let Some(folder) = std::env::var_os("STINT_PICTURES") {
        let picture = harness.render().unwrap();
        picture.save(std::path::Path::new(&folder).join(format!("{name}_{}.png", size[0]))).unwrap();
    }
}

/// Writes a path into the browser that is open and presses its button.
fn choose(harness: &mut Harness<'_, Screen>, path: &std::path::Path, button: &str) {
    let field = harness.get_by_role_and_label(Accessible::TextInput, wording::FILE_NAME);
    field.set_text_value_accesskit(&path.to_string_lossy());
    harness.run();
    press(harness, button);
}

fn document(harness: &Harness<'_, Screen>) -> stint_model::study::Document {
    harness.state().session.as_ref().unwrap().document().clone()
}
