//! The surfaces that are compared, and which cells of the canvas each of them takes.

use super::cells::{PaintedCells, PhotoCells};
use crate::board::{Board, Family};
use crate::ids::{FamilyId, SwatchId};
use crate::photo::region::Span;
use crate::photo::{Framing, Outline};
use crate::study::{PickSource, Picked};
use serde::Serialize;
use std::collections::BTreeMap;

/// A spot is looked at with this radius at least, as a part of the photo's longer side: a brush does not follow single pixels.
const SPOT_RADIUS: f32 = 0.01;
/// Corners of a spot's outline.
const SPOT_CORNERS: u16 = 24;
/// Columns and rows of the parts that what belongs to no surface is told by.
const PARTS: usize = 3;
/// Least share of the canvas that a part, or the paint of a family, must have to be told of.
const LEAST_SHARE: f64 = 0.01;
/// What the parts are called, row by row.
const PART_NAMES: [&str; 9] = [
    "elsewhere, top left",
    "elsewhere, top",
    "elsewhere, top right",
    "elsewhere, left",
    "elsewhere, middle",
    "elsewhere, right",
    "elsewhere, bottom left",
    "elsewhere, bottom",
    "elsewhere, bottom right",
];

/// How a surface was found.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FoundBy {
    /// By the outline on the photo that its swatches were picked from.
    Outline,
    /// By the spots on the photo that its swatches were picked from.
    Spots,
    /// By where its paint lies on the canvas.
    Paint,
    /// It is a part of what belongs to no family.
    Part,
}

/// One surface on the grid.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct SurfaceCells {
    pub name: String,
    pub family: Option<FamilyId>,
    pub found_by: FoundBy,
    /// Cells of it, row by row.
    pub spans: Vec<Span>,
}

/// Where the swatches of a study were picked from.
#[derive(Clone, Copy, Debug)]
pub struct PickedFrom<'a> {
    /// Every swatch that was picked.
    pub picks: &'a BTreeMap<SwatchId, Picked>,
    /// Key of the photo that is looked at: picks from another are left out.
    pub photo: i64,
    /// Its longer side, pixels.
    pub longer_side_px: u32,
}

/// All surfaces: the families in the order of the board, then the parts of the rest.
pub(super) fn surfaces(
    board: &Board,
    from: PickedFrom<'_>,
    framing: &Framing,
    painting: &PaintedCells,
    photo: &PhotoCells,
) -> Vec<SurfaceCells> {
    let (width, height) = (painting.width, painting.height);
    let mut taken = vec![false; painting.colours.len()];
    let mut found: Vec<Option<SurfaceCells>> = Vec::new();
    for family in &board.families {
        let (outlines, found_by) = outlines_of(family, from);
        let mut cells = vec![false; painting.colours.len()];
        for outline in &outlines {
            for span in spans_of(outline, framing, width, height) {
                let row = (span.y * width) as usize;
                cells[row + span.from_x as usize..row + span.to_x as usize].fill(true);
            }
        }
        cells.iter().zip(&mut taken).filter(|(cell, _)| **cell).for_each(|(_, taken)| *taken = true);
        found.push((!outlines.is_empty()).then(|| SurfaceCells {
            name: family.name.clone(),
            family: Some(family.id),
            found_by,
            spans: runs(&cells, width),
        }));
    }
    let least = LEAST_SHARE * painting.colours.len() as f64;
    // What is outlined is judged there, whatever paint was used.
    for (place, family) in board.families.iter().enumerate().filter(|(i, _)| found[*i].is_none()).collect::<Vec<_>>() {
        let own = |i: usize| painting.painted[i] && painting.families[i].map(usize::from) == Some(place);
        let cells: Vec<bool> = (0..taken.len()).map(|i| !taken[i] && own(i)).collect();
        if cells.iter().filter(|cell| **cell).count() as f64 >= least {
            found[place] = Some(SurfaceCells {
                name: family.name.clone(),
                family: Some(family.id),
                found_by: FoundBy::Paint,
                spans: runs(&cells, width),
            });
        }
    }
    for surface in found.iter().flatten() {
        for span in &surface.spans {
            let row = (span.y * width) as usize;
            taken[row + span.from_x as usize..row + span.to_x as usize].fill(true);
        }
    }
    let part_of = |i: usize| {
        let (x, y) = (i % width as usize, i / width as usize);
        y * PARTS / height as usize * PARTS + x * PARTS / width as usize
    };
    let rest: Vec<bool> =
        (0..taken.len()).map(|i| !taken[i] && painting.painted[i] && photo.colours[i].is_some()).collect();
    let parts = PART_NAMES.iter().enumerate().filter_map(|(part, name)| {
        let cells: Vec<bool> = (0..rest.len()).map(|i| rest[i] && part_of(i) == part).collect();
        (cells.iter().filter(|cell| **cell).count() as f64 >= least).then(|| SurfaceCells {
            name: (*name).to_owned(),
            family: None,
            found_by: FoundBy::Part,
            spans: runs(&cells, width),
        })
    });
    let families = found.into_iter().flatten();
    families.chain(parts).filter(|surface| !surface.spans.is_empty()).collect()
}

/// What on the photo the swatches of a family were picked from: its outlines; where it has none, its spots.
fn outlines_of(family: &Family, from: PickedFrom<'_>) -> (Vec<Outline>, FoundBy) {
    let picks = || {
        let of_family = family.swatches.iter().filter_map(|swatch| from.picks.get(&swatch.id));
        of_family.filter(|picked| picked.photo == from.photo).map(|picked| &picked.how)
    };
    let mut outlines: Vec<Vec<[f32; 2]>> = Vec::new();
    for how in picks() {
        if let PickSource::Surface { outline, .. } = how {
            let points = outline.iter().map(|&(x, y)| [x, y]).collect();
            if !outlines.contains(&points) {
                outlines.push(points);
            }
        }
    }
    let found_by = if outlines.is_empty() { FoundBy::Spots } else { FoundBy::Outline };
    if outlines.is_empty() {
        outlines.extend(picks().filter_map(|how| match how {
            PickSource::Spot { at, aperture, .. } => {
                let radius = (*aperture as f32 / 2.0).max(SPOT_RADIUS * from.longer_side_px as f32);
                Some(around([at.0 as f32 + 0.5, at.1 as f32 + 0.5], radius))
            }
            PickSource::Surface { .. } | PickSource::Mean(_) => None,
        }));
    }
    (outlines.into_iter().filter_map(|points| Outline::new(points).ok()).collect(), found_by)
}

fn around([x, y]: [f32; 2], radius: f32) -> Vec<[f32; 2]> {
    let corner = |i: u16| {
        let (sin, cos) = libm::sincosf(std::f32::consts::TAU * f32::from(i) / f32::from(SPOT_CORNERS));
        [x + radius * cos, y + radius * sin]
    };
    (0..SPOT_CORNERS).map(corner).collect()
}

/// The cells whose middles lie inside an outline of the photo.
#[expect(clippy::cast_possible_truncation, reason = "places on a grid, in single precision")]
fn spans_of(outline: &Outline, framing: &Framing, width: u32, height: u32) -> Vec<Span> {
    let cell = |p: &[f32; 2]| {
        let [x, y] = framing.canvas_from_photo((p[0], p[1]));
        [(x * f64::from(width)) as f32, (y * f64::from(height)) as f32]
    };
    let on_grid = Outline::new(outline.points_px().iter().map(cell).collect());
    on_grid.map(|outline| outline.spans(width, height)).unwrap_or_default()
}

/// The runs of cells that are set, row by row.
fn runs(cells: &[bool], width: u32) -> Vec<Span> {
    let mut spans = Vec::new();
    for (row, y) in cells.chunks(width.max(1) as usize).zip(0_u32..) {
        let mut from = None;
        for x in 0..=width {
            match (row.get(x as usize).copied().unwrap_or(false), from) {
                (true, None) => from = Some(x),
                (false, Some(from_x)) => {
                    spans.push(Span { y, from_x, to_x: x });
                    from = None;
                }
                (true, Some(_)) | (false, None) => {}
            }
        }
    }
    spans
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_are_the_cells_that_are_set() {
        let cells = [true, true, false, true, false, false, false, false, true, true, true, true];
        let found: Vec<_> = runs(&cells, 4).iter().map(|s| (s.y, s.from_x, s.to_x)).collect();
        assert_eq!(found, [(0, 0, 2), (0, 3, 4), (2, 0, 4)]);
    }
}
