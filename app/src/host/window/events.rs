//! From winit's events to egui's, and to what the tools take.

use crate::base::clock::{Duration, Instant};
use crate::ui::tools::input::{Button, Input, PointerModifiers, Reading};
use egui::{Event, Key, Modifiers, PointerButton, Pos2, TouchDeviceId, TouchId, TouchPhase, pos2, vec2};
use winit::event::{
    ButtonSource, FingerId, Force, KeyEvent, MouseButton, MouseScrollDelta, PointerSource, ScrollSource,
    TabletToolButton, TabletToolData, TabletToolKind,
};
use winit::keyboard::{ModifiersState, PhysicalKey};

/// Two presses within this time and [`DOUBLE_POINTS`] are a double click. Common practice, no published source.
const DOUBLE_TIME: Duration = Duration::from_millis(400);
/// See [`DOUBLE_TIME`]; logical points.
const DOUBLE_POINTS: f64 = 5.0;
/// One notch of the wheel zooms by this.
const WHEEL_STEP: f64 = 1.15;
/// Points of a smooth wheel that count as one notch.
const POINTS_A_NOTCH: f64 = 40.0;

/// The button that a browser tells for the other end of a pen (W3C, Pointer Events Level 3, values of `button`).
const ERASER_BUTTON: TabletToolButton = TabletToolButton::Other(5);

/// How near to a control a mouse or a pen presses it, points.
const REACH: f32 = 5.0;
/// How near a finger does, points: with it a control of 14 points, the smallest of ours, has the 44 that a finger needs (WCAG 2.2, 2.5.5).
const FINGER_REACH: f32 = 15.0;

/// Farther from every control than a click may slip, points.
const FAR_AWAY: Pos2 = pos2(-1.0e4, -1.0e4);

/// What a pointer event means to both sides.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct TranslatedEvent {
    /// For egui.
    pub egui: Vec<Event>,
    /// For the tools.
    pub tool: Option<Input>,
}

/// Translates; remembers what single events do not tell.
#[derive(Clone, Debug)]
pub struct Translator {
    /// Window pixels per logical point.
    pub pixels_per_point: f64,
    modifiers: Modifiers,
    /// Last place of the pointer, window pixels.
    at: [f64; 2],
    last_press: Option<(Instant, [f64; 2])>,
    /// The finger that egui takes for its pointer, while it touches.
    primary_finger: Option<u64>,
    /// The tip of a pen touches, or a button of it is down: fingers are a hand that rests then.
    pen_down: bool,
    /// Whether the last pointer was a finger.
    by_finger: bool,
    /// Whether there was a finger.
    touched: bool,
    /// When the first event of a pointer came.
    first: Option<Instant>,
}

impl Default for Translator {
    fn default() -> Self {
        Translator {
            pixels_per_point: 1.0,
            modifiers: Modifiers::NONE,
            at: [0.0; 2],
            last_press: None,
            primary_finger: None,
            pen_down: false,
            by_finger: false,
            touched: false,
            first: None,
        }
    }
}

impl Translator {
    /// The modifier keys that are down.
    pub fn modifiers(&self) -> Modifiers {
        self.modifiers
    }

    /// Last place of the pointer, window pixels.
    pub fn pointer(&self) -> [f64; 2] {
        self.at
    }

    /// How near to a control the pointer in use presses it, points.
    pub fn reach(&self) -> f32 {
        if self.by_finger { FINGER_REACH } else { REACH }
    }

    /// Whether somebody touches the screen itself: a finger was there.
    pub fn hands_on(&self) -> bool {
        self.touched
    }

    /// A window point in logical points.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "places in the window, and factors, in the single precision of egui"
    )]
    pub fn to_points(&self, [x, y]: [f64; 2]) -> Pos2 {
        pos2((x / self.pixels_per_point) as f32, (y / self.pixels_per_point) as f32)
    }

    /// Modifier keys changed.
    pub fn modifiers_changed(&mut self, state: ModifiersState) -> TranslatedEvent {
        let mac = cfg!(target_os = "macos");
        let (ctrl, meta) = (state.control_key(), state.meta_key());
        self.modifiers = Modifiers {
            alt: state.alt_key(),
            ctrl,
            shift: state.shift_key(),
            mac_cmd: mac && meta,
            command: if mac { meta } else { ctrl },
        };
        let modifiers = PointerModifiers { shift: state.shift_key(), ctrl: self.modifiers.command };
        TranslatedEvent { egui: vec![Event::ModifiersChanged(self.modifiers)], tool: Some(Input::Modifiers(modifiers)) }
    }

    /// The pointer moved.
    pub fn moved(&mut self, at: [f64; 2], primary: bool, source: &PointerSource, now: Instant) -> TranslatedEvent {
        let time_ms = Some(self.time_ms(now));
        self.by_finger = matches!(source, PointerSource::Touch { .. });
        self.touched |= self.by_finger;
        if let PointerSource::Touch { finger_id, force } = source {
            let id = finger_id.into_raw() as u64;
            let pressure = pressure(force.as_ref());
            let mut egui = vec![touch(id, TouchPhase::Move, self.to_points(at), pressure)];
            if primary && self.primary_finger == Some(id) {
                self.at = at;
                egui.push(Event::PointerMoved(self.to_points(at)));
            }
            return TranslatedEvent {
                egui,
                tool: Some(Input::Finger { id, at: Some(at), reading: finger(force.as_ref(), time_ms) }),
            };
        }
        self.at = at;
        let reading = match source {
            PointerSource::TabletTool { data, .. } => pen(data, time_ms),
            _ => Reading { time_ms, ..Reading::default() },
        };
        TranslatedEvent {
            egui: vec![Event::PointerMoved(self.to_points(at))],
            tool: Some(Input::Moved { at, reading }),
        }
    }

    /// The pointer left the window.
    pub fn left(&mut self) -> TranslatedEvent {
        let pen_down = std::mem::take(&mut self.pen_down);
        // A browser keeps a pen that touches, wherever it goes, unless the system takes it away: it will never lift then.
        if cfg!(target_arch = "wasm32") && pen_down {
            let up = self.egui_button(self.to_points(self.at), PointerButton::Primary, false);
            return TranslatedEvent { egui: vec![up, Event::PointerGone], tool: Some(Input::FocusLost) };
        }
        TranslatedEvent { egui: vec![Event::PointerGone], tool: Some(Input::PointerLeft) }
    }

    /// A touch is over. One that has lifted said so before; one that has not was taken away by the system.
    pub fn finger_left(&mut self, finger: FingerId) -> TranslatedEvent {
        let id = finger.into_raw() as u64;
        let mut egui = vec![touch(id, TouchPhase::Cancel, self.to_points(self.at), 0.0)];
        if self.primary_finger == Some(id) {
            egui.extend(self.let_go());
        }
        TranslatedEvent { egui, tool: Some(Input::FingerCancelled { id }) }
    }

    /// Takes the finger that egui takes for its pointer away from it, if there is one. The button comes up where it was, so that a
    /// slider keeps its place; having gone far between, it clicks nothing.
    fn let_go(&mut self) -> Vec<Event> {
        if self.primary_finger.take().is_none() {
            return Vec::new();
        }
        let pos = self.to_points(self.at);
        let up = self.egui_button(pos, PointerButton::Primary, false);
        vec![Event::PointerMoved(FAR_AWAY), Event::PointerMoved(pos), up, Event::PointerGone]
    }

    /// A button went down or up.
    pub fn button(
        &mut self,
        at: [f64; 2],
        primary: bool,
        pressed: bool,
        source: &ButtonSource,
        now: Instant,
    ) -> TranslatedEvent {
        let pos = self.to_points(at);
        let time_ms = Some(self.time_ms(now));
        self.by_finger = matches!(source, ButtonSource::Touch { .. });
        self.touched |= self.by_finger;
        if let ButtonSource::Touch { finger_id, force } = source {
            let id = finger_id.into_raw() as u64;
            let pressure = pressure(force.as_ref());
            let phase = if pressed { TouchPhase::Start } else { TouchPhase::End };
            let mut egui = vec![touch(id, phase, pos, pressure)];
            if primary && pressed && !self.pen_down {
                self.primary_finger = Some(id);
            }
            if primary && self.primary_finger == Some(id) {
                self.at = at;
                self.primary_finger = pressed.then_some(id);
                egui.push(Event::PointerMoved(pos));
                egui.push(self.egui_button(pos, PointerButton::Primary, pressed));
                if !pressed {
                    egui.push(Event::PointerGone);
                }
            }
            return TranslatedEvent {
                egui,
                tool: Some(Input::Finger { id, at: pressed.then_some(at), reading: finger(force.as_ref(), time_ms) }),
            };
        }
        let (reading, eraser) = match source {
            ButtonSource::TabletTool { kind, data, button } => {
                (pen(data, time_ms), *kind == TabletToolKind::Eraser || *button == ERASER_BUTTON)
            }
            _ => (Reading { time_ms, ..Reading::default() }, false),
        };
        let mut egui = Vec::new();
        if reading.pen {
            self.pen_down = pressed;
            egui = self.let_go();
        }
        self.at = at;
        let other_end = matches!(source, ButtonSource::TabletTool { button: ERASER_BUTTON, .. });
        let mouse = if other_end { Some(MouseButton::Left) } else { source.clone().mouse_button() };
        let Some(mouse) = mouse else { return TranslatedEvent::default() };
        let tip = other_end || matches!(source, ButtonSource::TabletTool { button: TabletToolButton::Contact, .. });
        let (button, egui_button) = match mouse {
            MouseButton::Left if eraser && tip => (Some(Button::Eraser), PointerButton::Primary),
            MouseButton::Left => (Some(Button::Paint), PointerButton::Primary),
            MouseButton::Middle => (Some(Button::Middle), PointerButton::Middle),
            MouseButton::Right => (Some(Button::Right), PointerButton::Secondary),
            MouseButton::Back => (None, PointerButton::Extra1),
            MouseButton::Forward => (None, PointerButton::Extra2),
            _ => return TranslatedEvent::default(),
        };
        egui.extend([Event::PointerMoved(pos), self.egui_button(pos, egui_button, pressed)]);
        let tool = button.map(|button| {
            if pressed {
                Input::Pressed { at, button, reading, double: self.is_double(at, now) }
            } else {
                Input::Released { at, button }
            }
        });
        TranslatedEvent { egui, tool }
    }

    /// Milliseconds since the first event.
    fn time_ms(&mut self, now: Instant) -> f64 {
        now.duration_since(*self.first.get_or_insert(now)).as_secs_f64() * 1000.0
    }

    fn egui_button(&self, pos: Pos2, button: PointerButton, pressed: bool) -> Event {
        Event::PointerButton { pos, button, pressed, modifiers: self.modifiers }
    }

    fn is_double(&mut self, at: [f64; 2], now: Instant) -> bool {
        let near = |old: [f64; 2]| (at[0] - old[0]).hypot(at[1] - old[1]) <= DOUBLE_POINTS * self.pixels_per_point;
        let double = self.last_press.is_some_and(|(then, old)| now.duration_since(then) <= DOUBLE_TIME && near(old));
        // A third press begins anew.
        self.last_press = (!double).then_some((now, at));
        double
    }

    /// The wheel turned, or fingers moved on a trackpad.
    pub fn wheel(
        &self,
        delta: MouseScrollDelta,
        source: ScrollSource,
        phase: winit::event::TouchPhase,
    ) -> TranslatedEvent {
        let (unit, by, notches) = match delta {
            MouseScrollDelta::LineDelta(x, y) => (egui::MouseWheelUnit::Line, vec2(x, y), f64::from(y)),
            MouseScrollDelta::PixelDelta(by) => {
                #[expect(
                    clippy::cast_possible_truncation,
                    reason = "places in the window, and factors, in the single precision of egui"
                )]
                let by = vec2((by.x / self.pixels_per_point) as f32, (by.y / self.pixels_per_point) as f32);
                (egui::MouseWheelUnit::Point, by, f64::from(by.y) / POINTS_A_NOTCH)
            }
            _ => return TranslatedEvent::default(),
        };
        let slides = matches!(source, ScrollSource::Finger | ScrollSource::Momentum) && !self.modifiers.command;
        let at = self.at;
        let tool = if slides {
            Input::Pan { at, by: [f64::from(by.x) * self.pixels_per_point, f64::from(by.y) * self.pixels_per_point] }
        } else {
            Input::Zoom { at, factor: WHEEL_STEP.powf(notches) }
        };
        let source = match source {
            ScrollSource::Wheel => egui::MouseWheelSource::Wheel,
            ScrollSource::Finger => egui::MouseWheelSource::Trackpad,
            ScrollSource::Momentum => egui::MouseWheelSource::Momentum,
            _ => egui::MouseWheelSource::Unknown,
        };
        let phase = phase_of(phase);
        let event = Event::MouseWheel { unit, delta: by, phase, source, modifiers: self.modifiers };
        TranslatedEvent { egui: vec![event], tool: Some(tool) }
    }

    /// Two fingers spread on a trackpad.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "places in the window, and factors, in the single precision of egui"
    )]
    pub fn pinch(&self, delta: f64) -> TranslatedEvent {
        let factor = (1.0 + delta).max(0.1);
        TranslatedEvent { egui: vec![Event::Zoom(factor as f32)], tool: Some(Input::Zoom { at: self.at, factor }) }
    }

    /// Two fingers turn on a trackpad; degrees, counter-clockwise positive as winit tells them.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "places in the window, and factors, in the single precision of egui"
    )]
    pub fn rotated(&self, degrees: f32) -> TranslatedEvent {
        let radians = -f64::from(degrees).to_radians();
        TranslatedEvent { egui: vec![Event::Rotate(radians as f32)], tool: Some(Input::Turn { at: self.at, radians }) }
    }

    /// A key for egui: key events, then the text it types.
    pub fn key(&self, event: &KeyEvent) -> Vec<Event> {
        let pressed = event.state.is_pressed();
        let mut events = Vec::new();
        if let Some(key) = key_of(event) {
            let physical_key = physical_key_of(event);
            let modifiers = self.modifiers;
            events.push(Event::Key { key, physical_key, pressed, repeat: event.repeat, modifiers });
        }
        let types = pressed && !self.modifiers.ctrl && !self.modifiers.mac_cmd;
        if let Some(text) = event.text.as_ref().filter(|t| types && !t.chars().any(char::is_control)) {
            events.push(Event::Text(text.to_string()));
        }
        events
    }
}

/// The key as it is labelled; where the label is no key we know (another script), the key's place on a Latin keyboard.
pub fn key_of(event: &KeyEvent) -> Option<Key> {
    let named = |key: &winit::keyboard::Key| match key {
        winit::keyboard::Key::Character(text) => Key::from_name(text),
        winit::keyboard::Key::Named(name) => Key::from_name(&format!("{name:?}")),
        _ => None,
    };
    named(&event.logical_key).or_else(|| named(&event.key_without_modifiers)).or_else(|| physical_key_of(event))
}

fn physical_key_of(event: &KeyEvent) -> Option<Key> {
    match event.physical_key {
        PhysicalKey::Code(code) => Key::from_name(&format!("{code:?}")),
        PhysicalKey::Unidentified(_) => None,
    }
}

fn touch(id: u64, phase: TouchPhase, pos: Pos2, force: f32) -> Event {
    Event::Touch { device_id: TouchDeviceId(0), id: TouchId(id), phase, pos, force: Some(force) }
}

#[expect(clippy::cast_possible_truncation, reason = "a pressure from 0 to 1 in single precision")]
fn pressure(force: Option<&Force>) -> f32 {
    force.map_or(1.0, |f| f.normalized(None).clamp(0.0, 1.0) as f32)
}

/// What a finger tells.
fn finger(force: Option<&Force>, time_ms: Option<f64>) -> Reading {
    Reading { pressure: force.map(|_| pressure(force)), time_ms, ..Reading::default() }
}

/// What a pen tells.
fn pen(data: &TabletToolData, time_ms: Option<f64>) -> Reading {
    #[expect(clippy::cast_possible_truncation, reason = "a pressure from 0 to 1 in single precision")]
    let pressure = data.force.as_ref().map_or(1.0, |f| f.normalized(data.clone().angle()).clamp(0.0, 1.0) as f32);
    Reading {
        pressure: Some(pressure),
        tilt_degrees: data
            .tilt
            .as_ref()
            .map(|tilt| [f32::from(tilt.x), f32::from(tilt.y)].map(|d| d.clamp(-90.0, 90.0))),
        twist_degrees: data.twist.map(|twist| f32::from(twist % 360)),
        time_ms,
        pen: true,
    }
}

fn phase_of(phase: winit::event::TouchPhase) -> TouchPhase {
    match phase {
        winit::event::TouchPhase::Started => TouchPhase::Start,
        winit::event::TouchPhase::Moved => TouchPhase::Move,
        winit::event::TouchPhase::Ended => TouchPhase::End,
        winit::event::TouchPhase::Cancelled => TouchPhase::Cancel,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::clock;
    use winit::dpi::PhysicalPosition;
    use winit::event::{FingerId, TabletToolTilt};

    #[test]
    fn places_are_pixels_for_the_hand_and_points_for_egui() {
        let mut t = Translator { pixels_per_point: 2.0, ..Translator::default() };
        let translated = t.moved([300.0, 50.0], true, &PointerSource::Mouse, Instant::now());
        assert_eq!(translated.egui, [Event::PointerMoved(pos2(150.0, 25.0))]);
        let reading = Reading { time_ms: Some(0.0), ..Reading::default() };
        assert_eq!(translated.tool, Some(Input::Moved { at: [300.0, 50.0], reading }));
    }

    #[test]
    fn pens_bring_their_pressure_and_their_other_end_scrapes() {
        let mut t = Translator::default();
        let data = TabletToolData {
            force: Some(Force::Normalized(0.25)),
            tilt: Some(TabletToolTilt { x: 30, y: -10 }),
            twist: Some(450),
            ..TabletToolData::default()
        };
        let source = PointerSource::TabletTool { kind: TabletToolKind::Pen, data: data.clone() };
        let (now, at) = (Instant::now(), [1.0, 2.0]);
        t.moved(at, true, &source, now);
        let reading = Reading {
            pressure: Some(0.25),
            tilt_degrees: Some([30.0, -10.0]),
            twist_degrees: Some(90.0),
            time_ms: Some(8.0),
            pen: true,
        };
        let tool = t.moved(at, true, &source, now + Duration::from_millis(8)).tool;
        assert_eq!(tool, Some(Input::Moved { at, reading }));
        let tip = ButtonSource::TabletTool { kind: TabletToolKind::Eraser, button: TabletToolButton::Contact, data };
        let tool = t.button([1.0, 2.0], true, true, &tip, clock::now()).tool;
        assert!(
            matches!(tool, Some(Input::Pressed { button: Button::Eraser, reading, .. }) if reading.pressure == Some(0.25)),
            "{tool:?}"
        );
        // As a browser tells it: on its way up it is no eraser any more, but its button is.
        let other_end =
            |kind| ButtonSource::TabletTool { kind, button: ERASER_BUTTON, data: TabletToolData::default() };
        let down = t.button(at, true, true, &other_end(TabletToolKind::Eraser), now).tool;
        assert!(matches!(down, Some(Input::Pressed { button: Button::Eraser, .. })), "{down:?}");
        let up = t.button(at, true, false, &other_end(TabletToolKind::Pen), now).tool;
        assert_eq!(up, Some(Input::Released { at, button: Button::Eraser }));
    }

    #[test]
    fn two_near_presses_are_double_and_a_third_begins_anew() {
        let mut t = Translator::default();
        let now = clock::now();
        let mut press = |x: f64, ms: u64| {
            let at = now + Duration::from_millis(ms);
            match t.button([x, 0.0], true, true, &ButtonSource::Mouse(MouseButton::Left), at).tool {
                Some(Input::Pressed { double, .. }) => double,
                _ => false,
            }
        };
        let doubles = [press(0.0, 0), press(2.0, 200), press(2.0, 300), press(40.0, 400), press(40.0, 900)];
        assert_eq!(doubles, [false, true, false, false, false]);
    }

    #[test]
    fn a_wheel_zooms_and_a_trackpad_moves_unless_control_is_held() {
        let mut t = Translator::default();
        let lines = MouseScrollDelta::LineDelta(0.0, 2.0);
        let translated = t.wheel(lines, ScrollSource::Wheel, winit::event::TouchPhase::Moved);
        assert!(
            matches!(translated.tool, Some(Input::Zoom { factor, .. }) if (factor - 1.3225).abs() < 1e-9),
            "{translated:?}"
        );
        let pixels = MouseScrollDelta::PixelDelta(PhysicalPosition::new(5.0, -7.0));
        let translated = t.wheel(pixels, ScrollSource::Finger, winit::event::TouchPhase::Moved);
        assert!(matches!(translated.tool, Some(Input::Pan { by: [5.0, -7.0], .. })), "{translated:?}");
        t.modifiers_changed(ModifiersState::CONTROL);
        let translated = t.wheel(pixels, ScrollSource::Finger, winit::event::TouchPhase::Moved);
        assert!(matches!(translated.tool, Some(Input::Zoom { .. })), "{translated:?}");
    }

    #[test]
    fn the_first_finger_is_a_pointer_to_egui_and_others_are_not() {
        let mut t = Translator::default();
        let finger = |raw| ButtonSource::Touch { finger_id: FingerId::from_raw(raw), force: None };
        let first = t.button([10.0, 10.0], true, true, &finger(1), clock::now());
        assert!(first.egui.iter().any(|e| matches!(e, Event::PointerButton { pressed: true, .. })));
        assert_eq!(t.reach(), FINGER_REACH, "a finger is broader than the tip of a cursor");
        let second = t.button([50.0, 10.0], false, true, &finger(2), clock::now());
        assert!(!second.egui.iter().any(|e| matches!(e, Event::PointerButton { .. })));
        assert!(
            matches!(second.tool, Some(Input::Finger { id: 2, at: Some([50.0, 10.0]), reading }) if reading.pressure.is_none())
        );
        let lifted = t.button([10.0, 10.0], true, false, &finger(1), clock::now());
        assert_eq!(lifted.egui.last(), Some(&Event::PointerGone));
        t.moved([10.0, 10.0], true, &PointerSource::Mouse, clock::now());
        assert_eq!(t.reach(), REACH);
        assert!(t.hands_on(), "once a finger was there");
    }

    #[test]
    fn a_cancelled_touch_lets_the_button_up_without_a_click() {
        let mut t = Translator::default();
        let finger = |raw| ButtonSource::Touch { finger_id: FingerId::from_raw(raw), force: None };
        let context = egui::Context::default();
        let frame = |events: Vec<Event>| {
            let screen_rect = Some(egui::Rect::from_min_size(Pos2::ZERO, vec2(200.0, 100.0)));
            let (mut clicked, mut down) = (false, false);
            let mut output = context.run_ui(egui::RawInput { screen_rect, events, ..Default::default() }, |ui| {
                let response = ui.button("Lay it down");
                (clicked, down) = (response.clicked(), response.is_pointer_button_down_on());
            });
            output.textures_delta.clear();
            (clicked, down)
        };
        let at = [20.0, 14.0];
        frame(Vec::new());
        let mut press = || t.button(at, true, true, &finger(1), clock::now()).egui;
        assert_eq!((frame(press()), frame(Vec::new())), ((false, true), (false, true)));
        let cancelled = t.finger_left(FingerId::from_raw(1));
        assert_eq!(cancelled.tool, Some(Input::FingerCancelled { id: 1 }));
        assert_eq!((frame(cancelled.egui), frame(Vec::new())), ((false, false), (false, false)));
        assert!(!context.input(|i| i.pointer.any_down()));
        // A touch that ends by lifting clicks.
        frame(t.button(at, true, true, &finger(2), clock::now()).egui);
        assert!(frame(t.button(at, true, false, &finger(2), clock::now()).egui).0);
        // Also one that falls into a single frame.
        let mut tap = t.button(at, true, true, &finger(6), clock::now()).egui;
        tap.extend(t.button(at, true, false, &finger(6), clock::now()).egui);
        assert!(frame(tap).0);
        let left = t.finger_left(FingerId::from_raw(2)).egui;
        assert!(!left.iter().any(|e| matches!(e, Event::PointerButton { .. })), "{left:?}");
        // A hand that came to rest there before the pen paints, or while it does, presses nothing.
        let tip = || ButtonSource::TabletTool {
            kind: TabletToolKind::Pen,
            button: TabletToolButton::Contact,
            data: TabletToolData::default(),
        };
        frame(t.button(at, true, true, &finger(3), clock::now()).egui);
        frame(t.button([150.0, 90.0], true, true, &tip(), clock::now()).egui);
        assert!(!frame(t.button(at, true, false, &finger(3), clock::now()).egui).0);
        assert!(!frame(t.button(at, true, true, &finger(4), clock::now()).egui).1);
        assert!(!frame(t.button(at, true, false, &finger(4), clock::now()).egui).0);
        frame(t.button([150.0, 90.0], true, false, &tip(), clock::now()).egui);
        frame(t.button(at, true, true, &finger(5), clock::now()).egui);
        assert!(frame(t.button(at, true, false, &finger(5), clock::now()).egui).0, "the pen has lifted");
    }
}
