//! Design tokens: JSON of the Design Tokens Community Group, Format and Color modules 2025.10 (the rules from memory).
//!
//! A family is a group, a swatch a token of type `color` in `oklch`, with `hex` for whoever knows no other space. What the
//! format has no place for stands under `$extensions` with the key `stint`, which other tools must keep and need not
//! understand: the board's name and light, each family's id, name and distance, each swatch's id, role, name and exact colour
//! in linear sRGB. When `$value` has been changed by hand, it counts, and the exact colour does not.

mod json;
mod paths;
mod reading;
mod value;

pub use reading::read;

use super::names::{UniqueNames, token_name};
use super::{ExchangeError, FORMAT};
use crate::board::{Board, Family, Swatch};
use json::{Json, object};

/// Our key under `$extensions`.
const KEY: &str = "stint";
/// The only type of token that is a swatch.
const COLOUR_TYPE: &str = "color";

/// The design tokens of a board, which must be sound ([`check`](crate::board::check::check)): JSON with a line end at the end.
///
/// A lightness outside 0-1, which the format does not allow, is held to that range in `$value`.
pub fn to_tokens(board: &Board) -> String {
    let mut root = vec![
        ("$description".to_owned(), Json::from(board.name.as_str())),
        ("$extensions".to_owned(), object([(KEY, about_board(board))])),
    ];
    let mut names_given = UniqueNames::default();
    for family in &board.families {
        let name = match token_name(&family.name) {
            name if name.is_empty() => format!("family {}", family.id),
            name => name,
        };
        root.push((names_given.unique(&name, " "), group(family)));
    }
    Json::Object(root).pretty()
}

/// Reads a board from design tokens. `name` is what it is called if the tokens do not say. See [`read`], which also tells what
/// was left out.
///
/// # Errors
/// As [`read`].
pub fn from_tokens(text: &str, name: &str) -> Result<Board, ExchangeError> {
    Ok(read(text, name)?.board)
}

fn about_board(board: &Board) -> Json {
    let mut about = vec![
        ("format".to_owned(), Json::from(FORMAT)),
        ("name".to_owned(), Json::from(board.name.as_str())),
        ("light".to_owned(), Json::from(board.light.word())),
    ];
    for (key, text) in [("date", &board.date), ("photo", &board.photo)] {
        if !text.is_empty() {
            about.push((key.to_owned(), Json::from(text.as_str())));
        }
    }
    if !board.dismissed.is_empty() {
        about.push(("dismissed".to_owned(), Json::of(&board.dismissed)));
    }
    Json::Object(about)
}

fn group(family: &Family) -> Json {
    let mut about =
        vec![("id".to_owned(), Json::from(family.id.0)), ("name".to_owned(), Json::from(family.name.as_str()))];
    if let Some(distance) = family.distance {
        about.push(("distance".to_owned(), Json::from(distance.word())));
    }
    let mut group = vec![("$extensions".to_owned(), object([(KEY, Json::Object(about))]))];
    let mut names_given = UniqueNames::default();
    for swatch in &family.swatches {
        group.push((names_given.unique(swatch.role.word(), " "), token(swatch)));
    }
    Json::Object(group)
}

fn token(swatch: &Swatch) -> Json {
    let colour = swatch.colour;
    let mut token = vec![("$type".to_owned(), Json::from(COLOUR_TYPE)), ("$value".to_owned(), value::written(colour))];
    let mut about =
        vec![("id".to_owned(), Json::from(swatch.id.0)), ("role".to_owned(), Json::from(swatch.role.word()))];
    if !swatch.name.is_empty() {
        token.push(("$description".to_owned(), Json::from(swatch.name.as_str())));
        about.push(("name".to_owned(), Json::from(swatch.name.as_str())));
    }
    about.push(("linear".to_owned(), Json::List([colour.r, colour.g, colour.b].map(Json::from).to_vec())));
    token.push(("$extensions".to_owned(), object([(KEY, Json::Object(about))])));
    Json::Object(token)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::test_board::depot;
    use super::*;

    #[test]
    fn a_board_comes_back_bit_by_bit() {
        let text = to_tokens(&depot());
        assert_eq!(from_tokens(&text, "other").unwrap(), depot(), "{text}");
        let incoming = read(&text, "").unwrap();
        assert_eq!((incoming.left_out, incoming.made_opaque), (0, 0));
    }

    #[test]
    fn names_keep_to_the_rules_and_come_back() {
        let mut board = depot();
        for (family, name) in board.families.iter_mut().zip(["$a.b", "a-b", "$"]) {
            family.name = name.to_owned();
        }
        let text = to_tokens(&board);
        for name in ["\"a-b\": {", "\"a-b 2\": {", "\"family 2\": {", "\"accent 2\": {"] {
            assert!(text.contains(name), "{text}");
        }
        assert_eq!(from_tokens(&text, "").unwrap(), board);
    }

    #[test]
    fn a_value_changed_by_hand_counts() {
        let text = to_tokens(&depot());
        let at = text.find("\"$value\"").unwrap();
        let end = at + text[at..].find('}').unwrap() + 1;
        let edited = format!("{}\"$value\": \"#4c3432\"{}", &text[..at], &text[end..]);
        let back = from_tokens(&edited, "").unwrap();
        assert_eq!(back.families[0].swatches[0].colour.hex(), "#4c3432");
        assert_eq!(back.families[0].swatches[1], depot().families[0].swatches[1]);
    }
}
