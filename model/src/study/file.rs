//! The study file: an SQLite database, one transaction a step.
//!
//! A study is always saved. Between steps it is one file (rollback journal, deleted after each transaction), so that it
//! can be copied at any time. SQLite's "Atomic Commit In SQLite" describes what keeps it whole through a crash.
//!
//! [`StudyFile::open`] is for painting and takes the study for itself; [`StudyFile::open_read_only`] works on a copy in
//! memory, of one state, taken piece by piece, so that the painter waits for a piece at most.
//! Steps are in `history`, undo and redo in [`super::travel`].

use super::VERSION;
use super::check;
use super::codec::{PLANE_BYTES, in_parallel};
use super::database::{connect, copy, fill, identify, require_known_parts, require_whole};
use super::document::Document;
use super::error::{Fault, disk_error};
use super::lock::StudyLock;
use super::rows::{
    Position, StoredTile, photo_key, read_document, read_key, read_opened, read_photo, read_position, read_tile,
    read_worked,
};
use super::snapshot::{PackedRow, Snapshot, Snapshots};
use super::tile::{MAX_PLANES, TILE_BUDGET_BYTES, TileKey, TilePixels};
use super::tile_tally::Limits;
use super::unpack::unpack;
use super::upgrade::{leave_copy, upgrade, version};
use crate::disk::{self, Identity, Unplaced};
use crate::readout::Opened;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};
use std::path::{Path, PathBuf};

pub use super::error::StudyError;
pub use super::step::{Lid, Moved, NewPhoto, Noted, ShareRow, Shares, Step, StepId, StepKind, StepRow, TileChange};

/// Tiles unpacked at a time: at most 64 MiB, and twice that on the way through the history.
pub(super) const BATCH: usize = 128;

/// An open study.
#[derive(Debug)]
pub struct StudyFile {
    // Closed before the lock is given up.
    pub(super) db: Connection,
    pub(super) path: PathBuf,
    pub(super) access: Access,
    pub(super) document: Document,
    pub(super) opened: Vec<Opened>,
    pub(super) photo_opened: Vec<Opened>,
    /// Seconds worked, all told.
    pub(super) worked_s: u64,
    pub(super) position: Position,
    /// Planes of all tiles at the head.
    pub(super) plane_count: u64,
    pub(super) snapshots: Snapshots,
    /// The copy that was left when the study was brought up to this version.
    copy_before_upgrade: Option<PathBuf>,
}

/// What may be done through a handle.
#[derive(Debug)]
pub(super) enum Access {
    /// Everything, in a file that is locked and must stay where it is.
    Painting { file: Identity, _lock: StudyLock },
    /// Everything, in memory.
    Unsaved,
    /// Reading, and walking the history of the copy.
    Reading,
}

impl StudyFile {
    /// Makes a new study at `path` and opens it for painting. The file appears whole or not at all.
    ///
    /// # Errors
    /// When a file is there already, the folder cannot be written, or the document is not sound.
    pub fn create(path: &Path, document: &Document) -> Result<StudyFile, StudyError> {
        let folder = disk::folder_of(path);
        if !disk::is_dir(&folder) {
            return Err(StudyError::NoFolder { path: folder });
        }
        let lock = StudyLock::take(path)?;
        if disk::is_taken(path) {
            return Err(StudyError::Exists { path: path.to_owned() });
        }
        let file = Unplaced::beside(path).map_err(|e| disk_error(path, e))?;
        let filled = || -> Result<(), Fault> {
            let mut db = connect(file.path(), OpenFlags::SQLITE_OPEN_READ_WRITE)?;
            fill(&mut db, document)?;
            db.close().map_err(|(_, e)| e.into())
        };
        filled().map_err(|e| e.at(path))?;
        file.place_new(path).map_err(|e| disk_error(path, e))?;
        Self::open_locked(path, lock)
    }

    /// A study that lives in memory and is gone when it is closed.
    ///
    /// # Errors
    /// When the document is not sound, or memory runs out.
    pub fn in_memory(document: &Document) -> Result<StudyFile, StudyError> {
        let path = Path::new("the unsaved study");
        let filled = || -> Result<Connection, Fault> {
            let mut db = Connection::open_in_memory()?;
            fill(&mut db, document)?;
            Ok(db)
        };
        let db = filled().map_err(|e| e.at(path))?;
        Self::load(db, path, Access::Unsaved, None)
    }

    /// Opens a study for painting and keeps other windows from doing the same. A study of an older version is brought up to
    /// this one; a copy of it as it was is left beside it, see [`StudyFile::copy_before_upgrade`].
    ///
    /// # Errors
    /// When it is open elsewhere, read-only, missing, damaged, made by a newer program or not a study, takes more memory
    /// than [`TILE_BUDGET_BYTES`], or is of an older version and cannot be copied. The file is then as it was.
    pub fn open(path: &Path) -> Result<StudyFile, StudyError> {
        require_file(path)?;
        let lock = StudyLock::take(path)?;
        Self::open_locked(path, lock)
    }

    fn open_locked(path: &Path, lock: StudyLock) -> Result<StudyFile, StudyError> {
        // Read-only at first: a file that is not ours must not be touched.
        identify(path)?;
        let opened = || -> Result<Connection, Fault> {
            let db = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
            require_whole(&db, path)?;
            // One file between steps, even if another tool gave it a write-ahead log.
            db.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(()))?;
            Ok(db)
        };
        let mut db = opened().map_err(|e| e.at(path))?;
        // SQLite falls back to reading when it may not write.
        if db.is_readonly("main").map_err(|e| Fault::from(e).at(path))? {
            return Err(StudyError::ReadOnly { path: path.to_owned() });
        }
        let copy = Self::upgrade_with_copy(&mut db, path)?;
        let file = Identity::of(path).map_err(|e| disk_error(path, e))?;
        Self::load(db, path, Access::Painting { file, _lock: lock }, copy)
    }

    /// Brings the study in a file up to this version; tells where its copy is, if it was of an older one.
    fn upgrade_with_copy(db: &mut Connection, path: &Path) -> Result<Option<PathBuf>, StudyError> {
        if version(db).map_err(|e| Fault::from(e).at(path))? == VERSION {
            return require_known_parts(db).map(|()| None).map_err(|e| e.at(path));
        }
        let copy = leave_copy(db, path).map_err(|source| StudyError::NoCopy { path: path.to_owned(), source })?;
        let mut upgraded = || -> Result<(), Fault> {
            let change = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
            upgrade(&change)?;
            require_openable(&change)?;
            Ok(change.commit()?)
        };
        upgraded().map_err(|fault| {
            // It is a copy of what is still there. One that stays behind does no harm.
            let _ = disk::remove_file(&copy);
            fault.at(path)
        })?;
        Ok(Some(copy))
    }

    /// Opens a study for reading: the readout, an export, a walk along its history. Works beside a window that paints
    /// on it, and on a disk that cannot be written. The handle holds a copy in memory: undo and redo move the copy's
    /// head only, and what is painted later is not seen.
    ///
    /// # Errors
    /// When it is missing, damaged, made by a newer program or not a study.
    pub fn open_read_only(path: &Path) -> Result<StudyFile, StudyError> {
        require_file(path)?;
        identify(path)?;
        let copied = || -> Result<Connection, Fault> {
            let source = connect(path, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
            require_whole(&source, path)?;
            let mut copy = copy(&source)?;
            let change = copy.transaction()?;
            upgrade(&change)?;
            require_known_parts(&change)?;
            change.commit()?;
            Ok(copy)
        };
        let db = copied().map_err(|e| e.at(path))?;
        Self::load(db, path, Access::Reading, None)
    }

    fn load(
        db: Connection,
        path: &Path,
        access: Access,
        copy_before_upgrade: Option<PathBuf>,
    ) -> Result<StudyFile, StudyError> {
        let (position, document, plane_count) = read_state(&db).map_err(|e| e.at(path))?;
        let opened = |lid| read_opened(&db, lid).map_err(|e| e.at(path));
        let (opened, photo_opened) = (opened(Lid::FreeColour)?, opened(Lid::Photo)?);
        let worked = read_worked(&db).map_err(|e| e.at(path))?;
        let worked_s = worked.iter().map(|(_, seconds)| *seconds).max().unwrap_or(0);
        let path = path.to_owned();
        Ok(StudyFile {
            db,
            path,
            access,
            document,
            opened,
            photo_opened,
            worked_s,
            position,
            plane_count,
            snapshots: Snapshots::default(),
            copy_before_upgrade,
        })
    }

    /// Where the copy lies that was left beside the study when this handle brought it up to the present version.
    pub fn copy_before_upgrade(&self) -> Option<&Path> {
        self.copy_before_upgrade.as_deref()
    }

    /// Where the study lies; a description for one in memory.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The document at the head.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// Strokes laid up to the head.
    pub fn strokes(&self) -> u64 {
        self.position.strokes as u64
    }

    /// Hands every tile with paint at the head to `each`, by pass, row and column. What is handed over can be painted on:
    /// pixels are packed, have no paint twice and no more than full cover, all paints are in the paint table, and nothing
    /// lies beyond the edge of the canvas. At most 128 tiles are in memory here.
    ///
    /// # Errors
    /// When a tile cannot be read or is damaged; those before it have been handed over.
    pub fn for_each_tile(&self, each: &mut dyn FnMut(TileKey, TilePixels)) -> Result<(), StudyError> {
        self.read_tiles(each).map_err(|e| e.at(&self.path))
    }

    fn read_tiles(&self, each: &mut dyn FnMut(TileKey, TilePixels)) -> Result<(), Fault> {
        let limits = Limits::of(&self.document);
        let mut query = self.db.prepare_cached(
            "SELECT pass, tile_row, tile_column, plane_count, tally, planes, check_sum FROM tile \
             ORDER BY pass, tile_row, tile_column",
        )?;
        let mut rows = query.query([])?;
        let mut batch: Vec<(TileKey, StoredTile)> = Vec::with_capacity(BATCH);
        loop {
            let next = rows.next()?;
            let last = next.is_none();
            if let Some(row) = next {
                batch.push((read_key(row)?, read_tile(row, 3)?));
            }
            if last || batch.len() == BATCH {
                let tiles =
                    in_parallel(&batch, |codec, (key, stored)| Ok((*key, unpack(codec, *key, stored, &limits)?)))?;
                tiles.into_iter().for_each(|(key, tile)| each(key, tile));
                batch.clear();
            }
            if last {
                return Ok(());
            }
        }
    }

    /// Takes a snapshot of the tiles at the head. It goes on holding what they are now, whatever is painted and undone later.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn snapshot(&mut self) -> Result<Snapshot, StudyError> {
        let limits = Limits::of(&self.document);
        self.snapshots.take(&self.db, &self.path, limits).map_err(|e| e.at(&self.path))
    }

    /// The tiles of a row of tiles of a snapshot of this study; each row can be read once.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn read_row(&self, snapshot: &Snapshot, row: u16) -> Result<PackedRow, StudyError> {
        snapshot.read_row(&self.db, row).map_err(|e| e.at(&self.path))
    }

    /// The key that a photo has, or that the next step gives it (see [`StudyFile::record_with_photo`]). The same bytes under the
    /// same name keep the key they have.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn photo_key(&self, name: &str, bytes: &[u8]) -> Result<i64, StudyError> {
        photo_key(&self.db, name, bytes).map(|(key, _)| key).map_err(|e| Fault::from(e).at(&self.path))
    }

    /// Name and bytes of a stored photo.
    ///
    /// # Errors
    /// When there is no photo with this key, or it cannot be read.
    pub fn photo(&self, key: i64) -> Result<(String, Vec<u8>), StudyError> {
        read_photo(&self.db, key).map_err(|e| e.at(&self.path))
    }

    /// Saves what snapshots have yet to read, so that they can be read when the study is closed. [`StudyFile::close`] does so too; whoever
    /// closes it while another thread is reading one calls this first, as long as that thread still gets its rows from here.
    pub fn save_snapshots(&self) {
        self.snapshots.save_all(&self.db);
    }

    /// Closes the study. Everything recorded is in the file already; dropping the handle does the same silently.
    ///
    /// # Errors
    /// When the operating system reports a fault on closing.
    pub fn close(self) -> Result<(), StudyError> {
        let StudyFile { db, path, snapshots, .. } = self;
        snapshots.save_all(&db);
        db.close().map_err(|(_, e)| Fault::from(e).at(&path))
    }

    /// Whether something may be recorded.
    pub(super) fn require_painting(&self) -> Result<(), StudyError> {
        match self.access {
            Access::Reading => Err(StudyError::Reading { path: self.path.clone() }),
            Access::Painting { .. } | Access::Unsaved => self.require_in_place(),
        }
    }

    /// Whether the file is still the one at its path. Some systems let an open file be moved, replaced or deleted: what
    /// is written then, nobody would find again.
    pub(super) fn require_in_place(&self) -> Result<(), StudyError> {
        match &self.access {
            Access::Painting { file, .. } if Identity::of(&self.path).ok().as_ref() != Some(file) => {
                Err(StudyError::Gone { path: self.path.clone() })
            }
            Access::Painting { .. } | Access::Unsaved | Access::Reading => Ok(()),
        }
    }
}

fn require_file(path: &Path) -> Result<(), StudyError> {
    match disk::metadata(path) {
        Ok(found) if found.is_file() => Ok(()),
        Ok(_) => Err(StudyError::NotAStudy { path: path.to_owned() }),
        Err(e) => Err(disk_error(path, e)),
    }
}

/// What a study is at its head: where it stands, its document and the planes of all its tiles.
///
/// # Errors
/// When it does not hold together, or takes more memory than a study may.
fn read_state(db: &Connection) -> Result<(Position, Document, u64), Fault> {
    let position = read_position(db)?;
    let document = read_document(db, position.head)?;
    check::document(&document).map_err(Fault::Damaged)?;
    check::stored(db, &document)?.map_err(Fault::Damaged)?;
    // A number of planes that is not so is found when the tile is unpacked.
    let query = "SELECT IFNULL(SUM(MIN(MAX(plane_count, 1), ?1)), 0) FROM tile";
    let plane_count: i64 = db.query_row(query, [MAX_PLANES as i64], |row| row.get(0))?;
    require_budget(plane_count as u64)?;
    Ok((position, document, plane_count as u64))
}

/// Whether an upgraded study could be opened, told before the upgrade is made to last.
fn require_openable(db: &Connection) -> Result<(), Fault> {
    require_known_parts(db)?;
    read_state(db).map(|_| ())
}

/// Refuses tiles of so many planes when they take too much memory.
pub(super) fn require_budget(plane_count: u64) -> Result<(), Fault> {
    let bytes = plane_count.saturating_mul(PLANE_BYTES as u64);
    if bytes > TILE_BUDGET_BYTES { Err(Fault::TooMuchPaint(bytes)) } else { Ok(()) }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::board::{Board, LightOfDay};
    use crate::colour::Colour;
    use crate::ids::PassId;
    use crate::study::tile::{Plane, TilePos};

    fn document() -> Document {
        let mut document = Document::new(640, 384, Board::new("blue hour", LightOfDay::Cool)).unwrap();
        for n in 0..30 {
            document.paints.load_free(Colour::new(n as f32 / 29.0, 0.1, 0.2)).unwrap();
        }
        document
    }

    /// Tiles that hardly pack.
    fn noise(seed: u32) -> TilePixels {
        let noise = |i: u32| i.wrapping_add(seed).wrapping_mul(2_654_435_761) ^ (i.wrapping_mul(i) >> 3);
        let word = |i: usize| ((1 + noise(i as u32) % 30) << 16) | (noise(i as u32) >> 16) | 1;
        TilePixels::new(vec![Plane::from_fn(word)])
    }

    fn key(column: u16, row: u16) -> TileKey {
        TileKey { pass: PassId(1), pos: TilePos { column, row } }
    }

    fn stroke(study: &mut StudyFile, tiles: &[TileChange<'_>]) -> Result<StepId, StudyError> {
        let (label, kind, shares) = ("Stroke", StepKind::Stroke, Shares::EMPTY);
        study.record(Step { label, kind, command: "Stroke", document: None, tiles, shares, noted: Noted::default() })
    }

    fn tiles(study: &StudyFile) -> Vec<(TileKey, TilePixels)> {
        let mut all = Vec::new();
        study.for_each_tile(&mut |key, tile| all.push((key, tile))).unwrap();
        all
    }

    #[test]
    fn a_full_disk_changes_nothing_and_the_handle_goes_on() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("depot.stint");
        let mut study = StudyFile::create(&path, &document()).unwrap();
        let (empty, one, other) = (TilePixels::default(), noise(1), noise(2));
        stroke(&mut study, &[TileChange { key: key(0, 0), before: &empty, after: &one }]).unwrap();
        stroke(&mut study, &[TileChange { key: key(1, 0), before: &empty, after: &other }]).unwrap();
        study.undo().unwrap();
        let before = (study.position, tiles(&study));

        // SQLite reports a full disk the same way: SQLITE_FULL.
        let pages: i64 = study.db.pragma_query_value(None, "page_count", |row| row.get(0)).unwrap();
        study.db.pragma_update(None, "max_page_count", pages).unwrap();
        let many: Vec<TilePixels> = (3..13).map(noise).collect();
        let change = |(i, after)| TileChange { key: key(i as u16 % 5, 1 + i as u16 / 5), before: &empty, after };
        let changes: Vec<TileChange<'_>> = many.iter().enumerate().map(change).collect();
        assert!(matches!(stroke(&mut study, &changes), Err(StudyError::DiskFull { .. })));
        assert!(matches!(add_photo(&mut study, "depot.jpg", &vec![7; 1 << 20]), Err(StudyError::DiskFull { .. })));
        assert_eq!((study.position, tiles(&study)), before);
        assert_eq!((study.undo_depth(), study.redo_depth()), (1, 1));

        study.db.pragma_update(None, "max_page_count", 1 << 20).unwrap();
        study.redo().unwrap();
        stroke(&mut study, &changes).unwrap();
        let after = tiles(&study);
        assert_eq!(after.len(), 12);
        study.close().unwrap();
        assert_eq!(tiles(&StudyFile::open(&path).unwrap()), after);
    }

    #[test]
    fn a_step_that_could_not_be_opened_again_is_refused() {
        let mut study = StudyFile::in_memory(&document()).unwrap();
        let (empty, paint) = (TilePixels::default(), noise(1));
        let refused = |study: &mut StudyFile, tiles: &[TileChange<'_>]| match stroke(study, tiles) {
            Err(StudyError::Unsound { what, .. }) => what,
            other => panic!("{other:?}"),
        };
        let on = |key| TileChange { key, before: &empty, after: &paint };
        assert!(refused(&mut study, &[on(key(5, 0))]).contains("outside the canvas"));
        assert!(refused(&mut study, &[on(key(0, 3))]).contains("outside the canvas"));
        assert!(refused(&mut study, &[on(TileKey { pass: PassId(2), ..key(0, 0) })]).contains("pass 2"));
        assert!(refused(&mut study, &[on(key(0, 0)), on(key(0, 0))]).contains("twice"));
        stroke(&mut study, &[on(key(4, 2))]).unwrap();

        let mut smaller = document();
        smaller.width = 512;
        let mut gap = document();
        gap.active_pass = PassId(9);
        let mut lost = document();
        lost.reference = Some(crate::study::Reference {
            name: "depot.jpg".to_owned(),
            photo: 1,
            adjustments: Default::default(),
            framing: None,
        });
        for wrong in [&smaller, &gap, &lost] {
            let (label, kind, shares) = ("Edit", StepKind::Edit, Shares::EMPTY);
            let step =
                Step { label, kind, command: "", document: Some(wrong), tiles: &[], shares, noted: Noted::default() };
            assert!(matches!(study.record(step), Err(StudyError::Unsound { .. })));
        }
        let shares = Shares { free: f64::NAN, ..Shares::EMPTY };
        let (label, kind) = ("Edit", StepKind::Edit);
        let step = Step { label, kind, command: "", document: None, tiles: &[], shares, noted: Noted::default() };
        assert!(matches!(study.record(step), Err(StudyError::Unsound { .. })));
        assert_eq!((study.undo_depth(), study.document()), (1, &document()));
    }

    #[test]
    fn a_canvas_of_another_size_has_its_paint_within_its_edges() {
        let mut study = StudyFile::in_memory(&document()).unwrap();
        let (empty, paint) = (TilePixels::default(), noise(1));
        stroke(&mut study, &[TileChange { key: key(0, 0), before: &empty, after: &paint }]).unwrap();
        let cropped = |study: &mut StudyFile, width, tiles: &[TileChange<'_>]| {
            let document = Document { width, ..document() };
            let (label, kind, shares) = ("Crop", StepKind::Edit, Shares::EMPTY);
            let document = Some(&document);
            study.record(Step { label, kind, command: "", document, tiles, shares, noted: Noted::default() })
        };
        let what = match cropped(&mut study, 100, &[]) {
            Err(StudyError::Unsound { what, .. }) => what,
            other => panic!("{other:?}"),
        };
        assert!(what.contains("beyond the edge"), "{what}");
        assert_eq!((study.undo_depth(), study.document()), (1, &document()));
        // With the tile cut at the edge it is a step as any other, there and back.
        let cut = Plane::from_fn(|i| if i % 128 < 100 { paint.planes()[0][i] } else { 0 });
        let cut = TilePixels::new(vec![cut]);
        cropped(&mut study, 100, &[TileChange { key: key(0, 0), before: &paint, after: &cut }]).unwrap();
        assert_eq!((tiles(&study), study.document().width), (vec![(key(0, 0), cut.clone())], 100));
        study.undo().unwrap();
        assert_eq!((tiles(&study), study.document()), (vec![(key(0, 0), paint)], &document()));
        study.redo().unwrap();
        assert_eq!((tiles(&study), study.document().width), (vec![(key(0, 0), cut)], 100));
    }

    /// Takes a photo in by a step of its own.
    fn add_photo(study: &mut StudyFile, name: &str, bytes: &[u8]) -> Result<i64, StudyError> {
        let key = study.photo_key(name, bytes)?;
        let (label, kind, shares) = ("Take in a photo", StepKind::Edit, Shares::EMPTY);
        let step = Step { label, kind, command: "", document: None, tiles: &[], shares, noted: Default::default() };
        study.record_with_photo(step, NewPhoto { key, name, bytes }).map(|_| key)
    }

    #[test]
    fn a_photo_comes_into_the_file_with_its_step_or_not_at_all() {
        let mut study = StudyFile::in_memory(&document()).unwrap();
        let photos = |study: &StudyFile| -> i64 {
            study.db.query_row("SELECT COUNT(*) FROM photo", [], |row| row.get(0)).unwrap()
        };
        let key = study.photo_key("depot.jpg", b"tram").unwrap();
        let mut wrong = document();
        wrong.active_pass = PassId(9);
        let (label, kind, shares) = ("Take in a photo", StepKind::Edit, Shares::EMPTY);
        let step =
            |document| Step { label, kind, command: "", document, tiles: &[], shares, noted: Default::default() };
        let photo = NewPhoto { key, name: "depot.jpg", bytes: b"tram" };
        assert!(matches!(study.record_with_photo(step(Some(&wrong)), photo), Err(StudyError::Unsound { .. })));
        let other = NewPhoto { key: key + 1, ..photo };
        assert!(matches!(study.record_with_photo(step(None), other), Err(StudyError::Unsound { .. })));
        // Refused only once the photo lies in the file: the document names another one.
        let mut beside = document();
        let (name, adjustments) = ("depot.jpg".to_owned(), Default::default());
        beside.reference = Some(crate::study::Reference { name, photo: key + 5, adjustments, framing: None });
        assert!(matches!(study.record_with_photo(step(Some(&beside)), photo), Err(StudyError::Unsound { .. })));
        assert_eq!((photos(&study), study.undo_depth()), (0, 0));
        study.record_with_photo(step(None), photo).unwrap();
        assert_eq!((photos(&study), study.undo_depth()), (1, 1));
    }

    #[test]
    fn photos_are_kept_once() {
        let mut study = StudyFile::in_memory(&document()).unwrap();
        let mut add = |name: &str, bytes: &[u8]| add_photo(&mut study, name, bytes).unwrap();
        let depot = add("depot.jpg", b"bytes");
        assert_eq!(add("depot.jpg", b"bytes"), depot);
        let others = [add("depot.jpg", b"other"), add("tram.jpg", b"bytes")];
        assert!(!others.contains(&depot) && others[0] != others[1]);
        // In several pieces, the last of them not whole.
        let long: Vec<u8> = (0..700_001_u32).map(|i| (i % 251) as u8).collect();
        let mut end = long.clone();
        end[700_000] ^= 1;
        let of_long = add("depot.jpg", &long);
        assert_ne!(add("depot.jpg", &end), of_long);
        assert_eq!(add("depot.jpg", &long), of_long);
        assert_eq!(study.photo(depot).unwrap(), ("depot.jpg".to_owned(), b"bytes".to_vec()));
        assert!(study.photo(of_long).unwrap().1 == long);
        assert!(matches!(study.photo(99), Err(StudyError::NoPhoto { key: 99, .. })));
    }

    #[test]
    fn a_tile_back_at_its_old_pixels_leaves_no_row() {
        let mut study = StudyFile::in_memory(&document()).unwrap();
        let (empty, paint) = (TilePixels::default(), noise(1));
        stroke(&mut study, &[TileChange { key: key(0, 0), before: &empty, after: &paint }]).unwrap();
        stroke(&mut study, &[TileChange { key: key(0, 0), before: &paint, after: &paint }]).unwrap();
        stroke(&mut study, &[TileChange { key: key(0, 0), before: &paint, after: &empty }]).unwrap();
        let count = |table: &str| -> i64 {
            study.db.query_row(&format!("SELECT COUNT(*) FROM {table}"), [], |row| row.get(0)).unwrap()
        };
        assert_eq!((count("tile"), count("step_tile")), (0, 2));
    }
}
