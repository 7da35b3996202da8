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
    let view = photo.view(Adjustments { hue_turn: 20.0, soften: 0.7 });
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

#[test]
#[ignore]
fn tmp_measure() {
    use crate::photo::Blocks;
    use crate::colour::Colour;
    let (w, h) = (4000u32, 3000u32);
    let mut samples = Vec::new();
    let mut r = 1u32;
    for y in 0..h { for x in 0..w { r = r.wrapping_mul(1664525).wrapping_add(1013904223); let g = (r >> 24) % 24; samples.extend([(x/20+g) as u8, (y/15+g) as u8, ((x/37)^(y/53)) as u8 % 64 * 2 + 40]); } }
    let big = super::super::open::tests::photo_of(w, &samples);
    let small_s: Vec<u8> = (0..1200usize).flat_map(|y| (0..1600usize).flat_map(move |x| { let o = (y*5/2*4000 + x*5/2)*3; [o,o+1,o+2] })).map(|o| samples[o]).collect();
    let small = super::super::open::tests::photo_of(1600, &small_s);
    for (name, photo) in [("12MP", &big), ("2MP", &small)] {
        for (turn, soften) in [(0.0, 0.0), (8.0, 0.0), (8.0, 0.5), (8.0, 3.0)] {
            let view = photo.view(Adjustments { hue_turn: turn, soften });
            let (w, h) = (photo.width_px() as f32, photo.height_px() as f32);
            let o = Outline::new(vec![[w*0.1, h*0.1],[w*0.9,h*0.1],[w*0.9,h*0.9],[w*0.1,h*0.9]]).unwrap();
            let t = std::time::Instant::now();
            trio(&view, &o).unwrap();
            println!("{name} turn {turn} soften {soften}: trio {:?}", t.elapsed());
            for side in [560, 800, 1700] {
                let t = std::time::Instant::now();
                let b = photo.blocks(side);
                let t1 = t.elapsed();
                let t = std::time::Instant::now();
                b.seen(&view, Colour::default());
                println!("   side {side}: blocks {t1:?}, seen {:?}", t.elapsed());
            }
            let t = std::time::Instant::now();
            let b = Blocks::new(photo, crate::photo::PixelRect{x:100,y:100,width_px:1800,height_px:1150}, 1850);
            b.seen(&view, Colour::default());
            println!("   1:1 of 1800x1150: {:?}", t.elapsed());
            let t = std::time::Instant::now();
            let p = crate::photo::propose_board(&view, 6, "p").unwrap();
            println!("   propose {:?} {}", t.elapsed(), p.families.len());
        }
    }
}
