//! Small pictures of files as textures: read or made beside the window, only for what is in sight, and as many as a screen shows kept.

use crate::base::jobs::{Job, Outcome};
use crate::files::picture_store::{PictureStore, SmallPicture};
use crate::study::small_picture::small_picture;
use crate::ui::theme;
use egui::{ColorImage, Context, TextureHandle, TextureOptions};
use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// Pictures that are made at the same time; the rest of the machine is for painting.
const MAX_JOBS: usize = 2;
/// Textures that are kept; more than a large window shows.
const MAX_KEPT: usize = 240;

/// A small picture on the graphics device, and what is told beside it.
#[derive(Clone)]
pub struct ShownPicture {
    /// The picture.
    pub texture: TextureHandle,
    /// The colours of a study's board.
    pub strip: Vec<[u8; 3]>,
    /// Share of a study's paint that is from its board, 0-1; none before the first stroke.
    pub board_share: Option<f64>,
}

/// What is known of a file.
struct Known {
    /// None for a file that cannot be shown.
    picture: Option<ShownPicture>,
    /// The last frame that asked for it.
    used: u64,
}

/// The pictures. Call [`FilePictures::follow`] once a frame after everything was asked for.
#[derive(Default)]
pub struct FilePictures {
    known: HashMap<PathBuf, Known>,
    /// Asked for in this frame and not known, in the order of asking.
    wanted: Vec<PathBuf>,
    making: Vec<(PathBuf, Job<Option<SmallPicture>>)>,
    /// Whether something was asked for in the last frame that was not there.
    #[cfg(test)]
    missed: bool,
    frame: u64,
}

impl FilePictures {
    /// The picture of a file: nothing while it is being made, `Some(None)` for a file that cannot be shown.
    pub fn get(&mut self, path: &Path) -> Option<Option<&ShownPicture>> {
        let frame = self.frame;
        if !self.known.contains_key(path) {
            self.wanted.push(path.to_owned());
            return None;
        }
        let known = self.known.get_mut(path)?;
        known.used = frame;
        Some(known.picture.as_ref())
    }

    /// Whether everything that was asked for is there.
    #[cfg(test)]
    pub fn is_at_rest(&self) -> bool {
        self.frame > 0 && self.making.is_empty() && !self.missed
    }

    /// Files may have changed: they are looked at again. Their pictures come from the store, unless they did change.
    pub fn look_again(&mut self) {
        self.known.clear();
    }

    /// Takes what was made, begins what is wanted, and lets go of what was not asked for lately.
    pub fn follow(&mut self, ctx: &Context, data_folder: Option<&Path>) {
        for (path, job) in std::mem::take(&mut self.making) {
            match job.poll() {
                Outcome::Running => self.making.push((path, job)),
                Outcome::Done(made) => {
                    let picture = made.map(|made| shown(ctx, made));
                    self.known.insert(path, Known { picture, used: self.frame });
                }
                Outcome::Died => {
                    self.known.insert(path, Known { picture: None, used: self.frame });
                }
            }
        }
        #[cfg(test)]
        {
            self.missed = !self.wanted.is_empty();
        }
        for path in std::mem::take(&mut self.wanted) {
            if self.making.len() == MAX_JOBS {
                break;
            }
            if self.known.contains_key(&path) || self.making.iter().any(|(other, _)| *other == path) {
                continue;
            }
            let (store, file, wake) = (PictureStore::open(data_folder), path.clone(), ctx.clone());
            let work = move |_: &_| small_picture(&file, &store);
            // Without a thread there is no picture now; it is asked for again in the next frame.
            if let Ok(job) = Job::start("small picture", move || wake.request_repaint(), work) {
                self.making.push((path, job));
            }
        }
        if self.known.len() > MAX_KEPT {
            let frame = self.frame;
            self.known.retain(|_, known| known.used + 1 >= frame);
        }
        self.frame += 1;
    }
}

fn shown(ctx: &Context, made: SmallPicture) -> ShownPicture {
    let size = [made.width_px as usize, made.height_px as usize];
    let image = ColorImage::new(size, made.pixels.into_iter().map(theme::srgb).collect());
    let texture = ctx.load_texture("small picture", image, TextureOptions::LINEAR);
    ShownPicture { texture, strip: made.strip, board_share: made.board_share }
}
