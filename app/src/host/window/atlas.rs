//! A copy of egui's textures, so that a new graphics device can be given what the lost one had.

use egui::epaint::textures::{TextureOptions, TexturesDelta};
use egui::epaint::{ColorImage, ImageData, ImageDelta};
use egui::{Color32, TextureId};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The textures as egui last set them.
#[derive(Default)]
pub struct Atlas {
    textures: BTreeMap<TextureId, (Arc<ColorImage>, TextureOptions)>,
}

impl Atlas {
    /// Follows what egui changed in one frame.
    #[expect(clippy::iter_over_hash_type, reason = "each texture is set by itself; their order changes nothing")]
    pub fn follow(&mut self, delta: &TexturesDelta) {
        for (&id, changes) in &delta.set {
            for change in changes {
                let ImageData::Color(image) = &change.image;
                match (change.pos, self.textures.get_mut(&id)) {
                    (None, _) => {
                        self.textures.insert(id, (image.clone(), change.options));
                    }
                    (Some(pos), Some((whole, options))) => {
                        *options = change.options;
                        patch(Arc::make_mut(whole), image, pos);
                    }
                    (Some(_), None) => {}
                }
            }
        }
        for id in &delta.free {
            self.textures.remove(id);
        }
    }

    /// Everything, for a new device.
    pub fn whole(&self) -> impl Iterator<Item = (TextureId, ImageDelta)> {
        self.textures.iter().map(|(&id, (image, options))| (id, ImageDelta::full(image.clone(), *options)))
    }
}

fn patch(whole: &mut ColorImage, part: &ColorImage, [left, top]: [usize; 2]) {
    let ([width, height], [across, down]) = (whole.size, part.size);
    for y in 0..down.min(height.saturating_sub(top)) {
        let count = across.min(width.saturating_sub(left));
        let from: &[Color32] = &part.pixels[y * across..][..count];
        whole.pixels[(top + y) * width + left..][..count].copy_from_slice(from);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn patches_and_freed_textures_are_followed() {
        let (a, b) = (TextureId::Managed(1), TextureId::Managed(2));
        let image = |size: [usize; 2], grey| ColorImage::filled(size, Color32::from_gray(grey));
        let options = TextureOptions::LINEAR;
        let mut delta = TexturesDelta::default();
        delta.push(a, ImageDelta::full(image([4, 3], 10), options));
        delta.push(b, ImageDelta::full(image([1, 1], 20), options));
        let mut atlas = Atlas::default();
        atlas.follow(&delta);
        delta.clear();
        delta.push(a, ImageDelta::partial([2, 1], image([2, 2], 200), options));
        delta.free(b);
        atlas.follow(&delta);
        delta.clear();
        let whole: Vec<_> = atlas.whole().collect();
        assert_eq!(whole.len(), 1);
        let ImageData::Color(image) = &whole[0].1.image;
        let greys: Vec<u8> = image.pixels.iter().map(|p| p.r()).collect();
        assert_eq!(greys, [10, 10, 10, 10, 10, 10, 200, 200, 10, 10, 200, 200]);
    }
}
