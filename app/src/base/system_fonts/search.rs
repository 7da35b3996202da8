//! The search through the fonts of the system.

use super::SystemFont;
use resvg::usvg::fontdb::{Database, FaceInfo, ID, Style};
use skrifa::raw::FontRef;
use skrifa::{GlyphId, MetadataProvider};
use std::collections::BTreeSet;

/// Fonts that are taken at a time.
const MOST_FONTS: usize = 6;
/// Longest font file that is taken: those of East Asian scripts have 20 MB.
const MOST_BYTES: usize = 64 << 20;

/// As [`super::covering`].
pub(super) fn covering(missing: &BTreeSet<char>) -> Vec<SystemFont> {
    let mut fonts = Database::new();
    fonts.load_system_fonts();
    among(&fonts, missing)
}

/// The same among some fonts.
fn among(fonts: &Database, missing: &BTreeSet<char>) -> Vec<SystemFont> {
    let mut faces: Vec<&FaceInfo> = fonts.faces().filter(|face| face.style == Style::Normal).collect();
    faces.sort_by_key(|face| plainness(face));
    let faces: Vec<(ID, BTreeSet<char>)> = faces
        .into_iter()
        .map(|face| (face.id, drawn(fonts, face.id, missing)))
        .filter(|(_, c)| !c.is_empty())
        .collect();
    let mut left = missing.clone();
    let mut taken = Vec::new();
    while taken.len() < MOST_FONTS {
        let gain = |of: &BTreeSet<char>| of.intersection(&left).count();
        // The first of those that draw most.
        let Some(most) = faces.iter().map(|(_, of)| gain(of)).max().filter(|most| *most > 0) else { break };
        let Some((id, of)) = faces.iter().find(|(_, of)| gain(of) == most) else { break };
        left = &left - of;
        let font = fonts.face(*id).and_then(|face| {
            let name = format!("{} {} {}", face.post_script_name, face.weight.0, face.index);
            fonts.with_face_data(*id, |bytes, index| SystemFont { name, bytes: bytes.to_vec(), index })
        });
        taken.extend(font);
    }
    taken
}

/// Regular, upright sans-serif fonts of the usual width before others.
fn plainness(face: &FaceInfo) -> (bool, bool, u16, String) {
    let name = face.families.first().map(|(name, _)| name.clone()).unwrap_or_default();
    let odd = ["Serif", "Mincho", "Condensed", "Script"].iter().any(|word| name.contains(word));
    (face.monospaced, odd, face.weight.0.abs_diff(400), name)
}

/// Which of the characters a font draws as outlines; pictures in colours have no place in neutral words.
fn drawn(fonts: &Database, id: ID, wanted: &BTreeSet<char>) -> BTreeSet<char> {
    let found = fonts.with_face_data(id, |bytes, index| {
        if bytes.len() > MOST_BYTES {
            return BTreeSet::new();
        }
        let Ok(font) = FontRef::from_index(bytes, index) else { return BTreeSet::new() };
        let (letters, outlines) = (font.charmap(), font.outline_glyphs());
        let draws = |c: &char| letters.map(*c).is_some_and(|glyph: GlyphId| outlines.get(glyph).is_some());
        wanted.iter().copied().filter(draws).collect()
    });
    found.unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::fonts::{FALLBACKS, FIGTREE};

    #[test]
    fn as_few_fonts_are_taken_as_will_do() {
        let mut fonts = Database::new();
        for bytes in FIGTREE.iter().chain(&FALLBACKS) {
            fonts.load_font_data(bytes.to_vec());
        }
        let taken = |text: &str| among(&fonts, &text.chars().collect());
        assert_eq!(taken("abc").len(), 1);
        assert!(taken("夜").is_empty());
        // Cyrillic is in the second alone, signs in the third.
        let found = taken("aЖ夜");
        assert_eq!(found.len(), 1, "{:?}", found.iter().map(|f| &f.name).collect::<Vec<_>>());
        assert!(found[0].bytes == FALLBACKS[0]);
        assert!(taken("").is_empty());
    }
}
