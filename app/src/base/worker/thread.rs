//! Workers where there are threads.

use super::Reply;
use std::io;
use std::sync::mpsc::{Sender, channel};
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
