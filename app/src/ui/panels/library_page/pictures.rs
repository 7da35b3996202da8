//! The small photos beside the boards, as textures: read when they come in sight, a few a frame, and let go again.

use egui::{ColorImage, TextureHandle, TextureOptions, Ui};
use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// How many are read in one frame.
const A_FRAME: usize = 4;
/// How many are held; more than a large window shows.
const HELD: usize = 120;

/// A texture, none where the file is no picture.
struct Held {
    texture: Option<TextureHandle>,
    /// The last frame that showed it.
    used: u64,
}

/// The textures that are held.
#[derive(Default)]
pub(super) struct Pictures {
    held: HashMap<PathBuf, Held>,
    frame: u64,
    read: usize,
}

impl Pictures {
    /// A frame begins.
    pub fn begin(&mut self) {
        self.frame += 1;
        self.read = 0;
        if self.held.len() > HELD {
            let frame = self.frame;
            self.held.retain(|_, held| held.used + 1 >= frame);
        }
    }

    /// Lets all go, because files have changed.
    pub fn forget(&mut self) {
        self.held.clear();
    }

    /// The picture of a file; none yet, or none at all.
    pub fn get(&mut self, ui: &Ui, path: &Path) -> Option<TextureHandle> {
        let frame = self.frame;
        if let Some(held) = self.held.get_mut(path) {
            held.used = frame;
            return held.texture.clone();
        }
        if self.read == A_FRAME {
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
        self.held.insert(path.to_owned(), Held { texture: texture.clone(), used: frame });
        texture
    }
}
