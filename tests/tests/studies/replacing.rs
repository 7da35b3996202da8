//! A file of the painter's is never replaced unasked, and an ending says what is written: every command that writes.

use stint::files::board_file::read_any;
use stint_model::board::file::read_board;
use stint_model::picture::read_attached;
use stint_tests::program::TestFolder;
use stint_tests::scripts::desk_with_study;

/// The commands that write a board to a place.
fn writers(to: &str) -> [Vec<&str>; 7] {
    let change: [&[&str]; 7] = [
        &["from", "depot.stint"],
        &["turn", "depot.stint", "--degrees", "10"],
        &["relight", "depot.stint", "--kelvin", "5000"],
        &["key", "depot.stint", "--spread", "0.9"],
        &["mark", "depot.stint", "--far", "brick"],
        &["review", "depot.stint", "--dismiss", "1"],
        &["export", "depot.stint"],
    ];
    change.map(|words| [&["board"], words, &["-o", to]].concat())
}

fn read(desk: &TestFolder, name: &str) -> Vec<u8> {
    std::fs::read(desk.path(name)).unwrap()
}

#[test]
fn every_command_leaves_what_is_there_until_it_is_asked_to_replace_it() {
    let desk = desk_with_study();
    desk.write("shop.board.ron", "eggs, tea");
    for command in writers("shop.board.ron") {
        desk.stint(&command).refused(&["shop.board.ron", "exists already", "a board", "--replace"]);
        assert_eq!(read(&desk, "shop.board.ron"), b"eggs, tea", "{command:?}");
    }
    for command in writers("shop.board.ron") {
        desk.write("shop.board.ron", "eggs, tea");
        let said = desk.stint([&command[..], &["--replace"]].concat()).success();
        assert!(said.starts_with("wrote shop.board.ron with 1 swatches"), "{said}");
        assert_eq!(read_board(&desk.path("shop.board.ron")).unwrap().swatches().count(), 1, "{command:?}");
        // A board of ours is no exception.
        let ours = read(&desk, "shop.board.ron");
        desk.stint(&command).refused(&["shop.board.ron", "exists already"]);
        assert!(read(&desk, "shop.board.ron") == ours, "{command:?}");
    }
    // Replacing without a place to write to is a slip.
    let said = desk.stint(["board", "turn", "depot.stint", "--degrees", "10", "--replace"]);
    assert_eq!((said.code, said.out.as_str()), (Some(2), ""), "{said:?}");
}

#[test]
fn an_export_leaves_the_photo_and_older_exports() {
    let desk = desk_with_study();
    let photo = image::RgbImage::from_pixel(8, 8, image::Rgb([90, 110, 140]));
    photo.save(desk.path("depot.png")).unwrap();
    let before = read(&desk, "depot.png");
    desk.stint(["export", "depot.stint", "-o", "depot.png"]).refused(&[
        "depot.png",
        "a picture without a board",
        "--replace",
    ]);
    assert!(read(&desk, "depot.png") == before);
    desk.stint(["export", "depot.stint", "-o", "depot.png", "--replace"]).success();
    let first = read(&desk, "depot.png");
    read_attached(&desk.path("depot.png")).unwrap();
    desk.stint(["export", "depot.stint", "-o", "depot.png", "--depth", "16"]).refused(&["depot.png", "exists already"]);
    desk.stint(["board", "export", "depot.stint", "-o", "depot.png"]).refused(&["depot.png", "exists already"]);
    assert!(read(&desk, "depot.png") == first, "neither a newer export nor a card goes over it");
    assert_eq!(desk.files(), ["depot.png", "depot.ron", "depot.stint"]);
}

#[test]
fn an_ending_that_does_not_fit_is_refused_and_one_that_fits_gives_its_form() {
    let desk = desk_with_study();
    for name in ["x.jpg", "x.css", "x.board.ron", "x"] {
        desk.stint(["export", "depot.stint", "-o", name]).refused(&[name, "does not end in .png"]);
    }
    for command in writers("x.txt") {
        desk.stint(&command).refused(&["x.txt", ".board.ron", "choose one of these endings"]);
    }
    assert_eq!(desk.files(), ["depot.ron", "depot.stint"]);
    let board = read_any(&desk.path("depot.stint")).unwrap();
    for (name, begins) in
        [("x.css", ":root"), ("x.json", "{"), ("x.svg", "<svg"), ("x.png", "\u{fffd}PNG"), ("x.ron", "(")]
    {
        desk.stint(["board", "from", "depot.stint", "-o", name]).success();
        let bytes = read(&desk, name);
        let text = String::from_utf8_lossy(&bytes);
        assert!(text.contains(begins) && text.find(begins).unwrap() < 400, "{name}: {}", &text[..text.len().min(80)]);
        if name != "x.svg" {
            assert_eq!(read_any(&desk.path(name)).unwrap(), board, "{name}");
        }
    }
}

#[test]
fn folders_studies_and_devices_are_refused_even_when_asked() {
    let desk = desk_with_study();
    std::fs::create_dir(desk.path("yard.png")).unwrap();
    let study = read(&desk, "depot.stint");
    let mut places = vec![("yard.png", "is a folder"), ("depot.stint", "is a study")];
    if cfg!(unix) {
        places.push(("/dev/null", "is a device"));
    }
    for (to, words) in places {
        for command in writers(to).into_iter().chain([vec!["export", "depot.stint", "-o", to]]) {
            desk.stint([&command[..], &["--replace"]].concat()).refused(&[to, words]);
        }
    }
    #[cfg(unix)]
    {
        // A link leads to the study itself.
        std::os::unix::fs::symlink("depot.stint", desk.path("link.png")).unwrap();
        desk.stint(["export", "depot.stint", "-o", "link.png", "--replace"]).refused(&["link.png", "is a study"]);
    }
    assert!(read(&desk, "depot.stint") == study);
}

#[test]
fn the_demo_leaves_what_did_not_come_from_it() {
    for name in ["tram_depot.png", "tram_depot.board.ron", "tram_depot.jpg", "tram_depot.ron"] {
        let desk = TestFolder::new();
        desk.write(name, "Tuesday");
        desk.stint(["demo", "--out", ".", "--engine", "cpu"]).refused(&[name, "exists already"]);
        assert_eq!(read(&desk, name), b"Tuesday");
        assert_eq!(desk.files(), [name]);
    }
}
