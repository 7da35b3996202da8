//! Colours that the screen cannot show, brought into sRGB by the method of [`stint_model::colour::gamut`], sixteen at a time
//! in single precision; a search may end 1e-4 of chroma beside the one in double precision, a seventh of an 8-bit code.
//!
//! Mirror: `shaders/common/gamut.wgsl`.

use super::oklab::{LANES, Lanes, linear_of_oklab, oklab_of_linear};
use multiversion::multiversion;
use stint_model::colour::gamut::{JUST_NOTICEABLE, ROUNDING, SEARCH_EPSILON};

#[expect(clippy::cast_possible_truncation, reason = "a threshold in single precision")]
const NOTICEABLE: f32 = JUST_NOTICEABLE as f32;
#[expect(clippy::cast_possible_truncation, reason = "a threshold in single precision")]
const EPSILON: f32 = SEARCH_EPSILON as f32;
/// Where the search starts at most: three times the chroma of anything in sRGB.
pub const LARGEST_CHROMA: f32 = 1.0;
/// 2^-14 of [`LARGEST_CHROMA`] is the first below [`EPSILON`].
pub const CHROMA_ROUNDS: u32 = 14;

/// Brings linear sRGB into 0-1, in place: what lies outside by rounding alone is clipped, what lies further out is mapped.
#[inline(always)]
pub fn into_srgb(linear: &mut [Lanes; 3]) {
    let mut outside = 0_u32;
    for lanes in linear.iter() {
        for &v in lanes {
            outside |= u32::from(is_outside(v));
        }
    }
    if outside != 0 {
        map(linear);
    }
    for lanes in linear {
        clip(lanes);
    }
}

#[inline(always)]
#[expect(clippy::manual_range_contains, reason = "not a number is not outside: it stays what it is")]
fn is_outside(component: f32) -> bool {
    component < -ROUNDING || component > 1.0 + ROUNDING
}

#[inline(always)]
fn clip(lanes: &mut Lanes) {
    for v in lanes {
        *v = v.clamp(0.0, 1.0);
    }
}

/// How far clipping moves colours of given OKLab places, squared deltaEOK.
#[inline(always)]
fn moved(clipped: &[Lanes; 3], places: &[Lanes; 3]) -> Lanes {
    let mut lab = *clipped;
    oklab_of_linear(&mut lab);
    let mut squares = [0.0; LANES];
    for (lab, place) in lab.iter().zip(places) {
        for i in 0..LANES {
            let d = lab[i] - place[i];
            squares[i] += d * d;
        }
    }
    squares
}

/// The search, for all colours at once; those inside are left alone.
#[multiversion(targets("x86_64+avx2", "x86_64+sse4.1"))]
fn map(linear: &mut [Lanes; 3]) {
    let mut start = *linear;
    oklab_of_linear(&mut start);
    let mut clipped = *linear;
    for lanes in &mut clipped {
        clip(lanes);
    }
    let (mut cos, mut sin) = ([1.0; LANES], [0.0; LANES]);
    let (mut low, mut high) = ([0.0; LANES], [0.0; LANES]);
    // 1 where the search still goes on, and where the lower end lies inside.
    let (mut open, mut low_is_inside) = ([0_u32; LANES], [1_u32; LANES]);
    let far = moved(&clipped, &start);
    for i in 0..LANES {
        let outside = is_outside(linear[0][i]) || is_outside(linear[1][i]) || is_outside(linear[2][i]);
        let chroma = (start[1][i] * start[1][i] + start[2][i] * start[2][i]).sqrt();
        if chroma > 0.0 {
            cos[i] = start[1][i] / chroma;
            sin[i] = start[2][i] / chroma;
        }
        high[i] = chroma.min(LARGEST_CHROMA);
        let lightness = start[0][i];
        if outside && (lightness >= 1.0 || lightness <= 0.0) {
            let grey = if lightness >= 1.0 { 1.0 } else { 0.0 };
            for lanes in &mut clipped {
                lanes[i] = grey;
            }
        } else {
            open[i] = u32::from(outside && far[i] >= NOTICEABLE * NOTICEABLE);
        }
    }
    for _ in 0..CHROMA_ROUNDS {
        if open == [0; LANES] {
            break;
        }
        let mut place = [start[0], [0.0; LANES], [0.0; LANES]];
        let mut middle = [0.0; LANES];
        for i in 0..LANES {
            middle[i] = 0.5 * (low[i] + high[i]);
            place[1][i] = middle[i] * cos[i];
            place[2][i] = middle[i] * sin[i];
        }
        let mut raw = place;
        linear_of_oklab(&mut raw);
        let mut inside = [1_u32; LANES];
        for lanes in &raw {
            for i in 0..LANES {
                inside[i] &= u32::from((0.0..=1.0).contains(&lanes[i]));
            }
        }
        for lanes in &mut raw {
            clip(lanes);
        }
        let far = moved(&raw, &place);
        for i in 0..LANES {
            let error = far[i].sqrt();
            let raise = open[i] & low_is_inside[i] & inside[i];
            let look = open[i] & (1 ^ raise);
            for (clipped, raw) in clipped.iter_mut().zip(&raw) {
                clipped[i] = if look != 0 { raw[i] } else { clipped[i] };
            }
            let over = look & u32::from(error >= NOTICEABLE);
            let close = look & (1 ^ over) & u32::from(NOTICEABLE - error < EPSILON);
            let under = look & (1 ^ over) & (1 ^ close);
            high[i] = if over != 0 { middle[i] } else { high[i] };
            low[i] = if raise | under != 0 { middle[i] } else { low[i] };
            low_is_inside[i] &= 1 ^ under;
            open[i] &= (1 ^ close) & u32::from(high[i] - low[i] > EPSILON);
        }
    }
    *linear = clipped;
}

#[cfg(test)]
mod tests {
    use super::*;
    use stint_model::colour::gamut::{SRGB, into_gamut};
    use stint_model::colour::{Colour, Oklch, encode};

    /// Against the model's search in double precision, over all hues, from just outside to far beyond.
    #[test]
    fn the_search_of_sixteen_ends_where_the_models_does() {
        let mut worst = 0.0_f32;
        let mut outside = 0;
        // Not at a lightness of exactly 0 and 1, where the method jumps to black and white and rounding decides.
        for l in (1..23).chain([24]) {
            for c in 0..=20 {
                for h in (0..360).step_by(5) {
                    let place = Oklch { l: l as f32 / 23.0, c: c as f32 / 40.0, h_degrees: h as f32 };
                    let colour = place.colour();
                    let want = if SRGB.nearly_holds(colour) { colour } else { into_gamut(colour, &SRGB) };
                    outside += usize::from(want != colour);
                    // Beside a colour that is inside, in every place.
                    let lane = (c * 7 + h as usize) % LANES;
                    let mut lanes = [[0.25; LANES]; 3];
                    for (lanes, v) in lanes.iter_mut().zip([colour.r, colour.g, colour.b]) {
                        lanes[lane] = v;
                    }
                    into_srgb(&mut lanes);
                    for (lanes, v) in lanes.iter().zip([want.r, want.g, want.b]) {
                        worst = worst.max((encode(lanes[lane]) - encode(v.clamp(0.0, 1.0))).abs() * 255.0);
                        assert_eq!(lanes[(lane + 1) % LANES], 0.25);
                    }
                }
            }
        }
        assert!(outside > 10_000, "{outside}");
        assert!(worst < 0.5, "{worst} codes");
    }

    #[test]
    fn colours_inside_are_left_alone_and_nonsense_stays_in_range() {
        let mut lanes = [[0.0, 1.0, 0.3, 1.0 + 1e-6, -1e-6, 0.5, 0.7, 0.0, 1.0, 0.1, 0.2, 0.4, 0.6, 0.8, 0.9, 1.0]; 3];
        let want = lanes.map(|lanes| lanes.map(|v: f32| v.clamp(0.0, 1.0)));
        into_srgb(&mut lanes);
        assert_eq!(lanes, want);
        for far in [Colour::new(1e30, -1e30, 3.0), Colour::new(-1.0, -2.0, -3.0), Colour::new(9.0, 9.0, 8.0)] {
            let mut lanes = [far.r, far.g, far.b].map(|v| [v; LANES]);
            into_srgb(&mut lanes);
            assert!(lanes.iter().flatten().all(|v| (0.0..=1.0).contains(v)), "{far:?}: {lanes:?}");
        }
    }
}
