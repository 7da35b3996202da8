//! CSS custom properties: one property a swatch, in `oklch()` (W3C CSS Color 4), so that a page can use the board as it is.
//!
//! ```css
//! :root {
//!   /* wet yard */
//!   --wet-yard-shadow: oklch(0.301527 0.041218 264.208);
//!
//!   --board-format: 1;
//!   --board-name: "tram depot, blue hour";
//!   --board-light: cool;
//!   --board-family-1: "wet yard" near;
//!   --board-swatch-1: 1 shadow var(--wet-yard-shadow) 0.021 0.028 0.052;
//! }
//! ```
//!
//! The properties named `--board-…` are notes for the way back: each swatch with the id of its family, its role, its colour
//! property, its exact colour in linear sRGB, and its own name when it has one. A page need not care for them. When the
//! colour property has been changed by hand, it counts, and the exact colour does not.
//!
//! Without notes every custom property whose value is a colour becomes a swatch; see [`read`].

mod declarations;
mod notes;
mod reading;

pub use reading::read;

use super::names::{UniqueNames, identifier};
use super::notation::{exact, oklch_digits};
use super::{ExchangeError, FORMAT};
use crate::board::{Board, Family, Swatch};
use crate::colour::Colour;
use std::fmt::Write;

/// The CSS of a board, which must be sound ([`check`](crate::board::check::check)).
///
/// Colours that CSS would hold to a smaller lightness in `oklch()` are written in `color(srgb-linear …)`. A NUL in a name
/// becomes U+FFFD, as CSS has none.
pub fn to_css(board: &Board) -> String {
    let properties = property_names(board);
    let mut out = format!("/* {} */\n:root {{\n", comment(&board.name));
    let mut names = properties.iter();
    for family in &board.families {
        line(&mut out, format_args!("  /* {} */", comment(&family.name)));
        for (swatch, property) in family.swatches.iter().zip(&mut names) {
            let name = if swatch.name.is_empty() { String::new() } else { format!(" /* {} */", comment(&swatch.name)) };
            line(&mut out, format_args!("  --{property}: {};{name}", value(swatch.colour)));
        }
    }
    line(&mut out, format_args!("\n  /* For the way back to Stint; a page needs only the colours above. */"));
    line(&mut out, format_args!("  --board-format: {FORMAT};"));
    line(&mut out, format_args!("  --board-name: {};", string(&board.name)));
    line(&mut out, format_args!("  --board-light: {};", board.light.word()));
    for (what, text) in [("date", &board.date), ("photo", &board.photo)] {
        if !text.is_empty() {
            line(&mut out, format_args!("  --board-{what}: {};", string(text)));
        }
    }
    let mut names = properties.iter();
    for family in &board.families {
        let distance = family.distance.map_or_else(String::new, |d| format!(" {}", d.word()));
        line(&mut out, format_args!("  --board-family-{}: {}{distance};", family.id, string(&family.name)));
        for (swatch, property) in family.swatches.iter().zip(&mut names) {
            line(&mut out, format_args!("  --board-swatch-{}: {};", swatch.id, note(family, swatch, property)));
        }
    }
    for (number, subject) in (1..).zip(&board.dismissed) {
        line(&mut out, format_args!("  --board-dismissed-{number}: {};", notes::dismissed(subject)));
    }
    out.push_str("}\n");
    out
}

/// Reads a board from CSS. `name` is what it is called if the CSS does not say. See [`read`], which also tells what was
/// left out.
///
/// # Errors
/// As [`read`].
pub fn from_css(text: &str, name: &str) -> Result<Board, ExchangeError> {
    Ok(read(text, name)?.board)
}

fn line(out: &mut String, text: std::fmt::Arguments<'_>) {
    // Writing into a string cannot fail.
    let _ = writeln!(out, "{text}");
}

/// One name a swatch, without the dashes in front, in the order of the board.
fn property_names(board: &Board) -> Vec<String> {
    let mut names_given = UniqueNames::default();
    let name = |(family, swatch): (&Family, &Swatch)| {
        let mut surface = identifier(&family.name);
        // A surface without a letter goes by its id, and none may look like a note.
        if surface.is_empty() || surface == "board" || surface.starts_with("board-") {
            surface =
                format!("surface-{}{surface}", if surface.is_empty() { family.id.to_string() } else { String::new() });
        }
        names_given.unique(&format!("{surface}-{}", swatch.role.word()), "-")
    };
    board.swatches().map(name).collect()
}

fn value(colour: Colour) -> String {
    let digits = oklch_digits(colour);
    if digits.clamped {
        return format!("color(srgb-linear {})", linear(colour));
    }
    format!("oklch({} {} {})", digits.l, digits.c, digits.h.as_deref().unwrap_or("none"))
}

fn linear(colour: Colour) -> String {
    format!("{} {} {}", exact(colour.r), exact(colour.g), exact(colour.b))
}

fn note(family: &Family, swatch: &Swatch, property: &str) -> String {
    let name = if swatch.name.is_empty() { String::new() } else { format!(" {}", string(&swatch.name)) };
    let (role, colour) = (swatch.role.word(), linear(swatch.colour));
    format!("{} {role} var(--{property}) {colour}{name}", family.id)
}

fn string(text: &str) -> String {
    let mut out = String::new();
    // Writing into a string cannot fail.
    let _ = cssparser::serialize_string(text, &mut out);
    out
}

/// `text` within a comment: on one line, and without its end.
fn comment(text: &str) -> String {
    text.replace(char::is_control, " ").replace("*/", "* /")
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::test_board::depot;
    use super::*;
    use crate::board::Role;

    #[test]
    fn a_board_comes_back_bit_by_bit() {
        let css = to_css(&depot());
        assert_eq!(from_css(&css, "other").unwrap(), depot(), "{css}");
        assert_eq!(read(&css, "").unwrap().left_out, 0);
        // Also when a tool has put it on one line.
        let one_line = css.replace('\n', " ");
        assert_eq!(from_css(&one_line, "other").unwrap(), depot());
    }

    #[test]
    fn names_are_unique_and_never_look_like_notes() {
        let mut board = depot();
        board.families[0].name = "Board".to_owned();
        board.families[1].name = "***".to_owned();
        assert_eq!(
            property_names(&board),
            [
                "surface-board-light",
                "surface-board-shadow",
                "surface-board-accent",
                "surface-board-accent-2",
                "surface-1-accent",
                "surface-1-local"
            ]
        );
        assert_eq!(from_css(&to_css(&board), "").unwrap(), board);
    }

    #[test]
    fn comments_and_strings_cannot_be_left() {
        let mut board = depot();
        board.name = "a */ } :root { --x: red; /* \\\" \n\r\u{c}\0".to_owned();
        board.families[0].name = "*/ } --y: blue; \"; }".to_owned();
        let back = from_css(&to_css(&board), "").unwrap();
        board.name = board.name.replace('\0', "\u{fffd}");
        assert_eq!(back, board);
    }

    #[test]
    fn a_colour_changed_by_hand_counts() {
        let css = to_css(&depot());
        let written = css.lines().find(|l| l.contains("--wet-yard-shadow: ")).unwrap();
        let back = from_css(&css.replace(written, "  --wet-yard-shadow: #4c3432;"), "").unwrap();
        assert_eq!(back.swatch(crate::ids::SwatchId(1)).unwrap().colour.hex(), "#4c3432");
        // A property by hand beside ours joins the family of its name.
        let back = from_css(&css.replace(written, &format!("{written}\n--wet-yard-local: tan;")), "").unwrap();
        assert_eq!(back.families[0].swatches.len(), 5);
        assert_eq!((back.families[0].swatches[4].role, back.families[0].swatches[4].id.0), (Role::Local, 10));
    }
}
