//! The readout: what share of the painting came from the board.
//!
//! [`tally`] holds sums of amounts as the engine counts them, [`report`] turns them into shares. A study is counted exactly in
//! this way. Any other picture has only its colours: [`against`](mod@against) measures how near they are to what a board can
//! mix.

pub mod against;
pub mod hull;
pub mod report;
pub mod tally;

pub use against::{Against, AgainstError, Area, against};
pub use report::{FamilyShare, FreeColourNote, Opened, Readout, SwatchShare};
pub use tally::Tally;
