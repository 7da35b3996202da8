//! What the pointer does on the canvas, from translated events. Knows the state and the view, no window.
//!
//! Which tools there are stands in `ui/tool_kind.rs`; how they draw stands here, one file a [`Gesture`].

mod act;
mod draw;
mod fingers;
pub mod input;
pub mod load;
mod outline;
mod placing;
mod stroke;
#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests;

pub use act::act;
pub use draw::{cursor, draw};

use crate::study::session::{Session, StrokeTool};
use crate::ui::canvas_view::transform::View;
use crate::ui::keys::{Action, HeldKey, KeyPress};
use crate::ui::panels::PanelState;
use crate::ui::state::{FillSettings, State};
use crate::ui::tool_kind::{Gesture, OutlineUse};
use fingers::Fingers;
use input::{Button, Input, PointerModifiers, Reading};
use outline::Outline;
use placing::{Handles, Placing};
use stint_render::canvas::Fill;
use stint_render::mask::PenSample;
use stint_render::mask::brush::Brush;
use stroke::Stroke;

/// Dragging this far, logical points, doubles the size of the brush.
const SIZE_DOUBLES_POINTS: f64 = 90.0;
/// Dragging this far, logical points, takes the strength from nothing to full.
const STRENGTH_POINTS: f64 = 240.0;
/// A drag must go this far, logical points, before it is clear whether it goes across or up and down.
const DIRECTION_POINTS: f64 = 5.0;

/// What the tools work on.
pub struct Scene<'a> {
    /// The state of the window.
    pub state: &'a mut State,
    /// What the panels remember: some of them take keys for themselves.
    pub panels: &'a mut PanelState,
    /// How the canvas lies in the window.
    pub view: &'a mut View,
    /// Whether the canvas, and nothing above it, is at a window pixel.
    pub on_canvas: &'a dyn Fn([f64; 2]) -> bool,
    /// Window pixels per logical point.
    pub points: f64,
}

/// What a drag does, from the press of a button to its release.
#[derive(Debug)]
enum Drag {
    Stroke(Stroke),
    Outline {
        /// The press was the second of a double click.
        double: bool,
        /// What becomes of it.
        of: OutlineUse,
    },
    /// Moves, scales or turns what was taken up.
    Place {
        placing: Placing,
        /// Where the pointer came to in this frame, canvas pixels.
        to: Option<[f64; 2]>,
    },
    /// Fills the area at the place where the button comes up.
    Fill,
    /// Loads what lies under the pointer.
    Pick,
    Pan {
        /// Last place of the pointer, window pixels.
        last: [f64; 2],
    },
    Turn {
        /// Last place of the pointer, window pixels.
        last: [f64; 2],
    },
    /// Changes the size of the brush (across) or its strength (up and down).
    AdjustBrush {
        /// Where the button went down, window pixels.
        from: [f64; 2],
        /// The brush as it was then.
        brush: Brush,
        /// Whether the drag goes across; not known for the first few points of it.
        across: Option<bool>,
    },
}

/// What the pointer is doing, and which keys that matter to it are down.
#[derive(Debug, Default)]
pub struct Pointer {
    /// The drag in progress and the button that began it.
    drag: Option<(Button, Drag)>,
    outline: Outline,
    fingers: Fingers,
    modifiers: PointerModifiers,
    /// The pick key is down.
    picking: bool,
    /// The pan key is down.
    panning: bool,
    /// The key that shows the photo without its adjustments is down.
    before: bool,
    /// Where the pointer is, window pixels.
    hover: Option<[f64; 2]>,
    /// Where the last stroke ended: a straight line goes on from there.
    last_end: Option<PenSample>,
}

impl Pointer {
    /// Whether a drag that began on the canvas goes on.
    pub fn is_busy(&self) -> bool {
        self.drag.is_some()
    }

    /// Takes one event.
    pub fn take(&mut self, input: Input, scene: &mut Scene<'_>) {
        match input {
            Input::Moved { at, reading } => {
                let reading = self.heard(reading, scene.state);
                self.moved(at, reading, scene);
            }
            Input::Pressed { at, button, reading, double } => {
                let reading = self.heard(reading, scene.state);
                if reading.pen {
                    self.fingers.rest();
                }
                self.pressed(at, button, reading, double, scene);
            }
            Input::Released { at, button } => self.released(at, button, scene),
            Input::PointerLeft => self.hover = None,
            Input::Finger { id, at, reading } => self.finger(id, at, reading, scene),
            Input::FingerCancelled { id } => self.finger_cancelled(id, scene.state),
            Input::Zoom { at, factor } if (scene.on_canvas)(at) => scene.view.zoom_at(at, factor),
            Input::Pan { at, by } if (scene.on_canvas)(at) => scene.view.pan(by),
            Input::Turn { at, radians } if (scene.on_canvas)(at) => scene.view.turn_at(at, radians),
            Input::Zoom { .. } | Input::Pan { .. } | Input::Turn { .. } => {}
            Input::Modifiers(modifiers) => self.modifiers = modifiers,
            Input::FocusLost => {
                (self.picking, self.panning, self.before) = (false, false, false);
                self.modifiers = PointerModifiers::default();
                // What was painted until now is kept: nobody moves the pen to another window on purpose.
                self.finish_drag(scene.state);
            }
        }
    }

    /// Shows what the events of this frame did. Call once a frame, after the last of them.
    pub fn show(&mut self, state: &mut State, panels: &mut PanelState) {
        panels.hold_keys(self.panning, self.before);
        if let Some((_, Drag::Stroke(stroke))) = &mut self.drag
            && !stroke.show(state)
        {
            self.drag = None;
        }
        if let Some((_, Drag::Place { placing, to })) = &mut self.drag
            && let Some(at) = to.take()
        {
            state.place_moved(&placing.placement(at, self.modifiers.shift));
        }
        match state.tool.gesture() {
            Gesture::Stroke(_) | Gesture::Point if self.drag.is_none() => self.outline = Outline::default(),
            // Corners set by earlier clicks stay until the outline closes.
            Gesture::Stroke(_) | Gesture::Point | Gesture::Outline(_) => {}
        }
    }

    /// Ends what [`act`] began for as long as the key of an action is down.
    pub fn key_released(&mut self, action: Action) {
        match action.press() {
            KeyPress::Holds(HeldKey::Pick) => self.picking = false,
            KeyPress::Holds(HeldKey::Pan) => self.panning = false,
            KeyPress::Holds(HeldKey::Before) => self.before = false,
            KeyPress::Once | KeyPress::Repeats => {}
        }
    }

    /// Ends the drag as if the button came up elsewhere: a stroke is recorded, an outline keeps its corners. For a window that
    /// closes or loses the keyboard.
    pub fn finish_drag(&mut self, state: &mut State) {
        match self.drag.take() {
            Some((_, Drag::Stroke(stroke))) => stroke.finish(state),
            Some((
                _,
                Drag::Outline { .. }
                | Drag::Place { .. }
                | Drag::Fill
                | Drag::Pick
                | Drag::Pan { .. }
                | Drag::Turn { .. }
                | Drag::AdjustBrush { .. },
            ))
            | None => {}
        }
    }

    /// Ends the drag and takes back what it painted or outlined.
    fn cancel_drag(&mut self, state: &mut State) {
        match self.drag.take() {
            Some((_, Drag::Stroke(stroke))) => stroke.cancel(state),
            Some((_, Drag::Outline { .. })) => self.outline.cancel_press(),
            Some((_, Drag::Place { placing, .. })) => state.place_moved(&placing.start().placement),
            Some((_, Drag::Fill | Drag::Pick | Drag::Pan { .. } | Drag::Turn { .. } | Drag::AdjustBrush { .. }))
            | None => {}
        }
    }

    /// Cancels the drag and every corner set before it.
    fn cancel(&mut self, state: &mut State) {
        self.cancel_drag(state);
        self.outline = Outline::default();
        if let Some(session) = &mut state.session {
            session.cancel_fill();
        }
    }

    /// Begins afresh on another study. A stroke in the making is gone with the study that it was begun on.
    pub fn reset(&mut self) {
        (self.drag, self.outline, self.last_end) = (None, Outline::default(), None);
    }

    fn pressed(&mut self, at: [f64; 2], button: Button, reading: Reading, double: bool, scene: &mut Scene<'_>) {
        self.hover = Some(at);
        if self.drag.is_some() || scene.state.session.is_none() || !(scene.on_canvas)(at) {
            return;
        }
        let paints = matches!(button, Button::Paint | Button::Eraser) && !self.panning && !self.modifiers.ctrl;
        if paints && scene.panels.crops_canvas() {
            return;
        }
        let canvas = scene.view.canvas_from_window(at);
        let moving = scene.state.session.as_ref().and_then(Session::moving);
        let drag = match button {
            Button::Middle => Drag::Pan { last: at },
            Button::Right => Drag::Turn { last: at },
            Button::Paint if self.panning => Drag::Pan { last: at },
            Button::Paint if self.modifiers.ctrl && self.modifiers.shift => {
                let Some(session) = &scene.state.session else { return };
                Drag::AdjustBrush { from: at, brush: session.brush().clone(), across: None }
            }
            Button::Paint if self.modifiers.ctrl => Drag::Turn { last: at },
            Button::Paint if self.picking => {
                load::pick(scene.state, canvas);
                Drag::Pick
            }
            Button::Paint | Button::Eraser if let Some(moving) = moving => {
                let grip = Handles::of(&moving, scene.view, scene.points).grip(at, scene.points);
                Drag::Place { placing: Placing::begin(moving, grip, canvas), to: None }
            }
            Button::Paint | Button::Eraser => {
                let eraser = button == Button::Eraser;
                match if eraser { Gesture::Stroke(StrokeTool::Scrape) } else { scene.state.tool.gesture() } {
                    Gesture::Stroke(tool) => {
                        let first = sample(canvas, reading, scene.state);
                        // A straight line goes on from where the last stroke ended.
                        let from = self.last_end.filter(|_| self.modifiers.shift).unwrap_or(first);
                        let Some(mut stroke) = Stroke::begin(scene.state, tool, from) else { return };
                        stroke.add(first, self.modifiers.shift);
                        Drag::Stroke(stroke)
                    }
                    Gesture::Point => Drag::Fill,
                    Gesture::Outline(of) => {
                        self.outline.press(canvas);
                        Drag::Outline { double, of }
                    }
                }
            }
        };
        self.drag = Some((button, drag));
    }

    #[expect(clippy::cast_possible_truncation, reason = "a change of the brush in single precision")]
    fn moved(&mut self, at: [f64; 2], reading: Reading, scene: &mut Scene<'_>) {
        self.hover = Some(at);
        let canvas = scene.view.canvas_from_window(at);
        let Some((_, drag)) = &mut self.drag else { return };
        match drag {
            Drag::Stroke(stroke) => stroke.add(sample(canvas, reading, scene.state), self.modifiers.shift),
            Drag::Outline { .. } => self.outline.drag(canvas, scene.points / scene.view.scale()),
            Drag::Place { to, .. } => *to = Some(canvas),
            Drag::Fill => {}
            Drag::Pick => load::pick(scene.state, canvas),
            Drag::Pan { last } => {
                scene.view.pan([at[0] - last[0], at[1] - last[1]]);
                *last = at;
            }
            Drag::Turn { last } => {
                let middle = scene.view.area.middle();
                let angle = |p: [f64; 2]| (p[1] - middle[1]).atan2(p[0] - middle[0]);
                scene.view.turn_at(middle, angle(at) - angle(*last));
                *last = at;
            }
            Drag::AdjustBrush { from, brush, across } => {
                let by = [0, 1].map(|i| (at[i] - from[i]) / scene.points);
                if across.is_none() && by[0].hypot(by[1]) >= DIRECTION_POINTS {
                    *across = Some(by[0].abs() >= by[1].abs());
                }
                match across {
                    Some(true) => {
                        let factor = (by[0] / SIZE_DOUBLES_POINTS).exp2() as f32;
                        act::change_brush(scene.state, |b| b.size_px = brush.size_px * factor);
                    }
                    Some(false) => {
                        let more = (-by[1] / STRENGTH_POINTS) as f32;
                        act::change_brush(scene.state, |b| b.strength = brush.strength + more);
                    }
                    None => {}
                }
            }
        }
    }

    fn released(&mut self, at: [f64; 2], button: Button, scene: &mut Scene<'_>) {
        self.hover = Some(at);
        let Some((_, drag)) = self.drag.take_if(|(pressed, _)| *pressed == button) else { return };
        match drag {
            Drag::Stroke(stroke) => {
                self.last_end = stroke.end();
                stroke.finish(scene.state);
            }
            Drag::Outline { double, of } => {
                if self.outline.release(scene.points / scene.view.scale(), double) {
                    self.outline.finish(scene.state, of, scene.points / scene.view.scale());
                }
            }
            Drag::Place { placing, to } => {
                if let Some(at) = to {
                    scene.state.place_moved(&placing.placement(at, self.modifiers.shift));
                }
            }
            Drag::Fill => fill(scene.state, scene.view.canvas_from_window(at)),
            Drag::Pick | Drag::Pan { .. } | Drag::Turn { .. } | Drag::AdjustBrush { .. } => {}
        }
    }

    /// What brushes are to take of what a device tells. Where there is a pen, fingers only move the canvas from then on.
    fn heard(&mut self, reading: Reading, state: &mut State) -> Reading {
        if reading.pen && self.fingers.pen_near(reading.time_ms) {
            self.cancel_drag(state);
        }
        Reading { pressure: state.pen.hear(reading.pressure), ..reading }
    }

    /// The system took a touch away: what it painted was not meant.
    fn finger_cancelled(&mut self, id: u64, state: &mut State) {
        if self.fingers.paints(id) {
            self.cancel_drag(state);
        }
        self.fingers.lifted(id);
        self.hover = None;
    }

    fn finger(&mut self, id: u64, at: Option<[f64; 2]>, reading: Reading, scene: &mut Scene<'_>) {
        let Some(at) = at else {
            if self.fingers.paints(id)
                && let Some(at) = self.hover
            {
                self.released(at, Button::Paint, scene);
            }
            self.fingers.lifted(id);
            self.hover = None;
            return;
        };
        let first = self.fingers.is_empty();
        // What touches while something else draws is the hand that holds it.
        let rests = first && self.drag.is_some();
        if !self.fingers.is_ours(id, !rests && (scene.on_canvas)(at)) {
            return;
        }
        if !first && !self.fingers.moving() && !self.fingers.paints(id) {
            // A second finger: the first did not mean to paint.
            self.cancel_drag(scene.state);
        }
        self.fingers.at(id, at, reading.time_ms, scene.points, scene.view);
        if !self.fingers.paints(id) {
            return;
        }
        if first {
            self.pressed(at, Button::Paint, reading, false, scene);
        } else {
            self.moved(at, reading, scene);
        }
    }
}

/// Fills the area at a canvas point; a refusal becomes a notice.
#[expect(clippy::cast_possible_truncation, reason = "a place on the canvas, of at most 16384 pixels a side")]
fn fill(state: &mut State, canvas: [f64; 2]) {
    let [x, y] = canvas.map(f64::floor);
    if x >= 0.0 && y >= 0.0 {
        let FillSettings { tolerance, gap_px } = state.fill;
        state.begin_fill(Fill { at: (x as u32, y as u32), tolerance, gap_px });
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a place on the canvas in the single precision of samples")]
fn sample([x, y]: [f64; 2], reading: Reading, state: &State) -> PenSample {
    use stint_render::mask::Pointer::{Mouse, Pen};
    let Reading { pressure, tilt_degrees, twist_degrees, time_ms, pen: _ } = reading;
    PenSample {
        time_ms,
        tilt_degrees,
        twist_degrees,
        // A mouse that shall not be helped is a pen that always presses fully.
        pointer: if pressure.is_none() && state.preferences.lively_mouse { Mouse } else { Pen },
        ..PenSample::new(x as f32, y as f32, pressure.unwrap_or(1.0).clamp(0.0, 1.0))
    }
}
