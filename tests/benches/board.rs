//! Boards in figures: a trio, a whole proposal, a picture against a board; and k-means against scikit-learn on the same points
//! in the same run. Run with `cargo bench -p stint-tests --bench board`.
//!
//! Targets on two cores: a trio from an outline of 2 megapixels in under 60 ms; a board from a photo of 12 megapixels in under
//! 700 ms, at least ten times faster than scikit-learn's KMeans on the same pixels; a photo of 12 megapixels against a board
//! in under 2 s.
//!
//! scikit-learn comes from the Python named by `STINT_TEST_PYTHON` if that has it, else from a virtual environment that this
//! bench makes in the build folder.
#![allow(missing_docs, clippy::unwrap_used)]

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageEncoder};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;
use stint_model::board_match::match_board;
use stint_model::colour::{Colour, Oklab};
use stint_model::mixing::Mixing;
use stint_model::photo::cluster::kmeans;
use stint_model::photo::{Adjustments, Outline, Photo, PixelRect, View, propose, trio};
use stint_tests::numbers::Numbers;
use stint_tests::program::data;

const PACKAGES: [&str; 5] =
    ["scikit-learn==1.9.1", "numpy==2.4.6", "scipy==1.17.1", "joblib==1.6.0", "threadpoolctl==3.8.0"];
const FAMILIES: usize = 6;
/// Starts of the proposal's k-means, and of the reference.
const STARTS: usize = stint_model::photo::propose::RESTARTS;

fn timed<T>(run: impl FnOnce() -> T) -> (f64, T) {
    let start = Instant::now();
    let value = run();
    (start.elapsed().as_secs_f64() * 1e3, value)
}

fn median_ms(rounds: usize, mut run: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..rounds).map(|_| timed(&mut run).0).collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// A real photo (see `data/SOURCES.md`) enlarged to 12 megapixels, with grain, as a JPEG of quality 90.
fn photo_bytes() -> Vec<u8> {
    let small = Photo::open(data("photos/china.jpg")).unwrap();
    let (w, h) = (small.width_px(), small.height_px());
    let codes: Vec<[f32; 3]> = small
        .view(Adjustments::default())
        .region(PixelRect { x: 0, y: 0, width_px: w, height_px: h })
        .iter()
        .map(|c| c.srgb().map(|x| x * 255.0))
        .collect();
    let (width, height) = (4240_u32, 2830_u32);
    let mut numbers = Numbers(5);
    let mut pixels = Vec::with_capacity((width * height * 3) as usize);
    for y in 0..height {
        for x in 0..width {
            let place = |at: u32, size: u32, of: u32| {
                let at = (at as f32 + 0.5) * of as f32 / size as f32 - 0.5;
                let low = at.max(0.0).floor();
                (low as u32, ((low + 1.0) as u32).min(of - 1), (at - low).clamp(0.0, 1.0))
            };
            let ((x0, x1, u), (y0, y1, v)) = (place(x, width, w), place(y, height, h));
            let grain = numbers.below(13) as f32 - 6.0;
            let at = |x: u32, y: u32, i: usize| codes[(y * w + x) as usize][i];
            for i in 0..3 {
                let above = at(x0, y0, i) * (1.0 - u) + at(x1, y0, i) * u;
                let below = at(x0, y1, i) * (1.0 - u) + at(x1, y1, i) * u;
                pixels.push((above * (1.0 - v) + below * v + grain).round().clamp(0.0, 255.0) as u8);
            }
        }
    }
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 90).write_image(&pixels, width, height, ExtendedColorType::Rgb8).unwrap();
    bytes
}

/// A Python that has scikit-learn; made on demand.
fn python() -> Option<PathBuf> {
    let has =
        |python: &Path| Command::new(python).args(["-c", "import sklearn"]).output().is_ok_and(|o| o.status.success());
    let named = std::env::var_os("STINT_TEST_PYTHON").map(PathBuf::from).filter(|p| has(p));
    if named.is_some() {
        return named;
    }
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../target/bench-python"));
    let python = folder.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    if !has(&python) {
        println!("installing {} …", PACKAGES[0]);
        let system = if cfg!(windows) { "python" } else { "python3" };
        let made = Command::new(system).args(["-m", "venv"]).arg(folder).status();
        let pip = ["-m", "pip", "install", "--quiet", "--disable-pip-version-check"];
        let filled = Command::new(&python).args(pip).args(PACKAGES).status();
        if !(made.is_ok_and(|s| s.success()) && filled.is_ok_and(|s| s.success())) {
            return None;
        }
    }
    has(&python).then_some(python)
}

/// Milliseconds and inertia of the reference on these points.
fn reference(python: &Path, points: &[Oklab]) -> (f64, f64) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("points");
    let bytes: Vec<u8> = points.iter().flat_map(|p| [p.l, p.a, p.b]).flat_map(f32::to_le_bytes).collect();
    std::fs::write(&file, bytes).unwrap();
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/kmeans_reference.py");
    let said =
        Command::new(python).arg(script).arg(&file).args([FAMILIES.to_string(), STARTS.to_string()]).output().unwrap();
    assert!(said.status.success(), "{}", String::from_utf8_lossy(&said.stderr));
    let text = String::from_utf8(said.stdout).unwrap();
    let mut numbers = text.split_whitespace().map(|n| n.parse::<f64>().unwrap());
    (numbers.next().unwrap() * 1e3, numbers.next().unwrap())
}

fn oklabs(view: &View<'_>) -> Vec<Oklab> {
    let all = PixelRect { x: 0, y: 0, width_px: view.photo().width_px(), height_px: view.photo().height_px() };
    view.region(all).iter().map(|c| c.oklab()).collect()
}

fn main() {
    let bytes = photo_bytes();
    let photo = Photo::from_bytes(&bytes, "bench.jpg").unwrap();
    let pixels = photo.width_px() * photo.height_px();
    let view = photo.view(Adjustments { hue_turn_degrees: 0.0, soften_px: 0.5, ..Adjustments::default() });

    let corners = vec![[900.0, 700.0], [2600.0, 650.0], [2700.0, 1850.0], [850.0, 1880.0]];
    let outline = Outline::new(corners).unwrap();
    let inside: u32 = outline.spans(photo.width_px(), photo.height_px()).iter().map(|s| s.to_x - s.from_x).sum();
    let trio_ms = median_ms(9, || {
        trio(&view, &outline).unwrap();
    });
    println!("a trio from an outline of {:.2} megapixels: {trio_ms:.1} ms (target 60)", f64::from(inside) / 1e6);

    let proposal_ms = median_ms(9, || drop(propose(&view, FAMILIES, "bench").unwrap()));
    let opened_ms = median_ms(5, || {
        let photo = Photo::from_bytes(&bytes, "bench.jpg").unwrap();
        propose(
            &photo.view(Adjustments { hue_turn_degrees: 0.0, soften_px: 0.5, ..Adjustments::default() }),
            FAMILIES,
            "bench",
        )
        .unwrap();
    });
    let megapixels = f64::from(pixels) / 1e6;
    println!(
        "a board of {FAMILIES} families from {megapixels:.1} megapixels: {proposal_ms:.0} ms, with JPEG decoding {opened_ms:.0} ms (target 700)"
    );

    let board = propose(&view, FAMILIES, "bench").unwrap().board;
    let plain = photo.view(Adjustments::default());
    let against_ms = median_ms(3, || drop(match_board(&plain, &board, Mixing::default(), 3.0).unwrap()));
    let share = match_board(&plain, &board, Mixing::default(), 3.0).unwrap().share;
    println!("{megapixels:.1} megapixels against that board ({share:.3} of it): {against_ms:.0} ms (target 2000)");

    let Some(python) = python() else {
        println!("SKIPPED: no Python with scikit-learn, and none could be made; see the top of this file");
        return;
    };
    println!("\nscikit-learn's KMeans, k = {FAMILIES}, n_init = {STARTS}, on the same points in this run:");
    let all = oklabs(&plain);
    let (reference_ms, _) = reference(&python, &all);
    println!(
        "all {megapixels:.1} megapixels in OKLab: {reference_ms:.0} ms; the whole proposal is {:.0} times as fast (target 10). Not the same work: \
         the proposal reduces the photo first, then clusters {} cells by place and colour, and finds a trio for each surface",
        reference_ms / proposal_ms,
        300 * 200
    );
    let (width, height, codes) = plain.thumbnail(300, Colour::default());
    let small: Vec<Oklab> = codes.iter().map(|c| Colour::from_srgb8(*c).oklab()).collect();
    for (what, points) in
        [(format!("a copy of {width} x {height}"), &small), (format!("{megapixels:.1} megapixels"), &all)]
    {
        let (theirs_ms, theirs) = reference(&python, points);
        let rounds = if points.len() > 1_000_000 { 1 } else { 9 };
        let mut ours = 0.0;
        let ours_ms = median_ms(rounds, || ours = kmeans(points, FAMILIES, STARTS, 1).inertia);
        println!(
            "the same work, {what}: scikit-learn {theirs_ms:.0} ms, ours {ours_ms:.0} ms, {:.1} times as fast, objective {:+.2} %",
            theirs_ms / ours_ms,
            100.0 * (ours / theirs - 1.0)
        );
    }
}
