//! The readout: what share of the painting came from the board.
//!
//! [`tally`] holds sums of amounts as the engine counts them, [`report`] turns them into shares.

pub mod report;
pub mod tally;

pub use report::{FamilyShare, FreeColourNote, Opened, Readout, SwatchShare};
pub use tally::Tally;
