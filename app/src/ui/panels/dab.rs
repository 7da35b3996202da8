//! The shape of a dab of paint: soft, irregular, and always the same for one swatch.

use egui::{Color32, Painter, Pos2, Shape, Stroke, Vec2, vec2};
use lyon::math::point;
use lyon::path::Path;
use lyon::path::iterator::PathIterator;
use stint_model::ids::SwatchId;
use stint_model::random::SplitMix64;

/// Knots of the outline; curves run between their middles.
const KNOTS: usize = 16;
/// Waves around the outline and how far each may reach, as a part of the radius. The sum of reach x (waves squared - 1) is
/// below 1, which keeps the outline convex.
const WAVES: [(f32, f32); 3] = [(2.0, 0.06), (3.0, 0.05), (4.0, 0.02)];
/// Largest distance of the outline's corners from its curves, points.
const FLATNESS: f32 = 0.15;

/// A well-mixed number from a seed and an index, 0 to 1.
fn noise(seed: u32, index: usize) -> f32 {
    let bits = SplitMix64(u64::from(seed) << 32 | index as u64).next_u64();
    (bits >> 40) as f32 / (1u64 << 24) as f32
}

/// The outline of the dab of a swatch around `centre`; `radius` is half its width and height, points.
pub(super) fn outline(id: SwatchId, centre: Pos2, radius: Vec2) -> Vec<Pos2> {
    let reach = |angle: f32| -> f32 {
        let waves = WAVES.iter().enumerate().map(|(i, (waves, far))| {
            let size = far * (0.6 + 0.4 * noise(id.0, i));
            size * (waves * angle + noise(id.0, 10 + i) * std::f32::consts::TAU).cos()
        });
        1.0 + waves.sum::<f32>()
    };
    let knots: Vec<_> = (0..KNOTS)
        .map(|i| {
            let angle = i as f32 / KNOTS as f32 * std::f32::consts::TAU;
            let far = radius * reach(angle);
            point(centre.x + angle.cos() * far.x, centre.y + angle.sin() * far.y)
        })
        .collect();
    let middle = |i: usize| knots[i % KNOTS].lerp(knots[(i + 1) % KNOTS], 0.5);
    let mut path = Path::builder();
    path.begin(middle(KNOTS - 1));
    for (i, &knot) in knots.iter().enumerate() {
        path.quadratic_bezier_to(knot, middle(i));
    }
    path.end(true);
    let path = path.build();
    let flat = path.iter().flattened(FLATNESS);
    flat.filter_map(|event| match event {
        lyon::path::Event::Line { to, .. } => Some(Pos2::new(to.x, to.y)),
        _ => None,
    })
    .collect()
}

/// Paints a dab, with a ring when it is loaded.
pub(super) fn paint(
    painter: &Painter,
    id: SwatchId,
    centre: Pos2,
    radius: Vec2,
    colour: Color32,
    ring: Option<Stroke>,
) {
    painter.add(Shape::convex_polygon(outline(id, centre, radius), colour, Stroke::NONE));
    if let Some(stroke) = ring {
        painter.add(Shape::closed_line(outline(id, centre, radius + vec2(5.5, 5.5)), stroke));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dab(id: u32) -> Vec<Pos2> {
        outline(SwatchId(id), Pos2::new(50.0, 40.0), vec2(22.0, 16.0))
    }

    #[test]
    fn a_swatch_keeps_its_shape_and_others_have_their_own() {
        assert_eq!(dab(7), dab(7));
        assert_ne!(dab(7), dab(8));
    }

    #[test]
    fn every_dab_is_convex_and_about_as_large_as_asked() {
        for id in 1..500 {
            let outline = dab(id);
            let n = outline.len();
            for i in 0..n {
                let [a, b, c] = [outline[i], outline[(i + 1) % n], outline[(i + 2) % n]];
                let (one, two) = (b - a, c - b);
                assert!(one.x * two.y - one.y * two.x >= -0.01, "dab {id} has a dent at {b:?}");
            }
            for p in outline {
                let off = vec2((p.x - 50.0) / 22.0, (p.y - 40.0) / 16.0).length();
                assert!((0.75..1.2).contains(&off), "dab {id}: {off}");
            }
        }
    }
}
