//! A pen's events as the window system hands them over, from there to the stroke. It stands for a tablet on Wayland: no compositor that
//! runs without a screen offers one (Debian's weston 10 does not know the protocol; sway takes tablets from the kernel alone), and winit
//! makes the same events of its tools.
#![allow(clippy::unwrap_used)]

use super::events::Translator;
use crate::base::clock::{self, Duration};
use crate::study::command::{Command, SwatchRef};
use crate::study::session::Session;
use crate::ui::canvas_view::transform::{Area, View};
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::tools::input::Input;
use crate::ui::tools::{Pointer, Scene};
use stint_model::board::{Board, Role};
use stint_model::ids::SwatchId;
use stint_render::choose::EngineChoice;
use stint_render::mask::brush::Brush;
use winit::event::{ButtonSource, Force, PointerSource, TabletToolButton, TabletToolData, TabletToolKind};

/// Width of the brush, and its part that a pressure of 0, one half and 1 gives.
const SIZE_PX: f32 = 60.0;
const BY_PRESSURE: (f32, f32, f32) = (0.1, 0.55, 1.0);
/// Samples of the pen, and the pressures at its first and last.
const SAMPLES: u16 = 120;
const RAMP: (f64, f64) = (0.2, 0.9);

struct Window {
    state: State,
    panels: PanelState,
    view: View,
    pointer: Pointer,
    translator: Translator,
}

impl Window {
    fn new() -> Self {
        let mut session = Session::in_memory((800, 300), Board::default(), EngineChoice::Cpu).unwrap();
        let (family, name, colour) = ("Brick".to_owned(), String::new(), "#73524e".to_owned());
        session.apply(&Command::AddSwatch { family, role: Role::Local, name, colour, by_role: false }).unwrap();
        session.apply(&Command::Load(SwatchRef::Id(SwatchId(1)))).unwrap();
        let plain = "grain: (amount: 0.0), bristles: (unevenness: 0.0), paint: (holds: 1000.0, lift: 0.0)";
        let path = "path: (smoothing: 0.0, taper_start: 0.0, taper_end: 0.0)";
        let (low, middle, high) = BY_PRESSURE;
        let size = format!("dynamics: (size: (pressure: ({low:?}, {middle:?}, {high:?})))");
        let brush: Brush = ron::from_str(&format!(
            "(size: {SIZE_PX:?}, hardness: 1.0, strength: 1.0, mark: (kind: Round, {size}, {plain}, {path}))"
        ))
        .unwrap();
        session.apply(&Command::Brush(brush)).unwrap();
        let mut view = View::default();
        view.set_area(Area { left: 0.0, top: 0.0, width: 800.0, height: 300.0 }, 1.0);
        view.fit([800, 300]);
        view.actual_size();
        Window {
            state: State { session: Some(session), ..State::default() },
            panels: PanelState::default(),
            view,
            pointer: Pointer::default(),
            translator: Translator::default(),
        }
    }

    fn take(&mut self, input: Option<Input>) {
        let on_canvas = |_: [f64; 2]| true;
        let mut scene = Scene {
            state: &mut self.state,
            panels: &mut self.panels,
            view: &mut self.view,
            on_canvas: &on_canvas,
            points: 1.0,
        };
        self.pointer.take(input.unwrap(), &mut scene);
        self.pointer.show(&mut self.state, &mut self.panels);
    }

    /// Draws a line from one window point to another with this end of a pen, as hard as the ramp says.
    fn draw(&mut self, kind: TabletToolKind, [from, to]: [[f64; 2]; 2]) {
        let start = clock::now();
        let data = |part: f64| TabletToolData {
            force: Some(Force::Normalized(RAMP.0 + (RAMP.1 - RAMP.0) * part)),
            ..TabletToolData::default()
        };
        let tip = |part| ButtonSource::TabletTool { kind, button: TabletToolButton::Contact, data: data(part) };
        for i in 0..SAMPLES {
            let part = f64::from(i) / f64::from(SAMPLES - 1);
            let at = [0, 1].map(|k| from[k] + (to[k] - from[k]) * part);
            let now = start + Duration::from_millis(u64::from(i) * 4);
            let moved = PointerSource::TabletTool { kind, data: data(part) };
            let moved = self.translator.moved(at, true, &moved, now).tool;
            self.take(moved);
            if i == 0 {
                let pressed = self.translator.button(at, true, true, &tip(part), now).tool;
                self.take(pressed);
            }
            if i == SAMPLES - 1 {
                let released = self.translator.button(at, true, false, &tip(part), now).tool;
                self.take(released);
            }
        }
    }

    /// How many pixels of a canvas column hold paint, by their cover.
    fn width_at(&mut self, column: u32) -> f32 {
        let session = self.state.session.as_mut().unwrap();
        (0..300).map(|y| session.paints_at(column, y).unwrap().iter().map(|paint| paint.1).sum::<f32>()).sum()
    }
}

/// A level stroke that is pressed harder and harder is as wide everywhere as the brush's curve says, to a pixel and a half, and the other
/// end of the pen takes it off.
#[test]
fn a_ramp_of_pressure_gives_the_width_that_the_curve_says() {
    let mut window = Window::new();
    let [from, to] = [[100.0, 150.0], [700.0, 150.0]];
    window.draw(TabletToolKind::Pen, [from, to]);
    assert_eq!(window.state.session.as_ref().unwrap().strokes(), 1, "{:?}", window.state.notices);
    let start = window.view.canvas_from_window(from);
    let (low, middle, high) = BY_PRESSURE;
    for part in [0.15, 0.3, 0.45, 0.6, 0.75, 0.9] {
        let pressure = (RAMP.0 + (RAMP.1 - RAMP.0) * part) as f32;
        // A curve through three points that lie on a line is that line.
        assert!((middle - (low + high) / 2.0).abs() < 1e-6);
        let wanted = SIZE_PX * (low + (high - low) * pressure);
        let found = window.width_at((start[0] + 600.0 * part) as u32);
        assert!((found - wanted).abs() < 1.5, "{part} along: {found} px wide, not {wanted}");
    }
    let eraser = [[from[0], from[1] - 2.0], [to[0], to[1] + 2.0]];
    window.draw(TabletToolKind::Eraser, eraser);
    for part in [0.15, 0.5, 0.9] {
        let left = window.width_at((start[0] + 600.0 * part) as u32);
        assert!(left < 3.0, "{left} px are left {part} along");
    }
}
