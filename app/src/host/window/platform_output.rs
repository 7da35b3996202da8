//! What a frame of egui asks of the system: clipboard, input method, cursor, title.

use super::app::App;
use std::sync::Arc;
use winit::cursor::CursorIcon;
use winit::event_loop::ActiveEventLoop;
use winit::window::Window;

impl App {
    /// Passes on what egui asked for in a frame; a clipboard that refuses becomes a notice.
    pub(super) fn apply_platform_output(
        &mut self,
        event_loop: &dyn ActiveEventLoop,
        window: &Arc<dyn Window>,
        output: &egui::PlatformOutput,
    ) {
        for command in &output.commands {
            if let egui::OutputCommand::CopyText(text) = command
                && let Err(text) = self.exchange.copy(event_loop, text.clone())
            {
                self.state.notices.push(text);
            }
        }
        #[expect(clippy::cast_possible_truncation, reason = "a scale factor in the single precision of egui")]
        let points = self.context.pixels_per_point() / window.scale_factor() as f32;
        self.input_method.follow(window.as_ref(), output.ime.as_ref(), points);
        if self.cursor != Some(output.cursor_icon) {
            self.cursor = Some(output.cursor_icon);
            match cursor(output.cursor_icon) {
                Some(icon) => {
                    window.set_cursor_visible(true);
                    window.set_cursor(icon.into());
                }
                None => window.set_cursor_visible(false),
            }
        }
        let title = match &self.state.session {
            Some(session) => {
                let name = session.path().file_stem().map(|n| n.to_string_lossy().into_owned());
                format!("{} - Stint", name.unwrap_or_else(|| "Study".to_owned()))
            }
            None => "Stint".to_owned(),
        };
        if self.title != title {
            window.set_title(&title);
            self.title = title;
        }
    }
}

/// The system's cursor for egui's; none hides it.
fn cursor(icon: egui::CursorIcon) -> Option<CursorIcon> {
    use egui::CursorIcon as Egui;
    Some(match icon {
        Egui::None => return None,
        Egui::PointingHand => CursorIcon::Pointer,
        Egui::Text => CursorIcon::Text,
        Egui::VerticalText => CursorIcon::VerticalText,
        Egui::Crosshair => CursorIcon::Crosshair,
        Egui::Grab => CursorIcon::Grab,
        Egui::Grabbing => CursorIcon::Grabbing,
        Egui::Move => CursorIcon::Move,
        Egui::AllScroll => CursorIcon::AllScroll,
        Egui::Help => CursorIcon::Help,
        Egui::Wait => CursorIcon::Wait,
        Egui::Progress => CursorIcon::Progress,
        Egui::NotAllowed => CursorIcon::NotAllowed,
        Egui::NoDrop => CursorIcon::NoDrop,
        Egui::Copy => CursorIcon::Copy,
        Egui::Alias => CursorIcon::Alias,
        Egui::Cell => CursorIcon::Cell,
        Egui::ContextMenu => CursorIcon::ContextMenu,
        Egui::ResizeHorizontal | Egui::ResizeColumn => CursorIcon::EwResize,
        Egui::ResizeVertical | Egui::ResizeRow => CursorIcon::NsResize,
        Egui::ResizeNeSw => CursorIcon::NeswResize,
        Egui::ResizeNwSe => CursorIcon::NwseResize,
        Egui::ZoomIn => CursorIcon::ZoomIn,
        Egui::ZoomOut => CursorIcon::ZoomOut,
        _ => CursorIcon::Default,
    })
}
