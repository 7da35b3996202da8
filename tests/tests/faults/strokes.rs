//! A stroke that goes on although the engine failed in the middle of it.

use crate::fault_support::engine::FaultyEngine;
use crate::fault_support::{Trigger, alone};
use std::sync::Arc;
use stint::study::command::{Command, SwatchRef};
use stint::study::session::{Session, StrokeTool};
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::ids::SwatchId;
use stint_model::study::Document;
use stint_model::study::file::StudyFile;
use stint_model::study::tile::{TileKey, TilePixels};
use stint_render::mask::PenSample;
use stint_render::mask::brush::Brush;
use stint_render::mask::mass::Edge;

/// Paints from place to place; at one of them the engine fails once. Gives what is kept of it.
fn painted(
    (tool, brush): (StrokeTool, &Brush),
    places: &[[f32; 2]],
    fails_at: Option<usize>,
) -> Vec<(TileKey, Arc<TilePixels>)> {
    let folder = tempfile::tempdir().unwrap();
    let document = Document::new(900, 140, Board::new("depot", LightOfDay::Cool)).unwrap();
    let file = StudyFile::create(&folder.path().join("depot.stint"), &document).unwrap();
    let trigger = Arc::new(Trigger::new());
    let mut session = Session::with_engine(file, Box::new(FaultyEngine::new(trigger.clone()))).unwrap();
    for (role, colour) in [(Role::Local, "#73524e"), (Role::Light, "#a8846f")] {
        let (family, name, colour) = ("Brick".to_owned(), String::new(), colour.to_owned());
        session.apply(&Command::AddSwatch { family, role, name, colour, by_role: true }).unwrap();
    }
    session.apply(&Command::Load(SwatchRef::Id(SwatchId(1)))).unwrap();
    let outline = vec![[100.0, 0.0], [500.0, 0.0], [300.0, 140.0], [100.0, 140.0]];
    session.apply(&Command::Mass { outline, edge: Edge::Soft }).unwrap();
    session.apply(&Command::Load(SwatchRef::Id(SwatchId(2)))).unwrap();
    session.apply(&Command::Brush(brush.clone())).unwrap();
    session.begin_stroke(tool).unwrap();
    for (i, [x, y]) in places.iter().enumerate() {
        if fails_at == Some(i) {
            trigger.arm(1, false);
        }
        let extended = session.extend_stroke(&[PenSample::new(*x, *y, 1.0)]);
        assert_eq!(extended.is_err(), trigger.disarm(), "{extended:?}");
        assert_eq!(extended.is_err(), fails_at == Some(i), "{extended:?}");
    }
    session.finish_stroke().unwrap();
    session.settle().unwrap();
    let tiles = session.canvas().all_tiles().unwrap();
    session.close().unwrap();
    tiles
}

/// What could not be shown when it was painted is there all the same, whether the stroke goes on or ends.
#[test]
fn a_stroke_over_which_the_engine_failed_is_whole() {
    let _alone = alone();
    let plain = Brush { size_px: 30.0, ..Brush::default() };
    let wet = stint::files::brushes::shipped().into_iter().find(|named| named.brush.wet().is_some()).unwrap().brush;
    let places: Vec<[f32; 2]> = (0..6_u8).map(|i| [30.0 + 160.0 * f32::from(i), 60.0 + f32::from(i % 3)]).collect();
    let soft = Brush { size_px: 60.0, ..plain.clone() };
    let wet = Brush { size_px: 30.0, ..wet };
    for (name, tool, brush) in [
        ("plain", StrokeTool::Brush, &plain),
        ("wet", StrokeTool::Brush, &wet),
        ("soften", StrokeTool::Soften, &soft),
        ("scrape", StrokeTool::Scrape, &plain),
    ] {
        let whole = painted((tool, brush), &places, None);
        assert!(whole.len() > 2, "{}", whole.len());
        for fails_at in 1..places.len() {
            let with_fault = painted((tool, brush), &places, Some(fails_at));
            assert!(with_fault == whole, "{name}: the engine failed at sample {fails_at}");
        }
    }
}
