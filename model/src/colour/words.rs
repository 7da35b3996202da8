//! What a colour is called in plain words, for naming surfaces before the painter does.

use super::Colour;

/// Below this OKLCh chroma a colour is a grey, and below the second one it is greyish. Common practice, no published source.
const GREY_CHROMA: f32 = 0.02;
const GREYISH_CHROMA: f32 = 0.045;
/// Below the first Munsell value a colour is dark, above the second it is light. Common practice, no published source.
const DARK_MUNSELL: f32 = 3.6;
const LIGHT_MUNSELL: f32 = 6.9;
/// Orange and yellow are bright by nature: full ones, from this OKLCh chroma up, are not called light. Common practice, no
/// published source.
const FULL_CHROMA: f32 = 0.12;

/// The plain name of a colour: "dark blue", "greyish green", "light grey", "brown".
///
/// The hues are the basic colour terms of English with turquoise and olive added; where one ends and the next begins, in OKLCh degrees,
/// is set so that colours named by CSS Color 4, section 6.1, keep their names.
pub fn plain_name(colour: Colour) -> String {
    let (place, value) = (colour.oklch(), colour.munsell_value());
    let depth = match value {
        v if v < DARK_MUNSELL => "dark ",
        v if v > LIGHT_MUNSELL => "light ",
        _ => "",
    };
    if place.c < GREY_CHROMA {
        return format!("{depth}grey");
    }
    let hue = hue_name(place.h_degrees.rem_euclid(360.0), value, place.c);
    let pale = if place.c < GREYISH_CHROMA { "greyish " } else { "" };
    let depth = match (depth, hue) {
        // A light red is a pink already.
        ("light ", "pink") => "",
        ("light ", "orange" | "yellow") if place.c > FULL_CHROMA => "",
        (depth, _) => depth,
    };
    format!("{depth}{pale}{hue}")
}

/// The word for the hue of a colour alone: "green", "greyish blue", "grey".
pub fn hue_word(colour: Colour) -> String {
    let place = colour.oklch();
    if place.c < GREY_CHROMA {
        return "grey".to_owned();
    }
    let hue = hue_name(place.h_degrees.rem_euclid(360.0), colour.munsell_value(), place.c);
    if place.c < GREYISH_CHROMA { format!("greyish {hue}") } else { hue.to_owned() }
}

fn hue_name(hue_degrees: f32, value: f32, chroma: f32) -> &'static str {
    match hue_degrees {
        h if (30.0..92.0).contains(&h) && value < 5.6 && chroma < 0.13 => "brown",
        h if (92.0..118.0).contains(&h) && value < 6.0 => "olive",
        h if !(25.0..340.0).contains(&h) && value > 6.8 => "pink",
        h if !(42.0..340.0).contains(&h) => "red",
        h if h < 85.0 => "orange",
        h if h < 118.0 => "yellow",
        h if h < 165.0 => "green",
        h if h < 212.0 => "turquoise",
        h if h < 286.0 => "blue",
        _ => "violet",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_that_css_names_keep_their_names() {
        // CSS Color Module Level 4, section 6.1, "Named colors".
        for (hex, name) in [
            ("#ff0000", "red"),
            ("#dc143c", "red"),
            ("#ffa500", "orange"),
            ("#ffff00", "yellow"),
            ("#008000", "green"),
            ("#006400", "dark green"),
            ("#40e0d0", "light turquoise"),
            ("#00008b", "dark blue"),
            ("#4169e1", "blue"),
            ("#add8e6", "light blue"),
            ("#ee82ee", "violet"),
            ("#ffc0cb", "pink"),
            ("#8b4513", "brown"),
            ("#808000", "olive"),
            ("#808080", "grey"),
            ("#d3d3d3", "light grey"),
        ] {
            let found = Colour::from_hex(hex).map(plain_name).unwrap_or_default();
            assert_eq!(found, name, "{hex}");
        }
    }

    #[test]
    fn the_colours_of_a_tram_depot_at_blue_hour_are_called_what_they_are() {
        for (hex, name) in [
            ("#3b4a66", "dark blue"),
            ("#5c7394", "blue"),
            ("#9db2c6", "light greyish blue"),
            ("#36353b", "dark grey"),
            ("#d49b5b", "orange"),
            ("#a4633b", "brown"),
            ("#8c7a3c", "olive"),
        ] {
            let found = Colour::from_hex(hex).map(plain_name);
            assert_eq!(found.as_deref().ok(), Some(name), "{hex}");
        }
    }
}
