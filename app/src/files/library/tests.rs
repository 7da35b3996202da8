//! The library in a folder of its own.
#![allow(clippy::unwrap_used)]

use super::*;
use std::sync::Arc;
use stint_model::board::file::read_board;
use stint_model::board::{LightOfDay, Role};
use stint_model::photo::{Outline, propose_board, trio};

fn board(name: &str, light: LightOfDay, swatches: &[(&str, Role, &str)]) -> Board {
    swatches.iter().fold(Board::new(name, light), |board, (family, role, hex)| {
        let (board, id) = match board.family_named(family) {
            Some(found) => (board.clone(), found.id),
            None => board.with_family(family).unwrap(),
        };
        board.with_swatch(id, *role, "", Colour::from_hex(hex).unwrap(), &[]).unwrap().0
    })
}

fn depot() -> Board {
    board("Depot", LightOfDay::Cool, &[("Brick", Role::Local, "#73524e"), ("Sky", Role::Light, "#9db2c6")])
}

fn names(library: &mut Library) -> Vec<String> {
    library.entries().unwrap().iter().map(|e| e.name.clone()).collect()
}

fn file_name(path: &Path) -> String {
    path.file_name().unwrap().to_string_lossy().into_owned()
}

fn small() -> RgbImage {
    RgbImage::from_pixel(4, 3, image::Rgb([90, 80, 70]))
}

#[test]
fn keeping_dates_and_numbers_and_never_overwrites() {
    let home = tempfile::tempdir().unwrap();
    let mut library = Library::open(Some(home.path()));
    assert_eq!(library.entries().unwrap(), []);
    let one = library.keep(&depot(), Some(&small())).unwrap();
    let first = std::fs::read(&one).unwrap();
    let two = library.keep(&Board { date: "2024-02-29".to_owned(), ..depot() }, None).unwrap();
    assert_eq!((file_name(&one), file_name(&two)), ("Depot.board.ron".to_owned(), "Depot 2.board.ron".to_owned()));
    assert_eq!(std::fs::read(&one).unwrap(), first);
    assert_eq!(read_board(&one).unwrap(), Board { date: clock::today(), ..depot() });
    let second = read_board(&two).unwrap();
    assert_eq!((second.name.as_str(), second.date.as_str()), ("Depot 2", "2024-02-29"));
    assert_eq!(image::open(photo_of(&one)).unwrap().to_rgb8(), small());
    // A name that differs by case alone, or that the file system refuses.
    let three = library.keep(&board("depot", LightOfDay::Warm, &[]), None).unwrap();
    assert_eq!(file_name(&three), "depot 3.board.ron");
    let four = library.keep(&board("a/b", LightOfDay::Warm, &[]), None).unwrap();
    assert_eq!((file_name(&four), read_board(&four).unwrap().name), ("a-b.board.ron".to_owned(), "a/b".to_owned()));
    // Another name that comes to the same file.
    let five = library.keep(&board("a:b", LightOfDay::Warm, &[]), None).unwrap();
    assert_eq!(file_name(&five), "a-b 2.board.ron");
    assert!(matches!(library.keep(&Board::default(), None), Err(LibraryError::NoName)));
    assert_eq!(library.entries().unwrap().len(), 5);
}

#[test]
fn a_board_that_cannot_be_kept_leaves_nothing_behind() {
    let home = tempfile::tempdir().unwrap();
    let mut library = Library::open(Some(home.path()));
    let mut unsound = depot();
    unsound.families[0].name = " ".to_owned();
    assert!(matches!(library.keep(&unsound, Some(&small())), Err(LibraryError::Board(_))));
    // But for the empty file that is locked while names are given.
    let left: Vec<_> = std::fs::read_dir(library.folder()).unwrap().map(|e| e.unwrap().path()).collect();
    assert!(left.iter().all(|path| path.metadata().unwrap().len() == 0) && left.len() <= 1, "{left:?}");
    std::fs::remove_dir_all(library.folder()).unwrap();
    std::fs::write(library.folder(), "in the way").unwrap();
    assert!(matches!(library.keep(&depot(), None), Err(LibraryError::Folder { .. })));
}

#[test]
fn a_broken_file_is_an_entry_that_says_so_and_only_changed_files_are_read_again() {
    let home = tempfile::tempdir().unwrap();
    let mut library = Library::open(Some(home.path()));
    let path = library.keep(&depot(), None).unwrap();
    std::fs::write(library.folder().join("Broken.board.ron"), "(format: 2, name: ").unwrap();
    std::fs::write(library.folder().join("notes.txt"), "not ours").unwrap();
    assert_eq!(names(&mut library), ["Broken", "Depot"]);
    let before = library.entries().unwrap().to_vec();
    let why = before[0].board().unwrap_err().to_string();
    assert!(why.contains("Broken.board.ron, line 1"), "{why}");
    assert_eq!(search(&before, &Query::default()).iter().map(|h| h.place).collect::<Vec<_>>(), [1, 0]);
    let kept = |e: &Entry| e.content.clone().unwrap();
    assert!(Arc::ptr_eq(&kept(&before[1]), &kept(&library.entries().unwrap()[1])), "read again without need");
    let changes = library.changes();
    let mut text = std::fs::read_to_string(&path).unwrap();
    text = text.replace("Cool", "Warm ");
    std::fs::write(&path, text).unwrap();
    assert_eq!(library.entries().unwrap()[1].board().unwrap().light, LightOfDay::Warm);
    assert_eq!(library.changes(), changes + 1);
    // What is broken can be discarded and brought back, and nothing else can be done with it.
    let broken = before[0].path.clone();
    let bytes = std::fs::read(&broken).unwrap();
    assert!(matches!(library.rename(&broken, "Sound"), Err(LibraryError::Broken(_))));
    assert!(matches!(library.duplicate(&broken, None), Err(LibraryError::Broken(_))));
    let away = library.discard(&broken).unwrap();
    assert_eq!(std::fs::read(library.restore(&away).unwrap()).unwrap(), bytes);
}

#[test]
fn a_board_is_renamed_duplicated_discarded_and_brought_back_with_its_photo() {
    let home = tempfile::tempdir().unwrap();
    let mut library = Library::open(Some(home.path()));
    let path = library.keep(&depot(), Some(&small())).unwrap();
    let copy = library.duplicate(&path, None).unwrap();
    assert_eq!(read_board(&copy).unwrap().name, "Depot 2");
    assert!(photo_of(&copy).is_file());
    assert!(matches!(library.rename(&copy, "DEPOT"), Err(LibraryError::Taken(_))));
    let night = library.rename(&copy, "Night").unwrap();
    assert_eq!((file_name(&night), read_board(&night).unwrap().name), ("Night.board.ron".to_owned(), "Night".into()));
    assert!(photo_of(&night).is_file() && !copy.exists() && !photo_of(&copy).exists());
    let lower = library.rename(&night, "night").unwrap();
    assert_eq!(
        (file_name(&lower), names(&mut library).join(" ")),
        ("night.board.ron".to_owned(), "Depot night".into())
    );

    let away = library.discard(&path).unwrap();
    assert_eq!(names(&mut library), ["night"]);
    assert!(photo_of(&away).is_file() && !photo_of(&path).exists());
    assert!(matches!(library.discard(&path), Err(LibraryError::Gone(_))));
    library.keep(&board("Depot", LightOfDay::Warm, &[]), None).unwrap();
    let found = library.find_discarded("depot").unwrap();
    assert_eq!(found.path, away);
    let back = library.restore(&found.path).unwrap();
    assert_eq!(read_board(&back).unwrap(), Board { name: "Depot 2".into(), date: clock::today(), ..depot() });
    assert!(photo_of(&back).is_file());
    assert_eq!(library.discarded().unwrap(), []);
    assert!(matches!(library.find_discarded("Depot"), Err(LibraryError::NotDiscarded { .. })));
    assert!(matches!(library.restore(&away), Err(LibraryError::Gone(_))));
}

#[test]
fn a_board_is_found_by_name_and_by_file() {
    let home = tempfile::tempdir().unwrap();
    let mut library = Library::open(Some(home.path()));
    let path = library.keep(&board("a/b", LightOfDay::Warm, &[]), None).unwrap();
    for name in ["a/b", "A/B", "a-b", "a-b.board.ron"] {
        assert_eq!(library.find(name).unwrap().path, path, "{name}");
    }
    let error = library.find("c").unwrap_err().to_string();
    assert_eq!(error, "no kept board is called \"c\"; there are \"a/b\"");
    // A file put there by hand may have the same name inside.
    std::fs::copy(&path, library.folder().join("copy.board.ron")).unwrap();
    assert!(matches!(library.find("a/b"), Err(LibraryError::Several { .. })));
    assert_eq!(file_name(&library.find("copy").unwrap().path), "copy.board.ron");
}

fn found(library: &mut Library, query: &Query) -> Vec<String> {
    let entries = library.entries().unwrap();
    search(entries, query).iter().map(|h| entries[h.place].name.clone()).collect()
}

#[test]
fn words_light_colour_and_date_combine() {
    let home = tempfile::tempdir().unwrap();
    let mut library = Library::open(Some(home.path()));
    let dated = |board: Board, date: &str, photo: &str| Board { date: date.into(), photo: photo.into(), ..board };
    let noon = board("Noon", LightOfDay::Warm, &[("Brick", Role::Local, "#a4633b"), ("Hedge", Role::Local, "#5d7038")]);
    let rain = board("Rain", LightOfDay::Cool, &[("Wet brick", Role::Shadow, "#4c3432")]);
    for board in [
        dated(depot(), "2026-03-01", "IMG_2001.jpg"),
        dated(noon, "2026-05-20", "yard.jpg"),
        dated(rain, "2025-11-02", ""),
    ] {
        library.keep(&board, None).unwrap();
    }
    let query = Query::default();
    let words = |words: &str| Query { words: words.to_owned(), ..query.clone() };
    assert_eq!(found(&mut library, &query), ["Noon", "Depot", "Rain"]);
    assert_eq!(found(&mut library, &Query { order: Order::Oldest, ..query.clone() }), ["Rain", "Depot", "Noon"]);
    assert_eq!(found(&mut library, &Query { order: Order::Name, ..query.clone() }), ["Depot", "Noon", "Rain"]);
    assert_eq!(found(&mut library, &words("BRICK")), ["Noon", "Depot", "Rain"]);
    assert_eq!(found(&mut library, &words("brick wet")), ["Rain"]);
    assert_eq!(found(&mut library, &words("img_2001")), ["Depot"]);
    assert_eq!(found(&mut library, &words("nothing")), [""; 0]);
    let cool = Query { light: Some(LightOfDay::Cool), ..query.clone() };
    assert_eq!(found(&mut library, &cool), ["Depot", "Rain"]);
    let near = Query { near: Some(Colour::from_hex("#4d3533").unwrap()), ..query.clone() };
    assert_eq!(found(&mut library, &near), ["Rain", "Depot", "Noon"]);
    let both = Query { words: "brick".to_owned(), light: Some(LightOfDay::Cool), ..near };
    assert_eq!(found(&mut library, &both), ["Rain", "Depot"]);
    let entries = library.entries().unwrap().to_vec();
    let hits = search(&entries, &both);
    assert!(hits[0].near.unwrap() < 1.0 && hits[0].like.is_none(), "{hits:?}");
    let like = Query { like: Some(Palette::of(&depot())), ..query };
    let hits = search(&entries, &like);
    assert_eq!(hits[0].like, Some(0.0));
    assert_eq!(entries[hits[0].place].name, "Depot");
}

/// Photos of the test data (see `tests/data/SOURCES.md`) and our own scene, each with an outline on a large surface.
fn photos() -> [(Photo, Vec<[f32; 2]>); 3] {
    let open = |name: &str| Photo::open(format!("{}/../{name}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let china = vec![[150.0, 150.0], [500.0, 150.0], [520.0, 260.0], [120.0, 260.0]];
    let coffee = vec![[10.0, 10.0], [220.0, 10.0], [120.0, 160.0], [10.0, 200.0]];
    let (china, coffee) =
        ((open("tests/data/photos/china.jpg"), china), (open("tests/data/photos/coffee.jpg"), coffee));
    let depot = open("assets/demo/tram_depot.jpg");
    let (w, h) = (depot.width_px() as f32, depot.height_px() as f32);
    [china, coffee, (depot, vec![[0.1 * w, 0.75 * h], [0.6 * w, 0.75 * h], [0.6 * w, 0.95 * h], [0.1 * w, 0.95 * h]])]
}

#[test]
fn the_board_made_from_a_photo_comes_first_for_that_photo() {
    let photos = photos();
    let palettes: Vec<_> = photos.iter().map(|(photo, _)| Palette::of_photo(photo).unwrap()).collect();
    // Boards of another size than the one that is compared with, and under adjustments.
    for families in [3, 9] {
        let home = tempfile::tempdir().unwrap();
        let mut library = Library::open(Some(home.path()));
        for (i, (photo, outline)) in photos.iter().enumerate() {
            let view = photo.view(Adjustments { hue_turn_degrees: 4.0, soften_px: 0.0, ..Adjustments::default() });
            let mut board = propose_board(&view, families, &format!("{i}")).unwrap();
            // And a surface picked by hand.
            let hand = trio(&view, &Outline::new(outline.clone()).unwrap()).unwrap();
            let tones = [(Role::Light, hand.light), (Role::Local, hand.local), (Role::Shadow, hand.shadow)];
            let tones = tones.map(|(role, tone)| (role, tone.colour));
            board = board.with_trio("by hand", tones, &[]).unwrap();
            library.keep(&board, Some(&thumbnail(photo, Adjustments::default()))).unwrap();
        }
        let entries = library.entries().unwrap();
        for (i, palette) in palettes.iter().enumerate() {
            let like = Some(palette.clone());
            let hits = search(entries, &Query { like, ..Query::default() });
            assert_eq!(entries[hits[0].place].name, format!("{i}"), "{families} families: {hits:?}");
            assert!(hits[1].like.unwrap() > 1.5 * hits[0].like.unwrap(), "{families} families, photo {i}: {hits:?}");
        }
    }
}

#[test]
fn a_thumbnail_is_small_and_upright() {
    let [(china, _), ..] = photos();
    let small = thumbnail(&china, Adjustments::default());
    assert_eq!(small.dimensions(), (256, 171));
}

#[test]
fn boards_kept_at_the_same_moment_get_names_of_their_own() {
    let home = tempfile::tempdir().unwrap();
    for round in 0..10 {
        let name = format!("depot at {round}");
        let start = std::sync::Barrier::new(4);
        std::thread::scope(|scope| {
            for _ in 0..4 {
                scope.spawn(|| {
                    let mut library = Library::open(Some(home.path()));
                    start.wait();
                    library.keep(&board(&name, LightOfDay::Warm, &[]), None).unwrap();
                });
            }
        });
    }
    let mut library = Library::open(Some(home.path()));
    let names: std::collections::BTreeSet<_> = library.entries().unwrap().iter().map(|e| e.name.clone()).collect();
    assert_eq!(names.len(), 40, "{names:?}");
}

#[test]
fn a_folder_that_becomes_unreadable_leaves_what_was_seen() {
    let home = tempfile::tempdir().unwrap();
    let mut library = Library::open(Some(home.path()));
    library.keep(&board("depot", LightOfDay::Warm, &[]), None).unwrap();
    assert_eq!(library.entries().unwrap().len(), 1);
    let (folder, away) = (library.folder().to_owned(), home.path().join("away"));
    std::fs::rename(&folder, &away).unwrap();
    std::fs::write(&folder, "no folder").unwrap();
    assert!(matches!(library.entries(), Err(LibraryError::Folder { .. })));
    assert_eq!(library.seen().len(), 1);
    std::fs::remove_file(&folder).unwrap();
    std::fs::rename(&away, &folder).unwrap();
    assert_eq!(library.entries().unwrap().len(), 1);
}
