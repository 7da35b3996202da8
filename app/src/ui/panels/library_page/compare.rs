//! A photo that boards are compared with: read and looked through on a thread of its own, so that the window stays quick.

use crate::files::library::Palette;
use crate::ui::wording;
use egui::Context;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
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
    Reading(String, Receiver<Result<Palette, String>>),
    /// With this photo.
    With(String, Palette),
    /// With nothing, and why.
    Failed(String),
}

impl Compare {
    /// Begins to read a photo; `name` is what it is called.
    pub fn begin(&mut self, ctx: &Context, source: Source, name: String) {
        let (send, result) = channel();
        let ctx = ctx.clone();
        let work = move || {
            // Only a page that is gone does not listen.
            let _ = send.send(palette(source));
            ctx.request_repaint();
        };
        *self = match std::thread::Builder::new().name("compare".to_owned()).spawn(work) {
            Ok(_) => Compare::Reading(name, result),
            Err(error) => Compare::Failed(error.to_string()),
        };
    }

    /// Takes the result of a photo that was read.
    pub fn poll(&mut self) {
        let Compare::Reading(name, result) = self else { return };
        *self = match result.try_recv() {
            Ok(Ok(palette)) => Compare::With(std::mem::take(name), palette),
            Ok(Err(why)) => Compare::Failed(why),
            Err(TryRecvError::Empty) => return,
            Err(TryRecvError::Disconnected) => Compare::Failed(wording::COMPARE_STOPPED.to_owned()),
        };
    }

    /// The colours to compare with.
    pub fn palette(&self) -> Option<&Palette> {
        match self {
            Compare::With(_, palette) => Some(palette),
            _ => None,
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
