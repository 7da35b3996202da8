//! Bringing a colour into what a display can show.
//!
//! The method is W3C CSS Color 4, section 13.2, "Binary Search Gamut Mapping with Local MINDE": lower the OKLCh chroma
//! at constant lightness and hue until plain clipping is no longer visible, then clip. The hue is kept only nearly: the
//! last clip may turn it by a few degrees, most in dark colours.

use super::matrix::{Matrix3, apply, product};
use super::oklab::{linear_of, oklab_of};
use super::{Colour, Oklch, narrow, rgb_space};
use crate::bisect::bisect;

/// Just noticeable difference of the method, in deltaEOK. Source: CSS Color 4.
pub const JUST_NOTICEABLE: f64 = 0.02;
/// Where the search stops, in chroma and in deltaEOK. Source: CSS Color 4.
pub const SEARCH_EPSILON: f64 = 1e-4;
/// 2^-14 is the first below [`SEARCH_EPSILON`].
const CHROMA_HALVINGS: u32 = 14;
/// How far a linear component may lie outside 0-1 and still count as inside for [`Gamut::nearly_holds`]: several times
/// the f32 error of a trip through OKLab (2e-6), a thirtieth of an 8-bit code.
pub const ROUNDING: f32 = 1e-5;

/// What an RGB display can show: all colours whose linear components in its own space are 0-1.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Gamut {
    /// Linear sRGB to the linear components of this display.
    from_srgb: Matrix3,
    /// The way back.
    to_srgb: Matrix3,
}

/// The gamut of sRGB.
pub const SRGB: Gamut = {
    // Exactly one, not the product of a matrix with its inverse: 0 and 1 must stay inside.
    let one = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    Gamut { from_srgb: one, to_srgb: one }
};

/// The gamut of Display P3.
pub const DISPLAY_P3: Gamut = Gamut {
    from_srgb: product(&rgb_space::DISPLAY_P3.from_xyz, &rgb_space::SRGB.to_xyz),
    to_srgb: product(&rgb_space::SRGB.from_xyz, &rgb_space::DISPLAY_P3.to_xyz),
};

fn inside(rgb: [f64; 3]) -> bool {
    rgb.iter().all(|x| (0.0..=1.0).contains(x))
}

fn distance(one: [f64; 3], other: [f64; 3]) -> f64 {
    let [l, a, b] = [one[0] - other[0], one[1] - other[1], one[2] - other[2]];
    (l * l + a * a + b * b).sqrt()
}

impl Gamut {
    /// Whether every component is 0-1, exactly.
    pub fn holds(&self, colour: Colour) -> bool {
        inside(apply(&self.from_srgb, colour.wide()))
    }

    /// Whether every component is 0-1 but for [`ROUNDING`].
    pub fn nearly_holds(&self, colour: Colour) -> bool {
        let slack = f64::from(ROUNDING);
        apply(&self.from_srgb, colour.wide()).iter().all(|x| (-slack..=1.0 + slack).contains(x))
    }

    /// The largest OKLCh chroma this gamut holds at lightness `l` (0-1) and hue `h_degrees`, to 1e-4; 0 outside 0-1.
    pub fn max_chroma(&self, l: f32, h_degrees: f32) -> f32 {
        let direction = Direction::new(l, h_degrees);
        let holds = |chroma: f64| inside(apply(&self.from_srgb, linear_of(direction.at(chroma))));
        let [within, _] = bisect(0.0, 1.0, CHROMA_HALVINGS, holds);
        narrow(within)
    }

    /// Linear sRGB of the OKLab place `lab` after plain clipping in this gamut.
    fn clipped(&self, lab: [f64; 3]) -> [f64; 3] {
        apply(&self.to_srgb, apply(&self.from_srgb, linear_of(lab)).map(|x| x.clamp(0.0, 1.0)))
    }

    /// The published search, for a place outside the gamut.
    fn search(&self, direction: Direction, chroma: f64) -> [f64; 3] {
        let start = direction.at(chroma);
        let mut clipped = self.clipped(start);
        if distance(oklab_of(clipped), start) < JUST_NOTICEABLE {
            return clipped;
        }
        let (mut low, mut high, mut low_is_inside) = (0.0, chroma, true);
        while high - low > SEARCH_EPSILON {
            let middle = f64::midpoint(low, high);
            let lab = direction.at(middle);
            if low_is_inside && inside(apply(&self.from_srgb, linear_of(lab))) {
                low = middle;
                continue;
            }
            clipped = self.clipped(lab);
            let error = distance(oklab_of(clipped), lab);
            if error >= JUST_NOTICEABLE {
                high = middle;
            } else if JUST_NOTICEABLE - error < SEARCH_EPSILON {
                break;
            } else {
                low_is_inside = false;
                low = middle;
            }
        }
        clipped
    }
}

/// All OKLab places of one lightness and hue.
#[derive(Clone, Copy)]
struct Direction {
    l: f64,
    cos: f64,
    sin: f64,
}

impl Direction {
    fn new(l: f32, h_degrees: f32) -> Self {
        let (sin, cos) = libm::sincos(f64::from(h_degrees).rem_euclid(360.0).to_radians());
        Direction { l: f64::from(l), cos, sin }
    }

    fn at(&self, chroma: f64) -> [f64; 3] {
        [self.l, chroma * self.cos, chroma * self.sin]
    }
}

/// `colour` if `gamut` holds it, else the mapped one. Lighter than white gives white, darker than black gives black.
pub fn into_gamut(colour: Colour, gamut: &Gamut) -> Colour {
    if gamut.holds(colour) {
        return colour;
    }
    let [l, a, b] = oklab_of(colour.wide());
    let chroma = libm::hypot(a, b);
    let (cos, sin) = if chroma > 0.0 { (a / chroma, b / chroma) } else { (1.0, 0.0) };
    map(Direction { l, cos, sin }, chroma, gamut)
}

/// The same for a place given in OKLCh: better than [`into_gamut`] of its colour where lightness is exactly 0 or 1.
pub fn oklch_into_gamut(place: Oklch, gamut: &Gamut) -> Colour {
    map(Direction::new(place.l, place.h_degrees), f64::from(place.c.max(0.0)), gamut)
}

fn map(direction: Direction, chroma: f64, gamut: &Gamut) -> Colour {
    if direction.l >= 1.0 {
        return Colour::new(1.0, 1.0, 1.0);
    }
    if direction.l <= 0.0 {
        return Colour::new(0.0, 0.0, 0.0);
    }
    let rgb = linear_of(direction.at(chroma));
    Colour::from_wide(if inside(apply(&gamut.from_srgb, rgb)) { rgb } else { gamut.search(direction, chroma) })
}

impl Colour {
    /// Linear components in Display P3, not mapped: map with [`into_gamut`] and encode with [`encode`](super::encode)
    /// for a wide-gamut file.
    pub fn to_display_p3(self) -> [f32; 3] {
        apply(&DISPLAY_P3.from_srgb, self.wide()).map(narrow)
    }

    /// The colour with these linear Display P3 components.
    pub fn from_display_p3(linear: [f32; 3]) -> Self {
        Colour::from_wide(apply(&DISPLAY_P3.to_srgb, linear.map(f64::from)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_inside_are_left_alone() {
        for c in [Colour::new(0.0, 0.0, 0.0), Colour::new(1.0, 1.0, 1.0), Colour::new(1.0, 0.0, 0.3)] {
            assert_eq!(into_gamut(c, &SRGB), c);
        }
        // Display P3 holds this one, sRGB does not.
        let green = Colour::from_display_p3([0.1, 0.9, 0.1]);
        assert!(!SRGB.holds(green));
        assert_eq!(into_gamut(green, &DISPLAY_P3), green);
    }

    #[test]
    fn mapped_colours_are_inside_and_keep_lightness() {
        for h in (0..360).step_by(10) {
            let far = Oklch { l: 0.6, c: 0.5, h_degrees: h as f32 };
            for gamut in [SRGB, DISPLAY_P3] {
                let mapped = oklch_into_gamut(far, &gamut);
                assert!(gamut.nearly_holds(mapped), "{h}: {mapped:?}");
                assert!((mapped.oklab().l - 0.6).abs() < 0.0201, "{h}: {mapped:?}");
            }
            // The wider gamut keeps at least as much chroma, up to the clip.
            let [srgb, p3] = [SRGB, DISPLAY_P3].map(|g| g.max_chroma(0.6, h as f32));
            assert!(p3 >= srgb - 1e-4, "{h}: {srgb} {p3}");
        }
    }

    #[test]
    fn largest_chroma_is_that_of_the_primary() {
        let red = Colour::new(1.0, 0.0, 0.0).oklch();
        assert!((SRGB.max_chroma(red.l, red.h_degrees) - red.c).abs() < 1e-3);
        assert_eq!(SRGB.max_chroma(1.2, 30.0), 0.0);
    }
}
