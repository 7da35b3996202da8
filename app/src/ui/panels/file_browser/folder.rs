//! The folder that is looked at: read beside the window, so that a slow disk or a network never holds it up.

use crate::base::jobs::{Job, Outcome};
use crate::files::listing::{Listed, Order, Wanted, list, shown};
use crate::files::places::{Place, places};
use crate::files::recent;
use egui::Context;
use std::path::{Path, PathBuf};
use std::rc::Rc;

/// Where one can go from everywhere.
#[derive(Default)]
struct Shortcuts {
    places: Vec<Place>,
    recent: Vec<PathBuf>,
}

/// What a list was made for.
type ListKey = (Wanted, bool, bool, Order);

/// A folder and what is in it.
#[derive(Default)]
pub(super) struct FolderView {
    folder: PathBuf,
    /// What is there, or why that cannot be told; nothing while it is being read.
    found: Option<Result<Vec<Listed>, String>>,
    reading: Option<Job<Result<Vec<Listed>, String>>>,
    shortcuts: Option<Shortcuts>,
    finding_shortcuts: Option<Job<Shortcuts>>,
    shown: Option<(ListKey, Rc<Vec<Listed>>)>,
}

impl FolderView {
    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Looks at a folder.
    pub fn go(&mut self, folder: &Path) {
        self.folder = folder.to_owned();
        (self.found, self.reading, self.shown) = (None, None, None);
    }

    /// Why the folder cannot be listed.
    pub fn fault(&self) -> Option<&str> {
        self.found.as_ref()?.as_ref().err().map(String::as_str)
    }

    /// Whether the folder is still being read.
    pub fn reads(&self) -> bool {
        self.found.is_none()
    }

    /// Home, pictures, documents, and media that are in.
    pub fn places(&self) -> &[Place] {
        self.shortcuts.as_ref().map_or(&[], |shortcuts| &shortcuts.places)
    }

    /// Folders of studies that were opened lately.
    pub fn recent_folders(&self) -> &[PathBuf] {
        self.shortcuts.as_ref().map_or(&[], |shortcuts| &shortcuts.recent)
    }

    /// Takes what was read, and begins to read what is wanted.
    pub fn follow(&mut self, ctx: &Context, data_folder: Option<&Path>) {
        if let Some(job) = &self.reading {
            match job.poll() {
                Outcome::Running => {}
                Outcome::Done(found) => (self.found, self.reading) = (Some(found), None),
                Outcome::Died => self.reading = None,
            }
        }
        if self.found.is_none() && self.reading.is_none() {
            let (folder, wake) = (self.folder.clone(), ctx.clone());
            let read = Job::start("folder", move || wake.request_repaint(), move |_| list(&folder));
            match read {
                Ok(job) => self.reading = Some(job),
                Err(error) => self.found = Some(Err(error.to_string())),
            }
        }
        if let Some(Outcome::Done(shortcuts)) = self.finding_shortcuts.as_ref().map(Job::poll) {
            (self.shortcuts, self.finding_shortcuts) = (Some(shortcuts), None);
        }
        if self.shortcuts.is_none() && self.finding_shortcuts.is_none() {
            let (data, wake) = (data_folder.map(Path::to_owned), ctx.clone());
            let find = move |_: &_| Shortcuts { places: places(), recent: recent_folders(data.as_deref()) };
            // Without a thread there are no places; the way to the folder still shows.
            self.finding_shortcuts = Job::start("places", move || wake.request_repaint(), find).ok();
        }
    }

    /// What is shown of it.
    pub fn shown(&mut self, wanted: Wanted, all: bool, hidden: bool, order: Order) -> Rc<Vec<Listed>> {
        let asked = (wanted, all, hidden, order);
        if let Some((of, list)) = &self.shown
            && *of == asked
        {
            return list.clone();
        }
        let Some(Ok(found)) = &self.found else { return Rc::default() };
        let list = Rc::new(shown(found, wanted, all, hidden, order));
        self.shown = Some((asked, list.clone()));
        list
    }
}

/// The folders of the studies that were opened lately, each once.
fn recent_folders(data_folder: Option<&Path>) -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = Vec::new();
    for study in recent::load(data_folder) {
        if let Some(folder) = study.parent()
            && folders.iter().all(|other| other != folder)
        {
            folders.push(folder.to_owned());
        }
    }
    folders
}
