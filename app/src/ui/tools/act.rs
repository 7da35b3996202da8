//! What each action of the key table does to the study, the view and the panels.

use super::load::{self, Walk};
use super::placing::nudged;
use super::{Pointer, Scene};
use crate::study::command::Command;
use crate::study::session::Session;
use crate::ui::keys::Action;
use crate::ui::looks::Look;
use crate::ui::looks::Surround;
use crate::ui::panels::Page;
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::tool_kind::Gesture;
use stint_model::study::travel::Direction;
use stint_render::mask::brush::{Brush, MAX_SIZE_PX};

/// One press of a key zooms by this.
const ZOOM_STEP: f64 = 1.25;
/// One press of a key turns by this: 15 degrees.
const TURN_STEP: f64 = std::f64::consts::PI / 12.0;
/// One press of a key makes the brush larger by this.
const SIZE_STEP: f32 = 1.15;
/// One press of a key makes the brush stronger by this.
const STRENGTH_STEP: f32 = 0.05;
/// Standard deviation that squinting begins with, as a part of the longer side of the canvas.
const SQUINT_PART: f32 = 1.0 / 160.0;

/// Carries an action out. What lasts while a key is down begins here and ends in [`Pointer::key_released`].
pub fn act(pointer: &mut Pointer, action: Action, scene: &mut Scene<'_>) {
    // Between press and release an action would change what the drag began with; it can only be cancelled.
    if pointer.is_busy() && action != Action::Cancel {
        return;
    }
    if scene.panels.take_action(action) {
        return;
    }
    // A drag in the making is cancelled alone.
    if scene.state.is_moving() && !pointer.is_busy() && act_on_moved(action, scene) {
        return;
    }
    let middle = scene.view.area.middle();
    let at = pointer.hover.filter(|&at| scene.view.area.contains(at)).unwrap_or(middle);
    let (state, panels) = (&mut *scene.state, &mut *scene.panels);
    match action {
        Action::Lighter => load::walk(state, Walk::Lighter),
        Action::Darker => load::walk(state, Walk::Darker),
        // As the tray lies on the screen.
        Action::FamilyLeft => load::walk(state, if state.mirror { Walk::Right } else { Walk::Left }),
        Action::FamilyRight => load::walk(state, if state.mirror { Walk::Left } else { Walk::Right }),
        Action::Previous => {
            if let Some(previous) = state.previous {
                load::load(state, previous);
            }
        }
        Action::Pick => {
            pointer.picking = true;
            if pointer.hover.is_some_and(|at| (scene.on_canvas)(at)) {
                load::pick(state, scene.view.canvas_from_window(at));
            }
        }
        Action::StirIn => state.stir(1),
        Action::StirOut => state.stir(-1),
        Action::FromWell => state.load_well(),
        Action::Tool(tool) => state.tool = tool,
        Action::Brush(place) => state.take_up_brush(place.index()),
        Action::BrushBefore => {
            if let Some(before) = state.brushes.before() {
                state.take_up_brush(before);
            }
        }
        Action::Larger => change_brush(state, |b| b.size_px *= SIZE_STEP),
        Action::Smaller => change_brush(state, |b| b.size_px /= SIZE_STEP),
        Action::Stronger => change_brush(state, |b| b.strength += STRENGTH_STEP),
        Action::Weaker => change_brush(state, |b| b.strength -= STRENGTH_STEP),
        Action::Close => {
            if let Gesture::Outline(of) = state.tool.gesture() {
                pointer.outline.finish(state, of, scene.points / scene.view.scale());
            }
        }
        Action::CornerBack => pointer.outline.corner_back(),
        // What is in the making first, then the panel that lies over another.
        Action::Cancel
            if !pointer.is_busy()
                && pointer.outline.corners().is_empty()
                && !state.session.as_ref().is_some_and(Session::is_filling) =>
        {
            if panels.board_open {
                panels.board_open = false;
            } else if state.comparing.open {
                panels.toggle_comparison(state);
            }
        }
        Action::Cancel => pointer.cancel(state),
        Action::UseArea => state.toggle_protection(),
        Action::MoveArea => state.begin_move(),
        Action::StepBack => {
            state.step(Direction::Back);
        }
        Action::StepOn => {
            state.step(Direction::On);
        }
        Action::Colour => state.look = Look::Colour,
        Action::Value => state.look = toggled(state.look, Look::Value),
        Action::Squint => {
            let side = state.session.as_ref().map_or(1600, |s| s.document().width.max(s.document().height));
            let squint = Look::Squint { radius_px: (side as f32 * SQUINT_PART).max(1.0) };
            state.look = if matches!(state.look, Look::Squint { .. }) { Look::Colour } else { squint };
        }
        Action::TwoTone => {
            state.look = match state.look {
                Look::TwoTone { values: 5.. } => Look::Colour,
                Look::TwoTone { values } => Look::TwoTone { values: values + 1 },
                Look::Colour | Look::Value | Look::Squint { .. } | Look::Difference => Look::TwoTone { values: 2 },
            }
        }
        Action::Difference => state.look = toggled(state.look, Look::Difference),
        Action::Mirror => state.mirror = !state.mirror,
        Action::Thirds => state.guides.thirds = !state.guides.thirds,
        Action::Diagonals => state.guides.diagonals = !state.guides.diagonals,
        Action::Grid => state.guides.grid = !state.guides.grid,
        Action::Crop => panels.toggle_crop(state),
        Action::CropCanvas => panels.toggle_canvas_crop(state),
        Action::Surround => {
            state.surround = match state.surround {
                Surround::Dark => Surround::Middle,
                Surround::Middle => Surround::Light,
                Surround::Light => Surround::Dark,
            }
        }
        Action::Fit => state.requests.push(Request::Fit),
        Action::ActualSize => state.requests.push(Request::ActualSize),
        Action::ZoomIn => scene.view.zoom_at(at, ZOOM_STEP),
        Action::ZoomOut => scene.view.zoom_at(at, 1.0 / ZOOM_STEP),
        Action::TurnLeft => scene.view.turn_at(middle, -TURN_STEP),
        Action::TurnRight => scene.view.turn_at(middle, TURN_STEP),
        Action::Upright => scene.view.upright(),
        Action::Pan => pointer.panning = true,
        // The window moves the keyboard; there is nothing to do to the study.
        Action::Panels => {}
        Action::Before => pointer.before = true,
        // The panels have taken these.
        Action::Nudge | Action::ByCorners => {}
        Action::BrushSheet => panels.open_brush_sheet(state),
        Action::KeySheet => panels.toggle_keys(),
        Action::FindAction => panels.toggle_finder(),
        Action::Settings => panels.toggle_page(Page::Settings),
        Action::WholeScreen => state.requests.push(Request::WholeScreen),
        Action::PhotoPage => panels.toggle_page(Page::Photo),
        Action::Compare => panels.toggle_comparison(state),
        Action::MemoryPage => panels.toggle_page(Page::Memory),
        Action::Library => panels.toggle_page(Page::Library),
        Action::BoardPanel => panels.board_open = !panels.board_open,
        Action::OpenFreeColour => panels.open_free_sheet(),
        Action::Export => {
            if let Some(session) = &state.session {
                panels.open_export(session);
            }
        }
        Action::CloseStudy => state.requests.push(Request::CloseStudy),
        Action::Quit => state.requests.push(Request::Quit),
    }
}

/// What an action means while something is being moved; tells whether it means anything. What begins something else puts it down first.
fn act_on_moved(action: Action, scene: &mut Scene<'_>) -> bool {
    let arrows = [
        (Action::Darker, [0.0, 1.0]),
        (Action::Lighter, [0.0, -1.0]),
        (Action::FamilyLeft, [-1.0, 0.0]),
        (Action::FamilyRight, [1.0, 0.0]),
    ];
    if let Some((_, towards)) = arrows.into_iter().find(|(arrow, _)| *arrow == action) {
        if let Some(moving) = scene.state.session.as_ref().and_then(Session::moving) {
            scene.state.place_moved(&nudged(&moving.placement, scene.view, towards));
        }
        return true;
    }
    if matches!(action, Action::Cancel | Action::StepBack) {
        scene.state.cancel_move();
        return true;
    }
    let puts_down = matches!(action, Action::Close | Action::MoveArea);
    if puts_down || matches!(action, Action::Tool(_) | Action::UseArea | Action::StepOn) {
        scene.state.finish_move();
    }
    puts_down
}

fn toggled(now: Look, wanted: Look) -> Look {
    if now == wanted { Look::Colour } else { wanted }
}

/// Changes the brush within its limits.
pub(super) fn change_brush(state: &mut State, change: impl FnOnce(&mut Brush)) {
    let Some(session) = &state.session else { return };
    let mut brush = session.brush().clone();
    change(&mut brush);
    brush.size_px = brush.size_px.clamp(0.5, MAX_SIZE_PX);
    brush.strength = brush.strength.clamp(0.0, 1.0);
    state.apply(&Command::Brush(brush));
}
