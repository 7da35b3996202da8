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

/// Names that a message lists before it counts the others.
const MAX_LISTED: usize = 8;
/// Characters of a name that a message gives before it cuts it short.
const MAX_LISTED_LETTERS: usize = 60;

/// A name for a message: its first characters and "…" where it is very long.
pub fn shortened(name: &str) -> Cow<'_, str> {
    match name.char_indices().nth(MAX_LISTED_LETTERS) {
        Some((end, _)) => Cow::Owned(format!("{}…", &name[..end])),
        None => Cow::Borrowed(name),
    }
}

/// Names one after the other for a message, which stays short however many there are: "brick, sky, and 40 more".
pub fn listed<S: AsRef<str>>(names: &[S]) -> String {
    let told: Vec<_> = names.iter().take(MAX_LISTED).map(|name| shortened(name.as_ref())).collect();
    let mut text = told.join(", ");
    if names.len() > MAX_LISTED {
        text.push_str(&format!(", and {} more", names.len() - MAX_LISTED));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::{listed, printable, shortened};

    #[test]
    fn a_list_stays_short_however_long_it_is() {
        assert_eq!(listed(&["brick", "sky"]), "brick, sky");
        assert_eq!(listed::<&str>(&[]), "");
        let many: Vec<String> = (0..10_000).map(|i| format!("surface {i} {}", "夜".repeat(500))).collect();
        let text = listed(&many);
        assert!(text.chars().count() < 600 && text.ends_with("…, and 9992 more"), "{text}");
        assert_eq!(shortened("wet yard"), "wet yard");
    }

    #[test]
    fn control_characters_are_written_out_and_scripts_stay() {
        assert_eq!(printable("Straßenbahn 夜.jpg"), "Straßenbahn 夜.jpg");
        assert_eq!(printable("a\u{1b}[2Jb\nc\u{9b}d\u{202e}gpj"), "a\\u{1b}[2Jb\\nc\\u{9b}d\\u{202e}gpj");
    }
}
