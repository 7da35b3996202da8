//! Text of a card: cut to its room, and safe within XML.

use unicode_width::UnicodeWidthChar;

/// Width of a narrow letter, as a fraction of the size: a little more than the mean of Figtree and of the usual sans serifs, so
/// that a line of mixed letters fits.
const NARROW: f32 = 0.58;
/// Width of a wide letter (Unicode Standard Annex 11), as a fraction of the size.
const WIDE: f32 = 1.0;

/// `text` on one line, with an ellipsis at the end when its counted width is more than `room`.
pub(super) fn clipped(text: &str, size: u32, room: u32) -> String {
    let line = text.replace(|c: char| c.is_control() || c.is_whitespace(), " ");
    let line = line.trim();
    let room = room as f32 / size as f32;
    if line.chars().map(width).sum::<f32>() <= room {
        return line.to_owned();
    }
    let mut used = width('…');
    let kept = line.char_indices().take_while(|(_, c)| {
        used += width(*c);
        used <= room
    });
    let end = kept.last().map_or(0, |(at, c)| at + c.len_utf8());
    format!("{}…", line[..end].trim_end())
}

/// Counted width of a letter at size 1. Marks that stand on the letter before them have none.
fn width(c: char) -> f32 {
    match c.width() {
        None | Some(0) => 0.0,
        Some(1) => NARROW,
        Some(_) => WIDE,
    }
}

/// `text` as XML 1.0 character data or within quotes. Characters that XML cannot hold become U+FFFD.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if c.is_control() => out.push('\u{fffd}'),
            // XML 1.0, production 2.
            ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'.. => out.push(c),
            _ => out.push('\u{fffd}'),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_names_are_cut_with_an_ellipsis() {
        assert_eq!(clipped("brick", 12, 128), "brick");
        assert_eq!(clipped("a very long name indeed, of a wall", 12, 128), "a very long name…");
        // Wide letters take more room, marks none.
        assert_eq!(clipped("電車庫電車庫電車庫電車庫", 12, 128), "電車庫電車庫電車庫電…");
        assert_eq!(clipped(&"e\u{301}".repeat(18), 12, 128), "e\u{301}".repeat(18));
        assert_eq!(clipped("a\nb\tc\0 ", 12, 128), "a b c");
        assert_eq!(clipped("abc", 12, 1), "…");
    }

    #[test]
    fn nothing_leaves_the_text() {
        assert_eq!(escaped("</a>&\"'\u{0}\u{b}\u{ffff}é電"), "&lt;/a&gt;&amp;&quot;&#39;\u{fffd}\u{fffd}\u{fffd}é電");
    }
}
