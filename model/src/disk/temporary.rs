//! A file that has no name of its own yet, on a desktop.

use super::{File, folder_of};
use std::io;
use std::path::Path;
use tempfile::TempPath;

/// A file beside its place, removed on drop unless it is given one.
#[derive(Debug)]
pub(super) struct Temporary(TempPath);

/// Why there is no file, without the name that it would have had for a moment: nobody knows that.
fn in_words(error: io::Error, folder: &Path) -> io::Error {
    if error.kind() == io::ErrorKind::NotFound {
        return io::Error::new(io::ErrorKind::NotFound, format!("there is no folder {}", folder.display()));
    }
    let told = error.to_string();
    let cause = told.rsplit_once(" at path ").map_or(told.as_str(), |(cause, _)| cause);
    io::Error::new(error.kind(), cause.to_owned())
}

impl Temporary {
    /// An empty file in the folder of `path`.
    pub(super) fn beside(path: &Path) -> io::Result<(Self, File)> {
        let mut builder = tempfile::Builder::new();
        builder.prefix(".stint-").suffix(".new");
        // What any new file gets; the process's umask takes from it.
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        let folder = folder_of(path);
        let (file, path) = builder.tempfile_in(&folder).map_err(|error| in_words(error, &folder))?.into_parts();
        Ok((Temporary(path), file))
    }

    /// Where it is for now.
    pub(super) fn path(&self) -> &Path {
        &self.0
    }

    /// Takes the place of what is there.
    pub(super) fn persist(self, to: &Path) -> io::Result<()> {
        self.0.persist(to).map_err(|refused| refused.error)
    }

    /// Takes a place that is free; comes back when it is not.
    pub(super) fn persist_new(self, to: &Path) -> Result<(), (io::Error, Self)> {
        self.0.persist_noclobber(to).map_err(|refused| (refused.error, Temporary(refused.path)))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_names_the_cause_and_no_file_of_the_moment() {
        let folder = tempfile::tempdir().unwrap();
        let missing = folder.path().join("not there");
        let refused = Temporary::beside(&missing.join("depot.png")).unwrap_err();
        assert_eq!(refused.kind(), io::ErrorKind::NotFound);
        assert_eq!(refused.to_string(), format!("there is no folder {}", missing.display()));
        // A file where a folder should be.
        let file = folder.path().join("file");
        std::fs::write(&file, "").unwrap();
        let refused = Temporary::beside(&file.join("depot.png")).unwrap_err();
        assert!(!refused.to_string().contains(".stint-") && refused.kind() != io::ErrorKind::NotFound, "{refused}");
    }
}
