//! The window follows the colours of the display it is on.

use super::app::App;
use crate::ui::display::DisplayColours;

impl App {
    /// Starts to listen to what the system tells of the display.
    #[cfg(all(unix, not(target_os = "macos")))]
    pub(super) fn listen_to_display(&mut self) {
        use super::display_profile::told_of;
        use winit::raw_window_handle::HasWindowHandle;
        let Some(window) = &self.window else { return };
        let listening = window
            .window_handle()
            .map_err(|e| e.to_string())
            .and_then(|handle| super::display_x11::listen(handle.as_raw(), self.proxy.clone(), told_of));
        match listening {
            Ok(Some(told)) => self.display_profile.told = Some(told),
            // What is not marked otherwise is sRGB to a Wayland compositor, which alone knows its screens.
            Ok(None) => self.state.display = DisplayColours::ByTheDesktop,
            Err(_) => self.state.display = DisplayColours::Untold,
        }
    }

    /// The system tells nothing that could be used here.
    #[cfg(not(all(unix, not(target_os = "macos"))))]
    pub(super) fn listen_to_display(&mut self) {
        if cfg!(any(target_os = "macos", target_arch = "wasm32")) {
            self.state.display = DisplayColours::ByTheDesktop;
        }
    }

    /// Takes what was told since the last call, and a change of the painter's mind.
    pub(super) fn follow_display(&mut self) {
        let told = self.display_profile.told.as_ref().and_then(|told| told.try_iter().last());
        let mut is_other = false;
        if let Some((colours, table)) = told {
            is_other = table.is_some() || self.display_profile.table.is_some();
            if self.state.display != colours {
                self.state.display = colours;
                self.redraw();
            }
            self.display_profile.table = table;
        }
        let wanted = self.state.preferences.display_colours && self.display_profile.table.is_some();
        if is_other || wanted != self.display_profile.used {
            self.use_display();
        }
    }

    /// Has the screen draw in the colours of the display, or in sRGB.
    pub(super) fn use_display(&mut self) {
        let table = self.display_profile.table.as_deref().filter(|_| self.state.preferences.display_colours);
        self.display_profile.used = table.is_some();
        if let Some(screen) = &mut self.screen {
            screen.renderer().set_display(table);
        }
        self.redraw();
    }
}
