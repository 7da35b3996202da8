//! Percent-encoding of paths (RFC 3986, 2.1), as URIs of files and the desktop's trash have it.

/// A path's text with everything encoded but letters, digits, `-`, `.`, `_`, `~` (RFC 3986, 2.3: unreserved) and `/`.
pub fn encoded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for byte in text.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => out.push(char::from(byte)),
            other => out.push_str(&format!("%{other:02X}")),
        }
    }
    out
}

/// What was encoded; none when it is cut short or no text.
#[expect(clippy::cast_possible_truncation, reason = "two hexadecimal digits are a byte")]
pub fn decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut from = text.bytes();
    while let Some(byte) = from.next() {
        bytes.push(match byte {
            b'%' => {
                let mut digit = || char::from(from.next()?).to_digit(16);
                let (high, low) = (digit()?, digit()?);
                (high * 16 + low) as u8
            }
            other => other,
        });
    }
    String::from_utf8(bytes).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_encoded_is_decoded() {
        assert_eq!(encoded("/photos/tram depot 夜.jpg"), "/photos/tram%20depot%20%E5%A4%9C.jpg");
        for text in ["", "/a b%c", "夜/é", "100 %"] {
            assert_eq!(decoded(&encoded(text)).as_deref(), Some(text));
        }
        for wrong in ["%", "%2", "%zz", "%ff"] {
            assert_eq!(decoded(wrong), None, "{wrong}");
        }
    }
}
