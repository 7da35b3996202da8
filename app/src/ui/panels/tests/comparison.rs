//! The painting held against its photo, pressed by names.

use super::*;
use crate::ui::looks::Look;
use stint_model::study::PickSource;

/// A study whose families were picked from the demo's photo, painted like it but for the yard, which is darker.
fn picked() -> Screen {
    let mut state = empty();
    let mut apply = |command: Command| assert!(state.apply(&command), "{command:?}: {:?}", state.notices);
    apply(Command::Reference(photo()));
    let wall = |x: f32, y: f32, w: f32, h: f32| vec![(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
    let surfaces = [
        ("Sky", wall(24.0, 16.0, 440.0, 370.0)),
        ("Brick", wall(740.0, 290.0, 200.0, 180.0)),
        ("Wet yard", wall(1412.0, 820.0, 160.0, 260.0)),
    ];
    for (family, outline) in surfaces {
        apply(Command::PickTrio { family: family.to_owned(), outline, moved: Vec::new() });
    }
    state
}

/// The mean colour of a family's outline as the comparison has it: painted with it, a surface is right.
fn paint_means(screen: &mut Screen, darker: &str) {
    let session = screen.state.session.as_mut().unwrap();
    let found = session.comparison_source().unwrap().compare(None).comparison;
    assert!(found.surfaces.is_empty() && found.bare.len() == 3, "{:?}", found.bare);
    let (photo, adjustments) = session.reference().unwrap();
    let (board, picks) = (session.document().board.clone(), session.document().picks.clone());
    for family in &board.families {
        let Some(PickSource::Surface { outline, .. }) = picks.get(&family.swatches[0].id).map(|p| p.how.clone()) else {
            panic!()
        };
        let (left, top) = outline[0];
        let (right, bottom) = outline[2];
        let rect = stint_model::photo::PixelRect {
            x: left as u32,
            y: top as u32,
            width_px: (right - left) as u32,
            height_px: (bottom - top) as u32,
        };
        let colours = photo.view(adjustments).region(rect);
        let mut mean = [0.0_f32; 3];
        for c in &colours {
            mean = [mean[0] + c.r, mean[1] + c.g, mean[2] + c.b];
        }
        let [r, g, b] = mean.map(|x| x / colours.len() as f32);
        // A fifth of the light is about a value and a half darker here.
        let scale = if family.name == darker { 0.45 } else { 1.0 };
        let hex = stint_model::colour::Colour::new(r * scale, g * scale, b * scale).hex();
        let swatch = SwatchRef::Id(family.swatches[0].id);
        session.apply(&Command::Recolour { swatch: swatch.clone(), colour: hex }).unwrap();
        session.apply(&Command::Load(swatch)).unwrap();
        let part = |(x, y): (f32, f32)| [x / photo.width_px() as f32 * 160.0, y / photo.height_px() as f32 * 120.0];
        session
            .apply(&Command::Mass { outline: outline.into_iter().map(part).collect(), edge: Edge::default() })
            .unwrap();
    }
}

fn compared(window: &mut Harness<'_, Screen>) {
    until(window, "the comparison", |w| w.state().comparing.found().is_some() && !w.state().comparing.is_working());
}

#[test]
fn sentences_name_surfaces_load_paint_and_light_their_place() {
    let mut screen = picked();
    let session = screen.state.session.as_mut().unwrap();
    // Recoloured swatches lose their link to the photo, so the outlines are told by other swatches of their families.
    assert_eq!(session.linked_picks(), 9);
    paint_means(&mut screen, "Wet yard");
    let mut window = small(screen);
    window.get_by_label(wording::HELD_AGAINST).click();
    compared(&mut window);
    window.get_by_label("Sky right");
    window.get_by_label("Brick right");
    let found = window.state().comparing.found().unwrap().clone();
    let yard = found.comparison.surfaces.iter().find(|s| s.name == "Wet yard").unwrap();
    assert!((yard.off.value_munsell + 1.0).abs() < 0.6, "{yard:?}");
    let sentence = yard.sentence();
    assert!(sentence.contains(" too dark"), "{sentence}");
    assert_eq!(window.state().comparing.lit(), None);
    window.get_by_label(&sentence).focus();
    window.run_steps(4);
    let lit = window.state().comparing.lit().map(|i| found.comparison.surfaces[i].name.clone());
    assert_eq!(lit.as_deref(), Some("Wet yard"));
    // The nearest paint for the yard of the photo goes on the brush.
    let place = found.comparison.surfaces.iter().position(|s| s.name == "Wet yard").unwrap();
    let nearest = found.nearest[place].unwrap();
    let board = window.state().session.as_ref().unwrap().document().board.clone();
    let paint = board.family_of(nearest).unwrap().swatch_name(board.swatch(nearest).unwrap());
    window.get_by_label(&wording::load_nearest("Wet yard", &paint)).click();
    window.run_steps(2);
    assert_eq!(window.state().session.as_ref().unwrap().loaded(), Some(Loaded::Swatch(nearest)));
    // The look comes and goes with its button, and goes with the panel.
    window.get_by_label(wording::DIFFERENCES_NAME).click();
    window.run_steps(2);
    assert_eq!(window.state().look, Look::Difference);
    window.get_by_label(wording::END_COMPARING).click();
    window.run_steps(2);
    assert!(!window.state().comparing.open && window.state().look == Look::Colour);
}

#[test]
fn a_stroke_is_compared_again_and_corners_move_by_keys() {
    let mut screen = picked();
    paint_means(&mut screen, "Brick");
    let mut window = small(screen);
    window.get_by_label(wording::HELD_AGAINST).click();
    compared(&mut window);
    let before = window.state().comparing.found().unwrap().clone();
    assert!(before.comparison.surfaces.iter().any(|s| s.name == "Brick" && s.verdict().contains("too dark")));
    assert!(window.state_mut().state.apply(&Command::Undo));
    until(&mut window, "the next comparison", |w| {
        !std::sync::Arc::ptr_eq(w.state().comparing.found().unwrap(), &before)
    });
    let after = window.state().comparing.found().unwrap().clone();
    assert_ne!(after.comparison, before.comparison, "the last mass is gone");
    assert!(std::sync::Arc::ptr_eq(&after.photo.cells, &before.photo.cells), "the photo is not laid again");

    window.get_by_label(wording::LINE_UP_NAME).click();
    window.run_steps(2);
    window.get_by_label(wording::CANVAS_CORNERS[0]).focus();
    window.run_steps(2);
    window.key_press(egui::Key::ArrowRight);
    window.run_steps(3);
    let framing = |window: &Harness<'_, Screen>| {
        window.state().session.as_ref().unwrap().document().reference.as_ref().unwrap().framing.map(|f| f.corners_px())
    };
    let corners = framing(&window).unwrap();
    assert!(corners[0].0 > 0.0 && corners[0].1 == 0.0 && corners[1].1 == 0.0, "{corners:?}");
    window.get_by_label(wording::WHOLE_PHOTO).click();
    window.run_steps(2);
    assert_eq!(framing(&window), None);
}
