#![allow(clippy::unwrap_used)]

use super::*;
use crate::board::{LightOfDay, Role};
use crate::photo::open::tests::photo_of;
use crate::photo::{Adjustments, Photo};
use crate::study::{PickSource, Picked};
use std::collections::BTreeMap;

const SIZE: (u32, u32) = (120, 90);
/// Sky above, brick and yard below, as sRGB codes.
const PARTS: [[u8; 3]; 3] = [[92, 115, 148], [125, 82, 70], [70, 76, 90]];

fn part(x: u32, y: u32) -> usize {
    if y < 40 {
        0
    } else if x < 60 {
        1
    } else {
        2
    }
}

fn photo() -> Photo {
    let pixels = (0..SIZE.1).flat_map(|y| (0..SIZE.0).map(move |x| PARTS[part(x, y)]));
    photo_of(SIZE.0, &pixels.flatten().collect::<Vec<u8>>())
}

fn board() -> Board {
    let mut board = Board::new("Depot", LightOfDay::Cool);
    for (name, codes) in ["sky", "brick", "yard"].into_iter().zip(PARTS) {
        let (with, family) = board.with_family(name).unwrap();
        board = with.with_swatch(family, Role::Local, "", Colour::from_srgb8(codes), &[]).unwrap().0;
    }
    board
}

/// What is outlined: sky and brick; the yard is found by its paint.
fn picks(board: &Board) -> BTreeMap<SwatchId, Picked> {
    let outlines: [&[(f32, f32)]; 2] = [
        &[(0.0, 0.0), (120.0, 0.0), (120.0, 40.0), (0.0, 40.0)],
        &[(5.0, 45.0), (55.0, 45.0), (55.0, 88.0), (5.0, 88.0)],
    ];
    let ids = board.swatches().map(|(_, s)| s.id);
    let how = |outline: &[(f32, f32)]| PickSource::Surface { outline: outline.to_vec(), role: Role::Local };
    ids.zip(outlines).map(|(id, outline)| (id, Picked { photo: 7, how: how(outline) })).collect()
}

/// The painting as the photo with every part changed in its own way, on a grid of its own.
fn painted(change: impl Fn(usize, Colour) -> Colour) -> PaintedCells {
    let (width, height) = (60, 45);
    let at = |i: u32| part(i % width * 2, i / width * 2);
    let colour = |i: u32| change(at(i), Colour::from_srgb8(PARTS[at(i)]));
    PaintedCells {
        width,
        height,
        colours: (0..width * height).map(colour).collect(),
        painted: vec![true; (width * height) as usize],
        families: (0..width * height).map(|i| Some(at(i) as u16)).collect(),
    }
}

fn compared(painting: &PaintedCells, framing: &Framing) -> Comparison {
    let (photo, board) = (photo(), board());
    let picks = picks(&board);
    let view = photo.view(Adjustments::default());
    let cells = PhotoCells::new(&photo.blocks(120), &view, framing, (painting.width, painting.height));
    let from = PickedFrom { picks: &picks, photo: 7, longer_side_px: 120 };
    Comparison::new(&board, from, framing, painting, &cells)
}

fn shift(value_munsell: f64, warmth: f64) -> WholePicture {
    WholePicture { value_munsell, warmth, strength: 1.0 }
}

#[test]
fn a_copy_is_right_and_planted_faults_are_told_surface_by_surface() {
    let whole = Framing::whole(SIZE.0, SIZE.1);
    let copy = compared(&painted(|_, c| c), &whole);
    let sentences = |c: &Comparison| c.surfaces.iter().map(Compared::sentence).collect::<Vec<_>>();
    let rest = "elsewhere, left right";
    assert_eq!(&sentences(&copy)[..3], ["sky right", "brick right", "yard right"]);
    assert!(copy.whole_sentences().is_empty() && copy.bare.is_empty());
    let found: Vec<_> = copy.surfaces[..3].iter().map(|s| (s.found_by, (s.share * 100.0).round())).collect();
    // 120 x 40 of 120 x 90 pixels; 50 x 43; and half of what lies below.
    assert_eq!(found, [(FoundBy::Outline, 44.0), (FoundBy::Outline, 20.0), (FoundBy::Paint, 28.0)]);
    assert!(sentences(&copy)[3..].iter().all(|s| s.starts_with("elsewhere") && s.ends_with(": right")), "{rest}");

    let wrong =
        compared(&painted(|part, c| [shift(0.0, 0.0), shift(0.0, -0.02), shift(-0.8, 0.0)][part].given_to(c)), &whole);
    assert_eq!(&sentences(&wrong)[..3], ["sky right", "brick a little cool", "yard 0.8 too dark"]);
    assert!(wrong.whole_sentences().is_empty(), "{:?}", wrong.whole);
}

#[test]
fn another_key_is_told_once_and_makes_no_surface_wrong() {
    let whole = Framing::whole(SIZE.0, SIZE.1);
    let key = compared(&painted(|part, c| shift(if part == 2 { 0.3 } else { -0.5 }, 0.015).given_to(c)), &whole);
    let said =
        ["nearly everything 0.5 darker, which keeps the mood", "everything a little warmer, as in another light"];
    assert_eq!(key.whole_sentences(), said);
    let verdicts: Vec<_> = key.surfaces[..3].iter().map(Compared::verdict).collect();
    assert_eq!(verdicts, ["right", "right", "0.8 too light"]);
    // The nearest paint to the sky of a darker picture is no longer the sky of the photo.
    let board = board();
    let ids: Vec<_> = board.swatches().map(|(_, s)| s.id).collect();
    assert_eq!(key.nearest_paint(&key.surfaces[2], &board), Some(ids[2]));
    assert!(
        key.surfaces[2].figures().starts_with("value 3.5, the photo 3.2; chroma "),
        "{}",
        key.surfaces[2].figures()
    );
}

#[test]
fn what_is_bare_or_beyond_the_photo_is_not_judged() {
    let whole = Framing::whole(SIZE.0, SIZE.1);
    let mut half = painted(|_, c| c);
    for (i, painted) in half.painted.iter_mut().enumerate() {
        *painted = part(i as u32 % 60 * 2, i as u32 / 60 * 2) == 0;
    }
    let half = compared(&half, &whole);
    assert_eq!((half.surfaces.len(), half.bare), (1, vec!["brick".to_owned()]));
    // The canvas shows the right half of the photo and as much again beside it.
    let beyond = Framing::new([(60.0, 0.0), (180.0, 0.0), (180.0, 90.0), (60.0, 90.0)]).unwrap();
    let mut copy = painted(|_, c| c);
    for (i, colour) in (0_u32..).zip(copy.colours.iter_mut()) {
        *colour = Colour::from_srgb8(PARTS[part(60 + i % 60 * 2, i / 60 * 2)]);
    }
    let part_of = compared(&copy, &beyond);
    let sky = part_of.surfaces.iter().find(|s| s.name == "sky").unwrap();
    assert!((sky.share - 0.22).abs() < 0.01 && sky.off.delta_e < 0.5, "{sky:?}");
    assert!(part_of.surfaces.iter().all(|s| s.name != "brick") && part_of.bare.is_empty());
}

#[test]
fn a_part_of_the_photo_lines_up() {
    // Only the brick and a little around it.
    let part_of = Framing::new([(0.0, 42.0), (60.0, 42.0), (60.0, 90.0), (0.0, 90.0)]).unwrap();
    let brick = Colour::from_srgb8(PARTS[1]);
    let mut painting = painted(|_, _| shift(0.5, 0.0).given_to(brick));
    painting.families.fill(Some(1));
    let found = compared(&painting, &part_of);
    assert_eq!(found.surfaces[0].sentence(), "brick right", "{:?}", found.whole);
    assert_eq!(found.whole_sentences(), ["everything 0.5 lighter, which keeps the mood"]);
    assert!((found.surfaces[0].off.value_munsell + found.whole.value_munsell - 0.5).abs() < 0.02);
}
