//! Work beside the window: a thread with a name, how far it is, a wish that it stop, and its result.
//!
//! A job that nobody waits for any more is cancelled by dropping it. [`join_all`] waits at the end of the program for every job
//! that was not cancelled, so that nothing is cut off in the middle of a file: whoever starts a job that writes one keeps it
//! until it has ended.
//!
//! On the page in a browser, which has one thread, jobs wait in a queue for the window to do one between two frames, or a part of one
//! that is done in steps.

#[cfg(not(target_arch = "wasm32"))]
mod threads;
#[cfg(target_arch = "wasm32")]
mod turns;

#[cfg(not(target_arch = "wasm32"))]
pub use threads::join_all;
#[cfg(target_arch = "wasm32")]
pub use turns::{any_waiting, join_all, run_next};

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
#[cfg(not(target_arch = "wasm32"))]
use threads::start;
#[cfg(target_arch = "wasm32")]
use turns::start;

/// What a job does: a step of its work at each call. Tells whether it has ended, and is not called again then.
type Task = Box<dyn FnMut() -> bool + Send>;

/// How far a job is, and whether it shall stop: shared by the job and its work.
#[derive(Debug, Default)]
pub struct Progress {
    done: AtomicU64,
    cancelled: AtomicBool,
}

impl Progress {
    /// Says how many steps are done.
    pub fn set(&self, done: u64) {
        self.done.store(done, Ordering::Relaxed);
    }

    /// Steps done, in the unit of the work.
    pub fn done(&self) -> u64 {
        self.done.load(Ordering::Relaxed)
    }

    /// Whether the result is no longer wanted. Long work asks now and then and stops early.
    pub fn is_cancelled(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }
}

/// What has become of a job.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Outcome<T> {
    /// It goes on.
    Running,
    /// It has ended with this.
    Done(T),
    /// Its thread ended without a result: a fault of the program.
    Died,
}

/// Work on a thread of its own. Dropping it cancels the work and forgets the result.
#[derive(Debug)]
pub struct Job<T> {
    progress: Arc<Progress>,
    result: Receiver<T>,
}

impl<T: Send + 'static> Job<T> {
    /// Starts `work` on a thread called `name`; `wake` is called on that thread when the result is there.
    ///
    /// # Errors
    /// When the system gives no thread.
    pub fn start(
        name: &str,
        wake: impl FnOnce() + Send + 'static,
        work: impl FnOnce(&Progress) -> T + Send + 'static,
    ) -> io::Result<Self> {
        let mut work = Some(work);
        Self::in_steps(name, wake, move |progress| work.take().map(|work| work(progress)))
    }

    /// Starts work that is done in steps: `step` is called until it gives the result. On the page other things have their turn between
    /// two steps. What is cancelled in the middle is dropped.
    ///
    /// # Errors
    /// When the system gives no thread.
    pub fn in_steps(
        name: &str,
        wake: impl FnOnce() + Send + 'static,
        mut step: impl FnMut(&Progress) -> Option<T> + Send + 'static,
    ) -> io::Result<Self> {
        let progress = Arc::new(Progress::default());
        let (send, result) = channel();
        let shared = progress.clone();
        let mut end = Some((send, wake));
        let task = move || {
            let Some(done) = step(&shared) else { return false };
            if let Some((send, wake)) = end.take() {
                // A result that nobody waits for is no error.
                let _ = send.send(done);
                // Before the waking, so that whoever wakes finds the result and, after it, the end.
                drop(send);
                wake();
            }
            true
        };
        start(name, progress.clone(), Box::new(task))?;
        Ok(Job { progress, result })
    }

    /// The result, once. Never waits.
    pub fn poll(&self) -> Outcome<T> {
        match self.result.try_recv() {
            Ok(result) => Outcome::Done(result),
            Err(TryRecvError::Empty) => Outcome::Running,
            Err(TryRecvError::Disconnected) => Outcome::Died,
        }
    }

    /// Waits for the result; none when the thread died.
    pub fn wait(self) -> Option<T> {
        #[cfg(target_arch = "wasm32")]
        turns::run_now(&self.progress);
        self.result.recv().ok()
    }

    /// How far it is.
    pub fn progress(&self) -> &Progress {
        &self.progress
    }
}

impl<T> Drop for Job<T> {
    fn drop(&mut self) {
        self.progress.cancelled.store(true, Ordering::Relaxed);
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_job_tells_how_far_it_is_and_ends_with_its_result_once() {
        let (go, gate) = channel::<()>();
        let (woke, waking) = channel::<()>();
        let job = Job::start(
            "test",
            move || woke.send(()).unwrap(),
            move |progress| {
                progress.set(3);
                gate.recv().unwrap();
                7
            },
        )
        .unwrap();
        while job.progress().done() != 3 {
            std::thread::yield_now();
        }
        assert_eq!(job.poll(), Outcome::Running);
        go.send(()).unwrap();
        waking.recv().unwrap();
        assert_eq!(job.poll(), Outcome::Done(7));
        assert_eq!(job.poll(), Outcome::Died, "a result is handed out once");
    }

    #[test]
    fn a_dropped_job_is_cancelled_and_a_dead_one_is_told() {
        let (ended, end) = channel::<()>();
        let job = Job::start(
            "cancelled",
            || {},
            move |progress| {
                while !progress.is_cancelled() {
                    std::thread::yield_now();
                }
                ended.send(()).unwrap();
            },
        );
        drop(job.unwrap());
        end.recv().unwrap();
        let job = Job::start("dead", || {}, |_| if true { panic!("planted") } else { 1 }).unwrap();
        assert_eq!(job.wait(), None);
    }

    #[test]
    fn work_in_steps_goes_on_to_its_result_and_is_dropped_in_the_middle_when_it_is_cancelled() {
        let mut steps = 0;
        let job = Job::in_steps(
            "steps",
            || {},
            move |progress| {
                steps += 1;
                progress.set(steps);
                (steps == 5).then_some(steps)
            },
        );
        assert_eq!(job.unwrap().wait(), Some(5));
        struct Held(std::sync::mpsc::Sender<()>);
        impl Drop for Held {
            fn drop(&mut self) {
                self.0.send(()).unwrap();
            }
        }
        let (let_go, gone) = channel();
        let held = Held(let_go);
        let job = Job::<()>::in_steps(
            "endless",
            || {},
            move |_| {
                let _ = &held;
                std::thread::yield_now();
                None
            },
        );
        drop(job.unwrap());
        gone.recv().unwrap();
    }

    #[test]
    fn the_end_waits_for_what_is_still_wanted() {
        let (ended, end) = channel::<()>();
        let (go, gate) = channel::<()>();
        let job = Job::start(
            "kept",
            || {},
            move |_| {
                gate.recv().unwrap();
                ended.send(()).unwrap();
            },
        );
        go.send(()).unwrap();
        join_all();
        assert!(end.try_recv().is_ok(), "the thread had ended when the wait was over");
        drop(job.unwrap());
    }
}
