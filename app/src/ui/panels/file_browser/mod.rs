//! Choosing a file inside the window: folders and places, pictures of what is there, by mouse, by keys, or by writing its name.
//!
//! | part | file |
//! | --- | --- |
//! | what a file is chosen for | `purpose` |
//! | the folder that is looked at, read beside the window | `folder` |
//! | the tiles | `tiles` |
//! | the name that is written, and what it means | `name` |

mod folder;
mod name;
mod purpose;
mod tiles;

pub(super) use purpose::Purpose;

use super::PanelState;
use super::widgets::{self, Pill};
use crate::base::folders;
use crate::files::listing::{Form, Listed, Order, Wanted};
use crate::files::places::PlaceKind;
use crate::files::settings::LAST_FOLDER;
use crate::ui::request::Request;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::{theme as look, wording};
use egui::{Align, Key, Layout, Modifiers, Rect, RichText, Ui, UiBuilder, Vec2, pos2, vec2};
use folder::FolderView;
use std::path::{Path, PathBuf};
use stint_model::disk;

/// Largest size of the sheet, points.
const SIZE: Vec2 = vec2(1040.0, 700.0);
/// Space that the window keeps around it, points.
const AROUND: f32 = 28.0;
/// Width of the places, points.
const PLACES: f32 = 176.0;
/// Height of the lines under the list, points.
const FOOT: f32 = 120.0;
/// Most recent folders that are offered.
const MAX_RECENT: usize = 5;
/// Letters that follow within this time belong to one name, seconds.
const TYPING_SECONDS: f64 = 1.0;

/// What the browser remembers.
#[derive(Default)]
pub(super) struct BrowserState {
    view: FolderView,
    /// The name as it is being written.
    name: String,
    /// Whether it was opened a moment ago: the button that did so gives the keyboard back.
    fresh: bool,
    /// Whether a file is to be written.
    writes: bool,
    /// What is chosen in the list.
    chosen: Option<PathBuf>,
    order: Order,
    all: bool,
    hidden: bool,
    /// The name of a folder that is being made.
    new_folder: Option<String>,
    /// Why it cannot be done, beside the name.
    error: Option<String>,
    /// Letters typed at the list, and when the last came.
    typed: (String, f64),
    /// What is chosen has to come into sight.
    reveal: bool,
    /// The field takes the keyboard in the next frame.
    focus_name: bool,
    /// Whether the system's own dialog could be opened instead, and whether that is wanted.
    has_system_dialog: bool,
    to_system_dialog: bool,
    /// Tiles beside each other in the last frame.
    columns: usize,
}

impl PanelState {
    /// Opens the browser in the folder that was used last.
    pub(super) fn browse_here(&mut self, state: &State, purpose: Purpose) {
        let browser = &mut self.browser;
        let (order, all, hidden) = (browser.order, browser.all, browser.hidden);
        let named = purpose.starts_at();
        let writes = purpose.writes();
        *browser = BrowserState { order, all, hidden, writes, fresh: true, ..BrowserState::default() };
        let last = state.settings.get(&LAST_FOLDER);
        let folder = named.as_ref().and_then(|p| p.parent()).filter(|f| *f != Path::new(""));
        let folder = folder.map(Path::to_owned).or(last).unwrap_or_else(folders::pictures);
        browser.view.go(&std::path::absolute(&folder).unwrap_or(folder));
        if let Some(named) = named {
            browser.name = named.file_name().unwrap_or_default().to_string_lossy().into_owned();
            browser.focus_name = true;
        }
        self.sheet = Some(super::Sheet::Browse(purpose));
    }
}

/// How a frame of the browser ends.
pub(super) enum BrowserEnd {
    /// It stays open.
    Open,
    /// Nothing was chosen.
    Left,
    /// This file.
    Chosen(PathBuf),
    /// The system's own dialog is wanted instead.
    SystemDialog,
}

/// Draws the browser over the window; tells whether it stays open.
pub(super) fn sheet(state: &mut State, panels: &mut PanelState, ui: &mut Ui, purpose: &Purpose) -> BrowserEnd {
    let mut browser = std::mem::take(&mut panels.browser);
    let window = ui.ctx().content_rect().size();
    let size = SIZE.min(window - Vec2::splat(2.0 * AROUND)).max(vec2(320.0, 260.0));
    let mut done = None;
    let mut leaves = false;
    browser.has_system_dialog = panels.system_dialog.may_answer(state);
    browser.view.follow(ui.ctx(), state.data_folder.as_deref());
    if std::mem::take(&mut browser.fresh) {
        ui.memory_mut(|m| {
            if let Some(id) = m.focused() {
                m.surrender_focus(id);
            }
        });
        // What is wanted mostly lies on the device, so the browser's own choice comes at once; the page's files are behind it.
        if cfg!(target_arch = "wasm32") && !purpose.writes() {
            state.requests.push(device_request(purpose));
        }
    }
    leaves |= widgets::large_sheet(ui, purpose.title(), size, |ui| {
        let all = ui.max_rect();
        let title =
            RichText::new(purpose.title()).font(look::font(look::MIDDLE, Weight::Semibold)).color(theme::STRONG);
        ui.label(title);
        let top = ui.min_rect().bottom() + theme::STEP;
        let left = Rect::from_min_max(pos2(all.left(), top), pos2(all.left() + PLACES, all.bottom()));
        let main = Rect::from_min_max(pos2(left.right() + 16.0, top), all.max);
        let region = |ui: &mut Ui, name: &str, rect: Rect, content: &mut dyn FnMut(&mut Ui)| {
            let layout = Layout::top_down(Align::Min);
            let mut inside = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout).id_salt(name));
            inside.set_clip_rect(rect.expand(4.0).intersect(ui.clip_rect()));
            content(&mut inside);
        };
        region(ui, "places", left, &mut |ui| browser.places(ui));
        // The files of the device are the browser's to show; those of the page lie below.
        let main = if cfg!(target_arch = "wasm32") && !purpose.writes() {
            let strip = Rect::from_min_max(main.min, pos2(main.right(), main.top() + widgets::PILL));
            region(ui, "device", strip, &mut |ui| {
                if widgets::pill(ui, purpose.device_words(), Pill::First).clicked() {
                    state.requests.push(device_request(purpose));
                }
            });
            Rect::from_min_max(pos2(main.left(), strip.bottom() + theme::STEP), main.max)
        } else {
            main
        };
        done = state.arrived.take();
        let head = Rect::from_min_max(main.min, pos2(main.right(), main.top() + 2.0 * widgets::PILL + 12.0));
        region(ui, "where", head, &mut |ui| browser.head(ui));
        let foot = Rect::from_min_max(pos2(main.left(), main.bottom() - FOOT), main.max);
        let list = Rect::from_min_max(head.left_bottom() + vec2(0.0, 4.0), foot.right_top() - vec2(0.0, 8.0));
        region(ui, "list", list, &mut |ui| {
            if let Some(pressed) = tiles::list(&mut browser, panels, ui, purpose) {
                done = browser.open(purpose, &pressed);
            }
        });
        region(ui, "name", foot, &mut |ui| {
            let (accepted, cancelled) = name::foot(&mut browser, ui, purpose);
            done = accepted.or(done.take());
            leaves |= cancelled;
        });
        done = browser.keys(ui, purpose).or(done.take());
    });
    let to_system_dialog = std::mem::take(&mut browser.to_system_dialog);
    panels.browser = browser;
    if to_system_dialog {
        return BrowserEnd::SystemDialog;
    }
    match done {
        Some(path) => {
            if let Some(folder) = path.parent()
                && let Err(why) = state.settings.set(&LAST_FOLDER, &folder.to_owned())
            {
                state.notices.push(why);
            }
            BrowserEnd::Chosen(path)
        }
        None if leaves => BrowserEnd::Left,
        None => BrowserEnd::Open,
    }
}

/// Asks for a file of the device.
fn device_request(purpose: &Purpose) -> Request {
    Request::Choose { pictures: purpose.wanted() == Wanted::Photo }
}

impl BrowserState {
    /// Goes to a folder.
    fn go(&mut self, folder: &Path) {
        self.view.go(folder);
        (self.chosen, self.error, self.new_folder) = (None, None, None);
        self.reveal = true;
    }

    /// Goes to the folder that this one lies in; it is chosen there.
    fn up(&mut self) {
        let folder = self.view.folder().to_owned();
        if let Some(parent) = folder.parent() {
            self.go(parent);
            self.chosen = Some(folder);
        }
    }

    /// What the list shows.
    fn shown(&mut self, purpose: &Purpose) -> std::rc::Rc<Vec<Listed>> {
        self.view.shown(purpose.wanted(), self.all, self.hidden, self.order)
    }

    /// Opens what was pressed twice, or entered: goes into a folder, gives back a file.
    fn open(&mut self, purpose: &Purpose, path: &Path) -> Option<PathBuf> {
        if Form::Folder == self.form(purpose, path) {
            self.go(path);
            return None;
        }
        Some(path.to_owned())
    }

    fn form(&mut self, purpose: &Purpose, path: &Path) -> Form {
        let listed = self.shown(purpose).iter().find(|e| e.path == path).map(|e| e.form);
        listed.unwrap_or_else(|| if disk::is_dir(path) { Form::Folder } else { Form::of(path) })
    }

    /// The places on the left.
    fn places(&mut self, ui: &mut Ui) {
        let mut wanted = None;
        let here = self.view.folder().to_owned();
        egui::ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 4.0;
            widgets::heading(ui, wording::PLACES);
            for place in self.view.places() {
                let name = place.path.file_name().unwrap_or(place.path.as_os_str()).to_string_lossy();
                let words = match place.kind {
                    PlaceKind::Home => wording::HOME,
                    PlaceKind::Pictures => wording::PICTURES,
                    PlaceKind::Documents => wording::DOCUMENTS,
                    PlaceKind::Medium => &name,
                };
                if widgets::row(ui, words, "", words, place.path == here).clicked() {
                    wanted = Some(place.path.clone());
                }
            }
            let recent: Vec<_> = self.view.recent_folders().iter().take(MAX_RECENT).cloned().collect();
            if !recent.is_empty() {
                ui.add_space(theme::STEP);
                widgets::heading(ui, wording::RECENT_FOLDERS);
            }
            for folder in recent {
                let name = folder.file_name().unwrap_or(folder.as_os_str()).to_string_lossy().into_owned();
                let row = widgets::row(ui, &name, "", &wording::folder_named(&name), folder == here);
                if row.on_hover_text(folder.display().to_string()).clicked() {
                    wanted = Some(folder);
                }
            }
        });
        if let Some(folder) = wanted {
            self.go(&folder);
        }
    }

    /// The way to the folder, and how it is listed.
    fn head(&mut self, ui: &mut Ui) {
        let mut wanted = None;
        let mut up = false;
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 2.0;
            up = widgets::pill_named(ui, wording::UP_ONE, wording::UP_ONE_NAME, Pill::Second).clicked();
            ui.add_space(6.0);
            wanted = self.way(ui);
        });
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 2.0;
            let orders = [
                (Order::Name, wording::BY_NAME, wording::BY_NAME_NAME),
                (Order::Newest, wording::BY_DATE, wording::BY_DATE_NAME),
            ];
            if let Some(order) = widgets::choices(ui, Some(self.order), &orders) {
                self.order = order;
                self.reveal = true;
            }
            ui.add_space(10.0);
            for (on, words) in [(&mut self.all, wording::ALL_FILES), (&mut self.hidden, wording::HIDDEN_FILES)] {
                if widgets::toggle(ui, words, *on).clicked() {
                    *on = !*on;
                }
            }
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| match &mut self.new_folder {
                None => {
                    if widgets::pill(ui, wording::NEW_FOLDER, Pill::Second).clicked() {
                        self.new_folder = Some(String::new());
                    }
                }
                Some(name) => {
                    let pressed = widgets::pill(ui, wording::MAKE_FOLDER, Pill::Second).clicked();
                    let field = widgets::bare_field(ui, wording::NEW_FOLDER_NAME, name, 140.0);
                    let entered = widgets::entered(ui, &field);
                    if name.is_empty() && !field.has_focus() && ui.memory(|m| m.focused().is_none()) {
                        field.request_focus();
                    }
                    if (pressed || entered) && !name.trim().is_empty() {
                        wanted = self.make_folder();
                    }
                }
            });
        });
        if let Some(folder) = wanted {
            self.go(&folder);
        } else if up {
            self.up();
        }
    }

    /// The folders on the way from the root, the last ones when there is not room for all; the one that was pressed.
    fn way(&self, ui: &mut Ui) -> Option<PathBuf> {
        let folder = self.view.folder().to_owned();
        let mut steps: Vec<&Path> = folder.ancestors().collect();
        let name = |path: &Path| path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
        let mut room = ui.available_width();
        let fitting = steps.iter().take_while(|step| {
            room -= widgets::pill_width(ui, &name(step)) + 2.0;
            room >= 0.0
        });
        let fitting = fitting.count().max(1);
        steps.truncate(fitting);
        steps.reverse();
        let mut pressed = None;
        for step in steps {
            let here = *step == *folder;
            let words = name(step);
            let look = if here { Pill::Choice(true) } else { Pill::Plain };
            if widgets::pill_named(ui, &words, &wording::folder_named(&words), look).clicked() && !here {
                pressed = Some(step.to_owned());
            }
        }
        pressed
    }

    /// Makes the folder that was named; the folder, to go to.
    fn make_folder(&mut self) -> Option<PathBuf> {
        let name = self.new_folder.take()?;
        let folder = self.view.folder().join(name.trim());
        if disk::is_taken(&folder) {
            self.error = Some(wording::folder_not_made(&folder, &std::io::ErrorKind::AlreadyExists.into()));
            self.new_folder = Some(name);
            return None;
        }
        self.make(&folder)
    }

    /// Makes a folder and those it lies in.
    fn make(&mut self, folder: &Path) -> Option<PathBuf> {
        match disk::create_dir_all(folder) {
            Ok(()) => Some(folder.to_owned()),
            Err(why) => {
                self.error = Some(wording::folder_not_made(folder, &why));
                None
            }
        }
    }

    /// Arrow keys, Enter, Backspace and letters, while no field and no button has the keyboard.
    fn keys(&mut self, ui: &Ui, purpose: &Purpose) -> Option<PathBuf> {
        if ui.memory(|m| m.focused().is_some()) {
            return None;
        }
        let shown = self.shown(purpose);
        let at = self.chosen.as_ref().and_then(|chosen| shown.iter().position(|e| e.path == *chosen));
        let pressed = |key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
        if pressed(Key::Backspace) || ui.input_mut(|i| i.consume_key(Modifiers::ALT, Key::ArrowUp)) {
            self.up();
            return None;
        }
        if pressed(Key::Enter)
            && let Some(chosen) = self.chosen.clone().filter(|_| at.is_some())
        {
            return self.open(purpose, &chosen);
        }
        let folders = shown.iter().filter(|e| e.form == Form::Folder).count();
        let steps = [Key::ArrowLeft, Key::ArrowRight, Key::ArrowUp, Key::ArrowDown, Key::Home, Key::End];
        for key in steps {
            if pressed(key) && !shown.is_empty() {
                let to = at.map_or(0, |at| tiles::step(at, key, shown.len(), folders, self.columns));
                self.choose(&shown[to]);
            }
        }
        let letters: String = ui.input(|i| {
            let texts =
                i.events.iter().filter_map(|e| if let egui::Event::Text(t) = e { Some(t.as_str()) } else { None });
            texts.collect()
        });
        if !letters.is_empty() {
            let now = ui.input(|i| i.time);
            if now - self.typed.1 > TYPING_SECONDS {
                self.typed.0.clear();
            }
            self.typed.0 += &letters.to_lowercase();
            self.typed.1 = now;
            if let Some(found) = shown.iter().find(|e| e.name.to_lowercase().starts_with(&self.typed.0)) {
                self.choose(found);
            }
        }
        None
    }

    fn choose(&mut self, entry: &Listed) {
        self.chosen = Some(entry.path.clone());
        self.error = None;
        self.reveal = true;
        match entry.form {
            // The name that is to be written stays what it is while folders are looked at.
            Form::Folder if self.writes => {}
            Form::Folder => self.name.clear(),
            Form::Study | Form::Picture | Form::Board | Form::Other => self.name.clone_from(&entry.name),
        }
    }
}
