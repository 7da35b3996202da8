//! A file that has no name of its own yet, on a desktop.

use super::{File, folder_of};
use std::io;
use std::path::Path;
use tempfile::TempPath;

/// A file beside its place, removed on drop unless it is given one.
#[derive(Debug)]
pub(super) struct Temporary(TempPath);

impl Temporary {
    /// An empty file in the folder of `path`.
    pub(super) fn beside(path: &Path) -> io::Result<(Self, File)> {
        let mut builder = tempfile::Builder::new();
        builder.prefix(".stint-").suffix(".new");
        // What any new file gets; the process's umask takes from it.
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        let (file, path) = builder.tempfile_in(folder_of(path))?.into_parts();
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
