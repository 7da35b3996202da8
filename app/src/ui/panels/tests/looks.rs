//! What the window looks like: where there is colour, what is left for the canvas, pictures for a person.

use super::board::questionable;
use super::*;
use crate::files::recent;
use crate::ui::panels::{Page, Sheet, frame, swatch_sheet};
use egui::{Rect, pos2};
use stint_model::colour::Colour;

/// Where the picture has colour: pixels whose three codes differ, and that lie in none of `allowed`.
fn coloured(picture: &image::RgbaImage, allowed: &[Rect]) -> Vec<(u32, u32)> {
    let pixels = picture.enumerate_pixels().filter(|(_, _, p)| p.0[0] != p.0[1] || p.0[1] != p.0[2]);
    let places = pixels.map(|(x, y, _)| (x, y));
    places.filter(|&(x, y)| !allowed.iter().any(|r| r.contains(pos2(x as f32 + 0.5, y as f32 + 0.5)))).collect()
}

/// Where the start page shows what a canvas may be coated with, which is paint.
fn grounds(harness: &Harness<'_, Screen>) -> Vec<Rect> {
    let chips = wording::GROUNDS.iter().flat_map(|(name, ..)| {
        let name = wording::ground_named(name);
        harness.query_all_by_role_and_label(Accessible::RadioButton, &name).map(|n| n.rect()).collect::<Vec<_>>()
    });
    chips.collect()
}

#[test]
fn without_paint_the_window_is_grey() {
    let home = tempfile::tempdir().unwrap();
    let mut start = small(State { data_folder: Some(home.path().to_owned()), ..State::default() });
    let grounds = grounds(&start);
    assert_eq!(grounds.len(), wording::GROUNDS.len());
    assert_eq!(coloured(&start.render().unwrap(), &grounds), []);
    let mut study = small(empty());
    for sheet in [Sheet::Keys, Sheet::OpenFree, Sheet::RemovePass("Block-in".to_owned())] {
        study.state_mut().panels.sheet = Some(sheet);
        study.run();
        assert_eq!(coloured(&study.render().unwrap(), &[]), []);
    }
}

#[test]
fn with_paint_only_paint_and_the_photo_have_colour() {
    let mut harness = small(full());
    let board = document(&harness).board;
    let swatches = board.swatches().map(|(_, s)| swatch_sheet::called(&board, s.id));
    let mut names: Vec<String> = swatches.collect();
    let segments = harness.state().panels.readout.segment_words();
    names.extend(segments);
    names.extend([wording::PHOTO.to_owned(), wording::PLANE.to_owned(), wording::used_before("#c43a5e")]);
    let mut allowed: Vec<Rect> =
        names.iter().flat_map(|n| harness.query_all_by_label(n).map(|n| n.rect()).collect::<Vec<_>>()).collect();
    // The free share stands out of the bar; the dab of the picker lies left of its button.
    allowed.extend(allowed.clone().into_iter().map(|r| r.expand2(egui::vec2(6.0, 1.0))));
    let load = harness.get_by_label(wording::LOAD_FREE).rect();
    allowed.push(Rect::from_min_max(load.min - egui::vec2(44.0, 2.0), load.left_bottom() + egui::vec2(0.0, 2.0)));
    let picture = harness.render().unwrap();
    assert_eq!(coloured(&picture, &allowed), []);
    // The search itself finds colour where there is some.
    assert!(coloured(&picture, &[]).len() > 10_000);
}

#[test]
fn while_picking_only_paint_and_the_photo_have_colour() {
    let mut harness = photo::large();
    let board = document(&harness).board;
    let paint: Vec<String> = {
        let swatches = board.swatches().map(|(_, s)| swatch_sheet::called(&board, s.id));
        let segments = harness.state().panels.readout.segment_words();
        let rest = [wording::PHOTO.to_owned(), wording::PLANE.to_owned(), wording::used_before("#c43a5e")];
        swatches.chain(segments).chain(rest).collect()
    };
    let check = |harness: &mut Harness<'static, Screen>, more: &[String]| {
        let rects = |n: &String| harness.query_all_by_label_contains(n).map(|n| n.rect()).collect::<Vec<_>>();
        let mut allowed: Vec<Rect> = paint.iter().chain(more).flat_map(rects).map(|r| r.expand(6.0)).collect();
        let load = harness.get_by_label(wording::LOAD_FREE).rect();
        allowed.push(Rect::from_min_max(load.min - egui::vec2(44.0, 2.0), load.left_bottom() + egui::vec2(0.0, 2.0)));
        let picture = harness.render().unwrap();
        assert_eq!(coloured(&picture, &allowed), []);
    };
    check(&mut harness, &[]);
    photo::outline_wall(&mut harness);
    let tones = [Role::Light, Role::Local, Role::Shadow].map(wording::tone_swatch);
    check(&mut harness, &tones);
    press(&mut harness, wording::PROPOSE_BOARD);
    photo::wait_for_proposal(&mut harness);
    let found = harness.state().panels.proposal.families().to_vec();
    let swatches = found.iter().flat_map(|f| f.tones.iter().map(|t| wording::proposed_swatch(&f.name, t.0)));
    check(&mut harness, &swatches.collect::<Vec<_>>());
}

#[test]
fn in_the_boards_panel_only_paint_and_the_photo_have_colour() {
    let mut harness = small(questionable());
    press(&mut harness, wording::BOARD);
    let mut own = vec![wording::switch_to("Tram depot", true), wording::switch_to("Tram depot", false)];
    own.extend(crate::ui::panels::board::strip_labels().map(wording::variation));
    for (tab, more) in [
        (wording::BOARD_TAB_NAME, None),
        ("Remarks", None),
        (wording::VARIATIONS, Some(wording::WHITE)),
        (wording::VARIATIONS, None),
    ] {
        harness.get_by_label_contains(tab).click();
        harness.run();
        if let Some(more) = more {
            press(&mut harness, more);
        }
        harness.hover_at(pos2(600.0, 200.0));
        harness.run();
        let board = document(&harness).board;
        let mut names: Vec<String> = board.swatches().map(|(_, s)| swatch_sheet::called(&board, s.id)).collect();
        names.extend(names.clone().iter().map(|n| wording::about_swatch(n)));
        names.extend(harness.state().panels.readout.segment_words());
        names.extend([wording::PLANE, wording::WHITE_PHOTO].map(str::to_owned));
        names.push(wording::used_before("#c43a5e"));
        names.extend(own.clone());
        let rects = |n: &String| harness.query_all_by_label(n).map(|n| n.rect()).collect::<Vec<_>>();
        let mut allowed: Vec<Rect> = names.iter().flat_map(rects).collect();
        allowed.extend(allowed.clone().into_iter().map(|r| r.expand2(egui::vec2(6.0, 1.0))));
        let load = harness.get_by_label(wording::LOAD_FREE).rect();
        allowed.push(Rect::from_min_max(load.min - egui::vec2(44.0, 2.0), load.left_bottom() + egui::vec2(0.0, 2.0)));
        assert_eq!(coloured(&harness.render().unwrap(), &allowed), [], "{tab}");
    }
}

/// Places of everything with one of these names.
fn places(harness: &Harness<'_, Screen>, names: &[String]) -> Vec<Rect> {
    names.iter().flat_map(|n| harness.query_all_by_label(n).map(|n| n.rect()).collect::<Vec<_>>()).collect()
}

#[test]
fn on_the_pages_only_paint_and_photos_have_colour() {
    let home = tempfile::tempdir().unwrap();
    let mut library = crate::files::library::Library::open(Some(home.path()));
    let grey = |name: &str| {
        let (board, id) = Board::new(name, LightOfDay::Warm).with_family("Fog").unwrap();
        board.with_swatch(id, Role::Local, "", Colour::from_srgb8([120; 3]), &[]).unwrap().0
    };
    library.keep(&grey("Fog"), None).unwrap();
    std::fs::write(library.folder().join("Torn.board.ron"), "(").unwrap();
    let page = |state: Screen, page: Page| {
        let mut state = state;
        state.data_folder = Some(home.path().to_owned());
        state.panels.page = page;
        small(state)
    };
    // Boards of greys: not a pixel of colour, nor on the start page with one of them.
    let mut boards = page(empty(), Page::Library);
    press(&mut boards, wording::DUPLICATE);
    press(&mut boards, wording::DISCARD);
    assert_eq!(coloured(&boards.render().unwrap(), &[]), []);
    boards.get_by_label_contains(&wording::card("Fog", "")).click();
    boards.run();
    press(&mut boards, wording::START_STUDY);
    let chips = grounds(&boards);
    assert_eq!(coloured(&boards.render().unwrap(), &chips), []);
    // With colours they lie on the cards and in the column of the chosen board alone.
    let mut boards = page(full(), Page::Library);
    press(&mut boards, wording::KEEP_THIS_BOARD);
    let card = wording::card("Tram depot", "");
    let mut allowed: Vec<Rect> = boards.query_all_by_label_contains(&card).map(|n| n.rect().shrink(2.0)).collect();
    allowed.extend(places(&boards, &[wording::board_picture("Tram depot"), wording::photo_picture("tram_depot.jpg")]));
    let picture = boards.render().unwrap();
    assert_eq!(coloured(&picture, &allowed), []);
    assert!(coloured(&picture, &[]).len() > 5_000);
    // The exercise: the mixed colour and the plane; then both patches.
    let mut memory = page(full(), Page::Memory);
    let allowed = places(&memory, &[wording::GUESS.to_owned(), wording::GUESS_PLANE.to_owned()]);
    assert_eq!(coloured(&memory.render().unwrap(), &allowed), []);
    press(&mut memory, wording::SHOW_SWATCH);
    let tried = crate::files::memory_record::load(Some(home.path())).unwrap().0.sittings[0].tries[0].swatch.clone();
    let allowed = places(&memory, &[wording::YOURS.to_owned(), tried]);
    let picture = memory.render().unwrap();
    assert_eq!(coloured(&picture, &allowed), []);
}

#[test]
fn the_canvas_gets_what_the_panels_leave() {
    let mut harness = small(full());
    let rect = |harness: &mut Harness<'static, Screen>| {
        let ctx = harness.ctx.clone();
        let mut found = Rect::NOTHING;
        let Screen { state, panels, .. } = harness.state_mut();
        let output = ctx.run_ui(
            egui::RawInput {
                screen_rect: Some(Rect::from_min_size(pos2(0.0, 0.0), egui::vec2(1280.0, 800.0))),
                ..Default::default()
            },
            |ui| {
                let mut root = ui.new_child(UiBuilder::new().max_rect(ui.ctx().content_rect()));
                found = frame(&mut root, state, panels);
            },
        );
        output.drop_without_applying_deltas();
        found
    };
    let all = Rect::from_min_max(pos2(292.0, 44.0), pos2(1024.0, 610.0));
    assert_eq!(rect(&mut harness), all);
    harness.state_mut().panels.reference_away = true;
    assert_eq!(rect(&mut harness).left(), 0.0);
    harness.state_mut().panels.readout_away = true;
    assert_eq!(rect(&mut harness).right(), 1280.0);
    harness.state_mut().notices.push("a notice".to_owned());
    assert_eq!(rect(&mut harness).bottom(), all.bottom(), "a message lies over the surround and moves nothing");
    // The board's panel takes the place of the reference, and its strip a little of the height.
    harness.state_mut().panels.board_open = true;
    let beside = rect(&mut harness);
    assert_eq!(beside.left(), all.left());
    assert!((400.0..all.height()).contains(&beside.height()), "{beside}");
}

#[test]
fn a_window_of_any_size_is_drawn() {
    for size in [[640.0, 360.0], [300.0, 200.0], [1.0, 1.0]] {
        window(full(), size).run();
        window(State::default(), size).run();
    }
}

/// Writes pictures of what is picked from the photo, as [`pictures`] does.
#[test]
#[ignore = "makes pictures for a person to look at; set STINT_PICTURES to a folder"]
fn photo_pictures() {
    let folder = std::path::PathBuf::from(std::env::var_os("STINT_PICTURES").unwrap());
    for size in [[1280.0, 800.0], [2560.0, 1440.0]] {
        for large in [false, true] {
            let mut harness = window(full(), size);
            let save = |name: &str, harness: &mut Harness<'static, Screen>| {
                harness.run();
                let picture = harness.render().unwrap();
                let which = if large { "large" } else { "small" };
                picture.save(folder.join(format!("photo_{which}_{name}_{}.png", size[0]))).unwrap();
            };
            if large {
                press(&mut harness, wording::SHOW_LARGE);
            }
            let photo = harness.get_by_label(wording::PHOTO).rect();
            let at = |x: f32, y: f32| photo.lerp_inside(egui::vec2(x, y));
            let (_folder, fields) = photo_picks::three_fields();
            harness.state_mut().apply(&Command::Reference(fields));
            harness.state_mut().panels.loupe.hold((50, 50));
            harness.run();
            harness.hover_at(egui::pos2(700.0, 10.0));
            save("dark", &mut harness);
            harness.state_mut().panels.loupe.nudge();
            save("nudged", &mut harness);
            harness.state_mut().apply(&Command::Undo);
            harness.state_mut().panels.loupe.reset_spots();
            save("plain", &mut harness);
            harness.get_by_role_and_label(Accessible::TextInput, wording::FAMILY).set_text_value_accesskit("Brick");
            harness.run();
            harness.hover_at(at(0.45, 0.3));
            harness.drag_at(at(0.45, 0.3));
            harness.drop_at(at(0.45, 0.3));
            harness.hover_at(at(0.6, 0.35));
            save("held", &mut harness);
            photo::outline_wall(&mut harness);
            harness.hover_at(egui::pos2(700.0, 10.0));
            save("trio", &mut harness);
            press(&mut harness, wording::LAY_TRIO);
            press(&mut harness, wording::OUTLINE_BY_CORNERS);
            for (x, y) in [(0.05, 0.05), (0.5, 0.03), (0.4, 0.14)] {
                harness.hover_at(at(x, y));
                harness.drag_at(at(x, y));
                harness.drop_at(at(x, y));
                harness.run_steps(4);
            }
            harness.get_by_label(wording::HUE_TURN).set_value_accesskit(12.0);
            harness.hover_at(at(0.2, 0.18));
            save("corners", &mut harness);
            harness.state_mut().panels.loupe.by_corners = false;
            press(&mut harness, wording::PROPOSE_BOARD);
            photo::wait_for_proposal(&mut harness);
            save("proposal", &mut harness);
            press(&mut harness, wording::LET_PROPOSAL_GO);
            if large {
                harness.hover_at(at(0.6, 0.35));
                harness.run();
                for _ in 0..6 {
                    harness.state_mut().panels.take_action(crate::ui::keys::Action::ZoomIn);
                    harness.run();
                }
                harness.run_steps(3);
                save("close", &mut harness);
            }
        }
    }
}

/// Presses what may have to be scrolled to.
fn reach(harness: &mut Harness<'static, Screen>, label: &str) {
    harness.get_by_label(label).scroll_to_me();
    harness.run();
    press(harness, label);
}

/// Every state of the board's panel.
fn board_pictures(size: [f32; 2], save: &impl Fn(&str, &mut Harness<'static, Screen>)) {
    let mut harness = window(questionable(), size);
    press(&mut harness, wording::BOARD);
    save("board", &mut harness);
    harness.get_by_label(&wording::variation("Blue hour")).hover();
    save("board_strip", &mut harness);
    harness.get_by_label_contains("Remarks").click();
    harness.run();
    save("board_remarks", &mut harness);
    let board = document(&harness).board;
    let remarks = stint_model::board::review::review(&board);
    let found = |i: usize| wording::sentence_start(remarks[i].text.split(": ").next().unwrap());
    let offers = stint_model::board::review::offers(&board, &remarks[0], &[]);
    harness.get_all_by_label(&wording::sentence_start(&offers[0].words)).next().unwrap().hover();
    save("board_offer", &mut harness);
    reach(&mut harness, &wording::dismiss_remark(&found(0)));
    save("board_dismissed", &mut harness);
    press(&mut harness, wording::VARIATIONS);
    save("board_sliders", &mut harness);
    harness.get_by_label(wording::TURN).set_value_accesskit(120.0);
    harness.get_by_label(wording::LIGHT).set_value_accesskit(-45.0);
    save("board_varied", &mut harness);
    reach(&mut harness, wording::WHITE);
    harness.get_by_label(wording::WHITE_PHOTO).focus();
    save("board_white", &mut harness);
    reach(&mut harness, wording::NO_WHITE);
    reach(&mut harness, wording::KEEP_AS_NEW);
    save("board_keep", &mut harness);
    reach(&mut harness, wording::KEEP_NEW_BOARD);
    press(&mut harness, wording::BOARD_TAB_NAME);
    save("board_two", &mut harness);
    harness.get_by_label_contains("Forget board").scroll_to_me();
    harness.run();
    harness.get_by_label_contains("Forget board").click();
    harness.run();
    save("board_forget", &mut harness);
}

/// Writes pictures of the kept boards and of the exercise into the folder named by `STINT_PICTURES`, to be looked at.
#[test]
#[ignore = "makes pictures for a person to look at; set STINT_PICTURES to a folder"]
fn pictures_of_pages() {
    let folder = std::path::PathBuf::from(std::env::var_os("STINT_PICTURES").unwrap());
    for size in [[1280.0, 800.0], [2560.0, 1440.0]] {
        let save = |name: &str, harness: &mut Harness<'static, Screen>| {
            harness.run();
            harness.render().unwrap().save(folder.join(format!("{name}_{}.png", size[0]))).unwrap();
        };
        let home = tempfile::tempdir().unwrap();
        let mut library = crate::files::library::Library::open(Some(home.path()));
        let photo = stint_model::photo::Photo::open(photo()).unwrap();
        for (i, name) in ["Depot at dusk", "Blue hour, wet yard", "Lamps", "Night shift"].iter().enumerate() {
            let adjustments = stint_model::photo::Adjustments {
                hue_turn_degrees: i as f32 * 35.0,
                soften_px: 0.5,
                ..Default::default()
            };
            let mut board = stint_model::photo::propose_board(&photo.view(adjustments), 3 + i, name).unwrap();
            board.light = [LightOfDay::Cool, LightOfDay::Warm][i % 2];
            board.photo = "tram_depot.jpg".to_owned();
            library.keep(&board, Some(&crate::files::library::thumbnail(&photo, adjustments))).unwrap();
        }
        let state = full();
        let own = state.session.as_ref().unwrap().document().board.clone();
        for i in 0..9 {
            let turned = stint_model::variation::turn::turn(&own, i as f32 * 40.0 - 160.0).unwrap().board;
            let board = Board {
                name: format!("Depot turned {}", i + 1),
                date: format!("2026-1{}-0{}", i % 2, i + 1),
                ..turned
            };
            library.keep(&board, None).unwrap();
        }
        std::fs::write(library.folder().join("Torn.board.ron"), "(format: 2, name: \"Torn\", light: Co").unwrap();
        let mut state = state;
        state.data_folder = Some(home.path().to_owned());
        state.panels.page = Page::Library;
        let mut harness = window(state, size);
        press(&mut harness, wording::DUPLICATE);
        press(&mut harness, wording::DISCARD);
        press(&mut harness, wording::LIKE_LOADED);
        press(&mut harness, wording::SHOW_REMARKS);
        save("boards", &mut harness);
        press(&mut harness, wording::START_STUDY);
        save("start_with_board", &mut harness);
        let mut state = full();
        state.data_folder = Some(home.path().to_owned());
        state.panels.page = Page::Memory;
        let mut harness = window(state, size);
        for sitting in 0..4 {
            for step in 0..6 {
                let plane = harness.get_by_label(wording::GUESS_PLANE).rect();
                let at = plane.lerp_inside(egui::vec2(0.1 + 0.1 * step as f32, 0.95 - 0.04 * (4 - sitting) as f32));
                harness.drag_at(at);
                harness.drop_at(at);
                harness.run();
                if (sitting, step) == (0, 1) {
                    save("memory_mix", &mut harness);
                }
                press(&mut harness, wording::SHOW_SWATCH);
                if (sitting, step) == (0, 1) {
                    save("memory_shown", &mut harness);
                }
                press(&mut harness, if step == 5 { wording::END_SITTING } else { wording::NEXT_SWATCH });
            }
            if sitting == 3 {
                save("memory_over", &mut harness);
            }
            press(&mut harness, wording::AGAIN);
        }
    }
}

/// Writes pictures of every state of the window into the folder named by `STINT_PICTURES`, to be looked at.
#[test]
#[ignore = "makes pictures for a person to look at; set STINT_PICTURES to a folder"]
fn pictures() {
    let folder = std::path::PathBuf::from(std::env::var_os("STINT_PICTURES").unwrap());
    for size in [[1024.0, 640.0], [1280.0, 800.0], [2560.0, 1440.0]] {
        let save = |name: &str, harness: &mut Harness<'static, Screen>| {
            harness.run();
            let picture = harness.render().unwrap();
            picture.save(folder.join(format!("{name}_{}.png", size[0]))).unwrap();
        };
        let home = tempfile::tempdir().unwrap();
        for name in ["Tram depot", "Brick yard at noon"] {
            let study = home.path().join(format!("{name}.stint"));
            std::fs::write(&study, "").unwrap();
            recent::add(Some(home.path()), &study).unwrap();
        }
        let mut start = State { data_folder: Some(home.path().to_owned()), ..State::default() };
        start.notices.push("the photo roofs.heic is not a JPEG, PNG, WebP or TIFF file; convert it first".to_owned());
        save("start", &mut window(start, size));
        save("empty", &mut window(empty(), size));
        let mut harness = window(full(), size);
        save("full", &mut harness);
        let photo = harness.get_by_label(wording::PHOTO).rect();
        harness.hover_at(photo.lerp_inside(egui::vec2(0.45, 0.3)));
        harness.drag_at(photo.lerp_inside(egui::vec2(0.45, 0.3)));
        harness.drop_at(photo.lerp_inside(egui::vec2(0.45, 0.3)));
        harness.get_by_role_and_label(Accessible::TextInput, wording::FAMILY).focus();
        harness.run();
        harness.get_by_role_and_label(Accessible::TextInput, wording::FAMILY).type_text("Brick");
        press(&mut harness, "Shadow");
        press(&mut harness, wording::CHOOSE_FAMILY);
        save("families", &mut harness);
        harness.key_press(egui::Key::Escape);
        harness.run();
        press(&mut harness, wording::EDIT_PASS);
        press(&mut harness, wording::SQUINT);
        save("loupe", &mut harness);
        for (name, label) in [
            ("swatch", wording::EDIT_SWATCH),
            ("delete", wording::DELETE),
            ("export", wording::EXPORT),
            ("family", "Edit family Brick"),
        ] {
            if name != "delete" {
                harness.state_mut().panels.sheet = None;
                harness.run();
            }
            // In a narrow window it lies in a menu.
            if harness.query_by_label(label).is_none() {
                press(&mut harness, wording::MORE_OF_TRAY_NAME);
            }
            press(&mut harness, label);
            save(name, &mut harness);
        }
        board_pictures(size, &save);
        harness.state_mut().panels.sheet = Some(Sheet::Keys);
        save("keys", &mut harness);
        harness.state_mut().panels.sheet = None;
        harness.run();
        press(&mut harness, wording::SHUT_AGAIN);
        press(&mut harness, wording::OPEN_LID_NAME);
        save("open_free", &mut harness);
        press(&mut harness, wording::LEAVE_SHUT);
        assert!(harness.state_mut().apply(&Command::LoadFrom { at: (60, 30) }));
        save("mixture", &mut harness);
    }
}
