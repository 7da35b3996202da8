//! Files named by URIs, as systems hand them over.

use super::percent;
use std::path::PathBuf;

/// The path of a `file` URI (RFC 8089).
pub fn path_of_uri(uri: &str) -> Option<PathBuf> {
    let rest = uri.trim().strip_prefix("file:")?;
    let path = match rest.strip_prefix("//") {
        // A host may stand before the path; only this machine's files can be opened.
        Some(after) => &after[after.find('/')?..],
        None => rest,
    };
    let text = percent::decoded(path)?;
    // "/C:/folder" on Windows.
    let drive = cfg!(windows) && text.as_bytes().get(2) == Some(&b':');
    Some(PathBuf::from(if drive { &text[1..] } else { &text }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn file_uris_become_paths() {
        let path = |u: &str| path_of_uri(u).map(|p| p.to_string_lossy().into_owned());
        assert_eq!(path("file:///photos/tram%20depot%20%E5%A4%9C.jpg").as_deref(), Some("/photos/tram depot 夜.jpg"));
        assert_eq!(path("file://localhost/a.png\r\n").as_deref(), Some("/a.png"));
        assert_eq!(path("file:/a.png").as_deref(), Some("/a.png"));
        for wrong in ["https://example.org/a.png", "file:///bad%2", "file:///bad%zz", "plain"] {
            assert_eq!(path(wrong), None, "{wrong}");
        }
    }
}
