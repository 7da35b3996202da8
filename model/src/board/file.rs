//! `NAME.board.ron`: reading and writing.
