//! What is looked for among the kept boards, and what was discarded.

use super::compare::{Compare, Source};
use super::{LibraryAction, LibraryState};
use crate::files::library::{Order, Query};
use crate::study::session::Loaded;
use crate::ui::panels::widgets::{self, Pill};
use crate::ui::panels::{dab, mixture, well};
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{Context, Sense, Ui, vec2};
use std::path::{Path, PathBuf};
use stint_model::board::LightOfDay;
use stint_model::colour::Colour;
use stint_model::ids::SwatchId;

/// The fields as they are written.
#[derive(Default)]
pub(super) struct Filters {
    words: String,
    light: Option<LightOfDay>,
    near: String,
    compare: Compare,
    order: Order,
}

impl Filters {
    /// What they ask for. A colour that is half written asks for nothing yet.
    pub fn query(&self) -> Query {
        Query {
            words: self.words.clone(),
            light: self.light,
            near: self.colour(),
            like: self.compare.palette().cloned(),
            order: self.order,
        }
    }

    /// Takes away what is looked for; the order stays.
    pub fn look_for_nothing(&mut self) {
        *self = Filters { order: self.order, ..Filters::default() };
    }

    fn colour(&self) -> Option<Colour> {
        Colour::from_hex(self.near.trim()).ok()
    }

    /// Whether cards show how near they are.
    pub fn ranks(&self) -> bool {
        self.colour().is_some() || self.compare.palette().is_some()
    }

    /// Begins to compare the boards with a photo.
    pub fn compare_with(&mut self, ctx: &Context, path: PathBuf) {
        let name = file_name(&path);
        self.compare.begin(ctx, Source::File(path), name);
    }

    /// Takes what was read meanwhile.
    pub fn poll(&mut self, _ctx: &Context, notices: &mut Vec<String>) {
        self.compare.poll();
        if let Compare::Failed(why) = &mut self.compare {
            notices.push(std::mem::take(why));
            self.compare = Compare::Nothing;
        }
    }
}

/// The left column: what boards are looked for, and the discarded ones.
pub(super) fn panel(library: &mut LibraryState, state: &mut State, ui: &mut Ui, action: &mut Option<LibraryAction>) {
    if widgets::heading_with(ui, wording::LIBRARY_TITLE, &[(wording::BACK, wording::BACK)]).is_some() {
        *action = Some(LibraryAction::Leave);
    }
    widgets::quiet(ui, wording::boards_of(library.hits.len(), library.entries().len()));
    // Among none nothing can be looked for.
    if !library.entries().is_empty() {
        looked_for(library, state, ui, action);
    }
    if state.session.is_some() {
        widgets::gap(ui, 2.0);
        if widgets::pill(ui, wording::KEEP_THIS_BOARD, Pill::Second).clicked() {
            *action = Some(LibraryAction::Keep);
        }
    }
    if library.discarded.is_empty() {
        return;
    }
    widgets::gap(ui, 3.0);
    widgets::heading(ui, wording::DISCARDED);
    for discarded in &library.discarded {
        ui.horizontal(|ui| {
            let width = ui.available_width() - widgets::text_button_width(ui, wording::RESTORE) - 16.0;
            widgets::cell(ui, &discarded.name, width, theme::QUIET);
            let name = wording::restore_named(&discarded.name);
            if widgets::text_button(ui, wording::RESTORE, &name).clicked() {
                *action = Some(LibraryAction::Restore(discarded.path.clone()));
            }
        });
    }
}

/// The fields of what is looked for, and the order.
fn looked_for(library: &mut LibraryState, state: &mut State, ui: &mut Ui, action: &mut Option<LibraryAction>) {
    let filters = &mut library.filters;
    widgets::field(ui, wording::LIBRARY_WORDS, &mut filters.words);
    widgets::quiet(ui, wording::LIGHT_OF_DAY);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        let lights = [None, Some(LightOfDay::Warm), Some(LightOfDay::Cool), Some(LightOfDay::Neutral)].map(|light| {
            let words = light.map_or(wording::ANY_LIGHT, wording::light_title);
            (light, words, words)
        });
        if let Some(light) = widgets::choices(ui, Some(filters.light), &lights) {
            filters.light = light;
        }
    });
    near(filters, state, ui);
    like(filters, state, ui, action);
    widgets::quiet(ui, wording::ORDER);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        let [newest, oldest, name] = wording::ORDERS;
        let orders = [(Order::Newest, newest), (Order::Oldest, oldest), (Order::Name, name)];
        if let Some(order) =
            widgets::choices(ui, Some(filters.order), &orders.map(|(order, words)| (order, words, words)))
        {
            filters.order = order;
        }
    });
    if filters.ranks() {
        widgets::quiet(ui, wording::FIGURES_HINT);
    }
}

/// The colour to be near to, with a dab of it.
fn near(filters: &mut Filters, state: &State, ui: &mut Ui) {
    let loaded = loaded_colour(state);
    widgets::quiet(ui, wording::NEAR_COLOUR);
    ui.horizontal(|ui| {
        let room = widgets::pill_width(ui, wording::LIKE_LOADED) + 36.0 + 2.0 * ui.spacing().item_spacing.x;
        let width = ui.available_width() - if loaded.is_some() { room } else { 36.0 + ui.spacing().item_spacing.x };
        widgets::bare_field(ui, wording::NEAR_COLOUR, &mut filters.near, width - 16.0);
        let (rect, _) = ui.allocate_exact_size(vec2(36.0, widgets::PILL), Sense::hover());
        if let Some(colour) = filters.colour() {
            dab::paint(ui.painter(), SwatchId(0), rect.center(), vec2(15.0, 11.0), theme::paint(colour), None);
        }
        if let Some(colour) = loaded
            && widgets::pill(ui, wording::LIKE_LOADED, Pill::Second).clicked()
        {
            filters.near = colour.hex();
        }
    });
    if let Err(error) = Colour::from_hex(filters.near.trim())
        && !filters.near.trim().is_empty()
    {
        widgets::quiet(ui, error.to_string());
    }
}

fn loaded_colour(state: &State) -> Option<Colour> {
    let session = state.session.as_ref()?;
    match session.loaded()? {
        Loaded::Swatch(id) => session.document().board.swatch(id).map(|s| s.colour),
        Loaded::Free(colour) => Some(colour),
        Loaded::Mixture => mixture::colour_of(session.document(), session.mixture()?),
        Loaded::Well => well::colour_of(session.document()),
    }
}

/// The photo to be like.
fn like(filters: &mut Filters, state: &mut State, ui: &mut Ui, action: &mut Option<LibraryAction>) {
    widgets::quiet(ui, wording::LIKE_PHOTO);
    if widgets::pill_named(ui, wording::CHOOSE_A_PHOTO, wording::LIKE_PHOTO_NAME, Pill::Second).clicked() {
        *action = Some(LibraryAction::ChoosePhoto);
    }
    let reference = state.session.as_ref().and_then(|s| s.document().reference.as_ref()).map(|r| r.name.clone());
    if let Some(name) = reference
        && widgets::pill(ui, wording::LIKE_REFERENCE, Pill::Second).clicked()
        && let Some(session) = &mut state.session
    {
        match session.reference() {
            Ok((photo, _)) => filters.compare.begin(ui.ctx(), Source::Open(photo), name),
            Err(error) => state.notices.push(error.to_string()),
        }
    }
    let mut forget = false;
    match &filters.compare {
        Compare::Reading(..) => {
            widgets::quiet(ui, wording::COMPARING);
        }
        Compare::With(name, _) => {
            ui.horizontal(|ui| {
                let width = ui.available_width() - widgets::text_button_width(ui, wording::FORGET_PHOTO) - 16.0;
                widgets::cell(ui, &wording::compared_with(name), width, theme::TEXT);
                forget = widgets::text_button(ui, wording::FORGET_PHOTO, wording::FORGET_PHOTO_NAME).clicked();
            });
        }
        Compare::Nothing | Compare::Failed(_) => {}
    }
    if forget {
        filters.compare = Compare::Nothing;
    }
}

fn file_name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}
