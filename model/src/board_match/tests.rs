#![allow(clippy::unwrap_used)]

use super::*;
use crate::board::{LightOfDay, Role};
use crate::photo::Adjustments;
use crate::photo::Photo;

fn board() -> Board {
    let brick = [(Role::Shadow, "#4a2f2c"), (Role::Local, "#8a4f40"), (Role::Light, "#c08a72")];
    let yard = [(Role::Shadow, "#2c3440"), (Role::Local, "#5a6878"), (Role::Light, "#a8b8c8")];
    let mut board = Board::new("depot", LightOfDay::Cool);
    for (name, tones) in [("brick", brick), ("wet yard", yard)] {
        board = board.with_trio(name, tones.map(|(r, hex)| (r, Colour::from_hex(hex).unwrap())), &[]).unwrap();
    }
    board
}

/// The mixture of all swatches of the board with these weights.
fn mixture(board: &Board, mixing: Mixing, weights: &[f32]) -> Colour {
    mixing.mixed(board.swatches().map(|(_, swatch)| swatch.colour).zip(weights.iter().copied()))
}

fn mixtures_picture(mixing: Mixing, width: u32, height: u32) -> Vec<Colour> {
    let board = board();
    let weight = |i: u32, k: u32| f32::from((i.wrapping_mul(2_654_435).wrapping_add(k * 40_503) % 97) as u8).powi(2);
    (0..width * height).map(|i| mixture(&board, mixing, &(0..6).map(|k| weight(i, k)).collect::<Vec<_>>())).collect()
}

#[test]
fn mixtures_are_the_boards_and_a_foreign_quarter_is_named() {
    for mixing in Mixing::ALL {
        let mut colours = mixtures_picture(mixing, 300, 200);
        let whole = match_board(&PixelRows::new(300, &colours), &board(), mixing, 3.0).unwrap();
        assert_eq!((whole.share, whole.worst.len(), whole.pixels), (1.0, 0, 60_000));
        assert!(whole.mean_ciede2000 < 0.4, "{whole:?}");
        for (i, colour) in colours.iter_mut().enumerate() {
            if i % 300 >= 150 && i / 300 < 100 {
                *colour = Colour::from_srgb8([30, 170, 60]);
            }
        }
        let part = match_board(&PixelRows::new(300, &colours), &board(), mixing, 3.0).unwrap();
        assert_eq!((part.share, part.worst.len()), (0.75, 1));
        let area = &part.worst[0];
        assert_eq!((area.x_px, area.y_px, area.width_px, area.height_px), (150, 0, 150, 100));
        assert_eq!((area.share_of_picture, area.hex.as_str()), (0.25, "#1eaa3c"));
        assert!(
            area.mean_ciede2000 > 20.0 && area.off.contains("too strong") && area.off.contains("too green"),
            "{area:?}"
        );
        assert!(!area.families.is_empty());
        // A tolerance that takes everything in.
        let all = match_board(&PixelRows::new(300, &colours), &board(), mixing, 100.0).unwrap();
        assert_eq!((all.share, all.worst.len()), (1.0, 0));
    }
}

#[test]
fn a_mixture_of_one_model_can_be_foreign_in_another() {
    // Halfway between the darkest and the lightest, light and OKLab mean different greys; on this board of two swatches each
    // model has a line of its own through colour space only where the hues differ.
    let mut board = Board::new("", LightOfDay::Neutral);
    for (name, hex) in [("blue", "#1030c0"), ("yellow", "#f0e040")] {
        let (with, id) = board.with_family(name).unwrap();
        board = with.with_swatch(id, Role::Local, "", Colour::from_hex(hex).unwrap(), &[]).unwrap().0;
    }
    let colours = [mixture(&board, Mixing::Light, &[1.0, 1.0])];
    let share = |mixing| match_board(&PixelRows::new(1, &colours), &board, mixing, 3.0).unwrap().share;
    assert_eq!((share(Mixing::Light), share(Mixing::Perceptual)), (1.0, 0.0));
}

#[test]
fn transparent_pixels_do_not_count_and_what_cannot_be_tested_says_so() {
    let mut rgba = Vec::new();
    for i in 0..100 {
        rgba.extend(if i < 40 { [0, 255, 0, 0] } else { [0x8a, 0x4f, 0x40, 255] });
    }
    let mut png = Vec::new();
    let encoder = image::codecs::png::PngEncoder::new(&mut png);
    image::ImageEncoder::write_image(encoder, &rgba, 10, 10, image::ExtendedColorType::Rgba8).unwrap();
    let photo = Photo::from_bytes(&png, "a.png").unwrap();
    let view = photo.view(Adjustments::default());
    let found = match_board(&view, &board(), Mixing::default(), 3.0).unwrap();
    assert_eq!((found.pixels, found.share), (60, 1.0));
    assert_eq!(match_board(&view, &Board::default(), Mixing::default(), 3.0), Err(BoardMatchError::EmptyBoard));
    for bad in [-1.0, f64::NAN, 101.0] {
        assert!(matches!(match_board(&view, &board(), Mixing::default(), bad), Err(BoardMatchError::Within(_))));
    }
    rgba.iter_mut().skip(3).step_by(4).for_each(|a| *a = 0);
    let mut png = Vec::new();
    let encoder = image::codecs::png::PngEncoder::new(&mut png);
    image::ImageEncoder::write_image(encoder, &rgba, 10, 10, image::ExtendedColorType::Rgba8).unwrap();
    let clear = Photo::from_bytes(&png, "a.png").unwrap();
    let refused = match_board(&clear.view(Adjustments::default()), &board(), Mixing::default(), 3.0);
    assert_eq!(refused, Err(BoardMatchError::Transparent));
}

#[test]
fn the_same_bits_with_any_number_of_threads() {
    let mut colours = mixtures_picture(Mixing::Perceptual, 700, 300);
    for (i, colour) in colours.iter_mut().enumerate().filter(|(i, _)| i % 3 == 0) {
        *colour = Colour::from_srgb8([(i / 700) as u8, (i % 251) as u8, (i % 83) as u8]);
    }
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let picture = PixelRows::new(700, &colours);
        pool.install(|| match_board(&picture, &board(), Mixing::default(), 3.0).unwrap())
    };
    let one = with(1);
    assert!(one.share > 0.6 && one.share < 0.9 && !one.worst.is_empty(), "{one:?}");
    assert_eq!(one, with(3));
}
