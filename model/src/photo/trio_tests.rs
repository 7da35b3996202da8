#![allow(clippy::unwrap_used)]

use super::*;
use crate::photo::Adjustments;
use crate::photo::open::tests::{photo_of, photo_with_alpha};

const SHADOW: [u8; 3] = [70, 50, 60];
const LOCAL: [u8; 3] = [170, 90, 60];
const LIGHT: [u8; 3] = [230, 190, 150];

fn whole(width: f32, height: f32) -> Outline {
    Outline::new(vec![[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]]).unwrap()
}

/// 60 x 40: 12 rows of shadow, 20 of local, 8 of light, with a few specks of black, white and green.
fn wall() -> Vec<u8> {
    let mut samples: Vec<u8> = (0..40)
        .flat_map(|y| {
            [if y < 12 {
                SHADOW
            } else if y < 32 {
                LOCAL
            } else {
                LIGHT
            }; 60]
        })
        .flatten()
        .collect();
    for (i, speck) in [[0, 0, 0], [255, 255, 255], [0, 200, 0]].iter().cycle().take(24).enumerate() {
        let at = (i * 97 + 13) * 3;
        samples[at..at + 3].copy_from_slice(speck);
    }
    samples
}

fn near(colour: Colour, code: [u8; 3]) -> bool {
    let photo = photo_of(1, &code);
    let (a, b) = (colour.oklab(), photo.view(Adjustments::default()).colour(0, 0).oklab());
    (a.l - b.l).hypot((a.a - b.a).hypot(a.b - b.b)) < 2e-3
}

#[test]
fn the_three_values_of_a_wall_are_found_and_specks_are_not() {
    let samples = wall();
    let photo = photo_of(60, &samples);
    let view = photo.view(Adjustments::default());
    let found = trio(&view, &whole(60.0, 40.0)).unwrap();
    assert!(near(found.shadow.colour, SHADOW) && near(found.local.colour, LOCAL) && near(found.light.colour, LIGHT));
    assert!(!found.stepped);
    assert!((found.shadow.share - 0.3).abs() < 0.03 && (found.local.share - 0.5).abs() < 0.03, "{found:?}");
    for tone in [found.shadow, found.local, found.light] {
        let at = view.colour(tone.at_px[0], tone.at_px[1]);
        assert!((at.g - tone.colour.g).abs() < 2e-3);
    }
}

#[test]
fn an_even_surface_gets_stepped_values_in_range() {
    for code in [LOCAL, [0, 0, 0], [255, 255, 255]] {
        let photo = photo_of(20, &code.repeat(400));
        let found = trio(&photo.view(Adjustments::default()), &whole(20.0, 20.0)).unwrap();
        assert!(found.stepped);
        let l = [found.shadow, found.local, found.light].map(|t| t.colour.oklab().l);
        assert!(l[1] - l[0] > MIN_STEP_L - 1e-4 && l[2] - l[1] > MIN_STEP_L - 1e-4, "{code:?}: {l:?}");
        assert!(l[0] > MIN_L - 1e-4 && l[2] < MAX_L + 1e-4, "{code:?}: {l:?}");
        assert_eq!((found.shadow.share, found.local.share), (0.0, 1.0));
    }
}

#[test]
fn two_values_keep_the_more_frequent_one_as_local() {
    let samples: Vec<u8> = (0..400).flat_map(|i| if i % 4 == 0 { SHADOW } else { LIGHT }).collect();
    let photo = photo_of(20, &samples);
    let found = trio(&photo.view(Adjustments::default()), &whole(20.0, 20.0)).unwrap();
    assert!(near(found.shadow.colour, SHADOW) && near(found.local.colour, LIGHT) && found.stepped, "{found:?}");
}

#[test]
fn small_and_transparent_regions_say_so() {
    let photo = photo_of(60, &wall());
    let view = photo.view(Adjustments::default());
    assert_eq!(trio(&view, &whole(3.0, 3.0)), Err(RegionError::TooSmall { pixels: 9, needed: MIN_REGION_PX }));
    let beside = Outline::new(vec![[90.0, 0.0], [99.0, 0.0], [99.0, 9.0]]).unwrap();
    assert!(matches!(trio(&view, &beside), Err(RegionError::TooSmall { pixels: 0, .. })));
    let clear = photo_with_alpha(20, &[90, 90, 90, 0].repeat(400));
    assert!(matches!(trio(&clear.view(Adjustments::default()), &whole(20.0, 20.0)), Err(RegionError::TooSmall { .. })));
}

#[test]
fn the_same_bits_with_any_number_of_threads() {
    let samples: Vec<u8> =
        (0..300 * 200 * 3).map(|i| (i as u32).wrapping_mul(2_654_435_761).to_be_bytes()[0]).collect();
    let photo = photo_of(300, &samples);
    let view = photo.view(Adjustments { hue_turn_degrees: 20.0, soften_px: 0.7, ..Adjustments::default() });
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| trio(&view, &whole(300.0, 200.0)).unwrap())
    };
    assert_eq!(with(1), with(3));
}

#[test]
fn a_large_surface_is_sampled_evenly() {
    let spans: Vec<Span> = (0..1000).map(|y| Span { y, from_x: 0, to_x: 800 }).collect();
    let positions = spread(&spans);
    assert!((39_000..=41_000).contains(&positions.len()), "{}", positions.len());
    let left = positions.iter().filter(|p| p[0] < 400).count() as f32 / positions.len() as f32;
    assert!((left - 0.5).abs() < 0.01, "{left}");
    let columns: std::collections::HashSet<u32> = positions.iter().map(|p| p[0]).collect();
    assert_eq!(columns.len(), 800, "every column is met somewhere");
}
