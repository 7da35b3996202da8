//! How the photo lies on the screen.

use super::super::photo::DisplayedPhoto;
use egui::{Pos2, Rect, Vec2, pos2, vec2};
use stint_model::photo::PixelRect;

/// How the photo lies on the screen, points.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(in crate::ui::panels) struct PhotoTransform {
    /// Where all that is used of it lies.
    pub whole: Rect,
    /// Where it shows.
    pub clip: Rect,
    /// What is used of it, photo pixels.
    part: PixelRect,
    /// Left and right exchanged, as on the canvas.
    mirror: bool,
}

impl PhotoTransform {
    /// A photo whose used part fills `whole` and shows inside `clip`.
    pub fn new(seen: &DisplayedPhoto, whole: Rect, clip: Rect) -> Self {
        PhotoTransform { whole, clip, part: seen.part(), mirror: seen.mirror }
    }

    fn origin(&self) -> Vec2 {
        vec2(self.part.x as f32, self.part.y as f32)
    }

    fn size(&self) -> Vec2 {
        vec2(self.part.width_px as f32, self.part.height_px as f32)
    }

    /// Points on the screen a photo pixel covers.
    pub fn scale(&self) -> f32 {
        self.whole.width() / self.size().x
    }

    /// The place on the photo at a point of the screen, or the nearest one.
    pub fn on_photo(&self, at: Pos2) -> (f32, f32) {
        let fraction = mirrored((at - self.whole.min) / self.whole.size(), self.mirror);
        let place = self.origin() + fraction.clamp(Vec2::ZERO, Vec2::splat(1.0)) * self.size();
        (place.x, place.y)
    }

    /// The photo pixel at a point of the screen, or the nearest one.
    #[expect(clippy::cast_possible_truncation, reason = "held to the photo; the cast saturates")]
    pub fn pixel(&self, at: Pos2) -> (u32, u32) {
        let (x, y) = self.on_photo(at);
        let held = |at: f32, from: u32, size: u32| (at as u32).clamp(from, from + size - 1);
        (held(x, self.part.x, self.part.width_px), held(y, self.part.y, self.part.height_px))
    }

    /// Where a place of the photo is on the screen.
    pub fn on_screen(&self, (x, y): (f32, f32)) -> Pos2 {
        let fraction = mirrored((Vec2::new(x, y) - self.origin()) / self.size(), self.mirror);
        self.whole.min + fraction * self.whole.size()
    }

    /// Where the middle of a photo pixel is on the screen.
    pub fn middle_of(&self, (x, y): (u32, u32)) -> Pos2 {
        self.on_screen((x as f32 + 0.5, y as f32 + 0.5))
    }

    /// A pixel moved by whole pixels as they lie on the screen, held on what is used of the photo.
    pub fn moved(&self, (x, y): (u32, u32), (right, down): (i64, i64)) -> (u32, u32) {
        let right = if self.mirror { -right } else { right };
        #[expect(clippy::cast_possible_truncation, reason = "held to the photo; the cast saturates")]
        let moved = |at: u32, by: i64, from: u32, size: u32| {
            (i64::from(at) + by).clamp(i64::from(from), i64::from(from) + i64::from(size) - 1) as u32
        };
        (moved(x, right, self.part.x, self.part.width_px), moved(y, down, self.part.y, self.part.height_px))
    }

    /// The pixel in the middle of what shows.
    pub fn middle(&self) -> (u32, u32) {
        self.pixel(self.clip.intersect(self.whole).center())
    }
}

/// A place, 0 to 1 from left to right, as it lies in a mirror.
fn mirrored(fraction: Vec2, mirror: bool) -> Vec2 {
    if mirror { vec2(1.0 - fraction.x, fraction.y) } else { fraction }
}

/// All of a texture, with left and right exchanged in a mirror.
pub(in crate::ui::panels) fn whole_uv(mirror: bool) -> Rect {
    let (left, right) = if mirror { (1.0, 0.0) } else { (0.0, 1.0) };
    Rect::from_min_max(pos2(left, 0.0), pos2(right, 1.0))
}
