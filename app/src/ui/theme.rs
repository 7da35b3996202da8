//! How the window looks: the fonts, the sizes and every literal grey. All chrome is neutral (r = g = b), so that the only
//! colour on screen is paint.
#![expect(clippy::disallowed_methods, reason = "this is the place of the colours of the interface")]

use super::looks::Surround;
use crate::base::fonts::{FALLBACKS, FIGTREE};
use crate::base::system_fonts::SystemFont;
use egui::{
    Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, FontTweak, Margin, Stroke, TextStyle,
};
use std::sync::Arc;
use stint_model::colour::Colour;

/// Size of names under small pictures, points.
pub const TINY: f32 = 11.0;
/// Size of running text, points.
pub const SMALL: f32 = 13.0;
/// Size of the study's name and of signs beside large numbers, points.
pub const MIDDLE: f32 = 15.0;
/// Size of the second numbers of the readout, points.
pub const LARGE: f32 = 21.0;
/// Size of the first number of the readout, points.
pub const HUGE: f32 = 34.0;
/// The rhythm: distances are this or a multiple of it, points.
pub const STEP: f32 = 8.0;
/// Space between a panel's edge and what is in it, points.
pub const MARGIN: f32 = 14.0;
/// Corner of buttons and rows, points.
pub const CORNER: u8 = 5;

/// Ground of the top bar and of the tray.
pub const BAR: Color32 = Color32::from_gray(46);
/// Ground of the side panels.
pub const PANEL: Color32 = Color32::from_gray(54);
/// Ground of a sheet.
pub const SHEET: Color32 = Color32::from_gray(50);
/// Ground of the line above the canvas.
pub const STRIP: Color32 = Color32::from_gray(60);
/// Ground of the zone of the start page that a photo is dropped on.
pub const ZONE: Color32 = Color32::from_gray(51);
/// Ground of a column of the tray.
pub const CARD: Color32 = Color32::from_gray(58);
/// Ground of a row that can be chosen.
pub const ROW: Color32 = Color32::from_gray(64);
/// The same under the pointer.
pub const ROW_HOVERED: Color32 = Color32::from_gray(74);
/// Ground of the chosen row and of a second button.
pub const ROW_CHOSEN: Color32 = Color32::from_gray(86);
/// The same under the pointer.
pub const ROW_CHOSEN_HOVERED: Color32 = Color32::from_gray(98);
/// Rails, dashes and thin lines.
pub const LINE: Color32 = Color32::from_gray(90);
/// Ground of a text field.
pub const FIELD: Color32 = Color32::from_gray(38);
/// Ground of letters that are selected.
const SELECTION: Color32 = Color32::from_gray(100);
/// Ground of what bare canvas stands for in the readout.
pub const BARE: Color32 = Color32::from_gray(75);
/// Titles, large numbers, the ground of first buttons.
pub const STRONG: Color32 = Color32::from_gray(230);
/// A first button under the pointer, and the ring of the loaded swatch.
pub const BRIGHT: Color32 = Color32::from_gray(250);
/// Running text.
pub const TEXT: Color32 = Color32::from_gray(206);
/// Text that steps back.
pub const QUIET: Color32 = Color32::from_gray(174);
/// Text of what cannot be used now.
pub const OFF: Color32 = Color32::from_gray(112);
/// Text on a first button.
pub const ON_LIGHT: Color32 = Color32::from_gray(30);
/// What lies behind an open sheet.
pub const BACKDROP: Color32 = Color32::from_black_alpha(110);
/// The dark one of two lines side by side, which together show on every paint.
pub const OVER_PAINT_DARK: Color32 = Color32::from_black_alpha(150);
/// The light one.
pub const OVER_PAINT_LIGHT: Color32 = Color32::from_rgba_premultiplied(230, 230, 230, 230);
/// Ground of a text above the canvas.
pub const OVER_PAINT_GROUND: Color32 = Color32::from_black_alpha(190);
/// A text above the canvas.
pub const OVER_PAINT_TEXT: Color32 = Color32::from_gray(235);
/// What everything but a lit surface recedes behind.
pub const RECEDES: Color32 = Color32::from_rgba_premultiplied(52, 52, 52, 178);
/// Two greys of the hatching that stands for colours a screen cannot show.
pub const HATCH: [Color32; 2] = [Color32::from_gray(62), Color32::from_gray(74)];

/// The grey around the canvas, as an 8-bit sRGB code.
pub fn surround_grey(surround: Surround) -> u8 {
    match surround {
        Surround::Dark => 75,
        // Munsell N5 is 19.27 % luminance by the quintic of ASTM D1535, L* 51.0.
        Surround::Middle => 121,
        Surround::Light => 186,
    }
}

/// The same for painting it.
pub fn surround(surround: Surround) -> Color32 {
    Color32::from_gray(surround_grey(surround))
}

/// The edge of a chip of colour, which shows that a chip is there whatever its colour: against the surround it has the contrast that
/// WCAG 2.2 asks of what is no text, at least 3 to 1 (1.4.11).
pub fn chip_edge(surround: Surround) -> Color32 {
    match surround {
        Surround::Dark => TEXT,
        Surround::Middle | Surround::Light => ON_LIGHT,
    }
}

/// The same on the ground of the bars.
pub const CHIP_EDGE_ON_BAR: Color32 = QUIET;

/// The colour of paint on screen.
pub fn paint(colour: Colour) -> Color32 {
    srgb(colour.to_srgb8())
}

/// An opaque colour of a picture, from its 8-bit sRGB codes.
pub fn srgb([r, g, b]: [u8; 3]) -> Color32 {
    Color32::from_rgb(r, g, b)
}

/// CIE L* of a grey of the chrome.
pub fn l_star(grey: Color32) -> f32 {
    Colour::from_srgb8([grey.r(), grey.g(), grey.b()]).l_star()
}

/// Nearer than this to its ground, in L*, a swatch cannot be seen to be there.
const FAINT_L_STAR: f32 = 7.0;

/// Whether a swatch needs an edge to be seen on a grey.
pub fn is_faint_on(ground: Color32, colour: Colour) -> bool {
    (colour.l_star() - l_star(ground)).abs() < FAINT_L_STAR
}

/// A line of chrome that shows on a paint, light on dark ones and dark on light ones.
pub fn line_on(colour: Colour) -> Color32 {
    if colour.l_star() > 60.0 { ON_LIGHT } else { BRIGHT }
}

/// Weight of text.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Weight {
    /// 400.
    Regular,
    /// 500.
    Medium,
    /// 600.
    Semibold,
}

/// A font of the interface.
pub fn font(size: f32, weight: Weight) -> FontId {
    let family = match weight {
        Weight::Regular => FontFamily::Proportional,
        Weight::Medium => FontFamily::Name("Figtree 500".into()),
        Weight::Semibold => FontFamily::Name("Figtree 600".into()),
    };
    FontId::new(size, family)
}

/// Installs the fonts and the greys.
pub fn install(ctx: &egui::Context) {
    ctx.set_fonts(fonts());
    ctx.set_theme(egui::Theme::Dark);
    ctx.all_styles_mut(style);
}

/// Adds fonts of the system, in every weight, behind those that are there.
pub fn install_fallbacks(ctx: &egui::Context, found: &[SystemFont]) {
    let mut all = fonts();
    for font in found {
        let data = FontData { index: font.index, ..FontData::from_owned(font.bytes.clone()) };
        all.font_data.insert(font.name.clone(), Arc::new(data));
        all.families.values_mut().for_each(|order| order.push(font.name.clone()));
    }
    ctx.set_fonts(all);
}

fn fonts() -> FontDefinitions {
    let families =
        [FontFamily::Proportional, FontFamily::Name("Figtree 500".into()), FontFamily::Name("Figtree 600".into())];
    let names = ["Figtree 400", "Figtree 500", "Figtree 600"];
    let mut fonts = FontDefinitions::empty();
    // What Figtree lacks comes from these, in every weight.
    let others = ["Ubuntu Light", "icons"];
    let [letters, icons] = FALLBACKS.map(FontData::from_static);
    let smaller = FontTweak { scale: 0.9, ..FontTweak::default() };
    for (name, data) in others.into_iter().zip([letters, icons.tweak(smaller)]) {
        fonts.font_data.insert(name.to_owned(), Arc::new(data));
    }
    for ((name, bytes), family) in names.into_iter().zip(FIGTREE).zip(families) {
        fonts.font_data.insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
        let mut order = vec![name.to_owned()];
        order.extend(others.map(str::to_owned));
        fonts.families.insert(family, order);
    }
    // Nothing is written in it, and egui wants a font for it all the same.
    fonts.families.insert(FontFamily::Monospace, vec!["Ubuntu Light".to_owned()]);
    fonts
}

fn style(style: &mut egui::Style) {
    style.text_styles = [
        (TextStyle::Small, font(SMALL, Weight::Regular)),
        (TextStyle::Body, font(SMALL, Weight::Regular)),
        (TextStyle::Button, font(SMALL, Weight::Medium)),
        (TextStyle::Heading, font(MIDDLE, Weight::Semibold)),
        (TextStyle::Monospace, FontId::new(SMALL, FontFamily::Monospace)),
    ]
    .into();
    style.animation_time = 0.0;
    style.interaction.selectable_labels = false;
    style.interaction.tooltip_delay = 0.3;
    style.spacing.item_spacing = egui::vec2(STEP, STEP);
    style.spacing.button_padding = egui::vec2(11.0, 5.0);
    style.spacing.interact_size.y = 26.0;
    style.spacing.slider_rail_height = 4.0;
    style.spacing.window_margin = Margin::same(18);
    style.spacing.menu_margin = Margin::same(6);
    // What goes on beyond its edge is seen to, without a pointer on it.
    style.spacing.scroll =
        egui::style::ScrollStyle { dormant_handle_opacity: 0.35, ..egui::style::ScrollStyle::floating() };

    let v = &mut style.visuals;
    // What cannot be used has greys of its own.
    v.disabled_alpha = 1.0;
    v.override_text_color = None;
    v.weak_text_color = Some(QUIET);
    v.hyperlink_color = STRONG;
    v.warn_fg_color = STRONG;
    v.error_fg_color = STRONG;
    v.panel_fill = PANEL;
    v.window_fill = SHEET;
    v.extreme_bg_color = FIELD;
    v.text_edit_bg_color = Some(FIELD);
    v.faint_bg_color = CARD;
    v.code_bg_color = FIELD;
    v.window_stroke = Stroke::new(1.0, LINE);
    v.window_corner_radius = CornerRadius::same(8);
    v.menu_corner_radius = CornerRadius::same(CORNER);
    v.selection.bg_fill = SELECTION;
    v.selection.stroke = Stroke::new(1.0, BRIGHT);
    v.text_cursor.stroke = Stroke::new(1.5, STRONG);
    v.text_cursor.blink = false;
    v.ime_composition.active_underline_stroke = Stroke::new(2.0, STRONG);
    v.ime_composition.inactive_underline_stroke = Stroke::new(1.0, QUIET);
    let w = &mut v.widgets;
    for (visuals, ground, text) in [
        (&mut w.noninteractive, PANEL, TEXT),
        (&mut w.inactive, ROW, TEXT),
        (&mut w.hovered, ROW_HOVERED, STRONG),
        (&mut w.active, ROW_CHOSEN, BRIGHT),
        (&mut w.open, ROW_CHOSEN, STRONG),
    ] {
        visuals.bg_fill = ground;
        visuals.weak_bg_fill = ground;
        visuals.bg_stroke = Stroke::new(1.0, LINE);
        visuals.fg_stroke = Stroke::new(1.0, text);
        visuals.corner_radius = CornerRadius::same(CORNER);
        visuals.expansion = 0.0;
    }
    w.inactive.bg_stroke = Stroke::NONE;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_surround_is_munsell_n5() {
        let code = surround_grey(Surround::Middle);
        let value = Colour::from_srgb8([code; 3]).munsell_value();
        // One 8-bit code is about 0.04 value here.
        assert!((value - 5.0).abs() < 0.04, "{value}");
    }

    /// Contrast of two greys as WCAG 2.2 defines it: relative luminance, with 0.05 for stray light.
    fn contrast(one: Color32, other: Color32) -> f32 {
        let y = |grey: Color32| Colour::from_srgb8([grey.r(), grey.g(), grey.b()]).g + 0.05;
        y(one).max(y(other)) / y(one).min(y(other))
    }

    /// WCAG 2.2, 1.4.11: 3 to 1 for what is no text; 1.4.3: 4.5 to 1 for words. The measure itself is held to two published values: black
    /// on white is 21 to 1, and #767676 is the lightest grey that has 4.5 to 1 on white (W3C, Understanding 1.4.3; from memory).
    #[test]
    fn the_edge_of_a_chip_shows_on_every_surround() {
        let (black, white) = (Color32::from_gray(0), Color32::from_gray(255));
        assert!((contrast(black, white) - 21.0).abs() < 1e-3);
        assert!(contrast(Color32::from_gray(118), white) >= 4.5 && contrast(Color32::from_gray(119), white) < 4.5);
        for (edge, ground) in [Surround::Dark, Surround::Middle, Surround::Light]
            .map(|s| (chip_edge(s), surround(s)))
            .into_iter()
            .chain([(CHIP_EDGE_ON_BAR, BAR)])
        {
            let found = contrast(edge, ground);
            assert!(found >= 3.0, "{found} on {ground:?}");
        }
    }

    /// Words and the grounds they stand on, every pair that the panels use. What cannot be used now is exempt (1.4.3, "inactive").
    const WORDS: [(&str, Color32, &[Color32]); 7] = [
        ("quiet", QUIET, &[BAR, PANEL, SHEET, STRIP, ZONE, CARD, ROW, FIELD]),
        ("text", TEXT, &[BAR, PANEL, SHEET, STRIP, ZONE, CARD, ROW, ROW_HOVERED, ROW_CHOSEN, FIELD]),
        (
            "strong",
            STRONG,
            &[BAR, PANEL, SHEET, CARD, ROW, ROW_HOVERED, ROW_CHOSEN, ROW_CHOSEN_HOVERED, FIELD, SELECTION, BARE],
        ),
        ("bright", BRIGHT, &[ROW_HOVERED, ROW_CHOSEN, ROW_CHOSEN_HOVERED, SELECTION]),
        ("on light", ON_LIGHT, &[STRONG, BRIGHT, QUIET]),
        // Over the darkest and the lightest paint, through the ground that is not quite opaque.
        ("over paint", OVER_PAINT_TEXT, &[Color32::from_gray(0), Color32::from_gray(65)]),
        ("over surround", TEXT, &[BAR]),
    ];

    /// What is no word and has to be seen: rings of what has the keyboard, knobs of sliders, marks, chosen buttons.
    const SIGNS: [(&str, Color32, &[Color32]); 4] = [
        ("focus", BRIGHT, &[BAR, PANEL, SHEET, CARD, ROW, ROW_CHOSEN, ROW_CHOSEN_HOVERED, FIELD, LINE]),
        ("knob and chosen", STRONG, &[BAR, PANEL, SHEET, CARD, ROW, FIELD, LINE]),
        ("mark", QUIET, &[BAR, PANEL, CARD, ROW]),
        ("caret", STRONG, &[FIELD]),
    ];

    /// WCAG 2.2, 1.4.3 (words: 4.5 to 1) and 1.4.11 (signs: 3 to 1), over every pair of greys in use.
    #[test]
    fn every_word_and_every_sign_stands_out_from_its_ground() {
        let mut faint = Vec::new();
        for (pairs, least) in [(&WORDS[..], 4.5), (&SIGNS[..], 3.0)] {
            for (name, ink, grounds) in pairs {
                for ground in *grounds {
                    let found = contrast(*ink, *ground);
                    if found < least {
                        faint.push(format!("{name} on {}: {found:.2}, not {least}", ground.r()));
                    }
                }
            }
        }
        assert!(faint.is_empty(), "{faint:#?}");
        // Lightest paint under the ground of words over paint: black of this alpha over white leaves this grey.
        assert_eq!((255.0 * (1.0 - f32::from(OVER_PAINT_GROUND.a()) / 255.0)).round(), 65.0);
    }

    #[test]
    fn every_grey_is_neutral() {
        let ctx = egui::Context::default();
        install(&ctx);
        let v = &ctx.global_style().visuals;
        let w = &v.widgets;
        let mut greys = vec![
            v.panel_fill,
            v.window_fill,
            v.extreme_bg_color,
            v.faint_bg_color,
            v.code_bg_color,
            v.hyperlink_color,
            v.warn_fg_color,
            v.error_fg_color,
            v.window_stroke.color,
            v.selection.bg_fill,
            v.selection.stroke.color,
            v.text_cursor.stroke.color,
            v.ime_composition.active_underline_stroke.color,
            v.ime_composition.inactive_underline_stroke.color,
        ];
        for x in [&w.noninteractive, &w.inactive, &w.hovered, &w.active, &w.open] {
            greys.extend([x.bg_fill, x.weak_bg_fill, x.bg_stroke.color, x.fg_stroke.color]);
        }
        for grey in greys {
            assert!(grey.r() == grey.g() && grey.g() == grey.b(), "{grey:?}");
        }
    }
}
