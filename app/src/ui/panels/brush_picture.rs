//! Small pictures of marks, drawn by the engine itself.

use egui::{Color32, ColorImage, TextureHandle, TextureOptions, Ui, Vec2};
use stint_render::mask::brush::{Brush, BrushError};
use stint_render::mask::mark::Kind;
use stint_render::mask::{CanvasSize, PenSample, StrokeMask};

/// Pixels of the engine for each point of a picture: the grain of a mark is that of a brush in use, not of a tiny one.
const FINE: u32 = 4;
/// Pixels of the engine for each pixel of the picture.
const JOINED: u32 = 2;

/// A mark along samples as a white picture, to be tinted: `size` points, places of the samples in points.
///
/// # Errors
/// When a setting of the brush is out of range.
pub(super) fn image(brush: &Brush, samples: &[PenSample], size: Vec2) -> Result<ColorImage, BrushError> {
    #[expect(clippy::cast_possible_truncation, reason = "a size in points on screen")]
    let [across, down] = [size.x, size.y].map(|points| points.max(1.0) as u32 * FINE);
    let fine = FINE as f32;
    let brush =
        Brush { size_px: (brush.size_px * fine).clamp(0.5, stint_render::mask::brush::MAX_SIZE_PX), ..brush.clone() };
    let scaled: Vec<_> = samples.iter().map(|s| PenSample { x_px: s.x_px * fine, y_px: s.y_px * fine, ..*s }).collect();
    let mut stroke = StrokeMask::new(CanvasSize { width: across, height: down }, brush)?;
    stroke.extend(&scaled)?;
    let mask = stroke.mask();
    let (width, height) = (across / JOINED, down / JOINED);
    let joined = |x: u32, y: u32| {
        let block = (0..JOINED).flat_map(|j| (0..JOINED).map(move |i| (x * JOINED + i, y * JOINED + j)));
        let sum: u32 = block.map(|(x, y)| u32::from(mask.at(x, y))).sum();
        sum as f32 / (JOINED * JOINED * 65535) as f32
    };
    let pixels = (0..height).flat_map(|y| (0..width).map(move |x| (x, y)));
    let pixels = pixels.map(|(x, y)| Color32::WHITE.gamma_multiply(joined(x, y))).collect();
    Ok(ColorImage::new([width as usize, height as usize], pixels))
}

/// The stroke of a small picture: a shallow bow whose pressure rises and falls, without time, so that no speed shows.
pub(super) fn bow(size: Vec2, inset: f32) -> Vec<PenSample> {
    let steps = 24_u16;
    let at = |i: u16| {
        let t = f32::from(i) / f32::from(steps);
        let sag = 4.0 * t * (1.0 - t);
        let pressure = (0.62 + 0.5 * sag - 0.35 * t).clamp(0.0, 1.0);
        PenSample::new(inset + (size.x - 2.0 * inset) * t, size.y * (0.38 + 0.30 * sag) - 1.5 * t, pressure)
    };
    (0..=steps).map(at).collect()
}

/// A picture and the brush that it shows.
struct Picture {
    brush: Brush,
    size: Vec2,
    texture: TextureHandle,
}

/// The pictures of all brushes at hand, by their places; each is drawn anew only when its brush is set otherwise.
#[derive(Default)]
pub(super) struct BrushPictures {
    all: Vec<Option<Picture>>,
    /// The place of the brush that was held when they were shown last.
    held: Option<usize>,
}

impl BrushPictures {
    /// Whether another brush is held than when this was asked last: its picture is brought into sight then, since a key may have taken it up.
    pub fn is_another(&mut self, held: usize) -> bool {
        self.held.replace(held) != Some(held)
    }

    /// The picture of the brush at a place, `size` points large.
    pub fn get(&mut self, ui: &Ui, place: usize, brush: &Brush, size: Vec2) -> Option<&TextureHandle> {
        if self.all.len() <= place {
            self.all.resize_with(place + 1, || None);
        }
        // Every brush is shown at one size, and at full strength.
        let wide = match brush.mark.as_deref().map(|mark| mark.kind) {
            Some(Kind::Soft) => 0.85,
            Some(Kind::Round | Kind::Charcoal) | None => 0.44,
            _ => 0.55,
        };
        let mut shown = Brush { size_px: size.y * wide, strength: 1.0, ..brush.clone() };
        if let Some(mark) = &mut shown.mark {
            mark.paint.holds = mark.paint.holds.min(8.0);
        }
        let slot = self.all.get_mut(place)?;
        if slot.as_ref().is_none_or(|picture| picture.brush != shown || picture.size != size) {
            let image = image(&shown, &bow(size, size.y * 0.38), size).ok()?;
            let texture = ui.ctx().load_texture("brush", image, TextureOptions::LINEAR);
            *slot = Some(Picture { brush: shown, size, texture });
        }
        slot.as_ref().map(|picture| &picture.texture)
    }
}
