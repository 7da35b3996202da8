//! Waiting for something to come, whatever the system.

use std::fmt;
use std::thread::sleep;
use std::time::{Duration, Instant};

/// How long anything may take before the test fails; generous, because machines may be busy.
const LIMIT: Duration = Duration::from_secs(180);
/// How often a condition is looked at.
const LOOK_EVERY: Duration = Duration::from_millis(15);

/// Waits for something.
///
/// # Panics
/// When it has not come after three minutes.
pub fn wait_for(what: impl fmt::Display, mut has_come: impl FnMut() -> bool) {
    let start = Instant::now();
    while !has_come() {
        assert!(start.elapsed() < LIMIT, "waited for {what} for {LIMIT:?}");
        sleep(LOOK_EVERY);
    }
}
