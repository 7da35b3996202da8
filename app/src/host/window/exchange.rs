//! Clipboard and dropped files.

use crate::base::folders;
use crate::base::uri::path_of_uri;
use std::io::Write;
use std::path::{Path, PathBuf};
use stint_model::disk::{self, Unplaced};
use winit::data_transfer::{DataTransferId, DataTransferSendBuilder, TypeHint, TypedData};
use winit::event_loop::{ActiveEventLoop, AsyncRequestSerial, DndAction};

/// Pictures we ask a clipboard for, best first; each system has its own suffix for the same kind.
const PICTURES: [&str; 6] = ["png", "jpg", "jpeg", "tiff", "tif", "webp"];

/// What came in.
#[derive(Clone, PartialEq, Debug)]
pub enum Arrived {
    /// Text for a field.
    Text(String),
    /// Files: the first is to be opened, one at a time is.
    Files(PathBuf, Vec<PathBuf>),
}

impl Arrived {
    fn file(path: PathBuf) -> Self {
        Arrived::Files(path, Vec::new())
    }

    /// The files that a list of URIs names, if there are any.
    fn files<'a>(uris: impl IntoIterator<Item = &'a str>) -> Option<Self> {
        let mut paths = uris.into_iter().filter_map(path_of_uri);
        let first = paths.next()?;
        Some(Arrived::Files(first, paths.collect()))
    }
}

/// Requests under way.
#[derive(Default)]
pub struct Exchange {
    pasting: Option<AsyncRequestSerial>,
    /// Whether what is being pasted goes into a field.
    into_field: bool,
    dragging: Option<Dragging>,
}

struct Dragging {
    id: DataTransferId,
    asked: AsyncRequestSerial,
    files: Option<Arrived>,
    dropped: bool,
}

impl Exchange {
    /// Puts text on the clipboard.
    pub fn copy(&self, event_loop: &dyn ActiveEventLoop, text: String) -> Result<(), String> {
        #[cfg(target_arch = "wasm32")]
        if let Some(browser) = crate::host::page::browser() {
            browser.copy(&text);
            return Ok(());
        }
        let send = DataTransferSendBuilder::new(text).with_type(TypeHint::Plaintext, |t: &String, _| Some(t.clone()));
        event_loop.set_clipboard(send.build()).map_err(|e| format!("the text cannot be copied ({e})"))
    }

    /// Asks for what is on the clipboard: text while a field is being edited, else a file, a photo, or the path of a file. Tells whether
    /// there is such a thing.
    pub fn paste(&mut self, event_loop: &dyn ActiveEventLoop, editing: bool) -> bool {
        let Ok(Some(id)) = event_loop.clipboard() else { return false };
        let Ok(offer) = event_loop.data_transfer(id) else { return false };
        let pictures = PICTURES.map(|p| TypeHint::Image { extension_hint: Some(p) });
        let file = [&[TypeHint::UriList], &pictures[..], &[TypeHint::Plaintext]].concat();
        let wanted: &[TypeHint] = if editing { &[TypeHint::Plaintext] } else { &file };
        if let Some(hint) = wanted.iter().find(|hint| offer.has_type(*hint)) {
            self.into_field = editing;
            self.pasting = event_loop.fetch_data_transfer(id, hint).ok();
            return self.pasting.is_some();
        }
        false
    }

    /// Something is dragged over the window: files are welcome.
    pub fn drag_entered(&mut self, event_loop: &dyn ActiveEventLoop, id: DataTransferId) {
        let welcome = event_loop.data_transfer(id).is_ok_and(|d| d.has_type(&TypeHint::UriList));
        let actions: &[DndAction] = if welcome { &[DndAction::Copy] } else { &[] };
        // A refusal shows as the cursor of the system; there is nothing to add.
        let _ = event_loop.set_valid_dnd_actions(id, actions);
        self.dragging = match event_loop.fetch_data_transfer(id, &TypeHint::UriList) {
            Ok(asked) if welcome => Some(Dragging { id, asked, files: None, dropped: false }),
            _ => None,
        };
    }

    /// It was let go over the window. The files, if their names have come already.
    pub fn drag_dropped(&mut self, id: DataTransferId) -> Option<Arrived> {
        let dragging = self.dragging.as_mut().filter(|d| d.id == id)?;
        dragging.dropped = true;
        self.done_dragging()
    }

    /// It was dragged away.
    pub fn drag_left(&mut self, id: DataTransferId) {
        self.dragging = self.dragging.take().filter(|d| d.id != id);
    }

    /// Data came. What is to be done with it, or why nothing can be.
    pub fn received(&mut self, serial: AsyncRequestSerial, value: &dyn TypedData) -> Result<Option<Arrived>, String> {
        if let Some(dragging) = self.dragging.as_mut().filter(|d| d.asked == serial) {
            dragging.files = value.try_as_uris().ok().and_then(|uris| Arrived::files(uris.iter().map(|u| &**u)));
            return Ok(self.done_dragging());
        }
        if self.pasting != Some(serial) {
            return Ok(None);
        }
        let arrived = match value.type_().hint() {
            Some(TypeHint::Plaintext) if self.into_field => value.try_as_string().map(|t| Some(Arrived::Text(t))),
            Some(TypeHint::Plaintext) => value.try_as_string().map(|t| path_in(&t).map(Arrived::file)),
            Some(TypeHint::UriList) => value.try_as_uris().map(|uris| Arrived::files(uris.iter().map(|u| &**u))),
            Some(TypeHint::Image { extension_hint }) => {
                let suffix = extension_hint.unwrap_or("png");
                value
                    .try_as_bytes()
                    .and_then(|bytes| keep(&folders::documents(), suffix, &bytes))
                    .map(|p| Some(Arrived::file(p)))
            }
            _ => Ok(None),
        };
        match arrived {
            // More of it is to come.
            Err(e) if e.kind() == std::io::ErrorKind::WouldBlock => Ok(None),
            Err(e) => {
                self.pasting = None;
                Err(format!("what is on the clipboard cannot be read ({e}); copy it again"))
            }
            Ok(arrived) => {
                self.pasting = None;
                Ok(arrived)
            }
        }
    }

    fn done_dragging(&mut self) -> Option<Arrived> {
        self.dragging.take_if(|d| d.dropped && d.files.is_some())?.files
    }
}

/// A pasted photo becomes a file, so that the study has something to lie beside.
fn keep(folder: &Path, suffix: &str, bytes: &[u8]) -> std::io::Result<PathBuf> {
    let file = Unplaced::beside(&folder.join("Pasted photo"))?;
    disk::create(file.path())?.write_all(bytes)?;
    file.place_free("Pasted photo", &format!(".{suffix}"))
}

/// The file that a copied text names, if it is nothing but the whole path of one, or its URI.
fn path_in(text: &str) -> Option<PathBuf> {
    let text = text.trim();
    let path = path_of_uri(text).unwrap_or_else(|| PathBuf::from(text));
    (disk::is_absolute(&path) && disk::is_file(&path)).then_some(path)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_text_names_a_file_when_it_is_the_whole_path_of_one_that_is_there() {
        let folder = tempfile::tempdir().unwrap();
        let photo = folder.path().join("tram depot.jpg");
        std::fs::write(&photo, "").unwrap();
        let path = photo.display().to_string();
        let uri = format!("file://{}", path.replace(' ', "%20"));
        for text in [path.clone(), format!(" {path}\n"), uri] {
            assert_eq!(path_in(&text), Some(photo.clone()), "{text}");
        }
        for text in ["", "tram depot.jpg", "a few words", "/nowhere/tram depot.jpg", "https://example.org/a.jpg"] {
            assert_eq!(path_in(text), None, "{text}");
        }
        assert_eq!(path_in(&folder.path().display().to_string()), None, "a folder is no file");
    }
}
