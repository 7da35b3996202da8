//! Names of files.

use std::path::Path;
use stint_model::disk;

/// The name of a file without its last suffix; "study" for a path without a name.
pub fn stem(path: &Path) -> String {
    path.file_stem().map_or_else(|| "study".to_owned(), |s| s.to_string_lossy().into_owned())
}

/// Whether two paths lead to one file.
pub fn same_file(a: &Path, b: &Path) -> bool {
    let full = |p: &Path| disk::canonicalize(p).ok();
    a == b || full(a).is_some_and(|a| full(b) == Some(a))
}
