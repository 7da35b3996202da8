//! The first two minutes in figures: frames of the start page with 200 studies, and a 12-megapixel photo from the wish to the picture on
//! screen, with the longest frame meanwhile.
//! Run with `cargo bench -p stint-tests --bench door`; needs neither a display nor a device. (From start to first frame: `--bench window`.)
//!
//! Targets: a frame of the start page under 16 ms, its small pictures made once, kept and bounded; the photo's first pixels in 0.3 s, and no
//! frame above 16 ms while it opens.
#![allow(missing_docs, clippy::unwrap_used)]

mod large_jpeg;

use egui::{Event, Rect, TextureId, pos2, vec2};
use std::path::Path;
use std::time::{Duration, Instant};
use stint::files::recent;
use stint::study::command::{Command, SwatchRef};
use stint::study::opening::NewCanvas;
use stint::study::session::Session;
use stint::ui::panels::PanelState;
use stint::ui::request::{NewStudy, Request};
use stint::ui::state::State;
use stint::ui::{panels, studies, theme};
use stint_model::board::Role;
use stint_render::choose::EngineChoice;
use stint_render::mask::mass::Edge;
use stint_tests::numbers::Numbers;
use stint_tests::scenes;

const WINDOW: (f32, f32) = (1280.0, 800.0);
/// As many as the list of recent studies holds.
const STUDIES: usize = 200;
/// Frames that count.
const FRAMES: usize = 120;
/// Small pictures count as made when none came for so long.
const QUIET: Duration = Duration::from_secs(2);

/// The window's panels, without the window.
struct Desk {
    state: State,
    panels: PanelState,
    context: egui::Context,
}

impl Desk {
    fn new(data: &Path) -> Self {
        let context = egui::Context::default();
        theme::install(&context);
        let state = State { data_folder: Some(data.to_owned()), engine: EngineChoice::Cpu, ..State::default() };
        Desk { state, panels: PanelState::default(), context }
    }

    /// One frame; how long it took, and whether a picture came with it.
    fn frame(&mut self, pointer: (f32, f32)) -> (Duration, bool) {
        let start = Instant::now();
        let raw = egui::RawInput {
            screen_rect: Some(Rect::from_min_size(egui::Pos2::ZERO, vec2(WINDOW.0, WINDOW.1))),
            events: vec![Event::PointerMoved(pos2(pointer.0, pointer.1))],
            focused: true,
            ..Default::default()
        };
        let (state, panels) = (&mut self.state, &mut self.panels);
        let output = self.context.run_ui(raw, |ui| {
            panels::frame(ui, state, panels);
        });
        studies::handle(&mut self.state, || {});
        self.panels.follow_study(&self.state);
        let mut delta = output.textures_delta;
        let picture = delta.set.iter().any(|(id, _)| *id != TextureId::default());
        self.context.tessellate(output.shapes, output.pixels_per_point);
        delta.clear();
        (start.elapsed(), picture)
    }

    /// Frames until no small picture came for a while; how many came.
    fn settle(&mut self) -> usize {
        let (mut came, mut last) = (0, Instant::now());
        while last.elapsed() < QUIET {
            if self.frame((10.0, 10.0)).1 {
                (came, last) = (came + 1, Instant::now());
            }
            std::thread::sleep(Duration::from_millis(4));
        }
        came
    }
}

/// A small study with some masses.
fn study(path: &Path) {
    let mut session = Session::create(path, (480, 360), scenes::board(4), EngineChoice::Cpu).unwrap();
    let mut numbers = Numbers(3);
    for i in 0..8_usize {
        let family = format!("surface {}", 1 + i % 4);
        session.apply(&Command::Load(SwatchRef::Swatch { family, role: Role::Local })).unwrap();
        let outline = (0..4).map(|_| [numbers.range(0.0, 480.0), numbers.range(0.0, 360.0)]).collect();
        session.apply(&Command::Mass { outline, edge: Edge::Soft }).unwrap();
    }
    session.close().unwrap();
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

fn start_page(home: &Path) {
    let data = home.join("data");
    std::fs::create_dir_all(&data).unwrap();
    let first = home.join("study.stint");
    study(&first);
    for i in 0..STUDIES {
        let path = home.join(format!("Depot, evening {i}.stint"));
        std::fs::copy(&first, &path).unwrap();
        recent::add(Some(&data), &path).unwrap();
    }
    for time in ["first", "second"] {
        let mut desk = Desk::new(&data);
        let begin = Instant::now();
        let came = desk.settle();
        let settled = begin.elapsed().saturating_sub(QUIET);
        assert!(came > 0, "the studies in sight have no pictures");
        let mut frames: Vec<Duration> =
            (0..FRAMES).map(|i| desk.frame((850.0 + (i % 40) as f32 * 8.0, 150.0 + (i * 5 % 600) as f32)).0).collect();
        frames.sort();
        println!(
            "start page with {STUDIES} studies, the {time} time: small pictures in {came} frames within {:.0} ms; a frame {:.2} ms, the \
             longest {:.2} ms",
            ms(settled),
            ms(frames[FRAMES / 2]),
            ms(frames[FRAMES - 1])
        );
    }
}

fn photo(home: &Path) {
    let (data, photo) = (home.join("fresh"), home.join("depot.jpg"));
    std::fs::create_dir_all(&data).unwrap();
    std::fs::write(&photo, large_jpeg::large_jpeg()).unwrap();
    let mut desk = Desk::new(&data);
    for _ in 0..20 {
        desk.frame((10.0, 10.0));
    }
    let begin = Instant::now();
    let canvas = NewCanvas::default();
    desk.state.requests.push(Request::NewStudy(NewStudy { photo: Some(photo), canvas }));
    let mut longest = Duration::ZERO;
    let mut early = None;
    let shown = loop {
        let (time, picture) = desk.frame((10.0, 10.0));
        longest = longest.max(time);
        if desk.state.session.is_some() && picture {
            break begin.elapsed();
        }
        if picture && early.is_none() {
            early = Some(begin.elapsed());
        }
        assert!(begin.elapsed() < Duration::from_secs(60), "{:?}", desk.state.notices);
        std::thread::sleep(Duration::from_millis(2));
    };
    println!(
        "a 12-megapixel photo: its first pixels after {:.0} ms, all of it after {:.0} ms, the longest frame until then {:.1} ms",
        ms(early.unwrap_or(shown)),
        ms(shown),
        ms(longest)
    );
}

fn main() {
    let home = tempfile::tempdir().unwrap();
    start_page(home.path());
    photo(home.path());
}
