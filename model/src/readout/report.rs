//! From sums of amounts to shares.

use super::tally::{FULL, Tally};
use crate::board::{Board, Role};
use crate::ids::{FamilyId, SwatchId};
use crate::paint::{PaintClass, PaintKind, PaintTable};
use serde::{Deserialize, Serialize};

/// Share of one family.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FamilyShare {
    /// The family.
    pub id: FamilyId,
    /// The name of the surface.
    pub name: String,
    /// Fraction of the painted area, 0-1.
    pub share: f64,
}

/// Share of one swatch that is on the board.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SwatchShare {
    /// The swatch.
    pub id: SwatchId,
    /// Name of its family.
    pub family: String,
    /// Its role.
    pub role: Role,
    /// Its own name, or family and role.
    pub name: String,
    /// Fraction of the painted area, 0-1; 0 for an unused swatch.
    pub share: f64,
    /// Its colour as `#rrggbb` in sRGB, brought into gamut.
    pub hex: String,
}

/// One opening of free colour, with the shares at that moment.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opened {
    /// How many strokes had been laid.
    pub after_strokes: u64,
    /// Board share at that moment, fraction of the painted area.
    pub board_share: f64,
    /// Free share at that moment, fraction of the painted area.
    pub free_share: f64,
    /// Bare share at that moment, fraction of the canvas.
    pub bare_share: f64,
}

/// Whether free colour is open, and every time it was opened.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FreeColourNote {
    /// Open now.
    pub open: bool,
    /// All openings, oldest first.
    pub opened: Vec<Opened>,
}

/// What `stint readout` says. Areas in pixels, shares as fractions 0-1: board and free of the painted area, bare of the
/// canvas. On a canvas without paint both board and free share are 0.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Readout {
    /// Canvas width.
    #[serde(rename = "width")]
    pub width_px: u32,
    /// Canvas height.
    #[serde(rename = "height")]
    pub height_px: u32,
    /// Painted area in pixels; a half-covered pixel counts half.
    pub painted_px: f64,
    /// Share of the painted area that came from the board.
    pub board_share: f64,
    /// Share of the painted area that is free colour or a removed swatch.
    pub free_share: f64,
    /// Share of the canvas that is bare ground.
    pub bare_share: f64,
    /// Share of the painted area in pixels that hold eight paints, the most there is room for. There a ninth paint was given to the
    /// paint most like it, so the shares of single swatches are approximate by this much at most; board and free are exact.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub eight_paints_share: f64,
    /// By family, in board order.
    pub families: Vec<FamilyShare>,
    /// By swatch, in board order; every swatch of the board is listed.
    pub swatches: Vec<SwatchShare>,
    /// Free colour.
    pub free_colour: FreeColourNote,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks so")]
fn is_zero(share: &f64) -> bool {
    *share == 0.0
}

/// Visible amounts of a canvas; 65535 is one pixel in full.
#[derive(Clone, Copy, Debug)]
pub struct Amounts<'a> {
    /// By paint.
    pub tally: &'a Tally,
    /// All that lies in pixels of eight paints where there are more than eight.
    pub in_full_pixels: u64,
    /// What is known by class alone.
    pub uncounted: ClassAmounts,
}

/// Visible amounts by class; 65535 is one pixel in full.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct ClassAmounts {
    /// Paint that counts as board.
    pub board: u64,
    /// Paint that counts as free.
    pub free: u64,
}

impl ClassAmounts {
    /// Without some of it.
    #[must_use]
    pub fn without(self, other: ClassAmounts) -> Self {
        ClassAmounts { board: self.board.saturating_sub(other.board), free: self.free.saturating_sub(other.free) }
    }
}

impl Readout {
    /// [`Readout::eight_paints_share`] above which people are told.
    pub const TOLD_EIGHT_PAINTS_SHARE: f64 = 0.01;

    /// The readout of a canvas of `width_px` x `height_px` pixels with these visible amounts.
    pub fn new(
        width_px: u32,
        height_px: u32,
        amounts: Amounts<'_>,
        board: &Board,
        paints: &PaintTable,
        free_colour: FreeColourNote,
    ) -> Self {
        let Amounts { tally, in_full_pixels, uncounted } = amounts;
        let painted = tally.total() + uncounted.board + uncounted.free;
        let canvas = u64::from(width_px) * u64::from(height_px) * FULL;
        let of_painted = |amount: u64| if painted == 0 { 0.0 } else { amount as f64 / painted as f64 };
        let swatch_sum = |id| {
            let paints = paints.iter().filter(|p| p.kind == PaintKind::Swatch(id));
            paints.map(|p| tally.amount(p.id)).sum::<u64>()
        };
        let counted = paints.iter().filter(|p| p.class() == PaintClass::Board).map(|p| tally.amount(p.id));
        let of_board: u64 = counted.sum::<u64>() + uncounted.board;
        let families = board.families.iter().map(|f| FamilyShare {
            id: f.id,
            name: f.name.clone(),
            share: of_painted(f.swatches.iter().map(|s| swatch_sum(s.id)).sum()),
        });
        let swatches = board.swatches().map(|(f, s)| SwatchShare {
            id: s.id,
            family: f.name.clone(),
            role: s.role,
            name: f.swatch_name(s),
            share: of_painted(swatch_sum(s.id)),
            hex: s.colour.hex(),
        });
        Readout {
            width_px,
            height_px,
            painted_px: painted as f64 / FULL as f64,
            board_share: of_painted(of_board),
            // What is not of the board is free, a paint that the table does not know included.
            free_share: of_painted(painted.saturating_sub(of_board)),
            bare_share: canvas.saturating_sub(painted) as f64 / canvas as f64,
            // What passes above hide is in it, so it can come to more than all.
            eight_paints_share: of_painted(in_full_pixels.min(painted)),
            families: families.collect(),
            swatches: swatches.collect(),
            free_colour,
        }
    }
}
