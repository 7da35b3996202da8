//! The review: what a careful colourist would question about a board, and why.
