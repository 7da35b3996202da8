//! Workers where there is one thread: work is done when it is asked for.

use super::Reply;
use std::io;
use std::sync::mpsc::channel;
use std::sync::{Arc, Mutex, PoisonError};

/// Owns the value.
pub struct Worker<T>(WorkSender<T>);

/// Asks for work from anywhere.
pub struct WorkSender<T>(Arc<Mutex<Option<T>>>);

impl<T> Clone for WorkSender<T> {
    fn clone(&self) -> Self {
        WorkSender(self.0.clone())
    }
}

impl<T> WorkSender<T> {
    /// Does a piece of work, then calls `wake`.
    pub fn send<R: Send + 'static>(
        &self,
        work: impl FnOnce(&mut T) -> R + Send + 'static,
        wake: impl FnOnce() + Send + 'static,
    ) -> Reply<R> {
        let (send, reply) = channel();
        if let Some(result) = self.call(work) {
            // A result that nobody waits for is no error.
            let _ = send.send(result);
            wake();
        }
        Reply(reply)
    }

    /// Does a piece of work; none when the value is gone.
    pub fn call<R: Send + 'static>(&self, work: impl FnOnce(&mut T) -> R + Send + 'static) -> Option<R> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).as_mut().map(work)
    }
}

impl<T: Send + 'static> Worker<T> {
    /// Takes a value to work on.
    ///
    /// # Errors
    /// Never.
    pub fn start(_: &str, value: T) -> io::Result<Self> {
        Ok(Worker(WorkSender(Arc::new(Mutex::new(Some(value))))))
    }

    /// For asking for work from anywhere.
    pub fn sender(&self) -> &WorkSender<T> {
        &self.0
    }

    /// Gives the value back.
    pub fn end(self) -> Option<T> {
        self.0.0.lock().unwrap_or_else(PoisonError::into_inner).take()
    }
}

impl<T> Drop for Worker<T> {
    fn drop(&mut self) {
        drop(self.0.0.lock().unwrap_or_else(PoisonError::into_inner).take());
    }
}
