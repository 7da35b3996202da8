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
    let view = photo.view(Adjustments { hue_turn_degrees: 40.0, soften_px: 1.3 });
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
    let view = photo.view(Adjustments { hue_turn_degrees: 0.0, soften_px: 0.5 });
    assert!((view.colour(10, 1).g - 0.682_689).abs() < 1e-5);
    let row = view.region(rect(0, 1, 21, 1));
    assert!((row.iter().map(|c| c.g).sum::<f32>() - 1.0).abs() < 1e-5);
}

#[test]
fn the_hue_turns_and_lightness_and_chroma_stay() {
    let photo = photo_of(1, &[200, 80, 40]);
    let plain = photo.view(Adjustments::default()).colour(0, 0).oklab();
    for degrees in [-180.0f32, -90.0, 30.0, 120.0] {
        let turned = photo.view(Adjustments { hue_turn_degrees: degrees, soften_px: 0.0 }).colour(0, 0).oklab();
        assert!((turned.l - plain.l).abs() < 1e-5, "{degrees}: {turned:?} {plain:?}");
        assert!((turned.a.hypot(turned.b) - plain.a.hypot(plain.b)).abs() < 1e-5);
        let moved = (turned.b.atan2(turned.a) - plain.b.atan2(plain.a)).to_degrees();
        assert!(((moved - degrees + 540.0).rem_euclid(360.0) - 180.0).abs() < 0.01, "{degrees}: moved by {moved}");
    }
    let odd = Adjustments { hue_turn_degrees: f32::NAN, soften_px: f32::NAN };
    assert_eq!(photo.view(odd).colour(0, 0), photo.view(Adjustments::default()).colour(0, 0));
}

#[test]
fn transparent_pixels_give_nothing_to_their_neighbours() {
    let samples: Vec<u8> = (0..20).flat_map(|x| if x < 10 { [255, 0, 0, 255] } else { [0, 0, 255, 0] }).collect();
    let photo = photo_with_alpha(20, &samples);
    let view = photo.view(Adjustments { hue_turn_degrees: 0.0, soften_px: 1.0 });
    let block = view.block(rect(0, 0, 20, 1));
    assert!(block.colours[..13].iter().all(|c| (c.r - 1.0).abs() < 1e-5 && c.b.abs() < 1e-5), "{:?}", block.colours);
    // The opaque side reaches half a pixel beyond the centre of pixel 9: Phi(0.5) = 0.691462 of the weight.
    assert!((block.alpha[9] - 0.691_462).abs() < 1e-5, "{:?}", block.alpha);
    assert_eq!(block.alpha[19], 0.0);
    assert!((block.colours[19].b - 1.0).abs() < 1e-6, "a clear pixel shows its stored colour");
}
