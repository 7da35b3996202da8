//! Jobs where there is one thread: they wait for their turn, which the window gives between two frames.

use super::Progress;
use std::collections::VecDeque;
use std::io;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// A job that was not begun.
type Waiting = (Arc<Progress>, Box<dyn FnOnce() + Send>);

static WAITING: Mutex<VecDeque<Waiting>> = Mutex::new(VecDeque::new());

fn waiting() -> MutexGuard<'static, VecDeque<Waiting>> {
    WAITING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Puts a task at the end of the queue.
///
/// # Errors
/// Never.
pub(super) fn start(_: &str, progress: Arc<Progress>, task: Box<dyn FnOnce() + Send>) -> io::Result<()> {
    waiting().push_back((progress, task));
    Ok(())
}

/// Whether a job that is still wanted waits for its turn.
pub fn any_waiting() -> bool {
    let mut waiting = waiting();
    waiting.retain(|(progress, _)| !progress.is_cancelled());
    !waiting.is_empty()
}

/// Does the job that has waited longest. Tells whether there was one.
pub fn run_next() -> bool {
    // Not held while the job runs: it may start others.
    let next = any_waiting().then(|| waiting().pop_front()).flatten();
    let Some((_, task)) = next else { return false };
    task();
    true
}

/// Does a job out of turn, unless it was done already.
pub(super) fn run_now(progress: &Arc<Progress>) {
    let task = {
        let mut waiting = waiting();
        let at = waiting.iter().position(|(other, _)| Arc::ptr_eq(other, progress));
        at.and_then(|at| waiting.remove(at))
    };
    if let Some((_, task)) = task {
        task();
    }
}

/// Does every job that was not cancelled. Call it once, when the program is about to end.
pub fn join_all() {
    while run_next() {}
}
