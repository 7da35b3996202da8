//! The sheet of one swatch, new or changed, and the one that asks what becomes of the paint of a deleted swatch.

use super::colour_form::ColourForm;
use super::widgets::{self, Pill};
use super::{Sheet, dab};
use crate::study::command::{Command, PaintFate, SwatchRef};
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Rect, Ui, Vec2, pos2, vec2};
use stint_model::board::{Board, Family, Role, Swatch};
use stint_model::colour::Colour;
use stint_model::colour::words::plain_name;
use stint_model::ids::SwatchId;

/// Half the width and height of a dab beside a name, points, and the room that it has.
const DAB: Vec2 = vec2(12.0, 8.5);
const DAB_ROOM: f32 = 44.0;

/// A swatch as it is being written.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct SwatchForm {
    /// Which swatch; `None` for a new one.
    id: Option<SwatchId>,
    family: String,
    role: Role,
    name: String,
    colour: ColourForm,
}

impl SwatchForm {
    /// For a new swatch of a family.
    pub fn new(family: &str) -> Self {
        // A mid grey with a lean, from which to start.
        let colour = ColourForm::new(Colour::new(0.18, 0.17, 0.16));
        SwatchForm { id: None, family: family.to_owned(), role: Role::Local, name: String::new(), colour }
    }

    /// For a swatch of the board.
    pub fn of(board: &Board, id: SwatchId) -> Option<Self> {
        let (family, swatch) = board.swatches().find(|(_, s)| s.id == id)?;
        Some(SwatchForm {
            id: Some(id),
            family: family.name.clone(),
            role: swatch.role,
            name: swatch.name.clone(),
            colour: ColourForm::new(swatch.colour),
        })
    }

    /// The command that brings the board from `before` to what is written here; none when that changes nothing.
    fn command(&self, before: Option<&Swatch>) -> Option<Command> {
        let (role, name, colour) = (self.role, self.name.clone(), self.colour.hex().to_owned());
        let Some(before) = before else {
            return Some(Command::AddSwatch { family: self.family.clone(), role, name, colour, by_role: true });
        };
        let same = before.colour.hex() == colour && before.name == name.trim() && before.role == role;
        let swatch = SwatchRef::Id(before.id);
        (!same).then_some(Command::ChangeSwatch { swatch, role, name, colour })
    }
}

/// A swatch as people call it: its own name, or family and role.
pub(super) fn called(board: &Board, id: SwatchId) -> String {
    let found = board.swatches().find(|(_, s)| s.id == id);
    found.map_or_else(String::new, |(family, swatch)| family.swatch_name(swatch))
}

/// The four roles as pills.
pub(super) fn roles(ui: &mut Ui, role: &mut Role) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let all = [Role::Light, Role::Local, Role::Shadow, Role::Accent].map(|r| {
            let title = wording::role_title(r);
            (r, title, title)
        });
        if let Some(chosen) = widgets::choices(ui, Some(*role), &all) {
            *role = chosen;
        }
    });
}

/// The sheet; gives itself back while it stays open.
pub(super) fn edit(state: &mut State, ui: &mut Ui, mut form: SwatchForm) -> Option<Sheet> {
    let board = state.session.as_ref()?.document().board.clone();
    let before = form.id.and_then(|id| board.swatch(id));
    if form.id.is_some() && before.is_none() {
        return None;
    }
    let title = if form.id.is_some() { wording::EDIT_SWATCH } else { wording::ADD_SWATCH };
    let (mut done, mut delete) = (false, false);
    let closed = widgets::sheet(ui, title, 340.0, |ui| {
        let mut entered = false;
        if form.id.is_none() {
            let field = widgets::field(ui, wording::FAMILY, &mut form.family);
            entered |= widgets::entered(ui, &field);
        } else {
            if let Some(home) = form.id.and_then(|id| board.family_of(id)) {
                form.family.clone_from(&home.name);
            }
            widgets::quiet(ui, wording::family_and_role(&form.family, form.role));
            if let Some(before) = before {
                moves(state, ui, &board, before);
            }
        }
        roles(ui, &mut form.role);
        let field = widgets::field(ui, wording::NAME_OR_NOTHING, &mut form.name);
        entered |= widgets::entered(ui, &field);
        entered |= form.colour.show(ui, form.id.unwrap_or(SwatchId(0)));
        widgets::footer(ui, |ui| {
            if widgets::pill(ui, wording::KEEP, Pill::First).clicked() || entered {
                done = form.command(before).is_none_or(|command| state.apply(&command));
            }
            done |= widgets::pill(ui, wording::CANCEL, Pill::Plain).clicked();
            if form.id.is_some() {
                delete = widgets::pill(ui, wording::DELETE, Pill::Plain).clicked();
            }
        });
    });
    if delete && let Some(id) = form.id {
        return Some(Sheet::Delete(DeleteForm { id, heir: None }));
    }
    (!done && !closed).then_some(Sheet::Swatch(form))
}

/// A move of a swatch in the tray.
fn to(swatch: SwatchId, family: &str, place: usize) -> Command {
    Command::MoveSwatch { swatch: SwatchRef::Id(swatch), family: family.to_owned(), place }
}

/// A swatch in a family of its own, which is called by its colour until the painter says how.
pub(super) fn into_new_family(board: &Board, swatch: &Swatch) -> (String, Command) {
    let name = board.free_family_names([plain_name(swatch.colour).as_str()]).concat();
    let command = to(swatch.id, &name, 0);
    (name, command)
}

/// The buttons that move a swatch as dragging it in the tray does: in its column, and to the columns beside it, the last of which is a new
/// one.
fn moves(state: &mut State, ui: &mut Ui, board: &Board, swatch: &Swatch) {
    let Some(column) = board.families.iter().position(|f| f.swatches.iter().any(|s| s.id == swatch.id)) else { return };
    let home = &board.families[column];
    let Some(row) = home.swatches.iter().position(|s| s.id == swatch.id) else { return };
    let lighter = |family: &Family| {
        let below = family.swatches.iter().position(|s| s.colour.l_star() < swatch.colour.l_star());
        to(swatch.id, &family.name, below.unwrap_or(family.swatches.len()))
    };
    let right = match board.families.get(column + 1) {
        Some(family) => Some(lighter(family)),
        None => (home.swatches.len() > 1).then(|| into_new_family(board, swatch).1),
    };
    let ways = [
        (wording::UP, wording::SWATCH_UP, row.checked_sub(1).map(|row| to(swatch.id, &home.name, row))),
        (
            wording::DOWN,
            wording::SWATCH_DOWN,
            (row + 1 < home.swatches.len()).then(|| to(swatch.id, &home.name, row + 1)),
        ),
        (wording::LEFT, wording::SWATCH_LEFT, column.checked_sub(1).map(|left| lighter(&board.families[left]))),
        (wording::RIGHT, wording::SWATCH_RIGHT, right),
    ];
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        widgets::quiet(ui, wording::MOVE_IN_TRAY);
        for (words, name, command) in ways {
            let pressed = ui.add_enabled_ui(command.is_some(), |ui| {
                widgets::pill_named(ui, words, name, Pill::Second).on_hover_text(name).clicked()
            });
            if pressed.inner
                && let Some(command) = command
            {
                state.apply(&command);
            }
        }
    });
}

/// A row of a list with a dab beside the name, so that no two swatches look alike.
fn row_with_dab(ui: &mut Ui, swatch: &Swatch, words: &str, chosen: bool) -> bool {
    let response = widgets::row(ui, "", "", words, chosen);
    let rect = response.rect;
    let centre = pos2(rect.left() + DAB_ROOM / 2.0 + 2.0, rect.center().y);
    dab::paint(ui.painter(), swatch.id, centre, DAB, theme::paint(swatch.colour), None);
    let room = Rect::from_min_max(rect.min + vec2(DAB_ROOM, 0.0), rect.max - vec2(10.0, 0.0));
    let colour = if chosen { theme::BRIGHT } else { theme::STRONG };
    widgets::clipped(ui, room, words, theme::font(theme::SMALL, Weight::Medium), colour);
    response.clicked()
}

/// A deletion as it is being decided.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct DeleteForm {
    id: SwatchId,
    /// Who gets the paint; nobody when it stays as free colour.
    heir: Option<SwatchId>,
}

/// The sheet that asks; gives itself back while it stays open.
pub(super) fn delete(state: &mut State, ui: &mut Ui, mut form: DeleteForm) -> Option<Sheet> {
    let board = state.session.as_ref()?.document().board.clone();
    board.swatch(form.id)?;
    let name = called(&board, form.id);
    let share = state.readout.iter().flat_map(|r| &r.swatches).find(|s| s.id == form.id).map_or(0.0, |s| s.share);
    let mut done = false;
    let closed = widgets::sheet(ui, wording::DELETE_SHEET, 360.0, |ui| {
        if share > 0.0 {
            widgets::text(ui, wording::has_paint(&name, share));
            if widgets::row(ui, wording::STAYS_FREE, "", wording::STAYS_FREE, form.heir.is_none()).clicked() {
                form.heir = None;
            }
            egui::ScrollArea::vertical().max_height(220.0).id_salt("heirs").show(ui, |ui| {
                ui.spacing_mut().item_spacing.y = 6.0;
                // Its own family first: the likeliest heirs.
                let home = board.family_of(form.id).map(|f| f.id);
                let mut others: Vec<_> = board.swatches().filter(|(_, s)| s.id != form.id).collect();
                others.sort_by_key(|(family, _)| Some(family.id) != home);
                for (_, other) in others {
                    let words = wording::give_to(&called(&board, other.id));
                    if row_with_dab(ui, other, &words, form.heir == Some(other.id)) {
                        form.heir = Some(other.id);
                    }
                }
            });
        } else {
            widgets::text(ui, wording::has_no_paint(&name));
        }
        widgets::footer(ui, |ui| {
            if widgets::pill(ui, wording::TAKE_OFF, Pill::First).clicked() {
                let paint = form.heir.map_or(PaintFate::Stay, |id| PaintFate::GiveTo(SwatchRef::Id(id)));
                done = state.apply(&Command::RemoveSwatch { swatch: SwatchRef::Id(form.id), paint });
            }
            done |= widgets::pill(ui, wording::CANCEL, Pill::Plain).clicked();
        });
    });
    (!done && !closed).then_some(Sheet::Delete(form))
}
