//! The value of a colour token, both ways.

use super::json::{Json, Members, member, object};
use crate::board::exchange::notation::{self, Fault, SAME_OKLAB, colour_of, oklch_digits, parse};
use crate::colour::Colour;
use crate::printable::shortened;
use color::{ColorSpaceTag, DynamicColor, Flags};

/// The colour spaces of the Color module (from memory), with what they are to the crate that converts.
const SPACES: [(&str, ColorSpaceTag); 14] = [
    ("srgb", ColorSpaceTag::Srgb),
    ("srgb-linear", ColorSpaceTag::LinearSrgb),
    ("hsl", ColorSpaceTag::Hsl),
    ("hwb", ColorSpaceTag::Hwb),
    ("lab", ColorSpaceTag::Lab),
    ("lch", ColorSpaceTag::Lch),
    ("oklab", ColorSpaceTag::Oklab),
    ("oklch", ColorSpaceTag::Oklch),
    ("display-p3", ColorSpaceTag::DisplayP3),
    ("a98-rgb", ColorSpaceTag::A98Rgb),
    ("prophoto-rgb", ColorSpaceTag::ProphotoRgb),
    ("rec2020", ColorSpaceTag::Rec2020),
    ("xyz-d65", ColorSpaceTag::XyzD65),
    ("xyz-d50", ColorSpaceTag::XyzD50),
];

/// The value that is written for a colour.
pub(super) fn written(colour: Colour) -> Json {
    let digits = oklch_digits(colour);
    let number = |digits: &str| digits.parse().map_or(Json::Null, Json::Number);
    let hue = digits.h.as_deref().map_or_else(|| Json::from("none"), number);
    object([
        ("colorSpace", Json::from("oklch")),
        ("components", Json::List(vec![number(&digits.l), number(&digits.c), hue])),
        ("alpha", Json::Whole(1)),
        ("hex", Json::Text(colour.hex())),
    ])
}

/// The exact colour of a note, if `value`, which means `colour`, is what is written for it; else `colour`.
pub(super) fn refined(value: &Json, colour: Colour, exact: Colour) -> Colour {
    let components = |json: &Json| {
        let members = json.members()?;
        let oklch = member(members, "colorSpace")?.text() == Some("oklch");
        let Some(Json::List(list)) = member(members, "components") else { return None };
        oklch.then(|| list.iter().map(|json| json.number().unwrap_or(0.0)).collect::<Vec<_>>())
    };
    // Compared as written: a lightness that was held to 0-1 has no other trace.
    let same = |(a, b): (&f64, &f64)| (a - b).abs() <= f64::from(SAME_OKLAB) * b.abs().max(1.0);
    match (components(value), components(&written(exact))) {
        (Some(a), Some(b)) if a.len() == b.len() && a.iter().zip(&b).all(same) => exact,
        _ => notation::refined(colour, exact),
    }
}

/// The colour of a value and its alpha, 0-1, or what is wrong with it.
pub(super) fn read(value: &Json) -> Result<(Colour, f32), String> {
    match value {
        // The older drafts had plain text.
        Json::Text(text) => css(text),
        Json::Object(members) => of_components(members),
        Json::Null | Json::Bool(_) | Json::Whole(_) | Json::Number(_) | Json::List(_) => {
            Err("its value is neither a colour object nor text such as \"#7a8fa3\"; write one of these".to_owned())
        }
    }
}

fn css(text: &str) -> Result<(Colour, f32), String> {
    parse(text).map_err(|fault| match fault {
        Fault::Syntax(why) => {
            format!("\"{}\" is no colour ({why}); write # and six digits 0-9 or a-f", shortened(text))
        }
        Fault::NotFinite => too_large(),
    })
}

fn too_large() -> String {
    "a number in its colour is too large; write the colour again".to_owned()
}

fn of_components(members: &Members) -> Result<(Colour, f32), String> {
    let space = member(members, "colorSpace").and_then(Json::text);
    let Some(&(_, cs)) = SPACES.iter().find(|(name, _)| Some(*name) == space) else {
        let Some(space) = space else {
            return Err("its value has no colorSpace; add one, for example srgb".to_owned());
        };
        // `hex` is there for spaces that a reader does not know.
        return match member(members, "hex").and_then(Json::text) {
            Some(hex) => Ok((css(hex)?.0, alpha_of(members)?)),
            None => Err(format!("the colour space \"{}\" is not known; use srgb or oklch", shortened(space))),
        };
    };
    // The name of the components in a draft of 2024.
    let given = member(members, "components").or_else(|| member(members, "channels"));
    let Some(Json::List(given)) = given else {
        return Err("its value has no list of components; add three numbers".to_owned());
    };
    let [x, y, z] = &given[..] else {
        return Err(format!("its colour has {} components; it needs three", given.len()));
    };
    let component = |json: &Json| match json {
        Json::Text(word) if word == "none" => Ok(0.0),
        json => json.number().ok_or_else(|| "a component of its colour is not a number; correct it".to_owned()),
    };
    let alpha = alpha_of(members)?;
    // What f32 cannot hold becomes infinite here and is refused below. Missing components count as 0 (CSS Color 4, 4.4).
    #[expect(clippy::cast_possible_truncation, reason = "components in the single precision of colours")]
    let components = [component(x)? as f32, component(y)? as f32, component(z)? as f32, alpha];
    let colour = colour_of(DynamicColor { cs, flags: Flags::default(), components });
    Ok((colour.ok_or_else(too_large)?, alpha))
}

#[expect(clippy::cast_possible_truncation, reason = "components in the single precision of colours")]
fn alpha_of(members: &Members) -> Result<f32, String> {
    match member(members, "alpha") {
        None => Ok(1.0),
        Some(Json::Text(word)) if word == "none" => Ok(0.0),
        Some(json) => match json.number() {
            Some(alpha) => Ok(alpha.clamp(0.0, 1.0) as f32),
            None => Err("its alpha is not a number from 0 to 1; correct it".to_owned()),
        },
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn hex(json: &str) -> String {
        read(&serde_json::from_str(json).unwrap()).map_or_else(|e| e, |(c, alpha)| format!("{} {alpha}", c.hex()))
    }

    #[test]
    fn every_notation_is_read() {
        for json in [
            r##""#7a8fa3""##,
            r##""#7a8fa3ff""##,
            r#"{"colorSpace":"srgb","components":[0.478431,0.560784,0.639216]}"#,
            r##"{"colorSpace":"nice","components":[1],"hex":"#7a8fa3"}"##,
            r#"{"colorSpace":"srgb","channels":[0.478431,0.560784,0.639216],"alpha":1}"#,
        ] {
            assert_eq!(hex(json), "#7a8fa3 1", "{json}");
        }
        assert_eq!(hex(r#"{"colorSpace":"oklch","components":[0.5,0,"none"],"alpha":0.25}"#), "#636363 0.25");
    }

    #[test]
    fn faults_are_told() {
        for (json, words) in [
            ("3", "neither a colour object nor text"),
            ("\"#12\"", "is no colour"),
            ("{}", "no colorSpace"),
            (r#"{"colorSpace":"ink"}"#, "\"ink\" is not known"),
            (r#"{"colorSpace":"srgb"}"#, "no list of components"),
            (r#"{"colorSpace":"srgb","components":[1,2]}"#, "has 2 components"),
            (r#"{"colorSpace":"srgb","components":[1,2,"x"]}"#, "not a number"),
            (r#"{"colorSpace":"srgb","components":[1,2,1e300]}"#, "too large"),
            (r#"{"colorSpace":"srgb","components":[1,2,3],"alpha":"x"}"#, "its alpha"),
        ] {
            assert!(hex(json).contains(words), "{json}: {}", hex(json));
        }
    }

    #[test]
    fn a_lightness_beyond_white_is_written_within_the_format() {
        for exact in [Colour::new(3.0, 2.5, 2.0), Colour::new(-0.1, -0.2, -0.1), Colour::new(f32::MAX, 0.0, f32::MIN)] {
            let value = written(exact);
            let Some(Json::List(components)) = member(value.members().unwrap(), "components") else { panic!() };
            assert!((0.0..=1.0).contains(&components[0].number().unwrap()), "{value:?}");
            let colour = read(&value).map_or(Colour::default(), |(colour, _)| colour);
            assert_eq!(refined(&value, colour, exact), exact);
            assert_eq!(refined(&Json::from("#123456"), colour, exact), colour);
        }
    }
}
