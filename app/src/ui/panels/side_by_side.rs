//! Two studies of one photo beside it: the one that was painted with the photo, the photo, and the one from memory. Looked at as the
//! canvas is: the look that is chosen applies to all three. Under each study stands how it differs from the photo.

use super::blur;
use super::photo;
use super::reference::{fitted, photo_transform};
use super::widgets;
use super::{Page, PanelState};
use crate::base::jobs::{Job, Outcome};
use crate::study::small_picture::{BesidePhoto, beside_photo};
use crate::ui::looks::Look;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{
    Align2, Color32, ColorImage, Key, Rect, Role, ScrollArea, Sense, TextureHandle, TextureOptions, Ui, UiBuilder,
    WidgetInfo, pos2, vec2,
};
use std::path::PathBuf;

/// Space around the pictures and between them, points.
const GAP: f32 = 20.0;
/// Height of the words under a picture, points.
const WORDS: f32 = 26.0;
/// Height of the line above the pictures, points.
const HEAD: f32 = 48.0;
/// Height under the pictures for the sentences, points, where the page is at least [`TALL`] high.
const SENTENCES: f32 = 170.0;
const TALL: f32 = 480.0;

/// The studies, read beside the window; the first is the one painted with the photo.
type Studies = [Option<BesidePhoto>; 2];

/// What the page remembers.
#[derive(Default)]
pub(super) struct SideBySide {
    /// The changes of the open study that the rest is of.
    of: Option<u64>,
    reading: Option<Job<Studies>>,
    studies: Option<Studies>,
    textures: Option<(Look, [Option<TextureHandle>; 2])>,
}

impl SideBySide {
    /// Whether both studies were read.
    #[cfg(test)]
    pub fn is_read(&self) -> bool {
        self.studies.is_some()
    }

    fn follow(&mut self, ui: &Ui, paths: [PathBuf; 2], changes: u64) {
        if self.of != Some(changes) {
            *self = SideBySide { of: Some(changes), ..Default::default() };
            let wake = ui.ctx().clone();
            let read = move |_: &_| paths.map(|path| beside_photo(&path));
            // Without a thread there is no picture now; the page asks again when it is opened again.
            self.reading = Job::start("side by side", move || wake.request_repaint(), read).ok();
        }
        if let Some(Outcome::Done(studies)) = self.reading.as_ref().map(Job::poll) {
            (self.studies, self.reading, self.textures) = (Some(studies), None, None);
        }
    }

    fn textures(&mut self, ui: &Ui, look: Look, canvas_px: u32) -> [Option<TextureHandle>; 2] {
        let Some(studies) = &self.studies else { return [None, None] };
        if let Some((of, textures)) = &self.textures
            && *of == look
        {
            return textures.clone();
        }
        let textures = studies.each_ref().map(|study| {
            let study = &study.as_ref()?.picture;
            let (width, height) = (study.width_px as usize, study.height_px as usize);
            let codes = match look {
                Look::Squint { radius_px } => {
                    let radius = radius_px * width.max(height) as f32 / canvas_px as f32;
                    blur::blurred(&study.pixels, width, height, radius)
                }
                look => study.pixels.iter().map(|&codes| look.of(codes)).collect(),
            };
            let image = ColorImage::new([width, height], codes.into_iter().map(theme::srgb).collect());
            Some(ui.ctx().load_texture("side by side", image, TextureOptions::LINEAR))
        });
        self.textures = Some((look, textures.clone()));
        textures
    }
}

/// The page.
pub(super) fn page(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let all = ui.max_rect();
    let leave = !panels.sheet_is_open() && ui.input(|i| i.key_pressed(Key::Escape));
    let seen = photo::displayed(state, panels);
    let (Some(seen), Some(session), false) = (seen, &state.session, leave) else {
        panels.page = Page::Canvas;
        ui.ctx().request_repaint();
        return;
    };
    let document = session.document();
    let Some(first) = document.paints_again.clone() else {
        panels.page = Page::Canvas;
        return;
    };
    let (path, changes) = (session.path().to_owned(), session.changes());
    let canvas_px = document.width.max(document.height);
    let mut part = std::mem::take(&mut panels.side_by_side);
    part.follow(ui, [path.with_file_name(&first), path], changes);
    let [with_photo, from_memory] = part.textures(ui, state.look, canvas_px);
    let read = part.studies.is_some();
    let sentences = |i: usize| part.studies.as_ref().and_then(|s| s[i].as_ref()).map_or(&[][..], |s| &s.sentences);
    let sentences = [sentences(0).to_vec(), sentences(1).to_vec()];
    panels.side_by_side = part;

    let head = Rect::from_min_max(all.min + vec2(GAP, 10.0), pos2(all.right() - GAP, all.top() + HEAD));
    let mut line = ui.new_child(UiBuilder::new().max_rect(head));
    if widgets::heading_with(&mut line, wording::SIDE_BY_SIDE, &[(wording::BACK, wording::BACK)]).is_some() {
        panels.page = Page::Canvas;
    }
    let width = (all.width() - 4.0 * GAP) / 3.0;
    let under = if all.height() >= TALL { WORDS + SENTENCES } else { WORDS };
    let room = |i: usize| {
        let left = all.left() + GAP + i as f32 * (width + GAP);
        Rect::from_min_max(pos2(left, all.top() + HEAD), pos2(left + width, all.bottom() - GAP - under))
    };
    if !room(0).is_positive() {
        return;
    }
    // All begin at one height, and what is said of them right under them.
    let fit = |size: egui::Vec2, i: usize| {
        let place = fitted(size, room(i));
        place.translate(room(i).left_top() - place.left_top())
    };
    let place = fit(seen.size(), 1);
    let texture = panels.photo.large(ui, &seen, place.size().max_elem());
    picture(ui, Some(&texture), place, seen.mirror, wording::THE_PHOTO);
    for (i, texture, words) in [(0, with_photo, wording::WITH_PHOTO), (2, from_memory, wording::PAINTED_FROM_MEMORY)] {
        let size = texture.as_ref().map_or(seen.size(), TextureHandle::size_vec2);
        picture(ui, texture.as_ref(), fit(size, i), seen.mirror, words);
        if read && texture.is_none() {
            let missing = wording::study_missing(&first);
            widgets::centred(ui, fit(size, i), &missing, theme::font(theme::SMALL, Weight::Regular), theme::QUIET);
        }
        let top = fit(size, i).bottom() + WORDS + 6.0;
        let place = Rect::from_min_max(pos2(room(i).left(), top), pos2(room(i).right(), all.bottom() - GAP));
        told(ui, place, i, &sentences[i / 2]);
    }
}

/// How a study differs from the photo, a line a sentence; what does not fit is reached by the wheel.
fn told(ui: &mut Ui, place: Rect, column: usize, sentences: &[String]) {
    if !place.is_positive() {
        return;
    }
    let mut list = ui.new_child(UiBuilder::new().id_salt(("told", column)).max_rect(place));
    let scrolls = ScrollArea::vertical().id_salt(("sentences", column)).auto_shrink([false, true]);
    scrolls.show(&mut list, |ui| {
        for sentence in sentences {
            widgets::quiet(ui, wording::sentence_start(sentence));
        }
    });
}

/// A picture with its words under it, in the mirror where the canvas is; without one its place.
fn picture(ui: &Ui, texture: Option<&TextureHandle>, rect: Rect, mirror: bool, words: &str) {
    let response = ui.interact(rect, ui.scope_id().with(words), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words));
    match texture {
        Some(texture) => {
            ui.painter().image(texture.id(), rect, photo_transform::whole_uv(mirror), Color32::WHITE);
        }
        None => {
            ui.painter().rect_filled(rect, 0.0, theme::FIELD);
        }
    }
    let at = rect.left_bottom() + vec2(0.0, 8.0);
    ui.painter().text(at, Align2::LEFT_TOP, words, theme::font(theme::SMALL, Weight::Medium), theme::TEXT);
}
