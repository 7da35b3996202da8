//! A whole board proposed from the photo: looked at over the photo and in a list before it is laid.

use super::super::photo::DisplayedPhoto;
use super::super::widgets::{self, Pill};
use super::marks;
use super::photo_transform::PhotoTransform;
use crate::base::jobs::{Job, Outcome};
use crate::study::command::Command;
use crate::ui::panels::{Page, PanelState};
use crate::ui::state::State;
use crate::ui::theme;
use crate::ui::wording;
use egui::{CornerRadius, Rect, Role as Accessible, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};
use stint_model::board::{Board, Role};
use stint_model::colour::Colour;
use stint_model::photo::propose::MAX_FAMILIES;
use stint_model::photo::{Adjustments, Proposal, propose};

/// Families that are asked for first.
const FAMILIES: usize = 6;
/// Radius of a dot, points.
const DOT: f32 = 6.0;
/// Height of a row of the list, points.
const ROW: f32 = 30.0;

/// One family of a proposal.
#[derive(Clone, PartialEq, Debug)]
pub(in crate::ui::panels) struct ProposedFamily {
    /// The name it gets on the board unless the painter writes another.
    pub name: String,
    /// The name that the painter wrote.
    edited: Option<String>,
    /// Its tones, lightest first: role, colour, and where it was found.
    pub tones: Vec<(Role, Colour, (u32, u32))>,
    /// Share of the photo, 0-1.
    pub share: f32,
}

/// What a proposal was made from.
#[derive(Clone, Copy, PartialEq, Debug)]
struct ProposalKey {
    photo: i64,
    adjustments: Adjustments,
    families: usize,
    /// Families the board has already: new ones are numbered after them.
    there: usize,
}

/// What is remembered of it.
pub(in crate::ui::panels) struct ProposalState {
    /// Whether a proposal is looked at.
    pub open: bool,
    /// A key asked that it be laid.
    pub lay: bool,
    families: usize,
    found: Option<(ProposalKey, Result<Vec<ProposedFamily>, String>)>,
    /// The one that is being made.
    job: Option<(ProposalKey, Job<Result<Proposal, String>>)>,
    /// The family whose row the pointer is on.
    lit: Option<usize>,
}

impl Default for ProposalState {
    fn default() -> Self {
        ProposalState { open: false, lay: false, families: FAMILIES, found: None, job: None, lit: None }
    }
}

/// Proposes anew when something changed, beside the window, because it takes a while; not while a slider moves.
pub(super) fn refresh(state: &mut State, panels: &mut PanelState, ui: &Ui, seen: &DisplayedPhoto) {
    let Some(session) = &state.session else { return };
    let board = &session.document().board;
    let proposal = &mut panels.proposal;
    if !proposal.open {
        return;
    }
    if let Some((from, job)) = &proposal.job {
        let result = match job.poll() {
            Outcome::Running => return,
            Outcome::Done(found) => found.map(|proposal| families(board, proposal)),
            Outcome::Died => Err(wording::NOT_PROPOSED.to_owned()),
        };
        (proposal.found, proposal.job) = (Some((*from, result)), None);
    }
    let there = board.families.len();
    let from = ProposalKey { photo: seen.key, adjustments: seen.adjustments, families: proposal.families, there };
    let moving = panels.photo.preview.is_some() || ui.input(|i| i.pointer.any_down());
    if moving || proposal.found.as_ref().is_some_and(|(of, _)| *of == from) {
        return;
    }
    let (photo, ctx) = (seen.photo.clone(), ui.ctx().clone());
    let work = move |_: &_| {
        propose(&photo.view(from.adjustments), from.families, wording::PROPOSED).map_err(|error| error.to_string())
    };
    match Job::start("propose", move || ctx.request_repaint(), work) {
        Ok(job) => proposal.job = Some((from, job)),
        Err(error) => proposal.found = Some((from, Err(error.to_string()))),
    }
}

/// The families of a proposal under the names they get on a board.
fn families(board: &Board, proposal: Proposal) -> Vec<ProposedFamily> {
    let names = board.free_family_names(proposal.board.families.iter().map(|f| f.name.as_str()));
    let families = proposal.board.families.into_iter().zip(proposal.places).zip(names);
    let found = families.map(|((family, place), name)| ProposedFamily {
        name,
        edited: None,
        tones: family.swatches.iter().zip(place.spots).map(|(s, (role, at))| (role, s.colour, at.into())).collect(),
        share: place.share,
    });
    found.collect()
}

impl ProposalState {
    /// The families of the proposal that is looked at.
    pub fn families(&self) -> &[ProposedFamily] {
        match &self.found {
            Some((_, Ok(found))) if self.open => found,
            _ => &[],
        }
    }

    /// Whether the families that were asked for are not found yet.
    pub fn waits(&self) -> bool {
        self.open && self.found.as_ref().is_none_or(|(of, _)| of.families != self.families)
    }

    /// Closes the proposal without laying it; a job that is making one is cancelled.
    pub fn close(&mut self) {
        (self.open, self.found, self.job) = (false, None, None);
    }
}

/// Dots at the places of every family, with its name at the local.
pub(super) fn dots(proposal: &ProposalState, ui: &Ui, transform: &PhotoTransform) {
    let painter = ui.painter_at(transform.clip.expand(DOT + 2.0).intersect(ui.clip_rect()));
    let places =
        |found: &ProposedFamily| found.tones.iter().map(|(.., at)| transform.middle_of(*at)).collect::<Vec<_>>();
    let around = |at| Rect::from_center_size(at, vec2(DOT, DOT) * 2.4);
    let mut taken: Vec<Rect> = proposal.families().iter().flat_map(places).map(around).collect();
    if let Some(found) = proposal.lit.and_then(|lit| proposal.families().get(lit)) {
        marks::thread(&painter, &places(found));
    }
    for (i, found) in proposal.families().iter().enumerate() {
        for (_, colour, at) in &found.tones {
            marks::dot(&painter, transform.middle_of(*at), DOT, theme::paint(*colour), proposal.lit == Some(i));
        }
    }
    let names = ui.painter_at(transform.clip);
    for found in proposal.families() {
        // At the local, or where there is room.
        let mut tones: Vec<_> = found.tones.iter().collect();
        tones.sort_by_key(|(role, ..)| *role != Role::Local);
        tones
            .iter()
            .any(|(.., at)| marks::name(&names, transform.middle_of(*at), DOT + 6.0, found.called(), &mut taken));
    }
}

impl ProposedFamily {
    /// The name it gets on the board.
    pub fn called(&self) -> &str {
        self.edited.as_deref().map(str::trim).filter(|name| !name.is_empty()).unwrap_or(&self.name)
    }
}

/// Puts the proposed families on the board, under the names that the painter wrote, and goes to the canvas.
pub(in crate::ui::panels) fn lay(state: &mut State, panels: &mut PanelState) {
    let Some((of, Ok(found))) = panels.proposal.found.clone() else { return };
    if !state.apply(&Command::ProposeBoard(of.families)) {
        return;
    }
    for family in found.iter().filter(|f| f.called() != f.name) {
        state.apply(&Command::RenameFamily { family: family.name.clone(), name: family.called().to_owned() });
    }
    panels.proposal.close();
    panels.page = Page::Canvas;
}

/// The two ways on from a photo that came in, on the large photo: its lower edge.
pub(in crate::ui::panels) fn next_actions(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let (mut lays, mut by_hand) = (false, false);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 10.0;
        let ready = !panels.proposal.waits() && !panels.proposal.families().is_empty();
        lays = std::mem::take(&mut panels.proposal.lay) && ready;
        ui.add_enabled_ui(ready, |ui| lays |= widgets::large_pill(ui, wording::LAY_THIS, ready).clicked());
        by_hand = widgets::large_pill(ui, wording::PICK_BY_HAND, false).clicked();
        if panels.proposal.waits() {
            widgets::quiet(ui, wording::LOOKING);
        }
    });
    if lays {
        lay(state, panels);
    } else if by_hand {
        panels.proposal.close();
    }
}

/// The section in the place of the loupe.
#[expect(clippy::cast_possible_truncation, reason = "the slider is held to a few families")]
pub(super) fn section(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let away = (wording::LET_GO, wording::LET_PROPOSAL_GO);
    if widgets::heading_with(ui, wording::PROPOSED, &[away]).is_some() {
        panels.proposal.close();
        return;
    }
    let proposal = &mut panels.proposal;
    let mut families = proposal.families as f32;
    let words = proposal.families.to_string();
    let range = 1.0..=MAX_FAMILIES as f32;
    let named = (wording::FAMILIES_WANTED, words.as_str());
    widgets::slider_back(ui, named, &mut families, range, false, Some(FAMILIES as f32));
    if proposal.families != families.round() as usize {
        proposal.families = families.round() as usize;
        ui.ctx().request_repaint();
    }
    proposal.lit = None;
    let waits = proposal.waits();
    let (mut lays, mut lit) = (false, None);
    match proposal.found.as_mut().map(|(of, found)| (of.families, found)) {
        Some((wanted, Ok(found))) => {
            ui.horizontal(|ui| {
                // Above the list, which may be long.
                ui.add_enabled_ui(!waits, |ui| {
                    lays = widgets::pill_named(ui, wording::LAY_ALL, wording::LAY_PROPOSAL, Pill::First).clicked();
                });
                if waits {
                    widgets::quiet(ui, wording::LOOKING);
                } else if found.len() < wanted {
                    widgets::quiet(ui, wording::fewer_found(found.len()));
                }
            });
            ui.scope(|ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                for (i, family) in found.iter_mut().enumerate() {
                    if row(ui, i, family) {
                        lit = Some(i);
                    }
                }
            });
            widgets::quiet(ui, wording::AFTER_OTHERS);
        }
        Some((_, Err(why))) => {
            widgets::text(ui, wording::sentence_start(why));
        }
        None => {
            widgets::quiet(ui, wording::LOOKING);
        }
    }
    panels.proposal.lit = lit;
    if lays {
        lay(state, panels);
    }
}

/// A family: its three swatches, lightest first, the name it gets, and its share. Tells whether the pointer is on it.
fn row(ui: &mut Ui, place: usize, family: &mut ProposedFamily) -> bool {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::hover());
    let share = wording::per_cent(family.share);
    let name = wording::proposed_family(family.called(), &share);
    response.widget_info(|| WidgetInfo::labeled(Accessible::Label, true, &name));
    let mut left = rect.left();
    for (role, colour, _) in &family.tones {
        let swatch = Rect::from_min_size(pos2(left, rect.top() + 3.0), vec2(26.0, ROW - 6.0));
        let corner = CornerRadius::same(3);
        ui.painter().rect_filled(swatch, corner, theme::paint(*colour));
        if theme::is_faint_on(theme::PANEL, *colour) {
            ui.painter().rect_stroke(swatch, corner, Stroke::new(1.0, theme::LINE), StrokeKind::Inside);
        }
        let hover = ui.interact(swatch, ui.scope_id().with((place, role.word())), Sense::hover());
        let words = wording::proposed_swatch(family.called(), *role);
        hover.widget_info(|| WidgetInfo::labeled(Accessible::Label, true, &words));
        left += 28.0;
    }
    widgets::line(ui, rect.right_center(), egui::Align2::RIGHT_CENTER, &share, theme::QUIET);
    // As wide in every row, however long its share is.
    let end = rect.right() - widgets::text_width(ui, &wording::per_cent(1.0)) - 8.0;
    let room = Rect::from_min_max(pos2(left + 8.0, rect.top()), pos2(end, rect.bottom()));
    let mut text = family.edited.clone().unwrap_or_else(|| family.name.clone());
    let mut inside =
        ui.new_child(egui::UiBuilder::new().max_rect(room.shrink2(vec2(0.0, 2.0))).id_salt(("name", place)));
    let field = widgets::row_field(&mut inside, &wording::name_of_proposed(place + 1), &mut text);
    if field.changed() {
        family.edited = Some(text);
    }
    response.contains_pointer() || field.has_focus()
}
