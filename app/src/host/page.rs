//! What only a page in the browser does: files of the device come in and go out through the browser, and what goes wrong at the start
//! is told outside of the canvas.
//!
//! The crate `stint-page` is the browser's side of it; it gives a [`Browser`] and calls [`arrived`].

use crate::base::clock;
use crate::files::all_in_one;
use crate::ui::request::Request;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, OnceLock, PoisonError};
use winit::event_loop::EventLoopProxy;

/// What the browser does for the program.
pub trait Browser: Send + Sync {
    /// Lets the painter choose a file of the device; it comes through [`arrived`]. With `pictures` a picture, which may be taken with
    /// the camera then.
    fn choose(&self, pictures: bool);
    /// Hands a file over to the painter: a download.
    fn hand_over(&self, name: &str, bytes: &[u8]);
    /// Puts text on the clipboard.
    fn copy(&self, text: &str);
    /// Says where text is being edited, so that the screen's keyboard comes and an input method has a place: left, top, width and
    /// height in the document's pixels; none when no text is.
    fn edits(&self, at: Option<[f64; 4]>);
    /// Tells that the program cannot go on.
    fn failed(&self, why: &str);
    /// Tells what is on screen, for who does not see it: a line for each control, as the window's list of controls has them.
    fn controls(&self, lines: &str);
}

static BROWSER: OnceLock<Box<dyn Browser>> = OnceLock::new();
static PROXY: OnceLock<EventLoopProxy> = OnceLock::new();
static ARRIVED: Mutex<Vec<Arrival>> = Mutex::new(Vec::new());

/// What came from the browser.
pub enum Arrival {
    /// A file that the painter was asked for.
    Chosen(PathBuf),
    /// A file that was dropped or pasted.
    Given(PathBuf),
    /// Text for a field.
    Text(String),
    /// Text of an input method that may still change; empty when it is gone.
    Composed(String),
    /// Text that was typed with an input method or on the screen's keyboard.
    Typed(String),
}

/// Says who is the browser. Call it once, before the window opens.
pub fn in_browser(browser: Box<dyn Browser>) {
    // A second one changes nothing.
    let _ = BROWSER.set(browser);
}

/// The browser, once there is one.
pub(super) fn browser() -> Option<&'static dyn Browser> {
    BROWSER.get().map(Box::as_ref)
}

/// Wakes the window through this from now on.
pub(super) fn wake_with(proxy: EventLoopProxy) {
    let waking = proxy.clone();
    stint_model::disk::page::wake_with(move || waking.wake_up());
    let _ = PROXY.set(proxy);
}

/// Something came from the browser.
pub fn arrived(what: Arrival) {
    ARRIVED.lock().unwrap_or_else(PoisonError::into_inner).push(what);
    if let Some(proxy) = PROXY.get() {
        proxy.wake_up();
    }
}

/// Takes what came since the last call.
pub(super) fn take_arrived() -> Vec<Arrival> {
    std::mem::take(&mut *ARRIVED.lock().unwrap_or_else(PoisonError::into_inner))
}

/// Does what only the browser can; a sentence when it cannot be done.
///
/// # Errors
/// When a file that is to be handed over cannot be read.
pub(super) fn handle(request: &Request) -> Result<(), String> {
    let Some(browser) = browser() else { return Ok(()) };
    match request {
        Request::Choose { pictures } => browser.choose(*pictures),
        Request::HandOver(path) => hand_over(browser, path)?,
        Request::HandOverAll => {
            let all = all_in_one::pack(None).map_err(|why| format!("not everything can be handed over: {why}"))?;
            browser.hand_over(&all_in_one::name(&clock::today()), &all);
        }
        _ => {}
    }
    Ok(())
}

fn hand_over(browser: &dyn Browser, path: &Path) -> Result<(), String> {
    let bytes = stint_model::disk::read(path);
    let bytes = bytes.map_err(|e| format!("{} cannot be handed over ({e})", path.display()))?;
    browser.hand_over(&path.file_name().unwrap_or_default().to_string_lossy(), &bytes);
    Ok(())
}
