//! Keys: to an action of the key table, or to the control that has the keyboard.

use super::app::{App, QueuedInput};
use super::canvas_area::canvas_id;
use super::events::key_of;
use crate::ui::keys::{Action, Chord};
use crate::ui::panels::Page;
use crate::ui::wording;
use egui::Key;
use std::time::Instant;
use winit::event::{ElementState, KeyEvent};
use winit::event_loop::ActiveEventLoop;

impl App {
    /// Takes one key event and asks for a frame.
    pub(super) fn key(&mut self, event_loop: &dyn ActiveEventLoop, event: &KeyEvent) {
        self.frame_times.event(Instant::now());
        self.redraw();
        let Some(key) = key_of(event) else {
            self.raw.events.extend(self.translator.key(event));
            return;
        };
        if event.state == ElementState::Released {
            self.queued_input.extend(self.keys.released(key).map(QueuedInput::ActionReleased));
            self.raw.events.extend(self.translator.key(event));
            return;
        }
        let modifiers = self.translator.modifiers();
        let editing = self.context.text_edit_focused();
        if modifiers.command && !modifiers.alt {
            match key {
                Key::C if editing => return self.raw.events.push(egui::Event::Copy),
                Key::X if editing => return self.raw.events.push(egui::Event::Cut),
                Key::V => {
                    if !self.exchange.paste(event_loop, editing) && !editing {
                        self.state.refuse(wording::NOTHING_TO_PASTE.to_owned());
                    }
                    return;
                }
                _ => {}
            }
        }
        let action = self.keys.action(Chord::pressed(key, modifiers));
        let action = action.filter(|&action| action == Action::Quit || self.is_for_canvas(key, editing));
        match action {
            Some(Action::Panels) => {
                // egui goes to its first control when Tab comes and nothing has the keyboard.
                let tab = |pressed| {
                    let modifiers = egui::Modifiers::NONE;
                    egui::Event::Key { key: Key::Tab, physical_key: None, pressed, repeat: false, modifiers }
                };
                self.raw.events.extend([tab(true), tab(false)]);
            }
            // A key that is held does not begin again.
            Some(Action::Pan | Action::Pick) if event.repeat => {}
            Some(action) => self.queued_input.push(QueuedInput::ActionPressed(action)),
            None => self.raw.events.extend(self.translator.key(event)),
        }
    }

    /// Whether a key may be an action, or belongs to the control that has the keyboard.
    pub(super) fn is_for_canvas(&self, key: Key, editing: bool) -> bool {
        let function = key.name().strip_prefix('F').is_some_and(|n| n.parse::<u8>().is_ok());
        if function {
            return true;
        }
        let covered = matches!(self.panels.page, Page::Library | Page::Memory);
        if editing || covered || self.state.session.is_none() || self.panels.sheet_is_open() {
            return false;
        }
        let focused = self.context.memory(|m| m.focused()).filter(|&id| id != canvas_id());
        let control = matches!(
            key,
            Key::Tab
                | Key::Enter
                | Key::Space
                | Key::Escape
                | Key::ArrowUp
                | Key::ArrowDown
                | Key::ArrowLeft
                | Key::ArrowRight
                | Key::Home
                | Key::End
                | Key::PageUp
                | Key::PageDown
        );
        focused.is_none() || !control
    }
}
