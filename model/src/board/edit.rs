//! Edits of a board: each returns the new board or the reason why not.
