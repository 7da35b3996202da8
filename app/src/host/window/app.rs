//! The event loop's side of the window: gathers events, runs a frame when one is due, and nothing otherwise.

use super::access::Access;
use super::atlas::Atlas;
use super::canvas_area::is_canvas;
use super::controls::Controls;
use super::display_profile::DisplayProfile;
use super::event_times::{EventTimes, PenEvent};
use super::events::{TranslatedEvent, Translator};
use super::exchange::{Arrived, Exchange};
use super::frame_timer::FrameTimer;
use super::frame_times::FrameTimes;
use super::ime::{self, InputMethod};
use super::pens::Pens;
use super::placement;
use super::screen::Screen;
use super::{CONTROLS_VARIABLE, FRAME_TIMES_VARIABLE, WindowError};
use crate::base::clock::{self, Duration, Instant, Stopwatch};
use crate::base::folders;
use crate::files::settings::Settings;
#[cfg(all(unix, not(target_os = "macos")))]
use crate::host::desktop::file_portal;
use crate::study::session::Waker;
use crate::ui::canvas_view::transform::View;
use crate::ui::fallback_fonts::FallbackFonts;
use crate::ui::keys::{Action, Keys};
use crate::ui::panels::PanelState;
use crate::ui::pen_pressure::PenPressure;
use crate::ui::remembered;
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::theme;
use crate::ui::tools::Pointer;
use crate::ui::tools::input::Input;
use crate::ui::tools::load::PreviousPaint;
use crate::ui::wording;
use std::cell::RefCell;
use std::path::PathBuf;
use std::rc::Rc;
use std::sync::Arc;
use stint_render::choose::EngineChoice;
use winit::application::ApplicationHandler;
use winit::event::{PointerKind, WindowEvent};
use winit::event_loop::{ActiveEventLoop, ControlFlow, EventLoopProxy, OwnedDisplayHandle};
use winit::window::{Window, WindowId};

/// Something to be done at the next frame, in the order in which it came.
pub(super) enum QueuedInput {
    Tool(Input),
    ActionPressed(Action),
    ActionReleased(Action),
}

/// The window and everything in it.
pub struct App {
    pub(super) file: Option<PathBuf>,
    pub(super) failed: Rc<RefCell<Option<WindowError>>>,
    #[cfg_attr(target_arch = "wasm32", expect(dead_code, reason = "a page has no display to hand on"))]
    pub(super) display: OwnedDisplayHandle,
    pub(super) context: egui::Context,
    pub(super) state: State,
    pub(super) panels: PanelState,
    pub(super) view: View,
    pub(super) pointer: Pointer,
    pub(super) previous_paint: PreviousPaint,
    pub(super) translator: Translator,
    pub(super) exchange: Exchange,
    pub(super) input_method: InputMethod,
    pub(super) raw: egui::RawInput,
    pub(super) queued_input: Vec<QueuedInput>,
    pub(super) event_times: EventTimes,
    pub(super) atlas: Atlas,
    pub(super) screen: Option<Screen>,
    /// A screen that is there a moment after it was asked for.
    #[cfg(target_arch = "wasm32")]
    pub(super) opened_screen: super::screen::Opened,
    /// Whether a frame was drawn since the last job.
    #[cfg(target_arch = "wasm32")]
    pub(super) shown_since_job: bool,
    pub(super) window: Option<Arc<dyn Window>>,
    /// Which study was shown last, to notice another.
    pub(super) shown_study: Option<PathBuf>,
    /// The size of its canvas in the last frame, pixels.
    pub(super) shown_size: Option<[u32; 2]>,
    pub(super) title: String,
    pub(super) cursor: Option<egui::CursorIcon>,
    pub(super) started: Stopwatch,
    /// When the last event of the next frame came, since the start.
    pub(super) heard: Option<Duration>,
    pub(super) frame_timer: FrameTimer,
    /// What kept the canvas from being drawn in the last frame: told once, however many frames it goes on.
    pub(super) canvas_fault: Option<String>,
    pub(super) hidden: bool,
    pub(super) frame_times: FrameTimes,
    pub(super) frame_times_file: Option<PathBuf>,
    pub(super) controls: Controls,
    pub(super) access: Access,
    pub(super) fallback_fonts: FallbackFonts,
    pub(super) proxy: EventLoopProxy,
    pub(super) pens: Pens,
    pub(super) display_profile: DisplayProfile,
}

impl App {
    /// A window that is yet to be opened.
    pub fn new(
        file: Option<PathBuf>,
        choice: EngineChoice,
        failed: Rc<RefCell<Option<WindowError>>>,
        proxy: EventLoopProxy,
        display: OwnedDisplayHandle,
    ) -> Self {
        let context = egui::Context::default();
        theme::install(&context);
        // Ctrl with plus and minus is for the canvas, not for the size of the panels.
        context.options_mut(|o| o.zoom_with_keyboard = false);
        // Work on other threads wakes the loop through this, and egui asks for later frames.
        let (frame_timer, wake) = (FrameTimer::default(), proxy.clone());
        let timer = frame_timer.clone();
        context.set_request_repaint_callback(move |request| {
            if timer.ask(clock::now(), request.delay) {
                wake.wake_up();
            }
        });
        let (keys, settings, notices) = match folders::config() {
            Some(folder) => {
                let (keys, mut notices) = Keys::read(&folder.join("keys.ron"));
                let (settings, told) = Settings::read(&folder);
                notices.extend(told);
                (keys, settings, notices)
            }
            None => (Keys::default(), Settings::default(), Vec::new()),
        };
        #[cfg(target_arch = "wasm32")]
        crate::host::page::wake_with(proxy.clone());
        // A page hands them to the browser, for who does not see the canvas.
        let named =
            if cfg!(target_arch = "wasm32") { Some("controls".into()) } else { std::env::var_os(CONTROLS_VARIABLE) };
        let controls = Controls::to(named.map(PathBuf::from));
        if controls.wanted() {
            context.enable_accesskit();
        }
        let (timer, wake) = (frame_timer.clone(), proxy.clone());
        let waker: Option<Waker> = Some(Arc::new(move || {
            timer.ask(clock::now(), Duration::ZERO);
            wake.wake_up();
        }));
        let pen = PenPressure::of(&settings);
        let mut state = State { engine: choice, notices, settings, keys, pen, waker, ..State::default() };
        remembered::restore(&mut state);
        state.gather_brushes();
        let panels = PanelState::restored(&state);
        App {
            file,
            failed,
            display,
            context,
            state,
            panels,
            view: View::default(),
            pointer: Pointer::default(),
            previous_paint: PreviousPaint::default(),
            translator: Translator::default(),
            exchange: Exchange::default(),
            input_method: InputMethod::default(),
            raw: egui::RawInput::default(),
            queued_input: Vec::new(),
            event_times: EventTimes::default(),
            atlas: Atlas::default(),
            screen: None,
            #[cfg(target_arch = "wasm32")]
            opened_screen: Rc::default(),
            #[cfg(target_arch = "wasm32")]
            shown_since_job: true,
            window: None,
            shown_study: None,
            shown_size: None,
            title: String::new(),
            cursor: None,
            started: Stopwatch::start(),
            heard: None,
            frame_timer,
            canvas_fault: None,
            hidden: false,
            frame_times: FrameTimes::default(),
            frame_times_file: std::env::var_os(FRAME_TIMES_VARIABLE).map(PathBuf::from),
            controls,
            access: Access::default(),
            fallback_fonts: FallbackFonts::default(),
            proxy,
            pens: Pens::default(),
            display_profile: DisplayProfile::default(),
        }
    }

    /// Starts to listen to pens over the window; without them the pointer works all the same.
    fn listen_to_pens(&mut self) {
        let Some(window) = &self.window else { return };
        match Pens::over(window.as_ref(), self.proxy.clone()) {
            Ok(pens) => self.pens = pens,
            Err(text) => self.state.notices.push(text),
        }
    }

    /// Files may be chosen in the system's own dialog from now on.
    fn offer_system_dialog(&mut self) {
        #[cfg(all(unix, not(target_os = "macos")))]
        if let Some(window) = &self.window {
            let name = file_portal::name_of(window.as_ref());
            self.state.system_dialog = Some(file_portal::over(name));
        }
    }

    /// Takes what pens did since the last call.
    fn pen_events(&mut self, event_loop: &dyn ActiveEventLoop) {
        for PenEvent { at, event } in self.pens.take_events() {
            self.frame_times.event(clock::now());
            self.event(event_loop, event, at);
        }
    }

    /// Asks for a frame.
    pub(super) fn redraw(&self) {
        if let Some(window) = &self.window {
            window.request_redraw();
        }
    }

    /// Takes a translated pointer event and asks for a frame.
    fn take(&mut self, translated: TranslatedEvent) {
        self.frame_times.event(clock::now());
        self.heard = Some(self.started.elapsed());
        self.raw.events.extend(translated.egui);
        self.queued_input.extend(translated.tool.map(QueuedInput::Tool));
        self.redraw();
    }

    /// The wheel and trackpad gestures go to the canvas or to the panels, never to both.
    fn take_scroll(&mut self, translated: TranslatedEvent) {
        let on_canvas = is_canvas(&self.context, &self.view, &self.translator, self.translator.pointer());
        let TranslatedEvent { egui, tool } = translated;
        self.take(if on_canvas {
            TranslatedEvent { egui: Vec::new(), tool }
        } else {
            TranslatedEvent { egui, tool: None }
        });
    }

    fn arrived(&mut self, arrived: Option<Arrived>) {
        match arrived {
            Some(Arrived::Text(text)) => self.raw.events.push(egui::Event::Paste(text)),
            Some(Arrived::Files(path, others)) => {
                if !others.is_empty() {
                    self.state.notices.push(wording::one_at_a_time(&path, &others));
                }
                self.state.requests.push(Request::Open(path));
            }
            None => return,
        }
        self.redraw();
    }

    /// Takes one event of the window, winit's or of a pen, that happened at `at`.
    pub(super) fn event(&mut self, event_loop: &dyn ActiveEventLoop, event: WindowEvent, at: Instant) {
        if self.pens.suppresses(&event) {
            return;
        }
        match event {
            WindowEvent::RedrawRequested => self.frame(event_loop),
            WindowEvent::CloseRequested => self.quit(event_loop),
            WindowEvent::SurfaceResized(size) => {
                if let Some(screen) = &mut self.screen {
                    screen.resize(size.width, size.height);
                }
                self.redraw();
            }
            WindowEvent::Occluded(hidden) => {
                self.hidden = hidden;
                self.redraw();
            }
            WindowEvent::ScaleFactorChanged { .. } => self.redraw(),
            WindowEvent::Focused(focused) => {
                self.raw.focused = focused;
                self.access.focused(focused);
                self.raw.events.push(egui::Event::WindowFocused(focused));
                if focused {
                    self.state.look_for_study();
                } else {
                    self.queued_input.push(QueuedInput::Tool(Input::FocusLost));
                }
                self.redraw();
            }
            WindowEvent::ModifiersChanged(modifiers) => {
                let translated = self.translator.modifiers_changed(modifiers.state());
                self.take(translated);
            }
            WindowEvent::KeyboardInput { event, is_synthetic: false, .. } => self.key(event_loop, &event),
            WindowEvent::Ime(event) => {
                self.raw.events.extend(ime::translated(event));
                self.redraw();
            }
            WindowEvent::PointerMoved { position, primary, source, .. } => {
                let translated = self.translator.moved(position.into(), primary, &source, at);
                self.take(translated);
            }
            WindowEvent::PointerButton { state, position, primary, button, .. } => {
                let pressed = state.is_pressed();
                let translated = self.translator.button(position.into(), primary, pressed, &button, at);
                self.take(translated);
            }
            WindowEvent::PointerLeft { kind: PointerKind::Touch(finger), .. } => {
                let translated = self.translator.finger_left(finger);
                self.take(translated);
            }
            WindowEvent::PointerLeft { .. } => {
                let translated = self.translator.left();
                self.take(translated);
            }
            WindowEvent::MouseWheel { delta, phase, source, .. } => {
                let translated = self.translator.wheel(delta, source, phase);
                self.take_scroll(translated);
            }
            WindowEvent::PinchGesture { delta, .. } => {
                let translated = self.translator.pinch(delta);
                self.take_scroll(translated);
            }
            WindowEvent::RotationGesture { delta, .. } => {
                let translated = self.translator.rotated(delta);
                self.take_scroll(translated);
            }
            WindowEvent::DragEntered { id, .. } => self.exchange.drag_entered(event_loop, id),
            WindowEvent::DragDropped { id, .. } => {
                let arrived = self.exchange.drag_dropped(id);
                self.arrived(arrived);
            }
            WindowEvent::DragLeft { id } => self.exchange.drag_left(id),
            WindowEvent::DataTransferReceived { serial, value, .. } => {
                match self.exchange.received(serial, value.as_ref()) {
                    Ok(arrived) => self.arrived(arrived),
                    Err(text) => {
                        self.state.notices.push(text);
                        self.redraw();
                    }
                }
            }
            _ => {}
        }
    }
}

impl ApplicationHandler for App {
    fn proxy_wake_up(&mut self, event_loop: &dyn ActiveEventLoop) {
        // Whoever else woke the loop has asked the timer for a frame. A stroke goes on into its file without one: the window may be hidden.
        self.pen_events(event_loop);
        self.follow_display();
        #[cfg(target_arch = "wasm32")]
        self.browser_events(event_loop);
        self.state.follow_recording();
    }

    fn can_create_surfaces(&mut self, event_loop: &dyn ActiveEventLoop) {
        if self.window.is_none() {
            let attributes = super::identity::attributes(event_loop);
            let attributes = placement::placed(attributes, event_loop, &self.state.settings);
            // Whoever asks for the tree of controls on Windows must be heard before the window shows for the first time.
            let window: Arc<dyn Window> = match event_loop.create_window(attributes.with_visible(!cfg!(windows))) {
                Ok(window) => Arc::from(window),
                Err(error) => return self.fail(event_loop, WindowError::NoDisplay(super::cause(&error))),
            };
            self.access = Access::open(window.as_ref(), &self.frame_timer, &self.proxy);
            if cfg!(windows) {
                window.set_visible(true);
            }
            self.window = Some(window);
            self.listen_to_pens();
            self.listen_to_display();
            self.offer_system_dialog();
        }
        self.open_screen(event_loop);
        if let Some(file) = self.file.take() {
            self.state.requests.push(Request::Open(file));
            self.handle_requests(event_loop);
        }
        self.redraw();
    }

    fn destroy_surfaces(&mut self, _: &dyn ActiveEventLoop) {
        self.screen = None;
    }

    fn window_event(&mut self, event_loop: &dyn ActiveEventLoop, _: WindowId, event: WindowEvent) {
        self.event(event_loop, event, clock::now());
    }

    fn about_to_wait(&mut self, event_loop: &dyn ActiveEventLoop) {
        if self.frame_timer.take_due(clock::now()) {
            self.redraw();
        }
        #[cfg(target_arch = "wasm32")]
        self.job_between_frames();
        event_loop.set_control_flow(self.frame_timer.due().map_or(ControlFlow::Wait, ControlFlow::WaitUntil));
    }
}
