//! Every call that can fail, failing. A program of its own, because the file system that fails is that of the whole process.
#![allow(clippy::unwrap_used, missing_docs)]

mod every_fault;
mod fault_support;
mod strokes;
