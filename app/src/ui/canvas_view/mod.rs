//! The canvas in the window: which tiles are needed, how they are looked at, and drawing them. It knows wgpu, no window.

mod budget;
mod reduce;
pub mod show;
#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests;
pub mod texture;
pub mod transform;
mod upload;

use crate::ui::comparing::PhotoValues;
use crate::ui::looks::Look;
use crate::ui::stale::Stale;
use budget::FrameBudget;
use show::{Frame, Show, ShowUniforms};
use std::time::Duration;
use stint_model::ids::PaintId;
use stint_model::study::tile::TilePos;
use stint_render::canvas::Canvas;
use stint_render::engine::EngineError;
use stint_render::mask::CanvasSize;
use texture::{TileRect, Torus, Work};
use transform::View;
use upload::Upload;

/// Largest standard deviation that is worked out texel by texel; beyond it the picture is halved first.
const MAX_SIGMA_TEXELS: f64 = 4.0;
/// Tori kept for levels that were looked at lately.
const KEPT_LEVELS: usize = 3;
/// Time that a frame may take to bring in tiles, so that the window goes on answering during a refresh of a large canvas.
const FRAME_BUDGET: Duration = Duration::from_millis(24);
/// The same where nothing is there to be shown in the meantime: better a little late than bit by bit.
const FIRST_FRAME_BUDGET: Duration = Duration::from_millis(100);

/// How the canvas is looked at in one frame.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct DisplayOptions<'a> {
    /// Colour, value, squint or two-tone.
    pub look: Look,
    /// Grey of the surround, 8-bit sRGB code.
    pub surround: u8,
    /// The photo's values under the canvas, for the look that shows the difference; without them it shows value.
    pub photo: Option<&'a PhotoValues>,
    /// Paints that stand out while the rest recedes.
    pub highlighted: Option<&'a [PaintId]>,
    /// The canvas point that is looked at: what lies near it comes first.
    pub near: [f64; 2],
}

/// One frame of the canvas.
pub struct PreparedFrame {
    /// What is drawn.
    pub frame: Frame,
    /// Tiles that show otherwise than in the frame before. Another view or look changes the rest.
    pub changed: Vec<TilePos>,
    /// Tiles that are not up to date yet: another frame is needed.
    pub missing: usize,
}

/// Draws the canvas of a study.
pub struct CanvasView {
    show: Show,
    target_encodes: bool,
    /// Lately used first.
    tori: Vec<Torus>,
    upload: Upload,
    /// Time that a frame may take to bring in tiles: in general, and where there is nothing yet.
    budget: [Duration; 2],
    /// Size of the canvas in the last frame.
    size: Option<CanvasSize>,
}

/// The blur of one frame.
#[derive(Clone, Copy, PartialEq, Debug)]
struct Blur {
    /// Window pixels per offscreen texel, a power of two.
    step: f64,
    /// Standard deviation, offscreen texels.
    sigma_texels: f64,
    /// Window pixels that are needed around the area.
    margin: f64,
}

impl Blur {
    /// For a standard deviation in window pixels; none when it would not show.
    fn of(sigma_px: f64) -> Option<Self> {
        if sigma_px.is_nan() || sigma_px < 0.3 {
            return None;
        }
        let mut step = 1.0;
        while sigma_px / step > MAX_SIGMA_TEXELS {
            step *= 2.0;
        }
        let sigma_texels = sigma_px / step;
        Some(Blur { step, sigma_texels, margin: ((3.0 * sigma_texels).ceil() + 1.0) * step })
    }
}

/// Levels are halvings: tiles are reduced until a texel is no larger than a window pixel.
#[expect(clippy::cast_possible_truncation, reason = "held to the levels there are; the cast saturates")]
fn level_for(scale: f64) -> u32 {
    let halvings = (-scale.log2()).floor();
    if halvings > 0.0 { (halvings as u32).min(reduce::MAX_LEVEL) } else { 0 }
}

impl CanvasView {
    /// For a target format.
    pub fn new(device: &wgpu::Device, target: wgpu::TextureFormat) -> Self {
        CanvasView {
            show: Show::new(device, target),
            target_encodes: target.is_srgb(),
            tori: Vec::new(),
            upload: Upload::default(),
            budget: [FRAME_BUDGET, FIRST_FRAME_BUDGET],
            size: None,
        }
    }

    /// Forgets all tiles: another study is shown now.
    pub fn reset(&mut self) {
        self.tori.clear();
    }

    /// Brings what is seen up to date, as far as a frame has time for that, and prepares a frame. `stale` is emptied when
    /// that worked.
    ///
    /// # Errors
    /// When the engine fails; `stale` is as it was then.
    pub fn frame(
        &mut self,
        (device, queue): (&wgpu::Device, &wgpu::Queue),
        encoder: &mut wgpu::CommandEncoder,
        canvas: &mut Canvas,
        view: &View,
        seen: DisplayOptions<'_>,
        stale: &mut Stale,
    ) -> Result<PreparedFrame, EngineError> {
        if self.size.replace(canvas.size()) != Some(canvas.size()) {
            // What was there lies elsewhere now: it is not to show until the rest has come.
            self.tori.clear();
        }
        for torus in &mut self.tori {
            match stale {
                Stale::All => torus.invalidate_all(),
                Stale::Tiles(tiles) => torus.invalidate(tiles.iter().copied()),
            }
        }
        let blur = match seen.look {
            Look::Squint { radius_px } => Blur::of(f64::from(radius_px) * view.scale()),
            Look::Colour | Look::Value | Look::TwoTone { .. } | Look::Difference => None,
        };
        let limit = device.limits().max_texture_dimension_2d;
        let size = canvas.size();
        let grid = (size.columns(), size.rows());
        let rect = view.seen([size.width, size.height], blur.map_or(0.0, |b| b.margin));
        let mut level = level_for(view.scale() / blur.map_or(1.0, |b| b.step));
        let (tiles, slots) = loop {
            let tiles = TileRect::holding(rect, level, grid.0, grid.1);
            match Torus::slots_for(tiles, level, grid, limit) {
                Some(slots) => break (tiles, slots),
                None if level < reduce::MAX_LEVEL => level += 1,
                // One texel a tile: no canvas is that large.
                None => break (tiles, (1, 1)),
            }
        };
        self.torus(device, level, slots, canvas.draws_on(device));
        let torus = &mut self.tori[0];
        let mut budget = FrameBudget::new(self.budget[usize::from(torus.is_new())]);
        let mut changed = Vec::new();
        let mut work = Work {
            device,
            queue,
            upload: &mut self.upload,
            canvas,
            seen: tiles,
            near: seen.near,
            budget: &mut budget,
            blank: seen.surround,
            changed: &mut changed,
        };
        let brought = torus.bring(&mut work).and_then(|missing| {
            let shares = seen.highlighted.map_or(Ok(0), |paints| torus.bring_shares(&mut work, paints))?;
            Ok(missing + shares)
        });
        // Also what came before an error: its slots are marked as filled.
        self.upload.send(device, queue, encoder);
        let missing = brought?;
        *stale = Stale::default();
        let words = words(view, seen, blur, canvas, (level, torus.texels()), self.target_encodes);
        let torus = &self.tori[0];
        let shares = if seen.highlighted.is_some() { torus.shares() } else { None };
        if let Some(photo) = seen.photo {
            self.show.take_photo(device, queue, &photo.cells);
        }
        let frame = self.show.frame(device, queue, encoder, &words, (torus.colours(), shares));
        Ok(PreparedFrame { frame, changed, missing })
    }

    /// Brings the torus of a level with enough slots to the front.
    fn torus(&mut self, device: &wgpu::Device, level: u32, slots: (u16, u16), direct: bool) {
        // Another engine may have come.
        self.tori.retain(|torus| torus.is_direct() == direct);
        let torus = match self.tori.iter().position(|t| t.level == level) {
            Some(at) if self.tori[at].has_room(slots) => self.tori.remove(at),
            Some(at) => {
                self.tori.remove(at);
                Torus::new(device, level, slots, direct)
            }
            None => Torus::new(device, level, slots, direct),
        };
        self.tori.truncate(KEPT_LEVELS - 1);
        self.tori.insert(0, torus);
    }

    /// Prepares a plain fill with a grey, 8-bit sRGB code: the surround where there is no canvas. With a frame, its grey
    /// is used.
    pub fn plain(&self, device: &wgpu::Device, queue: &wgpu::Queue, grey: u8, frame: Option<&Frame>) -> Frame {
        match frame {
            Some(frame) => frame.without_blur(),
            None => {
                let target_encodes = u32::from(self.target_encodes);
                let words =
                    ShowUniforms { surround: f32::from(grey) / 255.0, target_encodes, ..ShowUniforms::default() };
                self.show.plain(device, queue, &words)
            }
        }
    }

    /// Draws a plain fill; the caller has set the scissor.
    pub fn draw_plain(&self, pass: &mut wgpu::RenderPass<'_>, plain: &Frame) {
        self.show.draw_plain(pass, plain);
    }

    /// Draws a frame; the caller has set the scissor to the view's area.
    pub fn draw(&self, pass: &mut wgpu::RenderPass<'_>, frame: &Frame) {
        self.show.draw(pass, frame);
    }
}

#[expect(clippy::cast_possible_truncation, reason = "uniforms are in single precision")]
fn words(
    view: &View,
    seen: DisplayOptions<'_>,
    blur: Option<Blur>,
    canvas: &Canvas,
    (level, texels): (u32, [u32; 2]),
    target_encodes: bool,
) -> ShowUniforms {
    let [x, y] = view.canvas_rows();
    let row = |r: [f64; 3]| [r[0] as f32, r[1] as f32, r[2] as f32, 0.0];
    let size = canvas.size();
    let (look, values) = match seen.look {
        Look::Colour | Look::Squint { .. } => (0, 2),
        Look::Value => (1, 2),
        Look::TwoTone { values } => (2, values.clamp(2, 5)),
        Look::Difference => (if seen.photo.is_some() { 3 } else { 1 }, 2),
    };
    // Above 100 for those that are not there.
    let threshold =
        |i: usize| if i + 1 < usize::from(values) { 100.0 * (i + 1) as f32 / f32::from(values) } else { 200.0 };
    let area = view.area;
    let blurred = blur.map(|b| {
        let texels = |all: f64| ((all + 2.0 * b.margin) / b.step).ceil().max(1.0) as f32;
        let origin = [area.left - b.margin, area.top - b.margin].map(|v| v as f32);
        ([origin[0], origin[1], b.step as f32, b.sigma_texels as f32], [texels(area.width), texels(area.height)])
    });
    let (blur, blur_size) = blurred.unwrap_or_default();
    ShowUniforms {
        row_x: row(x),
        row_y: row(y),
        size: [size.width as f32, size.height as f32],
        torus: texels.map(|v| v as f32),
        texel: (1_u32 << level) as f32,
        scale: view.scale() as f32,
        surround: f32::from(seen.surround) / 255.0,
        look,
        thresholds: std::array::from_fn(threshold),
        values: f32::from(values),
        lit: u32::from(seen.highlighted.is_some()),
        target_encodes: u32::from(target_encodes),
        nearest: u32::from(view.scale() > 2.0),
        blur,
        blur_size,
        shift: seen.photo.map_or(0.0, |photo| photo.shift_l_star),
        spare: 0.0,
    }
}
