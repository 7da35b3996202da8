//! Files in and out, without an open study: what kind a file is, boards in every form, kept boards, brushes, recent studies, the record
//! of tries from memory.

pub mod all_in_one;
pub mod board_file;
pub mod brushes;
#[cfg(not(target_arch = "wasm32"))]
pub mod card;
pub mod figures_store;
pub mod kind;
pub mod library;
pub mod listing;
pub mod memory_record;
pub mod moved;
pub mod names;
pub mod picture_store;
pub mod places;
pub mod progress_file;
pub mod recent;
pub mod replace;
pub mod settings;
pub mod trash;
