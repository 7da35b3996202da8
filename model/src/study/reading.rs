//! The tiles of an open study as they are needed: what is stored beside the pixels at once, the pixels later.

use super::codec::{Codec, EVEN_PLANE_BYTES, EVEN_TILE_BYTES, in_parallel, in_turn};
use super::error::{Fault, StudyError};
use super::file::{Shares, StudyFile};
use super::rows::{StoredTile, read_key, read_share_row};
use super::tile::{MAX_PLANES, TileKey, TilePixels, place_of};
use super::tile_tally::{Limits, TileTally};
use super::unpack::unpack;
use crate::ids::PaintId;
use crate::readout::Tally;
use std::path::PathBuf;

/// What is stored beside the pixels of a tile. It is held against them when they are read, and not before: a damaged file may say
/// anything here.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TileHead {
    /// Which tile.
    pub key: TileKey,
    /// Its planes, 1 to [`MAX_PLANES`].
    pub planes: usize,
    /// Bytes of its packed pixels.
    pub packed_bytes: u64,
    /// The sum of the amounts of each paint in it, whatever lies above: 65535 is one pixel in full.
    pub amounts: Tally,
}

impl TileHead {
    /// Whether its packed pixels are no more than one word a plane: such a tile takes next to no memory.
    pub fn is_even(&self) -> bool {
        self.packed_bytes <= EVEN_TILE_BYTES + EVEN_PLANE_BYTES * self.planes as u64
    }
}

/// Packed tiles, to be unpacked on any thread.
#[derive(Debug)]
pub struct PackedTiles {
    path: PathBuf,
    limits: Limits,
    tiles: Vec<(TileKey, StoredTile)>,
}

impl PackedTiles {
    /// Their pixels, checked as [`StudyFile::for_each_tile`] does.
    ///
    /// # Errors
    /// When a tile is damaged.
    pub fn unpack(&self) -> Result<Vec<(TileKey, TilePixels)>, StudyError> {
        in_parallel(&self.tiles, |codec, tile| self.one(codec, tile)).map_err(|e| e.at(&self.path))
    }

    /// The same on this thread alone, so that others go on meanwhile.
    ///
    /// # Errors
    /// As for [`PackedTiles::unpack`].
    pub fn unpack_in_turn(&self) -> Result<Vec<(TileKey, TilePixels)>, StudyError> {
        in_turn(&self.tiles, |codec, tile| self.one(codec, tile)).map_err(|e| e.at(&self.path))
    }

    fn one(&self, codec: &mut Codec, (key, stored): &(TileKey, StoredTile)) -> Result<(TileKey, TilePixels), Fault> {
        Ok((*key, unpack(codec, *key, stored, &self.limits)?))
    }
}

impl StudyFile {
    /// The heads of all tiles with paint at the head of the history. Their pixels are not read.
    ///
    /// # Errors
    /// When the file cannot be read, or a head is damaged in a way that can be told without the pixels.
    pub fn tile_heads(&self) -> Result<Vec<TileHead>, StudyError> {
        self.read_heads().map_err(|e| e.at(&self.path))
    }

    fn read_heads(&self) -> Result<Vec<TileHead>, Fault> {
        let limits = Limits::of(&self.document);
        let mut query = self
            .db
            .prepare_cached("SELECT pass, tile_row, tile_column, plane_count, tally, length(planes) FROM tile")?;
        let mut rows = query.query([])?;
        let mut heads = Vec::new();
        while let Some(row) = rows.next()? {
            let key = read_key(row)?;
            let (planes, tally, packed): (i64, Vec<u8>, i64) = (row.get(3)?, row.get(4)?, row.get(5)?);
            let planes = usize::try_from(planes).ok().filter(|planes| (1..=MAX_PLANES).contains(planes));
            let read = planes.zip(TileTally::from_bytes(&tally, &limits));
            let damaged = || Fault::Damaged(format!("what is noted of {} cannot be", place_of(key)));
            let (planes, tally) = read.ok_or_else(damaged)?;
            let mut amounts = Tally::default();
            tally.iter().for_each(|(paint, sum)| amounts.add(PaintId(paint), sum.into()));
            heads.push(TileHead { key, planes, packed_bytes: u64::try_from(packed).unwrap_or(0), amounts });
        }
        Ok(heads)
    }

    /// Some tiles at the head of the history, packed as they are: quickly read.
    ///
    /// # Errors
    /// When one is not there, or the file cannot be read.
    pub fn packed_tiles(&self, keys: &[TileKey]) -> Result<PackedTiles, StudyError> {
        let read = |&key: &TileKey| -> Result<_, Fault> {
            let stored = StoredTile::at(&self.db, key)?;
            Ok((key, stored.ok_or_else(|| Fault::Damaged(format!("{} is gone", place_of(key))))?))
        };
        let tiles = keys.iter().map(read).collect::<Result<_, Fault>>().map_err(|e| e.at(&self.path))?;
        Ok(PackedTiles { path: self.path.clone(), limits: Limits::of(&self.document), tiles })
    }

    /// The readout at the head of the history, as it was recorded.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn shares_at_head(&self) -> Result<Shares, StudyError> {
        read_share_row(&self.db, self.position.head).map(|row| row.shares).map_err(|e| e.at(&self.path))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::board::{Board, LightOfDay};
    use crate::colour::Colour;
    use crate::ids::PassId;
    use crate::study::Document;
    use crate::study::file::{Step, StepKind, TileChange};
    use crate::study::tile::{Plane, TILE_PIXELS, TilePos};

    fn key(column: u16, row: u16) -> TileKey {
        TileKey { pass: PassId(1), pos: TilePos { column, row } }
    }

    fn study() -> (StudyFile, Vec<(TileKey, TilePixels)>) {
        let mut document = Document::new(512, 384, Board::new("depot", LightOfDay::Cool)).unwrap();
        for i in 0..4 {
            document.paints.load_free(Colour::new(0.1 * i as f32, 0.2, 0.3)).unwrap();
        }
        let mut study = StudyFile::in_memory(&document).unwrap();
        let even = TilePixels::new(vec![Plane::even(2 << 16 | 30_000), Plane::even(3 << 16 | 9)]);
        let grained = TilePixels::new(vec![Plane::from_fn(|i| (1 + i as u32 % 3) << 16 | (1 + i as u32))]);
        let laid = vec![(key(0, 0), even), (key(3, 2), grained)];
        let empty = TilePixels::default();
        let tiles: Vec<_> = laid.iter().map(|(key, after)| TileChange { key: *key, before: &empty, after }).collect();
        let (label, kind) = ("Stroke", StepKind::Stroke);
        let shares = Shares { painted_px: 100.5, board: 0.25, free: 0.75, bare: 0.5 };
        let step = Step { label, kind, command: "", document: None, tiles: &tiles, shares, noted: Default::default() };
        study.record(step).unwrap();
        (study, laid)
    }

    #[test]
    fn heads_tell_what_pixels_come_to_and_pixels_come_one_by_one() {
        let (study, laid) = study();
        let heads = study.tile_heads().unwrap();
        assert_eq!(heads.len(), 2);
        for (head, (key, tile)) in heads.iter().zip(&laid) {
            let mut counted = Tally::default();
            for word in tile.planes().iter().flat_map(Plane::iter) {
                counted.add(PaintId((word >> 16) as u16), u64::from(word & 0xffff));
            }
            assert_eq!((head.key, head.planes, &head.amounts), (*key, tile.planes().len(), &counted));
        }
        assert_eq!(heads[0].amounts.amount(PaintId(3)), 9 * TILE_PIXELS as u64);
        // Two planes of four bytes each, and the two bytes before them.
        assert!(heads[0].packed_bytes == 10 && heads[1].packed_bytes > 10);
        assert!(heads[0].is_even() && !heads[1].is_even());
        for (key, tile) in laid.into_iter().rev() {
            let packed = study.packed_tiles(&[key]).unwrap();
            assert_eq!(packed.unpack_in_turn().unwrap(), packed.unpack().unwrap());
            assert_eq!(packed.unpack().unwrap(), [(key, tile)]);
        }
        assert!(matches!(study.packed_tiles(&[key(1, 1)]), Err(StudyError::Damaged { .. })));
        assert_eq!(study.shares_at_head().unwrap().board, 0.25);
    }

    #[test]
    fn a_head_that_cannot_be_is_refused_and_one_that_lies_is_found_with_its_pixels() {
        for (sql, at_once) in [
            ("UPDATE tile SET tally = x'0100'", true),
            ("UPDATE tile SET tally = x'000009000000'", true),
            ("UPDATE tile SET tally = x'090009000000'", true),
            ("UPDATE tile SET tally = x'010009000000010009000000'", true),
            ("UPDATE tile SET tally = x'0100ffffffff'", true),
            ("UPDATE tile SET tally = x'010009000000'", false),
            ("UPDATE tile SET plane_count = 7", false),
        ] {
            let (study, laid) = study();
            study.db.execute_batch(sql).unwrap();
            let heads = study.tile_heads();
            assert_eq!(matches!(heads, Err(StudyError::Damaged { .. })), at_once, "{sql}: {heads:?}");
            let pixels = study.packed_tiles(&[laid[0].0]).unwrap().unpack();
            assert!(matches!(pixels, Err(StudyError::Damaged { .. })), "{sql}");
        }
    }
}
