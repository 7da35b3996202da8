//! Files in and out, without an open study: what kind a file is, boards in every form, kept boards, the record of tries.

pub mod board_file;
pub mod card;
pub mod library;
pub mod memory_record;
