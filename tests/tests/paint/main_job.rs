//! The main job from the command line: on two real photos (see `data/SOURCES.md`), and on the shipped scene.

use serde_json::Value;
use std::path::Path;
use std::process;
use stint::study::command::{Command, SwatchRef};
use stint::study::session::Session;
use stint_model::board::{LightOfDay, Role};
use stint_model::colour::Colour;
use stint_model::pass::PassKind;
use stint_render::choose::EngineChoice;
use stint_render::mask::PenSample;
use stint_render::mask::brush::Brush;
use stint_render::mask::mass::Edge;
use stint_tests::program::{TestFolder, lacks};
use stint_tests::scripts::kept;

/// A photo with a surface to pick from, in photo pixels.
struct Job {
    photo: &'static str,
    size: (u32, u32),
    surface: &'static str,
    outline: &'static [(f32, f32)],
}

const JOBS: [Job; 2] = [
    Job {
        photo: "china.jpg",
        size: (640, 427),
        surface: "Roof",
        outline: &[(150.0, 150.0), (500.0, 150.0), (520.0, 260.0), (120.0, 260.0)],
    },
    Job {
        photo: "coffee.jpg",
        size: (600, 400),
        surface: "Table",
        outline: &[(10.0, 10.0), (220.0, 10.0), (120.0, 160.0), (10.0, 200.0)],
    },
];

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

fn rect(left: f32, top: f32, right: f32, bottom: f32) -> Vec<[f32; 2]> {
    vec![[left, top], [right, top], [right, bottom], [left, bottom]]
}

fn load(family: &str, role: Role) -> Command {
    Command::Load(SwatchRef::Swatch { family: family.to_owned(), role })
}

fn role(word: &Value) -> Role {
    Role::ALL.into_iter().find(|r| format!("{r:?}") == word.as_str().unwrap()).unwrap()
}

/// A block-in of masses, strokes and scrapes in three passes, with the swatches of the proposed board and a trio picked from
/// the photo. The lowest 40 rows stay one mass of the trio's shadow.
fn block_in(job: &Job, proposed: &Value) -> Vec<Command> {
    let (w, h) = (job.size.0 as f32, job.size.1 as f32);
    let surface = job.surface.to_owned();
    let mut commands = vec![
        Command::Reference(format!("../{}", job.photo)),
        Command::Adjust { hue_turn: 6.0, soften: 0.8, exposure: 0.0, contrast: 1.0 },
        Command::PickTrio { family: surface.clone(), outline: job.outline.to_vec(), moved: Vec::new() },
        Command::SetLight(LightOfDay::Warm),
    ];
    let swatches = proposed["swatches"].as_array().unwrap();
    for swatch in swatches {
        commands.push(Command::AddSwatch {
            family: swatch["family"].as_str().unwrap().to_owned(),
            role: role(&swatch["role"]),
            name: String::new(),
            colour: swatch["hex"].as_str().unwrap().to_owned(),
            by_role: false,
        });
    }
    commands.push(load(&surface, Role::Shadow));
    commands.push(Command::Mass { outline: rect(0.0, h * 0.5, w, h), edge: Edge::Hard });
    let stroke = |i: usize| {
        let (x, y) = (w * (i % 5) as f32 / 5.0, (h - 100.0) * (i % 7) as f32 / 7.0);
        Command::Stroke(vec![
            PenSample::new(x, y, 0.4),
            PenSample::new(x + w / 6.0, y + 30.0, 0.9),
            PenSample::new(x + w / 4.0, y, 0.6),
        ])
    };
    for (i, swatch) in swatches.iter().enumerate() {
        commands.push(load(swatch["family"].as_str().unwrap(), role(&swatch["role"])));
        let (left, top) = (w * (i % 4) as f32 / 5.0, h * (i / 4) as f32 / 12.0);
        commands.push(Command::Mass { outline: rect(left, top, left + w / 3.7, top + h / 5.3), edge: Edge::Soft });
        commands.push(stroke(i));
        if i == 5 || i == 10 {
            commands.push(Command::AddPass(format!("pass {i}")));
            commands.push(Command::Brush(Brush { size_px: 30.0, ..Brush::default() }));
        }
        if i == 8 {
            commands.push(Command::Scrape(vec![PenSample::new(0.0, 0.0, 1.0), PenSample::new(w / 2.0, h / 4.0, 1.0)]));
        }
    }
    commands
}

fn strokes_in(commands: &[Command]) -> u64 {
    let is_stroke = |c: &&Command| matches!(c, Command::Stroke(_) | Command::Scrape(_) | Command::Mass { .. });
    commands.iter().filter(is_stroke).count() as u64
}

#[test]
fn the_whole_job_on_real_photos() {
    for job in &JOBS {
        let desk = TestFolder::new();
        let stint = |line: &str| desk.stint(line.split(' '));
        // Looking for a graphics device takes the better part of a second each time.
        let on_cpu = |line: &str| stint(&format!("{line} --engine cpu"));
        desk.take(&format!("photos/{}", job.photo));
        let photo = job.photo;

        // Board: proposed, looked at, reviewed.
        let said = stint(&format!("board from {photo} --families 4 --light warm --out first.board.ron")).success();
        assert!(said.contains("wrote first.board.ron"), "{said}");
        let proposed = json(&stint("board show first.board.ron --json").success());
        let found = proposed["swatches"].as_array().unwrap();
        assert!((8..=12).contains(&found.len()), "{proposed}");
        assert_eq!(proposed["light"], "Warm");
        let remarks = json(&stint("board review first.board.ron --json").success());
        for remark in remarks["remarks"].as_array().unwrap() {
            assert!(remark["text"].as_str().unwrap().len() > 20, "{remark}");
        }
        // The same photo gives the same board.
        let printed = stint(&format!("board from {photo} --families 4 --light warm")).success();
        assert_eq!(printed, std::fs::read_to_string(desk.path("first.board.ron")).unwrap());

        // Block-in: free colour is shut, and what was painted before it was tried is kept.
        std::fs::create_dir(desk.path("scripts")).unwrap();
        let board_work = block_in(job, &proposed);
        let shut = [board_work.clone(), vec![Command::LoadFree("#e06010".to_owned())]].concat();
        desk.script("scripts/shut.ron", job.size, shut);
        let said = stint("play scripts/shut.ron --out shut.stint");
        assert_eq!(kept(&said), strokes_in(&board_work));
        let number = format!("command {} of scripts/shut.ron", board_work.len() + 1);
        said.refused(&[&number, "free colour is shut", "open free colour first", "kept in shut.stint"]);
        let before = json(&on_cpu("readout shut.stint --json").success());
        assert_eq!((&before["board_share"], &before["free_share"]), (&1.0.into(), &0.0.into()));
        assert_eq!(before["free_colour"]["opened"].as_array().unwrap().len(), 0);

        // Opened on purpose.
        let free_work = [
            Command::OpenFree,
            Command::LoadFree("#e06010".to_owned()),
            Command::Stroke(vec![PenSample::new(40.0, 40.0, 1.0), PenSample::new(200.0, 90.0, 1.0)]),
            Command::ShutFree,
        ];
        let whole = [&board_work[..], &free_work].concat();
        desk.script("scripts/whole.ron", job.size, whole.clone());
        assert_eq!(kept(&on_cpu("play scripts/whole.ron --out study.stint")), strokes_in(&whole));
        let text = on_cpu("readout study.stint --json").success();
        let readout = json(&text);
        let free = readout["free_share"].as_f64().unwrap();
        assert!(free > 0.001 && free < 0.2, "{readout}");
        assert_eq!(readout["free_colour"]["open"], false);
        let opened = &readout["free_colour"]["opened"][0];
        assert_eq!(opened["after_strokes"], strokes_in(&board_work));
        assert_eq!((&opened["board_share"], &opened["bare_share"]), (&before["board_share"], &before["bare_share"]));
        assert_eq!((&readout["width"], &readout["height"]), (&job.size.0.into(), &job.size.1.into()));

        // What is in the study.
        let mut session = Session::open(&desk.path("study.stint"), EngineChoice::Cpu).unwrap();
        let (decoded, adjustments) = session.reference().unwrap();
        assert_eq!((decoded.width_px(), decoded.height_px()), job.size);
        assert_eq!((adjustments.hue_turn_degrees, adjustments.soften_px), (6.0, 0.8));
        let board = session.document().board.clone();
        let trio = board.family_named(job.surface).unwrap();
        let [shadow, local, light] =
            [Role::Shadow, Role::Local, Role::Light].map(|r| trio.with_role(r).unwrap().colour);
        assert!(shadow.munsell_value() < local.munsell_value() && local.munsell_value() < light.munsell_value());
        assert_eq!(session.document().passes.len(), 4);
        let mut cut_off = Session::open_read_only(&desk.path("shut.stint"), EngineChoice::Cpu).unwrap();
        let cut_off = cut_off.shares().unwrap();
        assert_eq!(cut_off, &session.shares().unwrap()[..cut_off.len()], "both ran the same way up to there");
        session.close().unwrap();

        // Finish: PNGs that carry board and readout.
        for (name, options) in [("8.png", ""), ("16.png", " --depth 16 --dpi 300"), ("p3.png", " --gamut display-p3")] {
            on_cpu(&format!("export study.stint --out {name}{options}")).success();
            assert_eq!(on_cpu(&format!("readout {name} --json")).success(), text, "{name}");
            assert_eq!(on_cpu(&format!("readout {name}")).success(), on_cpu("readout study.stint").success());
            let show = |file: &str| json(&stint(&format!("board show {file} --json")).success());
            assert_eq!(show(name), show("study.stint"));
            // pngcheck 3.0.3 does not know cICP, which marks the wide gamut.
            if name != "p3.png" && !lacks(&["pngcheck"]) {
                let checked = process::Command::new("pngcheck").arg("-q").arg(desk.path(name)).status();
                assert!(
                    checked.expect("these tests need pngcheck; on Debian: apt install pngcheck").success(),
                    "{name}"
                );
            }
            let new = format!("from_{name}.stint");
            let said = on_cpu(&format!("open {name} --out {new}")).success();
            assert!(said.contains(&format!("new study {new}")), "{said}");
            let mut fresh = Session::open(&desk.path(&new), EngineChoice::Cpu).unwrap();
            assert_eq!(fresh.document().board, board, "the very same board, ids and all");
            assert_eq!((fresh.document().width, fresh.document().height), job.size);
            assert_eq!((fresh.strokes(), fresh.readout().unwrap().painted_px), (0, 0.0));
        }
        shows(&desk.path("8.png"), job.size, shadow, 0.6);
        shows(&desk.path("16.png"), job.size, shadow, 0.01);
    }
}

/// A picture of this size whose lowest rows are of one colour, to `tolerance` of an 8-bit code.
fn shows(path: &Path, size: (u32, u32), colour: Colour, tolerance: f32) {
    let picture = image::open(path).unwrap().into_rgb32f();
    assert_eq!(picture.dimensions(), size);
    let hex = colour.hex();
    let wanted = [1, 3, 5].map(|i| u8::from_str_radix(&hex[i..i + 2], 16).unwrap());
    let low = size.1 - 40;
    let first = picture.get_pixel(3, low).0;
    // The hex code is the colour to half a code; all pixels are the same.
    for (found, wanted) in first.iter().zip(wanted) {
        assert!((found * 255.0 - f32::from(wanted)).abs() <= 0.51, "{first:?}, the swatch is {hex}");
    }
    for (x, y) in (low..size.1).flat_map(|y| (0..size.0).map(move |x| (x, y))) {
        let near = picture.get_pixel(x, y).0.iter().zip(first).all(|(a, b)| (a - b).abs() * 255.0 <= tolerance);
        assert!(near, "{:?} at {x}, {y}", picture.get_pixel(x, y));
    }
}

#[test]
fn the_demo_does_the_whole_job() {
    let desk = TestFolder::new();
    let demo = |engine: &str| desk.stint(["demo", "--out", engine, "--engine", engine]).success();
    let said = demo("cpu");
    for word in ["painted", "from the board", "free colour", "opened after", "carries its board"] {
        assert!(said.contains(word), "{said}");
    }
    let show = |file: &str| json(&desk.stint(["board", "show", file, "--json"]).success());
    let board = show("cpu/tram_depot.stint");
    assert_eq!(show("cpu/tram_depot.png"), board);
    assert_eq!(show("cpu/tram_depot.board.ron"), board);
    let text = |file: &str| desk.stint(["readout", file, "--json", "--engine", "cpu"]).success();
    assert_eq!(text("cpu/tram_depot.png"), text("cpu/tram_depot.stint"));
    let readout = json(&text("cpu/tram_depot.stint"));
    let free = readout["free_share"].as_f64().unwrap();
    assert!((0.02..=0.10).contains(&free), "{free}");
    assert_eq!(readout["families"].as_array().unwrap().len(), 6);
    for swatch in readout["swatches"].as_array().unwrap() {
        assert!(swatch["share"].as_f64().unwrap() > 0.0, "every swatch is used: {swatch}");
    }
    let mut session = Session::open(&desk.path("cpu/tram_depot.stint"), EngineChoice::Cpu).unwrap();
    let opened = readout["free_colour"]["opened"].as_array().unwrap();
    assert_eq!(opened.len(), 1);
    let late = opened[0]["after_strokes"].as_u64().unwrap() as f64 / session.strokes() as f64;
    assert!(late > 0.8 && late < 1.0, "free colour is opened after {late} of the strokes");
    assert_eq!(opened[0]["free_share"], 0.0);
    let passes = session.document().passes.clone();
    assert!(passes.iter().filter(|p| p.kind == PassKind::Board).count() >= 3, "{passes:?}");
    assert_eq!(passes.last().unwrap().kind, PassKind::Free);
    for pass in &passes {
        assert!(session.canvas().is_painted(pass.id), "{pass:?}");
    }
    // The reference is a phone's photo and lies in the study.
    assert!(session.reference().unwrap().0.width_px() >= 1000);

    // While somebody has the study open the demo leaves it alone.
    let refused = desk.stint(["demo", "--out", "cpu", "--engine", "cpu"]);
    refused.refused(&["tram_depot.stint", "already open in another window"]);
    session.close().unwrap();
    assert_eq!(text("cpu/tram_depot.stint"), text("cpu/tram_depot.png"));
    // Then it starts afresh, and paints the same again.
    demo("cpu");
    assert_eq!(json(&text("cpu/tram_depot.stint")), readout);
    // A file of somebody else under that name stays.
    std::fs::create_dir(desk.path("mine")).unwrap();
    desk.write("mine/tram_depot.stint", "shopping list");
    desk.stint(["demo", "--out", "mine"]).refused(&["mine/tram_depot.stint", "is not a study"]);
    assert_eq!(std::fs::read(desk.path("mine/tram_depot.stint")).unwrap(), b"shopping list");
    // On a graphics device, here perhaps one of software, to the last digit.
    println!("{}", demo("gpu").lines().next().unwrap());
    assert_eq!(json(&text("gpu/tram_depot.stint")), readout);
}
