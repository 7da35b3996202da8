//! A colour as it is being chosen by numbers: OKLCh and the text of a hex colour, kept together.

use super::widgets;
use crate::ui::{theme, wording};
use egui::{Stroke, Ui, vec2};
use stint_model::colour::{Colour, Oklch};
use stint_model::ids::SwatchId;

/// Largest chroma the slider reaches; sRGB reaches 0.32.
const MAX_CHROMA: f32 = 0.33;

/// The colour and its text.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct ColourForm {
    lch: Oklch,
    hex: String,
}

impl ColourForm {
    /// From a colour.
    pub fn new(colour: Colour) -> Self {
        ColourForm { lch: colour.oklch(), hex: colour.hex() }
    }

    /// The colour as far as the text says one.
    pub fn colour(&self) -> Option<Colour> {
        Colour::from_hex(self.hex.trim()).ok()
    }

    /// The text.
    pub fn hex(&self) -> &str {
        self.hex.trim()
    }

    /// A dab of it, the text, and three sliders. `id` gives the dab its shape. Tells whether Enter was pressed in the text.
    pub fn show(&mut self, ui: &mut Ui, id: SwatchId) -> bool {
        let mut entered = false;
        ui.horizontal(|ui| {
            let (rect, _) = ui.allocate_exact_size(vec2(84.0, 56.0), egui::Sense::hover());
            let shown = self.colour().map_or(theme::FIELD, theme::paint);
            super::dab::paint(ui.painter(), id, rect.center(), vec2(36.0, 25.0), shown, None);
            ui.vertical(|ui| {
                let field = widgets::field(ui, wording::COLOUR_HEX, &mut self.hex);
                entered = widgets::entered(ui, &field);
                if field.changed()
                    && let Some(colour) = self.colour()
                {
                    self.lch = colour.oklch();
                }
            });
        });
        let mut lch = self.lch;
        let words = wording::value(lch.colour().munsell_value());
        widgets::slider(ui, wording::LIGHTNESS, &words, &mut lch.l, 0.0..=1.0, false);
        let words = wording::chroma_level(lch.c);
        widgets::slider(ui, wording::CHROMA, words, &mut lch.c, 0.0..=MAX_CHROMA, false);
        let words = format!("{:.0}°", lch.h_degrees);
        widgets::slider(ui, wording::HUE, &words, &mut lch.h_degrees, 0.0..=360.0, false);
        if lch != self.lch {
            self.lch = lch;
            self.hex = lch.colour().hex();
        }
        let words = match self.colour() {
            None => Colour::from_hex(self.hex.trim()).err().map(|e| e.to_string()).unwrap_or_default(),
            Some(_) if !self.lch.colour().in_srgb() => wording::OUTSIDE_GAMUT.to_owned(),
            Some(colour) => wording::value_and_chroma(colour.munsell_value(), colour.oklch().c),
        };
        widgets::quiet(ui, words);
        entered
    }
}

/// A ring for a dab on a sheet.
pub(super) fn ring() -> Stroke {
    Stroke::new(2.0, theme::BRIGHT)
}
