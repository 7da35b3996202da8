//! Figures of studies, kept between starts in one small file: a study is counted once for as long as its file does not change.

use super::picture_store::Stamp;
use crate::base::folders;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use stint_model::disk;
use stint_model::progress::StudyFigures;

/// How many studies are kept: more than the list of recent studies holds. Each takes some 400 bytes.
const KEPT: usize = 400;
/// Counts up when figures are worked out in another way: what was kept before is then worked out anew.
const FORMAT: u32 = 1;

/// The figures of a study, and when it was last asked for.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
struct Kept {
    /// None for a study without paint, or one that cannot be read.
    figures: Option<StudyFigures>,
    /// Number of the look at which it was last asked for.
    asked: u64,
}

#[derive(Default, Serialize, Deserialize)]
struct Store {
    format: u32,
    /// Counts the looks.
    look: u64,
    kept: BTreeMap<String, Kept>,
}

/// The figures.
pub struct FiguresStore {
    file: PathBuf,
    store: Store,
    changed: bool,
}

impl FiguresStore {
    /// In `folder` instead of the user's data folder if given. A file that cannot be read counts as empty: what was in it is worked out
    /// again.
    pub fn open(folder: Option<&Path>) -> Self {
        let file = folders::data(folder).join("figures.ron");
        let text = disk::read_to_string(&file).ok();
        let store: Option<Store> = text.and_then(|text| ron::from_str(&text).ok());
        let mut store = store.filter(|s| s.format == FORMAT).unwrap_or_default();
        store.format = FORMAT;
        store.look += 1;
        FiguresStore { file, store, changed: false }
    }

    /// The figures of a file that was looked at before: `Some(None)` for one that has none.
    pub fn find(&mut self, stamp: &Stamp) -> Option<Option<StudyFigures>> {
        let look = self.store.look;
        let kept = self.store.kept.get_mut(stamp.as_str())?;
        kept.asked = look;
        Some(kept.figures.clone())
    }

    /// Takes figures in; [`FiguresStore::keep`] writes them.
    pub fn add(&mut self, stamp: &Stamp, figures: Option<StudyFigures>) {
        self.changed = true;
        self.store.kept.insert(stamp.as_str().to_owned(), Kept { figures, asked: self.store.look });
    }

    /// Writes what is new, and lets go of what was not asked for the longest once there is too much.
    ///
    /// # Errors
    /// What the system says. Nothing is lost by it but time.
    pub fn keep(&mut self) -> std::io::Result<()> {
        if !std::mem::take(&mut self.changed) {
            return Ok(());
        }
        let mut looks: Vec<u64> = self.store.kept.values().map(|kept| kept.asked).collect();
        looks.sort_unstable_by(|a, b| b.cmp(a));
        if let Some(oldest) = looks.get(KEPT) {
            self.store.kept.retain(|_, kept| kept.asked > *oldest);
        }
        let text = ron::to_string(&self.store).map_err(|e| std::io::Error::other(e.to_string()))?;
        disk::create_dir_all(disk::folder_of(&self.file))?;
        disk::write(&self.file, text)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn figures(strokes: u64) -> StudyFigures {
        StudyFigures {
            board: "Depot".to_owned(),
            strokes,
            board_share: 0.9,
            free_share: 0.1,
            bare_share: 0.0,
            free_opened: Vec::new(),
            from_memory: false,
            photo_opened: Vec::new(),
            worked_s: 60,
            stint_min: None,
            remarks: 0,
            miss: None,
        }
    }

    #[test]
    fn figures_are_found_again_until_the_file_changes_and_stay_few() {
        let home = tempfile::tempdir().unwrap();
        let file = home.path().join("depot.stint");
        std::fs::write(&file, "one").unwrap();
        let stamp = Stamp::of(&file).unwrap();
        let mut store = FiguresStore::open(Some(home.path()));
        assert_eq!(store.find(&stamp), None);
        store.add(&stamp, Some(figures(7)));
        store.keep().unwrap();
        let mut store = FiguresStore::open(Some(home.path()));
        assert_eq!(store.find(&stamp), Some(Some(figures(7))));
        std::fs::write(&file, "another").unwrap();
        assert_eq!(store.find(&Stamp::of(&file).unwrap()), None);
        // What is not asked for goes first.
        for i in 0..KEPT + 50 {
            std::fs::write(&file, format!("{i:>9}")).unwrap();
            let stamp = Stamp(format!("{i:016x}"));
            store.add(&stamp, None);
        }
        store.keep().unwrap();
        let mut store = FiguresStore::open(Some(home.path()));
        assert_eq!(store.store.kept.len().min(KEPT), store.store.kept.len());
        std::fs::write(&store.file, "(format: 99, look: 1, kept: {})").unwrap();
        assert!(FiguresStore::open(Some(home.path())).find(&stamp).is_none());
        assert!(store.find(&stamp).is_none());
    }
}
