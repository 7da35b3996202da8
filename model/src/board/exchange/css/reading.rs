//! A board out of a style sheet.

use super::declarations::{Declaration, declarations};
use super::notes::{self, SwatchNote};
use crate::board::exchange::draft::{Draft, DraftSwatch, check_format};
use crate::board::exchange::names::{parse_name, words};
use crate::board::exchange::notation::{Fault, parse, refined};
use crate::board::exchange::{ExchangeError, Incoming, NAMELESS};
use crate::board::file::MAX_BYTES;
use crate::board::{Board, LightOfDay};
use crate::colour::Colour;
use crate::printable::shortened;
use std::collections::{HashMap, HashSet};

/// Functions with which a colour begins (CSS Color 4).
const FUNCTIONS: [&str; 10] = ["rgb", "rgba", "hsl", "hsla", "hwb", "lab", "lch", "oklab", "oklch", "color"];
/// Most steps from one `var()` to the next that are followed.
const MAX_STEPS: usize = 64;
/// What only a page can work out.
const COMPUTED: [&str; 5] = ["var(", "calc(", "env(", "from ", "attr("];

/// Reads a board from CSS; `name` is what it is called if the CSS does not say.
///
/// With the notes of [`to_css`](super::to_css) the board comes back whole. Without them every custom property whose value is
/// a colour of CSS Color 4, or `var()` of one, is a swatch: `--wet-yard-shadow` is the shadow of *wet yard*, `--blue-500` a
/// swatch *500* of *blue*, whose role is guessed from its value. `--board-light: cool` and `--board-name: "…"` are heard in
/// any case. Of several values of one property, as for a light and a dark theme, the first block's counts.
///
/// # Errors
/// With its line: a value that begins like a colour and is none, a block without end, a note that is not understood. Also
/// when there is no colour at all, the notes are of a newer format, or the board is not sound.
pub fn read(text: &str, name: &str) -> Result<Incoming, ExchangeError> {
    if text.len() as u64 > MAX_BYTES {
        return Err(ExchangeError::TooLong);
    }
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut draft = Draft::default();
    let sheet = Sheet::new(declarations(text)?, &mut draft);
    let format = sheet.get("board-format").and_then(|d| notes::format(d.value));
    format.map_or(Ok(()), check_format)?;
    let mut reading =
        Reading { sheet: &sheet, draft, board: Board::new(name, LightOfDay::default()), done: HashSet::new() };
    reading.about_the_board(format.is_some())?;
    if format.is_some() {
        reading.noted()?;
    }
    reading.others()?;
    let Reading { draft, mut board, .. } = reading;
    if draft.is_empty() && format.is_none() {
        return Err(ExchangeError::NoColours);
    }
    if board.name.trim().is_empty() && sheet.get("board-name").is_none() {
        board.name = NAMELESS.to_owned();
    }
    draft.finish(board)
}

/// Every property once.
struct Sheet<'i> {
    properties: Vec<Declaration<'i>>,
    by_name: HashMap<String, usize>,
}

impl<'i> Sheet<'i> {
    fn new(declarations: Vec<Declaration<'i>>, draft: &mut Draft) -> Self {
        let mut sheet = Sheet { properties: Vec::new(), by_name: HashMap::new() };
        for declaration in declarations {
            match sheet.by_name.get(&declaration.name) {
                None => {
                    sheet.by_name.insert(declaration.name.clone(), sheet.properties.len());
                    sheet.properties.push(declaration);
                }
                // Within a block the later one wins (CSS Cascade 4, order of appearance).
                Some(&at) if sheet.properties[at].block == declaration.block => sheet.properties[at] = declaration,
                Some(_) => draft.left_out += 1,
            }
        }
        sheet
    }

    fn get(&self, name: &str) -> Option<&Declaration<'i>> {
        self.by_name.get(name).map(|&at| &self.properties[at])
    }

    /// The colour of a property and its alpha; `None` when it has none or only a page can say which.
    fn colour(&self, property: &Declaration<'i>) -> Result<Option<(Colour, f32)>, ExchangeError> {
        let (mut property, mut steps) = (property, 0);
        while let Some(name) = notes::reference(property.value) {
            match self.get(&name) {
                // Also what goes round in a circle ends here.
                Some(next) if steps < MAX_STEPS => property = next,
                _ => return Ok(None),
            }
            steps += 1;
        }
        match parse(property.value) {
            Ok(found) => Ok(Some(found)),
            Err(fault) if is_meant_as_colour(property.value) => {
                let why = match fault {
                    Fault::Syntax(why) => why.to_string(),
                    Fault::NotFinite => "a number in it is too large".to_owned(),
                };
                let what = format!(
                    "--{} is no colour ({why}); write it as #rrggbb or in another way of CSS Color 4, or remove it",
                    shortened(&property.name)
                );
                Err(ExchangeError::Line { line: property.line, what })
            }
            Err(_) => Ok(None),
        }
    }
}

fn is_meant_as_colour(value: &str) -> bool {
    let lower = value.to_ascii_lowercase();
    let function = lower.split_once('(').is_some_and(|(name, _)| FUNCTIONS.contains(&name));
    value.starts_with('#') || (function && !COMPUTED.iter().any(|sign| lower.contains(sign)))
}

struct Reading<'a, 'i> {
    sheet: &'a Sheet<'i>,
    draft: Draft,
    board: Board,
    /// Properties that are accounted for.
    done: HashSet<&'a str>,
}

impl<'a, 'i> Reading<'a, 'i> {
    /// Name, light, date, photo. `strict` when notes must be right; else what is no such note may be a colour.
    fn about_the_board(&mut self, strict: bool) -> Result<(), ExchangeError> {
        let understood = |property: &Declaration<'_>, heard: bool| match heard {
            false if strict => Err(not_understood(property)),
            heard => Ok(heard),
        };
        if let Some(property) = self.sheet.get("board-light") {
            let light = notes::light(property.value);
            if understood(property, light.is_some())? {
                self.board.light = light.unwrap_or_default();
                self.done.insert(&property.name);
            }
        }
        let Board { name, date, photo, .. } = &mut self.board;
        for (key, field) in [("board-name", name), ("board-date", date), ("board-photo", photo)] {
            let Some(property) = self.sheet.get(key) else { continue };
            let text = notes::text(property.value);
            if understood(property, text.is_some())? {
                *field = text.unwrap_or_default();
                self.done.insert(&property.name);
            }
        }
        Ok(())
    }

    /// Families, swatches and dismissed remarks that have notes.
    fn noted(&mut self) -> Result<(), ExchangeError> {
        let sheet = self.sheet;
        let numbered = |prefix: &'static str| {
            let of = move |p: &'a Declaration<'i>| Some((p.name.strip_prefix(prefix)?.parse::<u32>().ok()?, p));
            sheet.properties.iter().filter_map(of)
        };
        let mut families = HashMap::new();
        for (id, property) in numbered("board-family-") {
            let (name, distance) = notes::family(property.value).ok_or_else(|| not_understood(property))?;
            families.insert(id, self.draft.family(Some(id), &name, distance));
            self.done.insert(&property.name);
        }
        for (id, property) in numbered("board-swatch-") {
            let note = notes::swatch(property.value).ok_or_else(|| not_understood(property))?;
            let SwatchNote { family, role, property: colour_name, exact, name } = note;
            let wrong = |what| ExchangeError::Line { line: property.line, what };
            let Some(&place) = families.get(&family) else {
                return Err(wrong(format!("there is no --board-family-{family} for this swatch; put it back")));
            };
            let colour = sheet.get(&colour_name).map(|p| sheet.colour(p).map(|found| (p, found))).transpose()?;
            let Some((colour_property, Some((written, _)))) = colour else {
                return Err(wrong(format!(
                    "there is no colour --{} for this swatch; put it back, or remove this line",
                    shortened(&colour_name)
                )));
            };
            let swatch = DraftSwatch { id: Some(id), role: Some(role), name, colour: refined(written, exact) };
            self.draft.swatch(place, swatch);
            self.done.extend([property.name.as_str(), colour_property.name.as_str()]);
        }
        for (_, property) in numbered("board-dismissed-") {
            self.board.dismissed.push(notes::subject(property.value).ok_or_else(|| not_understood(property))?);
            self.done.insert(&property.name);
        }
        self.done.insert("board-format");
        Ok(())
    }

    /// Every colour that nothing was noted about.
    fn others(&mut self) -> Result<(), ExchangeError> {
        for property in self.sheet.properties.iter().filter(|p| !self.done.contains(p.name.as_str())) {
            let (colour, alpha) = match self.sheet.colour(property)? {
                Some((_, alpha)) if alpha <= 0.0 => {
                    self.draft.left_out += 1;
                    continue;
                }
                Some(found) => found,
                None => {
                    self.draft.left_out += 1;
                    continue;
                }
            };
            self.draft.made_opaque += usize::from(alpha < 1.0);
            let parts = parse_name(&words(&property.name));
            let family = if !parts.family.is_empty() {
                parts.family
            } else if !self.board.name.trim().is_empty() {
                self.board.name.clone()
            } else {
                NAMELESS.to_owned()
            };
            let family = self.draft.family_named(&family);
            self.draft.swatch(family, DraftSwatch { id: None, role: parts.role, name: parts.name, colour });
        }
        Ok(())
    }
}

fn not_understood(property: &Declaration<'_>) -> ExchangeError {
    let name = shortened(&property.name);
    let what = format!("the note --{name} is not understood; write the board out again, or remove the note");
    ExchangeError::Line { line: property.line, what }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::board::Role;

    fn one(css: &str) -> Vec<(String, Role, String, String)> {
        let board = read(css, "sheet").unwrap().board;
        board.swatches().map(|(f, s)| (f.name.clone(), s.role, s.name.clone(), s.colour.hex())).collect()
    }

    #[test]
    fn a_sheet_by_hand_is_read() {
        let css = "--board-light: warm;\n--brick-shadow: #4c3432;\n--brick-light: rgb(140, 110 ,105);\n--gap: 8px;\n\
                   --ink: var(--brick-shadow);\n--blue-500: hsl(210 40% 50%); --blue-700: hsl(210 40% 20%);";
        let incoming = read(css, "sheet").unwrap();
        assert_eq!((incoming.board.light, incoming.left_out), (LightOfDay::Warm, 1));
        assert_eq!(incoming.board.name, "sheet");
        let is = |f: &str, r, n: &str, h: &str| (f.to_owned(), r, n.to_owned(), h.to_owned());
        assert_eq!(
            one(css),
            [
                is("brick", Role::Shadow, "", "#4c3432"),
                is("brick", Role::Light, "", "#8c6e69"),
                is("ink", Role::Local, "", "#4c3432"),
                is("blue", Role::Light, "500", "#4d80b3"),
                is("blue", Role::Shadow, "700", "#1f3347"),
            ]
        );
    }

    #[test]
    fn themes_and_transparent_colours() {
        let css = ":root { --a: red; --a: blue; --b: #ff000080; --c: transparent }\n.dark { --a: green; --d: tan }";
        let incoming = read(css, "").unwrap();
        assert_eq!((incoming.left_out, incoming.made_opaque, incoming.board.name.as_str()), (2, 1, "board"));
        let found: Vec<_> = one(css).into_iter().map(|(family, _, _, hex)| family + &hex).collect();
        assert_eq!(found, ["a#0000ff", "b#ff0000", "d#d2b48c"]);
    }

    #[test]
    fn what_only_a_page_can_work_out_is_left_out() {
        let css = "--a: red; --b: color-mix(in oklab, red, blue); --c: rgb(from var(--a) r g b); --d: var(--e); --e: \
                   var(--d); --f: oklch(calc(0.2 + 0.1) 0.1 20); --g: currentcolor; --h: ; --i: light-dark(red, blue)";
        let incoming = read(css, "").unwrap();
        assert_eq!((incoming.board.swatches().count(), incoming.left_out), (1, 8));
    }

    #[test]
    fn faults_have_a_line() {
        for (css, line, words) in [
            ("\n--a: #12345;", 2, "--a is no colour (wrong number of hex digits)"),
            ("--b: red;\n\n--a: oklch(0.5 0.1);", 3, "--a is no colour"),
            ("--a: color(srgb-linear 1e999 0 0)", 1, "too large"),
            ("--board-format: 1;\n--board-light: blue;", 2, "--board-light is not understood"),
            ("--board-format: 1;\n--board-swatch-1: 1 local var(--x) 0 0 0;", 2, "no --board-family-1"),
            (
                "--board-format: 1; --board-family-1: \"a\";\n--board-swatch-1: 1 local var(--x) 0 0 0;",
                2,
                "no colour --x",
            ),
            (":root {\n--a: red;", 1, "has no end"),
        ] {
            let error = read(css, "").unwrap_err().to_string();
            assert!(error.starts_with(&format!("line {line}: ")) && error.contains(words), "{css}: {error}");
        }
        // Whatever is quoted stays short.
        let long = "yard".repeat(2000);
        let notes = "--board-format: 1; --board-family-1: \"a\";";
        for css in [format!("--{long}: #12345;"), format!("{notes} --board-swatch-1: 1 local var(--{long}) 0 0 0;")] {
            let error = read(&css, "").unwrap_err().to_string();
            assert!(error.len() < 300, "{css:.60}: {error:.400}");
        }
        assert_eq!(read("a { color: red }", "").unwrap_err(), ExchangeError::NoColours);
        assert_eq!(read("", "").unwrap_err(), ExchangeError::NoColours);
        assert!(matches!(read("--board-format: 2;", "").unwrap_err(), ExchangeError::Newer { found: 2, .. }));
        let family = "--board-format: 1; --board-family-1: \" \";";
        assert!(read(family, "").unwrap_err().to_string().contains("has no name"));
    }
}
