//! Input methods: on only while text is edited, and their window beside the text cursor.

use egui::output::IMEOutput;
use winit::dpi::{LogicalPosition, LogicalSize};
use winit::event::Ime;
use winit::window::{ImeCapabilities, ImeEnableRequest, ImeHint, ImePurpose, ImeRequest, ImeRequestData, Window};

/// Whether the input method is on, and where its window was put.
#[derive(Default)]
pub struct InputMethod {
    placed: Option<egui::Rect>,
}

impl InputMethod {
    /// Follows what egui wants after a frame; `zoom` is winit's logical points per point of egui.
    pub fn follow(&mut self, window: &dyn Window, wanted: Option<&IMEOutput>, zoom: f32) {
        #[cfg(target_arch = "wasm32")]
        if let Some(browser) = crate::host::page::browser() {
            let rect = wanted.map(|wanted| wanted.cursor_rect);
            if self.placed != rect {
                self.placed = rect;
                let place = |r: egui::Rect| [r.min.x, r.min.y, r.width(), r.height()].map(|v| f64::from(v * zoom));
                browser.edits(rect.map(place));
            }
            return;
        }
        let Some(wanted) = wanted else {
            if self.placed.take().is_some() {
                // Off already is as good as off.
                let _ = window.request_ime_update(ImeRequest::Disable);
            }
            return;
        };
        let rect = wanted.cursor_rect;
        if self.placed == Some(rect) {
            return;
        }
        let corner = LogicalPosition::new(rect.min.x * zoom, rect.min.y * zoom);
        let size = LogicalSize::new(rect.width().max(1.0) * zoom, rect.height() * zoom);
        let data = ImeRequestData::default()
            .with_hint_and_purpose(ImeHint::NONE, ImePurpose::Normal)
            .with_cursor_area(corner.into(), size.into());
        let request = if self.placed.is_none() {
            let can = ImeCapabilities::new().with_hint_and_purpose().with_cursor_area();
            ImeEnableRequest::new(can, data).map(ImeRequest::Enable)
        } else {
            Some(ImeRequest::Update(data))
        };
        // Without an input method keys type their own text.
        if let Some(request) = request
            && window.request_ime_update(request).is_ok()
        {
            self.placed = Some(rect);
        }
    }
}

/// What egui is told of an event of the input method.
pub fn translated(event: Ime) -> Option<egui::Event> {
    let event = match event {
        Ime::Preedit(text, range) => {
            let chars = |bytes: usize| text.get(..bytes).map_or(0, |t| t.chars().count());
            let active_range_chars = range.map(|(from, to)| chars(from)..chars(to));
            egui::ImeEvent::Preedit { text, active_range_chars }
        }
        Ime::Commit(text) => egui::ImeEvent::Commit(text),
        // We offer no surrounding text, so nothing of it is deleted.
        Ime::DeleteSurrounding { .. } | Ime::Enabled | Ime::Disabled => return None,
    };
    Some(egui::Event::Ime(event))
}
