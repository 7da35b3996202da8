//! A board from a picture of swatches: a screenshot of flat patches on a plain ground.
//!
//! 1. The picture is reduced to at most 1600 cells a side and cut into flat areas (`raster`): cells whose neighbours hardly
//!    differ. Anti-aliased edges, letters and lines are not flat, or too thin.
//! 2. What runs along the edge of the picture is the ground, and what has patches in its holes is a card they lie on; the
//!    rest, where it is compact and even, are patches (`patches`). A picture of mostly anything else is a photo and refused.
//! 3. Each patch is measured by its inner cells.
//! 4. Patches lie in columns or in rows; whichever is the more regular makes the families (`layout`).
//! 5. Roles follow value within a family: the lightest is the light, the darkest the shadow, the middle one the local, others
//!    are accents; of two, one is the light and one the shadow; one alone is the local.
//!
//! Thresholds are named constants, chosen on drawn sheets, JPEG copies of them and real photos; no published source.

mod layout;
mod patches;
mod raster;

use super::adjustments::PixelRect;
use super::reduce::Reduced;
use super::view::View;
use crate::board::{Board, Family, LightOfDay, Role, Swatch};
use crate::colour::Colour;
use crate::ids::{FamilyId, SwatchId};

/// Longer side of the reduced picture.
const CELLS: u32 = 1600;

/// Why a picture gave no board.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
pub enum SwatchSheetError {
    /// Flat, but without patches.
    #[error(
        "{found} flat patches were found and at least 2 are needed; crop the picture to the swatches, or enlarge it so that \
         each is 16 px or more"
    )]
    NoPatches {
        /// Patches that were found.
        found: usize,
    },
    /// Not flat.
    #[error(
        "this looks like a photo, not like flat patches on a plain ground; leave out --swatches to have a board proposed from \
         it, or crop it to the swatches"
    )]
    APhoto,
    /// More than anyone's board.
    #[error(
        "{found} flat patches were found and at most {most} make a board; crop the picture to the swatches you mean"
    )]
    TooMany {
        /// Patches that were found.
        found: usize,
        /// Most that are taken.
        most: usize,
    },
    /// No rows, no columns.
    #[error(
        "{found} flat patches were found, but they lie neither in columns nor in rows; straighten or crop the picture"
    )]
    NoLines {
        /// Patches that were found.
        found: usize,
    },
}

/// A board, and where on the picture each of its swatches was found.
#[derive(Clone, PartialEq, Debug)]
pub struct SwatchSheet {
    /// The board: families "family 1", "family 2" … as they lie, swatches in the order of the picture.
    pub board: Board,
    /// The rectangle around the inside of each patch, photo pixels.
    pub places: Vec<(SwatchId, PixelRect)>,
}

/// Reads a picture of flat patches as a board called `name`, its light of the day neutral.
///
/// # Errors
/// When there are no patches, when the picture is a photo of something else, or when the patches lie in no lines.
pub fn swatch_sheet(view: &View<'_>, name: &str) -> Result<SwatchSheet, SwatchSheetError> {
    let reduced = Reduced::new(view, CELLS);
    let patches = patches::patches(&reduced)?;
    let families = layout::families(&patches).ok_or(SwatchSheetError::NoLines { found: patches.len() })?;
    let mut sheet = SwatchSheet { board: Board::new(name, LightOfDay::Neutral), places: Vec::new() };
    let mut next_id = 1;
    for (i, members) in families.iter().enumerate() {
        #[expect(clippy::cast_possible_truncation, reason = "at most MAX_PATCHES")]
        let number = i as u32 + 1;
        let mut family = Family::new(FamilyId(number), &format!("family {number}"));
        let colours: Vec<Colour> = members.iter().map(|&m| patches[m].colour).collect();
        for ((&member, &colour), role) in members.iter().zip(&colours).zip(roles(&colours)) {
            let id = SwatchId(next_id);
            next_id += 1;
            family.swatches.push(Swatch { id, role, name: String::new(), colour });
            let [first, last] = [patches[member].from, patches[member].to].map(|[x, y]| y * reduced.width + x);
            sheet.places.push((id, reduced.rect_px(first, last)));
        }
        sheet.board.families.push(family);
    }
    Ok(sheet)
}

/// A role for each colour of a family, by value. Of two in the middle the stronger is the local: it usually is the most
/// saturated of its family (common practice, no published source).
fn roles(colours: &[Colour]) -> Vec<Role> {
    let mut order: Vec<usize> = (0..colours.len()).collect();
    order.sort_by(|&i, &j| colours[j].l_star().total_cmp(&colours[i].l_star()).then(i.cmp(&j)));
    let mut roles = vec![Role::Accent; colours.len()];
    match order.as_slice() {
        [] => {}
        [one] => roles[*one] = Role::Local,
        [light, .., shadow] => {
            (roles[*light], roles[*shadow]) = (Role::Light, Role::Shadow);
            let (low, high) = ((order.len() - 1) / 2, order.len() / 2);
            if order.len() > 2 {
                let chroma = |i: usize| colours[i].oklab().chroma();
                let local = if chroma(order[high]) > chroma(order[low]) { order[high] } else { order[low] };
                roles[local] = Role::Local;
            }
        }
    }
    roles
}

#[cfg(test)]
#[path = "swatch_sheet_tests.rs"]
mod tests;
