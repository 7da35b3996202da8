//! A whole board proposed from the photo: looked at over the photo and in a list before it is laid.

use super::super::parts::{self, Pill};
use super::super::photo::Seen;
use super::lie::Lie;
use super::marks;
use crate::command::Command;
use crate::session::fresh_names;
use crate::state::State;
use crate::theme::{self, Weight};
use crate::wording;
use egui::{CornerRadius, Rect, Role as Accessible, Sense, Ui, WidgetInfo, pos2, vec2};
use stint_model::board::Role;
use stint_model::colour::Colour;
use stint_model::photo::propose::MAX_FAMILIES;
use stint_model::photo::{Adjustments, propose};

/// Families that are asked for first.
const FAMILIES: usize = 6;
/// Radius of a dot, points.
const DOT: f32 = 6.0;
/// Height of a row of the list, points.
const ROW: f32 = 26.0;

/// One family of a proposal.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::panels) struct Found {
    /// The name it gets on the board.
    pub name: String,
    /// Its tones, darkest first: role, colour, and where it was found.
    pub tones: Vec<(Role, Colour, (u32, u32))>,
    /// Share of the photo, 0-1.
    pub share: f32,
}

/// What a proposal was made from.
#[derive(Clone, Copy, PartialEq, Debug)]
struct From {
    photo: i64,
    adjustments: Adjustments,
    families: usize,
    /// Families the board has already: new ones are numbered after them.
    there: usize,
}

/// What is remembered of it.
pub(in crate::panels) struct ProposalPart {
    /// Whether a proposal is looked at.
    pub open: bool,
    families: usize,
    found: Option<(From, Result<Vec<Found>, String>)>,
    /// The family whose row the pointer is on.
    lit: Option<usize>,
}

impl Default for ProposalPart {
    fn default() -> Self {
        ProposalPart { open: false, families: FAMILIES, found: None, lit: None }
    }
}

/// Proposes anew when something changed; not while a slider moves, because it takes a while.
pub(super) fn refresh(state: &mut State, ui: &Ui, seen: &Seen) {
    let part = &state.panels.proposal;
    let Some(session) = &state.session else { return };
    let there = session.document().board.families.len();
    let from = From { photo: seen.key, adjustments: seen.adjustments, families: part.families, there };
    let moving = state.panels.photo.preview.is_some() || ui.input(|i| i.pointer.any_down()) && part.found.is_some();
    if !part.open || moving || part.found.as_ref().is_some_and(|(of, _)| *of == from) {
        return;
    }
    let found = propose(&seen.photo.view(seen.adjustments), part.families, wording::PROPOSED);
    let found = found.map_err(|error| error.to_string()).map(|proposal| {
        let names = fresh_names(&session.document().board, proposal.places.len());
        let families = proposal.board.families.into_iter().zip(proposal.places).zip(names);
        let found = families.map(|((family, place), name)| Found {
            name,
            tones: family.swatches.iter().zip(place.spots).map(|(s, (role, at))| (role, s.colour, at.into())).collect(),
            share: place.share,
        });
        found.collect()
    });
    state.panels.proposal.found = Some((from, found));
}

impl ProposalPart {
    /// The families of the proposal that is looked at.
    pub fn families(&self) -> &[Found] {
        match &self.found {
            Some((_, Ok(found))) if self.open => found,
            _ => &[],
        }
    }

    /// Lets it go.
    pub fn let_go(&mut self) {
        self.open = false;
        self.found = None;
    }
}

/// Dots at the places of every family, with its name at the local.
pub(super) fn dots(part: &ProposalPart, ui: &Ui, lie: &Lie) {
    let painter = ui.painter_at(lie.clip.expand(DOT + 2.0).intersect(ui.clip_rect()));
    let places = |found: &Found| found.tones.iter().map(|(.., at)| lie.middle_of(*at)).collect::<Vec<_>>();
    let around = |at| Rect::from_center_size(at, vec2(DOT, DOT) * 2.4);
    let mut taken: Vec<Rect> = part.families().iter().flat_map(places).map(around).collect();
    for (i, found) in part.families().iter().enumerate() {
        for (_, colour, at) in &found.tones {
            marks::dot(&painter, lie.middle_of(*at), DOT, theme::paint(*colour), part.lit == Some(i));
        }
    }
    for found in part.families() {
        let local = found.tones.iter().find(|(role, ..)| *role == Role::Local);
        if let Some((.., at)) = local {
            marks::name(&ui.painter_at(lie.clip), lie.middle_of(*at), DOT + 6.0, &found.name, &mut taken);
        }
    }
}

/// The section in the place of the loupe.
pub(super) fn section(state: &mut State, ui: &mut Ui) {
    let away = (wording::LET_GO, wording::LET_PROPOSAL_GO);
    if parts::heading_with(ui, wording::PROPOSED, &[away]).is_some() {
        state.panels.proposal.let_go();
        return;
    }
    let part = &mut state.panels.proposal;
    let mut families = part.families as f32;
    let words = part.families.to_string();
    let range = 1.0..=MAX_FAMILIES as f32;
    parts::slider(ui, wording::FAMILIES_WANTED, &words, &mut families, range, false);
    if part.families != families.round() as usize {
        part.families = families.round() as usize;
        ui.ctx().request_repaint();
    }
    part.lit = None;
    match part.found.as_ref().map(|(of, found)| (of.families, found.clone())) {
        Some((wanted, Ok(found))) => {
            ui.scope(|ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                for (i, family) in found.iter().enumerate() {
                    if row(ui, i, family) {
                        state.panels.proposal.lit = Some(i);
                    }
                }
            });
            if found.len() < wanted {
                parts::quiet(ui, wording::fewer_found(found.len()));
            }
            if parts::pill_named(ui, wording::LAY_ALL, wording::LAY_PROPOSAL, Pill::First).clicked()
                && state.apply(&Command::ProposeBoard(wanted))
            {
                state.panels.proposal.let_go();
            }
            parts::quiet(ui, wording::AFTER_OTHERS);
        }
        Some((_, Err(why))) => {
            parts::text(ui, wording::sentence_start(&why));
        }
        None => {}
    }
}

/// A family: its three swatches, lightest first, name and share. Tells whether the pointer is on it.
fn row(ui: &mut Ui, place: usize, family: &Found) -> bool {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::hover());
    let share = wording::per_cent(family.share);
    let name = wording::proposed_family(&family.name, &share);
    response.widget_info(|| WidgetInfo::labeled(Accessible::Label, true, &name));
    let mut left = rect.left();
    for (role, colour, _) in family.tones.iter().rev() {
        let swatch = Rect::from_min_size(pos2(left, rect.top() + 3.0), vec2(26.0, ROW - 6.0));
        ui.painter().rect_filled(swatch, CornerRadius::same(3), theme::paint(*colour));
        let hover = ui.interact(swatch, ui.scope_id().with((place, role.word())), Sense::hover());
        let words = wording::proposed_swatch(&family.name, *role);
        hover.widget_info(|| WidgetInfo::labeled(Accessible::Label, true, &words));
        left += 28.0;
    }
    let colour = if response.contains_pointer() { theme::BRIGHT } else { theme::TEXT };
    let end = parts::line(ui, rect.right_center(), egui::Align2::RIGHT_CENTER, &share, theme::QUIET);
    let room = Rect::from_min_max(pos2(left + 8.0, rect.top()), pos2(end.left() - 8.0, rect.bottom()));
    parts::clipped(ui, room, &family.name, theme::font(theme::SMALL, Weight::Regular), colour);
    response.contains_pointer()
}
