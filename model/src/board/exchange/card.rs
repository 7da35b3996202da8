//! A card of the board for people: SVG 1.1 text that stands alone, a column a family, lights on top.
//!
//! Chrome is grey, so that only paint has colour. Every swatch is an element of its own, `id="swatch-ID"`, with its names as
//! `title`. Text stays text: Figtree where it is installed, else whatever the viewer has. The same board gives the same text.

mod layout;
mod text;

pub use layout::{Layout, PATCH_SIZE, patch_area};

use crate::board::{Board, Family, Role, Swatch};
use crate::colour::Colour;
use layout::CORNER;
use std::fmt::Write;
use text::clipped;
pub(crate) use text::escaped;

/// Grey behind everything, an 8-bit sRGB code.
pub const GROUND: u8 = 46;

/// Greys of the card, 8-bit sRGB codes.
mod grey {
    /// Behind a column.
    pub const COLUMN: u8 = 58;
    /// Around a patch that is hard to tell from its column.
    pub const EDGE: u8 = 90;
    /// Names.
    pub const STRONG: u8 = 230;
    /// Roles and the line below the name.
    pub const QUIET: u8 = 166;
}

/// Sizes of text, units: name of the board, of a family, of a swatch.
mod size {
    pub const BOARD: u32 = 34;
    pub const FAMILY: u32 = 15;
    pub const SWATCH: u32 = 12;
}

/// A patch nearer to its column than this gets an edge, so that it is seen to be there.
const FAINT_L_STAR: f32 = 7.0;
/// The typeface of Stint, and what viewers have instead.
const FONTS: &str = "Figtree, system-ui, sans-serif";

/// The card of a board, which must be sound ([`check`](crate::board::check::check)): SVG text. Colours are 8-bit sRGB, brought
/// into gamut.
pub fn svg(board: &Board) -> String {
    let layout = Layout::of(board);
    let mut card = Card { out: String::new() };
    card.open(board, &layout);
    for (family, (x, y)) in board.families.iter().zip(layout.columns()) {
        card.column(family, x, y, &layout);
    }
    card.out.push_str("</svg>\n");
    card.out
}

/// The swatches of a family as they stand in its column: light, local, shadow, then accents, each with the lightest on top.
pub fn lights_on_top(family: &Family) -> Vec<&Swatch> {
    let rank = |role| match role {
        Role::Light => 0,
        Role::Local => 1,
        Role::Shadow => 2,
        Role::Accent => 3,
    };
    let mut swatches: Vec<_> = family.swatches.iter().collect();
    // Stable: of two that are alike the painter's order holds.
    swatches.sort_by(|a, b| rank(a.role).cmp(&rank(b.role)).then(b.colour.l_star().total_cmp(&a.colour.l_star())));
    swatches
}

struct Card {
    out: String,
}

impl Card {
    fn put(&mut self, text: std::fmt::Arguments<'_>) {
        // Writing into a string cannot fail.
        let _ = writeln!(self.out, "{text}");
    }

    fn open(&mut self, board: &Board, layout: &Layout) {
        let Layout { width, height, .. } = layout;
        let margin = layout::MARGIN;
        self.put(format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" \
             viewBox=\"0 0 {width} {height}\" font-family=\"{FONTS}\" role=\"img\">"
        ));
        self.put(format_args!("<title>{}</title>", escaped(&board.name)));
        let count = board.swatches().count();
        let swatches = if count == 1 { "swatch" } else { "swatches" };
        let date = if board.date.is_empty() { String::new() } else { format!(", {}", board.date) };
        let line = format!("{} light{date}, {count} {swatches}", board.light.word());
        self.put(format_args!("<desc>A board of Stint: {}</desc>", escaped(&line)));
        self.put(format_args!("<rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>", grey_hex(GROUND)));
        let room = width - 2 * margin;
        self.text(&board.name, (margin, layout::TITLE_BASE), size::BOARD, 600, grey::STRONG, room);
        self.text(&line, (margin, layout::LINE_BASE), size::FAMILY, 400, grey::QUIET, room);
    }

    fn column(&mut self, family: &Family, x: u32, y: u32, layout: &Layout) {
        let (width, height) = (layout::COLUMN_WIDTH, layout.column_height);
        // An inner `svg` cuts off what the counted widths of letters did not foresee.
        self.put(format_args!(
            "<svg id=\"family-{}\" x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\">",
            family.id
        ));
        let fill = grey_hex(grey::COLUMN);
        self.put(format_args!("<rect width=\"{width}\" height=\"{height}\" rx=\"{CORNER}\" fill=\"{fill}\"/>"));
        let (pad, room) = (layout::PAD, PATCH_SIZE.0);
        self.text(&family.name, (pad, layout::FAMILY_BASE), size::FAMILY, 600, grey::STRONG, room);
        for (swatch, top) in lights_on_top(family).into_iter().zip(layout::patch_tops()) {
            self.patch(family, swatch, top);
            let name = if swatch.name.is_empty() { swatch.role.word() } else { &swatch.name };
            self.text(name, (pad, top + PATCH_SIZE.1 + layout::LABEL_BASE), size::SWATCH, 400, grey::QUIET, room);
        }
        self.out.push_str("</svg>\n");
    }

    fn patch(&mut self, family: &Family, swatch: &Swatch, top: u32) {
        let Swatch { id, role, name, colour } = swatch;
        let hex = colour.hex();
        let name = if name.is_empty() { String::new() } else { format!(", {name}") };
        let title = format!("{}, {}{name}, {hex}", family.name, role.word());
        let apart = (colour.l_star() - Colour::from_srgb8([grey::COLUMN; 3]).l_star()).abs();
        let edge = if apart < FAINT_L_STAR { format!(" stroke=\"{}\"", grey_hex(grey::EDGE)) } else { String::new() };
        let ((width, height), left) = (PATCH_SIZE, layout::PAD);
        self.put(format_args!(
            "<rect id=\"swatch-{id}\" x=\"{left}\" y=\"{top}\" width=\"{width}\" height=\"{height}\" rx=\"{CORNER}\" \
             fill=\"{hex}\"{edge}><title>{}</title></rect>",
            escaped(&title)
        ));
    }

    /// One line of text that keeps within `room`, its base line at `place`.
    fn text(&mut self, text: &str, place: (u32, u32), size: u32, weight: u32, grey: u8, room: u32) {
        let (x, y) = place;
        let (fill, text) = (grey_hex(grey), escaped(&clipped(text, size, room)));
        self.put(format_args!(
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" font-weight=\"{weight}\" fill=\"{fill}\">{text}</text>"
        ));
    }
}

fn grey_hex(code: u8) -> String {
    format!("#{code:02x}{code:02x}{code:02x}")
}

#[cfg(test)]
mod tests {
    use super::super::test_board::depot;
    use super::*;
    use crate::board::LightOfDay;
    use crate::ids::{FamilyId, SwatchId};

    #[test]
    fn every_swatch_is_an_element_with_a_title() {
        let board = depot();
        let svg = svg(&board);
        for (family, swatch) in board.swatches() {
            assert_eq!(svg.matches(&format!("id=\"swatch-{}\"", swatch.id)).count(), 1);
            assert!(svg.contains(&format!("fill=\"{}\"", swatch.colour.hex())));
            assert!(svg.contains(&format!("<title>{}, {}", family.name, swatch.role.word())));
        }
        assert!(
            svg.contains("tram depot, &quot;blue hour&quot;") && svg.contains("cool light, 2026-11-25, 6 swatches")
        );
        assert!(svg.contains(">puddle</text>") && svg.contains("empty as yet"));
    }

    #[test]
    fn lights_stand_above_shadows_and_accents_below() {
        let board = depot();
        let order: Vec<_> = lights_on_top(&board.families[0]).iter().map(|s| s.id.0).collect();
        assert_eq!(order, [4, 1, 9, 8]);
    }

    #[test]
    fn only_patches_have_colour() {
        let mut board = Board::new("x", LightOfDay::Warm);
        board.families.push(Family::new(FamilyId(1), "a"));
        let svg = svg(&board);
        let greys = svg.split('#').skip(1).map(|part| &part[..6]);
        assert!(greys.clone().count() >= 4);
        for hex in greys {
            assert!(hex[..2] == hex[2..4] && hex[..2] == hex[4..], "{hex}");
        }
    }

    #[test]
    fn a_patch_like_its_column_gets_an_edge() {
        let mut board = Board::new("x", LightOfDay::Warm);
        let mut family = Family::new(FamilyId(1), "a");
        for (id, code) in [(1, 60), (2, 200)] {
            let colour = Colour::from_srgb8([code; 3]);
            family.swatches.push(Swatch { id: SwatchId(id), role: Role::Local, name: String::new(), colour });
        }
        board.families.push(family);
        assert_eq!(svg(&board).matches("stroke=").count(), 1);
    }
}
