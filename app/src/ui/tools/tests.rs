//! The tools on a canvas without a window.

use super::input::{Button, Input, PointerModifiers, Reading};
use super::*;
use crate::study::command::Command;
use crate::study::session::{Loaded, Session};
use crate::ui::canvas_view::transform::Area;
use crate::ui::stale::Stale;
use crate::ui::tool_kind::ToolKind;
use stint_model::board::Board;
use stint_render::choose::EngineChoice;

/// A study of 400 x 300 px in a view of 500 x 400 window pixels, with everything that the tools work on.
struct Easel {
    state: State,
    panels: PanelState,
    view: View,
    pointer: Pointer,
}

impl Easel {
    fn new() -> Self {
        let session = Session::in_memory((400, 300), Board::default(), EngineChoice::Cpu).unwrap();
        let mut state = State { session: Some(session), ..State::default() };
        for (role, colour) in [("Local", "#5b6f8f"), ("Light", "#9fb1c8")] {
            let text = format!("AddSwatch(family: \"Sky\", role: {role}, colour: \"{colour}\")");
            assert!(state.apply(&ron::from_str::<Command>(&text).unwrap()));
        }
        load::walk(&mut state, load::Walk::Right);
        let mut view = View::default();
        view.set_area(Area { left: 0.0, top: 0.0, width: 500.0, height: 400.0 }, 1.0);
        view.fit([400, 300]);
        view.actual_size();
        Easel { state, panels: PanelState::default(), view, pointer: Pointer::default() }
    }

    fn take(&mut self, inputs: &[Input]) {
        for &input in inputs {
            let area = self.view.area;
            // A panel covers the left edge.
            let on_canvas = move |at: [f64; 2]| area.contains(at) && at[0] > 40.0;
            let mut scene = Scene {
                state: &mut self.state,
                panels: &mut self.panels,
                view: &mut self.view,
                on_canvas: &on_canvas,
                points: 1.0,
            };
            self.pointer.take(input, &mut scene);
        }
        self.pointer.show(&mut self.state, &mut self.panels);
    }

    fn act(&mut self, action: Action) {
        let on_canvas = |_: [f64; 2]| true;
        let mut scene = Scene {
            state: &mut self.state,
            panels: &mut self.panels,
            view: &mut self.view,
            on_canvas: &on_canvas,
            points: 1.0,
        };
        act(&mut self.pointer, action, &mut scene);
        self.pointer.show(&mut self.state, &mut self.panels);
    }

    fn session(&self) -> &Session {
        self.state.session.as_ref().unwrap()
    }

    fn painted(&self) -> f64 {
        self.state.readout.as_ref().map_or(0.0, |r| r.painted_px)
    }
}

fn press(at: [f64; 2]) -> Input {
    Input::Pressed { at, button: Button::Paint, reading: Reading::pressed(1.0), double: false }
}

fn moved(at: [f64; 2]) -> Input {
    Input::Moved { at, reading: Reading::pressed(1.0) }
}

fn release(at: [f64; 2]) -> Input {
    Input::Released { at, button: Button::Paint }
}

const A: [f64; 2] = [150.0, 150.0];
const B: [f64; 2] = [300.0, 200.0];

#[test]
fn a_stroke_shows_while_it_is_painted_and_is_recorded_when_the_pen_lifts() {
    let mut easel = Easel::new();
    easel.state.stale = Stale::default();
    easel.take(&[press(A), moved([200.0, 160.0]), moved([250.0, 190.0])]);
    assert!(matches!(&easel.state.stale, Stale::Tiles(tiles) if !tiles.is_empty()));
    assert_eq!(easel.session().strokes(), 0);
    easel.take(&[moved(B), release(B)]);
    assert_eq!(easel.session().strokes(), 1);
    assert!(easel.painted() > 1000.0, "the readout follows at once");
    assert!(!easel.pointer.is_busy());
}

#[test]
fn events_of_one_frame_or_of_many_paint_the_same() {
    let path: Vec<_> = (0..30).map(|i| [120.0 + f64::from(i) * 7.0, 150.0 + f64::from(i % 7) * 9.0]).collect();
    let all: Vec<_> = std::iter::once(press(path[0])).chain(path[1..].iter().map(|&p| moved(p))).collect();
    let (mut one, mut many) = (Easel::new(), Easel::new());
    one.take(&[&all[..], &[release(path[29])]].concat());
    for &input in all.iter().chain(&[release(path[29])]) {
        many.take(&[input]);
    }
    let tiles = |easel: &mut Easel| {
        let tiles = easel.state.session.as_mut().unwrap().canvas().all_tiles().unwrap();
        tiles.into_iter().map(|(key, pixels)| (key, (*pixels).clone())).collect::<Vec<_>>()
    };
    assert!(tiles(&mut one) == tiles(&mut many));
}

#[test]
fn a_press_on_a_panel_paints_nothing_and_a_stroke_may_leave_the_canvas() {
    let mut easel = Easel::new();
    easel.take(&[press([20.0, 100.0]), moved(B), release(B)]);
    assert_eq!(easel.session().strokes(), 0);
    easel.take(&[press(A), moved([20.0, 100.0]), moved([-50.0, 900.0]), release([-50.0, 900.0])]);
    assert_eq!(easel.session().strokes(), 1);
}

#[test]
fn escape_cancels_a_stroke_and_losing_the_keyboard_finishes_it() {
    let mut easel = Easel::new();
    easel.take(&[press(A), moved(B)]);
    easel.act(Action::Cancel);
    easel.take(&[release(B)]);
    assert_eq!((easel.session().strokes(), easel.painted()), (0, 0.0));
    easel.take(&[press(A), moved(B), Input::FocusLost, release(B)]);
    assert_eq!(easel.session().strokes(), 1);
}

#[test]
fn an_empty_brush_says_so_and_the_next_press_still_works() {
    let mut easel = Easel::new();
    let session = Session::in_memory((100, 100), Board::default(), EngineChoice::Cpu).unwrap();
    easel.state.session = Some(session);
    easel.take(&[press(A), moved(B), release(B)]);
    assert!(easel.state.notices.last().unwrap().contains("the brush is empty"));
    assert!(!easel.pointer.is_busy());
}

#[test]
fn scraping_takes_off_with_the_tool_or_the_other_end_of_the_pen() {
    let mut easel = Easel::new();
    easel.take(&[press(A), moved(B), release(B)]);
    let full = easel.painted();
    let eraser = Input::Pressed { at: A, button: Button::Eraser, reading: Reading::pressed(1.0), double: false };
    easel.take(&[eraser, moved([220.0, 175.0]), Input::Released { at: A, button: Button::Eraser }]);
    let less = easel.painted();
    assert!(less < full * 0.8, "{less} {full}");
    easel.act(Action::Tool(ToolKind::Scrape));
    easel.take(&[press(A), moved(B), release(B)]);
    assert!(easel.painted() < less * 0.8);
}

#[test]
fn a_mass_is_drawn_freely_or_by_corners() {
    let mut easel = Easel::new();
    easel.act(Action::Tool(ToolKind::Mass));
    let square = [[150.0, 100.0], [300.0, 100.0], [300.0, 250.0], [150.0, 250.0]];
    easel.take(&[press(square[0]), moved(square[1]), moved(square[2]), moved(square[3]), release(square[3])]);
    assert_eq!(easel.session().strokes(), 1);
    assert!((easel.painted() - 150.0 * 150.0).abs() < 650.0, "{}", easel.painted());
    easel.act(Action::StepBack);
    assert!(easel.state.settle());
    for corner in square {
        easel.take(&[press(corner), release(corner)]);
    }
    assert_eq!(easel.session().strokes(), 0);
    easel.act(Action::Close);
    assert_eq!(easel.session().strokes(), 1);
    assert!((easel.painted() - 150.0 * 150.0).abs() < 650.0, "{}", easel.painted());
    easel.take(&[press(square[0]), release(square[0])]);
    easel.act(Action::Cancel);
    assert!(easel.pointer.outline.corners().is_empty());
}

#[test]
fn dragging_with_control_and_shift_sets_size_or_strength() {
    let mut easel = Easel::new();
    let before = easel.session().brush().clone();
    easel.take(&[
        Input::Modifiers(PointerModifiers { shift: true, ctrl: true }),
        press(A),
        moved([A[0] + 90.0, A[1] + 4.0]),
    ]);
    assert!((easel.session().brush().size_px - before.size_px * 2.0).abs() < 0.01);
    assert_eq!(easel.session().brush().strength, before.strength);
    easel.take(&[release(A), press(A), moved([A[0] + 3.0, A[1] + 120.0]), release(A)]);
    assert!((easel.session().brush().strength - (before.strength - 0.5)).abs() < 0.01);
    assert_eq!(easel.session().strokes(), 0);
}

#[test]
fn pan_and_turn_move_the_view_and_paint_nothing() {
    let mut easel = Easel::new();
    let under = easel.view.canvas_from_window(A);
    easel.act(Action::Pan);
    easel.take(&[press(A), moved(B), release(B)]);
    easel.pointer.key_released(Action::Pan);
    let now = easel.view.canvas_from_window(B);
    assert!((now[0] - under[0]).hypot(now[1] - under[1]) < 1.0);
    let middle = |at, button| Input::Pressed { at, button, reading: Reading::pressed(1.0), double: false };
    easel.take(&[middle([450.0, 200.0], Button::Right), moved([250.0, 390.0])]);
    easel.take(&[Input::Released { at: A, button: Button::Right }]);
    assert!((easel.view.angle_radians() - std::f64::consts::FRAC_PI_2).abs() < 0.01, "{}", easel.view.angle_radians());
    assert_eq!(easel.session().strokes(), 0);
}

#[test]
fn a_second_finger_cancels_the_stroke_and_moves_the_view() {
    let mut easel = Easel::new();
    let finger = |id, at: [f64; 2]| Input::Finger { id, at: Some(at), reading: Reading::pressed(0.5) };
    easel.take(&[finger(1, A), finger(1, [170.0, 160.0])]);
    assert!(easel.pointer.is_busy());
    let scale = easel.view.scale();
    easel.take(&[finger(2, B), finger(2, [400.0, 260.0])]);
    for id in [1, 2] {
        easel.take(&[Input::Finger { id, at: None, reading: Reading::default() }]);
    }
    assert_eq!((easel.session().strokes(), easel.painted()), (0, 0.0));
    assert!(easel.view.scale() > scale);
    easel.take(&[finger(3, A), finger(3, B), Input::Finger { id: 3, at: None, reading: Reading::default() }]);
    assert_eq!(easel.session().strokes(), 1);
}

#[test]
fn the_pick_key_picks_at_once_and_while_it_is_held() {
    let mut easel = Easel::new();
    let first = easel.session().loaded();
    easel.take(&[press(A), moved(B), release(B)]);
    load::walk(&mut easel.state, load::Walk::Lighter);
    easel.take(&[moved(A)]);
    easel.act(Action::Pick);
    assert_eq!(easel.session().loaded(), first);
    assert!(matches!(first, Some(Loaded::Swatch(_))));
    load::walk(&mut easel.state, load::Walk::Lighter);
    easel.take(&[press(B), release(B)]);
    assert_eq!(easel.session().loaded(), first);
    assert_eq!(easel.session().strokes(), 1, "no paint was laid while picking");
}

#[test]
fn a_click_with_the_fill_tool_fills_an_area_as_one_step() {
    let mut easel = Easel::new();
    easel.state.tool = ToolKind::Fill;
    easel.take(&[press(A), moved(B)]);
    assert_eq!(easel.session().strokes(), 0, "nothing is filled before the button comes up");
    easel.act(Action::Cancel);
    easel.take(&[release(B)]);
    assert_eq!(easel.session().strokes(), 0, "cancelled");
    easel.take(&[press(A), release(A)]);
    // It is looked for beside the window.
    assert!(easel.state.settle());
    easel.state.follow_recording();
    assert_eq!(easel.session().strokes(), 1);
    // Nothing bounds the bare canvas.
    let (width, height) = (easel.session().document().width, easel.session().document().height);
    assert_eq!(easel.painted(), f64::from(width) * f64::from(height));
}

#[test]
fn the_photo_is_looked_at_before_its_adjustments_while_the_key_is_down() {
    let mut easel = Easel::new();
    easel.act(Action::Before);
    assert!(easel.panels.looks_before());
    easel.pointer.key_released(Action::Before);
    easel.take(&[]);
    assert!(!easel.panels.looks_before());
    easel.act(Action::Before);
    easel.take(&[Input::FocusLost]);
    assert!(!easel.panels.looks_before());
}

#[test]
fn on_the_large_photo_keys_mean_the_photo() {
    let mut easel = Easel::new();
    easel.act(Action::PhotoPage);
    assert_eq!(easel.panels.page, crate::ui::panels::Page::Photo);
    let before = easel.view.scale();
    for action in [Action::ZoomIn, Action::Fit, Action::ActualSize, Action::TurnLeft] {
        easel.act(action);
    }
    assert_eq!((easel.view.scale(), easel.state.requests.len()), (before, 0));
    easel.act(Action::Cancel);
    assert_eq!(easel.panels.page, crate::ui::panels::Page::Canvas);
    easel.act(Action::ZoomIn);
    assert!(easel.view.scale() > before);
}

fn finger(id: u64, at: Option<[f64; 2]>) -> Input {
    Input::Finger { id, at, reading: Reading::default() }
}

#[test]
fn two_fingers_on_panels_leave_the_canvas_where_it_is() {
    let mut easel = Easel::new();
    let before = easel.view.window_from_canvas([100.0, 100.0]);
    let panel = |y: f64| Some([20.0, y]);
    easel.take(&[finger(1, panel(80.0)), finger(2, panel(160.0)), finger(1, panel(60.0)), finger(2, panel(300.0))]);
    // A finger that came from a panel stays none of the canvas's, wherever it goes.
    easel.take(&[finger(2, Some(B)), finger(1, Some(A)), finger(2, Some([250.0, 190.0]))]);
    assert_eq!(easel.view.window_from_canvas([100.0, 100.0]), before);
    // One on a panel and one on the canvas: the latter paints.
    easel.take(&[finger(2, None), finger(3, Some(A)), finger(3, Some(B)), finger(3, None), finger(1, None)]);
    assert_eq!((easel.session().strokes(), easel.view.window_from_canvas([100.0, 100.0])), (1, before));
    // Two on the canvas move it as ever.
    easel.take(&[finger(1, Some(A)), finger(2, Some(B)), finger(2, Some([B[0] + 30.0, B[1] + 20.0]))]);
    assert_ne!(easel.view.window_from_canvas([100.0, 100.0]), before);
}

#[test]
fn a_cancelled_touch_takes_its_stroke_back_and_the_next_one_paints() {
    let mut easel = Easel::new();
    easel.take(&[finger(1, Some(A)), finger(1, Some(B)), Input::FingerCancelled { id: 1 }]);
    assert!(!easel.pointer.is_busy());
    assert_eq!((easel.session().strokes(), easel.painted()), (0, 0.0));
    easel.take(&[finger(1, Some(A)), finger(1, Some(B)), finger(1, None), Input::FingerCancelled { id: 1 }]);
    assert_eq!(easel.session().strokes(), 1, "a finger that lifted is not cancelled");
}

#[test]
fn where_there_is_a_pen_fingers_only_move_the_canvas() {
    let pen = |time_ms| Reading { pen: true, time_ms: Some(time_ms), ..Reading::pressed(0.7) };
    let tip = |at, time_ms| Input::Pressed { at, button: Button::Paint, reading: pen(time_ms), double: false };
    let touch = |id, at: [f64; 2], time_ms| Input::Finger {
        id,
        at: Some(at),
        reading: Reading { time_ms: Some(time_ms), ..Reading::default() },
    };
    let mut easel = Easel::new();
    let corner = |easel: &Easel| easel.view.window_from_canvas([100.0, 100.0]);
    let before = corner(&easel);
    // The hand comes first, and the pen follows: what the hand began to paint was not meant.
    easel.take(&[touch(1, A, 0.0), touch(1, [170.0, 150.0], 10.0)]);
    assert!(easel.pointer.is_busy());
    easel.take(&[tip(B, 20.0), touch(1, [180.0, 160.0], 30.0), touch(2, [60.0, 300.0], 35.0)]);
    easel.take(&[touch(2, [90.0, 300.0], 40.0), Input::Moved { at: [320.0, 220.0], reading: pen(50.0) }]);
    easel.take(&[release([320.0, 220.0]), finger(1, None), finger(2, None)]);
    assert_eq!((easel.session().strokes(), corner(&easel)), (1, before), "the pen's stroke alone, on a canvas at rest");
    // A hand that rests while the pen is near moves nothing.
    easel.take(&[touch(3, A, 200.0), touch(3, B, 210.0), finger(3, None)]);
    assert_eq!((easel.session().strokes(), corner(&easel)), (1, before));
    // Later a finger moves the canvas once it has gone some way, and paints nothing.
    easel.take(&[touch(4, A, 900.0), touch(4, [A[0] + 5.0, A[1]], 910.0)]);
    assert_eq!(corner(&easel), before);
    easel.take(&[touch(4, [A[0] + 20.0, A[1]], 920.0), touch(4, [A[0] + 50.0, A[1] + 10.0], 930.0), finger(4, None)]);
    let after = corner(&easel);
    assert!((after[0] - before[0] - 30.0).abs() < 1e-9 && (after[1] - before[1] - 10.0).abs() < 1e-9, "{after:?}");
    // Two fingers zoom as ever, and the pen paints as ever.
    let scale = easel.view.scale();
    easel.take(&[touch(5, A, 2000.0), touch(6, B, 2000.0), touch(6, [400.0, 260.0], 2010.0)]);
    easel.take(&[finger(5, None), finger(6, None)]);
    assert!(easel.view.scale() > scale);
    easel.take(&[tip(A, 3000.0), Input::Moved { at: B, reading: pen(3010.0) }, release(B)]);
    assert_eq!(easel.session().strokes(), 2);
}

#[test]
fn a_refused_mass_keeps_its_outline() {
    let mut easel = Easel::new();
    let mut empty = Session::in_memory((400, 300), Board::default(), EngineChoice::Cpu).unwrap();
    std::mem::swap(easel.state.session.as_mut().unwrap(), &mut empty);
    easel.act(Action::Tool(ToolKind::Mass));
    for corner in [[150.0, 100.0], [300.0, 100.0], [300.0, 250.0]] {
        easel.take(&[press(corner), release(corner)]);
    }
    easel.act(Action::Close);
    assert!(easel.state.notices.last().unwrap().contains("the brush is empty"));
    // The brush is loaded, and the same outline closes.
    std::mem::swap(easel.state.session.as_mut().unwrap(), &mut empty);
    easel.act(Action::Close);
    assert_eq!(easel.session().strokes(), 1);
    easel.act(Action::Close);
    assert_eq!(easel.session().strokes(), 1, "and is gone once it is filled");
}

#[test]
fn another_engine_leaves_everything_as_it_was() {
    let mut easel = Easel::new();
    easel.take(&[press(A), moved(B), release(B)]);
    let (painted, loaded) = (easel.painted(), easel.session().loaded());
    let (epoch, changes) = (easel.state.epoch, easel.session().changes());
    easel.panels.toggle_keys();
    let mut trial = easel.session().document().board.clone();
    trial.name = "Tried out".to_owned();
    easel.state.try_board(Some(&trial));
    let lost = stint_render::engine::EngineError::DeviceLost("planted".to_owned());
    crate::ui::studies::replace_engine(&mut easel.state, &lost);
    assert_eq!((easel.painted(), easel.session().loaded()), (painted, loaded));
    assert_eq!((easel.state.epoch, easel.session().changes()), (epoch, changes));
    assert!(easel.panels.key_sheet_is_open(), "panels and sheets stay");
    easel.panels.follow_study(&easel.state);
    assert!(easel.panels.key_sheet_is_open());
    assert_eq!(easel.state.trial_board.as_ref(), Some(&trial));
    assert!(easel.state.notices.last().unwrap().contains("planted"));
    // A stroke in the making is gone with the device.
    easel.take(&[press(A), moved([400.0, 350.0])]);
    easel.pointer.reset();
    crate::ui::studies::replace_engine(&mut easel.state, &lost);
    assert_eq!((easel.session().strokes(), easel.painted()), (1, painted));
    easel.take(&[press(A), moved(B), release(B)]);
    assert_eq!(easel.session().strokes(), 2);
}

/// A study that is only looked at stays one that is only looked at, with all its paint.
#[test]
fn another_engine_leaves_a_study_that_cannot_be_written_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.stint");
    let mut session = Session::create(&path, (400, 300), Board::default(), EngineChoice::Cpu).unwrap();
    for text in [
        "AddSwatch(family: \"Sky\", role: Local, colour: \"#5b6f8f\")",
        "Load(Swatch(family: \"Sky\", role: Local))",
        "Mass(outline: [(50.0, 20.0), (300.0, 100.0), (90.0, 250.0)])",
    ] {
        session.apply(&ron::from_str(text).unwrap()).unwrap();
    }
    session.close().unwrap();
    let before = std::fs::read(&path).unwrap();
    let session = Session::open_read_only(&path, EngineChoice::Cpu).unwrap();
    let mut easel = Easel::new();
    easel.state.session = Some(session);
    easel.state.refresh();
    let painted = easel.painted();
    let lost = stint_render::engine::EngineError::DeviceLost("planted".to_owned());
    crate::ui::studies::replace_engine(&mut easel.state, &lost);
    assert!(easel.session().is_read_only() && painted > 1000.0);
    assert_eq!(easel.painted(), painted);
    load::walk(&mut easel.state, load::Walk::Right);
    easel.take(&[press(A), moved(B), release(B)]);
    easel.state.settle();
    easel.state.follow_recording();
    assert_eq!((easel.session().strokes(), easel.painted()), (1, painted));
    let notices = &easel.state.notices;
    assert!(notices.iter().any(|notice| notice.contains("opened for reading only")), "{notices:?}");
    assert!(std::fs::read(&path).unwrap() == before);
}

/// Samples of the last stroke.
fn recorded(easel: &Easel) -> Vec<PenSample> {
    let steps = easel.session().steps();
    match ron::from_str(&steps.last().unwrap().command).unwrap() {
        Command::Stroke(samples) => samples,
        other => panic!("no stroke: {other:?}"),
    }
}

#[test]
fn shift_draws_straight_within_a_stroke_and_on_from_the_last_one() {
    let mut easel = Easel::new();
    let shift = |shift| Input::Modifiers(PointerModifiers { shift, ctrl: false });
    let on_canvas = |easel: &Easel, at| easel.view.canvas_from_window(at).map(|v| v as f32);
    let place = |s: &PenSample| [s.x_px, s.y_px];
    easel.take(&[press(A), moved([160.0, 190.0]), shift(true)]);
    for at in [[200.0, 300.0], [260.0, 160.0], B] {
        easel.take(&[moved(at)]);
    }
    easel.take(&[release(B)]);
    let samples = recorded(&easel);
    let (from, to) = (on_canvas(&easel, [160.0, 190.0]), on_canvas(&easel, B));
    assert_eq!(place(samples.last().unwrap()), to);
    for sample in &samples[1..] {
        let off = (to[0] - from[0]) * (sample.y_px - from[1]) - (to[1] - from[1]) * (sample.x_px - from[0]);
        assert!(off.abs() < 0.1 * (to[0] - from[0]).hypot(to[1] - from[1]), "{sample:?} is beside the line");
    }
    // Pressed elsewhere with the key down: from the end of the last stroke, straight to there.
    let there = [180.0, 260.0];
    easel.take(&[press(there), release(there), shift(false)]);
    let samples = recorded(&easel);
    assert_eq!((place(&samples[0]), place(samples.last().unwrap())), (to, on_canvas(&easel, there)));
    assert_eq!(easel.session().strokes(), 2);
}

#[test]
fn lean_turn_and_time_of_a_pen_come_into_the_stroke_and_a_mouse_is_told_from_it() {
    let mut easel = Easel::new();
    let reading = |time_ms| Reading {
        pressure: Some(0.5),
        tilt_degrees: Some([30.0, -10.0]),
        twist_degrees: Some(90.0),
        time_ms: Some(time_ms),
        pen: true,
    };
    easel.take(&[
        Input::Pressed { at: A, button: Button::Paint, reading: reading(1000.0), double: false },
        Input::Moved { at: B, reading: reading(1008.0) },
        Input::Moved { at: B, reading: reading(1016.0) },
        release(B),
    ]);
    let samples = recorded(&easel);
    assert_eq!(samples.len(), 2, "a pen at rest gives none: {samples:?}");
    assert_eq!((samples[0].time_ms, samples[1].time_ms), (Some(0.0), Some(8.0)));
    assert_eq!((samples[1].tilt_degrees, samples[1].twist_degrees), (Some([30.0, -10.0]), Some(90.0)));
    let mouse = Input::Pressed { at: A, button: Button::Paint, reading: Reading::default(), double: false };
    easel.take(&[mouse, release(A)]);
    let samples = recorded(&easel);
    assert_eq!((samples[0].pressure, samples[0].pointer), (1.0, stint_render::mask::Pointer::Mouse));
    // A mouse that shall not be helped.
    easel.state.preferences.lively_mouse = false;
    easel.take(&[mouse, release(A)]);
    assert_eq!(recorded(&easel)[0].pointer, stint_render::mask::Pointer::Pen);
}

#[test]
fn keys_take_up_a_brush_by_its_place_and_the_one_before() {
    let mut easel = Easel::new();
    let held = |easel: &Easel| easel.state.brushes.chosen_brush().unwrap().named.clone();
    let first = held(&easel);
    easel.act(Action::BrushBefore);
    assert_eq!(held(&easel), first, "there was none before");
    let key = |index: usize| Action::Brush(crate::ui::keys::BrushPlace::at(index).unwrap());
    easel.act(Action::Tool(ToolKind::Mass));
    easel.act(key(3));
    let fourth = held(&easel);
    assert_eq!(fourth.name, easel.state.brushes.all()[3].named.name);
    assert_eq!((easel.session().brush(), easel.state.tool), (&fourth.brush, ToolKind::Brush));
    easel.act(Action::Larger);
    easel.act(Action::Tool(ToolKind::Soften));
    easel.act(Action::BrushBefore);
    assert_eq!((held(&easel).name, easel.state.tool), (first.name.clone(), ToolKind::Soften));
    // There and back, as it was set when it was laid aside.
    easel.act(Action::BrushBefore);
    assert!(easel.session().brush().size_px > fourth.brush.size_px);
    // The key of the brush in hand lays nothing aside.
    easel.act(key(3));
    easel.act(Action::BrushBefore);
    assert_eq!(held(&easel).name, first.name);
    // There are nine brushes; a place beyond the last is nobody's.
    assert_eq!(crate::ui::keys::BrushPlace::at(9), None);
    easel.take(&[press(A)]);
    easel.act(key(3));
    easel.take(&[release(A)]);
    assert_eq!(held(&easel).name, first.name, "no brush is changed while it paints");
}

/// Outlines the square between two window places with the tool that protects.
fn protect(easel: &mut Easel, [left, top]: [f64; 2], [right, bottom]: [f64; 2]) {
    easel.act(Action::Tool(ToolKind::Protect));
    for corner in [[left, top], [right, top], [right, bottom], [left, bottom]] {
        easel.take(&[press(corner), release(corner)]);
    }
    easel.act(Action::Close);
}

#[test]
fn an_area_is_outlined_and_strokes_stay_on_one_side_of_it() {
    let mut easel = Easel::new();
    protect(&mut easel, [200.0, 100.0], [300.0, 250.0]);
    assert!(easel.session().is_protecting() && easel.session().strokes() == 0);
    easel.act(Action::Tool(ToolKind::Brush));
    easel.take(&[press(A), moved(B), moved([350.0, 200.0]), release([350.0, 200.0])]);
    let inside = easel.painted();
    assert!(inside > 500.0);
    easel.act(Action::StepBack);
    assert!(easel.state.settle());
    // Put away it holds nothing back.
    easel.act(Action::UseArea);
    easel.take(&[press(A), moved(B), moved([350.0, 200.0]), release([350.0, 200.0])]);
    assert!(easel.painted() > 1.5 * inside, "{} {inside}", easel.painted());
    easel.act(Action::StepBack);
    assert!(easel.state.settle());
    easel.act(Action::UseArea);
    assert!(easel.session().is_protecting());
    easel.state.set_paintable_side(stint_model::study::protected::Side::Outside);
    easel.take(&[press([230.0, 150.0]), moved([260.0, 160.0]), release([260.0, 160.0])]);
    assert!(easel.state.notices.last().unwrap().contains("the protected part"), "{:?}", easel.state.notices);
    assert_eq!(easel.painted(), 0.0);
}

#[test]
fn what_is_in_an_area_is_moved_by_pointer_and_arrows() {
    let mut easel = Easel::new();
    easel.act(Action::Tool(ToolKind::Mass));
    for corner in [[200.0, 100.0], [260.0, 100.0], [260.0, 160.0], [200.0, 160.0]] {
        easel.take(&[press(corner), release(corner)]);
    }
    easel.act(Action::Close);
    let (painted, loaded) = (easel.painted(), easel.session().loaded());
    protect(&mut easel, [190.0, 90.0], [270.0, 170.0]);
    let placement = |easel: &Easel| easel.session().moving().unwrap().placement;
    let depths = easel.session().depths();
    easel.act(Action::MoveArea);
    easel.take(&[press([230.0, 120.0]), moved([250.0, 125.0]), moved([290.0, 160.0])]);
    assert_eq!(placement(&easel).by, [60.0, 40.0]);
    // Cancelled, the drag alone is taken back.
    easel.act(Action::Cancel);
    assert_eq!(placement(&easel).by, [0.0, 0.0]);
    easel.take(&[press([230.0, 120.0]), moved([290.0, 160.0]), release([290.0, 160.0])]);
    easel.act(Action::FamilyLeft);
    easel.act(Action::Darker);
    easel.act(Action::Darker);
    assert_eq!(placement(&easel).by, [59.0, 42.0]);
    assert_eq!((easel.session().loaded(), easel.session().depths()), (loaded, depths));
    easel.act(Action::Close);
    assert_eq!((easel.session().depths().0, easel.painted()), (depths.0 + 1, painted));
    // Taken up again at its new place, and let go.
    easel.act(Action::MoveArea);
    easel.act(Action::Lighter);
    easel.act(Action::Cancel);
    assert!(!easel.state.is_moving());
    easel.act(Action::StepBack);
    assert!(easel.state.settle());
    assert_eq!((easel.session().depths(), easel.painted()), ((depths.0, 1), painted));
}

#[test]
fn a_corner_scales_and_another_tool_puts_down_what_is_moved() {
    let mut easel = Easel::new();
    easel.act(Action::Tool(ToolKind::Mass));
    for corner in [[200.0, 100.0], [260.0, 100.0], [260.0, 160.0], [200.0, 160.0]] {
        easel.take(&[press(corner), release(corner)]);
    }
    easel.act(Action::Close);
    let painted = easel.painted();
    protect(&mut easel, [190.0, 90.0], [270.0, 170.0]);
    easel.act(Action::MoveArea);
    easel.take(&[press([270.0, 170.0]), moved([310.0, 210.0]), release([310.0, 210.0])]);
    easel.act(Action::Tool(ToolKind::Brush));
    assert!(!easel.state.is_moving());
    // By hand: a box of 80 px that is drawn out to 120 holds 1.5 x 1.5 times as much.
    assert!((easel.painted() / painted - 2.25).abs() < 0.02, "{}", easel.painted() / painted);
    easel.act(Action::UseArea);
    easel.act(Action::MoveArea);
    assert!(easel.state.is_moving(), "put away, an area still says what is moved");
}
