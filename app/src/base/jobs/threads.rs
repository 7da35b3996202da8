//! Jobs where there are threads: each has its own.

use super::{Progress, Task};
use std::io;
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{Builder, JoinHandle};

/// Threads that were started and not yet joined.
static THREADS: Mutex<Vec<(JoinHandle<()>, Arc<Progress>)>> = Mutex::new(Vec::new());

/// Starts a task on a thread called `name`. Nothing is done of it any more once it is cancelled, but one step.
///
/// # Errors
/// When the system gives no thread.
pub(super) fn start(name: &str, progress: Arc<Progress>, mut task: Task) -> io::Result<()> {
    let shared = progress.clone();
    let whole = move || while !task() && !shared.is_cancelled() {};
    #[expect(
        clippy::disallowed_methods,
        reason = "this is the one place that starts threads for work beside the window"
    )]
    let thread = Builder::new().name(name.to_owned()).spawn(whole)?;
    let mut threads = THREADS.lock().unwrap_or_else(PoisonError::into_inner);
    threads.retain(|(thread, _)| !thread.is_finished());
    threads.push((thread, progress));
    Ok(())
}

/// Waits until every job that was not cancelled has ended. Call it once, when the program is about to end.
pub fn join_all() {
    let threads = std::mem::take(&mut *THREADS.lock().unwrap_or_else(PoisonError::into_inner));
    for (thread, progress) in threads {
        if !progress.is_cancelled() {
            // A thread that panicked has said so on standard error, and has ended.
            let _ = thread.join();
        }
    }
}
