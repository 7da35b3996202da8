//! The text of a crate's files.

use std::collections::BTreeMap;
use std::path::Path;

/// Text of each file by its path below the source folder, parts joined by `/`.
pub type Source = BTreeMap<String, String>;

/// All Rust files below a folder.
pub fn read(folder: &Path) -> Source {
    let mut source = Source::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        for entry in std::fs::read_dir(&next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let below = path.strip_prefix(folder).unwrap().components();
                let names: Vec<_> = below.map(|c| c.as_os_str().to_str().unwrap()).collect();
                source.insert(names.join("/"), std::fs::read_to_string(&path).unwrap());
            }
        }
    }
    assert!(!source.is_empty(), "no Rust in {}", folder.display());
    source
}

/// The same for files that are only thought of.
pub fn invented(files: &[(&str, &str)]) -> Source {
    files.iter().map(|(path, text)| ((*path).to_owned(), (*text).to_owned())).collect()
}
