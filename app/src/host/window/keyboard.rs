//! Keys: to an action of the key table, or to the control that has the keyboard.

use super::app::{App, QueuedInput};
use super::canvas_area::canvas_id;
use super::events::key_of;
use crate::base::clock;
use crate::ui::keys::{Action, Chord, KeyPress};
use crate::ui::panels::Page;
use crate::ui::wording;
use egui::Key;
use winit::event::{ElementState, KeyEvent};
use winit::event_loop::ActiveEventLoop;

impl App {
    /// Takes one key event and asks for a frame.
    pub(super) fn key(&mut self, event_loop: &dyn ActiveEventLoop, event: &KeyEvent) {
        self.frame_times.event(clock::now());
        self.redraw();
        let Some(key) = key_of(event) else {
            self.raw.events.extend(self.translator.key(event));
            return;
        };
        if event.state == ElementState::Released {
            self.queued_input.extend(self.state.keys.map().released(key).map(QueuedInput::ActionReleased));
            self.raw.events.extend(self.translator.key(event));
            return;
        }
        // A key that is to be given to an action does nothing now.
        if self.panels.takes_any_key() {
            self.raw.events.extend(self.translator.key(event));
            return;
        }
        let modifiers = self.translator.modifiers();
        let focus = self.key_focus();
        let editing = focus.editing;
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
        let action =
            self.state.keys.map().action(Chord::pressed(key, modifiers)).filter(|&action| focus.lets(action, key));
        match action {
            Some(action) if !begins(action, event.repeat) => {}
            Some(action) => self.begin(action),
            None => self.raw.events.extend(self.translator.key(event)),
        }
    }

    /// Does in the next frame what the press of a key does.
    pub(super) fn begin(&mut self, action: Action) {
        match action {
            Action::Panels => {
                // egui goes to its first control when Tab comes and nothing has the keyboard.
                let tab = |pressed| {
                    let modifiers = egui::Modifiers::NONE;
                    egui::Event::Key { key: Key::Tab, physical_key: None, pressed, repeat: false, modifiers }
                };
                self.raw.events.extend([tab(true), tab(false)]);
            }
            action => self.queued_input.push(QueuedInput::ActionPressed(action)),
        }
        self.redraw();
    }

    /// What a key meets now.
    pub(super) fn key_focus(&self) -> KeyFocus {
        KeyFocus {
            editing: self.context.text_edit_focused(),
            control: self.context.memory(|m| m.focused()).is_some_and(|id| id != canvas_id()),
            menu: egui::Popup::is_any_open(&self.context),
            sheet: self.panels.sheet_is_open(),
            key_sheet: self.panels.key_sheet_is_open(),
            finder: self.panels.finder_is_open(),
            covered: matches!(
                self.panels.page,
                Page::Library | Page::Memory | Page::SideBySide | Page::Progress | Page::Settings
            ),
            no_study: self.state.session.is_none(),
        }
    }
}

/// Whether a press does its action: a key that is held does not begin again, nor does it take back what it did, but takes the next
/// step.
fn begins(action: Action, repeat: bool) -> bool {
    !repeat || action.press() == KeyPress::Repeats
}

/// What lies between a key and the canvas.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct KeyFocus {
    /// A text is being written.
    pub editing: bool,
    /// A control has the keyboard.
    control: bool,
    /// A menu is open, or a small sheet under a button.
    menu: bool,
    /// A sheet lies over the window.
    sheet: bool,
    /// That sheet is the one that shows the keys.
    key_sheet: bool,
    /// That sheet is the one that finds everything by its name.
    finder: bool,
    /// A page lies over the canvas.
    covered: bool,
    no_study: bool,
}

impl KeyFocus {
    /// Whether a key may be its action; otherwise it belongs to the control that has the keyboard.
    pub fn lets(self, action: Action, key: Key) -> bool {
        if action == Action::Quit {
            return true;
        }
        // What a sheet asks is answered first; the sheets that show the keys go as they came.
        if self.sheet {
            return self.key_sheet && action == Action::KeySheet || self.finder && action == Action::FindAction;
        }
        if action == Action::FindAction {
            return true;
        }
        // It leaves the menu, and lets nothing go behind it.
        if self.menu && key == Key::Escape {
            return false;
        }
        let function = key.name().strip_prefix('F').is_some_and(|n| n.parse::<u8>().is_ok());
        if function {
            return true;
        }
        if self.editing || self.covered || self.no_study {
            return false;
        }
        let of_controls = matches!(
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
        !self.control || !of_controls
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn function_keys_do_nothing_behind_a_sheet() {
        let sheet = KeyFocus { sheet: true, ..KeyFocus::default() };
        for (action, key) in [(Action::Value, Key::F3), (Action::Library, Key::F12), (Action::KeySheet, Key::F1)] {
            assert!(KeyFocus::default().lets(action, key));
            assert!(!sheet.lets(action, key), "{action:?}");
        }
        assert!(sheet.lets(Action::Quit, Key::Q));
        let finder = KeyFocus { finder: true, ..sheet };
        assert!(finder.lets(Action::FindAction, Key::F) && !sheet.lets(Action::FindAction, Key::F));
        assert!(KeyFocus { no_study: true, ..KeyFocus::default() }.lets(Action::FindAction, Key::F));
        let keys = KeyFocus { key_sheet: true, ..sheet };
        assert!(keys.lets(Action::KeySheet, Key::F1) && !keys.lets(Action::Value, Key::F3));
    }

    #[test]
    fn escape_leaves_an_open_menu_and_nothing_behind_it() {
        let menu = KeyFocus { menu: true, ..KeyFocus::default() };
        assert!(KeyFocus::default().lets(Action::Cancel, Key::Escape));
        assert!(!menu.lets(Action::Cancel, Key::Escape));
        assert!(menu.lets(Action::Before, Key::Q) && menu.lets(Action::Value, Key::F3));
    }

    #[test]
    fn a_held_key_turns_nothing_on_and_off_and_goes_on_with_steps() {
        let toggles = [
            Action::Value,
            Action::Squint,
            Action::TwoTone,
            Action::Mirror,
            Action::KeySheet,
            Action::Library,
            Action::PhotoPage,
            Action::Panels,
            Action::OpenFreeColour,
            Action::Before,
            Action::Close,
        ];
        for action in toggles {
            assert!(begins(action, false) && !begins(action, true), "{action:?}");
        }
        for action in [Action::StepBack, Action::StepOn, Action::Larger, Action::ZoomIn, Action::Lighter] {
            assert!(begins(action, false) && begins(action, true), "{action:?}");
        }
    }

    #[test]
    fn letters_are_written_and_controls_keep_their_keys() {
        let editing = KeyFocus { editing: true, control: true, ..KeyFocus::default() };
        assert!(!editing.lets(Action::Before, Key::Q) && editing.lets(Action::Value, Key::F3));
        let control = KeyFocus { control: true, ..KeyFocus::default() };
        assert!(control.lets(Action::Before, Key::Q) && !control.lets(Action::Lighter, Key::ArrowUp));
        let start = KeyFocus { no_study: true, ..KeyFocus::default() };
        assert!(start.lets(Action::KeySheet, Key::F1) && !start.lets(Action::Before, Key::Q));
    }
}
