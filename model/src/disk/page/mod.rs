//! The ground under [`disk`](super) on the page in a browser: files in memory, each change told to a mirror in the order in
//! which it was made.
//!
//! The browser's private file system can be written in step by a worker only, and a worker answers later. So the whole tree is
//! loaded before the program starts, lives in memory, and every write, truncation, sync and removal is handed to the mirror, which
//! repeats it there. Whatever moment the browser is killed at, what is found at the next start is what was told up to some moment:
//! a prefix of the changes. All that must hold after a crash on a disk therefore holds here.
//!
//! | what | where |
//! | --- | --- |
//! | the tree, and what it tells the mirror | `tree.rs` |
//! | which file has which path: a journal of records | `index.rs` |
//! | what [`std::fs`] calls `File`, `Metadata`, `OpenOptions` … | `handle.rs` |
//! | the one tree of the page, and how far the mirror is | `shared.rs` |

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
pub use shared::{confirmed, failed, load, wake_with};
pub use tree::{Change, LoadError, Mirror, RECOVERED, Stored};
