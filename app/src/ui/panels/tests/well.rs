//! The well beside the tray, pressed, stirred and turned; how paints mix.

use super::*;
use stint_model::mixing::Mixing;
use stint_model::well::WellPart;

/// Parts of the swatches in the well, by family.
fn parts(harness: &Harness<'_, Screen>) -> Vec<(String, u32)> {
    let document = document(harness);
    let named = |part: &WellPart| (document.board.family_of(part.swatch).unwrap().name.clone(), part.parts);
    document.well.parts().iter().map(named).collect()
}

fn load(harness: &mut Harness<'_, Screen>, family: &str, role: Role) {
    let swatch = SwatchRef::Swatch { family: family.to_owned(), role };
    assert!(harness.state_mut().apply(&Command::Load(swatch)));
    harness.run();
}

#[test]
fn a_tap_a_stir_and_the_wheel_work_the_loaded_swatch_in() {
    let mut harness = small(full());
    let round = harness.get_by_label_contains(wording::WELL).rect();
    // A tap.
    harness.get_by_label_contains(wording::WELL).click();
    harness.run();
    assert_eq!(parts(&harness), [("Brick".to_owned(), 1)]);
    // A stir: from the middle to the edge and round.
    load(&mut harness, "Sky", Role::Local);
    harness.drag_at(round.center());
    for i in 0..12 {
        let angle = i as f32 * 0.5;
        harness.hover_at(round.center() + egui::vec2(angle.cos(), angle.sin()) * 30.0);
        harness.step();
    }
    harness.drop_at(round.center() + egui::vec2(30.0, 0.0));
    harness.run();
    let sky = parts(&harness)[1].clone();
    assert!(sky.0 == "Sky" && (2..=6).contains(&sky.1), "{sky:?}");
    assert_eq!(harness.state().session.as_ref().unwrap().steps().last().unwrap().label, "Stir the well");
    // One step back takes the whole stir out.
    assert!(harness.state_mut().apply(&Command::Undo));
    harness.run();
    assert_eq!(parts(&harness), [("Brick".to_owned(), 1)]);
}

#[test]
fn the_mixture_is_loaded_ringed_told_and_cleared_by_name() {
    let mut harness = small(full());
    for (family, times) in [("Brick", 3), ("Sky", 1)] {
        load(&mut harness, family, Role::Local);
        for _ in 0..times {
            harness.get_by_label_contains(wording::WELL).click();
            harness.run();
        }
    }
    harness.get_by_label_contains("3 parts Brick local, 1 part Sky local");
    press(&mut harness, wording::LOAD_WELL_NAME);
    assert_eq!(harness.state().session.as_ref().unwrap().loaded(), Some(Loaded::Well));
    keep_picture(&mut harness, "well", [1280.0, 800.0]);
    // Painting with it lays both, in their proportion, and all of it is board paint.
    let before = harness.state().readout.clone().unwrap();
    let outline = vec![[0.0, 90.0], [160.0, 90.0], [160.0, 120.0], [0.0, 120.0]];
    assert!(harness.state_mut().apply(&Command::SelectPass("Second pass".to_owned())));
    assert!(harness.state_mut().apply(&Command::Mass { outline, edge: Edge::default() }));
    let found = harness.state_mut().session.as_mut().unwrap().paints_at(80, 110).unwrap();
    assert!(found.len() == 2 && (found[0].1 - 0.75).abs() < 1e-3 && (found[1].1 - 0.25).abs() < 1e-3, "{found:?}");
    harness.run();
    let readout = harness.state().readout.clone().unwrap();
    assert!(readout.board_share >= before.board_share);
    // The way paints mix goes on with each press, and shows in the well too.
    let [light, by_eye, pigment] = Mixing::ALL;
    for (now, next) in [(by_eye, pigment), (pigment, light), (light, by_eye)] {
        press(&mut harness, &wording::mixing_named(now, next));
        assert_eq!(document(&harness).mixing, next);
    }
    // Cleared, the brush holds what it held last.
    press(&mut harness, wording::CLEAR_WELL);
    assert!(document(&harness).well.is_empty());
    assert!(matches!(harness.state().session.as_ref().unwrap().loaded(), Some(Loaded::Swatch(_))));
    assert!(harness.state_mut().apply(&Command::Undo));
    harness.run();
    assert_eq!(parts(&harness), [("Brick".to_owned(), 3), ("Sky".to_owned(), 1)]);
}

#[test]
fn a_fifth_swatch_is_refused_in_words_and_one_off_the_board_leaves() {
    let mut harness = small(full());
    for family in ["Sky", "Brick", "Enamel", "Wet yard"] {
        load(&mut harness, family, Role::Local);
        harness.get_by_label_contains(wording::WELL).click();
        harness.run();
    }
    load(&mut harness, "Lamp glow", Role::Local);
    harness.get_by_label_contains(wording::WELL).click();
    harness.run();
    assert_eq!(parts(&harness).len(), 4);
    assert!(harness.state().notices.last().unwrap().contains("four swatches"));
    assert!(harness.state_mut().apply(&Command::RemoveFamily("Brick".to_owned())));
    assert_eq!(parts(&harness).len(), 3);
}
