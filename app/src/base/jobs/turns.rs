//! Jobs where there is one thread: they wait for their turn, which the window gives between two frames.

use super::{Progress, Task};
use crate::base::clock::{Duration, Stopwatch};
use std::collections::VecDeque;
use std::io;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// A job that has not ended.
type Waiting = (Arc<Progress>, Task);

/// How long a job that is done in steps may go on before a frame is shown. A frame costs up to some tenths of a second where graphics are
/// drawn in software, so that shorter turns would make a job take many times as long.
const TURN: Duration = Duration::from_millis(100);

static WAITING: Mutex<VecDeque<Waiting>> = Mutex::new(VecDeque::new());

fn waiting() -> MutexGuard<'static, VecDeque<Waiting>> {
    WAITING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Puts a task at the end of the queue.
///
/// # Errors
/// Never.
pub(super) fn start(_: &str, progress: Arc<Progress>, task: Task) -> io::Result<()> {
    waiting().push_back((progress, task));
    Ok(())
}

/// Whether a job that is still wanted waits for its turn.
pub fn any_waiting() -> bool {
    let (wanted, cancelled): (VecDeque<_>, VecDeque<_>) =
        std::mem::take(&mut *waiting()).into_iter().partition(|(progress, _)| !progress.is_cancelled());
    *waiting() = wanted;
    // What was begun may tidy up behind itself, and is not held meanwhile.
    drop(cancelled);
    !waiting().is_empty()
}

/// Goes on with the job that has waited longest: a few steps of it, or all where it has no steps. Tells whether there was one.
pub fn run_next() -> bool {
    // Not held while the job runs: it may start others.
    let next = any_waiting().then(|| waiting().pop_front()).flatten();
    let Some((progress, mut task)) = next else { return false };
    let since = Stopwatch::start();
    while !task() {
        if since.elapsed() > TURN {
            waiting().push_front((progress, task));
            break;
        }
    }
    true
}

/// Does a job out of turn, unless it was done already.
pub(super) fn run_now(progress: &Arc<Progress>) {
    let task = {
        let mut waiting = waiting();
        let at = waiting.iter().position(|(other, _)| Arc::ptr_eq(other, progress));
        at.and_then(|at| waiting.remove(at))
    };
    if let Some((_, mut task)) = task {
        while !task() {}
    }
}

/// Does every job that was not cancelled. Call it once, when the program is about to end.
pub fn join_all() {
    while run_next() {}
}
