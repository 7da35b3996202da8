//! Marks of brushes against things outside the project.

use resvg::tiny_skia::{
    Color, FillRule, GradientStop, Paint, PathBuilder, Pixmap, Point, RadialGradient, SpreadMode, Transform,
};
use stint::files::brushes::shipped;
use stint_render::mask::brush::Brush;
use stint_render::mask::{CanvasSize, PenSample, StrokeMask};

const SIDE: u32 = 220;

/// Cover of one touch of a brush at a place, 0-1 a pixel.
fn touch(brush: Brush, x: f32, y: f32) -> Vec<f32> {
    let mut stroke = StrokeMask::new(CanvasSize { width: SIDE, height: SIDE }, brush).unwrap();
    stroke.extend(&[PenSample::new(x, y, 1.0)]).unwrap();
    (0..SIDE * SIDE).map(|i| f32::from(stroke.mask().at(i % SIDE, i / SIDE)) / 65535.0).collect()
}

/// The same as tiny-skia, a general 2D library, fills a disc with a radial gradient of a falloff.
fn gradient(x: f32, y: f32, radius: f32, falloff: impl Fn(f32) -> f32) -> Vec<f32> {
    let stops = (0..=128).map(|i| {
        let t = i as f32 / 128.0;
        GradientStop::new(t, Color::from_rgba(1.0, 1.0, 1.0, falloff(t)).unwrap())
    });
    let centre = Point::from_xy(x, y);
    let shader =
        RadialGradient::new(centre, 0.0, centre, radius, stops.collect(), SpreadMode::Pad, Transform::identity());
    let paint = Paint { shader: shader.unwrap(), anti_alias: true, ..Paint::default() };
    let mut pixmap = Pixmap::new(SIDE, SIDE).unwrap();
    let disc = PathBuilder::from_circle(x, y, radius).unwrap();
    pixmap.fill_path(&disc, &paint, FillRule::Winding, Transform::identity(), None);
    pixmap.pixels().iter().map(|p| f32::from(p.alpha()) / 255.0).collect()
}

/// Cover by the distance from the middle, both as parts of a whole.
type Falloff = fn(f32) -> f32;

#[test]
fn soft_touches_are_the_radial_gradients_of_a_general_2d_library() {
    let soft = shipped().into_iter().find(|b| b.name == "Soft").unwrap().brush;
    let plain = Brush { hardness: 0.0, strength: 1.0, ..Brush::default() };
    for (x, y, radius) in [(110.0, 110.0, 80.0), (97.3, 101.8, 40.5), (110.5, 120.25, 12.0)] {
        let size_px = 2.0 * radius;
        let cases: [(&str, Brush, Falloff); 2] = [
            ("soft", Brush { size_px, ..soft.clone() }, |t| (1.0 - t * t) * (1.0 - t * t)),
            ("plain", Brush { size_px, ..plain.clone() }, |t| {
                let rest = 1.0 - t;
                rest * rest * (3.0 - 2.0 * rest)
            }),
        ];
        for (name, brush, falloff) in cases {
            let (ours, theirs) = (touch(brush, x, y), gradient(x, y, radius, falloff));
            let apart = ours.iter().zip(&theirs).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
            // One step of their 8 bits, and half a step of their rounding.
            assert!(apart <= 1.5 / 255.0, "{name} of radius {radius} is {} steps apart", apart * 255.0);
            // It is no empty picture: both falloffs cover about a third of their disc.
            assert!(ours.iter().sum::<f32>() > 0.9 * radius * radius);
        }
    }
}

/// The body of a mark has the swatch's full colour, except where the kind itself leaves some of the ground.
#[test]
fn at_full_pressure_the_body_of_a_mark_is_fully_covered() {
    for named in shipped() {
        if ["Rag", "Charcoal", "Soft"].contains(&named.name.as_str()) {
            continue;
        }
        for size_px in [20.0, 60.0, 120.0] {
            let brush = Brush { size_px, ..named.brush.clone() };
            let mut stroke = StrokeMask::new(CanvasSize { width: 700, height: SIDE }, brush).unwrap();
            let samples: Vec<_> = (0..=40).map(|i| PenSample::new(90.0 + 13.0 * i as f32, 110.0, 1.0)).collect();
            stroke.extend(&samples).unwrap();
            let radius = size_px / 2.0;
            let body = ((110.0 - 0.6 * radius) as u32..(110.0 + 0.6 * radius) as u32)
                .flat_map(|y| ((90.0 + 0.5 * size_px) as u32..(90.0 + 1.2 * size_px) as u32).map(move |x| (x, y)));
            let (all, full) =
                body.fold((0, 0), |(all, full), (x, y)| (all + 1, full + u32::from(stroke.mask().at(x, y) == 65535)));
            assert!(all > 100 && full == all, "{} of {size_px} px: {full} of {all} pixels", named.name);
        }
    }
}
