//! Brushes at work. Run with `cargo bench -p stint-tests --bench brushes`; add `-- gpu` to time a graphics device instead of the CPU engine, and
//! the names of parts to have only those.
//!
//! - `mask`: microseconds of the mask for each sample of the pen; 240 samples a second leave 4167.
//! - `hand`: a brush of 60 px in a hand of 240 samples a second, four of them a frame, from the mask to the colours that are shown:
//!   milliseconds a frame, the share of two cores that it takes while it is painted, wall clock and time of all threads, and the processor
//!   time of a sample. Target: below one half of two cores.
//! - `dabs`: a touch of the plain round brush against the same touch by tiny-skia, as a disc with a radial gradient and as a stamp made
//!   before. Target: 4 times as fast or more at radii of 50 and 200 px.
//! - `large`: milliseconds a frame of a wet bristle of 500 px and 200 bristles at 2,000 px a second on 4096 x 4096. On a graphics device
//!   what it shows is drawn into a texture of that device, as a window does, and a frame ends when the device has done so. Target there:
//!   below 3.
//! - `moved`: milliseconds to show what is moved at another place, by whole pixels and turned.
#![allow(missing_docs, clippy::unwrap_used)]

use resvg::tiny_skia::{
    Color, FillRule, GradientStop, Paint, PathBuilder, Pixmap, PixmapPaint, Point, RadialGradient, SpreadMode,
    Transform,
};
use std::time::Instant;
use stint::files::brushes::shipped;
use stint::study::command::{Command, SwatchRef};
use stint::study::session::{Session, StrokeTool, share_device};
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::ids::SwatchId;
use stint_model::study::protected::Side;
use stint_model::study::tile::{TILE_SIDE, TilePos};
use stint_render::canvas::Placement;
use stint_render::choose::EngineChoice;
use stint_render::engine::Shown;
use stint_render::gpu::{AdapterPreference, Gpu, target_texture};
use stint_render::mask::brush::Brush;
use stint_render::mask::{CanvasSize, PenSample, StrokeMask};

const SIZE: CanvasSize = CanvasSize { width: 2048, height: 1536 };
/// Samples of the pen a second, and pictures a second.
const SAMPLES_A_SECOND: f64 = 240.0;
const FRAMES_A_SECOND: f64 = 60.0;

/// A hand at 240 samples a second that moves `step_px` from one to the next, in wide loops over the whole canvas.
fn samples(step_px: f32, count: u16, [width, height]: [f32; 2]) -> Vec<PenSample> {
    let mut samples = Vec::new();
    let (mut at, mut turn) = ([200.0_f32, height / 2.0], 0.0_f32);
    let (across, down) = (width - 448.0, height - 436.0);
    for i in 0..count {
        turn += 0.02 * (f32::from(i) * 0.013).sin();
        let next = [at[0] + turn.cos() * step_px, at[1] + turn.sin() * step_px];
        at = [next[0].clamp(0.0, across), next[1].clamp(0.0, down)];
        if at != next {
            // Back from the edge.
            turn += 2.0;
        }
        let time_ms = Some(f64::from(i) * 1000.0 / SAMPLES_A_SECOND);
        samples.push(PenSample { time_ms, ..PenSample::new(at[0] + 200.0, at[1] + 200.0, 0.8) });
    }
    samples
}

fn on_canvas(step_px: f32) -> Vec<PenSample> {
    samples(step_px, 600, [SIZE.width as f32, SIZE.height as f32])
}

/// The middle one and the 99th of 100.
fn middle_and_worst(mut times: Vec<f64>) -> (f64, f64) {
    times.sort_by(f64::total_cmp);
    (times[times.len() / 2], times[times.len() * 99 / 100])
}

/// Median and worst time of a sample, microseconds, one sample at a time.
fn time(brush: &Brush, samples: &[PenSample]) -> (f64, f64) {
    let mut stroke = StrokeMask::new(SIZE, brush.clone()).unwrap();
    let one = |sample: &PenSample| {
        let start = Instant::now();
        stroke.extend(std::slice::from_ref(sample)).unwrap();
        start.elapsed().as_secs_f64() * 1e6
    };
    middle_and_worst(samples.iter().map(one).collect())
}

/// The plain brush, and those that come with the program.
fn brushes() -> Vec<(String, Brush)> {
    let plain = ("Plain".to_owned(), Brush::default());
    std::iter::once(plain).chain(shipped().into_iter().map(|named| (named.name, named.brush))).collect()
}

fn masks() {
    println!("mask of one sample on {} x {}, microseconds: median, 99th of 100", SIZE.width, SIZE.height);
    for (name, brush) in brushes() {
        print!("  {name:12}");
        for size_px in [60.0, 200.0] {
            for (speed, step_px) in [("slow", 2.0), ("quick", 8.0)] {
                let brush = Brush { size_px, ..brush.clone() };
                let (median, worst) = time(&brush, &on_canvas(step_px));
                print!("  {size_px:3.0} px {speed:5} {median:6.0} {worst:6.0}");
            }
        }
        println!();
    }
}

/// Processor time of all threads of this process, seconds; none where the system does not tell.
fn processor_s() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/self/stat").ok()?;
    // Fields 14 and 15, in hundredths of a second; the name in brackets may hold spaces.
    let fields: Vec<&str> = text.rsplit(')').next()?.split_whitespace().collect();
    Some((fields.get(11)?.parse::<f64>().ok()? + fields.get(12)?.parse::<f64>().ok()?) / 100.0)
}

/// A study whose brush is loaded, on a canvas with two masses.
fn study((width, height): (u32, u32), choice: EngineChoice) -> Session {
    let mut session = Session::in_memory((width, height), Board::new("bench", LightOfDay::Cool), choice).unwrap();
    for (role, colour) in [(Role::Local, "#73524e"), (Role::Light, "#b08a72"), (Role::Shadow, "#3d3038")] {
        let (family, name, colour) = ("Brick".to_owned(), String::new(), colour.to_owned());
        session.apply(&Command::AddSwatch { family, role, name, colour, by_role: false }).unwrap();
    }
    let (right, bottom) = (width as f32, height as f32);
    for (id, left) in [(2, 0.0), (3, right / 2.0)] {
        session.apply(&Command::Load(SwatchRef::Id(SwatchId(id)))).unwrap();
        let outline = vec![[left, 0.0], [left + right / 2.0, 0.0], [left + right / 2.0, bottom], [left, bottom]];
        session.apply(&Command::Mass { outline, edge: Default::default() }).unwrap();
    }
    session.apply(&Command::Load(SwatchRef::Id(SwatchId(1)))).unwrap();
    session
}

/// Milliseconds of each frame of a stroke, to the colours of what changed.
fn frames(session: &mut Session, brush: &Brush, tool: StrokeTool, samples: &[PenSample]) -> Vec<f64> {
    frames_shown(session, brush, tool, samples, &mut |session, touched| {
        session.canvas().resolve(touched).unwrap();
    })
}

/// The same, however what changed is shown.
fn frames_shown(
    session: &mut Session,
    brush: &Brush,
    tool: StrokeTool,
    samples: &[PenSample],
    show: &mut dyn FnMut(&mut Session, &[TilePos]),
) -> Vec<f64> {
    session.apply(&Command::Brush(brush.clone())).unwrap();
    session.begin_stroke(tool).unwrap();
    let a_frame = (SAMPLES_A_SECOND / FRAMES_A_SECOND) as usize;
    let times = samples.chunks(a_frame).map(|some| {
        let start = Instant::now();
        let touched: Vec<_> = session.extend_stroke(some).unwrap().into_iter().collect();
        show(session, &touched);
        start.elapsed().as_secs_f64() * 1e3
    });
    let times = times.collect();
    session.finish_stroke().unwrap();
    session.settle().unwrap();
    times
}

fn hand(choice: EngineChoice) {
    let mut session = study((SIZE.width, SIZE.height), choice);
    println!(
        "60 px at 240 samples a second on {} x {}, {}: milliseconds a frame of four samples (median, 99th of 100), share of two \
         cores (wall clock of one thread, all threads), processor time of a sample in milliseconds",
        SIZE.width,
        SIZE.height,
        session.engine().name
    );
    let all = brushes();
    let soften = all.iter().find(|(name, _)| name == "Round").unwrap().1.clone();
    let all = all.into_iter().map(|(name, brush)| (name, brush, StrokeTool::Brush));
    for (name, brush, tool) in all.chain([("Soften".to_owned(), soften, StrokeTool::Soften)]) {
        print!("  {name:12}");
        for (speed, step_px) in [("slow", 2.0), ("quick", 8.0)] {
            let brush = Brush { size_px: 60.0, ..brush.clone() };
            let samples = on_canvas(step_px);
            let (wall, busy) = (Instant::now(), processor_s());
            let (median, worst) = middle_and_worst(frames(&mut session, &brush, tool, &samples));
            let painted_s = samples.len() as f64 / SAMPLES_A_SECOND;
            let wall = wall.elapsed().as_secs_f64() / (2.0 * painted_s);
            let busy = busy.zip(processor_s()).map(|(before, now)| (now - before) / (2.0 * painted_s));
            print!("  {speed:5} {median:6.2} {worst:6.2} ms {:5.1} %", wall * 100.0);
            match busy {
                Some(busy) => print!(" {:5.1} % {:5.2} ms", busy * 100.0, busy * 2.0 / SAMPLES_A_SECOND * 1e3),
                None => print!("       -        -"),
            }
        }
        println!();
    }
}

/// Touches of the plain brush against a general 2D library.
fn dabs() {
    const SIDE: u32 = 1024;
    println!(
        "one touch of the plain round brush, microseconds; tiny-skia with a gradient, with a stamp; times as fast as each"
    );
    for radius in [10.0_f32, 50.0, 200.0] {
        // Touches along a line, as near to each other as they can be: what the stroke takes beside them is then as good as nothing.
        let spacing = 0.02;
        let apart = spacing * 2.0 * radius;
        let length = 500.0;
        let count = (length / apart) as u16 + 1;
        let brush = Brush {
            size_px: 2.0 * radius,
            hardness: 0.5,
            strength: 0.8,
            spacing,
            pressure_size: false,
            ..Brush::default()
        };
        let size = CanvasSize { width: SIDE, height: SIDE };
        let places: Vec<[f32; 2]> = (0..count).map(|i| [260.37 + apart * f32::from(i), 500.61]).collect();
        let samples: Vec<_> = places.iter().map(|[x, y]| PenSample::new(*x, *y, 1.0)).collect();
        let times = (0..9).map(|_| {
            let mut stroke = StrokeMask::new(size, brush.clone()).unwrap();
            let start = Instant::now();
            stroke.extend(&samples).unwrap();
            start.elapsed().as_secs_f64() * 1e6 / f64::from(count)
        });
        let ours = middle_and_worst(times.collect()).0;
        let mut pixmap = Pixmap::new(SIDE, SIDE).unwrap();
        let disc = |x: f32, y: f32| {
            let stops = [(0.0, 0.8), (0.5, 0.8), (1.0, 0.0)];
            let stops = stops.map(|(at, alpha)| GradientStop::new(at, Color::from_rgba(1.0, 1.0, 1.0, alpha).unwrap()));
            let centre = Point::from_xy(x, y);
            let shader = RadialGradient::new(
                centre,
                0.0,
                centre,
                radius,
                stops.to_vec(),
                SpreadMode::Pad,
                Transform::identity(),
            );
            let paint = Paint { shader: shader.unwrap(), anti_alias: true, ..Paint::default() };
            (PathBuilder::from_circle(x, y, radius).unwrap(), paint)
        };
        let start = Instant::now();
        for [x, y] in &places {
            let (path, paint) = disc(*x, *y);
            pixmap.fill_path(&path, &paint, FillRule::Winding, Transform::identity(), None);
        }
        let gradient = start.elapsed().as_secs_f64() * 1e6 / f64::from(count);
        let side = (2.0 * radius).ceil() as u32 + 2;
        let mut stamp = Pixmap::new(side, side).unwrap();
        let (path, paint) = disc(radius + 1.0, radius + 1.0);
        stamp.fill_path(&path, &paint, FillRule::Winding, Transform::identity(), None);
        let start = Instant::now();
        for [x, y] in &places {
            let (left, top) = ((x - radius) as i32, (y - radius) as i32);
            pixmap.draw_pixmap(left, top, stamp.as_ref(), &PixmapPaint::default(), Transform::identity(), None);
        }
        let stamped = start.elapsed().as_secs_f64() * 1e6 / f64::from(count);
        println!(
            "  radius {radius:3.0}  {ours:7.1}  {gradient:7.1} {stamped:7.1}  {:4.1} {:4.1}",
            gradient / ours,
            stamped / ours
        );
    }
}

fn large(choice: EngineChoice) {
    const SIDE: u32 = 4096;
    let device = (choice == EngineChoice::Gpu).then(|| Gpu::open(AdapterPreference::Best).unwrap());
    device.iter().for_each(share_device);
    let mut session = study((SIDE, SIDE), choice);
    let wet = shipped().into_iter().find(|named| named.brush.wet().is_some()).unwrap().brush;
    let mut brush = Brush { size_px: 500.0, ..wet };
    if let Some(mark) = &mut brush.mark {
        mark.bristles.count = 200.0;
    }
    let step_px = (2000.0 / SAMPLES_A_SECOND) as f32;
    let samples = samples(step_px, 480, [SIDE as f32, SIDE as f32]);
    let times = match &device {
        None => frames(&mut session, &brush, StrokeTool::Brush, &samples),
        Some(gpu) => {
            assert!(session.canvas().draws_on(gpu.device()), "the engine works on another device");
            let size = wgpu::Extent3d { width: SIDE, height: SIDE, depth_or_array_layers: 1 };
            let format = wgpu::TextureFormat::Rgba8UnormSrgb;
            let (_texture, [target, _]) = target_texture(gpu.device(), "shown", size, format);
            let mut handed_over = Vec::new();
            let times = frames_shown(&mut session, &brush, StrokeTool::Brush, &samples, &mut |session, touched| {
                let start = Instant::now();
                let place =
                    |&pos: &TilePos| (pos, [u32::from(pos.column), u32::from(pos.row)].map(|at| at * TILE_SIDE));
                let places: Vec<_> = touched.iter().map(place).collect();
                session.canvas().draw(Shown::Colours, 0, &places, &target).unwrap();
                gpu.device().poll(wgpu::PollType::wait_indefinitely()).unwrap();
                handed_over.push(start.elapsed().as_secs_f64() * 1e3);
            });
            println!("  of which drawing, and waiting for the device: {:.2} ms", middle_and_worst(handed_over).0);
            times
        }
    };
    let (median, worst) = middle_and_worst(times);
    println!(
        "wet bristle of 500 px, 200 bristles, 2,000 px a second on {SIDE} x {SIDE}, {}: {median:.2} ms a frame, 99th of 100 {worst:.2}",
        session.engine().name
    );
}

fn moved(choice: EngineChoice) {
    let mut session = study((SIZE.width, SIZE.height), choice);
    for (name, brush) in brushes().iter().filter(|(name, _)| name == "Bristle") {
        let (median, _) = middle_and_worst(frames(&mut session, brush, StrokeTool::Brush, &on_canvas(8.0)));
        println!("  (painted with {name}, {median:.1} ms a frame)");
    }
    let outline = vec![[500.0, 400.0], [1500.0, 400.0], [1500.0, 1150.0], [500.0, 1150.0]];
    session.apply(&Command::Protect { outline, paintable: Side::Inside }).unwrap();
    let start = Instant::now();
    session.begin_move().unwrap();
    println!("1000 x 750 px to be moved: taken up in {:.1} ms", start.elapsed().as_secs_f64() * 1e3);
    for (name, placement) in [
        ("by whole pixels", Placement { by: [40.0, 25.0], ..Placement::default() }),
        ("turned", Placement { turn: 20.0, ..Placement::default() }),
        ("turned and smaller", Placement { turn: 20.0, scale: [0.4, 0.4], ..Placement::default() }),
    ] {
        let times: Vec<f64> = (0..12_u8)
            .map(|i| {
                let by = [placement.by[0] + f32::from(i), placement.by[1]];
                let start = Instant::now();
                session.place_moved(&Placement { by, ..placement }).unwrap();
                start.elapsed().as_secs_f64() * 1e3
            })
            .collect();
        println!("  {name:20} {:.1} ms a frame", middle_and_worst(times).0);
    }
    session.cancel_move();
}

fn main() {
    let words: Vec<String> = std::env::args().collect();
    let has = |word: &str| words.iter().any(|w| w == word);
    let choice = if has("gpu") { EngineChoice::Gpu } else { EngineChoice::Cpu };
    const PARTS: [&str; 5] = ["mask", "dabs", "hand", "large", "moved"];
    let all = !PARTS.iter().any(|part| has(part));
    let wanted = |part: &str| all || has(part);
    // The first stroke makes the tables.
    time(&shipped()[0].brush, &on_canvas(4.0)[..2]);
    if choice == EngineChoice::Cpu && wanted("mask") {
        masks();
    }
    if choice == EngineChoice::Cpu && wanted("dabs") {
        dabs();
    }
    if wanted("hand") {
        hand(choice);
    }
    if wanted("large") {
        large(choice);
    }
    if wanted("moved") {
        moved(choice);
    }
}
