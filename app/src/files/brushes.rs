//! Brushes as files: those that come with the program, and those in the painter's folder.
//!
//! A brush file is readable RON, `(name: "Bristle", brush: (size: 48.0, …))`; what stands under `brush` is what `Brush` means in a
//! script. Fields that are left out have their plain values, fields that are not known are refused by name.

use crate::base::folders;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use stint_model::disk;
use stint_render::mask::brush::Brush;

/// Ending of brush files.
pub const ENDING: &str = ".brush.ron";
/// No brush file is longer, bytes.
const MAX_BYTES: u64 = 64 * 1024;
/// Letters that a name may have.
pub const MAX_NAME_LETTERS: usize = 40;
/// Brushes that are taken from the painter's folder, at most.
const MAX_BRUSHES: usize = 200;

/// The files that come with the program, in the order of the tools panel.
const SHIPPED: [&str; 9] = [
    include_str!("../../../assets/brushes/round.ron"),
    include_str!("../../../assets/brushes/flat.ron"),
    include_str!("../../../assets/brushes/filbert.ron"),
    include_str!("../../../assets/brushes/bristle.ron"),
    include_str!("../../../assets/brushes/knife.ron"),
    include_str!("../../../assets/brushes/rag.ron"),
    include_str!("../../../assets/brushes/charcoal.ron"),
    include_str!("../../../assets/brushes/soft.ron"),
    include_str!("../../../assets/brushes/wet_bristle.ron"),
];

/// A brush and what it is called.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NamedBrush {
    /// Shown to the painter; at most 40 letters.
    pub name: String,
    /// Its settings.
    pub brush: Brush,
}

/// Why a brush file cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum BrushFileError {
    /// It cannot be read.
    #[error("the brush file {path} cannot be read ({why}); look whether it is there and no longer than 64 KiB")]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// The system's word.
        why: std::io::Error,
    },
    /// It is not understood.
    #[error("line {line} of the brush file {path} is not understood ({why}); mend it or take it away")]
    NotUnderstood {
        /// The file.
        path: PathBuf,
        /// Counted from 1.
        line: usize,
        /// What stands there.
        why: String,
    },
    /// A setting or the name is out of range.
    #[error("the brush file {path} cannot be used: {why}")]
    OutOfRange {
        /// The file.
        path: PathBuf,
        /// Which, and what it may be.
        why: String,
    },
    /// It cannot be written.
    #[error("the brush cannot be kept as {path} ({why}); choose another place")]
    NotKept {
        /// The file.
        path: PathBuf,
        /// The system's word.
        why: std::io::Error,
    },
}

/// The brushes that come with the program.
pub fn shipped() -> Vec<NamedBrush> {
    // A test reads every one of them; a broken one would only be missing.
    SHIPPED.iter().filter_map(|text| parse(text, Path::new("assets/brushes")).ok()).collect()
}

/// The shipped brush of a name, whatever its case.
pub fn shipped_named(name: &str) -> Option<NamedBrush> {
    shipped().into_iter().find(|brush| brush.name.eq_ignore_ascii_case(name))
}

/// Reads a brush from the text of the file `path`.
fn parse(text: &str, path: &Path) -> Result<NamedBrush, BrushFileError> {
    let path = || path.to_owned();
    let named: NamedBrush = ron::from_str(text).map_err(|e| BrushFileError::NotUnderstood {
        path: path(),
        line: e.span.start.line,
        why: e.code.to_string(),
    })?;
    let name = named.name.trim();
    if name.is_empty() || name.chars().count() > MAX_NAME_LETTERS || name.chars().any(char::is_control) {
        let why = format!("its name must have 1 to {MAX_NAME_LETTERS} letters; give it another");
        return Err(BrushFileError::OutOfRange { path: path(), why });
    }
    named.brush.check().map_err(|e| BrushFileError::OutOfRange { path: path(), why: e.to_string() })?;
    Ok(NamedBrush { name: name.to_owned(), ..named })
}

/// Reads a brush file.
///
/// # Errors
/// With the file, and the line where it is not understood.
pub fn read(path: &Path) -> Result<NamedBrush, BrushFileError> {
    let unreadable = |why| BrushFileError::Unreadable { path: path.to_owned(), why };
    let bytes = disk::read_bounded(path, MAX_BYTES).map_err(unreadable)?;
    let text = String::from_utf8(bytes).map_err(|e| unreadable(std::io::Error::other(e)))?;
    parse(&text, path)
}

/// Where the painter's brushes lie; in `folder` instead of the user's data folder if given.
pub fn folder(data_folder: Option<&Path>) -> PathBuf {
    folders::data(data_folder).join("brushes")
}

/// The painter's own brushes by their names, and a sentence for each file that cannot be used.
pub fn own(data_folder: Option<&Path>) -> (Vec<(PathBuf, NamedBrush)>, Vec<String>) {
    let folder = folder(data_folder);
    let entries = match disk::read_dir(&folder) {
        Ok(entries) => entries,
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => return (Vec::new(), Vec::new()),
        Err(e) => {
            let notice =
                format!("the brushes in {} cannot be read ({e}); look at the folder's permissions", folder.display());
            return (Vec::new(), vec![notice]);
        }
    };
    let mut paths: Vec<PathBuf> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
    paths.retain(|path| path.extension().is_some_and(|e| e.eq_ignore_ascii_case("ron")));
    paths.sort();
    let mut notices = Vec::new();
    if paths.len() > MAX_BRUSHES {
        let left = paths.len() - MAX_BRUSHES;
        notices.push(format!("{left} brushes in {} are left out; move some of them away", folder.display()));
        paths.truncate(MAX_BRUSHES);
    }
    let mut brushes = Vec::new();
    for path in paths {
        match read(&path) {
            Ok(brush) => brushes.push((path, brush)),
            Err(error) => notices.push(error.to_string()),
        }
    }
    // A file's name may differ, and its ending comes after a space.
    brushes.sort_by(|(_, a): &(PathBuf, NamedBrush), (_, b)| a.name.cmp(&b.name));
    (brushes, notices)
}

/// A brush as the text of its file.
///
/// # Errors
/// When it cannot be written as text.
fn text(brush: &NamedBrush) -> Result<String, std::io::Error> {
    let pretty = ron::ser::PrettyConfig::new().depth_limit(5);
    ron::ser::to_string_pretty(brush, pretty).map(|text| text + "\n").map_err(std::io::Error::other)
}

/// Writes a brush to a file; an older one gives way only when it was asked for.
///
/// # Errors
/// With the file.
pub fn write(path: &Path, brush: &NamedBrush, replace: disk::Replace) -> Result<(), BrushFileError> {
    let refusal = |why| BrushFileError::NotKept { path: path.to_owned(), why };
    let text = text(brush).map_err(refusal)?;
    disk::place(path, replace, refusal, |file| std::io::Write::write_all(file, text.as_bytes()).map_err(refusal))
}

/// What the file of a brush is called before its ending.
fn stem_of(name: &str) -> String {
    let letters: String = name.chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    let stem = letters.split_whitespace().collect::<Vec<_>>().join(" ");
    if stem.is_empty() { "brush".to_owned() } else { stem }
}

/// The name that is offered for the file of a brush.
pub fn file_name(name: &str) -> String {
    stem_of(name) + ENDING
}

/// Keeps a brush among the painter's own under a free name.
///
/// # Errors
/// With the file.
pub fn keep(data_folder: Option<&Path>, brush: &NamedBrush) -> Result<PathBuf, BrushFileError> {
    let folder = folder(data_folder);
    disk::create_dir_all(&folder).map_err(|why| BrushFileError::NotKept { path: folder.clone(), why })?;
    let path = disk::free_name(&folder, stem_of(&brush.name), ENDING);
    write(&path, brush, disk::Replace::Never)?;
    Ok(path)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use stint_render::mask::mark::Kind;

    #[test]
    fn every_shipped_brush_is_there_and_is_what_its_text_says() {
        let brushes = shipped();
        let dry: Vec<_> = brushes.iter().filter(|b| b.brush.wet().is_none()).collect();
        let kinds: Vec<_> = dry.iter().map(|b| b.brush.mark.as_ref().unwrap().kind).collect();
        assert_eq!(kinds, Kind::ALL);
        assert!(dry.iter().zip(Kind::ALL).all(|(brush, kind)| brush.name == kind.name()));
        let wet: Vec<_> = brushes[dry.len()..].iter().map(|b| (b.name.as_str(), b.brush.wet().is_some())).collect();
        assert_eq!(wet, [("Wet bristle", true)]);
        for brush in &brushes {
            assert_eq!(parse(&text(brush).unwrap(), Path::new("x")).unwrap(), *brush, "read back as written");
        }
        assert_eq!(shipped_named("bristle").unwrap().name, "Bristle");
    }

    #[test]
    fn own_brushes_are_found_and_a_broken_file_is_named_with_its_line_and_reason() {
        let data = tempfile::tempdir().unwrap();
        let at = Some(data.path());
        assert_eq!(own(at), (Vec::new(), Vec::new()));
        let mut mine = shipped_named("Knife").unwrap();
        mine.name = "Small: knife/2".to_owned();
        let path = keep(at, &mine).unwrap();
        assert_eq!(path.file_name().unwrap(), "Small knife 2.brush.ron");
        let second = keep(at, &mine).unwrap();
        assert_ne!(path, second, "nothing is replaced");
        for (name, text) in [
            ("a.ron", "(\n  name: \"A\",\n  brush: (size: 40.0,\n    mark: (kind: Bristle, paint: (hold: 3.0))),\n)"),
            ("b.ron", "(name: \"B\", brush: (size: 4000.0))"),
            ("c.ron", "(name: \"\", brush: ())"),
            ("d.ron", "(name: \"D\", brush: (mark: (tip: (aspect: 3.0))))"),
            ("e.txt", "no brush"),
        ] {
            std::fs::write(folder(at).join(name), text).unwrap();
        }
        let (brushes, notices) = own(at);
        assert_eq!(brushes.iter().map(|(_, b)| b.clone()).collect::<Vec<_>>(), [mine.clone(), mine]);
        assert_eq!(notices.len(), 4, "{notices:?}");
        for (notice, words) in
            notices.iter().zip([["line 4", "hold"], ["b.ron", "size"], ["c.ron", "name"], ["d.ron", "tip.aspect"]])
        {
            assert!(words.iter().all(|word| notice.contains(word)), "{notice} {words:?}");
        }
    }
}
