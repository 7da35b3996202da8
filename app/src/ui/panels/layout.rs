//! Where everything lies in a frame. The places are worked out here and not by nested panels, so that nothing a panel holds can push the
//! canvas about.

use super::drawers::{self, Drawer};
use super::measures::Measures;
use super::regions::{SHUT_FREE, Side, column, cut, place, scrolling, sides};
use super::sheets::sheets;
use super::{
    Page, PanelState, Sheet, board, canvas_crop, early_photo, export, free, library_page, memory_page, next_step,
    notices, passes, photo_page, progress_page, readout, reference, settings_page, side_by_side, start, thumb, tools,
    top, tray,
};
use crate::ui::looks::Look;
use crate::ui::state::State;
use crate::ui::{studies, theme};
use egui::{Rect, Ui, UiBuilder, pos2};

/// A window narrower than this is narrow, points.
const NARROW: f32 = 1060.0;
/// Height of the top bar, points.
const TOP_HEIGHT: f32 = 44.0;
/// A window that is upright and narrower than this has photo and readout above the canvas, points: beside it little would be left.
const UPRIGHT: f32 = 960.0;
/// Height of photo and readout above the canvas, of what is left of the window.
const ABOVE: f32 = 0.32;

/// Draws everything but the canvas; the rectangle that is left for it, in points. Empty on the start page.
///
/// `ui` covers the window. The places are worked out here and not by nested panels, so that nothing a panel holds can
/// push the canvas about.
pub fn frame(ui: &mut Ui, state: &mut State, panels: &mut PanelState) -> Rect {
    let rest = regions(ui, state, panels);
    panels.wait_before_lighting(ui, state);
    if state.comparing.light_moves() {
        ui.ctx().request_repaint();
    }
    panels.pictures.follow(ui.ctx(), state.data_folder.as_deref());
    if !state.requests.is_empty() {
        // What is done about them after this frame has to show.
        ui.ctx().request_repaint();
    }
    rest
}

fn regions(ui: &mut Ui, state: &mut State, panels: &mut PanelState) -> Rect {
    state.highlighted = None;
    panels.follow_study(state);
    panels.follow_photos(state);
    export::follow(state, panels, ui.ctx());
    // Before what was opened is taken: one that is there already is shown until it comes in.
    panels.early_photo.follow(state, ui.ctx());
    studies::poll_opening(state);
    studies::poll_keeping(state);
    if let Some(path) = state.lost_study.take() {
        panels.sheet = Some(Sheet::LostStudy(path));
    }
    follow_comparison(state, panels, ui.ctx());
    let mut rest = ui.max_rect();
    state.remarked = panels.take_lit_in_chart();
    board::end_stale_trial(state, panels);
    if panels.page == Page::Library {
        board::follow(state, panels);
        return page(state, panels, ui, (rest, 0.0), "library", library_page::page);
    }
    if panels.page == Page::Progress {
        return page(state, panels, ui, (rest, 0.0), "progress", progress_page::page);
    }
    if panels.page == Page::Settings {
        return page(state, panels, ui, (rest, 0.0), "settings", settings_page::page);
    }
    if panels.early_photo.shows() && state.session.is_none() {
        return page(state, panels, ui, (rest, 0.0), "early photo", early_photo::page);
    }
    if state.session.is_none() {
        return page(state, panels, ui, (rest, start::FOOT), "start page", start::page);
    }
    if state.readout.is_none() {
        state.refresh();
    }
    let measures = Measures::of(ui.ctx());
    let top = cut(&mut rest, Side::Top, TOP_HEIGHT);
    place(ui, "top bar", top, theme::BAR, |ui| top::bar(state, panels, ui));
    if panels.page == Page::Memory {
        // Photo, tray and readout show the colours that are to be found, so this page covers them too.
        return page(state, panels, ui, (rest, 0.0), "memory page", memory_page::page);
    }
    if panels.page == Page::SideBySide {
        return page(state, panels, ui, (rest, 0.0), "side by side", side_by_side::page);
    }
    let low = drawers::is_low(ui.max_rect());
    panels.drawer = panels.drawer.filter(|_| low);
    let open = |drawer, away: bool| if low { panels.drawer == Some(drawer) } else { !away };
    let reference_open = open(Drawer::Reference, panels.reference_away);
    let readout_open = open(Drawer::Readout, panels.readout_away);
    let tray_open = open(Drawer::Tray, false);
    let is_upright = is_upright(ui.max_rect());
    // Beside tools and free colour an upright window has room for a family or two: there the tray lies under them, as broad as the window.
    let rows = if is_upright { 2.0 } else { 1.0 };
    let tray = tray_open.then(|| cut(&mut rest, Side::Bottom, rows * measures.bottom_height()));
    canvas_crop::follow(state, panels);
    let board_open = panels.board_open;
    let (photo_side, readout_side) = sides(state);
    let mut right = None;
    if panels.canvas_crop.open {
        let left = cut(&mut rest, photo_side, measures.left_width());
        place(ui, "canvas size", left, theme::PANEL, |ui| column(ui, |ui| canvas_crop::panel(state, panels, ui)));
    } else if board_open {
        let left = cut(&mut rest, photo_side, measures.left_width());
        place(ui, "board", left, theme::PANEL, |ui| board::panel(state, panels, ui));
    } else {
        // Whichever of the two is put away leaves its place to the other, and both to the canvas.
        let height = (rest.height() * ABOVE).round();
        let any = reference_open || readout_open;
        let mut above = (is_upright && any).then(|| cut(&mut rest, Side::Top, height));
        let beside = above.as_mut().unwrap_or(&mut rest);
        right = readout_open.then(|| match is_upright && !reference_open {
            true => *beside,
            false => cut(beside, readout_side, measures.right_width()),
        });
        if reference_open {
            let left = if is_upright { *beside } else { cut(beside, photo_side, measures.left_width()) };
            place(ui, "left", left, theme::PANEL, |ui| column(ui, |ui| reference::panel(state, panels, ui)));
        }
    }
    // An upright window has no room for the readout beside these.
    if right.is_none() && readout_open && !is_upright {
        right = Some(cut(&mut rest, readout_side, measures.right_width()));
    }
    // A low window has no height for it.
    if !low {
        next_step::line(state, panels, ui, &mut rest);
    }
    if board_open {
        board::strip(state, panels, ui, &mut rest);
    }
    notices::overlay(state, panels, ui, rest);
    // Before anything that shows the board, so that all of it shows what is tried out in this frame.
    board::follow(state, panels);
    if let Some(tray) = tray {
        place(ui, "bottom", tray, theme::BAR, |ui| bottom(state, panels, ui));
    }
    if let Some(right) = right {
        place(ui, "right", right, theme::PANEL, |ui| right_side(state, panels, ui));
    }
    if panels.early_photo.shows() {
        place(ui, "early photo", rest, theme::PANEL, |ui| early_photo::page(state, panels, ui));
        sheets(state, panels, ui);
        return Rect::from_min_max(rest.min, rest.min);
    }
    match panels.page {
        Page::Canvas | Page::Library | Page::Memory | Page::SideBySide | Page::Progress | Page::Settings => {}
        Page::Photo => place(ui, "photo page", rest, theme::PANEL, |ui| photo_page::page(state, panels, ui)),
    }
    if panels.page == Page::Canvas {
        thumb::buttons(state, ui, rest);
        if low {
            drawers::buttons(state, panels, ui, rest);
        }
    }
    sheets(state, panels, ui);
    if panels.page == Page::Canvas { rest } else { Rect::from_min_max(rest.min, rest.min) }
}

/// A page that covers all of a rectangle, with sheets above it, and messages but over its foot, which is so high; what is left for the
/// canvas: nothing.
fn page(
    state: &mut State,
    panels: &mut PanelState,
    ui: &mut Ui,
    (over, foot): (Rect, f32),
    name: &str,
    content: fn(&mut State, &mut PanelState, &mut Ui),
) -> Rect {
    notices::overlay(state, panels, ui, over.with_max_y(over.bottom() - foot));
    place(ui, name, over, theme::PANEL, |ui| content(state, panels, ui));
    sheets(state, panels, ui);
    Rect::from_min_max(over.min, over.min)
}

/// Whether photo and readout lie above the canvas in a window of this size.
fn is_upright(window: Rect) -> bool {
    window.width() < UPRIGHT && window.height() > window.width()
}

/// Keeps the comparison with the photo up to date while somebody looks at it.
fn follow_comparison(state: &mut State, panels: &mut PanelState, ctx: &egui::Context) {
    state.comparing.begin_frame();
    let looked_at = state.comparing.open || state.look == Look::Difference;
    let wake = {
        let ctx = ctx.clone();
        move || ctx.request_repaint()
    };
    if let Err(why) = state.comparing.follow(state.session.as_mut(), state.epoch, looked_at, wake) {
        state.notices.push(why);
    }
    panels.lit.follow(state, ctx);
}

/// The readout and the title of the passes, which stay where they are, and under them the passes, which scroll.
fn right_side(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let all = ui.max_rect();
    let inner = Rect::from_min_max(all.min + egui::vec2(theme::MARGIN, 10.0), all.max - egui::vec2(theme::MARGIN, 0.0));
    let mut fixed = ui.new_child(UiBuilder::new().max_rect(inner).id_salt("readout"));
    fixed.set_clip_rect(all.shrink2(egui::vec2(4.0, 0.0)).intersect(ui.clip_rect()));
    readout::panel(state, panels, &mut fixed);
    passes::heading(state, panels, &mut fixed);
    let top = (fixed.min_rect().bottom() + theme::STEP).min(all.bottom());
    scrolling(ui, Rect::from_min_max(pos2(all.left(), top), all.max), |ui| {
        passes::list(state, panels, ui);
        readout::rest(state, panels, ui, inner.height());
    });
}

fn bottom(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let all = ui.max_rect();
    let measures = Measures::of(ui.ctx());
    let (photo_side, readout_side) = sides(state);
    let mut rest = all;
    // On its own, as broad as the window, where there is a row for it.
    let alone =
        (all.height() > 1.5 * measures.bottom_height()).then(|| cut(&mut rest, Side::Bottom, measures.bottom_height()));
    let tools = cut(&mut rest, photo_side, measures.left_width());
    // In a narrow window free colour takes no more room than it needs while it is shut, so that the tray has some.
    let shut = state.session.as_ref().is_some_and(|session| !session.document().free_open);
    let free_width = match alone {
        Some(_) => rest.width(),
        None if shut && all.width() < NARROW => SHUT_FREE,
        None => measures.right_width(),
    };
    let free = cut(&mut rest, readout_side, free_width);
    let tray = alone.unwrap_or(rest);
    let mut region = |rect: Rect, name: &str, content: &mut dyn FnMut(&mut Ui)| {
        let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).id_salt(name));
        content(&mut ui);
    };
    region(tools.shrink2(egui::vec2(theme::MARGIN, 14.0)), "tools", &mut |ui| tools::panel(state, panels, ui));
    region(tray, "tray", &mut |ui| tray::panel(state, panels, ui));
    region(free, "free colour", &mut |ui| free::panel(state, panels, ui));
}
