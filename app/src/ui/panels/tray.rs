//! The tray: the board as a painter lays it out, a column a family, ready to load the brush; at its end the well.

use super::measures::Measures;
use super::swatch_sheet::{SwatchForm, called, into_new_family};
use super::widgets::{self, Pill};
use super::{Sheet, board_sheet, dab, mixing, mixture, well};
use crate::study::command::{Command, SwatchRef};
use crate::study::session::Loaded;
use crate::ui::looks::Look;
use crate::ui::panels::PanelState;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::containers::scroll_area::{DragScroll, ScrollSource};
use egui::{
    Align, Align2, CornerRadius, Layout, Popup, Rect, Response, Role, ScrollArea, Sense, Stroke, Ui, UiBuilder, Vec2,
    WidgetInfo, pos2, vec2,
};
use stint_model::board::{Board, Family, Swatch};
use stint_model::colour::Colour;
use stint_model::ids::{FamilyId, SwatchId};

/// Width of a column with one row of dabs, designed and largest, points.
const CARD: (f32, f32) = (88.0, 128.0);
/// How much narrower a column gets where all of them would not fit otherwise, points.
const NARROWER: f32 = 18.0;
/// What the tray needs above and below the columns, for their names too, points.
const AROUND: f32 = 54.0;
/// Gap of two columns when there is room, and the least, points.
const GAP: (f32, f32) = (22.0, 8.0);
/// Swatches a column holds one below the other.
const ROWS: usize = 4;
/// Width of each further row of dabs in a column, designed and largest, points.
const MORE: (f32, f32) = (52.0, 66.0);
/// Half the width and height of a dab with its full share of the column, points.
const DAB: Vec2 = vec2(21.0, 15.0);
/// How much larger than that a dab gets on a tall tray.
const LARGEST_DAB: f32 = 1.35;
/// Width of the buttons at the right end, and of the one that opens them where the tray is narrow, points.
const BUTTONS: (f32, f32) = (128.0, 74.0);
/// A tray narrower than this has its buttons behind one, points.
const NARROW: f32 = 520.0;
/// Width of the edge behind which columns are out of sight, points.
const EDGE: f32 = 14.0;

/// Width of the place where a swatch is dropped that gets a family of its own, points.
const NEW_FAMILY: f32 = 58.0;

/// What the tray remembers.
#[derive(Default)]
pub(super) struct TrayState {
    /// What was on the brush in the last frame, and how many families there were.
    before: Option<(Option<SwatchId>, usize)>,
    /// How far the columns are to be moved, since an edge was pressed, points.
    offset: Option<f32>,
}

impl TrayState {
    /// The family that has to come into sight: of a swatch that was loaded now, or one that came now.
    fn wanted(&mut self, board: &Board, loaded: Option<Loaded>) -> Option<FamilyId> {
        let swatch = match loaded {
            Some(Loaded::Swatch(id)) => Some(id),
            Some(Loaded::Mixture | Loaded::Free(_) | Loaded::Well) | None => None,
        };
        let now = (swatch, board.families.len());
        let (was, count) = self.before.replace(now).unwrap_or((None, now.1));
        if now.1 > count {
            return board.families.last().map(|family| family.id);
        }
        swatch.filter(|id| was != Some(*id)).and_then(|id| board.family_of(id)).map(|family| family.id)
    }
}

/// What happened in the tray; done after it is drawn, because a column borrows the board.
enum TrayAction {
    Load(SwatchId),
    Edit(SwatchId),
    EditFamily(usize),
    Move(SwatchId, String, usize),
    NewFamily(SwatchId),
}

/// The columns of the board, what is on the brush under them, and the buttons for board and swatches at the right.
pub(super) fn panel(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let Some(session) = &state.session else { return };
    let loaded = session.loaded();
    let Some(board) = state.shown_board().cloned() else { return };
    let all = ui.max_rect();
    let narrow = all.width() < NARROW;
    let buttons_width = if narrow { BUTTONS.1 } else { BUTTONS.0 };
    let room = Rect::from_min_max(all.min + vec2(8.0, 10.0), pos2(all.right() - buttons_width, all.bottom() - 6.0));
    let into_sight = panels.tray.wanted(&board, loaded);
    // Well and buttons follow the last column as long as there is room.
    let wanted = if board.families.is_empty() { 320.0 } else { columns_width(ui, &board, 0.0, GAP.0) + 16.0 };
    let columns = room.with_max_x((room.left() + wanted).min(room.right() - well::WIDTH));
    if board.families.is_empty() {
        let rect = Rect::from_min_size(columns.min + vec2(8.0, 16.0), vec2(columns.width().min(320.0), 80.0));
        let mut hint = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("empty"));
        widgets::quiet(&mut hint, wording::EMPTY_BOARD);
    } else {
        let layout = Layout::left_to_right(Align::Min);
        let mut inside = ui.new_child(UiBuilder::new().max_rect(columns).layout(layout).id_salt("columns"));
        // Before the columns, the last of which it may lie over.
        let zone = columns.with_min_x(columns.right() - NEW_FAMILY).with_max_y(columns.top() + card_height(ui));
        let own = dropped_in(ui, zone).map(TrayAction::NewFamily);
        let action = families(state, &mut inside, &board, loaded, (into_sight, &mut panels.tray.offset));
        if let Some(action) = own.or(action) {
            act(state, panels, &board, action);
        }
        new_family(ui, zone);
    }
    let round =
        Rect::from_min_max(pos2(columns.right() + 4.0, room.top()), pos2(columns.right() + well::WIDTH, room.bottom()));
    well::panel(state, panels, ui, round);
    let buttons = Rect::from_min_max(pos2(round.right() + 8.0, all.top() + 10.0), all.max);
    let mut side = ui.new_child(UiBuilder::new().max_rect(buttons).id_salt("buttons"));
    if narrow {
        let button = widgets::pill_named(&mut side, wording::MORE_OF_TRAY, wording::MORE_OF_TRAY_NAME, Pill::Second);
        Popup::menu(&button).show(|ui| {
            ui.set_min_width(BUTTONS.0);
            buttons_column(state, panels, ui, &board, loaded);
        });
    } else {
        buttons_column(state, panels, &mut side, &board, loaded);
    }
}

fn buttons_column(state: &mut State, panels: &mut PanelState, ui: &mut Ui, board: &Board, loaded: Option<Loaded>) {
    ui.spacing_mut().item_spacing.y = 6.0;
    if widgets::pill(ui, wording::ADD_SWATCH, Pill::Second).clicked() {
        let family = match loaded {
            Some(Loaded::Swatch(id)) => board.family_of(id),
            Some(Loaded::Mixture | Loaded::Free(_) | Loaded::Well) | None => board.families.last(),
        };
        let family = family.map_or("", |f| f.name.as_str());
        panels.sheet = Some(Sheet::Swatch(SwatchForm::new(family)));
    }
    let swatch = match loaded {
        Some(Loaded::Swatch(id)) => Some(id),
        Some(Loaded::Mixture | Loaded::Free(_) | Loaded::Well) | None => None,
    };
    let edit =
        ui.add_enabled_ui(swatch.is_some(), |ui| widgets::pill(ui, wording::EDIT_SWATCH, Pill::Second).clicked());
    if edit.inner
        && let Some(id) = swatch
    {
        edit_swatch(state, panels, id);
    }
    if widgets::pill(ui, wording::BOARD, Pill::Second).clicked() {
        panels.board_open = !panels.board_open;
    }
    mixing::pill(state, ui);
    mixture::line(state, ui);
}

/// Opens the sheet of a swatch, with its colour as it is and not as it is tried out.
fn edit_swatch(state: &mut State, panels: &mut PanelState, id: SwatchId) {
    let form = state.session.as_ref().and_then(|s| SwatchForm::of(&s.document().board, id));
    if let Some(form) = form {
        panels.sheet = Some(Sheet::Swatch(form));
    }
}

fn act(state: &mut State, panels: &mut PanelState, board: &Board, action: TrayAction) {
    match action {
        TrayAction::Load(id) => {
            state.load(id);
        }
        TrayAction::Edit(id) => edit_swatch(state, panels, id),
        TrayAction::EditFamily(place) => {
            let family = &board.families[place];
            let form = board_sheet::FamilyForm { id: family.id, name: family.name.clone() };
            panels.sheet = Some(Sheet::Family(form));
        }
        TrayAction::Move(id, family, place) => {
            state.apply(&Command::MoveSwatch { swatch: SwatchRef::Id(id), family, place });
        }
        TrayAction::NewFamily(id) => {
            let Some((name, command)) = board.swatch(id).map(|swatch| into_new_family(board, swatch)) else { return };
            if state.apply(&command) {
                // Named by its colour so far: what it is called is for the painter to say.
                let made = state.session.as_ref().and_then(|s| s.document().board.family_named(&name).map(|f| f.id));
                panels.sheet = made.map(|id| Sheet::Family(board_sheet::FamilyForm { id, name }));
            }
        }
    }
}

/// The swatch that was dropped in a place.
fn dropped_in(ui: &Ui, place: Rect) -> Option<SwatchId> {
    let released =
        ui.input(|i| i.pointer.any_released() && i.pointer.interact_pos().is_some_and(|at| place.contains(at)));
    if !released {
        return None;
    }
    egui::DragAndDrop::take_payload::<SwatchId>(ui.ctx()).map(|id| *id)
}

/// While a swatch is held: the place where it gets a family of its own.
fn new_family(ui: &Ui, zone: Rect) {
    if !egui::DragAndDrop::has_payload_of_type::<SwatchId>(ui.ctx()) {
        return;
    }
    let over = ui.input(|i| i.pointer.interact_pos().is_some_and(|at| zone.contains(at)));
    let ground = if over { theme::ROW_CHOSEN } else { theme::ROW };
    ui.painter().rect_filled(zone, CornerRadius::same(8), ground);
    ui.painter().extend(widgets::dashed(zone.shrink(0.5), if over { theme::BRIGHT } else { theme::QUIET }));
    let font = theme::font(theme::SMALL, Weight::Medium);
    let words = ui.painter().layout(wording::NEW_FAMILY.to_owned(), font, theme::STRONG, zone.width() - 10.0);
    ui.painter().galley(zone.center() - words.size() / 2.0, words, theme::STRONG);
}

/// Width of the column of a family, so much narrower than it could be.
fn card_width(ui: &Ui, family: &Family, narrower: f32) -> f32 {
    let measures = Measures::of(ui.ctx());
    let more = family.swatches.len().saturating_sub(1).div_euclid(ROWS) as f32;
    measures.between(CARD.0, CARD.1) + more * measures.between(MORE.0, MORE.1) - narrower
}

/// Height of the columns.
fn card_height(ui: &Ui) -> f32 {
    Measures::of(ui.ctx()).bottom_height() - AROUND
}

/// Width of all columns, each so much narrower than it could be, with this gap between them.
fn columns_width(ui: &Ui, board: &Board, narrower: f32, gap: f32) -> f32 {
    let widths: f32 = board.families.iter().map(|f| card_width(ui, f, narrower)).sum();
    widths + gap * board.families.len().saturating_sub(1) as f32
}

fn families(
    state: &mut State,
    ui: &mut Ui,
    board: &Board,
    loaded: Option<Loaded>,
    (into_sight, offset): (Option<FamilyId>, &mut Option<f32>),
) -> Option<TrayAction> {
    let gaps = board.families.len().saturating_sub(1).max(1) as f32;
    let lacking = columns_width(ui, board, 0.0, GAP.1) - ui.available_width();
    let narrower = (lacking / board.families.len().max(1) as f32).clamp(0.0, NARROWER);
    let spare = (ui.available_width() - columns_width(ui, board, narrower, 0.0)) / gaps;
    let gap = spare.clamp(GAP.1, GAP.0);
    let mut action = None;
    // Dragging moves swatches, on a touch screen too.
    let source = ScrollSource { drag: DragScroll::Never, ..Default::default() };
    // The wheel goes through the columns, whichever way it is turned.
    ui.style_mut().always_scroll_the_only_direction = true;
    let area = ScrollArea::horizontal().auto_shrink(false).scroll_source(source);
    let area = match offset.take() {
        Some(offset) => area.horizontal_scroll_offset(offset),
        None => area,
    };
    let shown = area.show(ui, |ui| {
        ui.spacing_mut().item_spacing.x = gap;
        ui.horizontal_top(|ui| {
            // In the mirror the last family comes first, as its paint lies on the canvas.
            let mut order: Vec<_> = board.families.iter().enumerate().collect();
            if state.mirror {
                order.reverse();
            }
            for (place, family) in order {
                let from = ui.cursor().left();
                if let Some(done) = column(state, ui, board, (place, narrower), family, loaded) {
                    action = Some(done);
                }
                if into_sight == Some(family.id) {
                    let sides = from - EDGE..=from + card_width(ui, family, narrower) + EDGE;
                    ui.scroll_to_rect(Rect::from_x_y_ranges(sides, ui.max_rect().y_range()), None);
                }
            }
        });
    });
    let most = (shown.content_size.x - shown.inner_rect.width()).max(0.0);
    let step = board.families.first().map_or(0.0, |family| 2.0 * (card_width(ui, family, narrower) + gap));
    let now = shown.state.clamped_offset().x;
    for (hidden, right, name) in [(now > 1.0, false, wording::TRAY_LEFT), (now < most - 1.0, true, wording::TRAY_RIGHT)]
    {
        if hidden && edge(ui, shown.inner_rect, right, name) {
            *offset = Some((now + if right { step } else { -step }).clamp(0.0, most));
            ui.ctx().request_repaint();
        }
    }
    action
}

/// The edge behind which further columns are out of sight; tells whether it was pressed.
fn edge(ui: &Ui, columns: Rect, right: bool, name: &str) -> bool {
    let rect =
        if right { columns.with_min_x(columns.right() - EDGE) } else { columns.with_max_x(columns.left() + EDGE) };
    let response = ui.interact(rect, ui.scope_id().with(name), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    let ground = if response.hovered() { theme::ROW_HOVERED } else { theme::ROW };
    ui.painter().rect_filled(rect, CornerRadius::same(4), ground);
    let (tip, across) = if right { (rect.center().x + 3.0, -6.0) } else { (rect.center().x - 3.0, 6.0) };
    let points = [vec2(across, -7.0), vec2(0.0, 0.0), vec2(across, 7.0)].map(|by| pos2(tip, rect.center().y) + by);
    ui.painter().add(egui::Shape::line(points.to_vec(), Stroke::new(2.0, theme::STRONG)));
    widgets::focus_ring(ui, &response, rect);
    response.clicked()
}

/// Where the dabs of a column lie: from the top, then the next row of dabs to the right.
fn dab_rects(card: Rect, count: usize) -> Vec<Rect> {
    let rows = count.clamp(3, ROWS);
    let height = card.height() / rows as f32;
    let across = count.max(1).div_ceil(ROWS);
    let width = card.width() / across as f32;
    let place = |i: usize| {
        let min = card.min + vec2((i / ROWS) as f32 * width, (i % ROWS) as f32 * height);
        Rect::from_min_size(min, vec2(width, height))
    };
    (0..count).map(place).collect()
}

fn column(
    state: &mut State,
    ui: &mut Ui,
    board: &Board,
    (place, narrower): (usize, f32),
    family: &Family,
    loaded: Option<Loaded>,
) -> Option<TrayAction> {
    let mut action = None;
    let (width, height) = (card_width(ui, family, narrower), card_height(ui));
    let (rect, _) = ui.allocate_exact_size(vec2(width, height + 30.0), Sense::hover());
    let card = Rect::from_min_size(rect.min, vec2(width, height));
    ui.painter().rect_filled(card, CornerRadius::same(8), theme::CARD);
    let rects = dab_rects(card.shrink2(vec2(0.0, 2.0)), family.swatches.len());
    for (swatch, &rect) in family.swatches.iter().zip(&rects) {
        let is_loaded = loaded == Some(Loaded::Swatch(swatch.id));
        let response = one_dab(ui, state.look, board, swatch, rect, is_loaded);
        if state.remarked.contains(&swatch.id) {
            about_ring(ui, swatch.id, rect, is_loaded);
        }
        if response.hovered() {
            state.highlighted = Some(swatch.id);
        }
        if response.clicked() {
            action = Some(TrayAction::Load(swatch.id));
        }
        if response.secondary_clicked() {
            action = Some(TrayAction::Edit(swatch.id));
        }
    }
    if let Some((id, to)) = dropped(ui, family, card, &rects) {
        action = Some(TrayAction::Move(id, family.name.clone(), to));
    }
    let label =
        Rect::from_min_max(pos2(rect.left() - 4.0, card.bottom() + 3.0), pos2(rect.right() + 4.0, rect.bottom() - 5.0));
    if family_name(ui, family, label).clicked() {
        action = Some(TrayAction::EditFamily(place));
    }
    action
}

fn one_dab(ui: &mut Ui, look: Look, board: &Board, swatch: &Swatch, rect: Rect, is_loaded: bool) -> Response {
    // The tray is looked at as the canvas is, so that like is compared with like.
    let seen = look.of(swatch.colour.to_srgb8());
    let colour = theme::srgb(seen);
    let response = ui.interact(rect, ui.scope_id().with(swatch.id), Sense::click_and_drag());
    let name = called(board, swatch.id);
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, is_loaded, &name));
    response.dnd_set_drag_payload(swatch.id);
    let ring = is_loaded.then(|| Stroke::new(2.0, theme::BRIGHT));
    let radius = dab_radius(rect, is_loaded);
    let held = response.dragged();
    let faint = theme::is_faint_on(theme::CARD, Colour::from_srgb8(seen));
    if !held {
        dab::paint(ui.painter(), swatch.id, rect.center(), radius, colour, ring);
        if faint {
            let outline = dab::outline(swatch.id, rect.center(), radius);
            ui.painter().add(egui::Shape::closed_line(outline, Stroke::new(1.0, theme::LINE)));
        }
    } else if let Some(pointer) = ui.input(|i| i.pointer.interact_pos()) {
        // A dab on its way lies above the columns.
        let over = ui.ctx().layer_painter(egui::LayerId::new(egui::Order::Tooltip, response.id));
        dab::paint(&over, swatch.id, pointer, DAB, colour, None);
    }
    if response.has_focus() {
        widgets::focus_ring(ui, &response, rect.shrink2(vec2(12.0, 3.0)));
    } else if response.hovered() && !is_loaded && !held {
        let outline = dab::outline(swatch.id, rect.center(), radius + vec2(4.0, 4.0));
        ui.painter().add(egui::Shape::closed_line(outline, Stroke::new(1.0, theme::QUIET)));
    }
    response.on_hover_text(name)
}

/// The ring around a swatch that a remark is about; outside that of the loaded one.
fn about_ring(ui: &Ui, swatch: SwatchId, rect: Rect, is_loaded: bool) {
    let radius = dab_radius(rect, is_loaded) + Vec2::splat(if is_loaded { 8.5 } else { 5.5 });
    let outline = dab::outline(swatch, rect.center(), radius);
    let dashes = egui::Shape::dashed_line(&closed(outline), Stroke::new(1.5, theme::BRIGHT), 4.0, 3.0);
    ui.painter().extend(dashes);
}

fn closed(mut outline: Vec<egui::Pos2>) -> Vec<egui::Pos2> {
    outline.extend(outline.first().copied());
    outline
}

/// Half the width and height of the dab in its place.
fn dab_radius(rect: Rect, is_loaded: bool) -> Vec2 {
    let fits = (rect.height() / 44.0).min(rect.width() / 52.0).min(LARGEST_DAB);
    DAB * if is_loaded { fits.min(rect.height() / 46.5) } else { fits }
}

/// The swatch that was dropped on this column and the place it gets; shows the place while one is held over it.
fn dropped(ui: &Ui, family: &Family, card: Rect, rects: &[Rect]) -> Option<(SwatchId, usize)> {
    let held = egui::DragAndDrop::payload::<SwatchId>(ui.ctx())?;
    let pointer = ui.input(|i| i.pointer.interact_pos())?;
    if !card.contains(pointer) {
        return None;
    }
    // Before the first dab of the same row of dabs whose middle lies below the pointer.
    let before = |r: &&Rect| pointer.x < r.right() && (pointer.x < r.left() || pointer.y < r.center().y);
    let gap = rects.iter().position(|r| before(&r)).unwrap_or(rects.len());
    let y = match (rects.get(gap), rects.last()) {
        (Some(next), _) => next.top(),
        (None, Some(last)) => last.bottom(),
        (None, None) => card.top() + 8.0,
    };
    let x = rects.get(gap).or(rects.last()).map_or(card.x_range(), |r| r.x_range());
    ui.painter().hline(x.shrink(10.0), y.clamp(card.top() + 1.0, card.bottom() - 1.0), Stroke::new(2.0, theme::BRIGHT));
    if !ui.input(|i| i.pointer.any_released()) {
        return None;
    }
    egui::DragAndDrop::take_payload::<SwatchId>(ui.ctx());
    let from = family.swatches.iter().position(|s| s.id == *held);
    // The place is counted without the swatch itself.
    let to = if from.is_some_and(|from| from < gap) { gap - 1 } else { gap };
    (from != Some(to)).then_some((*held, to))
}

fn family_name(ui: &mut Ui, family: &Family, rect: Rect) -> Response {
    let response = ui.interact(rect, ui.scope_id().with(("family", family.id)), Sense::click());
    let name = wording::edit_family(&family.name);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    let colour = if response.hovered() || response.has_focus() { theme::BRIGHT } else { theme::TEXT };
    let font = theme::font(12.0, Weight::Regular);
    let galley = ui.painter().layout_no_wrap(family.name.clone(), font.clone(), colour);
    // Names of neighbours stay apart.
    let room = rect.shrink2(vec2(4.0, 0.0));
    let fits = galley.size().x <= room.width();
    if fits {
        ui.painter().text(room.center(), Align2::CENTER_CENTER, &family.name, font, colour);
    } else {
        widgets::clipped(ui, room, &family.name, font, colour);
    }
    widgets::focus_ring(ui, &response, rect);
    let response = response.on_hover_cursor(egui::CursorIcon::PointingHand);
    if fits { response } else { response.on_hover_text(&family.name) }
}
