//! A photo that boards are compared with: read and looked through beside the window.

use crate::base::jobs::{Job, Outcome};
use crate::files::library::Palette;
use crate::ui::wording;
use egui::Context;
use std::path::PathBuf;
use std::sync::Arc;
use stint_model::photo::Photo;

/// Where the photo comes from.
pub(super) enum Source {
    /// A file.
    File(PathBuf),
    /// The reference of the open study.
    Open(Arc<Photo>),
}

/// What the comparing is at.
#[derive(Default)]
pub(super) enum Compare {
    /// With nothing.
    #[default]
    Nothing,
    /// The photo is being read.
    Reading(String, Job<Result<Palette, String>>),
    /// With this photo.
    With(String, Palette),
    /// With nothing, and why.
    Failed(String),
}

impl Compare {
    /// Begins to read a photo; `name` is what it is called.
    pub fn begin(&mut self, ctx: &Context, source: Source, name: String) {
        let ctx = ctx.clone();
        *self = match Job::start("compare", move || ctx.request_repaint(), move |_| palette(source)) {
            Ok(job) => Compare::Reading(name, job),
            Err(error) => Compare::Failed(error.to_string()),
        };
    }

    /// Takes the result of a photo that was read.
    pub fn poll(&mut self) {
        let Compare::Reading(name, job) = self else { return };
        *self = match job.poll() {
            Outcome::Done(Ok(palette)) => Compare::With(std::mem::take(name), palette),
            Outcome::Done(Err(why)) => Compare::Failed(why),
            Outcome::Running => return,
            Outcome::Died => Compare::Failed(wording::COMPARE_STOPPED.to_owned()),
        };
    }

    /// The colours to compare with.
    pub fn palette(&self) -> Option<&Palette> {
        match self {
            Compare::With(_, palette) => Some(palette),
            Compare::Nothing | Compare::Reading(..) | Compare::Failed(_) => None,
        }
    }
}

fn palette(source: Source) -> Result<Palette, String> {
    let photo = match source {
        Source::File(path) => Arc::new(Photo::open(path).map_err(|e| e.to_string())?),
        Source::Open(photo) => photo,
    };
    Palette::of_photo(&photo).map_err(|e| e.to_string())
}
