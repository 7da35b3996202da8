//! How the photo lies on the screen.

use super::super::photo::DisplayedPhoto;
use egui::{Pos2, Rect, Vec2, pos2};

/// How the photo lies on the screen, points.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(in crate::ui::panels) struct PhotoTransform {
    /// Where all of it lies.
    pub whole: Rect,
    /// Where it shows.
    pub clip: Rect,
    /// Its width and height, photo pixels.
    size: Vec2,
}

impl PhotoTransform {
    /// A photo that fills `whole` and shows inside `clip`.
    pub fn new(seen: &DisplayedPhoto, whole: Rect, clip: Rect) -> Self {
        PhotoTransform { whole, clip, size: seen.size() }
    }

    /// Points on the screen a photo pixel covers.
    pub fn scale(&self) -> f32 {
        self.whole.width() / self.size.x
    }

    /// The place on the photo at a point of the screen, or the nearest one.
    pub fn on_photo(&self, at: Pos2) -> (f32, f32) {
        let place = (at - self.whole.min) / self.whole.size() * self.size;
        (place.x.clamp(0.0, self.size.x), place.y.clamp(0.0, self.size.y))
    }

    /// The photo pixel at a point of the screen, or the nearest one.
    #[expect(clippy::cast_possible_truncation, reason = "held to the photo; the cast saturates")]
    pub fn pixel(&self, at: Pos2) -> (u32, u32) {
        let (x, y) = self.on_photo(at);
        ((x as u32).min(self.size.x as u32 - 1), (y as u32).min(self.size.y as u32 - 1))
    }

    /// Where a place of the photo is on the screen.
    pub fn on_screen(&self, (x, y): (f32, f32)) -> Pos2 {
        self.whole.min + Vec2::new(x, y) / self.size * self.whole.size()
    }

    /// Where the middle of a photo pixel is on the screen.
    pub fn middle_of(&self, (x, y): (u32, u32)) -> Pos2 {
        self.on_screen((x as f32 + 0.5, y as f32 + 0.5))
    }

    /// A pixel moved by whole pixels, held on the photo.
    pub fn moved(&self, (x, y): (u32, u32), (right, down): (i64, i64)) -> (u32, u32) {
        #[expect(clippy::cast_possible_truncation, reason = "held to the photo; the cast saturates")]
        let moved = |from: u32, by: i64, size: f32| (i64::from(from) + by).clamp(0, size as i64 - 1) as u32;
        (moved(x, right, self.size.x), moved(y, down, self.size.y))
    }

    /// The pixel in the middle of what shows.
    pub fn middle(&self) -> (u32, u32) {
        self.pixel(self.clip.intersect(self.whole).center())
    }
}

/// All of a texture.
pub(in crate::ui::panels) fn whole_uv() -> Rect {
    Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0))
}
