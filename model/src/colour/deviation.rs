//! How a colour is off from the one that was wanted: by how much, in which ways, and the words for it.
//!
//! One figure says how far ([`Deviation::delta_e`], CIEDE2000); four say in which way. Value stands for itself. What is left is a
//! move in the OKLab plane of hues, taken apart as colour science does it (CIE 15: chroma and hue difference): outwards or
//! inwards is chroma; round about is hue, and hue is told along the two directions painters speak of: warm and cool (the model's
//! [`AXIS`]), and red and green across it. So a colour that is only too dull is not called too cool as well.

use super::Colour;
use super::difference::ciede2000;
use super::warmth::AXIS;

/// Below this CIEDE2000 a colour is as good as the one that was wanted: about 1 is just visible side by side.
pub const HIT_CIEDE2000: f64 = 1.0;
/// A colour with less chroma than this (OKLCh) is almost grey, and has no hue to speak of. Common practice, no published source.
const GREY_CHROMA: f64 = 0.02;
/// Up to this chroma (OKLCh) a colour is so greyish that painters speak of warm and cool rather than of strong and dull, and beyond it
/// they do where at least this part of the way leads straight to or from grey. Common practice, no published source.
const GREYISH_CHROMA: f64 = 0.045;
/// See [`GREYISH_CHROMA`].
const STRAIGHT: f64 = 0.85;
/// A difference smaller than this, in OKLab units, is not put into words; 0.02 in all is about just visible (CSS Color 4).
const WORTH_SAYING_OKLAB: f64 = 0.012;
/// Munsell values to OKLab: from black to white is 10 there and 1 here. It decides only which word comes first.
const OKLAB_PER_MUNSELL: f64 = 0.1;
/// A difference of value below this is not told when a picture is held against another: a quarter of a Munsell step is about what
/// can be seen between two surfaces that do not touch. Common practice, no published source.
const TOLD_VALUE: f64 = 0.25;
/// From here on a difference is no longer a little, and from the second on it is much, OKLab units. Common practice, no published
/// source.
const DEGREES: [f64; 2] = [0.03, 0.06];
/// A fault below this share of the largest one is no chief fault.
const CHIEF_SHARE: f32 = 0.45;

/// A way in which a colour can be off.
#[derive(Clone, Copy, PartialEq, Eq, Debug, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Axis {
    /// Munsell values: too light or too dark.
    Value,
    /// OKLab units along the warmth axis: too warm or too cool.
    Warmth,
    /// OKLab units across it: too red or too green.
    Redness,
    /// OKLCh chroma: too strong or too dull.
    Chroma,
}

impl Axis {
    const ALL: [Axis; 4] = [Axis::Value, Axis::Warmth, Axis::Redness, Axis::Chroma];

    /// What a colour is called that is off this way, upwards or downwards.
    fn fault(self, upwards: bool) -> &'static str {
        let [more, less] = match self {
            Axis::Value => ["too light", "too dark"],
            Axis::Warmth => ["too warm", "too cool"],
            Axis::Redness => ["too red", "too green"],
            Axis::Chroma => ["too strong", "too dull"],
        };
        if upwards { more } else { less }
    }
}

/// A colour against the one that was wanted.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Deviation {
    /// CIEDE2000 of both, see [`HIT_CIEDE2000`].
    pub delta_e: f64,
    /// How much lighter the colour is; positive is too light.
    pub value_munsell: f64,
    /// How much the hue is warmer, in OKLab units.
    pub warmth: f64,
    /// How much the hue is redder (less green), in OKLab units.
    pub redness: f64,
    /// How much stronger the colour is, in OKLCh chroma.
    pub chroma: f64,
}

impl Deviation {
    /// What is said of a surface that is not off.
    pub const RIGHT: &str = "right";

    /// How `colour` is off from `wanted`.
    pub fn of(colour: Colour, wanted: Colour) -> Self {
        let plane = |c: Colour| {
            let lab = c.oklab();
            [f64::from(lab.a), f64::from(lab.b)]
        };
        let (one, other) = (plane(colour), plane(wanted));
        let (chroma, wanted_chroma) = (libm::hypot(one[0], one[1]), libm::hypot(other[0], other[1]));
        let hue = if chroma < GREY_CHROMA || wanted_chroma < GREY_CHROMA {
            // A grey has no hue to be turned from: the way there is the way.
            [one[0] - other[0], one[1] - other[1]]
        } else {
            // Between the two hues at the mean of both chromas, as the hue difference of CIE 15 is.
            let mean = (chroma * wanted_chroma).sqrt();
            [0, 1].map(|i| mean * (one[i] / chroma - other[i] / wanted_chroma))
        };
        Deviation {
            delta_e: ciede2000(colour.lab(), wanted.lab()),
            value_munsell: f64::from(colour.munsell_value()) - f64::from(wanted.munsell_value()),
            warmth: hue[0] * AXIS[0] + hue[1] * AXIS[1],
            redness: hue[0] * AXIS[1] - hue[1] * AXIS[0],
            chroma: chroma - wanted_chroma,
        }
    }

    /// How a surface of `colour` is off from one of `wanted`, as painters tell surfaces apart: along warm and cool and across it; or,
    /// where a colour that is no greyish one was only made stronger or duller, by that alone. So one cause is told once.
    pub fn of_surface(colour: Colour, wanted: Colour) -> Self {
        let plane = |c: Colour| {
            let lab = c.oklab();
            [f64::from(lab.a), f64::from(lab.b)]
        };
        let (one, other) = (plane(colour), plane(wanted));
        let (chroma, wanted_chroma) = (libm::hypot(one[0], one[1]), libm::hypot(other[0], other[1]));
        let way = [one[0] - other[0], one[1] - other[1]];
        let straight = (chroma - wanted_chroma).abs() >= STRAIGHT * libm::hypot(way[0], way[1]);
        let only_chroma = straight && chroma.min(wanted_chroma) >= GREYISH_CHROMA;
        Deviation {
            warmth: if only_chroma { 0.0 } else { way[0] * AXIS[0] + way[1] * AXIS[1] },
            redness: if only_chroma { 0.0 } else { way[0] * AXIS[1] - way[1] * AXIS[0] },
            chroma: if only_chroma { chroma - wanted_chroma } else { 0.0 },
            ..Deviation::of(colour, wanted)
        }
    }

    /// Whether the colour cannot be told from the one that was wanted.
    pub fn is_hit(&self) -> bool {
        self.delta_e < HIT_CIEDE2000
    }

    /// How far the colour is off along one axis; see the fields for the units.
    pub fn by(&self, axis: Axis) -> f64 {
        match axis {
            Axis::Value => self.value_munsell,
            Axis::Warmth => self.warmth,
            Axis::Redness => self.redness,
            Axis::Chroma => self.chroma,
        }
    }

    /// How much one axis counts beside the others, OKLab units.
    fn size(&self, axis: Axis) -> f64 {
        self.by(axis).abs() * if axis == Axis::Value { OKLAB_PER_MUNSELL } else { 1.0 }
    }

    /// The axes along which the colour is off, the largest first; those too small to be seen are left out.
    pub fn axes(&self) -> Vec<Axis> {
        let mut axes = Axis::ALL.to_vec();
        axes.retain(|&axis| self.size(axis) >= WORTH_SAYING_OKLAB);
        axes.sort_by(|&a, &b| self.size(b).total_cmp(&self.size(a)));
        axes
    }

    /// One axis in words, with its figure: "1.2 values too light", "too dull by chroma 0.040".
    pub fn words(&self, axis: Axis) -> String {
        let by = self.by(axis);
        let (fault, size) = (axis.fault(by > 0.0), by.abs());
        match axis {
            Axis::Value => {
                let steps = format!("{size:.1}");
                let unit = if steps == "1.0" { "value" } else { "values" };
                format!("{steps} {unit} {fault}")
            }
            Axis::Warmth | Axis::Redness => format!("{fault} by {size:.3}"),
            Axis::Chroma => format!("{fault} by chroma {size:.3}"),
        }
    }

    /// A difference of value in tenths of a Munsell step, "0.8"; none when it is too small to be told.
    pub fn value_step(munsell: f64) -> Option<String> {
        (munsell.abs() >= TOLD_VALUE).then(|| format!("{:.1}", munsell.abs()))
    }

    /// How much a difference in OKLab units is, in words that stand before "warmer": "a little ", "", "much "; none when it is too
    /// small to be spoken of.
    pub fn degree(oklab: f64) -> Option<&'static str> {
        match oklab.abs() {
            x if x < WORTH_SAYING_OKLAB => None,
            x if x < DEGREES[0] => Some("a little "),
            x if x < DEGREES[1] => Some(""),
            _ => Some("much "),
        }
    }

    /// Where the degrees begin, with a word for each: for marking them on a scale, OKLab units.
    pub const STEPS: [(f64, &str); 2] = [(DEGREES[0], "plainly"), (DEGREES[1], "much")];

    /// One axis by its degree, for surfaces that were looked at from afar: "0.8 too dark", "a little cool", "too cool", "much too
    /// cool"; none when it is too small to be told.
    pub fn graded(&self, axis: Axis) -> Option<String> {
        let by = self.by(axis);
        let fault = axis.fault(by > 0.0);
        if axis == Axis::Value {
            return Deviation::value_step(by).map(|step| format!("{step} {fault}"));
        }
        Deviation::graded_fault(by, fault)
    }

    /// A fault by its degree, for a size in OKLab units: "a little cool", "too cool"; none when it is too small to be told.
    pub fn graded_fault(oklab: f64, fault: &str) -> Option<String> {
        let degree = Deviation::degree(oklab)?;
        // A little of a fault is not too much of it yet.
        let fault = if degree == "a little " { fault.trim_start_matches("too ") } else { fault };
        Some(format!("{degree}{fault}"))
    }

    /// All axes by their degrees, the largest first; "right" when there is none to tell.
    pub fn graded_sentence(&self) -> String {
        let told: Vec<_> = self.axes().into_iter().filter_map(|axis| self.graded(axis)).collect();
        if told.is_empty() { Self::RIGHT.to_owned() } else { told.join(", ") }
    }

    /// All ways in one line with their figures, the largest first, for somebody who meant to hit a swatch.
    pub fn sentence(&self) -> String {
        if self.is_hit() {
            return "as good as the swatch itself".to_owned();
        }
        let axes: Vec<_> = self.axes().into_iter().map(|axis| self.words(axis)).collect();
        // Many small differences can add up to one that is seen.
        if axes.is_empty() { "a little off in every way".to_owned() } else { axes.join(", ") }
    }
}

/// The largest faults of `colour` against `wanted`, without figures: "too warm, too strong"; "close" when there is none to speak
/// of.
///
/// For two colours that may be far apart, such as a green and the grey that comes nearest to it on a board. There the hue
/// difference of [`Deviation`], taken at the mean of both chromas, would leave out most of the way; so warmth and redness are
/// here those of the straight line in OKLab from one to the other, and what is too strong a green is also too green.
#[expect(clippy::cast_possible_truncation, reason = "constants in the single precision of colours")]
pub fn chief_faults(colour: Colour, wanted: Colour) -> String {
    let (one, other) = (colour.oklab(), wanted.oklab());
    let (a, b) = (one.a - other.a, one.b - other.b);
    let axis = AXIS.map(|x| x as f32);
    let faults = [
        (Axis::Value, one.l - other.l),
        (Axis::Chroma, one.chroma() - other.chroma()),
        (Axis::Warmth, a * axis[0] + b * axis[1]),
        (Axis::Redness, a * axis[1] - b * axis[0]),
    ];
    let largest = faults.iter().map(|(_, by)| by.abs()).fold(0.0, f32::max);
    let least = (WORTH_SAYING_OKLAB as f32).max(CHIEF_SHARE * largest);
    let mut chief: Vec<_> = faults.into_iter().filter(|(_, by)| by.abs() >= least).collect();
    chief.sort_by(|one, other| other.1.abs().total_cmp(&one.1.abs()));
    if chief.is_empty() {
        return "close".to_owned();
    }
    chief.into_iter().map(|(axis, by)| axis.fault(by > 0.0)).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Oklab;

    fn at(l: f32, a: f32, b: f32) -> Colour {
        Oklab { l, a, b }.colour()
    }

    #[test]
    fn the_colour_itself_is_a_hit() {
        let brick = Colour::from_srgb8([115, 82, 78]);
        let none = Deviation::of(brick, brick);
        assert_eq!((none.delta_e, none.axes(), none.is_hit()), (0.0, vec![], true));
        assert_eq!(none.sentence(), "as good as the swatch itself");
    }

    #[test]
    fn a_duller_colour_is_only_too_dull() {
        let duller = Deviation::of(at(0.5, 0.03, 0.03), at(0.5, 0.06, 0.06));
        assert!(duller.warmth.abs() < 1e-6 && duller.redness.abs() < 1e-6, "{duller:?}");
        assert!((duller.chroma + 0.03 * 2f64.sqrt()).abs() < 1e-4, "{duller:?}");
        assert_eq!(duller.axes(), [Axis::Chroma, Axis::Value][..duller.axes().len()]);
        assert_eq!(duller.words(Axis::Chroma), "too dull by chroma 0.042");
    }

    #[test]
    fn a_turned_hue_is_told_along_both_directions_and_not_as_chroma() {
        // The same chroma on the warm and on the cool end of the axis, then across it.
        let [warm, across] = [AXIS, [AXIS[1], -AXIS[0]]].map(|d| [0.1 * d[0] as f32, 0.1 * d[1] as f32]);
        let turned = Deviation::of(at(0.6, warm[0], warm[1]), at(0.6, -warm[0], -warm[1]));
        assert!((turned.warmth - 0.2).abs() < 1e-3 && turned.redness.abs() < 1e-3, "{turned:?}");
        assert!(turned.chroma.abs() < 1e-3, "{turned:?}");
        let turned = Deviation::of(at(0.6, -across[0], -across[1]), at(0.6, across[0], across[1]));
        assert!((turned.redness + 0.2).abs() < 1e-3 && turned.warmth.abs() < 1e-3, "{turned:?}");
        assert_eq!(turned.words(Axis::Redness), "too green by 0.200");
    }

    #[test]
    fn a_tint_where_a_grey_was_wanted_is_too_warm_and_too_strong() {
        let tinted = Deviation::of(at(0.5, 0.01, 0.06), at(0.5, 0.0, 0.0));
        assert!(tinted.warmth > 0.05 && tinted.chroma > 0.05, "{tinted:?}");
        assert_eq!(tinted.axes().len(), 2, "{tinted:?}");
    }

    #[test]
    fn the_largest_comes_first_and_words_carry_their_figures() {
        let light = Deviation::of(at(0.75, 0.0, 0.0), at(0.5, 0.02, 0.0));
        assert_eq!(light.axes()[0], Axis::Value);
        let sentence = light.sentence();
        assert!(sentence.contains("values too light, ") && sentence.contains("too dull by chroma "), "{sentence}");
        let swapped = Deviation::of(at(0.5, 0.02, 0.0), at(0.75, 0.0, 0.0));
        assert!((light.value_munsell + swapped.value_munsell).abs() < 1e-9);
        assert!(swapped.sentence().starts_with(&light.words(Axis::Value).replace("light", "dark")));
        let one = Deviation { delta_e: 9.0, value_munsell: -1.04, warmth: 0.02, redness: -0.013, chroma: 0.0 };
        assert_eq!(one.sentence(), "1.0 value too dark, too warm by 0.020, too green by 0.013");
        let many = Deviation { delta_e: 1.4, value_munsell: 0.05, warmth: 0.01, redness: 0.01, chroma: 0.01 };
        assert_eq!(many.sentence(), "a little off in every way");
    }

    #[test]
    fn a_surface_is_off_by_one_cause() {
        let told = |colour, wanted| Deviation::of_surface(colour, wanted).graded_sentence();
        // A greyish brick and a bluish grey moved along the warmth axis; a strong orange made duller; a green made redder.
        let along = |l: f32, a: f32, b: f32, by: f32| at(l, a + by * AXIS[0] as f32, b + by * AXIS[1] as f32);
        assert_eq!(told(along(0.5, 0.03, 0.02, -0.02), at(0.5, 0.03, 0.02)), "a little cool");
        assert_eq!(told(along(0.4, 0.0, -0.03, -0.02), at(0.4, 0.0, -0.03)), "a little cool");
        assert_eq!(told(at(0.7, 0.045, 0.09), at(0.7, 0.06, 0.12)), "too dull");
        assert_eq!(told(at(0.5, -0.02, 0.05), at(0.5, -0.06, 0.05)), "too red");
    }

    #[test]
    fn degrees_are_words_and_small_ones_are_right() {
        let off =
            |value_munsell, warmth, redness, chroma| Deviation { delta_e: 5.0, value_munsell, warmth, redness, chroma };
        assert_eq!(off(-0.8, -0.02, 0.0, 0.0).graded_sentence(), "0.8 too dark, a little cool");
        assert_eq!(off(0.2, 0.005, 0.0, -0.01).graded_sentence(), "right");
        assert_eq!(off(0.1, 0.0, -0.04, 0.07).graded_sentence(), "much too strong, too green");
        assert_eq!(off(0.3, 0.0, 0.0, -0.02).graded_sentence(), "0.3 too light, a little dull");
    }

    #[test]
    fn chief_faults_leave_small_ones_out() {
        let grey = at(0.5, 0.0, 0.0);
        assert_eq!(chief_faults(grey, grey), "close");
        assert_eq!(chief_faults(at(0.6, 0.0, 0.0), grey), "too light");
        assert_eq!(chief_faults(at(0.4, 0.0, 0.0), grey), "too dark");
        assert_eq!(chief_faults(at(0.5, 0.02, 0.11), grey), "too strong, too warm");
        assert_eq!(chief_faults(grey, at(0.5, 0.02, 0.11)), "too dull, too cool");
        assert_eq!(chief_faults(at(0.5, 0.09, -0.015), grey), "too strong, too red");
        assert_eq!(chief_faults(at(0.5, -0.09, 0.015), at(0.5, 0.0, 0.09)), "too cool, too green");
        assert_eq!(chief_faults(at(0.62, 0.01, -0.06), grey), "too light, too strong, too cool");
        // A strong green and the bluish grey that is nearest to it on a board of bricks.
        let [green, grey] = [[30, 170, 60], [97, 107, 119]].map(Colour::from_srgb8);
        assert!(chief_faults(green, grey).contains("too green"), "{}", chief_faults(green, grey));
    }
}
