//! In which line of a board's text a family or swatch begins, for messages about text that reads well but says
//! something wrong.

use super::check::BoardPlace;

/// The line, counted from 1, in which the family or swatch at `place` begins in `text`, the RON of a board that has
/// been read without a fault.
pub(super) fn line_of(text: &str, place: &BoardPlace) -> Option<usize> {
    // Brackets around a family: board `(`, families `[`. Around a swatch also: family `(`, swatches `[`.
    let (depth, family, swatch) = match place {
        BoardPlace::Family { family, .. } => (2, *family, None),
        BoardPlace::Swatch { family, swatch, .. } => (4, *family, Some(*swatch)),
    };
    let (mut families, mut swatches) = (0, 0);
    for opening in openings(text) {
        if opening.depth == 2 {
            (families, swatches) = (families + 1, 0);
        } else if opening.depth == 4 {
            swatches += 1;
        }
        if opening.depth == depth && families == family + 1 && swatch.is_none_or(|s| swatches == s + 1) {
            let before = text.as_bytes().iter().take(opening.at);
            return Some(1 + before.filter(|&&b| b == b'\n').count());
        }
    }
    None
}

struct Opening {
    /// Byte offset.
    at: usize,
    /// Brackets that are open around it.
    depth: usize,
}

/// All `(` that are neither in a comment nor in a string.
fn openings(text: &str) -> Vec<Opening> {
    let (mut found, mut depth, mut at) = (Vec::new(), 0usize, 0);
    while let Some(byte) = text.as_bytes().get(at) {
        let rest = &text.as_bytes()[at..];
        match byte {
            b'(' => {
                found.push(Opening { at, depth });
                depth += 1;
            }
            b'[' => depth += 1,
            b')' | b']' => depth = depth.saturating_sub(1),
            _ => {}
        }
        at += match byte {
            b'/' if rest.starts_with(b"//") => rest.iter().position(|&b| b == b'\n').unwrap_or(rest.len()),
            b'/' if rest.starts_with(b"/*") => block_comment_length(rest),
            b'"' => string_length(rest),
            b'r' => raw_string_length(rest).unwrap_or(1),
            _ => 1,
        };
    }
    found
}

/// Block comments nest.
fn block_comment_length(text: &[u8]) -> usize {
    let (mut at, mut depth) = (0, 0);
    while at < text.len() {
        let rest = &text[at..];
        let step = if rest.starts_with(b"/*") {
            1
        } else if rest.starts_with(b"*/") {
            -1
        } else {
            0
        };
        depth += step;
        at += if step == 0 { 1 } else { 2 };
        if depth == 0 {
            break;
        }
    }
    at
}

fn string_length(text: &[u8]) -> usize {
    let mut at = 1;
    while let Some(&byte) = text.get(at) {
        match byte {
            b'"' => return at + 1,
            b'\\' => at += 2,
            _ => at += 1,
        }
    }
    text.len()
}

/// `r"…"`, `r#"…"#` and so on.
fn raw_string_length(text: &[u8]) -> Option<usize> {
    let hashes = text.iter().skip(1).take_while(|&&b| b == b'#').count();
    let body = 1 + hashes + 1;
    if text.get(body - 1) != Some(&b'"') {
        return None;
    }
    let end = [b"\"".as_slice(), &b"#".repeat(hashes)].concat();
    let inside = text.get(body..)?.windows(end.len()).position(|w| w == end)?;
    Some(body + inside + end.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = r##"// A board ( with [ a comment
Board(format: 1, name: "brackets ( [ \" (", light: Cool, /* ( /* [ */ ( */ families: [
    (id: 1, name: r#"raw " ( "#, swatches: [
        (id: 1, role: Local, colour: (0.1, 0.1, 0.1)),

        (id: 2, role: Light, colour: (0.2, 0.2, 0.2)),
    ]), (
        id: 2, name: "empty", swatches: []),
    (id: 3,
     name: "last", swatches: [(id: 3, role: Shadow,
        colour: (0.1, 0.1, 0.1))]),
])"##;

    fn family(family: usize) -> Option<usize> {
        line_of(TEXT, &BoardPlace::Family { family, name: String::new() })
    }

    fn swatch(family: usize, swatch: usize) -> Option<usize> {
        line_of(TEXT, &BoardPlace::Swatch { family, family_name: String::new(), swatch, name: String::new() })
    }

    #[test]
    fn finds_families_and_swatches() {
        assert_eq!([family(0), family(1), family(2), family(3)], [Some(3), Some(7), Some(9), None]);
        assert_eq!([swatch(0, 0), swatch(0, 1), swatch(0, 2)], [Some(4), Some(6), None]);
        assert_eq!([swatch(1, 0), swatch(2, 0)], [None, Some(10)]);
    }

    #[test]
    fn text_that_ends_early_is_no_trouble() {
        for end in (0..TEXT.len()).filter(|&i| TEXT.is_char_boundary(i)) {
            openings(&TEXT[..end]);
        }
    }
}
