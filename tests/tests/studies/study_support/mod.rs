//! Random studies in plain values, shared by the tests of study files.
#![allow(dead_code, reason = "each test file takes what it needs")]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use stint_model::board::{Board, LightOfDay};
use stint_model::colour::Colour;
use stint_model::ids::PassId;
use stint_model::pass::{Pass, PassKind};
use stint_model::study::Document;
use stint_model::study::file::{NewPhoto, Shares, Step, StepKind, StudyError, StudyFile, TileChange};
use stint_model::study::tile::{Plane, TILE_PIXELS, TILE_SIDE, TileKey, TilePixels, TilePos};

/// SplitMix64 (G. Steele, D. Lea, C. Flood, "Fast splittable pseudorandom number generators", 2014; constants from
/// memory).
pub struct Random(pub u64);

impl Random {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub fn below(&mut self, limit: u64) -> u64 {
        self.next() % limit
    }
}

pub type Tiles = BTreeMap<TileKey, TilePixels>;

/// What a study is at one step, in plain values.
#[derive(Clone, PartialEq, Debug)]
pub struct State {
    pub document: Document,
    pub tiles: Tiles,
    pub strokes: u64,
}

/// A step as plain values.
pub struct Change {
    pub kind: StepKind,
    pub document: Option<Document>,
    pub tiles: Vec<(TileKey, TilePixels, TilePixels)>,
}

/// Paints in the table of [`document`].
const PAINTS: u64 = 30;
/// The canvas: neither side is a whole number of tiles.
const SIZE: (u32, u32) = (1000, 700);

pub fn document() -> Document {
    let board = Board::new("tram depot, blue hour", LightOfDay::Cool);
    let mut document = Document::new(SIZE.0, SIZE.1, board).unwrap();
    for n in 0..PAINTS {
        document.paints.load_free(Colour::new(n as f32 / PAINTS as f32, 0.1, 0.2)).unwrap();
    }
    document
}

pub fn empty() -> State {
    State { document: document(), tiles: Tiles::new(), strokes: 0 }
}

/// Bare, flat, softly graded or wild; 0 to 8 planes, bare beyond the edge of the canvas.
pub fn some_tile(random: &mut Random, pos: TilePos) -> TilePixels {
    let count = [0, 1, 1, 1, 2, 3, 8][random.below(7) as usize];
    // Paints that follow one another are none twice.
    let (first, most) = (random.below(PAINTS), 65535 / count.max(1) as u32);
    let inside = |i: usize| {
        let (x, y) = (i as u32 % TILE_SIDE, i as u32 / TILE_SIDE);
        u32::from(pos.column) * TILE_SIDE + x < SIZE.0 && u32::from(pos.row) * TILE_SIDE + y < SIZE.1
    };
    // A pixel that has no pair in one plane has none above it.
    let mut ended = vec![false; TILE_PIXELS];
    let mut plane = |number: u64| {
        let id = 1 + ((first + number) % PAINTS) as u32;
        let (sort, shift) = (random.below(3), random.below(9) as u32);
        Plane::from_fn(|i| {
            let amount = match sort {
                0 => most,
                1 => ((i as u32 >> shift) + 1).min(most),
                _ => random.next() as u32 % (most + 1),
            };
            ended[i] |= amount == 0 || !inside(i);
            if ended[i] { 0 } else { id << 16 | amount }
        })
    };
    TilePixels::new((0..count).map(&mut plane).collect())
}

/// The next step from `state`.
pub fn some_change(random: &mut Random, state: &State) -> Change {
    let mut document = None;
    if random.below(3) == 0 {
        let mut changed = state.document.clone();
        changed.board.name = format!("board {}", random.below(1000));
        changed.ground.colour.r = random.below(1000) as f32 / 999.0;
        if changed.passes.len() < 4 && random.below(2) == 0 {
            let id = PassId(changed.passes.len() as u32 + 1);
            changed.passes.push(Pass::new(id, "Glazes", PassKind::Board));
            changed.active_pass = id;
        }
        document = Some(changed);
    }
    let passes = document.as_ref().unwrap_or(&state.document).passes.len() as u64;
    let mut tiles = BTreeMap::new();
    for _ in 0..random.below(6) {
        let pos = TilePos { column: random.below(8) as u16, row: random.below(6) as u16 };
        let key = TileKey { pass: PassId(1 + random.below(passes) as u32), pos };
        tiles.insert(key, some_tile(random, pos));
    }
    let before = |key| state.tiles.get(&key).cloned().unwrap_or_default();
    let tiles = tiles.into_iter().map(|(key, after)| (key, before(key), after)).collect();
    let kind = if random.below(4) == 0 { StepKind::Edit } else { StepKind::Stroke };
    Change { kind, document, tiles }
}

pub fn after(state: &State, change: &Change) -> State {
    let mut state = state.clone();
    state.strokes += u64::from(change.kind == StepKind::Stroke);
    state.document = change.document.clone().unwrap_or(state.document);
    for (key, _, tile) in &change.tiles {
        set(&mut state.tiles, *key, tile.clone());
    }
    state
}

pub fn set(tiles: &mut Tiles, key: TileKey, tile: TilePixels) {
    if tile.is_empty() {
        tiles.remove(&key);
    } else {
        tiles.insert(key, tile);
    }
}

pub fn shares(number: u64) -> Shares {
    Shares { painted_px: number as f64, board: 0.75, free: 0.25, bare: 1.0 / (number + 1) as f64 }
}

pub fn record(study: &mut StudyFile, change: &Change) -> Result<(), StudyError> {
    let tiles = change.tiles.iter().map(|(key, before, after)| TileChange { key: *key, before, after });
    let tiles: Vec<TileChange<'_>> = tiles.collect();
    let number = study.undo_depth() + 1;
    let label = format!("Step {number}");
    let document = change.document.as_ref();
    let command = "Stroke(width_px: 12.0)";
    let shares = shares(number);
    let step =
        Step { label: &label, kind: change.kind, command, document, tiles: &tiles, shares, noted: Default::default() };
    let id = study.record(step)?;
    assert_eq!(id.0, number);
    Ok(())
}

/// Takes a photo in by a step of its own.
pub fn add_photo(study: &mut StudyFile, name: &str, bytes: &[u8]) -> Result<i64, StudyError> {
    let key = study.photo_key(name, bytes)?;
    let (label, kind, shares) = ("Take in a photo", StepKind::Edit, shares(study.undo_depth() + 1));
    let step = Step { label, kind, command: "", document: None, tiles: &[], shares, noted: Default::default() };
    study.record_with_photo(step, NewPhoto { key, name, bytes }).map(|_| key)
}

pub fn state(study: &StudyFile) -> State {
    let mut tiles = Tiles::new();
    study.for_each_tile(&mut |key, tile| assert!(tiles.insert(key, tile).is_none())).unwrap();
    State { document: study.document().clone(), tiles, strokes: study.strokes() }
}

/// A study in a folder of its own, with `steps` steps, and all its states from the empty one on.
pub fn painted(seed: u64, steps: usize) -> (tempfile::TempDir, PathBuf, Vec<State>) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.stint");
    let mut study = StudyFile::create(&path, &document()).unwrap();
    let (mut random, mut states) = (Random(seed), vec![empty()]);
    for _ in 0..steps {
        let change = some_change(&mut random, states.last().unwrap());
        record(&mut study, &change).unwrap();
        states.push(after(states.last().unwrap(), &change));
    }
    study.close().unwrap();
    (folder, path, states)
}

pub fn files_in(folder: &Path) -> Vec<String> {
    let names = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.collect();
    names.sort();
    names
}

/// CRC-32/ISO-HDLC bit by bit, as ISO 3309 and the PNG specification (annex D) describe it: the check sum of rows.
pub fn crc32(parts: &[&[u8]]) -> i64 {
    let step = |crc: u32, byte: &u8| (0..8).fold(crc ^ u32::from(*byte), |c, _| (c >> 1) ^ (0xedb8_8320 * (c & 1)));
    i64::from(!parts.iter().copied().flatten().fold(!0, step))
}

/// Text or a blob, as a check sum takes it in.
pub fn counted(bytes: &[u8]) -> Vec<u8> {
    [&(bytes.len() as u64).to_le_bytes()[..], bytes].concat()
}

/// Gives changed documents and a changed head the check sums they want, as somebody would who knows the format.
pub fn sum_anew(db: &rusqlite::Connection) {
    let documents: Vec<(i64, String)> = {
        let mut query = db.prepare("SELECT step, ron FROM document").unwrap();
        query.query_map([], |row| Ok((row.get(0)?, row.get(1)?))).unwrap().map(Result::unwrap).collect()
    };
    for (step, ron) in documents {
        let sum = crc32(&[&step.to_le_bytes(), &counted(ron.as_bytes())]);
        db.execute("UPDATE document SET check_sum = ?2 WHERE step = ?1", (step, sum)).unwrap();
    }
}
