//! What a file is, told by its content and never by its name, in the words a painter has for it.

/// A kind of file.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// JPEG, ITU-T T.81.
    Jpeg,
    /// PNG, W3C third edition.
    Png,
    /// WebP, RFC 9649.
    WebP,
    /// TIFF 6.0, or its large form.
    Tiff,
    /// HEIC: a picture of ISO/IEC 23008-12, coded as HEVC.
    Heic,
    /// JPEG XL, ISO/IEC 18181.
    JpegXl,
    /// A picture of another kind, with what to do about it.
    Unread(&'static str, &'static str),
    /// No picture.
    Other(&'static str),
}

/// What to do with a picture of a kind that is not read.
pub(super) const EXPORT_IT: &str = "open it where it came from and export it as a JPEG, PNG or TIFF";
/// What to do with a camera's raw file.
pub(super) const DEVELOP_IT: &str = "develop it and export it as a JPEG or a TIFF";
/// What to do with a film.
const TAKE_A_STILL: &str = "export one picture of it as a JPEG or PNG";

/// How many first bytes [`Kind::of`] looks at, at most.
pub const HEAD_BYTES: usize = 4096;

impl Kind {
    /// The kind of a file with these first bytes. Sources: ITU-T T.81 B.1.1.3; PNG 5.2; RFC 9649 2.4; TIFF 6.0 section 2;
    /// ISO/IEC 14496-12 4.3 for the brands of box files; ISO/IEC 18181-2. Signatures of kinds that are not read serve the
    /// message only (from memory).
    pub fn of(bytes: &[u8]) -> Kind {
        match bytes {
            [0xFF, 0xD8, 0xFF, ..] => Kind::Jpeg,
            [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1A, b'\n', ..] => Kind::Png,
            [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Kind::WebP,
            [b'I', b'I', 42, 0, _, _, _, _, b'C', b'R', ..] => Kind::Unread("a camera's raw file (CR2)", DEVELOP_IT),
            [b'I', b'I', 42 | 43, 0, ..] | [b'M', b'M', 0, 42 | 43, ..] => Kind::Tiff,
            [0xFF, 0x0A, ..] | [0, 0, 0, 12, b'J', b'X', b'L', b' ', b'\r', b'\n', 0x87, b'\n', ..] => Kind::JpegXl,
            [_, _, _, _, b'f', b't', b'y', b'p', rest @ ..] => Kind::of_brands(bytes, rest),
            [b'I', b'I', b'R', b'O' | b'S', ..] | [b'M', b'M', b'O', b'R', ..] => {
                Kind::Unread("a camera's raw file (ORF)", DEVELOP_IT)
            }
            [b'I', b'I', b'U', 0, ..] => Kind::Unread("a camera's raw file (RW2)", DEVELOP_IT),
            [b'F', b'U', b'J', b'I', b'F', b'I', b'L', b'M', b'C', b'C', b'D', ..] => {
                Kind::Unread("a camera's raw file (RAF)", DEVELOP_IT)
            }
            [b'F', b'O', b'V', b'b', ..] => Kind::Unread("a camera's raw file (X3F)", DEVELOP_IT),
            [b'I', b'I', 0xBC, ..] => Kind::Unread("a JPEG XR picture", EXPORT_IT),
            [0, 0, 0, 12, b'j', b'P', b' ', b' ', ..] | [0xFF, 0x4F, 0xFF, 0x51, ..] => {
                Kind::Unread("a JPEG 2000 picture", EXPORT_IT)
            }
            [b'G', b'I', b'F', b'8', ..] => Kind::Unread("a GIF", EXPORT_IT),
            [b'B', b'M', _, _, _, _, 0, 0, 0, 0, ..] => Kind::Unread("a BMP", EXPORT_IT),
            [b'8', b'B', b'P', b'S', ..] => Kind::Unread("a layered picture (PSD)", EXPORT_IT),
            [0x76, 0x2F, 0x31, 0x01, ..] => Kind::Unread("an OpenEXR picture", EXPORT_IT),
            [b'#', b'?', b'R', b'A', b'D', b'I', b'A', b'N', ..] => Kind::Unread("a Radiance picture (HDR)", EXPORT_IT),
            [b'q', b'o', b'i', b'f', ..] => Kind::Unread("a QOI picture", EXPORT_IT),
            [0, 0, 1, 0, _, 0, ..] => Kind::Unread("an icon (ICO)", EXPORT_IT),
            [b'%', b'P', b'D', b'F', ..] => Kind::Unread("a PDF", EXPORT_IT),
            [b'P', b'1'..=b'7', b' ' | b'\n' | b'\r' | b'\t', ..] => Kind::Unread("a PNM picture", EXPORT_IT),
            [b'R', b'I', b'F', b'F', _, _, _, _, b'A', b'V', b'I', b' ', ..] => Kind::Unread("a film", TAKE_A_STILL),
            [0x1A, 0x45, 0xDF, 0xA3, ..] => Kind::Unread("a film", TAKE_A_STILL),
            [b'P', b'K', 3, 4, ..] => Kind::Other("a ZIP archive"),
            _ if is_drawing(bytes) => Kind::Unread("a drawing (SVG)", EXPORT_IT),
            _ if is_text(bytes) => Kind::Other("text"),
            _ => Kind::Other("something else"),
        }
    }

    /// By the brands of an `ftyp` box: the first that says enough, beginning with the major one.
    fn of_brands(bytes: &[u8], rest: &[u8]) -> Kind {
        let length = u32::from_be_bytes([bytes[0], bytes[1], bytes[2], bytes[3]]) as usize;
        let brands = &rest[..rest.len().min(length.saturating_sub(8))];
        let mut general = Kind::Unread("a film", TAKE_A_STILL);
        for (place, brand) in brands.chunks_exact(4).enumerate() {
            match brand {
                // The version of the major brand.
                _ if place == 1 => {}
                b"avif" | b"avis" => return Kind::Unread("an AVIF photo", EXPORT_IT),
                b"heic" | b"heix" | b"heim" | b"heis" => return Kind::Heic,
                b"hevc" | b"hevx" | b"mif1" | b"mif2" | b"msf1" => general = Kind::Heic,
                b"crx " => return Kind::Unread("a camera's raw file (CR3)", DEVELOP_IT),
                b"jp2 " | b"jpx " | b"jph " => return Kind::Unread("a JPEG 2000 picture", EXPORT_IT),
                _ => {}
            }
        }
        general
    }
}

/// Whether a text begins as an SVG does.
fn is_drawing(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(HEAD_BYTES)];
    let first = head.iter().position(|b| !b.is_ascii_whitespace()).unwrap_or(0);
    head[first..].starts_with(b"<svg") || (head[first..].starts_with(b"<?xml") && head.windows(4).any(|w| w == b"<svg"))
}

/// Whether the first bytes are UTF-8 without control characters but line ends and tabs.
fn is_text(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(HEAD_BYTES)];
    let head = match std::str::from_utf8(head) {
        Ok(text) => text,
        // A character that the end of the head cut in two.
        Err(e) if e.error_len().is_none() => std::str::from_utf8(&head[..e.valid_up_to()]).unwrap_or_default(),
        Err(_) => return false,
    };
    !head.is_empty() && !head.contains(|c: char| c.is_control() && !matches!(c, '\n' | '\r' | '\t'))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(bytes: &[u8]) -> &'static str {
        match Kind::of(bytes) {
            Kind::Unread(what, _) | Kind::Other(what) => what,
            kind => panic!("{kind:?}"),
        }
    }

    #[test]
    fn files_are_told_by_their_content() {
        assert_eq!(Kind::of(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic"), Kind::Heic);
        assert_eq!(Kind::of(b"\0\0\0\x18ftypmif1\0\0\0\0mif1heic"), Kind::Heic);
        assert_eq!(named(b"\0\0\0\x18ftypmif1\0\0\0\0mif1avif"), "an AVIF photo");
        assert_eq!(named(b"\0\0\0\x14ftypqt  \0\0\0\0qt  "), "a film");
        assert_eq!(Kind::of(b"\xFF\x0A\xFA\x1F"), Kind::JpegXl);
        assert_eq!(Kind::of(b"II\x2a\0\x08\0\0\0\0\0"), Kind::Tiff);
        assert_eq!(named(b"II\x2a\0\x10\0\0\0CR\x02\0"), "a camera's raw file (CR2)");
        assert_eq!(named("Tuesday, am Depot, später".as_bytes()), "text");
        assert_eq!(named(b"<?xml version='1.0'?><svg/>"), "a drawing (SVG)");
        assert_eq!(named(&[0; 40]), "something else");
        assert_eq!(named(b""), "something else");
    }
}
