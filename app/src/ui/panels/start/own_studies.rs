//! The painter's studies, as pictures with their boards as a strip. Only what is in sight is laid out, and its pictures are made beside
//! the window.

use super::StartActions;
use crate::base::clock::day_words;
use crate::base::jobs::{Job, Outcome};
use crate::files::recent;
use crate::ui::file_pictures::ShownPicture;
use crate::ui::panels::{PanelState, widgets};
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Align2, Color32, CornerRadius, Rect, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2, vec2};
use std::path::PathBuf;
use stint_model::disk;

/// Width and height of a card, points.
const CARD: Vec2 = vec2(210.0, 184.0);
/// Height of its picture, points.
const PICTURE: f32 = 120.0;
/// Height of the strip under it, points.
const STRIP: f32 = 8.0;
/// Space between cards, points.
const GAP: Vec2 = vec2(18.0, 16.0);

/// A study that was opened before.
struct RecentStudy {
    path: PathBuf,
    name: String,
    /// When it was last painted on, in words.
    age: String,
}

/// The studies, the last opened first, read beside the window.
#[derive(Default)]
pub(super) struct OwnStudies {
    studies: Option<Vec<RecentStudy>>,
    reading: Option<Job<Vec<RecentStudy>>>,
}

/// How many cards lie beside each other on a page of this width, when what lies to their left takes `left` at most.
pub(super) fn columns(page: f32, two_from: f32, left: f32) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "as many columns as fit into a window; the cast saturates at 0"
    )]
    let fitting = ((page - left + GAP.x) / (CARD.x + GAP.x)).floor() as usize;
    fitting.max(if page >= two_from { 2 } else { 1 })
}

/// Width of that many, points.
pub(super) fn width(columns: usize) -> f32 {
    columns as f32 * (CARD.x + GAP.x) - GAP.x + 8.0
}

/// The title above them.
pub(super) fn heading(ui: &mut Ui) {
    let words = egui::RichText::new(wording::YOUR_STUDIES).font(theme::font(theme::MIDDLE, Weight::Semibold));
    ui.label(words.color(theme::STRONG));
    ui.add_space(4.0);
}

impl OwnStudies {
    /// Has the studies read anew the next time they show.
    pub fn look_again(&mut self) {
        (self.studies, self.reading) = (None, None);
    }

    fn follow(&mut self, state: &State, ui: &Ui) {
        if let Some(Outcome::Done(studies)) = self.reading.as_ref().map(Job::poll) {
            (self.studies, self.reading) = (Some(studies), None);
        }
        if self.studies.is_none() && self.reading.is_none() {
            let (data, wake) = (state.data_folder.clone(), ui.ctx().clone());
            let read = move |_: &_| {
                let study = |path: PathBuf| {
                    let modified = disk::metadata(&path).and_then(|m| m.modified());
                    let age = modified.map(day_words).unwrap_or_default();
                    let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
                    RecentStudy { path, name, age }
                };
                recent::load(data.as_deref()).into_iter().map(study).collect()
            };
            self.reading = Job::start("own studies", move || wake.request_repaint(), read).ok();
        }
    }

    /// The cards.
    pub fn cards(&mut self, state: &State, panels: &mut PanelState, ui: &mut Ui, actions: &mut StartActions) {
        self.follow(state, ui);
        let Some(studies) = &self.studies else { return };
        if studies.is_empty() {
            widgets::quiet(ui, wording::NO_RECENT);
            return;
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "as many columns as fit into a window; the cast saturates at 0"
        )]
        let columns = (((ui.available_width() + GAP.x) / (CARD.x + GAP.x)).floor() as usize).max(1);
        let rows = studies.len().div_ceil(columns);
        let height = rows as f32 * (CARD.y + GAP.y) - GAP.y;
        let (all, _) = ui.allocate_exact_size(vec2(width(columns), height), Sense::hover());
        for (i, study) in studies.iter().enumerate() {
            let place = vec2((i % columns) as f32, (i / columns) as f32) * (CARD + GAP);
            let rect = Rect::from_min_size(all.min + place, CARD);
            // A row more than shows, so that Tab can walk on.
            if !ui.clip_rect().expand2(vec2(0.0, CARD.y)).intersects(rect) {
                continue;
            }
            let picture = panels.pictures.get(&study.path).map(|p| p.cloned());
            if card(ui, rect, study, picture) {
                actions.requests.push(Request::Open(study.path.clone()));
            }
        }
    }
}

/// A study; tells whether it was pressed. `picture` is nothing while it is being made.
fn card(ui: &mut Ui, rect: Rect, study: &RecentStudy, picture: Option<Option<ShownPicture>>) -> bool {
    let response = ui.interact(rect, ui.scope_id().with(&study.path), Sense::click());
    let share = picture.iter().flatten().find_map(|p| p.board_share).map(wording::board_share).unwrap_or_default();
    let name = wording::open_recent(&study.name);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    if response.gained_focus() {
        ui.scroll_to_rect(rect.expand(GAP.y), None);
    }
    let painter = ui.painter();
    let ground = if response.hovered() { theme::ROW } else { theme::CARD };
    let corner = 7;
    painter.rect_filled(rect, CornerRadius::same(corner), ground);
    let top = Rect::from_min_size(rect.min, vec2(CARD.x, PICTURE));
    let rounded = CornerRadius { nw: corner, ne: corner, sw: 0, se: 0 };
    match &picture {
        Some(Some(shown)) => {
            let uv = cropped(shown.texture.size_vec2(), top.size());
            let image = egui::epaint::RectShape::filled(top, rounded, Color32::WHITE);
            painter.add(image.with_texture(shown.texture.id(), uv));
            strip(ui, Rect::from_min_size(top.left_bottom(), vec2(CARD.x, STRIP)), &shown.strip);
        }
        Some(None) => {
            painter.rect_filled(top, rounded, theme::FIELD);
            widgets::line(ui, top.center(), Align2::CENTER_CENTER, wording::NO_PICTURE, theme::QUIET);
        }
        None => {
            painter.rect_filled(top, rounded, theme::FIELD);
        }
    }
    let words = Rect::from_min_max(pos2(rect.left() + 12.0, top.bottom() + STRIP + 6.0), rect.max - vec2(12.0, 8.0));
    let end = widgets::line(ui, words.right_top(), Align2::RIGHT_TOP, &share, theme::QUIET);
    let left = if share.is_empty() { words.right() } else { end.left() - 8.0 };
    let room = Rect::from_min_max(words.min, pos2(left, words.top() + 18.0));
    widgets::clipped(ui, room, &study.name, theme::font(theme::SMALL, Weight::Semibold), theme::STRONG);
    widgets::line(ui, words.min + vec2(0.0, 19.0), Align2::LEFT_TOP, &study.age, theme::QUIET);
    if response.hovered() {
        let edge = Stroke::new(1.0, theme::QUIET);
        painter.rect_stroke(rect, CornerRadius::same(corner), edge, StrokeKind::Inside);
    }
    widgets::focus_ring(ui, &response, rect);
    let folder = study.path.parent().unwrap_or(&study.path).display().to_string();
    response.on_hover_text(folder).clicked()
}

/// The part of a picture that fills a place of this size, from its middle.
fn cropped(picture: Vec2, place: Vec2) -> Rect {
    let uv_size = place / picture;
    let uv_size = uv_size / uv_size.max_elem();
    Rect::from_center_size(pos2(0.5, 0.5), uv_size)
}

/// The colours of the board side by side.
fn strip(ui: &Ui, rect: Rect, colours: &[[u8; 3]]) {
    if colours.is_empty() {
        return;
    }
    let width = rect.width() / colours.len() as f32;
    for (i, colour) in colours.iter().enumerate() {
        let left = rect.left() + i as f32 * width;
        let slice = Rect::from_min_max(pos2(left, rect.top()), pos2(left + width, rect.bottom()));
        ui.painter().rect_filled(slice, 0.0, theme::srgb(*colour));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_fills_its_place_without_being_stretched() {
        let uv = cropped(vec2(400.0, 300.0), vec2(210.0, 120.0));
        assert!((uv.width() - 1.0).abs() < 1e-6);
        assert!((uv.height() * 300.0 / (uv.width() * 400.0) - 120.0 / 210.0).abs() < 1e-6);
        let uv = cropped(vec2(100.0, 300.0), vec2(210.0, 120.0));
        assert!((uv.width() - 1.0).abs() < 1e-6 && uv.height() < 0.2);
        let uv = cropped(vec2(900.0, 100.0), vec2(210.0, 120.0));
        assert!((uv.height() - 1.0).abs() < 1e-6 && uv.width() < 0.2);
    }

    #[test]
    fn wide_pages_have_more_studies_beside_each_other() {
        for (page, wanted) in [(836.0, 1), (1216.0, 2), (1984.0, 4)] {
            assert_eq!(columns(page, 1040.0, 900.0), wanted, "{page}");
        }
    }
}
