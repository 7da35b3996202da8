//! The cards in rows; only those in sight are laid out. Arrows move between cards, Enter starts a study.

use super::card::{card, hold_arrows, id_of};
use super::{LibraryAction, LibraryState};
use crate::ui::panels::measures::Measures;
use crate::ui::panels::widgets::{self, Pill};
use crate::ui::wording;
use egui::{FocusDirection, Key, Modifiers, Rect, ScrollArea, Ui, UiBuilder, vec2};

/// Least width of a card, designed and largest, points.
const WIDTH: (f32, f32) = (212.0, 272.0);
/// Height of a card, designed and largest, points.
const HEIGHT: (f32, f32) = (188.0, 232.0);
/// Gap of two cards, points.
const GAP: f32 = 12.0;
/// Space around all of them, points.
const AROUND: f32 = 16.0;

/// Space between the bar of what scrolls and the edge, points.
const BAR_FROM_EDGE: f32 = 4.0;

/// What the grid remembers.
#[derive(Default)]
pub(super) struct GridState {
    offset: f32,
    /// Height of what is in sight, points.
    sight: f32,
    /// Columns of the last frame.
    columns: usize,
    /// Whether the chosen card has to come in sight, and whether it takes the keyboard.
    reveal: bool,
    focus: bool,
}

impl GridState {
    /// Brings the chosen card in sight in the next frame.
    pub fn reveal(&mut self) {
        self.reveal = true;
    }
}

impl LibraryState {
    /// The cards. `alone` says that no sheet lies over the page.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "as many rows and columns as fit into a window; the cast saturates at 0"
    )]
    pub(super) fn grid(&mut self, ui: &mut Ui, alone: bool, action: &mut Option<LibraryAction>) {
        self.pictures.begin();
        if self.hits.is_empty() {
            let all = ui.max_rect();
            let rect = Rect::from_center_size(all.center(), vec2(all.width().min(320.0), 60.0));
            let mut hint = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("nothing"));
            if self.entries().is_empty() {
                widgets::quiet(&mut hint, wording::NOTHING_KEPT);
            } else {
                widgets::quiet(&mut hint, wording::NOTHING_FITS);
                if widgets::pill(&mut hint, wording::SHOW_ALL_BOARDS, Pill::Second).clicked() {
                    self.filters.look_for_nothing();
                }
            }
            return;
        }
        let measures = Measures::of(ui.ctx());
        let room = ui.max_rect().shrink2(vec2(AROUND, 0.0));
        let columns = (((room.width() + GAP) / (measures.between(WIDTH.0, WIDTH.1) + GAP)) as usize).max(1);
        let size = vec2(
            (room.width() - GAP * (columns - 1) as f32) / columns as f32,
            measures.between(HEIGHT.0, HEIGHT.1).round(),
        );
        let step = size + vec2(GAP, GAP);
        self.grid.columns = columns;
        self.grid.sight = room.height();
        if alone {
            self.keys(ui, action);
        }
        let rows = self.hits.len().div_ceil(columns);
        let mut area = ScrollArea::vertical().auto_shrink(false);
        if std::mem::take(&mut self.grid.reveal)
            && let Some(place) = self.place()
        {
            let top = AROUND + (place / columns) as f32 * step.y;
            let least = top + size.y + AROUND - self.grid.sight;
            area = area.vertical_scroll_offset(self.grid.offset.min(top - AROUND).max(least).max(0.0));
        }
        let chosen = self.place();
        let focus = std::mem::take(&mut self.grid.focus);
        // The bar lies beside the cards, in the space around them.
        let with_bar = room.with_max_x(room.right() + AROUND - BAR_FROM_EDGE);
        let mut inside = ui.new_child(UiBuilder::new().max_rect(with_bar).id_salt("cards"));
        inside.set_clip_rect(room.expand2(vec2(AROUND, 0.0)).intersect(ui.clip_rect()));
        let mut pressed = None;
        let output = area.show_viewport(&mut inside, |ui, sight| {
            ui.set_height(rows as f32 * step.y - GAP + 2.0 * AROUND);
            ui.set_width(room.width());
            let origin = ui.max_rect().min + vec2(0.0, AROUND);
            let first = ((sight.min.y - AROUND) / step.y).floor().max(0.0) as usize * columns;
            let last = ((sight.max.y - AROUND) / step.y).ceil().max(0.0) as usize * columns;
            for place in first..last.min(self.hits.len()) {
                let hit = self.hits[place];
                let corner = origin + step * vec2((place % columns) as f32, (place / columns) as f32);
                let rect = Rect::from_min_size(corner, size);
                let Some(entry) = self.library.as_ref().map(|l| &l.seen()[hit.place]) else { return };
                let is_chosen = chosen == Some(place);
                let response = card(ui, rect, entry, hit, is_chosen, &mut self.pictures);
                if is_chosen && focus {
                    response.request_focus();
                    hold_arrows(ui, &response);
                }
                // What comes to have the keyboard is chosen, by Tab too.
                if response.clicked() || response.gained_focus() {
                    pressed = Some(entry.path.clone());
                    response.request_focus();
                }
                if response.double_clicked() && entry.content.is_ok() {
                    *action = Some(LibraryAction::Start(entry.path.clone()));
                }
            }
        });
        self.grid.offset = output.state.clamped_offset().y;
        if let Some(path) = pressed {
            self.choose(path);
        }
    }

    /// Arrows, Home, End and Enter, while a card or nothing has the keyboard.
    fn keys(&mut self, ui: &Ui, action: &mut Option<LibraryAction>) {
        let focused = ui.memory(|m| m.focused());
        let Some(place) = self.place() else { return };
        let on_card = focused == Some(id_of(&self.entries()[self.hits[place].place]));
        if focused.is_some() && !on_card {
            return;
        }
        let last = self.hits.len() - 1;
        let columns = self.grid.columns;
        #[expect(
            clippy::cast_possible_truncation,
            reason = "as many rows and columns as fit into a window; the cast saturates at 0"
        )]
        let rows = ((self.grid.sight / (HEIGHT.0 + GAP)) as usize).max(1);
        let pressed = |key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
        let mut to = place;
        let moves = [
            (Key::ArrowLeft, place.saturating_sub(1)),
            (Key::ArrowRight, (place + 1).min(last)),
            (Key::ArrowUp, if place >= columns { place - columns } else { place }),
            (Key::ArrowDown, if place + columns <= last { place + columns } else { place }),
            (Key::PageUp, place.saturating_sub(rows * columns)),
            (Key::PageDown, (place + rows * columns).min(last)),
            (Key::Home, 0),
            (Key::End, last),
        ];
        for (key, target) in moves {
            if pressed(key) {
                to = target;
                // While no card holds the arrow keys egui would move the keyboard by them, too.
                ui.memory_mut(|m| m.move_focus(FocusDirection::None));
            }
        }
        if to != place {
            let path = self.entries()[self.hits[to].place].path.clone();
            self.choose(path);
            (self.grid.reveal, self.grid.focus) = (true, true);
            // The card holds the arrow keys only after a frame in which it has the keyboard.
            ui.ctx().request_repaint();
        }
        if pressed(Key::Enter)
            && let Some((entry, _)) = self.chosen_entry()
            && entry.content.is_ok()
        {
            *action = Some(LibraryAction::Start(entry.path.clone()));
        }
    }
}
