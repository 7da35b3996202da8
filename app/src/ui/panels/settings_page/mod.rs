//! Settings and keys, over the whole window.
//!
//! | place | file |
//! | --- | --- |
//! | left: how the window looks, and where all this is kept | here |
//! | what is in hand and how it is held | `in_hand` |
//! | choosing files, the order of studies, sentences that were sent away | `choosing` |
//! | right: every action with its keys | `key_list` |

mod choosing;
mod in_hand;
mod key_list;

use super::measures::Measures;
use super::widgets::{self, Pill};
use super::{Page, Side, cut, place, reference};
use crate::base::folders;
use crate::files::settings::{FIRST_STEPS, LAST_FOLDER, NEXT_TIME_AWAY, OWN_FILE_BROWSER, STEADYING};
use crate::ui::display::DisplayColours;
use crate::ui::looks::Surround;
use crate::ui::panels::PanelState;
use crate::ui::preferences::{Preferences, SIZES_PERCENT};
use crate::ui::state::State;
use crate::ui::tool_kind::ToolKind;
use crate::ui::{remembered, theme, wording};
use egui::{Key, Ui};

/// What the page remembers.
#[derive(Default)]
pub(super) struct SettingsState {
    keys: key_list::KeyList,
    /// Whether a control had the keyboard in the last frame, so that Escape leaves it first.
    busy: bool,
}

impl SettingsState {
    /// Whether the next key is taken down.
    pub fn listens(&self) -> bool {
        self.keys.listens()
    }
}

/// The page.
pub(super) fn page(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let mut part = std::mem::take(&mut panels.settings);
    let alone = !panels.sheet_is_open();
    if alone {
        part.keys.take_key(state, ui);
    }
    let mut leave = alone && !part.busy && ui.input(|i| i.key_pressed(Key::Escape));
    let mut rest = ui.max_rect();
    let left = cut(&mut rest, Side::Left, Measures::of(ui.ctx()).left_width());
    place(ui, "settings column", left, theme::PANEL, |ui| {
        super::column(ui, |ui| leave |= column(state, panels, ui));
    });
    place(ui, "settings keys", rest, theme::BAR, |ui| part.keys.show(state, ui));
    part.busy = part.keys.listens() || ui.memory(|m| m.focused()).is_some();
    panels.settings = part;
    if leave {
        panels.page = Page::Canvas;
        ui.ctx().request_repaint();
    }
}

/// What can be set; tells whether the page was left.
fn column(state: &mut State, panels: &mut PanelState, ui: &mut Ui) -> bool {
    let leave = widgets::heading_with(ui, wording::SETTINGS, &[(wording::BACK, wording::BACK)]).is_some();
    if state.settings.is_damaged() {
        damaged(state, ui);
    }
    let before = (state.preferences, state.surround);

    title(ui, wording::INTERFACE_SIZE);
    let sizes = SIZES_PERCENT.map(|percent| (percent, wording::percent(percent)));
    let sizes: Vec<_> = sizes.iter().map(|(percent, words)| (*percent, &words[..], "")).collect();
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        if let Some(size) = widgets::narrow_choices(ui, state.preferences.size_percent, &sizes) {
            state.preferences.size_percent = size;
        }
    });
    // Its place is kept whatever it says.
    let held = state.size_held_percent.filter(|held| *held < state.preferences.size_percent);
    widgets::quiet(ui, held.map_or_else(|| wording::SIZE_LINE.to_owned(), wording::size_held));

    title(ui, wording::PANELS);
    for (left_handed, words) in wording::HANDS {
        if widgets::row(ui, words, "", words, state.preferences.left_handed == left_handed).clicked() {
            state.preferences.left_handed = left_handed;
        }
    }
    ui.horizontal(|ui| {
        for (away, words) in
            [(&mut panels.reference_away, wording::REFERENCE_SHOWS), (&mut panels.readout_away, wording::READOUT_SHOWS)]
        {
            if widgets::toggle(ui, words, !*away).clicked() {
                *away = !*away;
            }
        }
    });

    title(ui, wording::SURROUND_TITLE);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        let surrounds: Vec<_> =
            Surround::ALL.into_iter().zip(wording::SURROUND_CHOICES).map(|(s, words)| (s, words, words)).collect();
        if let Some(surround) = widgets::choices(ui, Some(state.surround), &surrounds) {
            state.surround = surround;
        }
    });

    title(ui, wording::DISPLAY_TITLE);
    let converts = state.preferences.display_colours;
    let can = matches!(state.display, DisplayColours::Told(_));
    let toggle = |ui: &mut Ui| widgets::toggle(ui, wording::CONVERT_FOR_DISPLAY, converts).clicked();
    if ui.add_enabled_ui(can, toggle).inner {
        state.preferences.display_colours = !converts;
    }
    widgets::quiet(ui, wording::display_line(&state.display, converts));

    title(ui, wording::FIRST_STUDY);
    let steps = state.settings.get(&FIRST_STEPS) != Some(false);
    if widgets::toggle(ui, wording::SAY_NEXT_STEP, steps).clicked() {
        state.keep_setting(&FIRST_STEPS, !steps, true);
    }

    if before != (state.preferences, state.surround) {
        remembered::remember(state);
        ui.ctx().request_repaint();
    }
    in_hand::section(state, panels, ui);
    choosing::section(state, ui);
    kept(state, panels, ui);
    leave
}

fn title(ui: &mut Ui, words: &str) {
    widgets::gap(ui, 2.0);
    widgets::heading(ui, words);
}

/// The file of settings has a mistake: how it can be put aside.
fn damaged(state: &mut State, ui: &mut Ui) {
    widgets::text(ui, wording::SETTINGS_DAMAGED);
    if widgets::pill(ui, wording::BEGIN_ANEW, Pill::Second).clicked() {
        match state.settings.begin_anew() {
            Ok(aside) => {
                remembered::remember(state);
                state.notices.extend(aside.map(|aside| wording::put_aside(&aside)));
            }
            Err(error) => state.notices.push(wording::not_put_aside(&error)),
        }
    }
}

/// Where all this is kept, and the way back to how it came.
fn kept(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    title(ui, wording::KEPT_IN);
    if let Some(folder) = folders::config() {
        widgets::quiet(ui, folder.display().to_string());
    }
    if widgets::pill(ui, wording::USUAL_SETTINGS, Pill::Second).clicked() {
        usual(state, panels);
        ui.ctx().request_repaint();
    }
}

/// Sets everything on this side of the page back to how it came.
fn usual(state: &mut State, panels: &mut PanelState) {
    (state.preferences, state.surround) = (Preferences::default(), Surround::default());
    (state.tool, panels.reference_away, panels.readout_away) = (ToolKind::default(), false, false);
    panels.loupe.set_aperture(reference::loupe_state::APERTURE_PX);
    remembered::remember(state);
    panels.remember(state);
    let forgotten = [
        state.settings.unset(&FIRST_STEPS),
        state.settings.unset(&STEADYING),
        state.settings.unset(&OWN_FILE_BROWSER),
        state.settings.unset(&LAST_FOLDER),
        state.settings.unset(&NEXT_TIME_AWAY),
    ];
    state.notices.extend(forgotten.into_iter().filter_map(Result::err));
    super::start::set_order_of_studies(state, wording::STUDY_ORDERS[0].0);
}
