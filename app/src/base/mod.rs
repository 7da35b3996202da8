//! What everything else stands on and what knows of no study: folders, the calendar.

pub mod clock;
pub mod folders;
