//! Takes the pictures of the README's tour from the running program. Usage: `tour FOLDER [WIDTHxHEIGHT [--more]]`;
//! `assets/tour/make.sh` calls it. With `--more` further states of the window are taken, for whoever judges its looks.

#[cfg(not(target_os = "linux"))]
fn main() {
    eprintln!("the tour is taken under a virtual X display, which needs Linux");
    std::process::exit(1);
}

#[cfg(target_os = "linux")]
fn main() {
    linux::take();
}

#[cfg(target_os = "linux")]
mod linux {
    use image::codecs::png::{CompressionType, FilterType, PngEncoder};
    use image::{ExtendedColorType, ImageEncoder};
    use std::path::{Path, PathBuf};
    use std::sync::Arc;
    use std::sync::atomic::{AtomicU64, Ordering};
    use std::time::{Duration, Instant, SystemTime};
    use stint::base::clock::day_of;
    use stint::files::memory_record::{MemoryRecord, Run};
    use stint::study::command::{Command as Change, SwatchRef};
    use stint::study::session::Session;
    use stint::ui::wording;
    use stint_model::board::review::{offers, review};
    use stint_model::board::{Board, LightOfDay, Role};
    use stint_model::drill::{Answer, Drill, QUESTIONS};
    use stint_model::study::file::StudyFile;
    use stint_render::choose::EngineChoice;
    use stint_render::mask::mass::Edge;
    use stint_tests::display::{Display, Place, Window};
    use stint_tests::program::TestFolder;

    /// The window's own size.
    const SIZE: (u32, u32) = (1280, 800);
    /// Largest file of a picture of that size, bytes: the README is to open quickly.
    const LARGEST: usize = 900_000;
    /// Home folder that the start page shows.
    const HOME: &str = "/home/kim";
    /// Accessible name of the canvas.
    const CANVAS: &str = "Canvas";

    /// What is asked for.
    struct Wish {
        folder: PathBuf,
        size: (u32, u32),
        more: bool,
    }

    fn wish() -> Option<Wish> {
        let mut arguments = std::env::args_os().skip(1);
        let folder = arguments.next()?.into();
        let size = match arguments.next() {
            None => SIZE,
            Some(words) => {
                let (width, height) = words.to_str()?.split_once('x')?;
                (width.parse().ok()?, height.parse().ok()?)
            }
        };
        let more = match arguments.next() {
            None => false,
            Some(word) if word == "--more" => true,
            Some(_) => return None,
        };
        Some(Wish { folder, size, more })
    }

    /// A place beside every sheet, on which no control lights up: the window's lower right.
    fn aside((width, height): (u32, u32)) -> Place {
        (width as i32 - 30, height as i32 - 200)
    }

    /// Takes all pictures.
    pub fn take() {
        let Some(Wish { folder, size, more }) = wish() else {
            eprintln!("usage: tour FOLDER [WIDTHxHEIGHT [--more]]");
            std::process::exit(2);
        };
        let (desk, display) = (TestFolder::new(), Display::start(size.0, size.1));
        let studies = desk.path("Studies");
        std::fs::create_dir(&studies).expect("the temporary folder can be written");
        desk.stint(["demo", "--out", "demo", "--engine", "cpu"]).success();
        // Two, so that the list of recent studies is one.
        for name in ["Depot, second try.stint", "Tram depot.stint"] {
            std::fs::copy(desk.path("demo/tram_depot.stint"), studies.join(name)).expect("the demo made a study");
        }
        let demo = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg"));
        std::fs::copy(demo, studies.join("Depot yard.jpg")).expect("the demo has a photo");
        let open = |arguments: &[&str]| {
            let mut command = desk.command(arguments);
            command.current_dir(&studies).env("HOME", HOME);
            let window = display.open(command);
            window.fill(size.0, size.1);
            window.focus();
            window
        };
        let keep = |window: &Window<'_>, name: &str| {
            window.rest();
            let picture = display.picture();
            let mut png = Vec::new();
            let encoder = PngEncoder::new_with_quality(&mut png, CompressionType::Best, FilterType::Adaptive);
            encoder
                .write_image(&picture.rgb, picture.width, picture.height, ExtendedColorType::Rgb8)
                .expect("a picture goes into memory");
            assert!(size != SIZE || png.len() < LARGEST, "{name}.png has {} bytes", png.len());
            write(&folder.join(name).with_extension("png"), &png);
        };

        let window = open(&["open", "Depot, second try.stint"]);
        window.keys("ctrl+q");
        window.end().success();

        for (name, degrees) in [("Depot at blue hour", "0"), ("Depot, greener", "25"), ("Depot, redder", "-25")] {
            let study = "demo/tram_depot.stint";
            desk.stint(["board", "turn", study, "--degrees", degrees, "--name", name, "-o", "board.ron", "--replace"])
                .success();
            desk.stint(["board", "keep", "board.ron", "--photo", "Studies/Depot yard.jpg"]).success();
        }

        // A fresh photo lies large, with the board that is proposed from it.
        let window = open(&["open", "Depot yard.jpg"]);
        window.control(wording::LAY_THIS);
        window.point(aside(size));
        keep(&window, "photo");
        window.keys("ctrl+q");
        window.end().success();
        std::fs::remove_file(studies.join("Depot yard.stint")).expect("a study was made beside the photo");

        let window = open(&["open", "Tram depot.stint"]);
        window.keys("Home");
        // A swatch of the bricks on the brush, and the brush over the wall.
        window.keys("Right Right Down");
        let wall = window.control(CANVAS).at(0.56, 0.26);
        window.point(wall);
        keep(&window, "painting");
        if more {
            further(&window, size, &keep);
        }
        // The chimney wall outlined, its paint taken up and turned a little.
        window.keys("w");
        let canvas = window.control(CANVAS);
        let around = [(0.34, 0.2), (0.42, 0.18), (0.45, 0.3), (0.44, 0.42), (0.36, 0.46), (0.335, 0.34), (0.34, 0.2)];
        window.drag(&around.map(|(x, y)| canvas.at(x, y)));
        window.press_control(wording::MOVE_AREA_NAME);
        window.drag(&[(0.7, 0.3), (0.705, 0.36), (0.71, 0.4)].map(|(x, y)| canvas.at(x, y)));
        keep(&window, "area");
        window.press_control(wording::PUT_BACK);
        window.press_control(wording::UNPROTECT_NAME);
        window.keys("ctrl+z ctrl+z a");
        // Held against its photo, with one surface lit.
        window.press_control(wording::HELD_AGAINST);
        let line = |window: &Window<'_>, name: &str| {
            window.controls().into_iter().find(|c| c.role == "ListBoxOption" && c.name.starts_with(name))
        };
        stint_tests::display::wait_for("the comparison", || line(&window, "Brick ").is_some());
        let brick = line(&window, "Brick ").expect("it was there a moment ago");
        window.point(brick.at(0.3, 0.5));
        keep(&window, "compare");
        if more {
            window.press_control(wording::DIFFERENCES_NAME);
            window.point(aside(size));
            keep(&window, "difference");
            window.press_control(wording::LINE_UP_NAME);
            window.point(aside(size));
            keep(&window, "line_up");
        }
        window.press_control(wording::END_COMPARING);
        // The charts of the board.
        window.press_control(wording::SHOW_LEANS);
        window.point(wall);
        keep(&window, "charts");
        window.press_control(wording::SHOW_SHARES);
        // The same board under a warm light: the review has something to say, and offers a change that is tried out.
        window.press_control(wording::BOARD);
        window.press_control(wording::light_title(LightOfDay::Warm));
        let board = board_of(&studies.join("Tram depot.stint"));
        let remarks = review(&board);
        window.press_control(&wording::remarks_tab(remarks.len()));
        let offer = &offers(&board, &remarks[0], &[])[0];
        window.point(window.control(&wording::sentence_start(&offer.words)).at(0.5, 0.5));
        keep(&window, "board");
        window.point(aside(size));
        window.keys("ctrl+z");
        // Turned to dusk; the painting follows.
        window.press_control(wording::VARIATIONS);
        window.press_control(&wording::variation("Dusk"));
        window.point(aside(size));
        keep(&window, "dusk");
        window.press_control(wording::AS_IT_WAS);
        window.press_control(wording::BACK_FROM_BOARD);
        // The kept boards.
        window.keys("F12");
        window.point(aside(size));
        keep(&window, "library");
        window.keys("F12");
        window.press_control(wording::OPEN_LID_NAME);
        window.point(aside(size));
        keep(&window, "free");
        window.keys("Escape");
        // The frame that crops and extends the canvas, pulled out to the left.
        window.keys("shift+c");
        window.press_control(wording::CANVAS_EDGES[0].1);
        window.keys("ctrl+a");
        window.write("160");
        window.point(aside(size));
        keep(&window, "canvas");
        window.press_control(wording::LEAVE_CANVAS);
        window.keys("shift+F1");
        window.point(aside(size));
        keep(&window, "settings");
        window.keys("shift+F1");
        window.press_control(wording::EXPORT);
        window.press_control(wording::EXPORT_PATH);
        window.keys("ctrl+a");
        window.write("Tram depot.png");
        window.press_control(wording::EXPORT_NOW);
        stint_tests::display::wait_for("the picture", || studies.join("Tram depot.png").is_file());
        window.point(aside(size));
        keep(&window, "export");
        window.keys("Escape ctrl+q");
        window.end().success();

        // A stint is chosen, and the time shows in the heading of the readout.
        let window = open(&["open", "Tram depot.stint"]);
        window.press_control(&wording::time_named(Default::default()));
        window.press_control(&wording::minutes(40));
        window.point(aside(size));
        keep(&window, "stint");
        window.press_control(wording::DONE);
        // A drill beside the swatches from memory.
        window.keys("F11");
        window.press_control("Warmth");
        window.point(aside(size));
        keep(&window, "drill");
        window.keys("F11 ctrl+z ctrl+q");
        window.end().success();

        // The same painted again without the photo, which is opened afterwards: both beside it.
        let again = "Studies/Tram depot, from memory.stint";
        desk.stint(["study", "Studies/Tram depot.stint", "--from-memory", again]).success();
        from_memory(&desk.path(again));
        let window = open(&["open", "Tram depot, from memory.stint"]);
        window.press_control(wording::OPEN_PHOTO_NAME);
        window.press_control(wording::OPEN_PHOTO);
        window.press_control(wording::SIDE_BY_SIDE_NAME);
        window.point(aside(size));
        keep(&window, "side_by_side");
        window.keys("Escape ctrl+q");
        window.end().success();
        std::fs::remove_file(desk.path(again)).expect("the study that was begun");

        // What was made on the way is gone, and no study of a painter's.
        list(&desk, &["Tram depot.stint", "Depot, second try.stint"].map(|name| studies.join(name)));
        let window = open(&[]);
        keep(&window, "start");
        if more {
            window.press_control(wording::OWN_SIZE);
            window.point(aside(size));
            keep(&window, "start_own_size");
        }
        window.keys("ctrl+q");
        window.end().success();

        // Of half a year, first the months in which every study ended too dark: the start page has a sentence for the next one.
        let evenings = months(&desk, &studies);
        list(&desk, &evenings[..5]);
        let window = open(&[]);
        stint_tests::display::wait_for("a sentence for the next study", || window.shows(wording::NOT_AGAIN_NAME));
        window.point(aside(size));
        keep(&window, "next_time");
        window.keys("ctrl+q");
        window.end().success();

        list(&desk, &evenings);
        let window = open(&[]);
        window.press_control(wording::PROGRESS);
        stint_tests::display::wait_for("the figures", || window.shows(wording::BOARDS_AGAIN));
        window.point(aside(size));
        keep(&window, "progress");
        window.keys("ctrl+q");
        window.end().success();
    }

    /// Blocks in what somebody may remember of the depot.
    fn from_memory(study: &Path) {
        let mut session = Session::open(study, EngineChoice::Cpu).expect("a study of ours");
        let masses: [(&str, &[[f32; 2]]); 4] = [
            ("Sky", &[[0.0, 0.0], [1600.0, 0.0], [1600.0, 520.0], [0.0, 560.0]]),
            ("Brick", &[[760.0, 180.0], [1600.0, 120.0], [1600.0, 820.0], [740.0, 780.0]]),
            ("Wet yard", &[[0.0, 720.0], [760.0, 740.0], [1600.0, 800.0], [1600.0, 1200.0], [0.0, 1200.0]]),
            ("Lamp glow", &[[560.0, 560.0], [640.0, 550.0], [650.0, 640.0], [566.0, 650.0]]),
        ];
        for (family, outline) in masses {
            let swatch = SwatchRef::Swatch { family: family.to_owned(), role: Role::Local };
            let mass = Change::Mass { outline: outline.to_vec(), edge: Edge::Loose };
            for change in [Change::Load(swatch), mass] {
                session.apply(&change).expect("the board is that of the demo");
            }
        }
        session.close().expect("the study is written");
    }

    /// Invented studies and exercises of half a year, of a painter who begins too dark and gets better.
    fn months(desk: &TestFolder, studies: &Path) -> Vec<PathBuf> {
        const DAY: Duration = Duration::from_secs(24 * 60 * 60);
        let now = SystemTime::now();
        let mut listed = Vec::new();
        for (i, (days, shift, kelvin, free, minutes)) in [
            (171_u32, -1.3, 6200.0, true, 66_u64),
            (160, -1.2, 6504.0, true, 58),
            (141, -1.3, 6300.0, true, 61),
            (118, -1.1, 6400.0, true, 47),
            (96, -1.2, 6504.0, false, 44),
            (73, -0.5, 7200.0, true, 38),
            (52, -0.6, 6504.0, false, 41),
            (30, -0.2, 6200.0, false, 39),
            (11, 0.1, 6504.0, false, 35),
            (2, -0.1, 6504.0, false, 40),
        ]
        .into_iter()
        .enumerate()
        {
            let path = studies.join(format!("Depot, evening {}.stint", i + 1));
            std::fs::copy(desk.path("demo/tram_depot.stint"), &path).expect("the demo made a study");
            let mut session = Session::open(&path, EngineChoice::Cpu).expect("a study of ours");
            let (start, seconds) = (Instant::now(), Arc::new(AtomicU64::new(0)));
            let hands = seconds.clone();
            session.set_clock(move || start + Duration::from_secs(hands.load(Ordering::Relaxed)));
            let mut changes = vec![Change::Relight(kelvin), Change::Key { spread: 1.0, shift }];
            changes.extend((!free).then(|| Change::ClearPass("Free colour".to_owned())));
            changes.extend(
                (0..=minutes).map(|minute| Change::RenamePass { pass: names(minute), name: names(minute + 1) }),
            );
            for change in changes {
                session.apply(&change).expect("the demo has what is changed");
                seconds.fetch_add(60, Ordering::Relaxed);
            }
            session.close().expect("the study is written");
            let file = std::fs::File::options().write(true).open(&path).expect("a study of ours");
            file.set_modified(now - DAY * days).expect("the time of a file can be set");
            listed.push(path);
        }
        let mut record = MemoryRecord::default();
        for (days, right) in [(150_u32, 4), (122, 5), (97, 4), (61, 6), (33, 7), (9, 7)] {
            let date = day_of(now - DAY * days).unwrap_or_default();
            let answers = (0..QUESTIONS).map(|i| Answer { right: i < right, by: 0.03 }).collect();
            record.runs.push(Run { date, drill: Drill::Warmth, answers });
        }
        let record = ron::to_string(&record).expect("a record goes into text");
        std::fs::write(desk.data_folder().join("memory.ron"), record).expect("the record can be written");
        listed
    }

    /// Makes these the studies that the start page knows.
    fn list(desk: &TestFolder, studies: &[PathBuf]) {
        let list = format!("(studies: {:?})", studies.iter().map(|p| p.display().to_string()).collect::<Vec<_>>());
        std::fs::write(desk.data_folder().join("recent.ron"), list).expect("the list can be written");
    }

    /// Names of a pass, one a minute.
    fn names(minute: u64) -> String {
        if minute == 0 { "Block-in".to_owned() } else { format!("Block-in {minute}") }
    }

    /// Looks, sheets and panels that the README does not show. The study is as before afterwards.
    fn further(window: &Window<'_>, size: (u32, u32), keep: &dyn Fn(&Window<'_>, &str)) {
        let wall = window.control(CANVAS).at(0.56, 0.26);
        for (key, name) in [("F3", "value"), ("F4", "squint"), ("F5", "two_tone"), ("F5", "three_tone")] {
            window.keys(key);
            keep(window, name);
        }
        window.keys("F2 F1");
        keep(window, "keys");
        window.keys("Escape");
        window.press_control(wording::EDIT_SWATCH);
        window.point(aside(size));
        keep(window, "swatch");
        window.press_control(wording::DELETE);
        window.point(aside(size));
        keep(window, "delete");
        window.keys("Escape");
        window.press_control(&wording::edit_family("Brick"));
        window.point(aside(size));
        keep(window, "family");
        window.keys("Escape");
        window.press_control(wording::EDIT_PASS);
        window.point(aside(size));
        keep(window, "passes");
        window.press_control(wording::EDITED_PASS);
        window.press(window.control(wording::PHOTO).at(0.55, 0.4));
        keep(window, "loupe");
        window.point(wall);
        window.keys("s");
        for (x, y) in [(0.3, 0.3), (0.6, 0.25), (0.55, 0.6)] {
            window.press(window.control(CANVAS).at(x, y));
        }
        window.point(window.control(CANVAS).at(0.35, 0.5));
        keep(window, "outline");
        window.keys("Escape a");
        window.press(wall);
        keep(window, "wet");
        window.keys("ctrl+z");
        window.point(wall);
    }

    fn board_of(study: &Path) -> Board {
        StudyFile::open_read_only(study).expect("a study of ours").document().board.clone()
    }

    fn write(path: &Path, bytes: &[u8]) {
        std::fs::write(path, bytes).unwrap_or_else(|e| panic!("{} cannot be written ({e})", path.display()));
        println!("{}, {} bytes", path.display(), bytes.len());
    }
}
