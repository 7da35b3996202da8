//! What everything else stands on and what knows of no study: folders, the calendar, fonts, URIs of files, work beside the window.

pub mod clock;
pub mod folders;
pub mod fonts;
pub mod jobs;
pub mod percent;
pub mod system_fonts;
pub mod uri;
pub mod worker;
