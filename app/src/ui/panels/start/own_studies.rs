//! The painter's studies, as pictures with their boards as a strip. Only what is in sight is laid out, and its pictures are made beside
//! the window.

use super::StartActions;
use crate::base::clock::{SystemTime, day_words};
use crate::base::folders;
use crate::base::jobs::{Job, Outcome};
use crate::files::listing::by_name;
use crate::files::names::stem;
use crate::files::recent;
use crate::files::settings::Setting;
use crate::files::trash::{self, Trashed};
use crate::study::keeping::{Keeping, Kept, carry_out};
use crate::ui::file_pictures::ShownPicture;
use crate::ui::panels::{PanelState, widgets};
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Align2, Color32, CornerRadius, Rect, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2, vec2};
use std::path::{Path, PathBuf};
use stint_model::disk;

/// Width and height of a card, points.
const CARD: Vec2 = vec2(210.0, 184.0);
/// Height of its picture, points.
const PICTURE: f32 = 120.0;
/// Height of the strip under it, points.
const STRIP: f32 = 8.0;
/// Space between cards, points.
const GAP: Vec2 = vec2(18.0, 16.0);

/// Studies that are not where they were are looked for, so many at a time.
const MOST_LOOKED_FOR: usize = 8;
/// The order of the studies.
const ORDER: Setting<String> = Setting::new("studies_order");

/// A study that was opened before.
#[derive(Clone)]
pub(in crate::ui::panels) struct RecentStudy {
    pub path: PathBuf,
    pub name: String,
    /// When it was last painted on; none when it is not where it was.
    painted: Option<SystemTime>,
    /// The same in words.
    age: String,
}

/// What was read of the painter's files.
struct Read {
    /// The last opened first.
    studies: Vec<RecentStudy>,
    trashed: Vec<Trashed>,
}

/// The studies, the last opened first, read beside the window.
#[derive(Default)]
pub(super) struct OwnStudies {
    read: Option<Read>,
    reading: Option<Job<Read>>,
    /// The count of changes of the state that they were read at.
    changed: u64,
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

fn read(data: Option<&Path>) -> Read {
    let mut looked_for = 0;
    let mut study = |path: PathBuf| {
        let name = stem(&path);
        if disk::is_file(&path) {
            let painted = disk::metadata(&path).and_then(|m| m.modified()).unwrap_or(SystemTime::UNIX_EPOCH);
            return RecentStudy { path, name, painted: Some(painted), age: day_words(painted) };
        }
        looked_for += 1;
        let find = Keeping::Find { was: path.clone(), also: Vec::new() };
        match (looked_for <= MOST_LOOKED_FOR).then(|| carry_out(&find, data)) {
            Some(Ok(Kept::Moved(_, now))) => {
                let painted = disk::metadata(&now).and_then(|m| m.modified()).unwrap_or(SystemTime::UNIX_EPOCH);
                RecentStudy { name: stem(&now), path: now, painted: Some(painted), age: day_words(painted) }
            }
            _ => RecentStudy { path, name, painted: None, age: wording::NOT_THERE.to_owned() },
        }
    };
    let studies = recent::all(data).into_iter().map(&mut study).collect();
    Read { studies, trashed: trash::list(&folders::trash(data)) }
}

impl OwnStudies {
    /// Has the studies read anew the next time they show.
    pub fn look_again(&mut self) {
        self.read = None;
    }

    /// Reads them beside the window when that is due.
    pub fn follow(&mut self, state: &State, ctx: &egui::Context) {
        if let Some(Outcome::Done(read)) = self.reading.as_ref().map(Job::poll) {
            (self.read, self.reading) = (Some(read), None);
        }
        if std::mem::replace(&mut self.changed, state.studies_changed) != state.studies_changed {
            self.read = None;
        }
        if self.read.is_none() && self.reading.is_none() {
            let (data, wake) = (state.data_folder.clone(), ctx.clone());
            self.reading =
                Job::start("own studies", move || wake.request_repaint(), move |_: &_| read(data.as_deref())).ok();
        }
    }

    /// The studies that are there, the last opened first; none while they are being read.
    pub fn recent(&self) -> impl Iterator<Item = &RecentStudy> {
        self.read.iter().flat_map(|read| &read.studies).filter(|study| study.painted.is_some())
    }

    /// Studies in the trash, the last that went first.
    pub fn trashed(&self) -> &[Trashed] {
        self.read.as_ref().map_or(&[], |read| &read.trashed)
    }

    /// The title above them, with their order and the trash.
    pub fn heading(&self, state: &mut State, ui: &mut Ui, actions: &mut StartActions) {
        let words = egui::RichText::new(wording::YOUR_STUDIES).font(theme::font(theme::MIDDLE, Weight::Semibold));
        ui.label(words.color(theme::STRONG));
        let now = order(state);
        let some = self.read.as_ref().is_some_and(|read| !read.studies.is_empty());
        if self.read.is_some() && !some && self.trashed().is_empty() {
            return;
        }
        ui.horizontal_wrapped(|ui| {
            ui.set_min_height(24.0);
            ui.spacing_mut().item_spacing = vec2(4.0, 4.0);
            for (order, words) in wording::STUDY_ORDERS.into_iter().filter(|_| some) {
                let response = widgets::text_choice(ui, words, &wording::study_order(words), order == now);
                if response.clicked() {
                    set_order(state, order);
                }
            }
            let count = self.trashed().len();
            if count > 0 {
                let words = wording::trash_with(count);
                actions.trash |= widgets::text_button(ui, &words, &words).clicked();
            }
        });
    }

    /// The cards.
    pub fn cards(&mut self, state: &State, panels: &mut PanelState, ui: &mut Ui, actions: &mut StartActions) {
        self.follow(state, ui.ctx());
        let Some(Read { studies, .. }) = &self.read else { return };
        if studies.is_empty() {
            widgets::quiet(ui, wording::NO_RECENT);
            return;
        }
        let mut ordered: Vec<&RecentStudy> = studies.iter().collect();
        match order(state).as_str() {
            "painted" => ordered.sort_by_key(|study| std::cmp::Reverse(study.painted)),
            "name" => ordered.sort_by(|a, b| by_name(&a.name, &b.name)),
            _ => {}
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "as many columns as fit into a window; the cast saturates at 0"
        )]
        let columns = (((ui.available_width() + GAP.x) / (CARD.x + GAP.x)).floor() as usize).max(1);
        let rows = ordered.len().div_ceil(columns);
        let height = rows as f32 * (CARD.y + GAP.y) - GAP.y;
        let (all, _) = ui.allocate_exact_size(vec2(width(columns), height), Sense::hover());
        for (i, study) in ordered.into_iter().enumerate() {
            let place = vec2((i % columns) as f32, (i / columns) as f32) * (CARD + GAP);
            let rect = Rect::from_min_size(all.min + place, CARD);
            // A row more than shows, so that Tab can walk on.
            if !ui.clip_rect().expand2(vec2(0.0, CARD.y)).intersects(rect) {
                continue;
            }
            let there = study.painted.is_some();
            let picture = if there { panels.pictures.get(&study.path).map(|p| p.cloned()) } else { Some(None) };
            if card(ui, rect, study, picture) {
                if there {
                    actions.requests.push(Request::Open(study.path.clone()));
                } else {
                    actions.lost = Some(study.path.clone());
                }
            }
            more(ui, rect, study, actions);
        }
    }
}

/// Chooses an order, by its name.
pub(in crate::ui::panels) fn set_order(state: &mut State, order: &str) {
    state.keep_setting(&ORDER, order.to_owned(), wording::STUDY_ORDERS[0].0.to_owned());
}

/// The order that is chosen.
pub(in crate::ui::panels) fn order(state: &State) -> String {
    state.settings.get(&ORDER).unwrap_or_else(|| wording::STUDY_ORDERS[0].0.to_owned())
}

/// The button at the foot of a card, and what it offers.
fn more(ui: &mut Ui, card: Rect, study: &RecentStudy, actions: &mut StartActions) {
    let width = widgets::text_button_width(ui, wording::MORE);
    let place = Rect::from_min_max(card.max - vec2(width + 10.0, 30.0), card.max - vec2(10.0, 8.0));
    let builder = egui::UiBuilder::new().max_rect(place).id_salt(("more", &study.path));
    let mut inside = ui.new_child(builder.layout(egui::Layout::left_to_right(egui::Align::Center)));
    let button = widgets::text_button(&mut inside, wording::MORE, &wording::more_for(&study.name));
    egui::Popup::menu(&button).show(|ui| {
        ui.set_min_width(150.0);
        let path = || study.path.clone();
        if study.painted.is_none() {
            if ui.button(wording::LOOK_FOR_IT).clicked() {
                actions.lost = Some(path());
            }
            if ui.button(wording::OFF_THE_LIST).clicked() {
                actions.requests.push(Request::Keep(Keeping::Forget(path())));
            }
            return;
        }
        if ui.button(wording::RENAME_STUDY).clicked() {
            actions.rename = Some(path());
        }
        if ui.button(wording::DUPLICATE).clicked() {
            actions.requests.push(Request::Keep(Keeping::Duplicate(path())));
        }
        if ui.button(wording::PUT_IN_TRASH).clicked() {
            actions.requests.push(Request::Keep(Keeping::Trash(path())));
        }
    });
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
