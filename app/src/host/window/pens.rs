//! Pens that winit does not tell by itself.

use super::event_times::PenEvent;
use std::sync::mpsc::Receiver;
use winit::event::{ButtonSource, PointerKind, PointerSource, TabletToolButton, WindowEvent};
use winit::event_loop::EventLoopProxy;
use winit::window::Window;

/// The pens over a window: the channel their events come through, and whether a tip is down.
#[derive(Default)]
pub struct Pens {
    /// None where winit tells pens itself.
    events: Option<Receiver<PenEvent>>,
    /// Whether the tip of a pen touches.
    down: bool,
}

impl Pens {
    /// Starts to listen where winit does not.
    ///
    /// # Errors
    /// With a sentence for the painter; the pointer works all the same.
    #[cfg(all(unix, not(target_os = "macos")))]
    pub fn over(window: &dyn Window, proxy: EventLoopProxy) -> Result<Self, String> {
        use winit::raw_window_handle::HasWindowHandle;
        let told = |why: String| format!("a pen cannot paint in this window ({why}); start again, or use the mouse");
        let handle = window.window_handle().map_err(|e| told(e.to_string()))?.as_raw();
        Ok(Pens { events: super::pen_x11::listen(handle, proxy).map_err(told)?, down: false })
    }

    /// winit tells all pens here.
    ///
    /// # Errors
    /// None.
    #[cfg(not(all(unix, not(target_os = "macos"))))]
    pub fn over(_: &dyn Window, _: EventLoopProxy) -> Result<Self, String> {
        Ok(Pens::default())
    }

    /// Takes what the pens did since the last call, oldest first.
    pub fn take_events(&self) -> Vec<PenEvent> {
        self.events.iter().flat_map(Receiver::try_iter).collect()
    }

    /// Follows every event; tells whether it is to be dropped. While a pen is down the system moves its own pointer along
    /// and tells that as a mouse, which would paint a second time, without pressure.
    pub fn suppresses(&mut self, event: &WindowEvent) -> bool {
        match event {
            WindowEvent::PointerButton { state, button: ButtonSource::TabletTool { button, .. }, .. } => {
                if *button == TabletToolButton::Contact {
                    self.down = state.is_pressed();
                }
                false
            }
            // A tablet whose cable comes out tells no release everywhere, and a window that is left hears none.
            WindowEvent::PointerLeft { kind: PointerKind::TabletTool(_), .. } | WindowEvent::Focused(false) => {
                self.down = false;
                false
            }
            WindowEvent::PointerMoved { source: PointerSource::Mouse, .. }
            | WindowEvent::PointerLeft { kind: PointerKind::Mouse, .. } => self.down,
            _ => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use winit::dpi::PhysicalPosition;
    use winit::event::{ElementState, MouseButton, TabletToolData, TabletToolKind};

    fn moved(source: PointerSource) -> WindowEvent {
        WindowEvent::PointerMoved { device_id: None, position: PhysicalPosition::new(1.0, 2.0), primary: true, source }
    }

    fn button(button: ButtonSource, state: ElementState) -> WindowEvent {
        let (position, is_macos_activation_click) = (PhysicalPosition::new(1.0, 2.0), false);
        WindowEvent::PointerButton {
            device_id: None,
            state,
            position,
            primary: true,
            button,
            is_macos_activation_click,
        }
    }

    fn pen(which: TabletToolButton, state: ElementState) -> WindowEvent {
        let (kind, data) = (TabletToolKind::Pen, TabletToolData::default());
        button(ButtonSource::TabletTool { kind, button: which, data }, state)
    }

    #[test]
    fn the_mouse_is_not_heard_while_a_pen_is_down() {
        let mut pens = Pens::default();
        let mouse = || moved(PointerSource::Mouse);
        let tool = || PointerSource::TabletTool { kind: TabletToolKind::Pen, data: TabletToolData::default() };
        assert!(!pens.suppresses(&mouse()));
        assert!(!pens.suppresses(&button(MouseButton::Left.into(), ElementState::Pressed)));
        assert!(!pens.suppresses(&mouse()), "a mouse button is no pen");
        assert!(!pens.suppresses(&pen(TabletToolButton::Barrel, ElementState::Pressed)));
        assert!(!pens.suppresses(&mouse()), "nor is the barrel its tip");
        assert!(!pens.suppresses(&pen(TabletToolButton::Contact, ElementState::Pressed)));
        assert!(pens.suppresses(&mouse()));
        assert!(!pens.suppresses(&moved(tool())));
        assert!(!pens.suppresses(&pen(TabletToolButton::Contact, ElementState::Released)));
        assert!(!pens.suppresses(&mouse()));
    }

    #[test]
    fn a_pen_that_goes_in_the_middle_of_a_stroke_leaves_the_mouse_alive() {
        let kind = PointerKind::TabletTool(TabletToolKind::Pen);
        let left = WindowEvent::PointerLeft { device_id: None, position: None, primary: true, kind };
        for gone in [left, WindowEvent::Focused(false)] {
            let mut pens = Pens::default();
            assert!(!pens.suppresses(&pen(TabletToolButton::Contact, ElementState::Pressed)));
            assert!(pens.suppresses(&moved(PointerSource::Mouse)));
            assert!(!pens.suppresses(&gone));
            assert!(!pens.suppresses(&moved(PointerSource::Mouse)));
        }
    }
}
