//! The charts of the board in the readout.

use super::*;

#[test]
fn families_that_lean_the_other_way_are_named_and_ringed_in_the_tray() {
    let mut screen = full();
    let brick = screen.state.session.as_ref().unwrap().document().board.families[2].clone();
    // A brick whose light is warmer than its shadow, under a cool light.
    let light = SwatchRef::Id(brick.swatches[0].id);
    assert!(screen.state.apply(&Command::Recolour { swatch: light, colour: "#a8886a".to_owned() }));
    // Roofs whose light is bluer than their shadow, as it should be.
    let roofs = screen.state.session.as_ref().unwrap().document().board.families[1].clone();
    for (swatch, colour) in [(0, "#7f9bbb"), (2, "#4a4540")] {
        let swatch = SwatchRef::Id(roofs.swatches[swatch].id);
        assert!(screen.state.apply(&Command::Recolour { swatch, colour: colour.to_owned() }));
    }
    let mut window = small(screen);
    assert!(window.query_by_label(wording::SHOW_SHARES).is_none());
    press(&mut window, wording::SHOW_LEANS);
    keep_picture(&mut window, "lean", [1280.0, 800.0]);
    let words = |window: &Harness<'_, Screen>, family: &str| {
        let board = &window.state().session.as_ref().unwrap().document().board;
        let found = board.family_named(family).unwrap();
        wording::lean_words(family, stint_model::board::lean::lean(found).as_ref(), board.light)
    };
    let (brick_words, roof_words) = (words(&window, "Brick"), words(&window, "Far roofs"));
    assert!(brick_words.contains("the other way than under a cool light"), "{brick_words}");
    assert!(roof_words.contains("the light is ") && !roof_words.contains("other way"), "{roof_words}");
    window.get_by_label(&roof_words);
    window.get_by_label(&brick_words).focus();
    window.run();
    let ids: Vec<_> = brick.swatches.iter().map(|s| s.id).collect();
    assert_eq!(window.state().remarked, ids);
    press(&mut window, wording::SHOW_SHARES);
    assert!(window.query_by_label(&brick_words).is_none());
}
