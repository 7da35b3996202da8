//! The ground under [`disk`](super) on the page in a browser: files in memory, whose changes are told to a mirror in batches.
//!
//! The browser's private file system can be written in step by a worker only, and a worker answers later. So the whole tree is
//! loaded before the program starts and lives in memory. What has changed at the end of a piece of the program's work is one batch, which
//! the mirror keeps whole or not at all. Whatever moment the browser is killed at, what is found at the next start is what was told
//! up to some batch: the tree as it was at a moment. All that must hold after a crash on a disk therefore holds here.
//!
//! | what | where |
//! | --- | --- |
//! | the tree | `tree.rs` |
//! | what the mirror is told | `batch.rs` |
//! | which file has which path: a journal of records | `index.rs` |
//! | what [`std::fs`] calls `File`, `Metadata`, `OpenOptions` … | `handle.rs` |
//! | the one tree of the page, and how far the mirror is | `shared.rs` |

mod batch;
mod handle;
mod index;
#[cfg(target_arch = "wasm32")]
mod shared;
#[cfg(test)]
mod tests;
mod tree;

pub use handle::{DirEntry, File, FileType, Metadata, OpenOptions, Permissions, ReadDir, TryLockError};
#[cfg(target_arch = "wasm32")]
pub(super) use shared::{Temporary, ground, mark, progress};
#[cfg(target_arch = "wasm32")]
pub use shared::{confirmed, failed, load, take_batch, wake_with};
pub use tree::{Changed, LoadError, RECOVERED, Stored};
