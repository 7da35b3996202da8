//! Learning: the stint, painting again without the photo, drills, the page of progress.

use super::*;
use crate::base::clock;
use egui_kittest::kittest::NodeT;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

fn page(home: &Path) -> Harness<'static, Screen> {
    let data_folder = Some(home.to_owned());
    small(State { engine: EngineChoice::Cpu, data_folder, ..State::default() })
}

/// The name of the button that shows a time.
fn time(worked_min: u64, stint_min: Option<u32>) -> String {
    wording::time_named(stint_model::readout::WorkTime { worked_s: worked_min * 60, stint_min })
}

#[test]
fn a_stint_is_chosen_at_the_start_changed_on_the_way_and_ends_with_one_sentence() {
    let home = tempfile::tempdir().unwrap();
    let mut harness = page(home.path());
    press(&mut harness, &wording::minutes(20));
    press(&mut harness, wording::START_EMPTY);
    settled(&mut harness);
    assert_eq!(document(&harness).stint_min, Some(20));
    let (start, seconds) = (clock::now(), Arc::new(AtomicU64::new(0)));
    let hands = seconds.clone();
    let now = move || start + Duration::from_secs(hands.load(Ordering::Relaxed));
    harness.state_mut().session.as_mut().unwrap().set_clock(now);
    let work = |harness: &mut Harness<'_, Screen>, minutes: u64| {
        for _ in 0..minutes {
            seconds.fetch_add(60, Ordering::Relaxed);
            let name = format!("board {}", seconds.load(Ordering::Relaxed));
            assert!(harness.state_mut().apply(&Command::RenameBoard(name)));
        }
        harness.run();
    };
    // The first step has nothing before it.
    work(&mut harness, 1);
    work(&mut harness, 12);
    press(&mut harness, &time(12, Some(20)));
    harness.get_by_label("12 minutes at work so far.");
    press(&mut harness, &wording::minutes(40));
    press(&mut harness, wording::DONE);
    assert_eq!(document(&harness).stint_min, Some(40));
    work(&mut harness, 27);
    harness.get_by_label(&time(39, Some(40)));
    assert_eq!(harness.state().notices, [""; 0], "nothing is said before the end");
    work(&mut harness, 1);
    harness.get_by_label(&time(40, Some(40)));
    assert_eq!(harness.state().notices, ["40 minutes at work: this stint is over"]);
    work(&mut harness, 3);
    assert_eq!(harness.state().notices.len(), 1, "and nothing after it");
    press(&mut harness, &time(43, Some(40)));
    press(&mut harness, wording::NO_STINT);
    press(&mut harness, wording::DONE);
    harness.get_by_label(&time(43, None));
}

/// A study of the demo's photo with a board and a mass, in a file, open in a window.
fn painted(home: &Path) -> Harness<'static, Screen> {
    let file = home.join("depot.stint");
    let mut session = Session::create(&file, (160, 120), Board::default(), EngineChoice::Cpu).unwrap();
    let (family, name, role) = ("Brick".to_owned(), String::new(), Role::Local);
    let outline = vec![[0.0, 0.0], [80.0, 0.0], [80.0, 120.0], [0.0, 120.0]];
    for command in [
        Command::Reference(photo()),
        Command::AddSwatch { family: family.clone(), role, name, colour: "#73524e".to_owned(), by_role: false },
        Command::Load(SwatchRef::Swatch { family, role }),
        Command::Mass { outline, edge: Edge::default() },
    ] {
        session.apply(&command).unwrap();
    }
    let mut state = State { session: Some(session), engine: EngineChoice::Cpu, ..State::default() };
    state.data_folder = Some(home.join("data"));
    std::fs::create_dir_all(home.join("data")).unwrap();
    state.settings.set(&crate::files::settings::FIRST_STEPS, &false).unwrap();
    small(state)
}

#[test]
fn a_study_is_painted_again_without_the_photo_and_held_against_it_afterwards() {
    use crate::ui::panels::Page;
    let home = tempfile::tempdir().unwrap();
    let mut harness = painted(home.path());
    let board = document(&harness).board;
    harness.state_mut().panels.page = Page::Memory;
    harness.run();
    press(&mut harness, wording::PAINT_AGAIN);
    settled(&mut harness);
    assert_eq!(harness.state().notices, [""; 0]);
    assert!(home.path().join("depot from memory.stint").is_file());
    let again = document(&harness);
    assert_eq!((again.board, again.photo_shut), (board, true));
    assert_eq!(harness.state().panels.page, Page::Canvas);
    // No photo anywhere, neither in its column nor large.
    harness.get_by_label(wording::PHOTO_IS_SHUT);
    assert!(harness.query_by_label(wording::PHOTO).is_none());
    harness.state_mut().panels.page = Page::Photo;
    harness.run();
    assert!(harness.query_by_label(wording::PHOTO).is_none());
    harness.state_mut().panels.page = Page::Canvas;
    harness.run();
    keep_picture(&mut harness, "photo_shut", [1280.0, 800.0]);
    // It is asked once, and may be left.
    press(&mut harness, wording::OPEN_PHOTO_NAME);
    harness.get_by_label(wording::OPENING_PHOTO);
    press(&mut harness, wording::LEAVE_SHUT);
    assert!(document(&harness).photo_shut && harness.state().session.as_ref().unwrap().photo_opened().is_empty());
    press(&mut harness, wording::OPEN_PHOTO_NAME);
    press(&mut harness, wording::OPEN_PHOTO);
    harness.get_by_label(wording::PHOTO);
    assert_eq!(harness.state().session.as_ref().unwrap().photo_opened().len(), 1);
    press(&mut harness, wording::SIDE_BY_SIDE_NAME);
    for words in [wording::WITH_PHOTO, wording::THE_PHOTO, wording::PAINTED_FROM_MEMORY] {
        harness.get_by_label(words);
    }
    until(&mut harness, "the studies", |h| h.state().panels.side_by_side.is_read());
    assert!(harness.query_by_label_contains("is not beside").is_none());
    // The brick of the first study lies where the photo has sky, and the second has no paint to speak of.
    harness.run();
    let said = crate::study::small_picture::beside_photo(&home.path().join("depot.stint")).unwrap().sentences;
    assert!(said.iter().any(|s| s.starts_with("Brick ")), "{said:?}");
    for sentence in &said {
        harness.get_by_label(&wording::sentence_start(sentence));
    }
    // All three begin at one height, right under the title.
    let pictures = [wording::WITH_PHOTO, wording::THE_PHOTO, wording::PAINTED_FROM_MEMORY];
    let [first, photo, again] = pictures.map(|words| harness.get_by_label(words).rect());
    assert!(first.top() == photo.top() && photo.top() == again.top() && photo.top() < 110.0, "{first} {photo} {again}");
    keep_picture(&mut harness, "side_by_side", [1280.0, 800.0]);
    harness.key_press(egui::Key::Escape);
    harness.run();
    assert_eq!(harness.state().panels.page, Page::Canvas);
    press(&mut harness, wording::SHUT_PHOTO_NAME);
    assert!(harness.query_by_label(wording::PHOTO).is_none());
}

fn memory_page(home: &Path) -> Harness<'static, Screen> {
    let mut state = full();
    state.data_folder = Some(home.to_owned());
    state.panels.page = crate::ui::panels::Page::Memory;
    small(state)
}

#[test]
fn drills_ask_one_thing_at_a_time_and_are_recorded() {
    use crate::files::memory_record::load;
    use stint_model::board::LightOfDay;
    use stint_model::drill::{Drill, QUESTIONS, Question, question};
    let home = tempfile::tempdir().unwrap();
    let mut harness = memory_page(home.path());
    let before = (document(&harness), harness.state().session.as_ref().unwrap().depths());

    press(&mut harness, "Warmth");
    for number in 0..QUESTIONS {
        harness.get_by_label(&wording::step_of(number + 1, QUESTIONS));
        let Question::Warmth([left, right]) = question(Drill::Warmth, 1, number) else { panic!() };
        let right_is_warmer = stint_model::colour::warmth::warmer(right, left);
        // By the chips and by the words; the last answer is wrong on purpose.
        let answer = right_is_warmer != (number + 1 == QUESTIONS);
        let names = if number % 2 == 0 {
            [wording::LEFT_CHIP, wording::RIGHT_CHIP]
        } else {
            [wording::LEFT_WARMER, wording::RIGHT_WARMER]
        };
        press(&mut harness, names[usize::from(answer)]);
        let side = if right_is_warmer { "The right one is " } else { "The left one is " };
        harness.get_by_label_contains(side);
        if number == 2 {
            keep_picture(&mut harness, "drill_warmer", [1280.0, 800.0]);
        }
        let next = if number + 1 == QUESTIONS { wording::END_SITTING } else { wording::NEXT_SWATCH };
        press(&mut harness, next);
    }
    harness.get_by_label(&wording::right_of(QUESTIONS));
    harness.get_by_label(&wording::answer_sign(QUESTIONS, false));
    let runs = load(Some(home.path())).unwrap().0.runs;
    assert_eq!(runs.iter().map(|r| (r.drill, r.right())).collect::<Vec<_>>(), [(Drill::Warmth, QUESTIONS - 1)]);

    press(&mut harness, "Values");
    harness.get_by_label(wording::DRILL_CHIP);
    keep_picture(&mut harness, "drill_value", [1280.0, 800.0]);
    harness.get_by_role_and_label(Accessible::Slider, wording::GUESS_VALUE).set_value_accesskit(9.5);
    harness.run();
    press(&mut harness, wording::SHOW_ANSWER);
    harness.get_by_label(wording::WRONG_ANSWER);
    harness.get_by_label_contains("too light");

    press(&mut harness, "Light");
    let Question::Light(_, light) = question(Drill::Light, 1, 0) else { panic!() };
    keep_picture(&mut harness, "drill_light", [1280.0, 800.0]);
    press(&mut harness, wording::light_title(light));
    harness.get_by_label(wording::RIGHT_ANSWER);
    harness.key_press(egui::Key::Enter);
    harness.run();
    let other = LightOfDay::ALL[0];
    press(&mut harness, wording::light_title(other));
    let record = load(Some(home.path())).unwrap().0;
    assert_eq!((record.runs.len(), record.runs[2].answers.len()), (3, 2));
    // Back to the swatches, where they were left; and the study is as it was.
    press(&mut harness, "Swatches");
    harness.get_by_label(wording::MEMORY_HINT);
    assert_eq!((document(&harness), harness.state().session.as_ref().unwrap().depths()), before);
}

/// A chip of the colour of the field is seen by its edge, on every surround.
#[test]
fn a_chip_that_is_as_grey_as_the_field_is_seen_to_be_there() {
    use crate::ui::looks::Surround;
    let home = tempfile::tempdir().unwrap();
    let mut harness = memory_page(home.path());
    for surround in [Surround::Dark, Surround::Middle, Surround::Light] {
        harness.state_mut().surround = surround;
        // The value of the surround itself.
        let ground = theme::surround(surround);
        let value = stint_model::colour::Colour::from_srgb8([ground.r(); 3]).munsell_value();
        harness.get_by_role_and_label(Accessible::Slider, wording::GUESS_VALUE).set_value_accesskit(f64::from(value));
        harness.run();
        let rect = harness.get_by_label(wording::GUESS).rect();
        let picture = harness.render().unwrap();
        let at = |x: f32, y: f32| picture.get_pixel(x as u32, y as u32).0[0];
        let (inside, outside) = (at(rect.left() + 6.0, rect.center().y), at(rect.left() - 6.0, rect.center().y));
        assert!(inside.abs_diff(outside) <= 1, "{surround:?}: the chip is as grey as the field");
        let edge = (-2..=2).map(|d| at(rect.left() + d as f32, rect.center().y));
        let seen = edge.map(|code| code.abs_diff(outside)).max().unwrap();
        assert!(seen > 60, "{surround:?}: {seen}");
    }
}

/// A study in a file with so much board paint and so much free colour, on the list of recent studies.
fn kept_study(home: &Path, name: &str, board_columns: f32, free_columns: f32) {
    let file = home.join(format!("{name}.stint"));
    let mut session =
        Session::create(&file, (80, 40), Board::new("Tram depot", LightOfDay::Cool), EngineChoice::Cpu).unwrap();
    let (family, called, role) = ("Brick".to_owned(), String::new(), Role::Local);
    let columns = |from: f32, to: f32| vec![[from, 0.0], [to, 0.0], [to, 40.0], [from, 40.0]];
    let mut commands = vec![
        Command::AddSwatch { family: family.clone(), role, name: called, colour: "#73524e".to_owned(), by_role: false },
        Command::Load(SwatchRef::Swatch { family, role }),
        Command::Mass { outline: columns(0.0, board_columns), edge: Edge::default() },
    ];
    if free_columns > 0.0 {
        let outline = columns(board_columns, board_columns + free_columns);
        commands.extend([
            Command::OpenFree,
            Command::LoadFree("#c43a5e".to_owned()),
            Command::Mass { outline, edge: Edge::default() },
        ]);
    }
    for command in commands {
        session.apply(&command).unwrap();
    }
    session.close().unwrap();
    crate::files::recent::add(Some(&home.join("data")), &file).unwrap();
}

fn start(home: &Path) -> Harness<'static, Screen> {
    let data_folder = Some(home.join("data"));
    std::fs::create_dir_all(home.join("data/stint")).unwrap();
    let mut state = State { engine: EngineChoice::Cpu, data_folder, ..State::default() };
    state.settings = crate::files::settings::Settings::read(&home.join("data/stint")).0;
    small(state)
}

fn gathered(harness: &mut Harness<'_, Screen>) {
    until(harness, "the figures", |h| h.state().panels.progress.figures.is_at_rest());
}

#[test]
fn progress_shows_every_study_opens_it_by_pointer_and_key_and_goes_into_files() {
    use crate::ui::panels::Page;
    let home = tempfile::tempdir().unwrap();
    kept_study(home.path(), "depot", 60.0, 4.0);
    kept_study(home.path(), "yard", 40.0, 0.0);
    let mut harness = start(home.path());
    press(&mut harness, wording::PROGRESS);
    gathered(&mut harness);
    harness.get_by_label(wording::PROGRESS_PRIVATE);
    harness.get_by_label(&wording::progress_counts(2, 0));
    harness.get_by_label(&wording::board_again("Tram depot", 2));
    let share = |name: &str| format!("Open {name}, ");
    assert!(harness.query_all_by_label_contains(&share("depot")).count() >= 2, "a point a chart");
    keep_picture(&mut harness, "progress", [1280.0, 800.0]);
    // Into a file, whose name is asked for; one that is there is asked about.
    let table = home.path().join("figures.csv");
    for again in [false, true] {
        press(&mut harness, wording::WRITE_PROGRESS);
        choose(&mut harness, &table, wording::WRITE_IT);
        if again {
            press(&mut harness, wording::REPLACE);
        }
        until(&mut harness, "the table", |h| !h.state().panels.progress.is_writing());
        assert_eq!(std::mem::take(&mut harness.state_mut().notices), [wording::progress_written(&table)]);
    }
    let text = std::fs::read_to_string(&table).unwrap();
    assert_eq!(text.lines().count(), 3);
    assert!(text.contains("depot") && !text.contains(&*home.path().to_string_lossy()), "{text}");
    // By key: what has the keyboard says what it is, and Enter opens it.
    let point = |harness: &mut Harness<'_, Screen>, name: &str| {
        let all: Vec<_> = harness.query_all_by_label_contains(&share(name)).map(|n| n.rect()).collect();
        (harness.query_all_by_label_contains(&share(name)).next().unwrap().accesskit_node().label().unwrap(), all)
    };
    let (label, _) = point(&mut harness, "yard");
    harness.get_by_label(&label).focus();
    harness.run();
    harness.key_press(egui::Key::Enter);
    harness.run();
    settled(&mut harness);
    assert_eq!(harness.state().session.as_ref().unwrap().path().file_stem().unwrap(), "yard");
    assert_eq!(harness.state().panels.page, Page::Canvas);
    // By pointer, from the page over an open study.
    harness.state_mut().panels.page = Page::Progress;
    harness.run();
    gathered(&mut harness);
    let (_, places) = point(&mut harness, "depot");
    harness.hover_at(places[0].center());
    harness.run();
    let (label, _) = point(&mut harness, "depot");
    press(&mut harness, &label);
    settled(&mut harness);
    assert_eq!(harness.state().session.as_ref().unwrap().path().file_stem().unwrap(), "depot");
}

#[test]
fn a_page_without_anything_says_what_will_be_there() {
    let home = tempfile::tempdir().unwrap();
    let mut harness = start(home.path());
    press(&mut harness, wording::PROGRESS);
    gathered(&mut harness);
    harness.get_by_label(wording::NO_PROGRESS);
    press(&mut harness, wording::BACK);
    harness.get_by_label(wording::START_EMPTY);
}

#[test]
fn the_start_page_says_one_sentence_once_five_studies_bear_it_and_it_goes_for_good() {
    let home = tempfile::tempdir().unwrap();
    let sentence =
        "Your last five studies go past a tenth of free colour: lay the colour you reach for on the board first.";
    for i in 0..4 {
        kept_study(home.path(), &format!("study {i}"), 60.0, 16.0 + i as f32 * 0.5);
    }
    let mut harness = start(home.path());
    gathered(&mut harness);
    assert!(harness.query_by_label(sentence).is_none(), "four studies are too few");
    harness.get_by_label(wording::PROGRAM_LINE);
    kept_study(home.path(), "study 4", 60.0, 17.0);
    let mut harness = start(home.path());
    gathered(&mut harness);
    harness.run();
    harness.get_by_label(sentence);
    assert!(harness.query_by_label(wording::PROGRAM_LINE).is_none(), "it stands in the place of the line");
    keep_picture(&mut harness, "next_time", [1280.0, 800.0]);
    press(&mut harness, wording::NOT_AGAIN_NAME);
    harness.run();
    assert!(harness.query_by_label(sentence).is_none());
    let mut harness = start(home.path());
    gathered(&mut harness);
    harness.run();
    assert!(harness.query_by_label(sentence).is_none(), "for good");
}

#[test]
fn the_guide_lies_beside_the_keys() {
    let mut harness = small(full());
    harness.state_mut().panels.toggle_keys();
    harness.run();
    harness.get_by_label("All keys and the painter's guide");
    press(&mut harness, "Painter's guide");
    harness.get_by_label("From a photo to a study from memory");
    harness.get_by_label("Eyes and wrist");
    assert!(harness.query_by_label("All keys and the painter's guide").is_none());
    keep_picture(&mut harness, "guide", [1280.0, 800.0]);
    press(&mut harness, wording::DONE);
    // It is found where it was left.
    harness.state_mut().panels.toggle_keys();
    harness.run();
    harness.get_by_label("Eyes and wrist");
}
