//! The system's own dialog for files, through the desktop portal (XDG Desktop Portal, interface
//! `org.freedesktop.portal.FileChooser`, version 1 and later).
//!
//! The portal says at once whether it has taken the question, and much later what was chosen. So only the first is waited for with
//! a limit: where no portal has taken the question within [`PATIENCE`], the painter chooses inside the window. Libraries that wrap the
//! portal wait for both in one, which is why the bus is spoken to here.

use crate::base::jobs::{Job, Progress};
use crate::base::uri::path_of_uri;
use crate::ui::file_dialog::{DialogEnd, DialogRequest, SystemDialog};
use async_io::Timer;
use futures_lite::StreamExt;
use futures_lite::future::or;
use std::collections::HashMap;
use std::ffi::OsStr;
use std::future::Future;
use std::os::unix::ffi::OsStrExt;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;
use winit::raw_window_handle::{HasWindowHandle, RawWindowHandle};
use winit::window::Window;
use zbus::message::Type;
use zbus::zvariant::{OwnedObjectPath, OwnedValue, Value};
use zbus::{Connection, MatchRule, Message, MessageStream};

/// How long the portal may take to take the question.
const PATIENCE: Duration = Duration::from_secs(2);
/// How often is looked whether the answer is still wanted.
const LOOK_EVERY: Duration = Duration::from_millis(100);
const NAME: &str = "org.freedesktop.portal.Desktop";
const PATH: &str = "/org/freedesktop/portal/desktop";
const FILE_CHOOSER: &str = "org.freedesktop.portal.FileChooser";
const REQUEST: &str = "org.freedesktop.portal.Request";

/// Numbers the questions of this program.
static QUESTIONS: AtomicU64 = AtomicU64::new(0);

/// A window as the portal knows it: `x11:` and its number in hexadecimal digits. Empty where a window has no such name, which leaves
/// the place of the dialog to the system.
pub fn name_of(window: &dyn Window) -> String {
    match window.window_handle().map(|handle| handle.as_raw()) {
        Ok(RawWindowHandle::Xlib(handle)) => format!("x11:{:x}", handle.window),
        Ok(RawWindowHandle::Xcb(handle)) => format!("x11:{:x}", handle.window),
        _ => String::new(),
    }
}

/// The portal's dialog over a window of this name.
pub fn over(window: String) -> SystemDialog {
    Arc::new(move |request, wake| {
        let window = window.clone();
        Job::start("file dialog", wake, move |progress| {
            // Whatever goes wrong on the bus, the painter chooses inside the window.
            async_io::block_on(ask(&request, &window, progress)).unwrap_or(DialogEnd::Unavailable)
        })
    })
}

/// Waits no longer than the portal may take.
async fn soon<T>(what: impl Future<Output = zbus::Result<T>>) -> zbus::Result<T> {
    let late = async {
        Timer::after(PATIENCE).await;
        Err(zbus::Error::InputOutput(Arc::new(std::io::ErrorKind::TimedOut.into())))
    };
    or(what, late).await
}

async fn ask(request: &DialogRequest, window: &str, progress: &Progress) -> zbus::Result<DialogEnd> {
    let (connection, mut answers, taken) = soon(async {
        let connection = Connection::session().await?;
        // Before the question, so that no answer is missed.
        let rule = MatchRule::builder().msg_type(Type::Signal).interface(REQUEST)?.member("Response")?.build();
        let answers = MessageStream::for_match_rule(rule, &connection, None).await?;
        let method = if request.saves_as.is_some() { "SaveFile" } else { "OpenFile" };
        let body = (window, request.title.as_str(), options(request));
        let taken = connection.call_method(Some(NAME), PATH, Some(FILE_CHOOSER), method, &body).await?;
        Ok((connection, answers, taken))
    })
    .await?;
    let handle: OwnedObjectPath = taken.body().deserialize()?;
    let portal = taken.header().sender().map(ToString::to_string);
    loop {
        let answer = or(async { Some(answers.next().await) }, async {
            Timer::after(LOOK_EVERY).await;
            None
        });
        match answer.await {
            None if progress.is_cancelled() => {
                // A dialog that cannot be shut stays, and what is chosen in it is not heard any more.
                let _ = soon(connection.call_method(Some(NAME), &*handle, Some(REQUEST), "Close", &())).await;
                return Ok(DialogEnd::Left);
            }
            None => {}
            Some(None) => return Ok(DialogEnd::Unavailable),
            Some(Some(answer)) => {
                let answer = answer?;
                let header = answer.header();
                let ours = header.path().is_some_and(|path| path.as_str() == handle.as_str())
                    && header.sender().map(ToString::to_string) == portal;
                if ours {
                    return end(&answer);
                }
            }
        }
    }
}

/// What an answer says: 0 for something chosen, 1 for nothing, anything else for a dialog that failed.
fn end(answer: &Message) -> zbus::Result<DialogEnd> {
    let (code, results): (u32, HashMap<String, OwnedValue>) = answer.body().deserialize()?;
    Ok(match code {
        0 => {
            let uris = results.get("uris").cloned().and_then(|uris| Vec::<String>::try_from(uris).ok());
            let path = uris.unwrap_or_default().first().and_then(|uri| path_of_uri(uri));
            path.map_or(DialogEnd::Unavailable, DialogEnd::Chosen)
        }
        1 => DialogEnd::Left,
        _ => DialogEnd::Unavailable,
    })
}

fn options(request: &DialogRequest) -> HashMap<&'static str, Value<'_>> {
    let number = QUESTIONS.fetch_add(1, Ordering::Relaxed);
    let mut options = HashMap::from([
        ("handle_token", Value::from(format!("stint_{}_{number}", std::process::id()))),
        ("accept_label", Value::from(request.accept.as_str())),
        ("modal", Value::from(true)),
        ("current_folder", Value::from(with_end(&request.folder))),
    ]);
    if let Some(name) = &request.saves_as {
        options.insert("current_name", Value::from(name.as_str()));
    }
    let kinds: Vec<(String, Vec<(u32, String)>)> =
        request.kinds.iter().map(|(words, endings)| (words.clone(), globs(endings))).collect();
    if !kinds.is_empty() {
        options.insert("filters", Value::from(kinds));
    }
    options
}

/// A path as the portal takes it: its bytes, with a zero byte behind them.
fn with_end(path: &Path) -> Vec<u8> {
    let name: &OsStr = path.as_os_str();
    name.as_bytes().iter().copied().chain([0]).collect()
}

/// Patterns for endings of names, whatever the case of their letters.
fn globs(endings: &[String]) -> Vec<(u32, String)> {
    if endings.is_empty() {
        return vec![(0, "*".to_owned())];
    }
    let either = |c: char| match c.to_ascii_uppercase() {
        upper if upper == c => c.to_string(),
        upper => format!("[{c}{upper}]"),
    };
    endings.iter().map(|ending| (0, format!("*{}", ending.chars().map(either).collect::<String>()))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn endings_are_found_in_letters_of_either_case() {
        let globs = |endings: &[&str]| {
            globs(&endings.iter().map(|e| (*e).to_owned()).collect::<Vec<_>>())
                .into_iter()
                .map(|(_, glob)| glob)
                .collect::<Vec<_>>()
        };
        assert_eq!(globs(&[".jpg", ".board.ron"]), ["*.[jJ][pP][gG]", "*.[bB][oO][aA][rR][dD].[rR][oO][nN]"]);
        assert_eq!(globs(&[]), ["*"]);
        assert_eq!(with_end(Path::new("/a b")), b"/a b\0");
    }

    #[test]
    fn a_question_has_what_the_portal_documents() {
        let request = DialogRequest {
            title: "Choose a photo".to_owned(),
            accept: "Open".to_owned(),
            folder: "/photos".into(),
            saves_as: Some("depot.png".to_owned()),
            kinds: vec![("Photos".to_owned(), vec![".png".to_owned()])],
        };
        let options = options(&request);
        let signature = |name: &str| options[name].value_signature().to_string();
        // The signatures of the portal's own description of its interface.
        assert_eq!(signature("filters"), "a(sa(us))");
        assert_eq!(signature("current_folder"), "ay");
        assert_eq!((signature("current_name"), signature("handle_token")), ("s".to_owned(), "s".to_owned()));
        assert_eq!(signature("modal"), "b");
    }
}
