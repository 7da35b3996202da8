//! Boards in formats that other programs read.
//!
//! | file | format | ways |
//! | --- | --- | --- |
//! | [`css`] | CSS custom properties (W3C CSS Custom Properties 1, CSS Color 4) | out and back |
//! | [`tokens`] | Design Tokens Community Group, Format and Color modules 2025.10 (JSON) | out and back |
//! | [`card`](mod@card) | SVG picture of the board, for people | out |
//!
//! What Stint writes comes back as the same board, bit by bit. What other programs and people wrote is read as far as it
//! says colours: families and roles are then taken from names, and a role that no name tells is guessed from value.

pub mod card;
pub mod css;
pub mod tokens;

mod draft;
mod error;
mod names;
mod notation;
mod roles;

pub use error::ExchangeError;

use super::Board;
use crate::disk::{self, Replace};
use std::io::{self, Write};
use std::path::Path;

/// A board that was read, with what there is to tell about it.
#[derive(Clone, PartialEq, Debug)]
pub struct Incoming {
    /// The board, sound by [`check`](super::check::check).
    pub board: Board,
    /// Properties or tokens that are no fixed colours (lengths, fonts, mixtures that only a page can work out), or colours
    /// nobody would see; they are not on the board.
    pub left_out: usize,
    /// Colours that were partly transparent and are on the board as opaque paint.
    pub made_opaque: usize,
}

/// Writes `text` to a file, whole or not at all. `replace` says whether a file that is there may give way.
///
/// # Errors
/// What the system says, [`io::ErrorKind::AlreadyExists`] for a name that is taken; a file that was there is then as it was.
pub fn write_text(path: &Path, text: &str, replace: Replace) -> io::Result<()> {
    disk::place(path, replace, |error| error, |file| file.write_all(text.as_bytes()))
}

/// What the board is called when neither the file nor the caller has a name for it.
const NAMELESS: &str = "board";
/// The newest form of the notes that Stint adds for its own return trip.
const FORMAT: u32 = 1;

#[cfg(test)]
pub(super) mod test_board {
    use crate::board::review::{Rule, Subject};
    use crate::board::{Board, Distance, Family, LightOfDay, Role, Swatch};
    use crate::colour::Colour;
    use crate::ids::{FamilyId, SwatchId};

    /// An invented board that uses everything a board can hold.
    pub fn depot() -> Board {
        let swatch = |id, role, name: &str, (r, g, b)| Swatch {
            id: SwatchId(id),
            role,
            name: name.to_owned(),
            colour: Colour::new(r, g, b),
        };
        let yard = vec![
            swatch(4, Role::Light, "puddle", (0.21, 0.27, 0.4)),
            swatch(1, Role::Shadow, "", (0.021, 0.028, 0.052)),
            swatch(9, Role::Accent, "rail", (0.5, 0.5, 0.5)),
            swatch(8, Role::Accent, "", (0.05, 0.06, 0.07)),
        ];
        let lamps = vec![swatch(5, Role::Accent, "", (1.25, 0.6, -0.05)), swatch(2, Role::Local, "", (3.0, 2.5, 2.0))];
        let family =
            |id, name: &str, distance, swatches| Family { swatches, distance, ..Family::new(FamilyId(id), name) };
        Board {
            date: "2026-11-25".to_owned(),
            photo: "yard 3.jpg".to_owned(),
            dismissed: vec![
                Subject {
                    rule: Rule::ShadowLean,
                    swatches: vec![SwatchId(1), SwatchId(4)],
                    families: vec![FamilyId(3)],
                },
                Subject { rule: Rule::TooMany, swatches: Vec::new(), families: Vec::new() },
            ],
            families: vec![
                family(3, "Wet yard", Some(Distance::Near), yard),
                family(1, "電車 lamps", None, lamps),
                family(2, "empty as yet", Some(Distance::Far), Vec::new()),
            ],
            ..Board::new("tram depot, \"blue hour\"", LightOfDay::Cool)
        }
    }
}
