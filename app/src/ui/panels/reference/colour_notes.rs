//! What is said of a colour before it is laid: value, chroma, warmth beside its family, and how near it is to what a board
//! should not hold.

use crate::ui::wording::{self, Lean};
use stint_model::board::limits::{LEAN_MARGIN, NEAR_BLACK_MUNSELL, NEAR_WHITE_MUNSELL};
use stint_model::board::{Family, LightOfDay, Role};
use stint_model::colour::warmth::warmer_by;
use stint_model::colour::{Colour, gamut};
use stint_model::photo::nudge;

/// Below this chroma (OKLCh) nothing is said about the edge of the gamut: near black and white every grey touches it.
const EDGE_CHROMA: f32 = 0.05;
/// From this far away on, nearness is said, in Munsell values. Common practice, no published source.
const NEAR_VALUES: f32 = 0.6;
/// The same for the edge of the gamut, in OKLCh chroma: the difference CSS Color 4 calls just noticeable in OKLab.
const NEAR_CHROMA: f32 = 0.02;

/// One thing said about a colour.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::ui::panels) struct ColourNote {
    /// The words.
    pub words: String,
    /// It suits the light of the day; shown by a tick.
    pub suits: bool,
}

fn plain(words: impl Into<String>) -> ColourNote {
    ColourNote { words: words.into(), suits: false }
}

/// Whether a board should not hold a colour, and a nudge would move it.
pub(in crate::ui::panels) fn out_of_range(colour: Colour) -> bool {
    nudge(colour) != colour
}

/// What is said about a colour that may become the `role` of a family.
pub(in crate::ui::panels) fn remarks(
    colour: Colour,
    role: Role,
    family: Option<&Family>,
    light: LightOfDay,
) -> Vec<ColourNote> {
    let mut said = vec![plain(wording::value(colour.munsell_value())), plain(wording::chroma_words(colour.oklch().c))];
    said.extend(family.map(|f| leans(colour, role, f, light)).unwrap_or_default());
    said.extend(nearness(colour).into_iter().map(plain));
    said
}

/// Warmer or cooler than the other swatches of the family, those alike in one line. Common practice: under a warm light
/// shadows are cooler than lights, under a cool light warmer.
fn leans(colour: Colour, role: Role, family: &Family, light: LightOfDay) -> Vec<ColourNote> {
    let mut groups: Vec<(Lean, Vec<Role>)> = Vec::new();
    let mut suits = None;
    for other in [Role::Light, Role::Local, Role::Shadow, Role::Accent] {
        let Some(swatch) = family.with_role(other).filter(|_| other != role) else { continue };
        let lean = match warmer_by(colour, swatch.colour) {
            by if by.abs() < LEAN_MARGIN => Lean::Even,
            by if by > 0.0 => Lean::Warmer,
            _ => Lean::Cooler,
        };
        if suit(role, other, lean, light) {
            suits = Some(lean);
        }
        match groups.iter_mut().find(|(of, _)| *of == lean) {
            Some((_, roles)) => roles.push(other),
            None => groups.push((lean, vec![other])),
        }
    }
    let line = |(lean, roles): (Lean, Vec<Role>)| ColourNote {
        words: wording::leans(lean, &roles),
        suits: suits == Some(lean),
    };
    groups.into_iter().map(line).collect()
}

/// Whether a shadow and a light lean apart as the light of the day makes them.
fn suit(role: Role, other: Role, lean: Lean, light: LightOfDay) -> bool {
    let shadow_is = match (role, other, lean) {
        (_, _, Lean::Even) => return false,
        (Role::Shadow, Role::Light, lean) => lean,
        (Role::Light, Role::Shadow, Lean::Warmer) => Lean::Cooler,
        (Role::Light, Role::Shadow, Lean::Cooler) => Lean::Warmer,
        (Role::Shadow | Role::Local | Role::Light | Role::Accent, _, Lean::Warmer | Lean::Cooler) => return false,
    };
    match light {
        LightOfDay::Warm => shadow_is == Lean::Cooler,
        LightOfDay::Cool => shadow_is == Lean::Warmer,
        LightOfDay::Neutral => false,
    }
}

/// How near a colour is to black, to white and to the edge of the gamut, where that is near.
fn nearness(colour: Colour) -> Vec<String> {
    let mut said = Vec::new();
    let value = colour.munsell_value();
    let (above, below) = (value - NEAR_BLACK_MUNSELL, NEAR_WHITE_MUNSELL - value);
    if above < 0.0 {
        said.push(wording::NEAR_BLACK.to_owned());
    } else if above < NEAR_VALUES {
        said.push(wording::from_near_black(above));
    }
    if below < 0.0 {
        said.push(wording::NEAR_WHITE.to_owned());
    } else if below < NEAR_VALUES {
        said.push(wording::from_near_white(below));
    }
    let place = colour.oklch();
    let room = gamut::SRGB.max_chroma(place.l, place.h_degrees) - place.c;
    if !colour.in_srgb() {
        said.push(wording::OUTSIDE_GAMUT.to_owned());
    } else if said.is_empty() && out_of_range(colour) {
        said.push(wording::AT_GAMUT_EDGE.to_owned());
    } else if place.c > EDGE_CHROMA && room < NEAR_CHROMA {
        said.push(wording::NEARLY_TOO_STRONG.to_owned());
    }
    said
}

/// Warmth of each of three tones among them: greatest, least, between; nothing when they cannot be told apart. The last says
/// whether shadow (the first) and light (the last tone) lean as the light of the day makes them.
pub(in crate::ui::panels) fn warmth(tones: [Colour; 3], light: LightOfDay) -> ([Option<std::cmp::Ordering>; 3], bool) {
    use std::cmp::Ordering;
    let by = tones.map(|t| warmer_by(t, tones[1]));
    let least = by.into_iter().fold(f32::INFINITY, f32::min);
    let greatest = by.into_iter().fold(f32::NEG_INFINITY, f32::max);
    if greatest - least < LEAN_MARGIN {
        return ([None; 3], false);
    }
    let place = |w: f32| match w {
        w if w == greatest => Ordering::Greater,
        w if w == least => Ordering::Less,
        _ => Ordering::Equal,
    };
    let lean = match by[0] - by[2] {
        d if d.abs() < LEAN_MARGIN => Lean::Even,
        d if d > 0.0 => Lean::Warmer,
        _ => Lean::Cooler,
    };
    (by.map(|w| Some(place(w))), suit(Role::Shadow, Role::Light, lean, light))
}

#[cfg(test)]
mod tests {
    use super::*;
    use stint_model::board::Swatch;
    use stint_model::colour::Oklch;
    use stint_model::ids::{FamilyId, SwatchId};

    fn family(swatches: &[(Role, Colour)]) -> Family {
        let swatch = |&(role, colour): &(Role, Colour)| Swatch { id: SwatchId(1), role, name: String::new(), colour };
        Family { swatches: swatches.iter().map(swatch).collect(), ..Family::new(FamilyId(1), "Brick") }
    }

    fn words(colour: Colour) -> String {
        let all = remarks(colour, Role::Local, None, LightOfDay::Neutral);
        all.into_iter().map(|s| s.words).collect::<Vec<_>>().join("; ")
    }

    #[test]
    fn a_shadow_is_held_against_the_others_of_its_family() {
        let blue = Oklch { l: 0.6, c: 0.08, h_degrees: 250.0 }.colour();
        let brown = Oklch { l: 0.35, c: 0.06, h_degrees: 50.0 }.colour();
        let said = |colour, others: &[(Role, Colour)], light| -> Vec<(String, bool)> {
            let all = remarks(colour, Role::Shadow, Some(&family(others)), light);
            all.into_iter().skip(2).map(|s| (s.words, s.suits)).collect()
        };
        let light = [(Role::Light, blue)];
        let line = |words: &str, suits| vec![(words.to_owned(), suits)];
        assert_eq!(said(brown, &light, LightOfDay::Cool), line("warmer than its light", true));
        assert_eq!(said(brown, &light, LightOfDay::Warm), line("warmer than its light", false));
        assert_eq!(said(blue, &light, LightOfDay::Cool), line("as warm as its light", false));
        let two = [(Role::Light, blue), (Role::Local, blue), (Role::Shadow, brown)];
        assert_eq!(said(brown, &two, LightOfDay::Cool), line("warmer than light and local", true));
        let apart = [(Role::Light, blue), (Role::Local, brown)];
        let both = [("warmer than its light".to_owned(), true), ("as warm as its local".to_owned(), false)];
        assert_eq!(said(brown, &apart, LightOfDay::Cool), both);
    }

    #[test]
    fn value_is_said_in_a_number_and_chroma_in_words() {
        // L* 40 and an OKLCh chroma of 0.06.
        let colour = Oklch { l: 0.5, c: 0.06, h_degrees: 50.0 }.colour();
        let value = colour.munsell_value();
        assert_eq!(words(colour), format!("value {value:.1}; mid chroma"));
    }

    #[test]
    fn colours_at_the_ends_are_named_and_near_them_the_distance() {
        assert!(words(Colour::new(0.003, 0.003, 0.003)).contains(wording::NEAR_BLACK));
        assert!(words(Colour::new(0.97, 0.97, 0.97)).contains(wording::NEAR_WHITE));
        assert!(words(Colour::new(1.0, 0.0, 0.0)).contains(wording::AT_GAMUT_EDGE));
        assert!(words(Colour::from_display_p3([0.05, 0.8, 0.05])).contains(wording::OUTSIDE_GAMUT));
        // Greys of a given CIE L* (CIE 15): Y = ((L* + 16) / 116)^3.
        let grey = |l: f32| {
            let y = ((l + 16.0) / 116.0).powi(3);
            Colour::new(y, y, y)
        };
        let ends = |l: f32| words(grey(l)).rsplit("; ").next().unwrap_or_default().to_owned();
        let distance = |words: &str| words.split(' ').next().and_then(|n| n.parse::<f32>().ok());
        let low = grey(14.0).munsell_value() - NEAR_BLACK_MUNSELL;
        assert!(ends(14.0).ends_with("from too dark"), "{}", ends(14.0));
        assert!((distance(&ends(14.0)).unwrap_or(9.0) - low).abs() < 0.06);
        let high = NEAR_WHITE_MUNSELL - grey(91.0).munsell_value();
        assert!(ends(91.0).ends_with("from too light"), "{}", ends(91.0));
        assert!((distance(&ends(91.0)).unwrap_or(9.0) - high).abs() < 0.06);
        let h_degrees = 30.0;
        let most = gamut::SRGB.max_chroma(0.6, h_degrees);
        let said = words(Oklch { l: 0.6, c: most - 0.015, h_degrees }.colour());
        assert!(out_of_range(Oklch { l: 0.6, c: most - 0.002, h_degrees }.colour()));
        assert!(said.ends_with(wording::NEARLY_TOO_STRONG) || said.ends_with(wording::AT_GAMUT_EDGE), "{said}");
        assert_eq!(words(Colour::new(0.2, 0.18, 0.17)).matches(';').count(), 1);
    }

    #[test]
    fn three_tones_are_ordered_by_warmth() {
        use std::cmp::Ordering::{Equal, Greater, Less};
        let hue = |h_degrees| Oklch { l: 0.6, c: 0.08, h_degrees }.colour();
        let (order, suits) = warmth([hue(50.0), hue(140.0), hue(250.0)], LightOfDay::Cool);
        assert_eq!((order, suits), ([Some(Greater), Some(Equal), Some(Less)], true));
        assert!(!warmth([hue(50.0), hue(140.0), hue(250.0)], LightOfDay::Warm).1);
        assert_eq!(warmth([hue(50.0); 3], LightOfDay::Cool), ([None; 3], false));
    }
}
