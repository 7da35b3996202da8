//! Calls from the document's script into the program, and from the program to the script (`web/stint.js`).

use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};
use stint::base::{clock, folders};
use stint::files::recent;
use stint::host::page::{self, Arrival, Browser};
use stint::host::window;
use stint::study::demo;
use stint_model::disk::page::Stored;
use stint_model::disk::{self, Unplaced};
use stint_render::choose::EngineChoice;
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
extern "C" {
    /// Files have changed: calls [`take_batch`] when the program has given its turn back.
    #[wasm_bindgen(js_name = stintChanged)]
    fn changed();
    #[wasm_bindgen(js_name = stintChoose)]
    fn choose(pictures: bool);
    #[wasm_bindgen(js_name = stintHandOver)]
    fn hand_over(name: &str, bytes: &[u8]);
    #[wasm_bindgen(js_name = stintCopy)]
    fn copy(text: &str);
    /// Text is being edited at this place, or none is any more.
    #[wasm_bindgen(js_name = stintEdits)]
    fn edits(on: bool, left: f64, top: f64, width: f64, height: f64);
    #[wasm_bindgen(js_name = stintFailed)]
    fn failed(why: &str);
    #[wasm_bindgen(js_name = stintControls)]
    fn controls(lines: &str);
}

/// The document's script.
struct Document;

impl Browser for Document {
    fn choose(&self, pictures: bool) {
        choose(pictures);
    }

    fn hand_over(&self, name: &str, bytes: &[u8]) {
        hand_over(name, bytes);
    }

    fn copy(&self, text: &str) {
        copy(text);
    }

    fn edits(&self, at: Option<[f64; 4]>) {
        let [left, top, width, height] = at.unwrap_or_default();
        edits(at.is_some(), left, top, width, height);
    }

    fn failed(&self, why: &str) {
        failed(why);
    }

    fn controls(&self, lines: &str) {
        controls(lines);
    }
}

/// Stored files on their way in, before the program starts.
#[wasm_bindgen]
#[derive(Default)]
pub struct Library {
    files: Vec<Stored>,
}

#[wasm_bindgen]
impl Library {
    /// Nothing yet.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes a stored file; `modified_ms` is in milliseconds since 1970.
    pub fn add(&mut self, name: String, bytes: Vec<u8>, modified_ms: f64) {
        let modified = SystemTime::UNIX_EPOCH + Duration::from_secs_f64((modified_ms / 1e3).max(0.0));
        self.files.push(Stored { name, bytes, modified });
    }

    /// Starts the program on these files.
    ///
    /// # Errors
    /// With a sentence for the painter.
    pub fn start(self) -> Result<(), String> {
        std::panic::set_hook(Box::new(|what| failed(&what.to_string())));
        disk::page::load(self.files, || changed(), clock::system_now).map_err(|error| error.to_string())?;
        super::database::install()?;
        let folder = folders::PAGE_STUDIES;
        disk::create_dir_all(folder).map_err(|error| format!("{folder} cannot be made ({error})"))?;
        // A study that was being made when the browser was killed is stored, and was never listed.
        let studies = [Path::new(folder), Path::new(disk::page::RECOVERED)];
        recent::take_in(None, &studies)
            .map_err(|(list, error)| format!("{} cannot be written ({error})", list.display()))?;
        page::in_browser(Box::new(Document));
        window::run(None, EngineChoice::Cpu).map_err(|error| error.to_string())
    }
}

/// What has changed in the files since the last call, for the mirror; nothing when nothing has.
#[wasm_bindgen]
pub fn take_batch() -> Option<Vec<u8>> {
    disk::page::take_batch()
}

/// The mirror has kept so many batches, all told.
#[wasm_bindgen]
pub fn confirmed(done: f64) {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count that came from here")]
    disk::page::confirmed(done as u64);
}

/// The mirror can keep nothing any more.
#[wasm_bindgen]
pub fn mirror_failed(why: String) {
    disk::page::failed(why);
}

/// A file of the device came in: `chosen` when it was asked for, else dropped or pasted. It is kept among the pictures of the page.
///
/// # Errors
/// With a sentence for the painter.
#[wasm_bindgen]
pub fn file_arrived(name: &str, bytes: &[u8], chosen: bool) -> Result<(), String> {
    let path = keep(name, bytes).map_err(|error| format!("{name} cannot be taken in ({error})"))?;
    page::arrived(if chosen { Arrival::Chosen(path) } else { Arrival::Given(path) });
    Ok(())
}

/// The photo of the demo came, or will not come, for the reason that is told.
#[wasm_bindgen]
pub fn demo_photo_arrived(photo: Option<Vec<u8>>, why: String) {
    demo::photo_arrived(photo.ok_or(why));
}

/// Text was pasted.
#[wasm_bindgen]
pub fn text_arrived(text: String) {
    page::arrived(Arrival::Text(text));
}

/// Text was typed with an input method or on the screen's keyboard: `whole`, or it may still change.
#[wasm_bindgen]
pub fn text_typed(text: String, whole: bool) {
    page::arrived(if whole { Arrival::Typed(text) } else { Arrival::Composed(text) });
}

/// Writes a file of the device under a free name.
fn keep(name: &str, bytes: &[u8]) -> std::io::Result<PathBuf> {
    let name = Path::new(Path::new(name).file_name().unwrap_or("Photo".as_ref()));
    let folder = Path::new(folders::PAGE_STUDIES);
    let file = Unplaced::beside(&folder.join(name))?;
    disk::create(file.path())?.write_all(bytes)?;
    let ending = name.extension().map(|ending| format!(".{}", ending.to_string_lossy())).unwrap_or_default();
    file.place_free(name.file_stem().unwrap_or("Photo".as_ref()), &ending)
}
