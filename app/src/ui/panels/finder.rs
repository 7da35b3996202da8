//! The sheet that finds everything the keys can do by its name, and does it.

use super::Sheet;
use super::widgets;
use crate::ui::keys::{Action, KeyPress, found};
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::wording;
use egui::{Key, Modifiers, ScrollArea, Ui};

/// Width of the sheet, points.
const WIDTH: f32 = 460.0;
/// Height of the list, points: it stays, however little is found, so that nothing jumps.
const LIST: f32 = 330.0;

/// What is looked for.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct FinderForm {
    text: String,
    /// The place in the list that Enter takes.
    chosen: usize,
    /// Whether the field had the keyboard once.
    begun: bool,
}

/// The sheet; gives itself back while it stays open.
pub(super) fn sheet(state: &mut State, ui: &mut Ui, mut form: FinderForm) -> Option<Sheet> {
    let mut taken = None;
    let closed = widgets::sheet(ui, wording::FIND_ANYTHING, WIDTH, |ui| {
        let step = |ui: &Ui, key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
        let moved = i8::from(step(ui, Key::ArrowDown)) - i8::from(step(ui, Key::ArrowUp));
        let field = widgets::named_field(ui, ui.scope_id().with("finder"), wording::FIND_BY_NAME, &mut form.text);
        if !std::mem::replace(&mut form.begun, true) {
            field.request_focus();
        }
        let studying = state.session.is_some();
        let mut actions = found(&form.text, state.keys.map());
        actions.retain(|action| *action != Action::FindAction && (studying || !action.needs_study()));
        if field.changed() {
            form.chosen = 0;
        }
        form.chosen = match moved {
            1.. => form.chosen + 1,
            0 => form.chosen,
            _ => form.chosen.saturating_sub(1),
        }
        .min(actions.len().saturating_sub(1));
        if widgets::entered(ui, &field) {
            taken = actions.get(form.chosen).copied();
            field.request_focus();
        }
        widgets::gap(ui, 1.5);
        ScrollArea::vertical().max_height(LIST).min_scrolled_height(LIST).auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 3.0;
            ui.set_width(WIDTH - 12.0);
            if actions.is_empty() {
                widgets::quiet(ui, wording::NOTHING_FOUND);
            }
            for (i, action) in actions.iter().enumerate() {
                let right = key_words(state, *action);
                let row = widgets::row(ui, action.words(), &right, action.words(), i == form.chosen);
                if moved != 0 && i == form.chosen {
                    row.scroll_to_me(None);
                }
                if row.clicked() {
                    taken = Some(*action);
                }
            }
        });
    });
    match taken {
        Some(action) if matches!(action.press(), KeyPress::Holds(_)) => {
            state.refuse(wording::hold_the_key(action.words(), &key_words(state, action)));
        }
        Some(action) => {
            state.requests.push(Request::Act(action));
            return None;
        }
        None => {}
    }
    (!closed).then_some(Sheet::Find(form))
}

/// The first key of an action.
fn key_words(state: &State, action: Action) -> String {
    state.keys.map().keys(action).first().map(ToString::to_string).unwrap_or_default()
}
