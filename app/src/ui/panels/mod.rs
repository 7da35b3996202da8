//! The panels around the canvas, the start page and the sheets: each a function of [`State`].
//!
//! | place | file |
//! | --- | --- |
//! | top bar: looks, history, export; the study's menu | `top`, `study_menu` |
//! | left: the photo, the loupe, painting against photo | `reference` (a folder), `photo`, `shut_photo`, `lit_surface` |
//! | over the canvas, for a thumb: steps of the history | `thumb` |
//! | bottom: tools, tray, well, free colour | `tools`, `brush_picture`, `tray`, `well`, `mixing`, `dab`, `mixture`, `free`, `plane` |
//! | right: readout, charts, passes | `readout`, `bar`, `chart`, `lean_chart`, `reach_chart`, `passes` |
//! | sheets | `swatch_sheet`, `brush_sheet`, `colour_form`, `board_sheet` (a family), `export`, `replace_sheet`, `study_sheets`, `stint`, `keys_sheet` with `guide` |
//! | left, instead of the photo: the board | `board` (a folder) |
//! | left, instead of the photo, and over the canvas: cropping and extending it | `canvas_crop` (a folder) |
//! | instead of the canvas, and of the start page while a photo comes in | `photo_page`, `early_photo` |
//! | instead of everything below the top bar | `memory_page`, `side_by_side` |
//! | instead of everything: the kept boards, progress, settings | `library_page`, `progress_page`, `settings_page` (a folder) |
//! | everything the keys can do, by name | `finder` |
//! | no study | `start` (a folder) |
//! | choosing a file | `system_dialog`, `file_browser` (a folder), `chosen` |
//! | how large all this is, where it lies in a frame | `measures`, `regions`, `layout`, `sheets` |
//! | what of it lasts | `lasting` |
//!
//! Panels change a study through [`State::apply`] alone, and ask for the rest with a [`crate::ui::request::Request`].

mod bar;
mod blur;
mod board;
mod board_sheet;
mod brush_files;
mod brush_picture;
mod brush_sheet;
mod canvas_crop;
mod chart;
mod chosen;
mod colour_form;
mod dab;
mod drawers;
mod early_photo;
mod export;
mod file_browser;
mod finder;
mod free;
mod guide;
mod keys_sheet;
mod lasting;
mod layout;
mod lean_chart;
mod library_page;
mod lit_surface;
mod measures;
mod memory_page;
mod mixing;
mod mixture;
mod next_step;
mod notices;
mod passes;
mod photo;
mod photo_page;
mod plane;
mod pressure_sheet;
mod progress_page;
mod reach_chart;
mod readout;
mod reference;
mod regions;
mod replace_sheet;
mod settings_page;
mod sheets;
mod shut_photo;
mod side_by_side;
mod start;
mod stint;
mod study_menu;
mod study_sheets;
mod swatch_sheet;
mod system_dialog;
#[cfg(test)]
mod tests;
mod thumb;
mod tools;
mod top;
mod tray;
mod well;
mod widgets;

pub use canvas_crop::frame as canvas_frame;
pub use layout::frame;
pub use measures::{enlargement, scale, size_held_percent};

use crate::ui::file_pictures::FilePictures;
use crate::ui::state::State;
use egui::Ui;
use regions::{SHUT_FREE, Side, column, cut, place};
use stint_model::ids::SwatchId;

/// What lights up under the pointer waits this long, seconds.
const HOVER_SECONDS: f64 = 0.3;

/// The sheet that lies over the window.
#[derive(Clone, PartialEq, Debug)]
enum Sheet {
    /// A new or a changed swatch.
    Swatch(swatch_sheet::SwatchForm),
    /// What becomes of the paint of a swatch.
    Delete(swatch_sheet::DeleteForm),
    /// A family.
    Family(board_sheet::FamilyForm),
    /// Taking a board out of the study.
    ForgetBoard(String),
    /// Opening free colour.
    OpenFree,
    /// Opening the photo of a study that is painted from memory.
    OpenPhoto,
    /// Removing a pass that has paint.
    RemovePass(String),
    /// Export.
    Export(export::ExportForm),
    /// Whether a file gives way.
    Replace(ReplaceForm),
    /// Choosing a file.
    Browse(file_browser::Purpose),
    /// Choosing one in the system's own dialog.
    SystemDialog(file_browser::Purpose),
    /// The length of the stint.
    Stint,
    /// Setting the brush that is held.
    Brush(brush_sheet::BrushForm),
    /// Showing how hard the hand presses.
    Pressure(pressure_sheet::PressureForm),
    /// A brush of a file whose name is taken.
    SameBrush(brush_files::SameBrush),
    /// The keys.
    Keys,
    /// Everything the keys can do.
    Find(finder::FinderForm),
    /// Another name for a study.
    RenameStudy(study_sheets::RenameForm),
    /// Studies in the trash.
    Trash,
    /// A study that is not where it was.
    LostStudy(std::path::PathBuf),
}

/// What asks whether a file gives way.
#[derive(Clone, PartialEq, Debug)]
enum Asks {
    /// The export sheet, which comes back with the answer.
    Export(export::ExportForm),
    /// The board's panel.
    Board,
    /// The page of progress.
    Progress,
    /// The brush's sheet, for the brush that is held under the name it was given.
    Brush(String),
}

/// The question whether a file gives way.
#[derive(Clone, PartialEq, Debug)]
struct ReplaceForm {
    /// The file that is there.
    path: std::path::PathBuf,
    /// What it is, in words.
    found: String,
    /// Who wants to write.
    asks: Asks,
}

/// What lies where the canvas is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Page {
    /// The canvas.
    #[default]
    Canvas,
    /// The photo, large.
    Photo,
    /// A neutral field, to hit a swatch from memory.
    Memory,
    /// Two studies of one photo beside it.
    SideBySide,
    /// How studies and exercises went; covers the whole window.
    Progress,
    /// The kept boards; covers the whole window.
    Library,
    /// Settings and keys; covers the whole window.
    Settings,
}

/// What the panels remember between frames.
#[derive(Default)]
pub struct PanelState {
    /// Whether the key sheet shows the guide instead.
    guide: bool,
    /// What lies where the canvas is.
    pub page: Page,
    /// Whether the board's panel takes the place of the reference.
    pub board_open: bool,
    /// The epoch of the state that all this belongs to.
    epoch: u64,
    sheet: Option<Sheet>,
    board: board::BoardState,
    photo_page: photo_page::PhotoPageState,
    memory: memory_page::MemoryState,
    side_by_side: side_by_side::SideBySide,
    progress: progress_page::ProgressState,
    library: library_page::LibraryState,
    settings: settings_page::SettingsState,
    reference_away: bool,
    readout_away: bool,
    /// What is open in a low window.
    drawer: Option<drawers::Drawer>,
    photo: photo::PhotoState,
    loupe: reference::loupe_state::LoupeState,
    proposal: reference::proposal::ProposalState,
    follow: reference::follow::FollowState,
    line_up: reference::line_up::LineUpState,
    crop: reference::crop::CropState,
    canvas_crop: canvas_crop::CanvasCropState,
    lit: lit_surface::LitSurface,
    free: free::FreeState,
    readout: readout::ReadoutState,
    reach: reach_chart::ReachState,
    passes: passes::PassesState,
    well: well::WellState,
    tray: tray::TrayState,
    brushes: brush_picture::BrushPictures,
    brush_strip: Option<brush_sheet::StripPicture>,
    start: start::StartPage,
    browser: file_browser::BrowserState,
    system_dialog: system_dialog::SystemDialogState,
    notices: notices::NoticesState,
    /// The export sheet, while the place of its picture is chosen.
    exporting: Option<export::ExportForm>,
    /// The swatch under the pointer, and since when it is there, seconds.
    hovered: Option<(SwatchId, f64)>,
    /// Photos that had come in when the panels last looked.
    photos_taken: u64,
    early_photo: early_photo::EarlyPhoto,
    /// Height of the line of the next step in the last frame, points.
    next_step_height: f32,
    pictures: FilePictures,
    squint_radius_px: Option<f32>,
    values: Option<u8>,
}

impl PanelState {
    /// Whether the next key that is pressed is taken down and does nothing.
    pub fn takes_any_key(&self) -> bool {
        self.page == Page::Settings && self.settings.listens()
    }

    /// Opens the sheet that finds everything by its name, or shuts it.
    pub fn toggle_finder(&mut self) {
        self.sheet = match self.sheet {
            Some(Sheet::Find(_)) => None,
            _ => Some(Sheet::Find(finder::FinderForm::default())),
        };
    }

    /// Whether that sheet is open.
    pub fn finder_is_open(&self) -> bool {
        matches!(self.sheet, Some(Sheet::Find(_)))
    }

    /// Whether a sheet lies over the window, which then takes the keys.
    pub fn sheet_is_open(&self) -> bool {
        self.sheet.is_some()
    }

    /// Whether that sheet is the one that shows the keys.
    pub fn key_sheet_is_open(&self) -> bool {
        self.sheet == Some(Sheet::Keys)
    }

    /// Opens the key sheet, or shuts it.
    pub fn toggle_keys(&mut self) {
        self.sheet = if self.sheet == Some(Sheet::Keys) { None } else { Some(Sheet::Keys) };
    }

    /// Opens the sheet that sets the brush that is held.
    pub fn open_brush_sheet(&mut self, state: &State) {
        self.sheet = Some(Sheet::Brush(brush_sheet::BrushForm::of(state)));
    }

    /// Opens a page, or goes back to the canvas.
    pub fn toggle_page(&mut self, page: Page) {
        self.page = if self.page == page { Page::Canvas } else { page };
        if self.page == Page::Photo {
            // What is picked from the photo is in its panel.
            (self.reference_away, self.board_open) = (false, false);
        }
    }

    /// Opens the export sheet for a study.
    pub fn open_export(&mut self, session: &crate::study::session::Session) {
        self.sheet = Some(Sheet::Export(export::ExportForm::new(session)));
    }

    /// Opens the sheet that asks before free colour opens.
    pub fn open_free_sheet(&mut self) {
        self.sheet = Some(Sheet::OpenFree);
    }

    /// What lights up under the pointer does so only once the pointer rests there: moving over the tray must not make the canvas flicker.
    fn wait_before_lighting(&mut self, ui: &Ui, state: &mut State) {
        let Some(over) = state.highlighted else {
            self.hovered = None;
            return;
        };
        let now = ui.input(|i| i.time);
        let since = match self.hovered {
            Some((id, since)) if id == over => since,
            _ => now,
        };
        self.hovered = Some((over, since));
        if now - since < HOVER_SECONDS {
            state.highlighted = None;
            ui.ctx().request_repaint_after(std::time::Duration::from_secs_f64(HOVER_SECONDS - (now - since)));
        }
    }

    /// Shows a photo that came in, large, with a board proposed from it where there is none yet.
    fn follow_photos(&mut self, state: &State) {
        if std::mem::replace(&mut self.photos_taken, state.photos_taken) == state.photos_taken {
            return;
        }
        reference::reset_spots(self);
        let Some(session) = &state.session else { return };
        if self.page != Page::Photo {
            self.toggle_page(Page::Photo);
        }
        (self.reference_away, self.board_open) = (false, false);
        self.proposal.open = session.document().board.families.is_empty();
    }
}
