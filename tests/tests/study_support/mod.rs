//! Random studies in plain values, shared by the tests of study files.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use stint_model::board::{Board, LightOfDay};
use stint_model::ids::PassId;
use stint_model::pass::{Pass, PassKind};
use stint_model::study::Document;
use stint_model::study::file::{Shares, Step, StepKind, StudyError, StudyFile, TileChange};
use stint_model::study::tile::{TILE_PIXELS, TileKey, TilePixels, TilePos};

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

pub fn document() -> Document {
    Document::new(1000, 700, Board::new("tram depot, blue hour", LightOfDay::Cool)).unwrap()
}

pub fn empty() -> State {
    State { document: document(), tiles: Tiles::new(), strokes: 0 }
}

/// Bare, flat, softly graded or wild; 0 to 8 planes, at times with an empty one on top.
pub fn some_tile(random: &mut Random) -> TilePixels {
    let planes = [0, 1, 1, 1, 2, 3, 8][random.below(7) as usize];
    let mut tile = TilePixels::default();
    for plane in 0..planes {
        let (id, sort, shift) = (1 + random.below(30) as u32, random.below(3), random.below(9) as u32);
        tile.planes.push(match sort {
            0 => vec![(id << 16) | (65535 / planes); TILE_PIXELS],
            1 => (0..TILE_PIXELS as u32).map(|i| (id << 16) | ((i >> shift) / planes)).collect(),
            _ => (0..TILE_PIXELS).map(|_| random.next() as u32 | u32::from(plane == 0)).collect(),
        });
    }
    if planes > 0 && planes < 8 && random.below(4) == 0 {
        tile.planes.push(vec![0; TILE_PIXELS]);
    }
    tile
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
        tiles.insert(key, some_tile(random));
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

pub fn set(tiles: &mut Tiles, key: TileKey, mut tile: TilePixels) {
    tile.trim();
    if tile.planes.is_empty() {
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
    let step = Step { label: &label, kind: change.kind, command, document, tiles: &tiles, shares, opened: None };
    let id = study.record(step)?;
    assert_eq!(id.0, number);
    Ok(())
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
