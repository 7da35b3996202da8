//! The first two minutes: the start page, a photo that comes in, a message that goes.

use super::*;
use crate::files::library::Library;
use crate::files::recent;
use crate::ui::panels::Page;
use egui_kittest::kittest::NodeT;
use std::path::Path;

fn page(home: &Path, size: [f32; 2]) -> Harness<'static, Screen> {
    let data_folder = Some(home.to_owned());
    window(State { engine: EngineChoice::Cpu, data_folder, ..State::default() }, size)
}

#[test]
fn a_photo_is_chosen_and_lies_large_with_a_board_proposed_over_it() {
    let home = tempfile::tempdir().unwrap();
    let photo_here = home.path().join("depot.jpg");
    std::fs::copy(photo(), &photo_here).unwrap();
    let mut harness = page(home.path(), [1280.0, 800.0]);
    press(&mut harness, &wording::ground_named("Dark slate"));
    press(&mut harness, wording::LARGE_CANVAS);
    press(&mut harness, wording::CHOOSE_A_PHOTO);
    choose(&mut harness, &photo_here, wording::OPEN_IT);
    settled(&mut harness);
    let made = document(&harness);
    assert_eq!((made.width, made.height, made.ground.name.as_str()), (3200, 2400, "dark slate"));
    assert_eq!(made.reference.as_ref().unwrap().name, "depot.jpg");
    assert!(home.path().join("depot.stint").is_file());
    assert_eq!(harness.state().panels.page, Page::Photo);
    until(&mut harness, "the proposal", |h| !h.state().panels.proposal.families().is_empty());
    harness.get_by_label(wording::LAY_PROPOSAL);
    keep_picture(&mut harness, "photo_in", [1280.0, 800.0]);
}

#[test]
fn what_is_dropped_on_the_start_page_gets_the_canvas_that_is_chosen_there() {
    let home = tempfile::tempdir().unwrap();
    let photo_here = home.path().join("depot.jpg");
    std::fs::copy(photo(), &photo_here).unwrap();
    let mut harness = page(home.path(), [1280.0, 800.0]);
    press(&mut harness, "A4");
    open(&mut harness, &photo_here);
    let made = document(&harness);
    assert_eq!((made.width, made.height), (1600, 1131));
}

#[test]
fn what_failed_to_open_is_told_whole_and_no_more_once_something_opened() {
    let home = tempfile::tempdir().unwrap();
    let (text, photo_here) = (home.path().join("text.jpg"), home.path().join("depot.jpg"));
    std::fs::write(&text, "no photo").unwrap();
    std::fs::copy(photo(), &photo_here).unwrap();
    let mut harness = page(home.path(), [1280.0, 800.0]);
    harness.state_mut().notices.push("a card cannot be read".to_owned());
    open(&mut harness, &text);
    let told = harness.state().notices.last().unwrap().clone();
    assert!(told.starts_with("text.jpg is text"), "{told}");
    // The file keeps its name at the start of the sentence.
    harness.get_by_label(&told);
    open(&mut harness, &photo_here);
    assert_eq!(harness.state().notices, ["a card cannot be read"]);
    // A long sentence takes several lines: what to do stands at its end.
    let long = format!("the {} end", "very long way to the ".repeat(20));
    harness.state_mut().notices = vec![long.clone()];
    harness.run();
    let rect = harness.get_by_label(&wording::sentence_start(&long)).rect();
    assert!(rect.height() > 40.0 && harness.get_by_label(wording::DISMISS).rect().left() > rect.right(), "{rect}");
}

#[test]
fn a_size_that_is_no_number_is_told_beside_its_field_and_starts_nothing() {
    let home = tempfile::tempdir().unwrap();
    let mut harness = page(home.path(), [1280.0, 800.0]);
    press(&mut harness, wording::OWN_SIZE);
    harness.get_by_role_and_label(Accessible::TextInput, wording::WIDTH_PX).set_text_value_accesskit("12cm");
    harness.run();
    harness.get_by_label(&wording::sentence_start(wording::SIZE_MISSING));
    assert!(harness.get_by_label(wording::START_EMPTY).accesskit_node().is_disabled());
    assert_eq!(harness.state().notices, [""; 0]);
}

#[test]
fn a_kept_board_starts_a_study_and_can_be_left_again() {
    let home = tempfile::tempdir().unwrap();
    let board = full().session.as_ref().unwrap().document().board.clone();
    Library::open(Some(home.path())).keep(&board, None).unwrap();
    let mut harness = page(home.path(), [1280.0, 800.0]);
    let card = wording::start_from_board("Tram depot", wording::light_of_board(LightOfDay::Cool));
    until(&mut harness, "the board", |h| h.query_by_label(&card).is_some());
    press(&mut harness, &card);
    harness.get_by_label(&wording::with_board("Tram depot"));
    press(&mut harness, wording::WITHOUT_BOARD);
    assert!(harness.query_by_label(&wording::with_board("Tram depot")).is_none());
    press(&mut harness, &card);
    press(&mut harness, wording::START_EMPTY);
    settled(&mut harness);
    assert_eq!(document(&harness).board.families, board.families);
}

/// Scrolls until all of a control lies in the window. Studies, boards and pictures come when they come, and move what stands below them.
fn scroll_to(harness: &mut Harness<'_, Screen>, name: &str) {
    for _ in 0..1500 {
        harness.get_by_label(name).scroll_to_me();
        harness.run_steps(3);
        if harness.ctx.content_rect().contains_rect(harness.get_by_label(name).rect()) {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
    let (rect, window) = (harness.get_by_label(name).rect(), harness.ctx.content_rect());
    panic!("{name} stays at {rect} in a window of {window}");
}

#[test]
fn own_studies_show_their_share_and_every_part_can_be_reached_in_every_window() {
    let home = tempfile::tempdir().unwrap();
    let study = home.path().join("Yard.stint");
    let mut session =
        Session::create(&study, (300, 200), Board::new("b", LightOfDay::Cool), EngineChoice::Cpu).unwrap();
    let (family, name, colour) = ("Brick".to_owned(), String::new(), "#73524e".to_owned());
    session
        .apply(&Command::AddSwatch { family: family.clone(), role: Role::Local, name, colour, by_role: false })
        .unwrap();
    session.apply(&Command::Load(SwatchRef::Swatch { family, role: Role::Local })).unwrap();
    let outline = vec![[0.0, 0.0], [300.0, 0.0], [300.0, 200.0]];
    session.apply(&Command::Mass { outline, edge: Edge::default() }).unwrap();
    session.close().unwrap();
    for name in ["Depot, low sun", "Depot, late", "Kiln wall", "Canal"] {
        let copy = home.path().join(format!("{name}.stint"));
        std::fs::copy(&study, &copy).unwrap();
        recent::add(Some(home.path()), &copy).unwrap();
    }
    recent::add(Some(home.path()), &study).unwrap();
    let board = full().session.as_ref().unwrap().document().board.clone();
    let mut library = Library::open(Some(home.path()));
    for name in ["Depot at blue hour", "Depot, low sun", "Depot, late", "Kiln wall"] {
        library.keep(&Board { name: name.to_owned(), ..board.clone() }, None).unwrap();
    }
    for size in [[900.0, 600.0], [1280.0, 800.0], [2560.0, 1440.0], [640.0, 480.0]] {
        let mut harness = page(home.path(), size);
        let name = wording::open_recent("Yard");
        if size[0] > 700.0 {
            until(&mut harness, "the card of the study", |h| h.query_by_label(&name).is_some());
            until(&mut harness, "the pictures", |h| h.state().panels.pictures.is_at_rest());
            keep_picture(&mut harness, "start", size);
        }
        for name in [wording::CHOOSE_A_PHOTO, wording::PASTE, "A4", wording::OPEN_A_STUDY, wording::DEMO] {
            scroll_to(&mut harness, name);
        }
    }
}

#[test]
fn a_message_leaves_after_a_while_or_when_it_is_cured() {
    let mut harness = small(full());
    harness.state_mut().notices.push("a notice".to_owned());
    harness.run();
    harness.get_by_label("A notice");
    harness.input_mut().time = Some(1000.0);
    harness.run();
    harness.input_mut().time = Some(1030.0);
    harness.run();
    assert!(harness.query_by_label("A notice").is_none() && harness.state().notices.is_empty());
    // Asked for again and again, a refusal is told once; what is done next cures it.
    let state = harness.state_mut();
    for _ in 0..3 {
        assert!(!state.apply(&Command::Redo));
    }
    assert_eq!(state.notices.len(), 1);
    assert!(state.apply(&Command::Undo));
    assert_eq!(state.notices, [""; 0]);
}

#[test]
fn the_next_step_follows_the_study_and_is_sent_away_for_good() {
    let home = tempfile::tempdir().unwrap();
    let mut screen = empty();
    screen.settings = crate::files::settings::Settings::read(home.path()).0;
    let mut harness = small(screen);
    harness.get_by_label(wording::NEXT_PHOTO);
    let state = harness.state_mut();
    assert!(state.apply(&Command::Reference(photo())));
    harness.run();
    harness.get_by_label(wording::NEXT_BOARD);
    let (family, name, colour) = ("Brick".to_owned(), String::new(), "#73524e".to_owned());
    let state = harness.state_mut();
    assert!(state.apply(&Command::AddSwatch { family, role: Role::Local, name, colour, by_role: false }));
    harness.run();
    harness.get_by_label(wording::NEXT_BLOCK_IN);
    // The first local is on the brush without being asked for.
    let outline = vec![[0.0, 0.0], [160.0, 0.0], [160.0, 60.0], [0.0, 60.0]];
    assert!(harness.state_mut().apply(&Command::Mass { outline, edge: Edge::default() }));
    harness.run();
    harness.get_by_label(wording::NEXT_COVER);
    press(&mut harness, wording::LEAVE_ME_NAME);
    assert!(harness.query_by_label(wording::NEXT_COVER).is_none());
    let (settings, told) = crate::files::settings::Settings::read(home.path());
    assert_eq!((settings.get(&crate::files::settings::FIRST_STEPS), told), (Some(false), Vec::new()));
}

#[test]
fn the_brush_stays_loaded() {
    let mut harness = small(full());
    let loaded = |h: &Harness<'static, Screen>| h.state().session.as_ref().unwrap().loaded();
    let board = document(&harness).board;
    let brick = board.family_named("Brick").unwrap().with_role(Role::Local).unwrap().id;
    let state = harness.state_mut();
    assert!(state.apply(&Command::LoadFree("#c43a5e".to_owned())));
    assert!(state.apply(&Command::ShutFree));
    assert_eq!(loaded(&harness), Some(Loaded::Swatch(brick)), "shutting free colour loads the last swatch again");
    let state = harness.state_mut();
    assert!(state.apply(&Command::OpenFree));
    assert_eq!(loaded(&harness), Some(Loaded::Swatch(brick)), "opening it changes nothing on the brush");
    let state = harness.state_mut();
    state.tool = crate::ui::tool_kind::ToolKind::Scrape;
    state.load(brick);
    assert_eq!(harness.state().tool, crate::ui::tool_kind::ToolKind::Brush);
}

#[test]
fn every_window_shows_the_main_things() {
    let mut guided = full();
    guided.settings = Default::default();
    guided.zoom = 0.62;
    guided.guides.thirds = true;
    let mut screens = vec![guided];
    for size in [[2560.0, 1440.0], [1280.0, 800.0], [900.0, 600.0]] {
        let mut screen = screens.pop().unwrap_or_else(full);
        screen.zoom = 0.62;
        let mut harness = window(screen, size);
        let inside = harness.ctx.content_rect();
        for name in [wording::COLOUR, wording::TWO_TONE, wording::EXPORT, wording::STEP_BACK, wording::CLOSE] {
            let rect = harness.get_by_label(name).rect();
            assert!(inside.contains_rect(rect), "{name} at {rect} in a window of {size:?}");
        }
        press(&mut harness, wording::TWO_TONE);
        keep_picture(&mut harness, "study_two_tone", size);
        press(&mut harness, wording::COLOUR);
        keep_picture(&mut harness, "study", size);
        if harness.query_by_label(wording::FIT).is_none() {
            press(&mut harness, wording::VIEW);
            keep_picture(&mut harness, "study_view", size);
        }
        harness.get_by_label(wording::FIT);
        harness.get_by_label(wording::MIRROR);
    }
}

#[test]
fn of_two_hundred_studies_only_those_in_sight_are_looked_at() {
    let home = tempfile::tempdir().unwrap();
    for i in 0..200 {
        let study = home.path().join(format!("Study {i}.stint"));
        std::fs::write(&study, "no study").unwrap();
        recent::add(Some(home.path()), &study).unwrap();
    }
    let mut harness = page(home.path(), [1280.0, 800.0]);
    until(&mut harness, "the last study", |h| h.query_by_label(&wording::open_recent("Study 199")).is_some());
    until(&mut harness, "the pictures", |h| h.state().panels.pictures.is_at_rest());
    let laid_out = harness.query_all_by_label_contains("Open Study ").count();
    assert!((6..20).contains(&laid_out), "{laid_out}");
    let began = std::time::Instant::now();
    for _ in 0..50 {
        harness.step();
    }
    eprintln!("a frame of the start page with 200 studies: {:?}", began.elapsed() / 50);
}

#[test]
fn a_photo_shows_coarsely_before_all_of_it_is_there_and_escape_lets_it_go() {
    let home = tempfile::tempdir().unwrap();
    let photo_here = home.path().join("depot.jpg");
    std::fs::copy(photo(), &photo_here).unwrap();
    let mut harness = page(home.path(), [1280.0, 800.0]);
    // Begun as a drop begins it; the next frame comes when the coarse view is there, however far the rest is.
    let what = crate::study::open_job::ToOpen::File {
        path: photo_here,
        canvas: crate::study::opening::NewCanvas::default(),
        target: crate::study::open_job::Target::NewStudy,
    };
    let begin = |harness: &mut Harness<'_, Screen>| {
        let opening = crate::study::open_job::Opening::start(what.clone(), EngineChoice::Cpu, || {}).unwrap();
        while opening.early().is_none() {
            std::thread::yield_now();
        }
        harness.state_mut().opening = Some(opening);
        harness.step();
    };
    begin(&mut harness);
    let shown = harness.get_by_label(&wording::coming_in("depot.jpg")).rect();
    assert!(shown.width() > 700.0 && (shown.aspect_ratio() - 4.0 / 3.0).abs() < 0.02, "{shown:?}");
    assert!(harness.query_by_label(wording::CHOOSE_A_PHOTO).is_none());
    keep_picture(&mut harness, "photo_early", [1280.0, 800.0]);
    settled(&mut harness);
    assert!(harness.query_by_label(&wording::coming_in("depot.jpg")).is_none());
    assert_eq!(harness.state().panels.page, Page::Photo);

    // While a study is open it comes in the place of the canvas; Escape goes back to that.
    press(&mut harness, wording::SHOW_SMALL);
    begin(&mut harness);
    if harness.state().opening.is_some() {
        harness.key_press(egui::Key::Escape);
        harness.run();
        assert!(harness.query_by_label(&wording::coming_in("depot.jpg")).is_none());
        assert_eq!(harness.state().panels.page, Page::Canvas);
    }
}
