//! A value with a thread of its own that works on it: one piece of work after another, in the order in which they were asked for.

use super::jobs::Outcome;
use std::io;
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::thread::{Builder, JoinHandle};

/// What the thread is told.
enum Message<T> {
    Work(Box<dyn FnOnce(&mut T) + Send>),
    End,
}

/// Owns the thread. Dropping it waits until all work that was asked for is done, and drops the value.
pub struct Worker<T> {
    sender: WorkSender<T>,
    thread: Option<JoinHandle<T>>,
}

/// Asks for work from anywhere.
pub struct WorkSender<T>(Sender<Message<T>>);

impl<T> Clone for WorkSender<T> {
    fn clone(&self) -> Self {
        WorkSender(self.0.clone())
    }
}

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

impl<T> WorkSender<T> {
    /// Asks for a piece of work. `wake` is called on the thread when its result is there.
    pub fn send<R: Send + 'static>(
        &self,
        work: impl FnOnce(&mut T) -> R + Send + 'static,
        wake: impl FnOnce() + Send + 'static,
    ) -> Reply<R> {
        let (send, reply) = channel();
        let work = move |value: &mut T| {
            // A result that nobody waits for is no error.
            let _ = send.send(work(value));
            wake();
        };
        // Work for a thread that has ended is dropped with its end of the channel, which the reply tells.
        let _ = self.0.send(Message::Work(Box::new(work)));
        Reply(reply)
    }

    /// Asks for a piece of work and waits for it; none when the thread has ended.
    pub fn call<R: Send + 'static>(&self, work: impl FnOnce(&mut T) -> R + Send + 'static) -> Option<R> {
        self.send(work, || {}).wait()
    }
}

impl<T: Send + 'static> Worker<T> {
    /// Gives a value a thread called `name`.
    ///
    /// # Errors
    /// When the system gives no thread; the value is gone then.
    pub fn start(name: &str, mut value: T) -> io::Result<Self> {
        let (sender, receiver) = channel();
        #[expect(clippy::disallowed_methods, reason = "this module and jobs are where threads come from")]
        let thread = Builder::new().name(name.to_owned()).spawn(move || {
            while let Ok(Message::Work(work)) = receiver.recv() {
                work(&mut value);
            }
            value
        })?;
        Ok(Worker { sender: WorkSender(sender), thread: Some(thread) })
    }

    /// For asking for work from another thread.
    pub fn sender(&self) -> &WorkSender<T> {
        &self.sender
    }

    /// Waits until all work that was asked for is done and gives the value back; none when the thread has panicked.
    pub fn end(mut self) -> Option<T> {
        self.join()
    }
}

impl<T> Worker<T> {
    fn join(&mut self) -> Option<T> {
        let thread = self.thread.take()?;
        let _ = self.sender.0.send(Message::End);
        // A thread that panicked has said so on standard error.
        thread.join().ok()
    }
}

impl<T> Drop for Worker<T> {
    fn drop(&mut self) {
        drop(self.join());
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

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
