//! The two forms that Windows has for the whole path of a file: as people write it (`C:\studies\depot.stint`), for which some libraries
//! have room for 260 characters, and verbatim (`\\?\C:\studies\depot.stint`), of any length ("Maximum Path Length Limitation" and "Naming
//! Files, Paths, and Namespaces", Microsoft). Elsewhere a path has one form.

use std::borrow::Cow;
use std::io;
use std::path::{Path, PathBuf};

/// Before a path that is meant as it stands.
const VERBATIM: &str = r"\\?\";
/// The same, before the name of another machine.
const VERBATIM_SHARE: &str = r"\\?\UNC\";
/// As many characters as a path may have that is not verbatim, with the zero after it.
const MAX_PATH: usize = 260;
/// Names of devices: no file has them, whatever ending follows, unless its path is verbatim.
const DEVICES: [&str; 6] = ["CON", "PRN", "AUX", "NUL", "COM", "LPT"];

/// A path as people write it, where that means the same.
pub(super) fn plain(path: PathBuf) -> PathBuf {
    match path.to_str().filter(|_| cfg!(windows)).and_then(plain_text) {
        Some(plain) => plain.into(),
        None => path,
    }
}

/// A path for a library that hands it to the system as it is and has no room of its own to spare: verbatim on Windows.
///
/// # Errors
/// When the working folder is not known.
pub fn verbatim(path: &Path) -> io::Result<Cow<'_, Path>> {
    #[cfg(windows)]
    if let Some(whole) = std::path::absolute(path)?.to_str() {
        return Ok(PathBuf::from(verbatim_text(whole)).into());
    }
    Ok(path.into())
}

fn plain_text(path: &str) -> Option<String> {
    let plain = match path.strip_prefix(VERBATIM_SHARE) {
        Some(share) => format!(r"\\{share}"),
        None => {
            let path = path.strip_prefix(VERBATIM)?;
            let drive = path.as_bytes();
            let begins = drive.first()?.is_ascii_alphabetic() && drive.get(1..3) == Some(br":\");
            begins.then(|| path.to_owned())?
        }
    };
    let is_plain = |part: &str| {
        let stem = part.split('.').next().unwrap_or_default().trim_end().to_ascii_uppercase();
        let device = DEVICES.iter().any(|d| stem.strip_prefix(d).is_some_and(|n| n.len() <= 1));
        !device && !part.ends_with(['.', ' ']) && !part.contains('/')
    };
    (plain.encode_utf16().count() < MAX_PATH && plain.split('\\').all(is_plain)).then_some(plain)
}

#[cfg_attr(not(any(windows, test)), expect(dead_code, reason = "paths have one form here"))]
fn verbatim_text(path: &str) -> String {
    if path.starts_with(VERBATIM) {
        return path.to_owned();
    }
    match path.strip_prefix(r"\\") {
        Some(share) => format!("{VERBATIM_SHARE}{share}"),
        None => format!("{VERBATIM}{path}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_written_as_people_write_it_where_that_means_the_same() {
        let plain = |path: &str| plain_text(path);
        assert_eq!(plain(r"\\?\Z:\studies\depot.stint").as_deref(), Some(r"Z:\studies\depot.stint"));
        assert_eq!(plain(r"\\?\UNC\studio\shared\depot.stint").as_deref(), Some(r"\\studio\shared\depot.stint"));
        let long = format!(r"\\?\C:\{}\depot.stint", "a".repeat(260));
        for meant in [
            r"Z:\studies\depot.stint",
            r"\\?\Volume{1234}\depot.stint",
            r"\\?\C:\nul",
            r"\\?\C:\studies\com1.stint",
            r"\\?\C:\studies.\depot.stint",
            r"\\?\C:\studies\depot ",
            &long,
        ] {
            assert_eq!(plain(meant), None, "{meant}");
        }
        assert!(plain(r"\\?\C:\console\comet.stint").is_some());
    }

    #[test]
    fn a_verbatim_path_goes_there_and_back() {
        for path in [r"C:\studies\depot.stint", r"\\studio\shared\depot.stint"] {
            let verbatim = verbatim_text(path);
            assert!(verbatim.starts_with(VERBATIM));
            assert_eq!(verbatim_text(&verbatim), verbatim);
            assert_eq!(plain_text(&verbatim).as_deref(), Some(path));
        }
    }

    #[test]
    fn elsewhere_a_path_has_one_form() {
        if cfg!(not(windows)) {
            let path = Path::new("/studies/\\\\?\\C:\\depot.stint");
            assert_eq!((plain(path.to_owned()), verbatim(path).ok()), (path.to_owned(), Some(path.into())));
        }
    }
}
