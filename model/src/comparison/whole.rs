//! What holds for the whole picture: how much lighter, warmer and stronger it is than the photo, before any surface is judged.
//!
//! A painter may choose another key. So the shift that most surfaces share is found first, by means that one surface gone wrong cannot
//! move: the median, weighted by area, and for the strength of colours the median of slopes between pairs of surfaces (H. Theil,
//! "A rank-invariant method of linear and polynomial regression analysis", 1950; P. K. Sen, "Estimates of the regression coefficient
//! based on Kendall's tau", 1968; both from memory).

use crate::colour::deviation::Deviation;
use crate::colour::warmth::AXIS;
use crate::colour::{Colour, Oklab};

/// No surface counts for more than this part of the whole, however large: a wrong sky is no key.
const MOST_OF_WHOLE: f64 = 1.0 / 3.0;
/// A shift is the picture's when surfaces with this part of the weight, and at least [`FEWEST`], share it.
const SHARED_BY: f64 = 0.6;
/// See [`SHARED_BY`].
const FEWEST: usize = 2;
/// Surfaces share a shift of value when they are this near to it, Munsell values, and nearer than [`NEAR_PART`] of it: a shift that is no
/// larger than what the surfaces differ by among themselves is no other key, and each of them is told by its plain difference.
const NEAR_VALUE: f64 = 0.35;
/// See [`NEAR_VALUE`].
const NEAR_PART: f64 = 0.5;
/// The same for warmth, OKLab units: just visible (CSS Color 4).
const NEAR_WARMTH: f64 = 0.02;
/// The same for strength, as chroma in OKLab units.
const NEAR_CHROMA: f64 = 0.02;
/// Fewest surfaces that tell a common strength from a tint.
const FEWEST_FOR_STRENGTH: usize = 4;
/// Two surfaces of the photo whose hues and chromas are nearer than this say nothing about strength, OKLab units.
const LEAST_BASE: f64 = 0.02;
/// Strengths beyond these are no shift any more but other colours.
const STRENGTHS: [f64; 2] = [0.3, 2.0];

/// One surface as it is seen on both.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pair {
    pub painting: Colour,
    pub photo: Colour,
    /// Painted area; any unit.
    pub weight: f64,
}

/// How the whole painting differs from the photo.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct WholePicture {
    /// How much lighter everything is, Munsell values; negative is darker. 0 when the surfaces share no shift.
    pub value_munsell: f64,
    /// How much warmer everything is, OKLab units along the warmth axis.
    pub warmth: f64,
    /// How strong all colours are beside those of the photo; 1 is as strong.
    pub strength: f64,
}

impl WholePicture {
    /// No shift.
    pub const NONE: WholePicture = WholePicture { value_munsell: 0.0, warmth: 0.0, strength: 1.0 };

    pub(super) fn of(pairs: &[Pair]) -> Self {
        let weights = capped(pairs);
        let shared = |of: &[f64], near: &dyn Fn(f64) -> f64| {
            let middle = median(of.iter().copied().zip(weights.iter().copied()).collect())?;
            let near = near(middle);
            let agree: Vec<f64> =
                of.iter().zip(&weights).filter(|(x, _)| (*x - middle).abs() <= near).map(|(_, w)| *w).collect();
            let all: f64 = weights.iter().sum();
            (agree.len() >= FEWEST && agree.iter().sum::<f64>() >= SHARED_BY * all).then_some(middle)
        };
        let value = |pair: &Pair| f64::from(pair.painting.munsell_value()) - f64::from(pair.photo.munsell_value());
        let near_value = |shift: f64| NEAR_VALUE.min(NEAR_PART * shift.abs());
        // A shift too small to be told must not move what is told of the surfaces.
        let value_munsell = shared(&pairs.iter().map(value).collect::<Vec<_>>(), &near_value)
            .filter(|shift| Deviation::value_step(*shift).is_some())
            .unwrap_or(0.0);
        let places: Vec<[[f64; 2]; 2]> = pairs.iter().map(|p| [plane(p.painting), plane(p.photo)]).collect();
        let warmth_at = |strength: f64| {
            let off = |[painting, photo]: &[[f64; 2]; 2]| {
                (painting[0] - strength * photo[0]) * AXIS[0] + (painting[1] - strength * photo[1]) * AXIS[1]
            };
            shared(&places.iter().map(off).collect::<Vec<_>>(), &|_| NEAR_WARMTH)
        };
        // How far surfaces stay from the photo when it is so strong and so warm.
        let left = |strength: f64, warmth: f64| {
            let off = |[painting, photo]: &[[f64; 2]; 2]| {
                let off: [f64; 2] = std::array::from_fn(|i| painting[i] - strength * photo[i] - warmth * AXIS[i]);
                libm::hypot(off[0], off[1])
            };
            let all = places.iter().map(off).zip(weights.iter().copied()).collect::<Vec<_>>();
            median(all).unwrap_or(0.0)
        };
        let plain = warmth_at(1.0).unwrap_or(0.0);
        let stronger = strength_of(&places, &weights).and_then(|strength| Some((strength, warmth_at(strength)?)));
        // Another strength has to explain much of what a tint alone leaves.
        let better =
            stronger.filter(|&(strength, warmth)| left(strength, warmth) <= NEAR_CHROMA.min(0.5 * left(1.0, plain)));
        let (strength, warmth) = better.unwrap_or((1.0, plain));
        WholePicture { value_munsell, warmth, strength }
    }

    #[expect(clippy::cast_possible_truncation, reason = "back to the precision of colours")]
    /// Hue and chroma of a colour of the painting without what holds for the whole picture, at its own lightness.
    pub(super) fn taken_from(&self, painting: Colour) -> Colour {
        let Oklab { l, .. } = painting.oklab();
        let place = plane(painting);
        let [a, b] = [0, 1].map(|i| ((place[i] - self.warmth * AXIS[i]) / self.strength) as f32);
        Oklab { l, a, b }.colour()
    }

    #[expect(clippy::cast_possible_truncation, reason = "back to the precision of colours")]
    /// A colour of the photo as the painting has it when only the whole picture differs.
    pub fn given_to(&self, photo: Colour) -> Colour {
        let Oklab { l, .. } = photo.oklab();
        let place = plane(photo);
        let [a, b] = [0, 1].map(|i| (place[i] * self.strength + self.warmth * AXIS[i]) as f32);
        let value = (f64::from(photo.munsell_value()) + self.value_munsell).clamp(0.0, 10.0);
        let l_star = crate::colour::lab::l_star_of_y(crate::colour::munsell::y_of_munsell_value(value));
        crate::colour::lightness::with_l_star(Oklab { l, a, b }.colour(), l_star as f32)
    }
}

fn plane(colour: Colour) -> [f64; 2] {
    let place = colour.oklab();
    [f64::from(place.a), f64::from(place.b)]
}

/// The weights, none above [`MOST_OF_WHOLE`] of their sum as given.
fn capped(pairs: &[Pair]) -> Vec<f64> {
    let most = MOST_OF_WHOLE * pairs.iter().map(|p| p.weight).sum::<f64>();
    pairs.iter().map(|p| p.weight.min(most)).collect()
}

/// The median slope between pairs of surfaces in the plane of hue and chroma: a tint that all share drops out of every pair.
fn strength_of(places: &[[[f64; 2]; 2]], weights: &[f64]) -> Option<f64> {
    if places.len() < FEWEST_FOR_STRENGTH {
        return None;
    }
    let mut slopes = Vec::new();
    for (i, one) in places.iter().enumerate() {
        for (j, other) in places.iter().enumerate().take(i) {
            let [painting, photo] = [0, 1].map(|k| [0, 1].map(|axis| one[k][axis] - other[k][axis]));
            let base = photo[0] * photo[0] + photo[1] * photo[1];
            if base >= LEAST_BASE * LEAST_BASE {
                let slope = (painting[0] * photo[0] + painting[1] * photo[1]) / base;
                slopes.push((slope, weights[i] * weights[j] * base.sqrt()));
            }
        }
    }
    median(slopes).filter(|slope| (STRENGTHS[0]..=STRENGTHS[1]).contains(slope))
}

/// The median of values with weights; between two that share the middle, half way. None without weight.
fn median(mut of: Vec<(f64, f64)>) -> Option<f64> {
    of.retain(|(_, weight)| *weight > 0.0);
    of.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = of.iter().map(|(_, weight)| weight).sum::<f64>() / 2.0;
    let mut sum = 0.0;
    for (i, &(value, weight)) in of.iter().enumerate() {
        sum += weight;
        if sum > half * (1.0 + 1e-12) {
            return Some(value);
        }
        if sum >= half * (1.0 - 1e-12) {
            return Some(of.get(i + 1).map_or(value, |next| f64::midpoint(value, next.0)));
        }
    }
    None
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// Sky, yard, brick, enamel and lamp glow at blue hour.
    const DEPOT: [([u8; 3], f64); 5] = [
        ([92, 115, 148], 0.4),
        ([58, 62, 74], 0.25),
        ([115, 82, 78], 0.2),
        ([60, 100, 90], 0.1),
        ([212, 155, 91], 0.05),
    ];

    fn pairs(change: impl Fn(usize, Colour) -> Colour) -> Vec<Pair> {
        let pair = |(i, (codes, weight)): (usize, ([u8; 3], f64))| {
            let photo = Colour::from_srgb8(codes);
            Pair { photo, painting: change(i, photo), weight }
        };
        DEPOT.into_iter().enumerate().map(pair).collect()
    }

    fn near(found: WholePicture, [value, warmth, strength]: [f64; 3]) {
        assert!((found.value_munsell - value).abs() < 0.02, "{found:?}");
        assert!((found.warmth - warmth).abs() < 0.002 && (found.strength - strength).abs() < 0.02, "{found:?}");
    }

    #[test]
    fn medians_hold_against_one_far_off() {
        assert_eq!(median(vec![]), None);
        assert_eq!(median(vec![(3.0, 1.0)]), Some(3.0));
        assert_eq!(median(vec![(1.0, 1.0), (2.0, 1.0)]), Some(1.5));
        assert_eq!(median(vec![(9.0, 1.0), (1.0, 3.0), (2.0, 0.5)]), Some(1.0));
        assert_eq!(median(vec![(1.0, 1.0), (100.0, 1.0), (2.0, 1.0)]), Some(2.0));
    }

    #[test]
    fn a_planted_shift_of_all_is_found_whatever_one_surface_does() {
        let planted = WholePicture { value_munsell: -0.7, warmth: 0.015, strength: 0.8 };
        near(WholePicture::of(&pairs(|_, c| planted.given_to(c))), [-0.7, 0.015, 0.8]);
        near(WholePicture::of(&pairs(|_, c| c)), [0.0, 0.0, 1.0]);
        for wrong in 0..5 {
            let other = WholePicture { value_munsell: 1.5, ..WholePicture::NONE };
            let shifted = WholePicture { value_munsell: -0.5, ..WholePicture::NONE };
            let found = WholePicture::of(&pairs(|i, c| if i == wrong { other } else { shifted }.given_to(c)));
            near(found, [-0.5, 0.0, 1.0]);
        }
    }

    #[test]
    fn one_large_surface_or_a_few_that_disagree_are_no_key() {
        let darker = WholePicture { value_munsell: -0.9, ..WholePicture::NONE };
        let mut sky = pairs(|i, c| if i == 0 { darker.given_to(c) } else { c });
        sky[0].weight = 3.0;
        near(WholePicture::of(&sky), [0.0, 0.0, 1.0]);
        near(WholePicture::of(&sky[..1]), [0.0, 0.0, 1.0]);
        let apart = pairs(|i, c| WholePicture { value_munsell: i as f64 - 2.0, ..WholePicture::NONE }.given_to(c));
        assert_eq!(WholePicture::of(&apart).value_munsell, 0.0);
        assert_eq!(WholePicture::of(&[]), WholePicture::NONE);
    }

    /// Most surfaces a little lighter, each by another amount, and the sky darker: no other key, or the sky would be told twice as far off
    /// as it is.
    #[test]
    fn a_small_shift_of_surfaces_that_differ_as_much_among_themselves_is_none() {
        let by = [-0.34, 0.38, 0.18, 0.31, 0.05];
        let off = |i: usize, c| WholePicture { value_munsell: by[i], ..WholePicture::NONE }.given_to(c);
        near(WholePicture::of(&pairs(off)), [0.0, 0.0, 1.0]);
        // All of them by the same: a key, however small; and what is too little to be told is none.
        for (shift, told) in [(0.3, 0.3), (0.2, 0.0)] {
            let all = |_: usize, c| WholePicture { value_munsell: shift, ..WholePicture::NONE }.given_to(c);
            near(WholePicture::of(&pairs(all)), [told, 0.0, 1.0]);
        }
    }

    #[test]
    fn what_is_taken_off_is_what_was_given() {
        let shift = WholePicture { value_munsell: 0.4, warmth: -0.02, strength: 1.3 };
        for (codes, _) in DEPOT {
            let photo = Colour::from_srgb8(codes);
            let given = shift.given_to(photo);
            assert!((given.munsell_value() - photo.munsell_value() - 0.4).abs() < 0.01);
            let (back, was) = (plane(shift.taken_from(given)), plane(photo));
            assert!((back[0] - was[0]).abs() < 1e-4 && (back[1] - was[1]).abs() < 1e-4, "{back:?} {was:?}");
        }
    }
}
