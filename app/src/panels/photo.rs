//! The photo as a texture, made anew when its adjustments change.

use crate::state::State;
use crate::theme;
use egui::{Color32, ColorImage, TextureHandle, TextureOptions, Ui};
use std::sync::Arc;
use stint_model::colour::Colour;
use stint_model::photo::{Adjustments, Photo, PixelRect};

/// Widest side of the texture, pixels.
const MAX_SIDE: u32 = 560;

/// What a texture shows.
#[derive(Clone, Copy, PartialEq)]
struct Shown {
    photo: i64,
    adjustments: Adjustments,
    side: u32,
}

/// What the photo of the reference panel remembers.
#[derive(Default)]
pub(super) struct PhotoPart {
    texture: Option<(Shown, TextureHandle)>,
    /// The part under the loupe: what it shows, where, and its width.
    patch: Option<(Shown, (u32, u32), TextureHandle)>,
    /// A photo that cannot be read, so that its fault is told once.
    failed: Option<i64>,
    /// The adjustments while a slider moves.
    pub preview: Option<Adjustments>,
    /// The path being written.
    pub path: String,
    /// Whether the field for another photo is open.
    pub change: bool,
}

/// The reference as it is to be shown.
pub(super) struct Seen {
    /// The decoded photo.
    pub photo: Arc<Photo>,
    /// Its adjustments, as previewed.
    pub adjustments: Adjustments,
    key: i64,
}

/// The reference of the open study; nothing if there is none, or if it cannot be read (a notice says so, once).
pub(super) fn seen(state: &mut State) -> Option<Seen> {
    let session = state.session.as_mut()?;
    let key = session.document().reference.as_ref()?.photo;
    if state.panels.photo.failed == Some(key) {
        return None;
    }
    match session.reference() {
        Ok((photo, adjustments)) => {
            let adjustments = state.panels.photo.preview.unwrap_or(adjustments);
            Some(Seen { photo, adjustments, key })
        }
        Err(error) => {
            state.panels.photo.failed = Some(key);
            state.notices.push(error.to_string());
            None
        }
    }
}

/// What shows through a transparent photo: the grey of the panel.
fn behind() -> Colour {
    let [r, g, b, _] = theme::PANEL.to_array();
    Colour::from_srgb8([r, g, b])
}

impl PhotoPart {
    /// The whole photo, about as large as the panel shows it.
    pub fn texture(&mut self, ui: &Ui, seen: &Seen, width_points: f32) -> TextureHandle {
        let side = ((width_points * ui.pixels_per_point()).round() as u32).clamp(64, MAX_SIDE);
        let adjustments = seen.adjustments;
        let wanted = Shown { photo: seen.key, adjustments, side };
        if let Some((shown, texture)) = &self.texture
            && *shown == wanted
        {
            return texture.clone();
        }
        let (width, height, pixels) = seen.photo.view(adjustments).thumbnail(side, behind());
        let pixels = pixels.into_iter().map(|[r, g, b]| Color32::from_rgb(r, g, b)).collect();
        let image = ColorImage::new([width as usize, height as usize], pixels);
        let texture = ui.ctx().load_texture("reference", image, TextureOptions::LINEAR);
        self.texture = Some((wanted, texture.clone()));
        texture
    }

    /// `side` photo pixels a side around `at`, or as near to it as the photo's edge allows.
    pub fn patch(&mut self, ui: &Ui, seen: &Seen, at: (u32, u32), side: u32) -> TextureHandle {
        let (width, height) = (seen.photo.width_px(), seen.photo.height_px());
        let wanted = Shown { photo: seen.key, adjustments: seen.adjustments, side };
        if let Some((shown, place, texture)) = &self.patch
            && *shown == wanted
            && *place == at
        {
            return texture.clone();
        }
        let side_x = side.min(width);
        let side_y = side.min(height);
        let x = at.0.saturating_sub(side / 2).min(width - side_x);
        let y = at.1.saturating_sub(side / 2).min(height - side_y);
        let rect = PixelRect { x, y, width_px: side_x, height_px: side_y };
        let pixels = seen.photo.view(seen.adjustments).region(rect).into_iter().map(theme::paint).collect();
        let image = ColorImage::new([side_x as usize, side_y as usize], pixels);
        let texture = ui.ctx().load_texture("loupe", image, TextureOptions::NEAREST);
        self.patch = Some((wanted, at, texture.clone()));
        texture
    }
}
