//! Faults on order: the n-th call of the engine, or of SQLite to the file system, fails.

pub mod disk;
pub mod engine;

use std::sync::atomic::{AtomicBool, AtomicI64, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Held by a test while it runs: the faults of the file system meet whatever the process writes.
pub fn alone() -> MutexGuard<'static, ()> {
    static ONE: Mutex<()> = Mutex::new(());
    ONE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Which call fails.
#[derive(Debug)]
pub struct Trigger {
    /// Calls until the one that fails; below 1 none is counted any more.
    left: AtomicI64,
    /// Whether every call after it fails too.
    stays: AtomicBool,
    fired: AtomicBool,
}

impl Trigger {
    pub const fn new() -> Self {
        Trigger { left: AtomicI64::new(0), stays: AtomicBool::new(false), fired: AtomicBool::new(false) }
    }

    /// Lets the `n`-th call from now on fail, from 1; if `stays`, all after it as well.
    pub fn arm(&self, n: i64, stays: bool) {
        self.fired.store(false, Ordering::SeqCst);
        self.stays.store(stays, Ordering::SeqCst);
        self.left.store(n, Ordering::SeqCst);
    }

    /// No call fails any more. Tells whether one did.
    pub fn disarm(&self) -> bool {
        self.left.store(0, Ordering::SeqCst);
        self.stays.store(false, Ordering::SeqCst);
        self.fired.swap(false, Ordering::SeqCst)
    }

    /// Counts a call; tells whether it is to fail.
    pub fn fails(&self) -> bool {
        if self.fired.load(Ordering::SeqCst) {
            return self.stays.load(Ordering::SeqCst);
        }
        let now = self.left.load(Ordering::SeqCst) == 1;
        if self.left.load(Ordering::SeqCst) > 0 {
            self.left.fetch_sub(1, Ordering::SeqCst);
        }
        self.fired.fetch_or(now, Ordering::SeqCst);
        now
    }
}
