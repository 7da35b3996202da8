//! Letters on screen that the program's own fonts lack are looked for among the fonts of the system, beside the window.

use super::theme;
use crate::base::jobs::{Job, Outcome};
use crate::base::system_fonts::{SystemFont, covering};
use egui::epaint::{ClippedShape, Shape};
use egui::{Context, FontId};
use std::collections::BTreeSet;

/// What was seen and found.
#[derive(Default)]
pub struct FallbackFonts {
    /// Letters beyond Latin that were seen.
    seen: BTreeSet<char>,
    /// Those of them that nobody has looked for yet.
    wanted: BTreeSet<char>,
    looking: Option<Job<Vec<SystemFont>>>,
    fonts: Vec<SystemFont>,
}

impl FallbackFonts {
    /// Looks through the words of a frame.
    pub fn follow(&mut self, ctx: &Context, shapes: &[ClippedShape]) {
        for shape in shapes {
            self.look_at(ctx, &shape.shape);
        }
        if let Some(Outcome::Done(found)) = self.looking.as_ref().map(Job::poll) {
            self.looking = None;
            let before = self.fonts.len();
            self.fonts.extend(
                found.into_iter().filter(|font| self.fonts.iter().all(|f| f.name != font.name)).collect::<Vec<_>>(),
            );
            if self.fonts.len() > before {
                theme::install_fallbacks(ctx, &self.fonts);
                ctx.request_repaint();
            }
        }
        if self.looking.is_none() && !self.wanted.is_empty() {
            let (wanted, wake) = (std::mem::take(&mut self.wanted), ctx.clone());
            let look = move |_: &_| covering(&wanted);
            self.looking = Job::start("fonts", move || wake.request_repaint(), look).ok();
        }
    }

    fn look_at(&mut self, ctx: &Context, shape: &Shape) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| self.look_at(ctx, shape)),
            Shape::Text(text) => {
                for c in text.galley.text().chars().filter(|c| needs_looking(*c)) {
                    if self.seen.insert(c) {
                        let font = FontId::proportional(theme::SMALL);
                        if !ctx.fonts_mut(|fonts| fonts.has_glyph(&font, c)) {
                            self.wanted.insert(c);
                        }
                    }
                }
            }
            _ => {}
        }
    }
}

/// Whether a character is a letter or a sign beyond Latin: what joins, marks directions or chooses a variant draws nothing by itself.
fn needs_looking(c: char) -> bool {
    c > '\u{24f}'
        && !c.is_control()
        && !matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}')
}
