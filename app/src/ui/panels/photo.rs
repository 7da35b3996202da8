//! The photo on screen: copies of it on the graphics device, made anew when its adjustments change.

use super::blur;
use crate::base::jobs::{Job, Outcome};
use crate::ui::looks::Look;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::theme;
use egui::{ColorImage, TextureHandle, TextureOptions, Ui};
use std::sync::Arc;
use stint_model::colour::Colour;
use stint_model::photo::{Adjustments, Blocks, Photo, PixelRect};

/// Widest side of the copy in the column, pixels.
const SMALL_SIDE: u32 = 800;
/// Widest side of the large copy, pixels.
const LARGE_SIDE: u32 = 3072;
/// Sides are made in steps of this, so that a window that changes its size does not make a copy a frame, pixels.
const SIDE_STEP: u32 = 64;
/// Widest side while a slider moves, pixels: what two slow cores do within a frame or two.
const MOVING_SIDE: u32 = 512;
/// A part of a photo up to this is reduced at once, pixels: about what is read within half a frame.
const AT_ONCE_PX: u64 = 2_000_000;
/// Widest side of what is shown while a larger one is reduced beside the window, pixels.
const MEANWHILE_SIDE: u32 = 384;
/// Copies kept for looking at two states in turn: as adjusted, and before.
const MAX_COPIES: usize = 2;

/// What a texture shows.
#[derive(Clone, Copy, PartialEq)]
struct CopyKey {
    photo: i64,
    adjustments: Adjustments,
    rect: PixelRect,
    side: u32,
    look: Look,
}

/// What the photo remembers.
#[derive(Default)]
pub(super) struct PhotoState {
    small: Copies,
    large: Copies,
    moving: Copies,
    detail: Copies,
    /// The part under the loupe: what it shows, where, and its width.
    patch: Option<(CopyKey, TextureHandle)>,
    /// A photo that cannot be read, so that its fault is told once.
    failed: Option<i64>,
    /// The adjustments while a slider moves.
    pub preview: Option<Adjustments>,
    /// The key that shows the photo without its adjustments is down.
    pub before_key: bool,
    /// So is the button.
    pub before_button: bool,
}

/// The reference as it is to be shown.
pub(super) struct DisplayedPhoto {
    /// The decoded photo.
    pub photo: Arc<Photo>,
    /// Its adjustments, as previewed.
    pub adjustments: Adjustments,
    /// What of them changes the pixels that are shown: none while the photo before them is looked at. A crop is none of them.
    pub shown: Adjustments,
    /// Left and right exchanged, as on the canvas.
    pub mirror: bool,
    /// All of it is shown, whatever it is cropped to.
    pub uncropped: bool,
    /// Key of the stored bytes.
    pub key: i64,
    /// How it is looked at, as the canvas is.
    pub look: Look,
    /// Longer side of the canvas, pixels: what a blur of it is measured by.
    pub canvas_px: u32,
}

impl DisplayedPhoto {
    /// The part that is shown: what the photo is cropped to, or all of it.
    pub fn part(&self) -> PixelRect {
        let adjustments = if self.uncropped { Adjustments::default() } else { self.adjustments };
        adjustments.part_of(self.photo.width_px(), self.photo.height_px())
    }

    /// Width and height of that, pixels.
    pub fn size(&self) -> egui::Vec2 {
        let part = self.part();
        egui::vec2(part.width_px as f32, part.height_px as f32)
    }
}

/// The reference of the open study; nothing if there is none, or if it cannot be read (a notice says so, once).
pub(super) fn displayed(state: &mut State, panels: &mut PanelState) -> Option<DisplayedPhoto> {
    let (look, mirror, uncropped) = (state.look, state.mirror, panels.crop.open);
    if super::shut_photo::is_shut(state) {
        return None;
    }
    let session = state.session.as_mut()?;
    let canvas_px = session.document().width.max(session.document().height);
    let key = session.document().reference.as_ref()?.photo;
    let before = panels.looks_before();
    panels.loupe.follow_photo(key);
    let photo_panel = &mut panels.photo;
    if photo_panel.failed == Some(key) {
        return None;
    }
    match session.reference() {
        Ok((photo, adjustments)) => {
            let adjustments = photo_panel.preview.unwrap_or(adjustments);
            let shown = if before { Adjustments::default() } else { Adjustments { crop: None, ..adjustments } };
            Some(DisplayedPhoto { photo, adjustments, shown, key, look, canvas_px, mirror, uncropped })
        }
        Err(error) => {
            photo_panel.failed = Some(key);
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

impl PhotoState {
    /// The part that is shown for a place this long, in points, in the column.
    pub fn small(&mut self, ui: &Ui, seen: &DisplayedPhoto, longest_points: f32) -> TextureHandle {
        let side = side_px(ui, longest_points, SMALL_SIDE);
        if self.preview.is_some() && side > MOVING_SIDE {
            return self.moving.texture(ui, seen, seen.part(), MOVING_SIDE);
        }
        self.small.texture(ui, seen, seen.part(), side)
    }

    /// The same in the place of the canvas. While a slider moves it is less sharp.
    pub fn large(&mut self, ui: &Ui, seen: &DisplayedPhoto, longest_points: f32) -> TextureHandle {
        // What is blurred needs no more than that either.
        if self.preview.is_some() || matches!(seen.look, Look::Squint { .. }) {
            return self.moving.texture(ui, seen, seen.part(), MOVING_SIDE);
        }
        self.large.texture(ui, seen, seen.part(), side_px(ui, longest_points, LARGE_SIDE))
    }

    /// Whether the large copy is on its way, and something coarser shows meanwhile.
    pub fn waits(&self) -> bool {
        self.large.making.is_some()
    }

    /// A part of the photo for a place this long, in points; [`PhotoState::last_detail`] has it as soon as it is made.
    pub fn make_detail(&mut self, ui: &Ui, seen: &DisplayedPhoto, rect: PixelRect, longest_points: f32) {
        let _kept = self.detail.made(ui, seen, rect, side_px(ui, longest_points, LARGE_SIDE));
    }

    /// The part that was made last, if it shows the photo as it is to be shown, and what it covers.
    pub fn last_detail(&self, seen: &DisplayedPhoto) -> Option<(PixelRect, TextureHandle)> {
        let fits =
            |shown: &CopyKey| shown.photo == seen.key && shown.adjustments == seen.shown && shown.look == seen.look;
        self.detail.textures.iter().rev().find(|(shown, _)| fits(shown)).map(|(s, t)| (s.rect, t.clone()))
    }

    /// `side` photo pixels a side around `at`, or as near to it as the photo's edge allows.
    pub fn patch(&mut self, ui: &Ui, seen: &DisplayedPhoto, at: (u32, u32), side: u32) -> TextureHandle {
        let (width, height) = (seen.photo.width_px(), seen.photo.height_px());
        let side_x = side.min(width);
        let side_y = side.min(height);
        let x = at.0.saturating_sub(side / 2).min(width - side_x);
        let y = at.1.saturating_sub(side / 2).min(height - side_y);
        let rect = PixelRect { x, y, width_px: side_x, height_px: side_y };
        // Under the loupe the colours are those that are picked, however the rest is looked at.
        let wanted = CopyKey { photo: seen.key, adjustments: seen.shown, rect, side, look: Look::Colour };
        if let Some((shown, texture)) = &self.patch
            && *shown == wanted
        {
            return texture.clone();
        }
        let pixels = seen.photo.view(seen.shown).region(rect).into_iter().map(theme::paint).collect();
        let image = ColorImage::new([side_x as usize, side_y as usize], pixels);
        let texture = ui.ctx().load_texture("loupe", image, TextureOptions::NEAREST);
        self.patch = Some((wanted, texture.clone()));
        texture
    }
}

/// Pixels for a length on screen, within what the graphics device takes.
fn side_px(ui: &Ui, points: f32, most: u32) -> u32 {
    let device = u32::try_from(ui.input(|i| i.max_texture_side)).unwrap_or(most);
    #[expect(clippy::cast_possible_truncation, reason = "pixels of a screen")]
    let pixels = (points * ui.pixels_per_point()).ceil().max(1.0) as u32;
    pixels.next_multiple_of(SIDE_STEP).min(most).min(device)
}

/// What blocks are of: a photo by its key, a part of it, and their widest side.
type BlocksKey = (i64, PixelRect, u32);

/// A photo, or a part of it, in one size: its blocks, and textures of them under a few adjustments. A large one is reduced beside the
/// window.
#[derive(Default)]
struct Copies {
    blocks: Option<(BlocksKey, Blocks)>,
    making: Option<(BlocksKey, Job<Blocks>)>,
    /// What shows until they are made, where nothing of the same part was.
    meanwhile: Option<(CopyKey, TextureHandle)>,
    /// Oldest first.
    textures: Vec<(CopyKey, TextureHandle)>,
}

impl Copies {
    /// The copy, or what shows in its place until it is made.
    fn texture(&mut self, ui: &Ui, seen: &DisplayedPhoto, rect: PixelRect, side: u32) -> TextureHandle {
        if let Some(made) = self.made(ui, seen, rect, side) {
            return made;
        }
        // In another size, while a window is pulled.
        let wanted = CopyKey { photo: seen.key, adjustments: seen.shown, rect, side: MEANWHILE_SIDE, look: seen.look };
        let like = |(shown, _): &&(CopyKey, TextureHandle)| CopyKey { side: MEANWHILE_SIDE, ..*shown } == wanted;
        if let Some((_, texture)) = self.textures.iter().rev().chain(&self.meanwhile).find(like) {
            return texture.clone();
        }
        let blocks = Blocks::sampled(&seen.photo, rect, MEANWHILE_SIDE.min(side));
        let texture = load(ui, seen, &blocks, TextureOptions::LINEAR);
        self.meanwhile = Some((wanted, texture.clone()));
        texture
    }

    /// The copy; none while it is being made.
    fn made(&mut self, ui: &Ui, seen: &DisplayedPhoto, rect: PixelRect, side: u32) -> Option<TextureHandle> {
        let wanted = CopyKey { photo: seen.key, adjustments: seen.shown, rect, side, look: seen.look };
        if let Some(place) = self.textures.iter().position(|(shown, _)| *shown == wanted) {
            let known = self.textures.remove(place);
            let texture = known.1.clone();
            self.textures.push(known);
            self.making = None;
            return Some(texture);
        }
        let blocks = self.blocks(ui, seen, (seen.key, rect, side))?;
        // Enlarged, pixels stay what they are: squares of one colour.
        let options = TextureOptions { magnification: egui::TextureFilter::Nearest, ..TextureOptions::LINEAR };
        let options = if side < rect.width_px.max(rect.height_px) { TextureOptions::LINEAR } else { options };
        let texture = load(ui, seen, blocks, options);
        self.meanwhile = None;
        let too_many = (self.textures.len() + 1).saturating_sub(MAX_COPIES);
        self.textures.drain(..too_many);
        self.textures.push((wanted, texture.clone()));
        Some(texture)
    }

    /// The blocks, made at once where that is quick; none while they are being made.
    fn blocks(&mut self, ui: &Ui, seen: &DisplayedPhoto, key: BlocksKey) -> Option<&Blocks> {
        if self.blocks.as_ref().is_none_or(|(of, _)| *of != key) {
            let (_, rect, side) = key;
            let made = if u64::from(rect.width_px) * u64::from(rect.height_px) > AT_ONCE_PX {
                self.beside(ui, seen, key)?
            } else {
                Blocks::new(&seen.photo, rect, side)
            };
            self.blocks = Some((key, made));
            self.textures.clear();
        }
        self.making = None;
        self.blocks.as_ref().map(|(_, blocks)| blocks)
    }

    /// Blocks that a job makes: what it made, or nothing yet.
    fn beside(&mut self, ui: &Ui, seen: &DisplayedPhoto, key: BlocksKey) -> Option<Blocks> {
        let (_, rect, side) = key;
        if let Some((_, job)) = self.making.as_ref().filter(|(of, _)| *of == key) {
            return match job.poll() {
                Outcome::Done(blocks) => Some(blocks),
                Outcome::Running => None,
                Outcome::Died => Some(Blocks::new(&seen.photo, rect, side)),
            };
        }
        let (wake, photo) = (ui.ctx().clone(), seen.photo.clone());
        match Job::start("reduce", move || wake.request_repaint(), move |_| Blocks::new(&photo, rect, side)) {
            Ok(job) => {
                self.making = Some((key, job));
                None
            }
            // Without a thread the window waits for it.
            Err(_) => Some(Blocks::new(&seen.photo, rect, side)),
        }
    }
}

/// Blocks as the photo is looked at, on the graphics device.
fn load(ui: &Ui, seen: &DisplayedPhoto, blocks: &Blocks, options: TextureOptions) -> TextureHandle {
    let (width, height, codes) = blocks.seen(&seen.photo.view(seen.shown), behind());
    let codes = match seen.look {
        // As strong as on the canvas, where both fill their places.
        Look::Squint { radius_px } => {
            let rect = blocks.rect();
            let longest = rect.width_px.max(rect.height_px) as f32 / seen.size().max_elem();
            let radius = radius_px * width.max(height) as f32 / (seen.canvas_px as f32 * longest);
            blur::blurred(&codes, width as usize, height as usize, radius)
        }
        look @ (Look::Colour | Look::Value | Look::TwoTone { .. } | Look::Difference) => {
            codes.into_iter().map(|codes| look.of(codes)).collect()
        }
    };
    let pixels = codes.into_iter().map(theme::srgb).collect();
    let image = ColorImage::new([width as usize, height as usize], pixels);
    ui.ctx().load_texture("reference", image, options)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use std::time::Duration;

    /// One frame of the large photo for a place this long; the size of its copy.
    fn frame(ctx: &egui::Context, photos: &mut PhotoState, seen: &DisplayedPhoto, longest: f32) -> [usize; 2] {
        let mut size = [0; 2];
        let mut output = ctx.run_ui(egui::RawInput::default(), |ui| size = photos.large(ui, seen, longest).size());
        output.textures_delta.clear();
        size
    }

    #[test]
    fn a_large_photo_is_reduced_beside_the_window_and_shows_meanwhile() {
        let picture = image::RgbImage::from_fn(2000, 1200, |x, y| image::Rgb([(x / 8) as u8, (y / 5) as u8, 90]));
        let mut png = std::io::Cursor::new(Vec::new());
        picture.write_to(&mut png, image::ImageFormat::Png).unwrap();
        let plain = Adjustments::default();
        let seen = DisplayedPhoto {
            photo: Arc::new(Photo::from_bytes(png.get_ref(), "wide.png").unwrap()),
            adjustments: plain,
            shown: plain,
            key: 1,
            look: Look::default(),
            canvas_px: 1600,
            mirror: false,
            uncropped: false,
        };
        let (ctx, mut photos) = (egui::Context::default(), PhotoState::default());
        let coarse = frame(&ctx, &mut photos, &seen, 900.0);
        assert!(photos.waits() && coarse[0] <= MEANWHILE_SIDE as usize && coarse[0] > 300, "{coarse:?}");
        let until = |photos: &mut PhotoState, longest: f32, before: [usize; 2], after: [usize; 2]| {
            for _ in 0..3000 {
                let size = frame(&ctx, photos, &seen, longest);
                if size == after {
                    assert!(!photos.waits());
                    return;
                }
                assert_eq!(size, before);
                std::thread::sleep(Duration::from_millis(2));
            }
            panic!("the copy did not come");
        };
        until(&mut photos, 900.0, coarse, [960, 576]);
        // While the window is pulled the copy there was goes on; pulled back, nothing is waited for.
        assert_eq!(frame(&ctx, &mut photos, &seen, 1000.0), [960, 576]);
        assert!(photos.waits());
        assert_eq!(frame(&ctx, &mut photos, &seen, 900.0), [960, 576]);
        assert!(!photos.waits());
        until(&mut photos, 1000.0, [960, 576], [1024, 615]);
        // A small part needs no job.
        let part = PixelRect { x: 100, y: 100, width_px: 400, height_px: 300 };
        let mut output = ctx.run_ui(egui::RawInput::default(), |ui| photos.make_detail(ui, &seen, part, 800.0));
        output.textures_delta.clear();
        assert_eq!(photos.last_detail(&seen).map(|(rect, _)| rect), Some(part));
    }
}
