#![allow(clippy::unwrap_used)]

use super::*;
use crate::photo::open::tests::{photo_of, photo_with_alpha};

fn noise(width: usize, height: usize) -> Vec<u8> {
    (0..width * height * 3).map(|i| (i as u32).wrapping_mul(2_654_435_761).to_be_bytes()[0]).collect()
}

fn rect(x: u32, y: u32, width_px: u32, height_px: u32) -> PixelRect {
    PixelRect { x, y, width_px, height_px }
}

#[test]
fn a_plain_view_shows_the_photo() {
    let photo = photo_of(2, &[255, 0, 0, 0, 255, 0, 0, 0, 255, 255, 255, 255]);
    let view = photo.view(Adjustments::default());
    let all = view.region(rect(0, 0, 2, 2));
    for (colour, expected) in all.iter().zip([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 1.0, 1.0]]) {
        let apart = [colour.r - expected[0], colour.g - expected[1], colour.b - expected[2]];
        assert!(apart.iter().all(|d| d.abs() < 1e-6), "{colour:?}");
    }
    assert_eq!(view.colour(7, 9), all[3], "beyond the edge the nearest pixel shows");
    assert!(view.region(rect(2, 0, 5, 5)).is_empty());
    assert_eq!(view.block(rect(1, 1, 5, 5)).rect, rect(1, 1, 1, 1));
}

#[test]
fn one_pixel_is_the_same_bits_as_the_whole_picture() {
    let photo = photo_of(50, &noise(50, 90));
    let view = photo.view(Adjustments { hue_turn_degrees: 40.0, soften_px: 1.3, ..Adjustments::default() });
    let all = view.region(rect(0, 0, 50, 90));
    for (x, y) in [(0, 0), (49, 89), (25, 31), (25, 32), (3, 64), (49, 0)] {
        assert_eq!(view.colour(x, y), all[(y * 50 + x) as usize], "{x}, {y}");
    }
    let part = view.region(rect(10, 20, 7, 40));
    assert_eq!(part[8], all[21 * 50 + 11]);
}

#[test]
fn softening_works_in_linear_light_and_keeps_the_mean() {
    // A one-pixel line of white: at sigma 0.5 the pixel keeps erf(1/sqrt(2)) = 0.6827 of its light (68-95-99.7 rule).
    let mut samples = vec![0; 21 * 3 * 3];
    for row in samples.chunks_exact_mut(21 * 3) {
        row[30..33].fill(255);
    }
    let photo = photo_of(21, &samples);
    let view = photo.view(Adjustments { hue_turn_degrees: 0.0, soften_px: 0.5, ..Adjustments::default() });
    assert!((view.colour(10, 1).g - 0.682_689).abs() < 1e-5);
    let row = view.region(rect(0, 1, 21, 1));
    assert!((row.iter().map(|c| c.g).sum::<f32>() - 1.0).abs() < 1e-5);
}

#[test]
fn the_hue_turns_and_lightness_and_chroma_stay() {
    let photo = photo_of(1, &[200, 80, 40]);
    let plain = photo.view(Adjustments::default()).colour(0, 0).oklab();
    for degrees in [-180.0f32, -90.0, 30.0, 120.0] {
        let turned = photo
            .view(Adjustments { hue_turn_degrees: degrees, soften_px: 0.0, ..Adjustments::default() })
            .colour(0, 0)
            .oklab();
        assert!((turned.l - plain.l).abs() < 1e-5, "{degrees}: {turned:?} {plain:?}");
        assert!((turned.a.hypot(turned.b) - plain.a.hypot(plain.b)).abs() < 1e-5);
        let moved = (turned.b.atan2(turned.a) - plain.b.atan2(plain.a)).to_degrees();
        assert!(((moved - degrees + 540.0).rem_euclid(360.0) - 180.0).abs() < 0.01, "{degrees}: moved by {moved}");
    }
    let odd = Adjustments { hue_turn_degrees: f32::NAN, soften_px: f32::NAN, ..Adjustments::default() };
    assert_eq!(photo.view(odd).colour(0, 0), photo.view(Adjustments::default()).colour(0, 0));
}

#[test]
fn transparent_pixels_give_nothing_to_their_neighbours() {
    let samples: Vec<u8> = (0..20).flat_map(|x| if x < 10 { [255, 0, 0, 255] } else { [0, 0, 255, 0] }).collect();
    let photo = photo_with_alpha(20, &samples);
    let view = photo.view(Adjustments { hue_turn_degrees: 0.0, soften_px: 1.0, ..Adjustments::default() });
    let block = view.block(rect(0, 0, 20, 1));
    assert!(block.colours[..13].iter().all(|c| (c.r - 1.0).abs() < 1e-5 && c.b.abs() < 1e-5), "{:?}", block.colours);
    // The opaque side reaches half a pixel beyond the centre of pixel 9: Phi(0.5) = 0.691462 of the weight.
    assert!((block.alpha[9] - 0.691_462).abs() < 1e-5, "{:?}", block.alpha);
    assert_eq!(block.alpha[19], 0.0);
    assert!((block.colours[19].b - 1.0).abs() < 1e-6, "a clear pixel shows its stored colour");
}

#[test]
fn what_was_kept_before_there_was_exposure_contrast_and_crop_is_read_as_it_was() {
    let old: Adjustments = ron::from_str("(hue_turn: 4.0, soften: 0.5)").unwrap();
    assert_eq!(old, Adjustments { hue_turn_degrees: 4.0, soften_px: 0.5, ..Adjustments::default() });
    // What was never set is not written either, so that studies without it stay as they were.
    assert_eq!(ron::to_string(&old).unwrap(), "(hue_turn:4.0,soften:0.5)");
    let new = Adjustments { exposure_stops: 0.5, contrast: 1.25, crop: Some(rect(4, 5, 60, 70)), ..old };
    assert_eq!(ron::from_str::<Adjustments>(&ron::to_string(&new).unwrap()).unwrap(), new);
    assert!(ron::from_str::<Adjustments>("(hue_turn: 4.0, soften: 0.5, grain: 1.0)").is_err());
}

#[test]
fn a_crop_says_what_is_used_and_pixels_keep_their_numbers() {
    let photo = photo_of(50, &noise(50, 90));
    let cropped = |crop| photo.view(Adjustments { crop: Some(crop), ..Adjustments::default() });
    let view = cropped(rect(10, 20, 30, 40));
    assert_eq!(view.part(), rect(10, 20, 30, 40));
    let plain = photo.view(Adjustments::default());
    assert_eq!(plain.part(), rect(0, 0, 50, 90));
    assert_eq!(view.colour(12, 25), plain.colour(12, 25));
    // A small copy is of the part alone.
    let (width, height, codes) = view.thumbnail(100, Colour::default());
    assert_eq!((width, height), (30, 40));
    assert_eq!(codes[5 * 30 + 2], plain.colour(12, 25).to_srgb8());
    // What lies beside the photo is left out; a crop that lies beside it altogether is none.
    assert_eq!(cropped(rect(40, 80, 60, 60)).part(), rect(40, 80, 10, 10));
    assert_eq!(cropped(rect(50, 0, 9, 9)).part(), rect(0, 0, 50, 90));
    assert_eq!(cropped(rect(u32::MAX, u32::MAX, u32::MAX, u32::MAX)).part(), rect(0, 0, 50, 90));
}

#[test]
fn exposure_and_contrast_are_seen_after_softening_and_before_the_turn() {
    let photo = photo_of(9, &noise(9, 9));
    let adjustments = Adjustments {
        hue_turn_degrees: 25.0,
        soften_px: 0.8,
        exposure_stops: -0.5,
        contrast: 1.3,
        ..Adjustments::default()
    };
    let softened = photo.view(Adjustments { soften_px: 0.8, ..Adjustments::default() }).colour(4, 4);
    assert_eq!(photo.view(adjustments).colour(4, 4), super::super::ColourChange::new(adjustments).of(softened));
    // Out of range and no number at all: the nearest allowed, and none.
    let odd = Adjustments { exposure_stops: 9.0, contrast: f32::NAN, ..Adjustments::default() };
    assert_eq!(odd.in_range(), Adjustments { exposure_stops: 3.0, ..Adjustments::default() });
    assert_eq!(photo.view(odd).colour(4, 4), photo.view(odd.in_range()).colour(4, 4));
}
