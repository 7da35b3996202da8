//! Every action with its keys: found by what it does, given another key by pressing it.

use crate::ui::keys::{Action, Chord, Keys, found};
use crate::ui::panels::widgets::{self, Pill};
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Align, Event, EventFilter, Key, Layout, Rect, ScrollArea, Sense, Ui, UiBuilder, pos2, vec2};

/// Height of a row, points.
const ROW: f32 = 32.0;
/// Width of the buttons at its end, points.
const BUTTONS: f32 = 150.0;
/// Width of the keys before them, points.
const KEYS: f32 = 150.0;
/// Widest row, points.
const WIDEST: f32 = 960.0;

/// What the painter is about.
#[derive(Clone, PartialEq, Debug, Default)]
enum Asking {
    /// Nothing.
    #[default]
    Nothing,
    /// The next key goes to this action.
    Key(Action),
    /// These keys go to the first action, of which one belongs to the other.
    Clash(Action, Vec<Chord>, Chord, Action),
}

/// The list.
#[derive(Default)]
pub(super) struct KeyList {
    text: String,
    asking: Asking,
    /// Why the key that was pressed can be nobody's.
    refusal: Option<String>,
}

impl KeyList {
    /// Whether the next key is taken down.
    pub fn listens(&self) -> bool {
        matches!(self.asking, Asking::Key(_))
    }

    /// Takes the key that was pressed, before anything on the page sees it.
    pub fn take_key(&mut self, state: &mut State, ui: &Ui) {
        let Asking::Key(action) = self.asking else { return };
        ui.memory_mut(|m| {
            let all = EventFilter { tab: true, horizontal_arrows: true, vertical_arrows: true, escape: true };
            if let Some(id) = m.focused() {
                m.set_focus_lock_filter(id, all);
            }
        });
        let Some(chord) = pressed(ui) else { return };
        self.refusal = Keys::refuses(chord);
        if chord == Chord::plain(Key::Escape) {
            self.asking = Asking::Nothing;
        } else if self.refusal.is_none() {
            self.give(state, action, vec![chord]);
        }
    }

    /// Gives an action keys, or asks first where one of them belongs to another.
    fn give(&mut self, state: &mut State, action: Action, chords: Vec<Chord>) {
        self.asking = match state.keys.clash(action, &chords) {
            Some((chord, other)) => Asking::Clash(action, chords, chord, other),
            None => {
                if let Err(why) = state.keys.give(action, &chords) {
                    state.refuse(why);
                }
                Asking::Nothing
            }
        };
    }

    /// The heading, the field, and the rows.
    pub fn show(&mut self, state: &mut State, ui: &mut Ui) {
        let all = ui.max_rect();
        let inner = Rect::from_min_max(all.min + vec2(theme::MARGIN + 6.0, 10.0), all.max - vec2(theme::MARGIN, 0.0));
        // Wider, the eye would lose the way from what a key does to the key.
        let inner = inner.with_max_x(inner.right().min(inner.left() + WIDEST));
        let mut inside = ui.new_child(UiBuilder::new().max_rect(inner).id_salt("keys"));
        let ui = &mut inside;
        let changed = state.keys.any_changed();
        let actions: &[_] = if changed { &[(wording::ALL_KEYS_BACK, wording::ALL_KEYS_BACK)] } else { &[] };
        if widgets::heading_with(ui, wording::KEYS, actions).is_some() {
            self.asking = Asking::Nothing;
            if let Err(why) = state.keys.reset() {
                state.refuse(why);
            }
        }
        if widgets::field(ui, wording::FIND_KEY, &mut self.text).changed() {
            self.asking = Asking::Nothing;
        }
        let rows = found(&self.text, state.keys.map());
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 3.0;
            ui.set_max_width(ui.available_width() - 14.0);
            if rows.is_empty() {
                widgets::quiet(ui, wording::NOTHING_FOUND);
            }
            for action in rows {
                self.row(state, ui, action);
            }
            ui.add_space(theme::STEP);
        });
    }

    fn row(&mut self, state: &mut State, ui: &mut Ui, action: Action) {
        let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::hover());
        let changed = state.keys.is_changed(action);
        let asked = match &self.asking {
            Asking::Nothing => false,
            Asking::Key(asked) | Asking::Clash(asked, ..) => *asked == action,
        };
        let ground = if asked { theme::ROW_CHOSEN } else { theme::CARD };
        ui.painter().rect_filled(rect, egui::CornerRadius::same(theme::CORNER), ground);
        let words = Rect::from_min_max(rect.min + vec2(10.0, 0.0), pos2(rect.right() - BUTTONS - KEYS, rect.bottom()));
        let keys = Rect::from_min_max(words.right_top(), pos2(rect.right() - BUTTONS, rect.bottom()));
        let both = words.union(keys);
        let builder = UiBuilder::new().max_rect(rect.shrink2(vec2(8.0, 0.0)).with_min_x(keys.right()));
        let layout = Layout::right_to_left(Align::Center);
        let mut buttons = ui.new_child(builder.layout(layout).id_salt(("key row", action.name())));
        buttons.spacing_mut().item_spacing.x = 6.0;
        match &self.asking {
            Asking::Key(_) if asked => {
                let said = self.refusal.clone().unwrap_or_else(|| wording::press_the_key(action.words()));
                said_in(ui, both, &said);
                if small(&mut buttons, wording::STOP, wording::STOP) {
                    self.asking = Asking::Nothing;
                }
                if small(&mut buttons, wording::NO_KEY, wording::NO_KEY) {
                    self.give(state, action, Vec::new());
                }
            }
            Asking::Clash(_, chords, chord, other) if asked => {
                said_in(ui, both, &wording::key_taken(&chord.to_string(), other.words()));
                let chords = chords.clone();
                let stop = small(&mut buttons, wording::STOP, wording::STOP);
                if small(&mut buttons, wording::GIVE_OVER, &wording::give_over_to(action.words())) {
                    if let Err(why) = state.keys.give(action, &chords) {
                        state.refuse(why);
                    }
                    self.asking = Asking::Nothing;
                } else if stop {
                    self.asking = Asking::Nothing;
                }
            }
            Asking::Nothing | Asking::Key(_) | Asking::Clash(..) => {
                let text: Vec<_> = state.keys.map().keys(action).iter().map(Chord::to_string).collect();
                let text = if text.is_empty() { wording::NO_KEY.to_owned() } else { text.join(", ") };
                let label = ui.interact(both, ui.scope_id().with(("words of", action.name())), Sense::hover());
                let named = format!("{}: {text}", action.words());
                label.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, &named));
                let font = theme::font(theme::SMALL, Weight::Regular);
                widgets::clipped(ui, words, action.words(), font.clone(), theme::TEXT);
                let colour = if changed { theme::BRIGHT } else { theme::QUIET };
                widgets::clipped(ui, keys, &text, font, colour);
                if small(&mut buttons, wording::CHANGE_KEY, &wording::change_key_of(action.words())) {
                    (self.asking, self.refusal) = (Asking::Key(action), None);
                }
                if changed && small(&mut buttons, wording::RESET_KEY, &wording::reset_key_of(action.words())) {
                    self.give(state, action, action.own_keys());
                }
            }
        }
    }
}

fn said_in(ui: &mut Ui, room: Rect, words: &str) {
    let response = ui.interact(room, ui.scope_id().with("said"), Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, words));
    widgets::clipped(ui, room, words, theme::font(theme::SMALL, Weight::Medium), theme::STRONG);
}

fn small(ui: &mut Ui, label: &str, name: &str) -> bool {
    widgets::pill_named(ui, label, name, Pill::Second).clicked()
}

/// The key that was pressed in this frame, with its modifiers; nothing else hears of any key.
fn pressed(ui: &Ui) -> Option<Chord> {
    let alone = |key: &Key| ["Shift", "Control", "Alt", "Super"].iter().any(|name| key.name().starts_with(name));
    ui.input_mut(|i| {
        let mut found = None;
        i.events.retain(|event| match event {
            Event::Key { key, pressed, repeat, modifiers, .. } => {
                if *pressed && !repeat && !alone(key) {
                    found.get_or_insert(Chord::pressed(*key, *modifiers));
                }
                false
            }
            Event::Text(_) => false,
            _ => true,
        });
        found
    })
}
