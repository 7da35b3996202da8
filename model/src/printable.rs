//! Text from outside (a file's name, say) made fit for a line on a terminal.

use std::borrow::Cow;

/// The text with every control character written out (`\u{1b}`, `\n`), so that printing it can neither move the cursor of a
/// terminal nor begin a line of its own. Other characters of any script stay as they are. Control characters are those
/// of Unicode's general category Cc; marks that turn the direction of writing (U+202A to U+202E, U+2066 to U+2069) are
/// written out too, since they make a name read as another one.
pub fn printable(text: &str) -> Cow<'_, str> {
    let unfit = |c: char| c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    if !text.contains(unfit) {
        return Cow::Borrowed(text);
    }
    let mut line = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if unfit(c) { line.extend(c.escape_default()) } else { line.push(c) }
    }
    Cow::Owned(line)
}

#[cfg(test)]
mod tests {
    use super::printable;

    #[test]
    fn control_characters_are_written_out_and_scripts_stay() {
        assert_eq!(printable("Straßenbahn 夜.jpg"), "Straßenbahn 夜.jpg");
        assert_eq!(printable("a\u{1b}[2Jb\nc\u{9b}d\u{202e}gpj"), "a\\u{1b}[2Jb\\nc\\u{9b}d\\u{202e}gpj");
    }
}
