//! A value with a thread of its own that works on it: one piece of work after another, in the order in which they were asked for.
//! On the page in a browser, which has one thread, work is done at once by whoever asks for it.

#[cfg(target_arch = "wasm32")]
mod at_once;
#[cfg(not(target_arch = "wasm32"))]
mod thread;

#[cfg(target_arch = "wasm32")]
pub use at_once::{WorkSender, Worker};
#[cfg(not(target_arch = "wasm32"))]
pub use thread::{WorkSender, Worker};

use super::jobs::Outcome;
use std::sync::mpsc::{Receiver, TryRecvError};

/// The result of a piece of work, once it is there.
#[derive(Debug)]
pub struct Reply<R>(Receiver<R>);

impl<R> Reply<R> {
    /// The result, once. Never waits.
    pub fn poll(&self) -> Outcome<R> {
        match self.0.try_recv() {
            Ok(result) => Outcome::Done(result),
            Err(TryRecvError::Empty) => Outcome::Running,
            Err(TryRecvError::Disconnected) => Outcome::Died,
        }
    }

    /// Waits for the result, which is handed out once; none when the thread has ended.
    pub fn wait(&self) -> Option<R> {
        self.0.recv().ok()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use std::sync::mpsc::channel;

    #[test]
    fn work_is_done_in_order_and_the_end_waits_for_it() {
        let worker = Worker::start("test", Vec::new()).unwrap();
        let (go, gate) = channel::<()>();
        let (woke, waking) = channel::<()>();
        let first = worker.sender().send(
            move |list: &mut Vec<u32>| {
                gate.recv().unwrap();
                list.push(1);
                list.len()
            },
            move || woke.send(()).unwrap(),
        );
        let other = worker.sender().clone();
        let _forgotten = other.send(|list| list.push(2), || {});
        assert_eq!(first.poll(), Outcome::Running);
        go.send(()).unwrap();
        waking.recv().unwrap();
        assert_eq!(first.poll(), Outcome::Done(1));
        assert_eq!(other.call(|list| list.clone()), Some(vec![1, 2]));
        let _late = other.send(|list| list.push(3), || {});
        assert_eq!(worker.end(), Some(vec![1, 2, 3]));
        assert_eq!(other.call(|list| list.len()), None, "the thread has ended");
    }

    #[test]
    fn work_that_panics_ends_the_thread_and_is_told() {
        let worker = Worker::start("panics", 7).unwrap();
        let reply = worker.sender().send(|_| if true { panic!("planted") } else { 1 }, || {});
        assert_eq!(reply.wait(), None);
        assert_eq!(worker.sender().call(|value| *value), None);
        assert_eq!(worker.end(), None);
    }
}
