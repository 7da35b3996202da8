//! How different two colours are.
//!
//! | question | use | because |
//! | --- | --- | --- |
//! | can these two be told apart? | [`ciede2000`] | made for small differences, the reference of the trade |
//! | which of many is nearest; clustering; merging paints | [`delta_ok`] | smooth, cheap, a true metric |
//! | is this still the colour that was asked for (gamut mapping)? | [`delta_ok`] | what CSS Color 4 prescribes |
//! | which is lighter? | [`Colour::l_star`](super::Colour::l_star) | value alone, no hue in it |
//! | which is warmer? | [`warmer`](super::warmth::warmer) | one direction, with a sign |
//!
//! CIEDE2000 is no metric: it breaks the triangle inequality and jumps where two hues are 180 degrees apart, so it must
//! not be used for searching or clustering.

use super::{Lab, Oklab, narrow};
use palette::color_difference::Ciede2000;
use palette::white_point::D65;

/// CIEDE2000 (CIE 142-2001, ISO/CIE 11664-6) of two L*a*b* colours relative to the same white, kL = kC = kH = 1. About
/// 1 is just visible side by side.
///
/// Crate `palette` computes it, in double precision because the published table states four decimals for near-greys. Of
/// two hues more than half a turn apart it takes the mean always upwards, where G. Sharma, W. Wu, E. N. Dalal (2005) go
/// down if the sum is a turn or more. Only the term that looks for blue, exp(-((h - 275) / 25)^2), can tell these two
/// means apart, and there it is below 1e-5: the difference changes by less than one part in a hundred thousand.
pub fn ciede2000(one: Lab, other: Lab) -> f64 {
    let [one, other] = [one, other].map(|lab| palette::Lab::<D65, f64>::new(lab.l, lab.a, lab.b));
    one.difference(other)
}

/// Euclidean distance in OKLab (deltaEOK of W3C CSS Color 4). Black to white is 1; 0.02 is about just visible.
pub fn delta_ok(one: Oklab, other: Oklab) -> f32 {
    let [l, a, b] = [one.l - other.l, one.a - other.a, one.b - other.b].map(f64::from);
    narrow((l * l + a * a + b * b).sqrt())
}
