//! Tools, looks, free colour, the readout, the passes.

use super::*;
use crate::ui::looks::Look;
use crate::ui::tool_kind::ToolKind;
use egui_kittest::kittest::Queryable;
use stint_model::pass::PassKind;

#[test]
fn tools_and_looks_answer_to_their_names() {
    let mut harness = small(full());
    press(&mut harness, wording::MASS);
    assert_eq!(harness.state().tool, ToolKind::Mass);
    press(&mut harness, wording::SQUINT);
    assert!(matches!(harness.state().look, Look::Squint { .. }));
    // What it is set by lies over the surround, not over the photo.
    let photo = harness.get_by_label(wording::PHOTO).rect();
    assert!(harness.get_by_label(wording::SQUINT_RADIUS).rect().left() > photo.right());
    harness.get_by_label(wording::SQUINT_RADIUS).set_value_accesskit(30.0);
    harness.run();
    assert_eq!(harness.state().look, Look::Squint { radius_px: 30.0 });
    press(&mut harness, wording::TWO_TONE);
    press(&mut harness, &wording::values_of(4));
    assert_eq!(harness.state().look, Look::TwoTone { values: 4 });
    press(&mut harness, wording::COLOUR);
    press(&mut harness, wording::TWO_TONE);
    assert_eq!(harness.state().look, Look::TwoTone { values: 4 }, "the setting is remembered");
    press(&mut harness, wording::MIRROR);
    assert!(harness.state().mirror);
    harness.get_by_label(wording::SIZE).set_value_accesskit(100.0);
    harness.run();
    assert_eq!(harness.state().session.as_ref().unwrap().brush().size_px, 100.0);
}

#[test]
fn steps_lie_under_the_thumb_once_a_finger_was_seen() {
    let mut harness = small(full());
    assert_eq!(harness.get_all_by_label(wording::STEP_BACK).count(), 1);
    harness.state_mut().hands_on = true;
    harness.run();
    let before = harness.state().session.as_ref().unwrap().depths();
    let targets: Vec<_> = harness.get_all_by_label(wording::STEP_BACK).map(|button| button.rect()).collect();
    let low = targets.iter().max_by(|a, b| a.bottom().total_cmp(&b.bottom())).copied().unwrap();
    assert!(targets.len() == 2 && low.width() >= 44.0 && low.height() >= 44.0, "{targets:?}");
    harness.drag_at(low.center());
    harness.drop_at(low.center());
    harness.run();
    assert_eq!(harness.state().session.as_ref().unwrap().depths(), (before.0 - 1, before.1 + 1));
}

#[test]
fn the_panels_of_a_low_window_are_drawers() {
    let mut harness = window(full(), [844.0, 390.0]);
    let shown = |harness: &Harness<'_, Screen>| {
        [wording::PUT_REFERENCE_AWAY, wording::SIZE, wording::PUT_READOUT_AWAY]
            .map(|label| harness.query_by_label(label).is_some())
    };
    assert_eq!(shown(&harness), [false; 3], "the canvas has the window");
    assert!(harness.query_by_label(wording::LEAVE_ME_NAME).is_none(), "and the next step takes nothing of it");
    let words = [wording::REFERENCE, wording::TRAY, wording::READOUT];
    for (at, label) in words.into_iter().enumerate() {
        let button = harness.get_by_role_and_label(Accessible::CheckBox, label);
        assert!(button.rect().width() >= 44.0 && button.rect().height() >= 44.0, "{label}: {}", button.rect());
        button.click();
        harness.run();
        let mut one = [false; 3];
        one[at] = true;
        assert_eq!(shown(&harness), one, "{label}");
    }
    press(&mut harness, wording::PUT_READOUT_AWAY);
    assert_eq!(shown(&harness), [false; 3]);
    harness.set_size(egui::vec2(1280.0, 800.0));
    harness.run();
    assert_eq!(shown(&harness), [true; 3], "a window that has room shows them all");
}

#[test]
fn free_colour_opens_by_one_act_and_shuts_again() {
    let mut harness = small(full());
    press(&mut harness, wording::SHUT_AGAIN);
    assert!(!document(&harness).free_open);
    press(&mut harness, wording::OPEN_LID_NAME);
    press(&mut harness, wording::LEAVE_SHUT);
    assert!(!document(&harness).free_open);
    press(&mut harness, wording::OPEN_LID_NAME);
    press(&mut harness, wording::OPEN_FREE);
    assert!(document(&harness).free_open);
    let active = document(&harness).active_pass;
    assert_eq!(document(&harness).pass(active).unwrap().kind, PassKind::Free);
    harness.get_by_label(wording::FREE_HEX).set_text_value_accesskit("#00a0c0");
    harness.run();
    press(&mut harness, wording::LOAD_FREE);
    let loaded = harness.state().session.as_ref().unwrap().loaded();
    assert!(matches!(loaded, Some(Loaded::Free(c)) if c.hex() == "#00a0c0"), "{loaded:?}");
    harness.get_by_label(wording::FREE_HEX).set_text_value_accesskit("blue");
    harness.run();
    press(&mut harness, wording::LOAD_FREE);
    assert!(harness.state().notices.last().unwrap().contains("\"blue\" is not a colour"));
    let plane = harness.get_by_label(wording::PLANE).rect();
    harness.drag_at(plane.lerp_inside(egui::vec2(0.5, 0.8)));
    harness.drop_at(plane.lerp_inside(egui::vec2(0.5, 0.8)));
    harness.run();
    let Some(Loaded::Free(colour)) = harness.state().session.as_ref().unwrap().loaded() else {
        panic!("no free colour")
    };
    let off = (colour.oklch().h_degrees - 180.0).abs();
    assert!(off < 3.0, "the middle of the plane is hue 180, not {off} away");
}

/// Whichever pass is selected, the list says which one takes free colour.
#[test]
fn the_pass_that_takes_free_colour_is_told_in_the_list() {
    let mut harness = small(full());
    let (selected, free) = ("Second pass", crate::study::session::FREE_PASS);
    let state = harness.state_mut();
    assert!(state.apply(&Command::SelectPass(selected.to_owned())));
    assert!(state.apply(&Command::LoadFree("#c43a5e".to_owned())));
    harness.run();
    let told = wording::pass_name(free, wording::PASS_TAKES_BRUSH);
    harness.get_by_label(&told);
    // What the list says is so.
    let painted = |harness: &mut Harness<'static, Screen>| {
        let session = harness.state_mut().session.as_mut().unwrap();
        let places = [selected, free].map(|name| session.document().passes.iter().find(|p| p.name == name).unwrap().id);
        let tiles = session.canvas().all_tiles().unwrap();
        places.map(|id| {
            tiles.iter().filter(|(key, _)| key.pass == id).map(|(_, tile)| (**tile).clone()).collect::<Vec<_>>()
        })
    };
    let before = painted(&mut harness);
    let outline = vec![[60.0, 90.0], [90.0, 90.0], [90.0, 110.0]];
    assert!(harness.state_mut().apply(&Command::Mass { outline, edge: Edge::default() }));
    let after = painted(&mut harness);
    assert!(before[0] == after[0] && before[1] != after[1]);
    // Board paint goes where the selection is, which needs no words.
    let brick = SwatchRef::Swatch { family: "Brick".to_owned(), role: Role::Local };
    assert!(harness.state_mut().apply(&Command::Load(brick)));
    harness.run();
    assert!(harness.query_by_label(&told).is_none());
}

#[test]
fn the_readout_says_its_numbers_and_changes_its_words_past_the_aim() {
    let mut harness = small(full());
    let readout = harness.state().readout.clone().unwrap();
    let board = format!("{} %", wording::share_digits(readout.board_share));
    harness.get_by_label(&board);
    harness.get_by_label(wording::free_words(false));
    harness.get_by_label_contains("Unused: ");
    harness.get_by_label_contains("free colour opened after stroke 12");
    let outline = vec![[0.0, 0.0], [160.0, 0.0], [160.0, 60.0], [0.0, 60.0]];
    let state = harness.state_mut();
    assert!(state.apply(&Command::LoadFree("#c43a5e".to_owned())));
    assert!(state.apply(&Command::Mass { outline, edge: Edge::default() }));
    harness.run();
    assert!(harness.state().readout.as_ref().unwrap().free_share > 0.1);
    harness.get_by_label(wording::free_words(true));
}

/// Glazes over one another, one of each swatch.
fn glaze(state: &mut State) {
    let brush = stint_render::mask::brush::Brush { size_px: 300.0, strength: 0.3, ..Default::default() };
    assert!(state.apply(&Command::Brush(brush)));
    for (family, _) in BOARD {
        for role in [Role::Light, Role::Local, Role::Shadow] {
            assert!(state.apply(&Command::Load(SwatchRef::Swatch { family: family.to_owned(), role })));
            let across = [10.0, 150.0].map(|x| PenSample::new(x, 60.0, 1.0));
            assert!(state.apply(&Command::Stroke(across.to_vec())), "{:?}", state.notices);
        }
    }
}

#[test]
fn paint_in_pixels_of_eight_paints_is_told_by_the_readout() {
    let mut harness = small(full());
    assert_eq!(harness.state().readout.as_ref().unwrap().eight_paints_share, 0.0);
    assert!(harness.query_by_label_contains("approximate").is_none());
    glaze(harness.state_mut());
    harness.run();
    let share = harness.state().readout.as_ref().unwrap().eight_paints_share;
    assert!(share > 0.5, "{share}");
    harness.get_by_label(&wording::approximate(share));
    keep_picture(&mut harness, "approximate", [1280.0, 800.0]);
}

#[test]
fn hovering_the_bar_lights_its_paint_up() {
    let mut harness = small(full());
    let readout = harness.state().readout.clone().unwrap();
    let sky = readout.swatches.iter().find(|s| s.name == "Sky light").unwrap();
    harness.get_by_label(&wording::part_of_bar(&sky.name, sky.share)).hover();
    harness.run();
    rest_there(&mut harness);
    assert_eq!(harness.state().highlighted, Some(sky.id));
}

#[test]
fn passes_are_selected_hidden_renamed_and_removed() {
    let mut harness = small(full());
    press(&mut harness, &wording::pass_name("Block-in", "board"));
    assert_eq!(document(&harness).active_pass.0, 1);
    press(&mut harness, wording::EDIT_PASS);
    press(&mut harness, wording::HIDE);
    assert!(!document(&harness).passes[0].visible);
    press(&mut harness, wording::SHOW);
    harness.get_by_label(wording::PASS_STRENGTH).set_value_accesskit(0.5);
    harness.run();
    assert_eq!(document(&harness).passes[0].strength, 32768);
    press(&mut harness, wording::UP);
    assert_eq!(document(&harness).passes[1].name, "Block-in");
    press(&mut harness, wording::REMOVE);
    press(&mut harness, wording::CANCEL);
    assert_eq!(document(&harness).passes.len(), 3);
    press(&mut harness, wording::REMOVE);
    press(&mut harness, wording::REMOVE_PASS);
    assert_eq!(document(&harness).passes.len(), 2);
    press(&mut harness, wording::ADD_PASS);
    let field = harness.get_by_label(wording::PASS_NAME);
    field.focus();
    field.set_text_value_accesskit("Glaze");
    harness.run();
    harness.key_press(egui::Key::Enter);
    harness.run();
    assert!(document(&harness).passes.iter().any(|p| p.name == "Glaze"));
    step(&mut harness, wording::STEP_BACK);
    assert!(!document(&harness).passes.iter().any(|p| p.name == "Glaze"));
}

#[test]
fn the_numbers_of_the_readout_stay_in_sight_whatever_the_passes_need() {
    for size in [[640.0, 480.0], [1024.0, 640.0], [1280.0, 800.0], [2560.0, 1440.0]] {
        let mut state = full();
        for i in 0..12 {
            assert!(state.apply(&Command::AddPass(format!("Glaze {i}"))));
        }
        let mut harness = window(state, size);
        let share = harness.get_by_label("98.5 %").rect();
        let lowest = harness.get_by_label("7 %").rect();
        press(&mut harness, wording::EDIT_PASS);
        let over = egui::pos2(share.center().x, harness.get_by_label(wording::EDITED_PASS).rect().bottom() + 20.0);
        harness.hover_at(over);
        for _ in 0..20 {
            let delta = egui::vec2(0.0, -100.0);
            let (unit, phase) = (egui::MouseWheelUnit::Point, egui::TouchPhase::Move);
            let (source, modifiers) = (egui::MouseWheelSource::Wheel, egui::Modifiers::NONE);
            harness.event(egui::Event::MouseWheel { unit, delta, phase, source, modifiers });
            harness.run();
        }
        assert_eq!(harness.get_by_label("98.5 %").rect(), share, "{size:?}");
        assert_eq!(harness.get_by_label("7 %").rect(), lowest, "{size:?}");
        // The last line of the passes has come into sight.
        let ground = harness.get_by_label("Ground, warm grey").rect();
        let shut_again = harness.get_by_label(wording::SHUT_AGAIN).rect();
        assert!(ground.bottom() < shut_again.top(), "{size:?}: {ground}");
    }
}

#[test]
fn the_keys_show_and_escape_closes_a_sheet() {
    let mut harness = small(full());
    // F1 is a key like all others: without its action, which the painter may have taken from it, it does nothing.
    harness.key_press(egui::Key::F1);
    harness.run();
    assert!(!harness.state().panels.sheet_is_open());
    harness.state_mut().panels.toggle_keys();
    harness.run();
    harness.get_by_label("All keys and the painter's guide");
    harness.key_press(egui::Key::Escape);
    harness.run();
    assert!(!harness.state().panels.sheet_is_open());
}

#[test]
fn a_tablet_held_upright_has_photo_and_readout_above_a_canvas_and_a_tray_as_broad_as_the_window() {
    for size in [[768.0, 1024.0], [834.0, 1194.0]] {
        let mut harness = window(full(), size);
        let canvas = harness.state().view.area;
        assert_eq!((canvas.left, canvas.width), (0.0, f64::from(size[0])), "{size:?}");
        assert!(canvas.height > 0.36 * f64::from(size[1]), "{size:?}: {canvas:?}");
        let photo = harness.get_by_label(wording::PHOTO).rect();
        let share = harness.get_by_label("98.5 %").rect();
        assert!(photo.height() > 100.0, "{size:?}: {photo}");
        // Every family of the board can be seen, below tools and free colour.
        let tools = harness.get_by_label(wording::SIZE).rect();
        let board = harness.state().state.session.as_ref().unwrap().document().board.clone();
        let most = board.families.len().min(6);
        for family in &board.families[..most] {
            let name = harness.get_all_by_label_contains(&family.name).map(|node| node.rect());
            let shown = name.filter(|rect| rect.top() > tools.bottom() && rect.right() < 0.7 * size[0]).count();
            assert!(shown > 0, "{size:?}: {}", family.name);
        }
        for rect in [photo, share] {
            assert!(rect.bottom() <= canvas.top as f32 && rect.right() <= size[0], "{size:?}: {rect}");
        }
        assert!(photo.right() < share.left(), "{size:?}: beside each other");
        keep_picture(&mut harness, "upright", size);
        // The board has the readout's place; both away, the canvas has all.
        harness.state_mut().panels.board_open = true;
        harness.run();
        assert!(harness.state().view.area.width > 440.0, "{size:?}");
        keep_picture(&mut harness, "upright_board", size);
        harness.state_mut().panels.board_open = false;
        harness.run();
        press(&mut harness, wording::PUT_REFERENCE_AWAY);
        assert_eq!(harness.state().view.area, canvas, "{size:?}: the readout is still there");
        press(&mut harness, wording::PUT_READOUT_AWAY);
        let alone = harness.state().view.area;
        assert!(alone.height > canvas.height + 150.0 && alone.width == canvas.width, "{size:?}: {alone:?}");
    }
}

#[test]
fn panels_are_put_away_and_shown_again() {
    let mut harness = small(full());
    press(&mut harness, wording::PUT_REFERENCE_AWAY);
    assert!(harness.query_by_label(wording::PHOTO).is_none());
    press(&mut harness, wording::SHOW_REFERENCE);
    harness.get_by_label(wording::PHOTO);
    press(&mut harness, wording::PUT_READOUT_AWAY);
    assert!(harness.query_by_label(wording::PASSES).is_none());
    press(&mut harness, wording::SHOW_READOUT);
    harness.get_by_label(wording::PASSES);
}

#[test]
fn a_mixture_on_the_brush_shows_its_colour_and_names_its_paints() {
    let mut harness = small(full());
    let (x, y) = (60, 30);
    assert!(harness.state_mut().apply(&Command::LoadFrom { at: (x, y) }));
    harness.run();
    let session = harness.state_mut().session.as_mut().unwrap();
    let paints = session.mixture().unwrap().paints().to_vec();
    assert_eq!((session.loaded(), paints.len()), (Some(Loaded::Mixture), 2));
    // That pixel has no bare ground, so the mixture looks as the engine shows the pixel.
    let seen = session.canvas().resolve_band(0).unwrap()[(y * 160 + x) as usize].to_srgb8();
    let at = harness.get_by_label("On the brush: mixture of 2 paints").rect();
    let picture = harness.render().unwrap();
    let dab = picture.get_pixel(at.left() as u32 + 26, at.center().y as u32).0;
    for (shown, seen) in dab.into_iter().zip(seen) {
        assert!(shown.abs_diff(seen) <= 1, "{dab:?}, the canvas shows {seen:?}");
    }
    // A swatch on the brush is ringed in the tray and needs no line.
    press(&mut harness, "Brick light");
    assert!(harness.query_by_label_contains("On the brush").is_none());
}

#[test]
fn the_fill_tool_has_settings_of_its_own_in_the_place_of_the_brushes() {
    let mut harness = small(full());
    press(&mut harness, wording::FILL);
    assert_eq!(harness.state().tool, ToolKind::Fill);
    harness.get_by_label(wording::FILL_TOLERANCE).set_value_accesskit(0.12);
    harness.get_by_label(wording::FILL_GAP).set_value_accesskit(20.0);
    harness.run();
    assert_eq!((harness.state().fill.tolerance, harness.state().fill.gap_px), (0.12, 20));
    assert!(harness.query_by_label(wording::SIZE).is_none());
    keep_picture(&mut harness, "fill", [1280.0, 800.0]);
    press(&mut harness, wording::BRUSH);
    harness.get_by_label(wording::SIZE);
}

#[test]
fn the_tool_that_protects_has_its_area_in_the_place_of_the_brushes_sliders() {
    use stint_model::study::protected::Side;
    let mut harness = small(full());
    press(&mut harness, wording::PROTECT);
    assert_eq!(harness.state().tool, ToolKind::Protect);
    harness.get_by_label(wording::NO_AREA);
    press(&mut harness, wording::PAINT_SIDE_NAMES[1]);
    assert_eq!(harness.state().paintable_side(), Side::Outside);
    let (width, height) = (document(&harness).width as f32, document(&harness).height as f32);
    let outline = vec![[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]];
    harness.state_mut().apply(&Command::Protect { outline, paintable: Side::Outside });
    harness.run();
    press(&mut harness, wording::PAINT_SIDE_NAMES[0]);
    assert_eq!(document(&harness).protected.as_ref().map(|area| area.paintable), Some(Side::Inside));
    press(&mut harness, wording::PROTECTS_NAME);
    assert!(!harness.state().session.as_ref().unwrap().is_protecting());
    press(&mut harness, wording::PROTECTS_NAME);
    keep_picture(&mut harness, "protect", [1280.0, 800.0]);
    press(&mut harness, wording::MOVE_AREA_NAME);
    assert!(harness.state().is_moving(), "{:?}", harness.state().notices);
    keep_picture(&mut harness, "moving", [1280.0, 800.0]);
    press(&mut harness, wording::PUT_BACK);
    assert!(!harness.state().is_moving());
    press(&mut harness, wording::UNPROTECT_NAME);
    assert_eq!(document(&harness).protected, None);
}
