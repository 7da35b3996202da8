//! The small photos beside the boards, as textures: read when they come in sight, a few a frame, and dropped when they are out of sight.

use egui::{ColorImage, TextureHandle, TextureOptions, Ui};
use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// How many are read in one frame.
const MAX_READS_A_FRAME: usize = 4;
/// How many are kept; more than a large window shows.
const MAX_CACHED: usize = 120;

/// A texture, none where the file is no picture.
struct CachedPicture {
    texture: Option<TextureHandle>,
    /// The last frame that showed it.
    used: u64,
}

/// Textures by file; those out of sight go once there are more than [`MAX_CACHED`].
#[derive(Default)]
pub(super) struct PictureCache {
    cached: HashMap<PathBuf, CachedPicture>,
    frame: u64,
    read: usize,
}

impl PictureCache {
    /// Call once a frame, before [`PictureCache::get`].
    pub fn begin(&mut self) {
        self.frame += 1;
        self.read = 0;
        if self.cached.len() > MAX_CACHED {
            let frame = self.frame;
            self.cached.retain(|_, picture| picture.used + 1 >= frame);
        }
    }

    /// Empties the cache, because files have changed.
    pub fn clear(&mut self) {
        self.cached.clear();
    }

    /// The picture of a file; none yet, or none at all.
    pub fn get(&mut self, ui: &Ui, path: &Path) -> Option<TextureHandle> {
        let frame = self.frame;
        if let Some(picture) = self.cached.get_mut(path) {
            picture.used = frame;
            return picture.texture.clone();
        }
        if self.read == MAX_READS_A_FRAME {
            ui.ctx().request_repaint();
            return None;
        }
        self.read += 1;
        // A thumbnail that cannot be read costs nothing but its picture.
        let texture = image::open(path).ok().map(|picture| {
            let picture = picture.to_rgb8();
            let size = [picture.width() as usize, picture.height() as usize];
            let image = ColorImage::from_rgb(size, picture.as_raw());
            ui.ctx().load_texture("photo of a board", image, TextureOptions::LINEAR)
        });
        self.cached.insert(path.to_owned(), CachedPicture { texture: texture.clone(), used: frame });
        texture
    }
}
