//! A board out of design tokens.

use super::json::{Json, Members, member};
use super::paths::{Resolved, Token, Tokens};
use super::{COLOUR_TYPE, KEY, value};
use crate::board::exchange::draft::{Draft, DraftSwatch, check_format};
use crate::board::exchange::names::{parse_name, role_of, words};
use crate::board::exchange::{ExchangeError, Incoming, NAMELESS};
use crate::board::file::MAX_BYTES;
use crate::board::review::Subject;
use crate::board::{Board, Distance, LightOfDay, Role};
use crate::colour::Colour;
use crate::printable::shortened;
use std::collections::HashMap;

/// Reads a board from design tokens; `name` is what it is called if they do not say.
///
/// What [`to_tokens`](super::to_tokens) wrote comes back whole. In files from elsewhere every token of type `color` is a swatch;
/// its groups are its family, and its name is read as a role (`shadow`) or kept as the swatch's own (`500`), with the role
/// guessed from value. Types are inherited from groups, references (`{group.token}`, `$ref`) are followed, all colour spaces of
/// the Color module and the plain text of older drafts are read. `$extends` is not followed.
///
/// # Errors
/// With line and column where the text is not JSON; with the token whose colour or reference is wrong; also when there is no
/// colour, the notes are of a newer format, or the board is not sound.
pub fn read(text: &str, name: &str) -> Result<Incoming, ExchangeError> {
    if text.len() as u64 > MAX_BYTES {
        return Err(ExchangeError::TooLong);
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let json: Json = serde_json::from_str(text).map_err(|e| not_json(&e))?;
    let Some(root) = json.members() else {
        let what = "design tokens are a JSON object, which begins with {; choose another file".to_owned();
        return Err(ExchangeError::Line { line: 1, what });
    };
    let tokens = Tokens::new(root);
    let mut draft = Draft::default();
    draft.left_out = tokens.strays;
    let (board, noted) = about_the_board(root, name)?;
    // Families first, as an empty one has no token that would name it.
    let mut families = HashMap::new();
    for (group, members) in tokens.groups.iter().enumerate() {
        if let Some(about) = family_note(members) {
            families.insert(group, draft.family(about.id, &about.name, about.distance));
        }
    }
    for token in &tokens.all {
        let Some((colour, alpha, value)) = colour_of(&tokens, token)? else {
            draft.left_out += 1;
            continue;
        };
        draft.made_opaque += usize::from(alpha < 1.0);
        let (family, role, own_name) = place(token, &board.name);
        let family = match families.get(&token.group) {
            Some(&family) => family,
            None => draft.family_named(&family),
        };
        let swatch = match swatch_note(token.members) {
            Some(note) => DraftSwatch {
                id: note.id,
                role: note.role.or(role),
                name: note.name,
                colour: note.exact.map_or(colour, |exact| value::refined(value, colour, exact)),
            },
            None => DraftSwatch { id: None, role, name: own_name, colour },
        };
        draft.swatch(family, swatch);
    }
    if draft.is_empty() && !noted {
        return Err(ExchangeError::NoColours);
    }
    draft.finish(board)
}

fn not_json(error: &serde_json::Error) -> ExchangeError {
    let text = error.to_string();
    // serde_json puts the line at the end of its text.
    let what = text.split(" at line ").next().unwrap_or(&text);
    let what = format!("column {}: {what}; correct it, or copy the whole file again", error.column());
    ExchangeError::Line { line: error.line().max(1), what }
}

/// The colour of a token, its alpha, and the value that says so; `None` for what cannot be a swatch.
fn colour_of<'a>(
    tokens: &'a Tokens<'a>,
    token: &'a Token<'a>,
) -> Result<Option<(Colour, f32, &'a Json)>, ExchangeError> {
    let wrong = |what| ExchangeError::Token { token: shortened(&token.path()).into_owned(), what };
    match tokens.resolve(token) {
        Resolved::Value(value, Some(COLOUR_TYPE)) => match value::read(value) {
            Ok((_, alpha)) if alpha <= 0.0 => Ok(None),
            Ok((colour, alpha)) => Ok(Some((colour, alpha, value))),
            Err(what) => Err(wrong(what)),
        },
        Resolved::Value(..) => Ok(None),
        Resolved::Dangling(target) => {
            Err(wrong(format!("it points to {}, which is not there; correct the name", shortened(&target))))
        }
        Resolved::Circular => {
            Err(wrong("what it points to points on without an end; give one of them a value".to_owned()))
        }
    }
}

/// Family, role and own name by the names of groups and token.
fn place(token: &Token<'_>, board: &str) -> (String, Option<Role>, String) {
    let said = parse_name(&words(token.name));
    let groups = token.groups.join(" ");
    let of = |family: &str| {
        let parts = [groups.as_str(), family].map(str::trim);
        let family = parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ");
        if !family.is_empty() {
            family
        } else if board.trim().is_empty() {
            NAMELESS.to_owned()
        } else {
            board.to_owned()
        }
    };
    if token.name == "$root" {
        (of(""), None, String::new())
    } else if said.role.is_some() || groups.trim().is_empty() {
        (of(&said.family), said.role, said.name)
    } else {
        (of(""), None, token.name.to_owned())
    }
}

fn note(members: &Members) -> Option<&Members> {
    member(member(members, "$extensions")?.members()?, KEY)?.members()
}

fn text_in(about: &Members, key: &str) -> String {
    member(about, key).and_then(Json::text).unwrap_or_default().to_owned()
}

fn id_in(about: &Members) -> Option<u32> {
    if let Some(Json::Whole(id)) = member(about, "id") { u32::try_from(*id).ok() } else { None }
}

/// The board without families, and whether there were notes on it.
fn about_the_board(root: &Members, name: &str) -> Result<(Board, bool), ExchangeError> {
    let Some(about) = note(root) else {
        let name = if name.trim().is_empty() { NAMELESS } else { name };
        return Ok((Board::new(name, LightOfDay::default()), false));
    };
    if let Some(format) = member(about, "format").and_then(Json::number) {
        #[expect(clippy::cast_possible_truncation, reason = "what is no small whole number is no format of ours")]
        check_format(format as u32)?;
    }
    let light = text_in(about, "light");
    let light = LightOfDay::ALL.into_iter().find(|l| l.word() == light).unwrap_or_default();
    let name = member(about, "name").and_then(Json::text).unwrap_or(name);
    let dismissed: Option<Vec<Subject>> = member(about, "dismissed").and_then(Json::read);
    let board = Board {
        date: text_in(about, "date"),
        photo: text_in(about, "photo"),
        dismissed: dismissed.unwrap_or_default(),
        ..Board::new(name, light)
    };
    Ok((board, true))
}

struct FamilyNote {
    id: Option<u32>,
    name: String,
    distance: Option<Distance>,
}

fn family_note(group: &Members) -> Option<FamilyNote> {
    let about = note(group)?;
    let id = id_in(about)?;
    let distance = text_in(about, "distance");
    let distance = Distance::ALL.into_iter().find(|d| d.word() == distance);
    Some(FamilyNote { id: Some(id), name: text_in(about, "name"), distance })
}

struct SwatchNote {
    id: Option<u32>,
    role: Option<Role>,
    name: String,
    exact: Option<Colour>,
}

fn swatch_note(token: &Members) -> Option<SwatchNote> {
    let about = note(token)?;
    let linear: Option<[f32; 3]> = member(about, "linear").and_then(Json::read);
    Some(SwatchNote {
        id: id_in(about),
        role: role_of(&text_in(about, "role")),
        name: text_in(about, "name"),
        exact: linear.map(|[r, g, b]| Colour::new(r, g, b)).filter(|c| c.is_finite()),
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn list(json: &str) -> Vec<String> {
        let board = read(json, "sheet").unwrap().board;
        let line = |(f, s): (&crate::board::Family, &crate::board::Swatch)| {
            format!("{} {} [{}] {}", f.name, s.role.word(), s.name, s.colour.hex())
        };
        board.swatches().map(line).collect()
    }

    #[test]
    fn files_from_elsewhere_are_read() {
        let json = r##"{
            "$description": "invented",
            "paint": { "$type": "color",
                "brick": { "shadow": { "$value": "#4c3432" }, "light": { "$value": "#8c6e69" },
                           "accent-2": { "$value": "{paint.brick.shadow}" } },
                "blue": { "$root": { "$value": "#4d80b3" }, "700": { "$value": "#1f3347" } },
                "size": { "$type": "dimension", "$value": { "value": 8, "unit": "px" } } },
            "wall-local": { "$ref": "#/paint/brick/light/$value" },
            "untyped": { "$value": "#ffffff" },
            "lost": { "$type": "dimension", "$value": "{nowhere}" },
            "veil": { "$type": "color", "$value": "#ff000000" },
            "stray": 3
        }"##;
        assert_eq!(
            list(json),
            [
                "paint brick shadow [] #4c3432",
                "paint brick light [] #8c6e69",
                "paint brick accent [] #4c3432",
                "paint blue light [] #4d80b3",
                "paint blue shadow [700] #1f3347",
                "wall local [] #8c6e69",
            ]
        );
        let incoming = read(json, "sheet").unwrap();
        assert_eq!((incoming.left_out, incoming.board.name.as_str()), (5, "sheet"));
    }

    #[test]
    fn faults_are_told_with_their_place() {
        for (json, words) in [
            ("", "line 1: column 0: EOF"),
            ("{\n\"a\": }", "line 2: column 6: expected value"),
            ("[]", "which begins with {"),
            ("{\"a\": {\"$type\": \"color\", \"$value\": \"#12\"}}", "the token a: \"#12\" is no colour"),
            ("{\"a\": {\"b\": {\"$type\": \"color\", \"$value\": \"{c.d}\"}}}", "the token a.b: it points to c.d"),
            ("{\"a\": {\"$value\": \"{b}\"}, \"b\": {\"$value\": \"{a}\"}}", "points on without an end"),
            ("{\"a\": {\"$type\": \"number\", \"$value\": 3}}", "holds no colours"),
            ("{\"$extensions\": {\"stint\": {\"format\": 9}}}", "newer Stint (format 9"),
            ("{\"f\": {\"$extensions\": {\"stint\": {\"id\": 1, \"name\": \"\"}}}}", "has no name"),
        ] {
            let error = read(json, "").unwrap_err().to_string();
            assert!(error.contains(words), "{json}: {error}");
        }
        // Found by the fuzzer: whatever is quoted stays short.
        let long = "yard".repeat(2000);
        for json in [
            format!("{{\"{long}\": {{\"$type\": \"color\", \"$value\": \"{{{long}}}\"}}}}"),
            format!("{{\"a\": {{\"$ref\": \"#/{long}\"}}}}"),
            format!("{{\"a\": {{\"$type\": \"color\", \"$value\": \"{long}\"}}}}"),
            format!("{{\"a\": {{\"$type\": \"color\", \"$value\": {{\"colorSpace\": \"{long}\"}}}}}}"),
        ] {
            let error = read(&json, "").unwrap_err().to_string();
            assert!(error.contains("yard…") && error.len() < 400, "{json:.60}: {error}");
        }
        let deep = "{\"a\":".repeat(1_000_000);
        assert!(read(&deep, "").unwrap_err().to_string().contains("recursion limit"));
        assert_eq!(read(&" ".repeat(17 << 20), "").unwrap_err(), ExchangeError::TooLong);
    }
}
