//! How a colour is off, in a painter's words.

use crate::colour::Colour;
use crate::colour::warmth::AXIS;

/// A difference along one of the four ways below this, in OKLab, is not spoken of: about half of what is just seen side by
/// side (0.02 by CSS Color 4).
const SPOKEN_OF: f32 = 0.012;
/// A difference below this share of the largest one is not spoken of either.
const MINOR: f32 = 0.45;

/// How `colour` is off from `wanted`: "too warm, too strong", the chief fault first; "close" when there is none to speak of.
pub fn off(colour: Colour, wanted: Colour) -> String {
    let (one, other) = (colour.oklab(), wanted.oklab());
    let (a, b) = (one.a - other.a, one.b - other.b);
    let axis = AXIS.map(|x| x as f32);
    let faults = [
        (one.l - other.l, "too light", "too dark"),
        (one.chroma() - other.chroma(), "too strong", "too dull"),
        (a * axis[0] + b * axis[1], "too warm", "too cool"),
        // Across the way from cool to warm.
        (a * axis[1] - b * axis[0], "too red", "too green"),
    ];
    let largest = faults.iter().map(|f| f.0.abs()).fold(0.0, f32::max);
    let mut spoken: Vec<_> = faults.into_iter().filter(|f| f.0.abs() >= SPOKEN_OF.max(MINOR * largest)).collect();
    spoken.sort_by(|p, q| q.0.abs().total_cmp(&p.0.abs()));
    if spoken.is_empty() {
        return "close".to_owned();
    }
    spoken.iter().map(|&(by, more, less)| if by > 0.0 { more } else { less }).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Oklab;

    #[test]
    fn each_way_off_has_its_words() {
        let at = |l, a, b| Oklab { l, a, b }.colour();
        let grey = at(0.5, 0.0, 0.0);
        assert_eq!(off(grey, grey), "close");
        assert_eq!(off(at(0.6, 0.0, 0.0), grey), "too light");
        assert_eq!(off(at(0.4, 0.0, 0.0), grey), "too dark");
        assert_eq!(off(at(0.5, 0.02, 0.11), grey), "too strong, too warm");
        assert_eq!(off(grey, at(0.5, 0.02, 0.11)), "too dull, too cool");
        assert_eq!(off(at(0.5, 0.09, -0.015), grey), "too strong, too red");
        assert_eq!(off(at(0.5, -0.09, 0.015), at(0.5, 0.0, 0.09)), "too cool, too green");
        assert_eq!(off(at(0.62, 0.01, -0.06), at(0.5, 0.0, 0.0)), "too light, too strong, too cool");
    }
}
