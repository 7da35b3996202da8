//! Bad input gets one clear line that names the file and says what to do, and nothing is lost or left half-written.

use std::io::Read;
use std::process::Stdio;
use stint::study::command::Command;
use stint::study::session::Session;
use stint_model::study::file::StudyFile;
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;
use stint_render::mask::mass::Edge;
use stint_tests::program::{RunOutput, TestFolder};
use stint_tests::scripts::{SIZE, desk_with_study, kept, loaded, play, strokes, strokes_in};

/// Every file of `photos/odd` that is broken on purpose, with words of the advice. The other files there are unusual, not
/// broken. What each is: the manifest of the photos, in short in SOURCES.md.
const BROKEN: [(&str, &str); 8] = [
    ("truncated.jpg", "copy it from the camera again"),
    ("truncated.png", "copy it from the camera again"),
    ("bad_crc.png", "copy it from the camera again"),
    ("text.jpg", "choose a JPEG, HEIC, PNG"),
    ("empty.jpg", "copy it from the camera again"),
    ("anim.gif", "export it as a JPEG, PNG or TIFF"),
    ("bomb_60000.png", "make a copy of at most 200 megapixels"),
    ("bomb_valid_20000_1bit.png", "make a copy of at most 200 megapixels"),
];

#[test]
fn broken_photos_are_refused_and_leave_nothing() {
    for (name, advice) in BROKEN {
        let desk = TestFolder::new();
        let photo = desk.take(&format!("photos/odd/{name}"));
        let before = std::fs::read(&photo).unwrap();
        desk.stint(["open", name, "--engine", "cpu"]).refused(&[name, advice]);
        desk.stint(["open", name, "--out", "new.stint", "--engine", "cpu"]).refused(&[name, advice]);
        desk.stint(["board", "from", name, "--out", "new.board.ron"]).refused(&[name, advice]);
        desk.stint(["board", "from", name]).refused(&[name, advice]);
        assert_eq!(desk.files(), [name]);
        assert!(std::fs::read(&photo).unwrap() == before);
    }
}

#[test]
fn unusual_photos_are_opened() {
    let all = std::fs::read_dir(stint_tests::program::data("photos/odd")).unwrap();
    let mut opened = 0;
    for name in all.map(|e| e.unwrap().file_name().into_string().unwrap()) {
        if BROKEN.iter().any(|(broken, _)| *broken == name) {
            continue;
        }
        let desk = TestFolder::new();
        desk.take(&format!("photos/odd/{name}"));
        let said = desk.stint(["open", &name, "--out", "new.stint", "--engine", "cpu"]);
        assert!(said.code == Some(0) && said.out.contains(&name), "{said:#?}");
        // Inks without a profile are converted by a formula, and that is said.
        let warned = said.err.contains("cmyk.jpg is made for print (CMYK) and has no profile");
        assert!(if name == "cmyk.jpg" { warned } else { said.err.is_empty() }, "{said:#?}");
        let mut session = Session::open(&desk.path("new.stint"), EngineChoice::Cpu).unwrap();
        session.reference().unwrap();
        opened += 1;
    }
    assert!(opened >= 10, "{opened}");
}

#[cfg(target_os = "linux")]
#[test]
fn devices_pipes_and_folders_are_no_photos() {
    let desk = TestFolder::new();
    assert_eq!(desk.shell("mkfifo pipe && mkdir folder").code, Some(0));
    for (name, what) in [
        ("/dev/zero", "a device or a pipe"),
        ("/dev/full", "a device or a pipe"),
        ("/dev/null", "a device or a pipe"),
        ("pipe", "a device or a pipe"),
    ] {
        let advice = [name, what, "choose a photo"];
        desk.stint(["open", name, "--out", "new.stint", "--engine", "cpu"]).refused(&advice);
        desk.stint(["board", "from", name]).refused(&advice);
    }
    desk.stint(["board", "from", "folder"]).refused(&["folder"]);
}

/// Hostile files against a bound on memory that the system keeps (`ulimit -d`, in KiB): half a gibibyte.
#[cfg(target_os = "linux")]
#[test]
fn hostile_photos_take_little_memory() {
    let desk = TestFolder::new();
    for (folder, name) in [
        ("gamma", "profile_bomb.png"),
        ("odd", "bomb_60000.png"),
        ("odd", "bomb_valid_20000_1bit.png"),
        ("phone", "x_ispe_lie.heic"),
    ] {
        desk.take(&format!("photos/{folder}/{name}"));
        let said = desk.shell(&format!("ulimit -d 524288; exec $STINT board from {name} -o {name}.board.ron"));
        assert!(!said.err.contains("memory allocation"), "{said:#?}");
        // A bomb in the profile is left packed, and the picture beside it is sound.
        let expected = if name == "profile_bomb.png" { said.code.is_some() } else { said.code == Some(1) };
        assert!(expected && said.err.contains(name), "{said:#?}");
    }
    // The bomb holds 64 MiB, and this is little more than the program and a profile of the largest size take.
    let said = desk.shell("export RAYON_NUM_THREADS=2; ulimit -d 98304; exec $STINT board from profile_bomb.png");
    assert!(said.err.contains("larger than any real one"), "{said:#?}");
    // A file that is large on disk and holds nothing.
    desk.shell("truncate -s 3G sparse.jpg");
    let said = desk.shell("ulimit -d 524288; exec $STINT board from sparse.jpg");
    said.refused(&["sparse.jpg", "too large"]);
}

#[cfg(unix)]
#[test]
fn control_characters_of_a_name_never_reach_the_terminal() {
    let desk = TestFolder::new();
    let name = "tram\u{1b}[2J\u{9b}31m\ndepot.jpg";
    desk.write(name, b"Tuesday");
    for arguments in
        [vec!["board", "from", name], vec!["open", name], vec!["board", "show", name], vec!["readout", name]]
    {
        let said = desk.stint(&arguments);
        assert_eq!(said.code, Some(1), "{said:#?}");
        let all = format!("{}{}", said.out, said.err);
        assert!(all.contains("tram\\u{1b}[2J\\u{9b}31m"), "{all}");
        assert!(!all.contains(|c: char| c.is_control() && c != '\n'), "{all:?}");
    }
    desk.take("photos/coffee.jpg");
    assert_eq!(desk.shell("mv coffee.jpg \"$(printf 'c\\033[2Jo.jpg')\"").code, Some(0));
    let said = desk.stint(["open", "c\u{1b}[2Jo.jpg", "--out", "new.stint", "--engine", "cpu"]).success();
    assert!(said.contains("c\\u{1b}[2Jo.jpg") && !said.contains('\u{1b}'), "{said:?}");
}

#[test]
fn a_script_with_a_broken_photo_keeps_what_was_before_it() {
    let desk = TestFolder::new();
    desk.take("photos/odd/truncated.jpg");
    let photo = Command::Reference("truncated.jpg".to_owned());
    desk.script("s.ron", SIZE, [loaded(), strokes(2), vec![photo], strokes(2)].concat());
    let said = play(&desk, "s.ron", "s.stint");
    assert_eq!(kept(&said), 2);
    said.refused(&["command 5 of s.ron", "Take in a photo", "truncated.jpg", "camera again", "kept in s.stint"]);
    assert_eq!(strokes_in(&desk.path("s.stint")), 2);
}

#[test]
fn studies_that_are_none_are_refused_and_untouched() {
    let desk = desk_with_study();
    let whole = std::fs::read(desk.path("depot.stint")).unwrap();
    desk.write("text.stint", "not a database ".repeat(100));
    desk.write("empty.stint", "");
    desk.write("cut.stint", &whole[..whole.len() / 2]);
    desk.write("short.stint", &whole[..50]);
    desk.write("newer.stint", &whole);
    let change =
        |name: &str, sql: &str| rusqlite::Connection::open(desk.path(name)).unwrap().execute_batch(sql).unwrap();
    change("newer.stint", "PRAGMA user_version = 77");
    change("other.stint", "CREATE TABLE notes (text)");
    let files = desk.files();
    for (name, words) in [
        ("text.stint", "is not a study of Stint, or its beginning is damaged; choose another file"),
        ("empty.stint", "is not a study of Stint, or its beginning is damaged; choose another file"),
        ("other.stint", "is not a study of Stint, or its beginning is damaged; choose another file"),
        ("short.stint", "; "),
        ("cut.stint", "; go back to a copy of it"),
        ("newer.stint", "newer Stint (study format 77"),
        ("none.stint", "; check the name"),
    ] {
        let before = std::fs::read(desk.path(name)).ok();
        for arguments in [
            vec!["open", name],
            vec!["readout", name, "--json"],
            vec!["export", name, "--out", "new.png"],
            vec!["board", "show", name],
            vec!["board", "review", name],
        ] {
            desk.stint(&arguments).refused(&[name, words]);
        }
        assert!(std::fs::read(desk.path(name)).ok() == before, "{name} was changed");
    }
    assert_eq!(desk.files(), files);
    for name in [".", "depot.ron"] {
        desk.stint(["readout", name]).refused(&[name]);
    }
}

#[test]
fn scripts_that_cannot_be_understood_make_nothing() {
    let desk = TestFolder::new();
    let good = "(format: 1, width: 300, height: 200, board: \"b\",\n commands: [\n  AddFamily(\"a\"),\n  Undo,\n])";
    for (from, to, words) in [
        ("Undo", "Glaze", vec!["line 4", "Glaze", "mend it there"]),
        ("Undo", "Adjust(hue_turn: 1, soften: 1, grain: 1)", vec!["line 4", "grain"]),
        ("board:", "board2: 1, board:", vec!["line 1", "board2"]),
        ("])", "", vec!["line 4", "mend it there"]),
        ("width: 300", "width: 0", vec!["0 x 200 px cannot be made", "1 to 16384 px"]),
        ("height: 200", "height: 16385", vec!["300 x 16385 px cannot be made", "1 to 16384 px"]),
        ("width: 300", "width: 4294967296", vec!["line 1"]),
        ("format: 1", "format: 2", vec!["format 2", "update the program"]),
        ("format: 1", "format: 0", vec!["has format 0", "set it to 1"]),
        ("board: \"b\"", "board: \"\"", vec!["has no name"]),
        (good, "", vec!["line 1"]),
    ] {
        assert!(good.contains(from));
        desk.write("bad.ron", good.replace(from, to));
        play(&desk, "bad.ron", "new.stint").refused(&[vec!["bad.ron"], words].concat());
        assert_eq!(desk.files(), ["bad.ron"]);
    }
    desk.write("bytes.ron", [0xff, 0xfe, 0x00]);
    play(&desk, "bytes.ron", "new.stint").refused(&["bytes.ron"]);
    play(&desk, "none.ron", "new.stint").refused(&["none.ron", "check the name"]);
    desk.write("good.ron", good);
    play(&desk, "good.ron", "none/new.stint").refused(&["none", "make it first"]);
    play(&desk, "good.ron", "new.stint").success();
}

#[test]
fn values_that_cannot_be_painted_stop_a_script_after_what_is_kept() {
    let nan = f32::NAN;
    let mass = |outline: Vec<[f32; 2]>| Command::Mass { outline, edge: Edge::Soft };
    for (command, words) in [
        (Command::Stroke(vec![PenSample::new(1.0, 2.0, 1.0), PenSample::new(nan, 3.0, 1.0)]), "sample 1 of the stroke"),
        (Command::Stroke(vec![PenSample::new(f32::INFINITY, 3.0, 1.0)]), "sample 0 of the stroke"),
        (Command::Scrape(vec![PenSample::new(3.0, 3.0, nan)]), "sample 0 of the stroke"),
        (Command::Stroke(Vec::new()), "the stroke has no samples"),
        (mass(vec![[0.0, 0.0], [9.0, 9.0]]), "at least three points"),
        (mass(vec![[0.0, 0.0], [9.0, 9.0], [nan, 2.0]]), "point 2 of the outline"),
        (Command::PassStrength { pass: "Block-in".to_owned(), strength: nan }, "give a number from 0 to 1"),
        (
            Command::Adjust { hue_turn: nan, soften: 0.0, exposure: 0.0, contrast: 1.0 },
            "give a number from -180 to 180",
        ),
        (Command::LoadFree("#12".to_owned()), "six digits"),
        (Command::LoadFree("#123456".to_owned()), "free colour is shut"),
        (Command::ShowPass { pass: "glaze".to_owned(), visible: true }, "there are: Block-in"),
    ] {
        let desk = TestFolder::new();
        desk.script("s.ron", SIZE, [loaded(), strokes(2), vec![command], strokes(2)].concat());
        let said = play(&desk, "s.ron", "s.stint");
        assert_eq!(kept(&said), 2);
        said.refused(&["command 5 of s.ron", words, "all strokes before it are kept in s.stint"]);
        assert_eq!(strokes_in(&desk.path("s.stint")), 2);
    }
}

#[test]
fn bad_boards_are_refused_by_line() {
    let desk = TestFolder::new();
    desk.take("photos/coffee.jpg");
    desk.stint(["board", "from", "coffee.jpg", "--families", "2", "--out", "good.board.ron"]).success();
    let good = std::fs::read_to_string(desk.path("good.board.ron")).unwrap();
    let colour = good.split_once("colour:").unwrap().1.split_once('(').unwrap().1.split_once(',').unwrap().0;
    let ids: Vec<_> = good.match_indices("id:").map(|(at, _)| at).collect();
    assert!(ids.len() >= 4, "{good}");
    // The second swatch of the first family gets the id of the first.
    let id_at = |at: usize| good[at..].split([',', ')']).next().unwrap();
    let (first, second) = (id_at(ids[1]), id_at(ids[2]));
    let twice = format!("{}{}", &good[..ids[2]], good[ids[2]..].replacen(second, first, 1));
    for (text, words) in [
        (good.replacen(colour, "NaN", 1), vec!["line ", "three finite numbers", "correct the line"]),
        (twice, vec!["line ", "which an earlier one has too"]),
        (good.replacen("light:", "weather: 3, light:", 1), vec!["line ", "weather"]),
        (good.replacen("format: 2", "format: 9", 1), vec!["newer"]),
        (good.replacen("format: 2", "format: 0", 1), vec!["there never was"]),
        (good[..good.len() / 2].to_owned(), vec!["line "]),
        (String::new(), vec!["line 1"]),
    ] {
        assert_ne!(text, good);
        desk.write("bad.board.ron", &text);
        for look in ["show", "review"] {
            let words = [vec!["bad.board.ron"], words.clone()].concat();
            desk.stint(["board", look, "bad.board.ron"]).refused(&words);
        }
        // A board that cannot be read is somebody's board all the same.
        desk.stint(["board", "from", "coffee.jpg", "--out", "bad.board.ron"])
            .refused(&["bad.board.ron", "another name"]);
        assert_eq!(std::fs::read_to_string(desk.path("bad.board.ron")).unwrap(), text);
    }
}

#[test]
fn nothing_is_overwritten_unasked() {
    let desk = desk_with_study();
    desk.take("photos/coffee.jpg");
    desk.take("photos/odd/rgb16.png");
    desk.stint(["export", "depot.stint", "--out", "depot.png", "--engine", "cpu"]).success();
    desk.stint(["board", "from", "coffee.jpg", "--out", "coffee.board.ron"]).success();
    desk.write("notes.txt", "Tuesday");
    let files = desk.files();
    let bytes =
        |desk: &TestFolder| files.iter().map(|name| std::fs::read(desk.path(name)).unwrap()).collect::<Vec<_>>();
    let before = bytes(&desk);
    for target in ["depot.stint", "depot.png", "coffee.jpg", "notes.txt", "rgb16.png"] {
        play(&desk, "depot.ron", target).refused(&[target, "exists already"]);
        desk.stint(["open", "coffee.jpg", "--out", target]).refused(&[target, "exists already"]);
        desk.stint(["open", "depot.png", "--out", target]).refused(&[target, "exists already"]);
        let [png, form] = match target {
            "depot.png" | "rgb16.png" => ["exists already", "exists already"],
            "depot.stint" => ["is a study", "is a study"],
            _ => ["does not end in .png", "choose one of these endings"],
        };
        desk.stint(["board", "from", "coffee.jpg", "--out", target]).refused(&[target, form]);
        desk.stint(["export", "depot.stint", "--out", target]).refused(&[target, png]);
    }
    // Without --out the new study lies beside its photo or picture, under a free name.
    assert!(desk.stint(["open", "depot.png"]).success().contains("new study depot 2.stint"));
    std::fs::remove_file(desk.path("depot 2.stint")).unwrap();
    assert_eq!((desk.files(), bytes(&desk) == before), (files.clone(), true));
    // What was asked for is replaced: that is how a study is exported again.
    let again = ["export", "depot.stint", "--out", "depot.png", "--depth", "16", "--engine", "cpu"];
    let propose = ["board", "from", "coffee.jpg", "--families", "2", "--out", "coffee.board.ron"];
    for command in [&again[..], &propose] {
        desk.stint(command).refused(&["exists already", "--replace"]);
        desk.stint([command, &["--replace"]].concat()).success();
    }
    assert_eq!(desk.files(), files);
}

#[test]
fn a_second_program_on_a_study_is_refused() {
    let desk = desk_with_study();
    desk.script("long.ron", SIZE, [loaded(), strokes(4000)].concat());
    let mut first = desk.command(["play", "long.ron", "--out", "long.stint", "--engine", "cpu"]).spawn().unwrap();
    // The first kept stroke tells that the study is there.
    first.stdout.as_mut().unwrap().read_exact(&mut [0; 20]).unwrap();
    let drain = first.stdout.take().unwrap();
    let reading = std::thread::spawn(move || std::io::copy(&mut { drain }, &mut std::io::sink()));
    play(&desk, "depot.ron", "long.stint").refused(&["long.stint", "already open in another window", "close it there"]);
    let second = StudyFile::open(&desk.path("long.stint")).unwrap_err().to_string();
    assert!(second.contains("already open in another window"), "{second}");
    // Looking is allowed.
    desk.stint(["readout", "long.stint", "--engine", "cpu"]).success();
    assert!(first.try_wait().unwrap().is_none(), "the first program was still painting");
    first.kill().unwrap();
    first.wait().unwrap();
    reading.join().unwrap().unwrap();
    assert!(strokes_in(&desk.path("long.stint")) > 0);
}

#[test]
fn output_that_goes_nowhere_is_no_panic() {
    let desk = desk_with_study();
    desk.take("photos/coffee.jpg");
    assert_eq!(desk.stint(["--bad"]).code, Some(2));
    assert_eq!(desk.stint(["readout"]).code, Some(2));
    for arguments in ["readout depot.stint --engine cpu", "board from coffee.jpg", "open depot.stint --engine cpu"] {
        let mut child = desk.command(arguments.split(' ')).stdout(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let said = RunOutput::from(child.wait_with_output().unwrap());
        assert_eq!((said.code, said.err.as_str()), (Some(0), ""), "{arguments}");
    }
    // A script is played to its end, whoever listens.
    let mut child = desk.command(["play", "depot.ron", "--out", "again.stint", "--engine", "cpu"]).spawn().unwrap();
    drop(child.stdout.take());
    assert_eq!(RunOutput::from(child.wait_with_output().unwrap()).code, Some(0));
    assert_eq!(strokes_in(&desk.path("again.stint")), 3);
    if cfg!(target_os = "linux") {
        desk.shell("exec $STINT readout depot.stint --engine cpu >/dev/full").refused(&["output cannot be written"]);
        let unheard = desk.shell("exec $STINT readout none.stint 2>/dev/full");
        assert_eq!((unheard.code, unheard.err.as_str()), (Some(1), ""));
    }
}
