//! One frame of the program off screen, while a 400 px brush is painting on a study of 4096 x 4096 pixels in a window of
//! 2560 x 1440: the hand's samples, the engine, the panels, the picture, until the device is done.
//! Run with `cargo bench -p stint-tests --bench frame`; needs a Vulkan driver and no display. Add `-- gpu` or `-- cpu` for one
//! of the engines.
//!
//! Targets on a real GPU: a frame under 1 ms, CPU and GPU together (median; under 2 ms 99 times in 100), the pen lifted in 2 ms, 8 MB
//! moved a frame. On a software driver the hue is turned 60 times a second.
#![allow(missing_docs, clippy::unwrap_used)]

use egui::{Event, Rect, pos2, vec2};
use std::time::Instant;
use stint::host::window::frame_renderer::{CanvasPicture, FrameRenderer, Picture, Target};
use stint::study::command::{Command, SwatchRef};
use stint::study::session::{Session, share_device};
use stint::ui::canvas_view::DisplayOptions;
use stint::ui::canvas_view::transform::{Area, View};
use stint::ui::looks::Look;
use stint::ui::panels::PanelState;
use stint::ui::state::State;
use stint::ui::tools::input::{Button, Input, Reading};
use stint::ui::tools::{self, Pointer, Scene};
use stint::ui::{panels, theme};
use stint_model::board::Role;
use stint_model::variation::compose::{Light, Settings, compose};
use stint_model::variation::turn::turn;
use stint_render::choose::EngineChoice;
use stint_render::gpu::{AdapterPreference, Gpu};
use stint_render::mask::PenSample;
use stint_render::mask::brush::Brush;
use stint_render::mask::mass::Edge;
use stint_tests::numbers::Numbers;
use stint_tests::scenes;

const WINDOW: [u32; 2] = [2560, 1440];
const STUDY: (u32, u32) = (4096, 4096);
const BRUSH_PX: f32 = 400.0;
/// The study whose hue is turned, and the window that it is seen in.
const SLID_STUDY: (u32, u32) = (2048, 1536);
const SLID_WINDOW: [u32; 2] = [1280, 800];
/// Frames that count, after a few that do not.
const FRAMES: usize = 100;
const WARM_UP: usize = 10;
/// Samples a frame: a pen of 180 samples a second at 60 frames a second.
const SAMPLES: usize = 3;
/// Canvas pixels from one sample to the next, so that every frame has a new dab or two.
const STEP_PX: f64 = 20.0;
/// Longer side of the small pictures of the strip of variations.
const SMALL_CELLS: u32 = 112;
const FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Bgra8Unorm;

/// The best device, which a GPU engine shares as it does in the window.
fn device() -> Gpu {
    let gpu = Gpu::open(AdapterPreference::Best).unwrap();
    share_device(&gpu);
    gpu
}

/// A study with large masses on it, the brush loaded.
fn study(choice: EngineChoice, size: (u32, u32)) -> State {
    let mut session = Session::in_memory(size, scenes::board(6), choice).unwrap();
    let roles = [Role::Shadow, Role::Local, Role::Light];
    let mut numbers = Numbers(9);
    let (width, height) = (size.0 as f32, size.1 as f32);
    for i in 0..14_usize {
        let family = format!("surface {}", 1 + i % 6);
        session.apply(&Command::Load(SwatchRef::Swatch { family, role: roles[i % 3] })).unwrap();
        let outline = match i {
            0 => vec![[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]],
            _ => (0..5).map(|_| [numbers.range(0.0, width), numbers.range(0.0, height)]).collect(),
        };
        session.apply(&Command::Mass { outline, edge: Edge::Soft }).unwrap();
    }
    session.apply(&Command::Brush(Brush { size_px: BRUSH_PX, ..Brush::default() })).unwrap();
    let mut state = State { session: Some(session), ..State::default() };
    state.refresh();
    state
}

/// The panels of a frame, milliseconds.
#[derive(Clone, Copy, Default)]
struct Parts {
    hand: f64,
    panels: f64,
    draw: f64,
    wait: f64,
}

impl Parts {
    fn all(self) -> f64 {
        self.hand + self.panels + self.draw + self.wait
    }
}

struct Stage {
    state: State,
    panels: PanelState,
    view: View,
    pointer: Pointer,
    context: egui::Context,
    renderer: FrameRenderer,
    target: wgpu::Texture,
    window: [u32; 2],
}

impl Stage {
    fn new(choice: EngineChoice, gpu: &Gpu, size: (u32, u32), window: [u32; 2]) -> Self {
        let (device, queue) = (gpu.device().clone(), gpu.queue().clone());
        let context = egui::Context::default();
        theme::install(&context);
        let target = device.create_texture(&wgpu::TextureDescriptor {
            label: None,
            size: wgpu::Extent3d { width: window[0], height: window[1], depth_or_array_layers: 1 },
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format: FORMAT,
            usage: wgpu::TextureUsages::RENDER_ATTACHMENT | wgpu::TextureUsages::COPY_DST,
            view_formats: &[],
        });
        let renderer = FrameRenderer::new(device, queue, Target { format: FORMAT, size: window, copies: true });
        Stage {
            state: study(choice, size),
            panels: PanelState::default(),
            view: View::default(),
            pointer: Pointer::default(),
            context,
            renderer,
            target,
            window,
        }
    }

    /// Bytes that the engine has moved so far.
    fn moved(&mut self) -> u64 {
        self.state.session.as_mut().unwrap().canvas().moved_bytes()
    }

    /// One frame with some input of the hand; tells how many tiles are missing in it.
    fn frame(&mut self, inputs: Vec<Input>) -> (Parts, usize) {
        let start = Instant::now();
        let at = inputs.iter().rev().find_map(|input| match input {
            Input::Moved { at, .. } => Some(*at),
            _ => None,
        });
        let mut scene = Scene {
            state: &mut self.state,
            panels: &mut self.panels,
            view: &mut self.view,
            on_canvas: &|_| true,
            points: 1.0,
        };
        for input in inputs {
            self.pointer.take(input, &mut scene);
        }
        self.pointer.show(&mut self.state, &mut self.panels);
        let hand = start.elapsed();
        let moved = at.map(|[x, y]| Event::PointerMoved(pos2(x as f32, y as f32)));
        let size = vec2(self.window[0] as f32, self.window[1] as f32);
        let raw = egui::RawInput {
            screen_rect: Some(Rect::from_min_size(egui::Pos2::ZERO, size)),
            events: moved.into_iter().collect(),
            focused: true,
            ..Default::default()
        };
        let (state, panels, view, pointer) = (&mut self.state, &mut self.panels, &mut self.view, &self.pointer);
        let output = self.context.run_ui(raw, |ui| {
            let rect = panels::frame(ui, state, panels);
            let [left, top, width, height] =
                [rect.left(), rect.top(), rect.width(), rect.height()].map(|v| f64::from(v.round()));
            view.set_area(Area { left, top, width, height }, 1.0);
            tools::draw(pointer, state, panels, view, &ui.painter_at(rect), 1.0);
        });
        let jobs = self.context.tessellate(output.shapes, output.pixels_per_point);
        let panels = start.elapsed();
        let mut delta = output.textures_delta;
        self.renderer.set_textures(&delta);
        let ground = theme::surround_grey(self.state.surround);
        let near = self.view.canvas_from_window(at.unwrap_or(self.view.area.middle()));
        let canvas = self.state.session.as_mut().map(|session| CanvasPicture {
            session,
            view: &self.view,
            seen: DisplayOptions { look: Look::Colour, surround: ground, photo: None, highlighted: None, near },
            stale: &mut self.state.stale,
        });
        let picture = Picture { jobs, changed: Default::default(), pixels_per_point: 1.0, ground, canvas };
        let missing = self.renderer.draw(picture, &self.target).unwrap();
        self.renderer.free_textures(&delta);
        delta.clear();
        let draw = start.elapsed();
        self.renderer.wait();
        let ms = |d: std::time::Duration| d.as_secs_f64() * 1e3;
        let [hand, panels, draw, all] = [hand, panels, draw, start.elapsed()].map(ms);
        (Parts { hand, panels: panels - hand, draw: draw - panels, wait: all - draw }, missing)
    }

    /// Frames until everything is shown and the panels are at rest.
    fn settle(&mut self) {
        for _ in 0..4 {
            while self.frame(Vec::new()).1 > 0 {}
        }
    }

    /// Paints one stroke, round and round, and lifts the pen.
    fn paint(&mut self, what: &str) {
        self.settle();
        let [x, y] = self.view.area.middle();
        let radius = self.view.area.height * 0.3;
        let mut turn = 0.0_f64;
        let step = STEP_PX * self.view.scale() / radius;
        let mut next = || {
            turn += step;
            [x + radius * turn.cos(), y + radius * turn.sin()]
        };
        self.frame(vec![Input::Pressed {
            at: next(),
            button: Button::Paint,
            reading: Reading::pressed(1.0),
            double: false,
        }]);
        let mut moved = Vec::new();
        let mut panels: Vec<_> = (0..WARM_UP + FRAMES)
            .map(|_| {
                let before = self.moved();
                let moves = (0..SAMPLES).map(|_| Input::Moved { at: next(), reading: Reading::pressed(1.0) }).collect();
                let (panels, missing) = self.frame(moves);
                assert_eq!(missing, 0, "the whole stroke is on the screen");
                moved.push(self.moved() - before);
                panels
            })
            .collect();
        let lift = self.frame(vec![Input::Released { at: next(), button: Button::Paint }]).0;
        moved.sort_unstable();
        let start = Instant::now();
        assert!(self.state.settle(), "{:?}", self.state.notices);
        let kept = start.elapsed().as_secs_f64() * 1e3;
        assert!(self.state.notices.is_empty(), "{:?}", self.state.notices);
        let panels = panels.split_off(WARM_UP);
        let part = |of: fn(&Parts) -> f64, place: f64| {
            let mut values: Vec<f64> = panels.iter().map(of).collect();
            values.sort_by(f64::total_cmp);
            values[((values.len() - 1) as f64 * place) as usize]
        };
        println!(
            "  {what:12} frame {:6.2} ms (p90 {:6.2}, p99 {:6.2}): hand and commit {:5.2}, panels {:5.2}, resolve and draw {:5.2}, \
             device {:5.2}; {:.1} MB moved by the engine; lifting the pen {:.2} ms, kept {kept:.0} ms after that frame",
            part(|p| p.all(), 0.5),
            part(|p| p.all(), 0.9),
            part(|p| p.all(), 0.99),
            part(|p| p.hand, 0.5),
            part(|p| p.panels, 0.5),
            part(|p| p.draw, 0.5),
            part(|p| p.wait, 0.5),
            moved[moved.len() / 2] as f64 / 1e6,
            lift.hand,
        );
    }
}

/// Frames in which the hue of the whole board is turned a little further, as a slider does: all that is seen is coloured anew.
fn slider(choice: EngineChoice, gpu: &Gpu) {
    let mut stage = Stage::new(choice, gpu, SLID_STUDY, SLID_WINDOW);
    stage.settle();
    stage.view.fit([SLID_STUDY.0, SLID_STUDY.1]);
    stage.settle();
    let board = stage.state.session.as_ref().unwrap().document().board.clone();
    let mut times: Vec<f64> = (0..WARM_UP + FRAMES)
        .map(|i| {
            let start = Instant::now();
            let turned = turn(&board, i as f32 - 50.0).unwrap().board;
            stage.state.try_board(Some(&turned));
            while stage.frame(Vec::new()).1 > 0 {}
            start.elapsed().as_secs_f64() * 1e3
        })
        .skip(WARM_UP)
        .collect();
    times.sort_by(f64::total_cmp);
    println!(
        "  hue slider on {} x {} in a window of {} x {}: {:.2} ms a turn (p90 {:.2}), {:.0} a second",
        SLID_STUDY.0,
        SLID_STUDY.1,
        SLID_WINDOW[0],
        SLID_WINDOW[1],
        times[FRAMES / 2],
        times[FRAMES * 9 / 10],
        1e3 / times[FRAMES / 2]
    );
}

/// The strip of variations: a small picture read, read again after a stroke, and coloured twelve times.
fn small(choice: EngineChoice) {
    let mut session = study(choice, STUDY).session.unwrap();
    let ms = |start: Instant| start.elapsed().as_secs_f64() * 1e3;
    let start = Instant::now();
    session.thumbnail(SMALL_CELLS).unwrap();
    let first = ms(start);
    session
        .apply(&Command::Stroke((0..20).map(|i| PenSample::new(2000.0 + 20.0 * i as f32, 2000.0, 1.0)).collect()))
        .unwrap();
    let start = Instant::now();
    let small = session.thumbnail(SMALL_CELLS).unwrap();
    let again = ms(start);
    let board = session.document().board.clone();
    let start = Instant::now();
    for i in 0..12 {
        let settings = Settings { turn_degrees: 10.0 * i as f32, light: Light::Kelvin(3000.0), ..Settings::default() };
        session.thumbnail_under(&small, &compose(&board, &settings).unwrap().board);
    }
    println!(
        "  small picture read {first:.1} ms, again after a stroke {again:.1} ms; coloured 12 times {:.1} ms",
        ms(start)
    );
}

fn main() {
    println!(
        "a frame at {} x {} of a {} x {} study, {BRUSH_PX} px brush, {SAMPLES} samples a frame; medians of {FRAMES}",
        WINDOW[0], WINDOW[1], STUDY.0, STUDY.1
    );
    let asked = |name: &str| std::env::args().any(|a| a == name);
    for (name, choice) in [("gpu", EngineChoice::Gpu), ("cpu", EngineChoice::Cpu)] {
        if (asked("gpu") || asked("cpu")) && !asked(name) {
            continue;
        }
        let gpu = device();
        let mut stage = Stage::new(choice, &gpu, STUDY, WINDOW);
        let engine = stage.state.session.as_ref().unwrap().engine();
        println!("engine {} ({}), drawn by {} ({})", engine.name, engine.detail, gpu.info().name, gpu.info().detail);
        stage.settle();
        stage.view.fit([STUDY.0, STUDY.1]);
        stage.paint("all in sight");
        stage.view.actual_size();
        stage.paint("at 100 %");
        drop(stage);
        slider(choice, &gpu);
        small(choice);
    }
}
