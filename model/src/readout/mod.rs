//! The readout: what share of the painting came from the board.
//!
//! [`tally`] holds sums of amounts as the engine counts them, [`report`] turns them into shares. A study is counted exactly in
//! this way. Any other picture has only its colours: [`board_match`](crate::board_match) measures how near they are to what a
//! board can mix.

pub mod report;
pub mod tally;
pub mod work_time;

pub use report::{Amounts, ClassAmounts, FamilyShare, FreeColourNote, Opened, Readout, SwatchShare};
pub use tally::Tally;
pub use work_time::WorkTime;
