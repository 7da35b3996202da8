//! What a file is, by its content and not its name: the one place where the program decides that.

use std::io::{self, Read};
use std::path::{Path, PathBuf};
use stint_model::disk;
use stint_model::picture::{PictureError, is_png, read_attached};

/// First bytes of every SQLite 3 database (SQLite file format, section 1.3.1).
const DATABASE: &[u8] = b"SQLite format 3\0";
/// How much of a file is looked at to tell what it is, bytes.
const HEAD: u64 = 4096;

/// What a file is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum FileKind {
    /// A study, or another database; opening it tells.
    Study,
    /// A PNG that carries a board.
    Picture,
    /// Our own text.
    Ron,
    /// A style sheet, or declarations without a rule.
    Css,
    /// JSON.
    Tokens,
    /// An SVG, which is only to look at.
    Card,
    /// Anything else: perhaps a photo.
    Other,
}

/// Why it cannot be told what a file is.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum KindError {
    /// The file cannot be read.
    #[error("{} cannot be read ({source}); check the name", path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A PNG that is cut short, or whose board is damaged.
    #[error(transparent)]
    Picture(#[from] PictureError),
}

/// What a file is, by its content; text that could be more than one thing by its name.
///
/// # Errors
/// When it cannot be read, or is a PNG that is cut short or whose board is damaged.
pub fn kind_of(path: &Path) -> Result<FileKind, KindError> {
    let read = |source| KindError::Read { path: path.to_owned(), source };
    // Opening a pipe would wait for somebody to write into it. Whoever reads it as a photo says what it is.
    let told = disk::metadata(path).map_err(read)?;
    if !told.is_file() && !told.is_dir() {
        return Ok(FileKind::Other);
    }
    let mut head = Vec::new();
    disk::open(path).map_err(read)?.take(HEAD).read_to_end(&mut head).map_err(read)?;
    let name = path.to_string_lossy().to_lowercase();
    if head.starts_with(DATABASE) || name.ends_with(".stint") {
        return Ok(FileKind::Study);
    }
    if is_png(&head) {
        return match read_attached(path) {
            Ok(_) => Ok(FileKind::Picture),
            Err(PictureError::NoBoard { .. }) => Ok(FileKind::Other),
            Err(error) => Err(error.into()),
        };
    }
    Ok(text_kind(&head, &name))
}

fn text_kind(head: &[u8], name: &str) -> FileKind {
    let is = |ending: &str| name.ends_with(ending);
    if is(".ron") {
        return FileKind::Ron;
    }
    // The head may end within a letter.
    let text = match std::str::from_utf8(head) {
        Ok(text) => text,
        Err(error) if error.error_len().is_none() => {
            std::str::from_utf8(&head[..error.valid_up_to()]).unwrap_or_default()
        }
        Err(_) => "",
    };
    let text = text.trim_start_matches('\u{feff}').trim_start();
    let behind = |start: &str| text.strip_prefix(start).map(str::trim_start);
    // An object of JSON begins with a name; a rule of CSS never begins with a bracket.
    if behind("{").is_some_and(|rest| rest.is_empty() || rest.starts_with(['"', '}'])) {
        FileKind::Tokens
    } else if behind("(").is_some() || behind("Board").is_some_and(|rest| rest.starts_with('(')) {
        FileKind::Ron
    } else if is(".json") || is(".tokens") {
        FileKind::Tokens
    } else if is(".css") {
        FileKind::Css
    } else if is(".svg") || text.starts_with("<svg") {
        FileKind::Card
    } else if declares_property(text) {
        FileKind::Css
    } else {
        FileKind::Other
    }
}

/// Whether there is something like `--brick-shadow:` in a text.
fn declares_property(text: &str) -> bool {
    text.match_indices("--").any(|(at, _)| {
        let rest = &text[at + 2..];
        let end = rest.find(|c: char| c.is_whitespace() || matches!(c, ':' | ';' | '{' | '}'));
        end.is_some_and(|end| end > 0 && rest[end..].trim_start().starts_with(':'))
    })
}

/// The form in which something is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum OutputForm {
    /// Our own text.
    Ron,
    /// A style sheet.
    Css,
    /// Design tokens, in JSON.
    Tokens,
    /// A card to look at, in SVG.
    Svg,
    /// A PNG with the board inside: an exported study, or a card.
    Png,
}

/// The form that the ending of a name asks for.
pub fn form_of(path: &Path) -> Option<OutputForm> {
    let name = path.to_string_lossy().to_lowercase();
    let forms = [
        (".ron", OutputForm::Ron),
        (".css", OutputForm::Css),
        (".json", OutputForm::Tokens),
        (".tokens", OutputForm::Tokens),
        (".svg", OutputForm::Svg),
        (".png", OutputForm::Png),
    ];
    forms.into_iter().find(|(ending, _)| name.ends_with(ending)).map(|(_, form)| form)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_told_by_what_is_in_it() {
        use FileKind::{Card, Css, Other, Ron, Tokens};
        for (text, name, kind) in [
            ("{\"a\": 1}", "a.css", Tokens),
            (" \n{ \"a\": 1}", "a.txt", Tokens),
            ("[1]", "a.json", Tokens),
            ("(format: 2,", "a.txt", Ron),
            ("Board (", "a", Ron),
            ("", "a.board.ron", Ron),
            ("{", "a.board.ron", Ron),
            (":root { --a: red }", "a.txt", Css),
            ("--wet-yard-shadow : red", "a", Css),
            ("body { color: red }", "a.css", Css),
            ("\u{feff}--門: red", "a", Css),
            ("<svg xmlns", "a", Card),
            ("<?xml", "a.svg", Card),
            ("a -- b: c", "a.txt", Other),
            ("hello", "a.jpg", Other),
            ("", "a", Other),
        ] {
            assert_eq!(text_kind(text.as_bytes(), name), kind, "{text:?} {name}");
        }
        assert_eq!(text_kind(b"\xff\xd8--a:", "a.jpg"), Other);
        assert_eq!(text_kind(b"--a: red; \xe9\x9b", "a"), Css);
    }
}
