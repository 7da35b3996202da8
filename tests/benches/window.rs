//! The window at work: the built program on a display of its own, painted in with a 60 px brush by injected pointer events.
//! Run with `cargo build --release -p stint && cargo bench -p stint-tests --bench window`; needs Xvfb, xdotool and a Vulkan
//! driver.
//!
//! Targets on the software driver and two cores, window 1280 x 800, study 2048 x 1536: at least 25 frames a second while
//! painting, under 8 ms from pointer event to presented frame (median), nothing drawn while idle, under 1.5 s from start to
//! first frame. `-- wet` paints with the wet bristle, whose target is 12 ms. `-- large` instead: the largest canvas, every tile of it brought in anew under a moving pointer. `-- turn` instead:
//! the board's panel, its turn slider dragged to and fro while the painting follows; at least 25 frames a second.
#![allow(missing_docs, clippy::unwrap_used)]

use std::fs::File;
use std::io::{BufRead, BufReader, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command as Run, Stdio};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};
use stint::host::window::FRAME_TIMES_VARIABLE;
use stint::study::command::{Command, SwatchRef};
use stint::study::session::Session;
use stint_model::board::Role;
use stint_render::choose::EngineChoice;
use stint_render::mask::mass::Edge;
use stint_tests::numbers::Numbers;
use stint_tests::program::program;
use stint_tests::scenes;

const WINDOW: (u32, u32) = (1280, 800);
const STUDY: (u32, u32) = (2048, 1536);
/// The largest canvas there is.
const LARGE: (u32, u32) = (16384, 16384);
/// Rows at the bottom that stay bare until the stroke that shows the size of the brush.
const BARE: f32 = 200.0;
/// Pointer events a second.
const RATE: f64 = 120.0;
/// Strokes painted, and seconds each.
const STROKES: u32 = 6;
const STROKE_SECONDS: f64 = 1.5;
/// The variations in the board's panel, and its turn slider: left, right and height of its rail, window pixels.
const VARIATIONS: (f64, f64) = (198.0, 99.0);
const TURN: [f64; 3] = [24.0, 268.0, 152.0];
/// Seconds that it is dragged.
const TURN_SECONDS: f64 = 6.0;
/// Where the canvas lies when the whole of it is shown: middle, window pixels.
const MIDDLE: (f64, f64) = (658.0, 327.0);
/// Width of the brush, canvas pixels.
const BRUSH_PX: f64 = 60.0;

/// A display without a screen; ends when dropped.
struct Display {
    server: Child,
    name: String,
    folder: tempfile::TempDir,
}

impl Display {
    fn start() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let screen = format!("{}x{}x24", WINDOW.0, WINDOW.1);
        let mut server = Run::new("Xvfb");
        server
            .args(["-displayfd", "1", "-noreset", "-nolisten", "tcp", "-screen", "0", &screen, "-fbdir"])
            .arg(folder.path());
        let mut server = server.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().expect("Xvfb is installed");
        let mut number = String::new();
        BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
        Display { server, name: format!(":{}", number.trim()), folder }
    }

    /// A pixel of the server's own picture of the screen, which it keeps in the format of `xwd` (XWDFile.h: header of
    /// big-endian words, colours of 12 bytes, rows).
    fn pixel(&self, (x, y): (f64, f64)) -> [u8; 4] {
        let mut picture = File::open(self.folder.path().join("Xvfb_screen0")).unwrap();
        let mut read = |at: u64| {
            let mut bytes = [0; 4];
            picture.seek(SeekFrom::Start(at)).and_then(|_| picture.read_exact(&mut bytes)).unwrap();
            bytes
        };
        let mut word = |index: u64| u64::from(u32::from_be_bytes(read(index * 4)));
        let (header, per_line, colours) = (word(0), word(12), word(19));
        read(header + colours * 12 + y as u64 * per_line + x as u64 * 4)
    }

    /// Whether anything is drawn in the middle of the canvas and in a corner of the panels.
    fn shows_something(&self) -> bool {
        [MIDDLE, (20.0, 20.0)].iter().all(|&at| self.pixel(at).iter().any(|&b| b > 8))
    }
}

impl Drop for Display {
    fn drop(&mut self) {
        // It is ours, and nothing of it is wanted any more.
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

/// One process that moves the pointer and presses keys, line by line.
struct Xdotool {
    tool: Child,
    lines: ChildStdin,
}

impl Xdotool {
    fn start(display: &Display) -> Self {
        let mut tool = Run::new("xdotool");
        tool.arg("-").env("DISPLAY", &display.name).stdin(Stdio::piped()).stdout(Stdio::null());
        let mut tool = tool.spawn().expect("xdotool is installed");
        let lines = tool.stdin.take().unwrap();
        Xdotool { tool, lines }
    }

    fn run(&mut self, line: &str) {
        writeln!(self.lines, "{line}").unwrap();
        self.lines.flush().unwrap();
    }

    fn move_to(&mut self, (x, y): (f64, f64)) {
        self.run(&format!("mousemove {:.0} {:.0}", x, y));
    }

    fn finish(self) {
        drop(self.lines);
        let mut tool = self.tool;
        assert!(tool.wait().unwrap().success(), "xdotool failed");
    }
}

/// A study with large masses on it, and a bare strip below.
fn block_in(path: &Path) {
    let mut session = Session::create(path, STUDY, scenes::board(6), EngineChoice::Cpu).unwrap();
    let roles = [Role::Shadow, Role::Local, Role::Light];
    let mut numbers = Numbers(3);
    let (width, height) = (STUDY.0 as f32, STUDY.1 as f32 - BARE);
    for i in 0..14_usize {
        let family = format!("surface {}", 1 + i % 6);
        session.apply(&Command::Load(SwatchRef::Swatch { family, role: roles[i % 3] })).unwrap();
        let outline = match i {
            0 => vec![[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]],
            _ => (0..5).map(|_| [numbers.range(0.0, width), numbers.range(0.0, height)]).collect(),
        };
        session.apply(&Command::Mass { outline, edge: Edge::Soft }).unwrap();
    }
    session.close().unwrap();
}

/// The program on a display, in a home of its own.
fn start(display: &Display, home: &Path, study: Option<&Path>, pace: &Path) -> (Child, Duration) {
    let began = Instant::now();
    let mut run = Run::new(program());
    if let Some(study) = study {
        run.arg("open").arg(study);
    }
    run.env_remove("WAYLAND_DISPLAY").env("DISPLAY", &display.name).env("HOME", home).env(FRAME_TIMES_VARIABLE, pace);
    for folder in ["XDG_CONFIG_HOME", "XDG_DATA_HOME"] {
        run.env(folder, home);
    }
    let mut child = run.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
    while !display.shows_something() {
        assert!(child.try_wait().unwrap().is_none(), "the program ended before its first frame");
        assert!(began.elapsed() < Duration::from_secs(30), "no frame in 30 s");
        std::thread::sleep(Duration::from_millis(5));
    }
    (child, began.elapsed())
}

/// Time on processors that a process has used, ticks of 10 ms (proc(5): fields 14 and 15 of stat).
fn ticks(child: &Child) -> u64 {
    let stat = std::fs::read_to_string(format!("/proc/{}/stat", child.id())).unwrap();
    let after_name = stat.rsplit(')').next().unwrap();
    let fields: Vec<&str> = after_name.split_whitespace().collect();
    fields[11].parse::<u64>().unwrap() + fields[12].parse::<u64>().unwrap()
}

fn now_ms() -> f64 {
    SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_secs_f64() * 1e3
}

fn rest(seconds: f64) {
    std::thread::sleep(Duration::from_secs_f64(seconds));
}

/// Paints a straight stroke in the bare strip with it, so that its size can be read afterwards.
fn prepare(xdotool: &mut Xdotool) {
    xdotool.run("search --onlyvisible --name Stint windowfocus");
    rest(0.3);
    xdotool.move_to((MIDDLE.0 - 100.0, MIDDLE.1 + 224.0));
    xdotool.run("mousedown 1");
    // Slowly: a fast mouse makes a narrow stroke.
    for step in 0..=100 {
        xdotool.move_to((MIDDLE.0 - 100.0 + 2.0 * f64::from(step), MIDDLE.1 + 224.0));
        rest(0.02);
    }
    xdotool.run("mouseup 1");
    rest(1.0);
}

/// Paints; tells when each event was sent, Unix time in ms.
fn paint(xdotool: &mut Xdotool) -> Vec<f64> {
    let mut sent = Vec::new();
    let start = Instant::now();
    let mut at = |xdotool: &mut Xdotool, seconds: f64| {
        // A winding path, about 900 window pixels a second at its fastest.
        let place = (MIDDLE.0 + 300.0 * (2.1 * seconds).sin(), MIDDLE.1 - 30.0 + 170.0 * (3.4 * seconds).cos());
        xdotool.move_to(place);
        sent.push(now_ms());
    };
    let mut event = 0_u32;
    for stroke in 0..STROKES {
        at(xdotool, start.elapsed().as_secs_f64());
        xdotool.run("mousedown 1");
        while start.elapsed().as_secs_f64() < f64::from(stroke + 1) * STROKE_SECONDS {
            event += 1;
            let due = f64::from(event) / RATE;
            let wait = due - start.elapsed().as_secs_f64();
            if wait > 0.0 {
                rest(wait);
            }
            at(xdotool, due);
        }
        xdotool.run("mouseup 1");
    }
    sent
}

/// Dabs single marks on the bare strip; tells how long each takes from the press to its pixels on the display, ms. This asks
/// nothing of the program's own clock.
fn dab(xdotool: &mut Xdotool, display: &Display) -> Vec<f64> {
    let mut times = Vec::new();
    for mark in 0..14 {
        let place = (MIDDLE.0 - 330.0 + 16.0 * f64::from(mark), MIDDLE.1 + 224.0);
        // Inside the brush, beside the lines of the cursor.
        let watched = (place.0 + 4.0, place.1 + 4.0);
        xdotool.move_to(place);
        rest(0.1);
        let (before, start) = (display.pixel(watched), Instant::now());
        xdotool.run("mousedown 1");
        while display.pixel(watched) == before {
            assert!(start.elapsed() < Duration::from_secs(5), "no mark in 5 s");
            std::thread::sleep(Duration::from_micros(200));
        }
        times.push(start.elapsed().as_secs_f64() * 1e3);
        xdotool.run("mouseup 1");
        rest(0.1);
    }
    sorted(times.into_iter())
}

/// One frame as the program tells it: began and presented, Unix time in ms, and ms since the oldest event it answers.
struct Frame {
    began: f64,
    presented: f64,
    since_event: f64,
}

fn frames(pace: &Path) -> Vec<Frame> {
    let text = std::fs::read_to_string(pace).unwrap();
    let mut lines = text.lines().map(|l| l.split(',').collect::<Vec<_>>());
    let head = lines.next().unwrap();
    let column = |name: &str| head.iter().position(|h| *h == name).unwrap();
    let places = ["began_ms", "presented_ms", "event_to_present_ms"].map(column);
    let number = |row: &[&str], i: usize| row[places[i]].parse::<f64>().unwrap();
    let answers = lines.filter(|row| !row[places[2]].is_empty());
    answers
        .map(|row| Frame { began: number(&row, 0), presented: number(&row, 1), since_event: number(&row, 2) })
        .collect()
}

fn percentile(sorted: &[f64], part: f64) -> f64 {
    sorted[((sorted.len() - 1) as f64 * part) as usize]
}

fn sorted(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut values: Vec<_> = values.collect();
    values.sort_by(f64::total_cmp);
    values
}

fn report(sent: &[f64], frames: &[Frame]) {
    let (first, last) = (sent[0], sent[sent.len() - 1]);
    let rate = (sent.len() - 1) as f64 / (last - first) * 1e3;
    let during: Vec<_> = frames.iter().filter(|f| (first..=last).contains(&f.presented)).collect();
    let fps = during.len() as f64 / (last - first) * 1e3;
    println!("{} pointer events at {rate:.0} a second, {} frames, {fps:.1} frames a second", sent.len(), during.len());
    // An event is on the screen with the first frame that began after it was sent.
    let shown = sent.iter().filter_map(|&t| Some(frames.iter().find(|f| f.began >= t)?.presented - t));
    let shown = sorted(shown);
    let [median, p90, longest] = [0.5, 0.9, 1.0].map(|p| percentile(&shown, p));
    println!("pointer event sent to presented frame: median {median:.1} ms, p90 {p90:.1} ms, longest {longest:.0} ms");
    let answered = sorted(during.iter().map(|f| f.since_event));
    let work = sorted(during.iter().map(|f| f.presented - f.began));
    println!(
        "  oldest event taken to presented frame: median {:.1} ms, p90 {:.1} ms; a frame itself: median {:.1} ms, p90 {:.1} ms",
        percentile(&answered, 0.5),
        percentile(&answered, 0.9),
        percentile(&work, 0.5),
        percentile(&work, 0.9)
    );
}

/// Height of the stroke in the bare strip: the size of the brush that painted it, canvas pixels.
fn stroke_height(session: &mut Session) -> usize {
    let rows = STUDY.1 - BARE as u32 + 1..STUDY.1;
    rows.filter(|&y| !session.paints_at(STUDY.0 / 2, y).unwrap().is_empty()).count()
}

/// The largest canvas, brought in anew as a whole while the pointer moves over it.
fn large() {
    let display = Display::start();
    let home = tempfile::tempdir().unwrap();
    let file = |name: &str| -> PathBuf { home.path().join(name) };
    let (study, pace) = (file("large.stint"), file("pace.csv"));
    let mut session = Session::create(&study, LARGE, scenes::board(6), EngineChoice::Cpu).unwrap();
    scenes::block_in(&mut session, LARGE.0, 60);
    session.close().unwrap();
    let (mut child, first) = start(&display, home.path(), Some(&study), &pace);
    println!("{} x {}, start to first frame {:.0} ms", LARGE.0, LARGE.1, first.as_secs_f64() * 1e3);
    let mut xdotool = Xdotool::start(&display);
    xdotool.run("search --onlyvisible --name Stint windowfocus");
    rest(8.0);
    // Farther: at half the size or less, every tile is reduced anew.
    xdotool.run("key minus key minus key minus key minus");
    let mut sent = Vec::new();
    for event in 0..480 {
        xdotool.move_to((MIDDLE.0 + f64::from(event) / 4.0, MIDDLE.1));
        sent.push(now_ms());
        rest(1.0 / RATE);
    }
    xdotool.run("key ctrl+q");
    xdotool.finish();
    assert!(child.wait().unwrap().success(), "the program did not end well");
    report(&sent, &frames(&pace));
}

/// The board turned by its slider, the painting following.
fn turn() {
    let display = Display::start();
    let home = tempfile::tempdir().unwrap();
    let file = |name: &str| -> PathBuf { home.path().join(name) };
    let (study, pace) = (file("turn.stint"), file("pace.csv"));
    block_in(&study);
    let (mut child, _) = start(&display, home.path(), Some(&study), &pace);
    let mut xdotool = Xdotool::start(&display);
    xdotool.run("search --onlyvisible --name Stint windowfocus");
    rest(1.0);
    xdotool.run("key F10");
    rest(1.0);
    xdotool.move_to(VARIATIONS);
    xdotool.run("click 1");
    rest(0.5);
    let [left, right, height] = TURN;
    xdotool.move_to(((left + right) / 2.0, height));
    rest(0.1);
    let before = display.pixel(MIDDLE);
    xdotool.run("mousedown 1");
    let used = ticks(&child);
    let begun = Instant::now();
    let mut sent = Vec::new();
    let mut colours = std::collections::BTreeSet::from([before]);
    while begun.elapsed().as_secs_f64() < TURN_SECONDS {
        let part = 0.5 + 0.5 * (1.3 * begun.elapsed().as_secs_f64()).sin();
        xdotool.move_to((left + (right - left) * part, height));
        sent.push(now_ms());
        colours.insert(display.pixel(MIDDLE));
        rest(1.0 / RATE);
    }
    let used = ticks(&child) - used;
    xdotool.run("mouseup 1");
    rest(1.0);
    xdotool.run("key ctrl+q");
    xdotool.finish();
    assert!(child.wait().unwrap().success(), "the program did not end well");
    println!(
        "the turn slider dragged on {} x {}: {} colours in the middle of the canvas",
        STUDY.0,
        STUDY.1,
        colours.len()
    );
    let frames = frames(&pace);
    report(&sent, &frames);
    let during = frames.iter().filter(|f| (sent[0]..=sent[sent.len() - 1]).contains(&f.presented)).count();
    println!(
        "processor time {:.1} s in {TURN_SECONDS} s, {:.0} ms a frame",
        used as f64 / 100.0,
        used as f64 * 10.0 / during.max(1) as f64
    );
}

fn main() {
    if std::env::args().any(|a| a == "large") {
        return large();
    }
    if std::env::args().any(|a| a == "turn") {
        return turn();
    }
    let display = Display::start();
    let home = tempfile::tempdir().unwrap();
    let file = |name: &str| -> PathBuf { home.path().join(name) };
    let (study, pace) = (file("bench.stint"), file("pace.csv"));
    block_in(&study);
    std::fs::create_dir_all(file("stint")).unwrap();
    let brush = if std::env::args().any(|a| a == "wet") { "Wet bristle" } else { "Round" };
    let settings = format!("{{\"brush\": \"{brush}\", \"brush_sizes\": {{\"{brush}\": {BRUSH_PX:.1}}}}}");
    std::fs::write(file("stint/settings.ron"), settings).unwrap();
    for (what, study) in [("start page", None), ("the study", Some(&*study))] {
        let times = sorted((0..3).map(|_| {
            let (mut child, time) = start(&display, home.path(), study, &pace);
            child.kill().unwrap();
            child.wait().unwrap();
            rest(0.2);
            time.as_secs_f64() * 1e3
        }));
        println!("start to first frame of {what}: {:.0} ms (of three: {:.0} to {:.0})", times[1], times[0], times[2]);
    }
    let (mut child, _) = start(&display, home.path(), Some(&study), &pace);
    let mut xdotool = Xdotool::start(&display);
    rest(1.0);
    prepare(&mut xdotool);
    let before = ticks(&child);
    let sent = paint(&mut xdotool);
    let busy = ticks(&child) - before;
    rest(0.5);
    let dabs = dab(&mut xdotool, &display);
    rest(1.0);
    let before = ticks(&child);
    rest(5.0);
    let idle = ticks(&child) - before;
    xdotool.run("key ctrl+q");
    xdotool.finish();
    assert!(child.wait().unwrap().success(), "the program did not end well");
    report(&sent, &frames(&pace));
    println!(
        "press to mark on the display: median {:.1} ms, longest {:.1} ms",
        percentile(&dabs, 0.5),
        percentile(&dabs, 1.0)
    );
    println!(
        "processor time while painting: {:.1} s in {:.1} s",
        busy as f64 / 100.0,
        f64::from(STROKES) * STROKE_SECONDS
    );
    println!("processor time in 5 s of idling: {} ms", idle * 10);
    let mut session = Session::open(&study, EngineChoice::Cpu).unwrap();
    println!(
        "{brush}, {} px, {} strokes painted of {}",
        stroke_height(&mut session),
        session.strokes() - 14 - 1 - dabs.len() as u64,
        STROKES
    );
}
