//! Words of the page of progress, and of the sentence for the next study.

/// Title of the page, the way to it, and the name of the file that is offered.
pub const PROGRESS: &str = "Progress";
/// What the page is made from.
pub const PROGRESS_PRIVATE: &str =
    "Private: read from your own studies and exercises on this machine. Nothing leaves it unless you write a file.";
/// While the studies are read.
pub const GATHERING: &str = "Reading your studies…";
/// There is nothing to show.
pub const NO_PROGRESS: &str = "Nothing was painted or practised yet. Studies and exercises appear here by themselves.";
/// Above the charts, while no point is looked at.
pub const PROGRESS_HINT: &str = "Move to a point to read it; press it to open its study.";
/// What the signs mean.
pub const MARK_STUDY: &str = "A study";
/// A study without its photo.
pub const MARK_FROM_MEMORY: &str = "A study from memory";
/// A study with free colour.
pub const MARK_OPENED: &str = "Free colour was opened";
/// Swatches from memory and drills.
pub const MARK_EXERCISE: &str = "An exercise";
/// How much there is.
pub fn progress_counts(studies: usize, exercises: usize) -> String {
    let count = |n: usize, one: &str, many: &str| format!("{n} {}", if n == 1 { one } else { many });
    format!("{}, {}", count(studies, "study", "studies"), count(exercises, "exercise", "exercises"))
}
/// Studies that are left out.
pub fn unreadable_studies(count: usize) -> String {
    match count {
        1 => "1 study cannot be read and is left out.".to_owned(),
        more => format!("{more} studies cannot be read and are left out."),
    }
}
/// Title of the boards that more than one study was painted with.
pub const BOARDS_AGAIN: &str = "Boards used again";
/// One of them, where there is no picture.
pub fn board_again(board: &str, count: usize) -> String {
    format!("{board}: {count} studies")
}
/// What up and down mean in a chart.
pub fn chart_ends([up, down]: [&str; 2]) -> String {
    format!("up: {up}, down: {down}")
}
/// Accessible name of a point.
pub fn point_of(chart: &str, words: &str, opens: bool) -> String {
    if opens { format!("Open {words} ({chart})") } else { format!("{words} ({chart})") }
}
/// Title of the way into files.
pub const PROGRESS_FILES: &str = "For other programs";
/// What the endings mean.
pub const PROGRESS_FORMS: &str = ".csv is a table, .svg and .png are charts. Folders are not named in them.";
/// Button that chooses the file.
pub const WRITE_PROGRESS: &str = "Write a file…";
/// Title of the sheet that chooses it.
pub const PLACE_PROGRESS: &str = "Write the figures";
/// It is written.
pub fn progress_written(path: &std::path::Path) -> String {
    format!("the figures are in {}", path.display())
}
/// When the writer ended without a word.
pub const PROGRESS_STOPPED: &str = "the file was not written to its end; write it again";
/// Sends the sentence for the next study away.
pub const NOT_AGAIN: &str = "Not again";
/// Accessible name of the same.
pub const NOT_AGAIN_NAME: &str = "Do not say this again";
