//! Stint as a page in the browser: the browser's side of the program. The program itself is the library `stint`, the same as on a
//! desktop; here are the files in the browser's private file system, the ground under SQLite, and what the browser's document hands
//! in and takes out.
//!
//! | what | where |
//! | --- | --- |
//! | calls from and to the document's script | `doors` |
//! | SQLite over the files of `stint_model::disk` | `database` |
//! | the document, its script and workers | the folder `web` |
//! | making a folder that any server can hand out | `build` |
//!
//! Elsewhere than in a browser the crate is empty.
#![cfg(target_arch = "wasm32")]

mod database;
mod doors;
