//! The surface of the comparison that is lit: on photo and canvas everything else recedes.

use super::PanelState;
use crate::ui::comparing::Found;
use crate::ui::state::State;
use crate::ui::theme;
use egui::{Color32, ColorImage, Mesh, Painter, Pos2, Shape, TextureHandle, TextureOptions, pos2};
use std::sync::Arc;

/// Rows and columns of patches that the veil is drawn in, so that it follows a canvas that lies aslant on the photo.
const PATCHES: u16 = 16;

/// The veil over everything that is not lit, and what it was made for.
#[derive(Default)]
pub(super) struct LitSurface {
    of: Option<(Arc<Found>, usize)>,
    veil: Option<TextureHandle>,
    /// Columns and rows of the grid.
    grid: (u32, u32),
}

impl LitSurface {
    /// Makes the veil for the surface that is lit now, if another was before.
    pub fn follow(&mut self, state: &State, ctx: &egui::Context) {
        let comparing = &state.comparing;
        let lit = comparing.lit().filter(|_| comparing.open).and_then(|i| Some((comparing.found()?.clone(), i)));
        let same = match (&self.of, &lit) {
            (Some((found, i)), Some((now, lit))) => Arc::ptr_eq(found, now) && i == lit,
            (None, None) => true,
            (Some(_), None) | (None, Some(_)) => false,
        };
        if same {
            return;
        }
        self.veil = lit.as_ref().and_then(|(found, i)| {
            let surface = found.comparison.surfaces.get(*i)?;
            self.grid = found.comparison.grid;
            // A border all around, so that what lies beside the canvas recedes too.
            let (width, height) = (self.grid.0 as usize + 2, self.grid.1 as usize + 2);
            let mut image = ColorImage::filled([width, height], theme::RECEDES);
            for span in &surface.spans {
                let row = (span.y as usize + 1) * width + 1;
                image.pixels[row + span.from_x as usize..row + span.to_x as usize].fill(Color32::TRANSPARENT);
            }
            Some(ctx.load_texture("lit surface", image, TextureOptions::LINEAR))
        });
        self.of = lit;
    }
}

impl PanelState {
    #[expect(clippy::cast_possible_truncation, reason = "points of the screen")]
    /// Draws the veil where `place` says that a part of it lies: from 0 to 1 across and down the drawn area, to a point on the screen
    /// and the place on the canvas there, 0 to 1 and beyond that beside it.
    pub fn draw_veil(&self, painter: &Painter, place: impl Fn([f64; 2]) -> (Pos2, [f64; 2])) {
        let Some(veil) = &self.lit.veil else { return };
        let (width, height) = (f64::from(self.lit.grid.0), f64::from(self.lit.grid.1));
        let mut mesh = Mesh::with_texture(veil.id());
        let part = |i: u16| f64::from(i) / f64::from(PATCHES);
        for row in 0..=PATCHES {
            for column in 0..=PATCHES {
                let (at, [x, y]) = place([part(column), part(row)]);
                let uv = pos2(((x * width + 1.0) / (width + 2.0)) as f32, ((y * height + 1.0) / (height + 2.0)) as f32);
                mesh.vertices.push(egui::epaint::Vertex { pos: at, uv, color: Color32::WHITE });
            }
        }
        let index = |column: u16, row: u16| u32::from(row) * u32::from(PATCHES + 1) + u32::from(column);
        for row in 0..PATCHES {
            for column in 0..PATCHES {
                let [a, b, c, d] =
                    [(0, 0), (1, 0), (1, 1), (0, 1)].map(|(right, down)| index(column + right, row + down));
                mesh.add_triangle(a, b, c);
                mesh.add_triangle(a, c, d);
            }
        }
        painter.add(Shape::mesh(mesh));
    }
}
