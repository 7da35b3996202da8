//! From memory: how far off a guessed colour is, and in which way, in a painter's words.
//!
//! One figure says how far ([`Miss::delta_e`], CIEDE2000); four say in which way. Value stands for itself. What is left is a move in
//! the OKLab plane of hues, taken apart as colour science does it (CIE 15: chroma and hue difference): outwards or inwards is
//! chroma; round about is hue, and hue is told along the two directions painters speak of: warm and cool (the model's
//! [`warmth::AXIS`]), and red and green across it. So a guess that is only too dull is not called too cool as well.

use crate::colour::Colour;
use crate::colour::difference::ciede2000;
use crate::colour::warmth::AXIS;

/// Below this CIEDE2000 a guess is as good as the swatch itself: about 1 is just visible side by side.
pub const HIT_CIEDE2000: f64 = 1.0;
/// A colour with less chroma than this (OKLCh) is almost grey, and has no hue to speak of. Common practice, no published source.
const GREY: f64 = 0.02;
/// A difference smaller than this, in OKLab units, is not put into words; 0.02 in all is about just visible (CSS Color 4).
const SPOKEN: f64 = 0.012;
/// Munsell values to OKLab: from black to white is 10 there and 1 here. It decides only which word comes first.
const VALUES_IN_OKLAB: f64 = 0.1;

/// A way in which a guess can be off.
#[derive(Clone, Copy, PartialEq, Eq, Debug, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Way {
    /// Munsell values; positive is too light.
    Value,
    /// OKLab units along the warmth axis; positive is too warm.
    Warmth,
    /// OKLab units across it; positive is too red, negative too green.
    Redness,
    /// OKLCh chroma; positive is too strong.
    Chroma,
}

/// A guess against the swatch it was meant to hit.
#[derive(Clone, Copy, PartialEq, Debug, serde::Serialize)]
pub struct Miss {
    /// CIEDE2000 of both; [`HIT_CIEDE2000`] is just visible.
    pub delta_e: f64,
    /// Guess less swatch, in Munsell values.
    pub value: f64,
    /// How much the hue of the guess is warmer, in OKLab units.
    pub warmth: f64,
    /// How much the hue of the guess is redder (less green), in OKLab units.
    pub redness: f64,
    /// How much stronger the guess is, in OKLCh chroma.
    pub chroma: f64,
}

/// How far `guess` is off `swatch`.
pub fn miss(guess: Colour, swatch: Colour) -> Miss {
    let plane = |c: Colour| {
        let lab = c.oklab();
        [f64::from(lab.a), f64::from(lab.b)]
    };
    let (one, other) = (plane(guess), plane(swatch));
    let (strong, wanted) = (one[0].hypot(one[1]), other[0].hypot(other[1]));
    let hue = if strong < GREY || wanted < GREY {
        // A grey has no hue to be turned from: the way there is the way.
        [one[0] - other[0], one[1] - other[1]]
    } else {
        // Between the two hues at the mean of both chromas, as the hue difference of CIE 15 is.
        let mean = (strong * wanted).sqrt();
        [0, 1].map(|i| mean * (one[i] / strong - other[i] / wanted))
    };
    Miss {
        delta_e: ciede2000(guess.lab(), swatch.lab()),
        value: f64::from(guess.munsell_value()) - f64::from(swatch.munsell_value()),
        warmth: hue[0] * AXIS[0] + hue[1] * AXIS[1],
        redness: hue[0] * AXIS[1] - hue[1] * AXIS[0],
        chroma: strong - wanted,
    }
}

impl Miss {
    /// Whether the guess cannot be told from the swatch.
    pub fn is_hit(&self) -> bool {
        self.delta_e < HIT_CIEDE2000
    }

    /// The figure of one way.
    pub fn by(&self, way: Way) -> f64 {
        match way {
            Way::Value => self.value,
            Way::Warmth => self.warmth,
            Way::Redness => self.redness,
            Way::Chroma => self.chroma,
        }
    }

    /// The ways in which the guess is off, the largest first; those too small to be seen are left out.
    pub fn ways(&self) -> Vec<Way> {
        let size = |way: Way| {
            let unit = if way == Way::Value { VALUES_IN_OKLAB } else { 1.0 };
            self.by(way).abs() * unit
        };
        let mut ways = vec![Way::Value, Way::Warmth, Way::Redness, Way::Chroma];
        ways.retain(|&way| size(way) >= SPOKEN);
        ways.sort_by(|&a, &b| size(b).total_cmp(&size(a)));
        ways
    }

    /// One way in words: "1.2 values too light".
    pub fn words(&self, way: Way) -> String {
        let by = self.by(way);
        let more = by > 0.0;
        let pick = |yes: &'static str, no: &'static str| if more { yes } else { no };
        match way {
            Way::Value => {
                let steps = format!("{:.1}", by.abs());
                let unit = if steps == "1.0" { "value" } else { "values" };
                format!("{steps} {unit} {}", pick("too light", "too dark"))
            }
            Way::Warmth => format!("{} by {:.3}", pick("too warm", "too cool"), by.abs()),
            Way::Redness => format!("{} by {:.3}", pick("too red", "too green"), by.abs()),
            Way::Chroma => format!("chroma {:.3} {}", by.abs(), pick("too strong", "too weak")),
        }
    }

    /// The miss in one line, the largest part first.
    pub fn sentence(&self) -> String {
        if self.is_hit() {
            return "as good as the swatch itself".to_owned();
        }
        let ways: Vec<_> = self.ways().into_iter().map(|way| self.words(way)).collect();
        // Many small differences can add up to one that is seen.
        if ways.is_empty() { "a little off in every way".to_owned() } else { ways.join(", ") }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Oklab;

    fn at(l: f32, a: f32, b: f32) -> Colour {
        Oklab { l, a, b }.colour()
    }

    #[test]
    fn the_swatch_itself_is_a_hit() {
        let brick = Colour::from_srgb8([115, 82, 78]);
        let miss = miss(brick, brick);
        assert_eq!((miss.delta_e, miss.ways(), miss.is_hit()), (0.0, vec![], true));
        assert_eq!(miss.sentence(), "as good as the swatch itself");
    }

    #[test]
    fn a_duller_guess_is_only_too_weak() {
        let miss = miss(at(0.5, 0.03, 0.03), at(0.5, 0.06, 0.06));
        assert!(miss.warmth.abs() < 1e-6 && miss.redness.abs() < 1e-6, "{miss:?}");
        assert!((miss.chroma + 0.03 * 2f64.sqrt()).abs() < 1e-4, "{miss:?}");
        assert_eq!(miss.ways(), [Way::Chroma, Way::Value][..miss.ways().len()]);
    }

    #[test]
    fn a_turned_hue_is_told_along_both_directions_and_not_as_chroma() {
        // The same chroma on the warm and on the cool end of the axis, then across it.
        let [warm, across] = [AXIS, [AXIS[1], -AXIS[0]]].map(|d| [0.1 * d[0] as f32, 0.1 * d[1] as f32]);
        let turned = miss(at(0.6, warm[0], warm[1]), at(0.6, -warm[0], -warm[1]));
        assert!((turned.warmth - 0.2).abs() < 1e-3 && turned.redness.abs() < 1e-3, "{turned:?}");
        assert!(turned.chroma.abs() < 1e-3, "{turned:?}");
        let turned = miss(at(0.6, -across[0], -across[1]), at(0.6, across[0], across[1]));
        assert!((turned.redness + 0.2).abs() < 1e-3 && turned.warmth.abs() < 1e-3, "{turned:?}");
        assert_eq!(turned.words(Way::Redness), "too green by 0.200");
    }

    #[test]
    fn a_tinted_guess_of_a_grey_is_too_warm_and_too_strong() {
        let miss = miss(at(0.5, 0.01, 0.06), at(0.5, 0.0, 0.0));
        assert!(miss.warmth > 0.05 && miss.chroma > 0.05, "{miss:?}");
        assert_eq!(miss.ways().len(), 2, "{miss:?}");
    }

    #[test]
    fn the_largest_comes_first_and_words_carry_their_figures() {
        let light = miss(at(0.75, 0.0, 0.0), at(0.5, 0.02, 0.0));
        assert_eq!(light.ways()[0], Way::Value);
        let sentence = light.sentence();
        assert!(sentence.contains("values too light, ") && sentence.contains("too weak"), "{sentence}");
        let swapped = miss(at(0.5, 0.02, 0.0), at(0.75, 0.0, 0.0));
        assert!((light.value + swapped.value).abs() < 1e-9);
        assert!(swapped.sentence().starts_with(&light.words(Way::Value).replace("light", "dark")));
        let one = Miss { delta_e: 9.0, value: -1.04, warmth: 0.02, redness: -0.013, chroma: 0.0 };
        assert_eq!(one.sentence(), "1.0 value too dark, too warm by 0.020, too green by 0.013");
        let many = Miss { delta_e: 1.4, value: 0.05, warmth: 0.01, redness: 0.01, chroma: 0.01 };
        assert_eq!(many.sentence(), "a little off in every way");
    }
}
