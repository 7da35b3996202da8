//! Canvases that read their tiles as they are needed, beside those that have them all.

use super::*;
use crate::canvas::{Change, StrokeOp};
use crate::mask::{CanvasSize, Mask, MaskTile};
use std::sync::Mutex;
use stint_model::ids::PaintId;
use stint_model::pass::{Pass, PassKind};
use stint_model::study::tile::TILE_PIXELS;

const SIZE: CanvasSize = CanvasSize { width: 700, height: 500 };
/// What the window reads of the file at a time, in these tests.
type Stored = Vec<(TileKey, TilePixels)>;

fn lut() -> PaintLut {
    PaintLut::for_tests(12, |id| id > 6)
}

fn passes(strength: u16) -> [Pass; 3] {
    [1, 2, 3].map(|id| Pass {
        strength: if id == 2 { strength } else { u16::MAX },
        ..Pass::new(PassId(id), "pass", PassKind::Board)
    })
}

fn canvas(passes: &[Pass]) -> Canvas {
    Canvas::new(SIZE, Box::new(CpuEngine::default()), lut(), passes).unwrap()
}

fn lay(canvas: &mut Canvas, pass: u32, paint: u16, tiles: &[(u16, u16)], cover: fn(usize) -> u16) -> Vec<Change> {
    let mut mask = Mask::new(SIZE);
    for &(column, row) in tiles {
        let pos = TilePos { column, row };
        let (across, down) = SIZE.tile_extent(pos);
        let on = |i: usize| (i % 128) < across as usize && i / 128 < down as usize;
        mask.tiles.insert(pos, MaskTile::from_fn(|i| if on(i) { cover(i) } else { 0 }));
    }
    canvas.commit(PassId(pass), &StrokeOp::lay(PaintId(paint)), &mask).unwrap()
}

/// Three passes that overlap here and there.
fn painted(canvas: &mut Canvas) {
    lay(canvas, 1, 1, &[(0, 0), (1, 0), (2, 0), (5, 3)], |_| 60_000);
    lay(canvas, 1, 8, &[(1, 0), (3, 1)], |i| (i % 5000) as u16);
    lay(canvas, 2, 3, &[(1, 0), (2, 2), (0, 2)], |i| 9000 + (i % 77) as u16);
    lay(canvas, 3, 9, &[(2, 2), (4, 3)], |_| u16::MAX);
}

/// A study's file: hands tiles out, counts them, and may be broken.
struct File {
    tiles: BTreeMap<TileKey, TilePixels>,
    read: Mutex<Vec<TileKey>>,
    broken: Option<TileKey>,
}

impl TileSource for File {
    fn read(&self, keys: &[TileKey]) -> Result<Stored, String> {
        self.read.lock().unwrap().extend(keys);
        let read = |key: &TileKey| match self.broken {
            Some(broken) if broken == *key => Err("planted".to_owned()),
            _ => Ok((*key, self.tiles[key].clone())),
        };
        keys.iter().map(read).collect()
    }
}

fn heads(tiles: &BTreeMap<TileKey, TilePixels>) -> Vec<TileHead> {
    let head = |(key, tile): (&TileKey, &TilePixels)| {
        let mut amounts = Tally::default();
        for plane in tile.planes() {
            (0..TILE_PIXELS).for_each(|i| amounts.add(PaintId((plane[i] >> 16) as u16), (plane[i] & 0xffff).into()));
        }
        TileHead { key: *key, planes: tile.planes().len(), packed_bytes: 1 << 20, amounts }
    };
    tiles.iter().map(head).collect()
}

/// A canvas that has all its tiles, and one of the same study that has read none.
fn pair(strength: u16, broken: Option<TileKey>) -> (Canvas, Canvas, Arc<File>) {
    let mut whole = canvas(&passes(strength));
    painted(&mut whole);
    let tiles: BTreeMap<_, _> = stored(&mut whole).into_iter().collect();
    let mut away = canvas(&passes(strength));
    let all = tally_of_classes(whole.tally().unwrap(), &lut());
    let heads = heads(&tiles);
    let file = Arc::new(File { tiles, read: Mutex::default(), broken });
    away.expect(heads, all, file.clone());
    (whole, away, file)
}

fn stored(canvas: &mut Canvas) -> Stored {
    canvas.all_tiles().unwrap().into_iter().map(|(key, tile)| (key, (*tile).clone())).collect()
}

fn classes(canvas: &mut Canvas) -> ClassAmounts {
    let counted = canvas.count().unwrap().clone();
    let (counted, rest) = (tally_of_classes(&counted, &lut()), canvas.uncounted_amounts());
    ClassAmounts { board: counted.board + rest.board, free: counted.free + rest.free }
}

fn read_next(canvas: &mut Canvas) -> bool {
    let Some(unread) = canvas.unread() else { return false };
    let read = unread.read().unwrap();
    canvas.take_read(read).unwrap();
    true
}

#[test]
fn classes_are_exact_from_the_start_and_paints_when_all_is_counted() {
    for strength in [u16::MAX, 30_000] {
        let (mut whole, mut away, file) = pair(strength, None);
        let all = whole.tally().unwrap().clone();
        assert_eq!(classes(&mut away), tally_of_classes(&all, &lut()));
        assert!(file.read.lock().unwrap().is_empty(), "nothing was read for it");
        // Where two passes lie above each other, and where the only one shows in part.
        assert_eq!(away.uncounted().0, if strength == u16::MAX { 2 } else { 3 });
        while read_next(&mut away) {
            assert_eq!(classes(&mut away), tally_of_classes(&all, &lut()));
        }
        assert_eq!((away.uncounted().0, away.counted(), away.is_reading()), (0, &all, false));
        assert_eq!(stored(&mut away), stored(&mut whole));
        let count = file.read.lock().unwrap().len();
        assert_eq!(count, file.tiles.len(), "each was read once");
    }
}

#[test]
fn whatever_is_asked_of_the_canvas_is_as_if_all_had_been_read() {
    type Asked = fn(&mut Canvas) -> String;
    let asked: [(&str, Asked); 10] = [
        ("tally", |c| format!("{:?}", c.tally().unwrap())),
        ("paints at a pixel", |c| format!("{:?}", c.paints_at(130, 5).unwrap())),
        ("colours", |c| format!("{:?}", c.resolve(&[TilePos { column: 2, row: 2 }]).unwrap())),
        ("a band", |c| format!("{:?}", c.resolve_band(3).unwrap())),
        ("shares", |c| format!("{:?}", c.coverage_of(&[PaintId(3)], &[TilePos { column: 1, row: 0 }]).unwrap())),
        ("a small picture", |c| format!("{:?}", c.thumbnail(60).unwrap())),
        ("painted passes", |c| format!("{:?}", [1, 2, 3, 4].map(|id| c.is_painted(PassId(id))))),
        ("clearing a pass", |c| {
            let changes = c.clear_pass(PassId(2)).unwrap();
            format!("{:?}", changes.iter().map(|c| (c.key, c.before.clone())).collect::<Vec<_>>())
        }),
        ("merging passes", |c| {
            let changes = c.merge((PassId(2), 40_000), (PassId(1), u16::MAX)).unwrap();
            format!("{:?}", changes.iter().map(|c| (c.key, c.before.clone(), c.after.clone())).collect::<Vec<_>>())
        }),
        ("a fill", |c| {
            let fill = crate::canvas::Fill { at: (600, 450), tolerance: 0.1, gap_px: 3 };
            format!("{:?}", c.fill_mask(fill).unwrap().tiles.len())
        }),
    ];
    for (what, ask) in asked {
        for first in 0..2 {
            let (mut whole, mut away, _) = pair(30_000, None);
            // With nothing read, and in the middle of it.
            if first == 1 {
                read_next(&mut away);
            }
            assert!(ask(&mut away) == ask(&mut whole), "{what}");
            assert_eq!(away.tally().unwrap(), whole.tally().unwrap(), "{what}");
            assert!(stored(&mut away) == stored(&mut whole), "{what}");
        }
    }
}

#[test]
fn what_was_read_for_something_else_is_counted_too() {
    let (mut whole, mut away, _) = pair(30_000, None);
    away.read_all().unwrap();
    assert_eq!(away.count().unwrap(), whole.tally().unwrap());
    assert_eq!((away.uncounted().0, away.uncounted_amounts()), (0, ClassAmounts::default()));
}

#[test]
fn strokes_undo_and_hidden_passes_are_exact_while_tiles_are_on_their_way() {
    let (mut whole, mut away, _) = pair(30_000, None);
    // Read before the stroke, and taken after it: what was painted stays.
    let late = away.unread().unwrap().read().unwrap();
    let tiles = [(1, 0), (2, 2), (0, 0), (4, 0)];
    let changes: Vec<_> = [&mut whole, &mut away].map(|c| lay(c, 1, 4, &tiles, |i| (i % 60_000) as u16)).into();
    let values =
        |changes: &[Change]| -> Vec<_> { changes.iter().map(|c| (c.key, c.before.clone(), c.after.clone())).collect() };
    assert!(values(&changes[0]) == values(&changes[1]));
    away.take_read(late).unwrap();
    assert_eq!(classes(&mut away), tally_of_classes(whole.tally().unwrap(), &lut()));
    // A tile that was not read is put in place, as undo does; another goes.
    for canvas in [&mut whole, &mut away] {
        let key = |pass, column, row| TileKey { pass: PassId(pass), pos: TilePos { column, row } };
        let tile = TilePixels::new(vec![stint_model::study::tile::Plane::even(5 << 16 | 77)]);
        canvas.put_tiles(vec![(key(3, 2, 2), tile), (key(1, 3, 1), TilePixels::default())]).unwrap();
    }
    assert_eq!(classes(&mut away), tally_of_classes(whole.tally().unwrap(), &lut()));
    for shows in [[true, false, true], [true, true, false]] {
        for canvas in [&mut whole, &mut away] {
            let passes: Vec<_> =
                passes(30_000).into_iter().zip(shows).map(|(p, visible)| Pass { visible, ..p }).collect();
            canvas.set_passes(&passes);
        }
        assert_eq!(classes(&mut away), tally_of_classes(whole.tally().unwrap(), &lut()));
    }
    while read_next(&mut away) {}
    assert_eq!(away.tally().unwrap(), whole.tally().unwrap());
    assert!(stored(&mut away) == stored(&mut whole));
}

#[test]
fn places_that_are_wanted_come_first_and_show_their_mean_until_then() {
    let (mut whole, mut away, file) = pair(u16::MAX, None);
    let corner = TilePos { column: 5, row: 3 };
    assert!(away.is_away(corner) && !away.is_away(TilePos { column: 5, row: 0 }));
    let rough = away.rough_colours(&[corner, TilePos { column: 5, row: 0 }]);
    let shown = whole.resolve(&[corner, TilePos { column: 5, row: 0 }]).unwrap();
    assert_eq!(rough, [shown[0], shown[TILE_PIXELS]], "even tiles show what they are");
    away.want(vec![corner]);
    read_next(&mut away);
    assert_eq!(file.read.lock().unwrap()[0].pos, corner);
    assert!(!away.is_away(corner));
}

#[test]
fn a_tile_that_cannot_be_read_is_told_and_nothing_is_made_up() {
    let key = TileKey { pass: PassId(2), pos: TilePos { column: 2, row: 2 } };
    let (_, mut away, _) = pair(u16::MAX, Some(key));
    let told = loop {
        match away.unread().unwrap().read() {
            Ok(read) => drop(away.take_read(read).unwrap()),
            Err(why) => break why,
        }
    };
    assert_eq!(told, "planted");
    for failed in [away.tally().err(), away.resolve(&[key.pos]).err(), away.read_all().err()] {
        assert!(matches!(failed, Some(EngineError::Unreadable(why)) if why == "planted"));
    }
    let mut mask = Mask::new(SIZE);
    mask.tiles.insert(key.pos, MaskTile::Even(9));
    assert!(away.commit(PassId(1), &StrokeOp::lay(PaintId(1)), &mask).is_err());
    assert!(away.is_away(key.pos));
}

/// A study that a few kilobytes of a file make large is read a part at a time all the same; even tiles, which take no room, many at once.
#[test]
fn little_is_unpacked_in_one_go_however_little_it_is_packed() {
    let size = CanvasSize { width: 16_384, height: 16_384 };
    let planes = MAX_PLANES;
    let first = |packed_bytes: u64| {
        let pass = Pass::new(PassId(1), "pass", PassKind::Board);
        let mut canvas = Canvas::new(size, Box::new(CpuEngine::default()), lut(), &[pass]).unwrap();
        let head =
            |pos| TileHead { key: TileKey { pass: PassId(1), pos }, planes, packed_bytes, amounts: Tally::default() };
        let file = File { tiles: BTreeMap::new(), read: Mutex::default(), broken: None };
        canvas.expect(size.tiles().map(head).collect(), ClassAmounts::default(), Arc::new(file));
        canvas.unread().unwrap().keys.len()
    };
    assert_eq!((first(100), first(2 + 4 * MAX_PLANES as u64)), (TILES_AT_A_TIME, PLACES_AT_A_TIME));
}
