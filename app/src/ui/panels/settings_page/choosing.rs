//! How files are chosen, in which order studies stand, and what was sent away.

use super::in_hand::wrapped;
use super::title;
use crate::files::settings::{LAST_FOLDER, NEXT_TIME_AWAY, OWN_FILE_BROWSER};
use crate::ui::panels::start;
use crate::ui::panels::widgets;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{Rect, Sense, Ui, vec2};

/// The section.
pub(super) fn section(state: &mut State, ui: &mut Ui) {
    title(ui, wording::CHOOSING_FILES);
    let own = state.settings.get(&OWN_FILE_BROWSER).unwrap_or(false);
    if widgets::toggle(ui, wording::CHOOSE_IN_WINDOW, own).clicked() {
        state.keep_setting(&OWN_FILE_BROWSER, !own, false);
    }
    let last = state.settings.get(&LAST_FOLDER);
    widgets::quiet(ui, wording::LAST_FOLDER);
    let words = last.as_ref().map_or_else(|| wording::NO_LAST_FOLDER.to_owned(), |folder| folder.display().to_string());
    ui.horizontal(|ui| {
        let forget = widgets::text_button_width(ui, wording::FORGET_PLACE);
        let room = vec2((ui.available_width() - forget - theme::STEP).max(40.0), 20.0);
        let (rect, label) = ui.allocate_exact_size(room, Sense::hover());
        label.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, &words));
        path_end(ui, rect, &words);
        label.on_hover_text(&words);
        let forgets = ui.add_enabled_ui(last.is_some(), |ui| {
            widgets::text_button(ui, wording::FORGET_PLACE, wording::FORGET_LAST_FOLDER).clicked()
        });
        if forgets.inner {
            state.notices.extend(state.settings.unset(&LAST_FOLDER).err());
        }
    });

    title(ui, wording::ORDER_OF_STUDIES);
    let now = start::order_of_studies(state);
    wrapped(ui, |ui| {
        for (order, words) in wording::STUDY_ORDERS {
            if widgets::text_choice(ui, words, &wording::study_order(words), order == now).clicked() {
                start::set_order_of_studies(state, order);
            }
        }
    });

    title(ui, wording::FOR_NEXT_STUDY);
    let away = state.settings.get(&NEXT_TIME_AWAY).unwrap_or_default().len();
    ui.horizontal(|ui| {
        widgets::text(ui, wording::sentences_away(away));
        let again = ui.add_enabled_ui(away > 0, |ui| {
            widgets::text_button(ui, wording::SAY_AGAIN, wording::SAY_AGAIN_NAME).clicked()
        });
        if again.inner {
            state.notices.extend(state.settings.unset(&NEXT_TIME_AWAY).err());
        }
    });
}

/// The end of a path, which tells more than its beginning.
fn path_end(ui: &Ui, room: Rect, path: &str) {
    let font = || theme::font(theme::SMALL, theme::Weight::Regular);
    let wide = |words: &str| ui.painter().layout_no_wrap(words.to_owned(), font(), theme::TEXT).size().x;
    let mut words = path.to_owned();
    let mut rest = path;
    while wide(&words) > room.width()
        && let Some(at) = rest.char_indices().nth(1).map(|(at, _)| at)
    {
        rest = &rest[at..];
        words = format!("…{rest}");
    }
    widgets::clipped(ui, room, &words, font(), theme::TEXT);
}
