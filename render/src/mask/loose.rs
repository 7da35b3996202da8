//! A mass whose edge the brush in hand makes: inside it is filled, and along its outline go strokes, each as long as the brush holds paint
//! and begun anew at every corner, as a hand would cut an edge in.

use super::brush::{Brush, BrushError};
use super::mass::{Edge, MassError};
use super::{CanvasSize, Mask, MaskTile, PenSample, StrokeMask};
use stint_model::study::tile::TILE_PIXELS;

/// A brush narrower than this makes no edge that could be told from a plain one, canvas pixels.
const NARROWEST_PX: f32 = 3.0;
/// The part of the brush's width, on both sides of the outline together, that its strokes alone cover.
const BAND: f32 = 0.6;
/// How hard a stroke of the edge begins and ends: it is set down firmly and lifted off.
const PRESSURES: [f32; 2] = [0.85, 0.45];
/// A hand strays from the outline by this much at most, in widths of the brush.
const STRAY: f32 = 0.1;
/// A stroke ends when this part of the paint that the brush holds is spent: the next one begins full.
const SPENT: f32 = 0.6;
/// Shortest and longest stroke, in widths of the brush.
const LENGTHS: [f32; 2] = [4.0, 24.0];
/// Strokes begin this much before the last one ended, in widths, so that no notch is left.
const OVERLAP: f32 = 0.6;
/// Samples of a stroke lie this far from each other, in widths of the brush.
const STEP: f32 = 0.25;
/// The outline turns a corner where it turns by more than this: the cosine of 40 degrees.
const CORNER_COS: f32 = 0.766;
/// Samples along one side at most; a side that is longer lies for the most part beside the canvas.
const MOST_STEPS: f32 = 20_000.0;
/// Strokes along one outline at most; they are longer where it would take more.
const MOST_STROKES: f32 = 400.0;

/// Why a mass with a loose edge cannot be laid.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum LooseError {
    /// Its outline cannot be filled.
    #[error(transparent)]
    Mass(#[from] MassError),
    /// The brush refused.
    #[error(transparent)]
    Brush(#[from] BrushError),
}

/// The cover of a mass with a loose edge.
///
/// # Errors
/// When the outline cannot be filled, or a setting of the brush is out of range.
pub fn loose_mass(size: CanvasSize, outline: &[[f32; 2]], brush: &Brush) -> Result<Mask, LooseError> {
    let mut mask = Mask::new(size);
    mask.add_mass(outline, Edge::Soft, u16::MAX)?;
    brush.check()?;
    if brush.size_px < NARROWEST_PX {
        return Ok(mask);
    }
    let band = Brush { size_px: brush.size_px * BAND, hardness: 1.0, strength: 1.0, mark: None, ..brush.clone() };
    let mut drawn = Mask::new(size);
    let mut freed = Mask::new(size);
    for stroke in strokes(size, outline, brush) {
        add(&mut freed, size, &band, &stroke)?;
        add(&mut drawn, size, brush, &stroke)?;
    }
    for (pos, tile) in &freed.tiles {
        if let Some(filled) = mask.tiles.get_mut(pos) {
            // What the strokes alone cover is left to them.
            let left = |i: usize| u32::from(filled.at(i)) * (65_535 - u32::from(tile.at(i))) / 65_535;
            *filled = MaskTile::from_fn(|i| u16::try_from(left(i)).unwrap_or(u16::MAX));
        }
    }
    for (pos, tile) in drawn.tiles {
        mask.join(pos, tile);
    }
    mask.tiles.retain(|_, tile| (0..TILE_PIXELS).any(|i| tile.at(i) > 0));
    Ok(mask)
}

fn add(mask: &mut Mask, size: CanvasSize, brush: &Brush, samples: &[PenSample]) -> Result<(), BrushError> {
    let mut stroke = StrokeMask::new(size, brush.clone())?;
    stroke.extend(samples)?;
    for (pos, tile) in stroke.into_mask().tiles {
        mask.join(pos, tile);
    }
    Ok(())
}

/// The strokes along a closed outline; those that lie beside the canvas are left out.
fn strokes(size: CanvasSize, outline: &[[f32; 2]], brush: &Brush) -> Vec<Vec<PenSample>> {
    let width = brush.size_px;
    let lengths: Vec<f32> = (0..outline.len()).map(|i| apart(outline[i], outline[(i + 1) % outline.len()])).collect();
    let around: f32 = lengths.iter().sum();
    let holds = brush.mark.as_deref().map_or(f32::INFINITY, |mark| mark.paint.holds * mark.paint.load);
    let longest = (SPENT * holds).clamp(LENGTHS[0], LENGTHS[1]) * width;
    let longest = longest.max(around / MOST_STROKES);
    let mut strokes = Vec::new();
    let mut stroke = vec![outline[0]];
    let mut drawn = 0.0;
    for (i, length) in lengths.iter().enumerate() {
        let (from, to) = (outline[i], outline[(i + 1) % outline.len()]);
        let steps = (length / (STEP * width).min(longest)).ceil().clamp(1.0, MOST_STEPS);
        let step = length / steps;
        #[expect(clippy::cast_possible_truncation, reason = "held to MOST_STEPS")]
        for n in 1..=steps as u16 {
            let along = f32::from(n) / steps;
            stroke.push(between(from, to, along));
            drawn += step;
            if drawn >= longest {
                let back = (along - OVERLAP * width / length).max(0.0);
                strokes.push(std::mem::replace(&mut stroke, vec![between(from, to, back)]));
                stroke.push(between(from, to, along));
                drawn = 0.0;
            }
        }
        if turns(from, to, outline[(i + 2) % outline.len()]) {
            strokes.push(std::mem::replace(&mut stroke, vec![to]));
            drawn = 0.0;
        }
    }
    strokes.push(stroke);
    let near = |[x, y]: [f32; 2]| {
        let (right, bottom) = (size.width as f32 + width, size.height as f32 + width);
        x > -width && y > -width && x < right && y < bottom
    };
    let seen = strokes.into_iter().filter(|stroke| stroke.len() > 1 && stroke.iter().any(|place| near(*place)));
    seen.enumerate().map(|(n, stroke)| by_hand(&stroke, n, STRAY * width)).collect()
}

/// A stroke as a hand would draw it: it begins and ends a little beside the outline, and gets lighter. The same number strays alike.
fn by_hand(places: &[[f32; 2]], number: usize, stray_px: f32) -> Vec<PenSample> {
    let last = places.len().saturating_sub(1).max(1) as f32;
    let (begin, end) = (stray(2 * number) * stray_px, stray(2 * number + 1) * stray_px);
    let sample = |(i, &[x, y]): (usize, &[f32; 2])| {
        let part = i as f32 / last;
        let (before, after) = (places[i.saturating_sub(1)], places[(i + 1).min(places.len() - 1)]);
        let length = apart(before, after);
        let aside = if length > 0.0 { (begin + (end - begin) * part) / length } else { 0.0 };
        let pressure = PRESSURES[0] + (PRESSURES[1] - PRESSURES[0]) * part * part;
        PenSample::new(x + (after[1] - before[1]) * aside, y - (after[0] - before[0]) * aside, pressure)
    };
    places.iter().enumerate().map(sample).collect()
}

/// Evenly spread numbers from -1 to 1, by the golden ratio's multiples.
fn stray(number: usize) -> f32 {
    (number as f32 * 0.618_034).fract() * 2.0 - 1.0
}

fn apart(a: [f32; 2], b: [f32; 2]) -> f32 {
    libm::hypotf(b[0] - a[0], b[1] - a[1])
}

fn between(from: [f32; 2], to: [f32; 2], part: f32) -> [f32; 2] {
    [0, 1].map(|i| from[i] + (to[i] - from[i]) * part)
}

fn turns(a: [f32; 2], b: [f32; 2], c: [f32; 2]) -> bool {
    let (one, two) = ([b[0] - a[0], b[1] - a[1]], [c[0] - b[0], c[1] - b[1]]);
    let lengths = apart(a, b) * apart(b, c);
    lengths > 0.0 && one[0] * two[0] + one[1] * two[1] < CORNER_COS * lengths
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    const SIZE: CanvasSize = CanvasSize { width: 400, height: 300 };
    const SQUARE: [[f32; 2]; 4] = [[100.0, 60.0], [300.0, 60.0], [300.0, 240.0], [100.0, 240.0]];

    fn bristle() -> Brush {
        ron::from_str("(size: 40.0, mark: (kind: Bristle, bristles: (unevenness: 0.8), paint: (holds: 6.0)))").unwrap()
    }

    #[test]
    fn it_is_full_inside_bare_outside_and_ragged_between() {
        let loose = loose_mass(SIZE, &SQUARE, &bristle()).unwrap();
        let at = |x: u32, y: u32| loose.at(x, y);
        for y in (85..215).step_by(10) {
            assert!((130..270).step_by(10).all(|x| at(x, y) == u16::MAX), "full inside at {y}");
        }
        for i in 0..300 {
            assert!(at(i, 30) == 0 && at(60, i) == 0, "nothing a brush's width outside");
        }
        // How far the paint goes up, column by column: straight for a plain mass.
        let tops: Vec<u32> = (120..280).map(|x| (0..150).find(|y| at(x, *y) > 20_000).unwrap()).collect();
        let (highest, lowest) = (tops.iter().min().unwrap(), tops.iter().max().unwrap());
        assert!(*highest < 60 && lowest - highest >= 3, "{highest} to {lowest}");
    }

    #[test]
    fn the_same_outline_gives_the_same_cover_and_a_fine_brush_a_plain_edge() {
        let (one, two) = (loose_mass(SIZE, &SQUARE, &bristle()), loose_mass(SIZE, &SQUARE, &bristle()));
        assert!(one.unwrap().tiles == two.unwrap().tiles);
        let mut plain = Mask::new(SIZE);
        plain.add_mass(&SQUARE, Edge::Soft, u16::MAX).unwrap();
        let fine = Brush { size_px: 2.0, ..bristle() };
        assert!(loose_mass(SIZE, &SQUARE, &fine).unwrap().tiles == plain.tiles);
    }

    #[test]
    fn strokes_begin_at_corners_and_where_the_paint_is_spent() {
        // 200 and 180 px a side: strokes of 4 widths, 160 px, and what is left to the corner.
        let strokes = strokes(SIZE, &SQUARE, &bristle());
        assert_eq!(strokes.len(), 8);
        assert!(strokes.iter().all(|s| s.len() > 1 && s.iter().all(|p| p.fault().is_none())));
        // A circle has no corner, and an outline far off the canvas has no strokes.
        let circle: Vec<[f32; 2]> = (0..90)
            .map(|i| (4.0 * i as f32).to_radians())
            .map(|a| [200.0 + 100.0 * a.cos(), 150.0 + 100.0 * a.sin()])
            .collect();
        let round = super::strokes(SIZE, &circle, &bristle());
        assert_eq!(round.len(), 4, "628 px around");
        let away: Vec<[f32; 2]> = circle.iter().map(|[x, y]| [x + 5000.0, *y]).collect();
        assert!(super::strokes(SIZE, &away, &bristle()).is_empty());
        assert!(loose_mass(SIZE, &away, &bristle()).unwrap().tiles.is_empty());
        // Corners as far off as a number can be end, too.
        for far in [1e9, f32::MAX / 4.0] {
            let covered = loose_mass(SIZE, &[[-far, -far], [far, -far], [200.0, 150.0]], &bristle());
            assert!(covered.is_err() || covered.is_ok_and(|mask| mask.at(200, 20) == u16::MAX), "{far}");
        }
    }

    #[test]
    fn outlines_and_brushes_that_cannot_be_are_refused() {
        assert!(matches!(loose_mass(SIZE, &SQUARE[..2], &bristle()), Err(LooseError::Mass(_))));
        let broken = Brush { size_px: -3.0, ..bristle() };
        assert!(matches!(loose_mass(SIZE, &SQUARE, &broken), Err(LooseError::Brush(_))));
        // Repeated points and an outline without area are no trouble.
        let flat = [[10.0, 10.0], [10.0, 10.0], [90.0, 10.0], [10.0, 10.0]];
        loose_mass(SIZE, &flat, &bristle()).unwrap();
    }
}
