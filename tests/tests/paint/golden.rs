//! A few small pictures by feature, for what numbers cannot say: how a stroke ends, how an edge looks, how paints mix.
//!
//! They come from the CPU engine alone, so they are the same on every machine. `STINT_UPDATE_GOLDEN=1` writes them anew and
//! fails that run, so that nobody does it by accident; look at the pictures before committing them.

use std::path::{Path, PathBuf};
use stint::study::command::{Command, SwatchRef};
use stint::study::session::Session;
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::mixing::Mixing;
use stint_model::study::tile::TilePos;
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;
use stint_render::mask::brush::Brush;
use stint_render::mask::mass::Edge;

const SIDE: u32 = 96;
/// Codes that two pictures may differ by: the square root and the power function of two systems differ in the last bit.
const TOLERANCE: u8 = 1;
/// No golden picture is larger.
const MOST_BYTES: u64 = 8192;

fn session() -> Session {
    let board = Board::new("golden", LightOfDay::Cool);
    let mut session = Session::in_memory((SIDE, SIDE), board, EngineChoice::Cpu).unwrap();
    for (role, colour) in [(Role::Light, "#9db5da"), (Role::Local, "#76544d"), (Role::Accent, "#dda966")] {
        let (family, name) = ("Depot".to_owned(), String::new());
        session.apply(&Command::AddSwatch { family, role, name, colour: colour.to_owned(), by_role: false }).unwrap();
    }
    session
}

fn load(session: &mut Session, role: Role) {
    session.apply(&Command::Load(SwatchRef::Swatch { family: "Depot".to_owned(), role })).unwrap();
}

fn mass(session: &mut Session, role: Role, outline: &[[f32; 2]], edge: Edge) {
    load(session, role);
    session.apply(&Command::Mass { outline: outline.to_vec(), edge }).unwrap();
}

fn brush(session: &mut Session, brush: Brush) {
    session.apply(&Command::Brush(brush)).unwrap();
}

fn picture(session: &mut Session) -> Vec<[u8; 3]> {
    let words = session.canvas().resolve(&[TilePos { column: 0, row: 0 }]).unwrap();
    let rows = words.chunks_exact(128).take(SIDE as usize);
    rows.flat_map(|row| &row[..SIDE as usize]).map(|w| [*w as u8, (w >> 8) as u8, (w >> 16) as u8]).collect()
}

/// Pixels that differ by more than the tolerance.
fn apart(a: &[[u8; 3]], b: &[[u8; 3]]) -> usize {
    let far = |(a, b): (&[u8; 3], &[u8; 3])| a.iter().zip(b).any(|(a, b)| a.abs_diff(*b) > TOLERANCE);
    assert_eq!(a.len(), b.len());
    a.iter().zip(b).filter(|&pair| far(pair)).count()
}

fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("golden").join(name).with_extension("png")
}

fn check(name: &str, session: &mut Session) {
    let got = picture(session);
    let path = path(name);
    let bytes: Vec<u8> = got.concat();
    if std::env::var_os("STINT_UPDATE_GOLDEN").is_some() {
        image::save_buffer(&path, &bytes, SIDE, SIDE, image::ExtendedColorType::Rgb8).unwrap();
        panic!("{} is written anew: look at it, then run without STINT_UPDATE_GOLDEN", path.display());
    }
    assert!(std::fs::metadata(&path).unwrap().len() <= MOST_BYTES, "{name} is too large for the repository");
    let want = image::open(&path).unwrap().to_rgb8();
    assert_eq!(want.dimensions(), (SIDE, SIDE));
    let want: Vec<[u8; 3]> = want.pixels().map(|p| p.0).collect();
    let apart = apart(&got, &want);
    if apart > 0 {
        let beside = std::env::temp_dir().join(format!("stint golden {name}.png"));
        image::save_buffer(&beside, &bytes, SIDE, SIDE, image::ExtendedColorType::Rgb8).unwrap();
        panic!("{name}: {apart} pixels differ from {}; what came is in {}", path.display(), beside.display());
    }
}

#[test]
fn strokes_swell_with_pressure_and_end_round() {
    let mut session = session();
    load(&mut session, Role::Local);
    for (y, hardness) in [(16.0, 1.0), (48.0, 0.5), (80.0, 0.0)] {
        let own = Brush { size_px: 22.0, hardness, spacing: 0.1, strength: 0.9, ..Brush::default() };
        brush(&mut session, own);
        let samples =
            (0..=8).map(|i| PenSample::new(14.0 + i as f32 * 8.5, y, (i as f32 / 8.0).sin().max(0.1))).collect();
        session.apply(&Command::Stroke(samples)).unwrap();
    }
    check("strokes", &mut session);
}

#[test]
fn edges_of_masses_are_soft_or_hard_and_a_crossing_outline_fills() {
    let mut session = session();
    mass(&mut session, Role::Light, &[[6.3, 8.0], [44.0, 20.4], [12.5, 43.0]], Edge::Soft);
    mass(&mut session, Role::Light, &[[54.3, 8.0], [92.0, 20.4], [60.5, 43.0]], Edge::Hard);
    mass(&mut session, Role::Accent, &[[10.0, 54.0], [86.0, 90.0], [86.0, 54.0], [10.0, 90.0]], Edge::Soft);
    check("masses", &mut session);
}

fn glaze(mixing: Mixing) {
    let mut session = session();
    session.apply(&Command::SetMixing(mixing)).unwrap();
    mass(&mut session, Role::Local, &[[8.0, 8.0], [88.0, 8.0], [88.0, 60.0], [8.0, 60.0]], Edge::Soft);
    load(&mut session, Role::Light);
    brush(&mut session, Brush { size_px: 30.0, strength: 0.5, pressure_size: false, ..Brush::default() });
    session.apply(&Command::Stroke(vec![PenSample::new(20.0, 20.0, 1.0), PenSample::new(76.0, 84.0, 1.0)])).unwrap();
    check(&format!("glaze_{}", mixing.word()), &mut session);
}

#[test]
fn a_glaze_in_the_light_model() {
    glaze(Mixing::Light);
}

#[test]
fn a_glaze_in_the_perceptual_model() {
    glaze(Mixing::Perceptual);
}

#[test]
fn a_glaze_in_the_pigment_model() {
    glaze(Mixing::Pigment);
}

#[test]
fn soften_blends_an_edge_and_scrape_bares_the_ground() {
    let mut session = session();
    mass(&mut session, Role::Local, &[[0.0, 0.0], [48.0, 0.0], [48.0, 96.0], [0.0, 96.0]], Edge::Soft);
    mass(&mut session, Role::Light, &[[48.0, 0.0], [96.0, 0.0], [96.0, 96.0], [48.0, 96.0]], Edge::Soft);
    brush(
        &mut session,
        Brush { size_px: 40.0, hardness: 0.4, strength: 1.0, pressure_size: false, ..Brush::default() },
    );
    session.apply(&Command::Soften(vec![PenSample::new(48.0, 10.0, 1.0), PenSample::new(48.0, 40.0, 1.0)])).unwrap();
    session.apply(&Command::Scrape(vec![PenSample::new(20.0, 76.0, 1.0), PenSample::new(76.0, 76.0, 1.0)])).unwrap();
    check("soften_and_scrape", &mut session);
}

/// One kind of mark: a bow whose pressure rises and falls, and a short stroke.
fn mark(name: &str) {
    let named = stint::files::brushes::shipped_named(name).unwrap();
    let mut session = session();
    load(&mut session, Role::Light);
    brush(&mut session, Brush { size_px: 26.0, ..named.brush });
    let at = |i: i32| {
        let t = i as f32 / 12.0;
        PenSample::new(12.0 + t * 70.0, 62.0 - 130.0 * t * (1.0 - t), 0.3 + 2.4 * t * (1.0 - t) - 0.2 * t)
    };
    session.apply(&Command::Stroke((0..=12).map(at).collect())).unwrap();
    session.apply(&Command::Stroke(vec![PenSample::new(30.0, 72.0, 1.0), PenSample::new(62.0, 80.0, 0.7)])).unwrap();
    check(&format!("mark_{name}"), &mut session);
}

macro_rules! marks {
    ($($test:ident, $name:literal;)*) => {
        $(#[test]
        fn $test() {
            mark($name);
        })*
    };
}

marks! {
    a_round_mark, "round";
    a_flat_mark, "flat";
    a_filbert_mark, "filbert";
    a_bristle_mark, "bristle";
    a_knife_mark, "knife";
    a_rag_mark, "rag";
    a_charcoal_mark, "charcoal";
    a_soft_mark, "soft";
}

/// A wet brush from bare ground across one paint into another: it takes up both and carries them on, in streaks.
#[test]
fn a_wet_mark_across_wet_paint() {
    let named = stint::files::brushes::shipped_named("wet bristle").unwrap();
    let mut session = session();
    mass(&mut session, Role::Accent, &[[30.0, 8.0], [44.0, 8.0], [44.0, 88.0], [30.0, 88.0]], Edge::Soft);
    mass(&mut session, Role::Local, &[[60.0, 8.0], [96.0, 8.0], [96.0, 88.0], [60.0, 88.0]], Edge::Soft);
    load(&mut session, Role::Light);
    brush(&mut session, Brush { size_px: 30.0, ..named.brush });
    let at = |i: i32| PenSample::new(10.0 + 6.5 * i as f32, 52.0 - 1.6 * i as f32 + 0.1 * (i * i) as f32, 0.9);
    session.apply(&Command::Stroke((0..=12).map(at).collect())).unwrap();
    check("mark_wet", &mut session);
}

/// The comparison can fail.
#[test]
fn one_wrong_pixel_is_seen() {
    let mut session = session();
    let right = picture(&mut session);
    let mut wrong = right.clone();
    wrong[17][1] = wrong[17][1].wrapping_add(TOLERANCE + 1);
    assert_eq!((apart(&right, &right), apart(&right, &wrong)), (0, 1));
}
