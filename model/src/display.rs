//! What a display shows for a colour: from codes of sRGB to its own, by its ICC profile (ICC.1:2022), white to white (media-relative
//! colorimetric). What the display cannot show is clipped, as colour management modules do.

use crate::colour::decode_f64;
use crate::colour::matrix::{Matrix3, apply, checked_inverse};
use crate::photo::profile::{tabulate, to_linear_srgb};
use moxcms::{ColorProfile, DataColorSpace, Layout, ProfileText, RenderingIntent, TransformExecutor, TransformOptions};
use std::sync::Arc;

/// Codes along each side of a [`DisplayTable`]. They lie closer towards black, where the curves of displays are steep: the n-th stands for
/// the code (n / 64)².
pub const SIDE: usize = 65;

/// What differs from sRGB by less is sRGB: profiles of sRGB differ by up to one and a half steps of an 8-bit code in how they round its
/// primaries and its white, which shows where one component is nearly nothing.
const SAME: f32 = 2.0 / 255.0;

/// Why a profile cannot be used: a phrase that says what is wrong with it.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("{0}")]
pub struct DisplayProfileError(String);

/// The colours of a display, in a table that a graphics device can read.
#[derive(Clone, PartialEq, Debug)]
pub struct DisplayTable {
    nodes: Vec<[f32; 4]>,
    name: Option<String>,
}

impl DisplayTable {
    /// From the bytes of an ICC profile.
    ///
    /// # Errors
    /// When it is damaged, or not for a screen.
    pub fn of(icc: &[u8]) -> Result<Self, DisplayProfileError> {
        let failed = |why: &str| DisplayProfileError(why.to_owned());
        let profile = ColorProfile::new_from_slice(icc).map_err(|_| failed("it is damaged or of an unknown kind"))?;
        if profile.color_space != DataColorSpace::Rgb {
            return Err(failed("it is not for a screen"));
        }
        let exact = Exact::of(&profile).map_err(DisplayProfileError)?;
        let mut codes = Vec::with_capacity(SIDE * SIDE * SIDE);
        for blue in 0..SIDE {
            for green in 0..SIDE {
                codes.extend((0..SIDE).map(|red| [code(red), code(green), code(blue)]));
            }
        }
        let shown = exact.shown(&codes).map_err(DisplayProfileError)?;
        let nodes = shown.into_iter().map(|[r, g, b]| [r, g, b, 1.0]).collect();
        Ok(DisplayTable { nodes, name: profile.description.as_ref().and_then(name_in) })
    }

    /// Red, green, blue and 1 at every node, 0 to 1; red goes round fastest, blue slowest.
    pub fn nodes(&self) -> &[[f32; 4]] {
        &self.nodes
    }

    /// What the profile calls itself.
    pub fn name(&self) -> Option<&str> {
        self.name.as_deref()
    }

    /// Whether the display shows sRGB as it is, so that nothing need be converted.
    pub fn is_plain(&self) -> bool {
        self.nodes.iter().enumerate().all(|(at, node)| {
            let own = [at % SIDE, at / SIDE % SIDE, at / SIDE / SIDE].map(code);
            own.iter().zip(node).all(|(own, shown)| (own - shown).abs() < SAME)
        })
    }

    /// The display's codes for codes of sRGB, both 0 to 1: the four nodes around it, by the tetrahedron it lies in, so that greys depend
    /// on greys alone. Mirror: `shown` in `shaders/display.wgsl`.
    pub fn shown(&self, codes: [f32; 3]) -> [f32; 3] {
        let place = codes.map(|c| c.clamp(0.0, 1.0).sqrt() * (SIDE - 1) as f32);
        #[expect(clippy::cast_possible_truncation, reason = "held to the table")]
        let low = place.map(|p| (p as usize).min(SIDE - 2));
        let part = [0, 1, 2].map(|i| place[i] - low[i] as f32);
        let mut order = [0, 1, 2];
        order.sort_by(|&a, &b| part[b].total_cmp(&part[a]));
        let [first, second, third] = order.map(|axis| part[axis]);
        let weights = [1.0 - first, first - second, second - third, third];
        let mut at = low;
        let mut sum = [0.0; 3];
        for (step, weight) in weights.into_iter().enumerate() {
            if step > 0 {
                at[order[step - 1]] += 1;
            }
            let node = self.nodes[at[0] + SIDE * (at[1] + SIDE * at[2])];
            for (sum, value) in sum.iter_mut().zip(node) {
                *sum += weight * value;
            }
        }
        sum
    }
}

/// The code that a place along the table stands for.
fn code(place: usize) -> f32 {
    (place as f32 / (SIDE - 1) as f32).powi(2)
}

/// The conversion itself.
enum Exact {
    /// From linear sRGB to the display's linear components, and its curves from codes to those.
    Curves(Box<Matrix3>, [Arc<[f32]>; 3]),
    /// A profile made of tables.
    Tables(Arc<dyn TransformExecutor<f32> + Send + Sync>),
}

impl Exact {
    fn of(profile: &ColorProfile) -> Result<Self, String> {
        // With tables and curves both present, ICC.1 clause 9.2 gives the tables precedence.
        if profile.lut_b_to_a_colorimetric.is_some() || profile.lut_b_to_a_perceptual.is_some() {
            let rendering_intent = if profile.lut_b_to_a_colorimetric.is_some() {
                RenderingIntent::RelativeColorimetric
            } else {
                RenderingIntent::Perceptual
            };
            let options = TransformOptions { rendering_intent, ..TransformOptions::default() };
            let table = ColorProfile::new_srgb().create_transform_f32(Layout::Rgb, profile, Layout::Rgb, options);
            return table.map(Exact::Tables).map_err(|_| "its tables could not be used".to_owned());
        }
        let (Some(r), Some(g), Some(b)) = (&profile.red_trc, &profile.green_trc, &profile.blue_trc) else {
            return Err("its curves are missing".to_owned());
        };
        let curve = |curve| tabulate(curve, u16::MAX).map(rising);
        let to_srgb = to_linear_srgb(&profile.colorant_matrix().v)?.map(|row| row.map(f64::from));
        let mut matrix = checked_inverse(&to_srgb).ok_or("its primaries span no colours")?;
        // Colorants are rounded in a profile; white is white all the same, and greys are greys.
        for row in &mut matrix {
            let white: f64 = row.iter().sum();
            if !(0.5..=2.0).contains(&white) {
                return Err("its primaries do not make white".to_owned());
            }
            *row = row.map(|v| v / white);
        }
        Ok(Exact::Curves(Box::new(matrix), [curve(r)?, curve(g)?, curve(b)?]))
    }

    /// The display's codes for codes of sRGB, both 0 to 1.
    #[expect(clippy::cast_possible_truncation, reason = "codes are kept in single precision")]
    fn shown(&self, codes: &[[f32; 3]]) -> Result<Vec<[f32; 3]>, String> {
        match self {
            Exact::Curves(matrix, curves) => Ok(codes
                .iter()
                .map(|code| {
                    let own = apply(matrix, code.map(|c| decode_f64(f64::from(c))));
                    [0, 1, 2].map(|i| code_for(&curves[i], own[i].clamp(0.0, 1.0) as f32))
                })
                .collect()),
            Exact::Tables(table) => {
                let mut shown = vec![0.0; 3 * codes.len()];
                let done = table.transform(codes.as_flattened(), &mut shown);
                let shown: Vec<[f32; 3]> = shown.chunks_exact(3).map(|c| [c[0], c[1], c[2]]).collect();
                if done.is_err() || shown.iter().flatten().any(|v| !v.is_finite()) {
                    return Err("its tables could not be used".to_owned());
                }
                Ok(shown.into_iter().map(|code| code.map(|v| v.clamp(0.0, 1.0))).collect())
            }
        }
    }
}

/// The same curve without the places where measuring made it fall.
fn rising(curve: Arc<[f32]>) -> Arc<[f32]> {
    let mut most = 0.0;
    let rise = |value: &f32| {
        most = value.max(most);
        most
    };
    curve.iter().map(rise).collect()
}

/// The code, 0 to 1, at which a rising curve reaches a value.
fn code_for(curve: &[f32], value: f32) -> f32 {
    let last = curve.len() - 1;
    let above = curve.partition_point(|v| *v < value).min(last);
    if above == 0 {
        return 0.0;
    }
    let (low, high) = (curve[above - 1], curve[above]);
    let part = if high > low { ((value - low) / (high - low)).clamp(0.0, 1.0) } else { 1.0 };
    (above as f32 - 1.0 + part) / last as f32
}

fn name_in(text: &ProfileText) -> Option<String> {
    let name = match text {
        ProfileText::PlainString(name) => name,
        ProfileText::Localizable(names) => &names.iter().find(|n| n.language == "en").or(names.first())?.value,
        ProfileText::Description(name) => &name.ascii_string,
    };
    let name: String = name.chars().filter(|c| !c.is_control()).take(80).collect();
    (!name.trim().is_empty()).then(|| name.trim().to_owned())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::picture::icc::display_p3;
    use crate::random::SplitMix64;

    fn close(a: [f32; 3], b: [f32; 3], steps: f32) -> bool {
        a.iter().zip(b).all(|(a, b)| (a - b).abs() * 255.0 <= steps)
    }

    /// `color(srgb 1 0 0)` in `display-p3`, and two more, by W3C CSS Color 4's conversions (computed with its sample code, from memory).
    #[test]
    fn colours_of_srgb_are_found_in_display_p3() {
        let table = DisplayTable::of(&display_p3()).unwrap();
        assert_eq!(table.name(), Some("Display P3"));
        assert!(!table.is_plain());
        for (srgb, p3) in [
            ([1.0, 0.0, 0.0], [0.91749, 0.20029, 0.13856]),
            ([0.0, 1.0, 0.0], [0.45840, 0.98526, 0.29831]),
            ([0.0, 0.0, 1.0], [0.0, 0.0, 0.95959]),
        ] {
            let shown = table.shown(srgb);
            assert!(close(shown, p3, 0.5), "{srgb:?}: {shown:?} for {p3:?}");
        }
    }

    #[test]
    fn greys_are_greys_to_the_bit_and_white_is_white() {
        let table = DisplayTable::of(&display_p3()).unwrap();
        for grey in 0..=255u8 {
            let code = f32::from(grey) / 255.0;
            let [r, g, b] = table.shown([code; 3]);
            assert!(r == g && g == b, "{grey}: {r} {g} {b}");
            assert!((r - code).abs() < 0.5 / 255.0, "the curve is that of sRGB: {grey} is {r}");
        }
        assert_eq!(table.shown([1.0; 3]), [1.0; 3]);
    }

    #[test]
    fn between_the_nodes_the_table_is_within_a_third_of_a_step() {
        let bytes = display_p3();
        let mut profile = ColorProfile::new_from_slice(&bytes).unwrap();
        // A curve as unlike that of sRGB as displays have: a plain power of 1.8.
        let power = moxcms::ToneReprCurve::Parametric(vec![1.8]);
        profile.red_trc = Some(power.clone());
        profile.green_trc = Some(power.clone());
        profile.blue_trc = Some(power);
        let table = DisplayTable::of(&profile.encode().unwrap()).unwrap();
        let exact = Exact::of(&profile).unwrap();
        let mut random = SplitMix64(7);
        let codes: Vec<[f32; 3]> =
            (0..20_000).map(|_| [(); 3].map(|()| (random.next_u64() % 256) as f32 / 255.0)).collect();
        for (code, exact) in codes.iter().zip(exact.shown(&codes).unwrap()) {
            let shown = table.shown(*code);
            assert!(close(shown, exact, 0.34), "{code:?}: {shown:?} for {exact:?}");
        }
    }

    #[test]
    fn a_display_that_is_srgb_needs_nothing() {
        let table = DisplayTable::of(&ColorProfile::new_srgb().encode().unwrap()).unwrap();
        assert!(table.is_plain());
    }

    #[test]
    fn what_is_no_profile_of_a_display_is_refused() {
        let grey = ColorProfile::new_gray_with_gamma(2.2).encode().unwrap();
        let whole = display_p3();
        for bytes in [&[][..], b"a few words", &whole[..whole.len() / 2], &grey] {
            assert!(DisplayTable::of(bytes).is_err());
        }
    }
}
