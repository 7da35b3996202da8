//! Words of the kept boards.
