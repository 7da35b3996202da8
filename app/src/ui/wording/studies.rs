//! Words of the sheets and pages about whole studies: export, the start page, keys, notices.

use crate::files::all_in_one::TakenIn;
use stint_model::readout::WorkTime;

/// Title of the export sheet.
pub const EXPORT_SHEET: &str = "Export";
/// What an export is.
pub const EXPORT_LINE: &str = "A PNG of the study that carries its board and its readout.";
/// Field for the file that the study is exported to.
pub const EXPORT_PATH: &str = "Path of the picture";
/// Opens the sheet that chooses where the picture goes.
pub const CHOOSE_PLACE: &str = "Choose where…";
/// Name of the choice between 8 and 16 bits.
pub const DEPTH: &str = "Colour depth";
/// Name of the choice of the colour space.
pub const SPACE: &str = "Colour space";
/// Choice of the colour space: IEC 61966-2-1.
pub const SRGB: &str = "sRGB";
/// Choice of the colour space: the wider one of many screens.
pub const DISPLAY_P3: &str = "Display P3";
/// Choices of the depth: label and accessible name.
pub const BITS: [(&str, &str); 2] = [("8 bits", "8 bits"), ("16 bits", "16 bits")];
/// Under depth and colour space: what they are for.
pub const PLAIN_EXPORT: &str =
    "8 bits and sRGB look right everywhere. The others are for work that goes on in another program.";
/// Button that writes the picture.
pub const EXPORT_NOW: &str = "Export";
/// While it is written.
pub fn exporting(done: u64, all: u64) -> String {
    format!("Row {done} of {all}")
}
/// When it is written.
pub fn exported(path: &std::path::Path) -> String {
    format!("Exported to {}", path.display())
}
/// A picture written over the study it shows.
pub const EXPORT_ON_STUDY: &str = "that path is the study itself; give the picture a name of its own";
/// Title of the sheet that asks before a file gives way.
pub const REPLACE_SHEET: &str = "Replace a file";
/// The question, with what the file is.
pub fn replace_question(path: &std::path::Path, found: &str) -> String {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    format!("{name} is there already: {found}. Replace it?")
}
/// Button.
pub const REPLACE: &str = "Replace";
/// Button.
pub const OTHER_NAME: &str = "Choose another name";
/// When the writer ended without a word.
pub const EXPORT_STOPPED: &str = "the export stopped without a result; export again";

/// Title of the painter's studies, on the start page.
pub const YOUR_STUDIES: &str = "Your studies";
/// Start page, no studies yet.
pub const NO_RECENT: &str = "Studies you paint appear here.";
/// Beside the name of a study.
pub fn board_share(share: f64) -> String {
    format!("{:.0} % board", share * 100.0)
}
/// Opens the key sheet, on the start page.
pub const KEYS_F1: &str = "Keys F1";
/// Start page, above everything: a photo first.
pub const FROM_PHOTO: &str = "Start from a photo";
/// Start page, under the title.
pub const PHOTO_WILL_DO: &str = "A phone picture will do: what counts is its mood.";
/// Start page, under that.
pub const DROP_ANYWHERE: &str = "Drop it anywhere in this window, paste it, or";
/// Opens the sheet that chooses a photo.
pub const CHOOSE_A_PHOTO: &str = "Choose a photo…";
/// Opens the photo that was copied.
pub const PASTE: &str = "Paste";
/// Makes a study without a photo.
pub const START_EMPTY: &str = "Start empty";
/// Name of a study without a photo.
pub const EMPTY_STUDY: &str = "Study";
/// Title of the choice of canvases.
pub const CANVAS: &str = "The canvas";
/// A canvas in the shape of its photo.
pub const SHAPE_OF_PHOTO: &str = "Shape of the photo";
/// A canvas of 1600 px.
pub const QUICK: &str = "Quick, 1600 px";
/// A canvas of 3200 px.
pub const LARGE_CANVAS: &str = "Large, 3200 px";
/// A size of one's own.
pub const OWN_SIZE: &str = "Own size";
/// Field for the width of the canvas, pixels.
pub const WIDTH_PX: &str = "Width, px";
/// Field for the height of the canvas, pixels.
pub const HEIGHT_PX: &str = "Height, px";
/// A size that is not a number.
pub const SIZE_MISSING: &str = "width and height must be whole numbers of pixels; write both";
/// A ground, with what it is for.
pub fn ground_named(name: &str) -> String {
    format!("Ground: {}", name.to_lowercase())
}
/// The grounds: name, name in a study, colour.
pub const GROUNDS: [(&str, &str, &str); 4] = [
    ("Warm grey", "warm grey", "#706b66"),
    ("Cool grey", "cool grey", "#656b70"),
    ("Pale umber", "pale umber", "#a39684"),
    ("Dark slate", "dark slate", "#3d434a"),
];
/// Opens the sheet that chooses a study or an exported picture.
pub const OPEN_A_STUDY: &str = "Open a study or an exported picture…";
/// Button that makes the demo study and opens it.
pub const DEMO: &str = "Look at the demo";
/// While a file is being opened.
pub fn opening(name: &str) -> String {
    format!("Opening {name}…")
}
/// An exported picture was opened.
pub fn picture_opened(name: &str) -> String {
    format!("{name} is the reference of a new study, and its board lies on the tray")
}
/// A photo of which a coarse view shows while all of it is opened.
pub fn coming_in(name: &str) -> String {
    format!("{name}, still coming in")
}
/// The work on it came to nothing.
pub const OPENING_STOPPED: &str = "the file could not be opened; open it again";
/// What the demo is.
pub const DEMO_STUDY: &str = "Tram depot";
/// Accessible name of a recent study.
pub fn open_recent(name: &str) -> String {
    format!("Open {name}")
}
/// Orders of the painter's studies: name in the settings, words.
pub const STUDY_ORDERS: [(&str, &str); 3] = [("opened", "Opened"), ("painted", "Painted"), ("name", "Name")];
/// Accessible name of a choice of the order.
pub fn study_order(words: &str) -> String {
    format!("Order of the studies: {}", words.to_lowercase())
}
/// Opens the trash; how many studies are in it.
pub fn trash_with(count: usize) -> String {
    format!("Trash, {count}")
}
/// Title of the sheet of the trash.
pub const TRASH_SHEET: &str = "Studies in the trash";
/// What the sheet is about.
pub const TRASH_LINE: &str = "A study that is brought back lies where it was. The trash is emptied from your desktop.";
/// Button on a card.
pub const MORE: &str = "More";
/// Accessible name of the same.
pub fn more_for(name: &str) -> String {
    format!("More for {name}")
}
/// Renames a study.
pub const RENAME_STUDY: &str = "Rename…";
/// Puts a study in the trash.
pub const PUT_IN_TRASH: &str = "Put in the trash";
/// Starts a study with the board of the open one.
pub const START_WITH_BOARD: &str = "Start another with this board";
/// Above the studies that were opened last.
pub const OPENED_LAST: &str = "Opened last";
/// Accessible name of the study's name in the top bar.
pub fn study_menu(name: &str) -> String {
    format!("Study {name}: rename, copy, open another")
}
/// Title of the sheet that renames.
pub const RENAME_SHEET: &str = "Rename the study";
/// On the card of a study that is not there.
pub const NOT_THERE: &str = "Not where it was";
/// Title of the sheet about a study that is not there.
pub const LOST_SHEET: &str = "The study is not where it was";
/// Where it was, and where it was looked for.
pub fn lost_line(path: &std::path::Path) -> String {
    format!(
        "{} is not there, and it was not found in the folders around it, among your pictures or documents.",
        path.display()
    )
}
/// Has the painter look for it.
pub const LOOK_FOR_IT: &str = "Look for it…";
/// Takes it off the list.
pub const OFF_THE_LIST: &str = "Take off the list";
/// A copy was made.
pub fn study_copied(name: &str) -> String {
    format!("the copy is {name}; it is among your studies")
}
/// Hands everything of a browser to the device.
pub const DOWNLOAD_ALL: &str = "Download everything";
/// What that is for.
pub const DOWNLOAD_ALL_HELP: &str = "All studies, boards, brushes and settings of this browser as one file. Open it in another browser to take them in there.";
/// Everything of another browser came in.
pub fn taken_in(done: &TakenIn) -> String {
    let count = |number: usize, one: &str, more: &str| match number {
        0 => None,
        1 => Some(format!("1 {one}")),
        number => Some(format!("{number} {more}")),
    };
    let studies = count(done.studies, "study", "studies");
    let others = count(done.others, "other file", "other files");
    let new: Vec<String> = studies.into_iter().chain(others).collect();
    let new = if new.is_empty() { "nothing new".to_owned() } else { new.join(" and ") };
    let there = count(done.there, "file was here already", "files were here already");
    format!("{new} came in{}", there.map(|there| format!("; {there}")).unwrap_or_default())
}
/// A study went into the trash.
pub fn study_trashed(name: &str) -> String {
    format!("{name} is in the trash; bring it back from the start page")
}
/// A study came back.
pub fn study_back(name: &str) -> String {
    format!("{name} is back among your studies")
}
/// An open study was moved by somebody, and found.
pub fn study_found(from: &std::path::Path, to: &std::path::Path) -> String {
    format!("{} was moved and is open from {} now", from.display(), to.display())
}
/// Something is being done with a file already.
pub const ONE_AFTER_THE_OTHER: &str = "another study's file is being worked on; try again in a moment";
/// The work on a file came to nothing.
pub const KEEPING_STOPPED: &str = "the study's file could not be worked on; try again";
/// The study is open in this window.
pub fn open_here(path: &std::path::Path) -> String {
    format!("the study {} is open in this window already", path.display())
}
/// A study on a disk that cannot be written.
pub fn opened_for_looking(path: &std::path::Path) -> String {
    format!(
        "the study {} cannot be written, so it is open for looking; copy it to another folder to paint",
        path.display()
    )
}
/// The list of recent studies cannot be kept.
pub fn recent_not_kept(path: &std::path::Path, why: &std::io::Error) -> String {
    format!("the list of recent studies {} cannot be written ({why}); the study itself is safe", path.display())
}

/// No length is set for a study.
pub const NO_STINT: &str = "No time limit";
/// A length of time.
pub fn minutes(minutes: u64) -> String {
    format!("{minutes} min")
}
/// The time at work in the heading of the readout, where there is little room.
pub fn time_short(time: WorkTime) -> String {
    match time.stint_min {
        Some(stint) => format!("{}/{stint} min", time.minutes()),
        None => minutes(time.minutes()),
    }
}
/// Accessible name of the same, which opens the sheet of the stint.
pub fn time_named(time: WorkTime) -> String {
    let worked = match time.stint_min {
        Some(stint) => format!("{} of {stint} min", time.minutes()),
        None => minutes(time.minutes()),
    };
    format!("Length of the stint: {worked} at work")
}
/// Title of the sheet of the stint.
pub const STINT_SHEET: &str = "How long is this stint?";
/// What was worked, in the sheet of the stint.
pub fn worked_so_far(time: WorkTime) -> String {
    match time.minutes() {
        0 => "Less than a minute at work so far.".to_owned(),
        1 => "1 minute at work so far.".to_owned(),
        more => format!("{more} minutes at work so far."),
    }
}
/// What counts, and what happens at the end.
pub const STINT_LINE: &str =
    "A rest of more than a minute does not count. At the end you are told in one sentence, and you may go on.";

/// Title of the key sheet.
pub const KEYS: &str = "Keys";
/// The parts of the key sheet: the keys, and the painter's guide.
pub const HELP_PARTS: [(bool, &str); 2] = [(false, "All keys"), (true, "Painter's guide")];
/// Button on the key sheet that opens the page where they are changed.
pub const CHANGE_KEYS: &str = "Change keys…";
/// Button that closes a notice.
pub const DISMISS: &str = "Dismiss";
/// Tells how many notices come after the one that is shown.
pub fn more_notices(count: usize) -> String {
    format!("and {count} more")
}
/// The clipboard holds nothing that can be opened.
pub const NOTHING_TO_PASTE: &str = "there is no photo to paste; copy one, or a file, and paste again";

/// The engine's device was lost, and another engine goes on.
pub fn engine_replaced(why: &dyn std::fmt::Display) -> String {
    format!("the canvas was made anew with all finished strokes, because {why}")
}

/// Of several files that were dropped, one is opened.
pub fn one_at_a_time(opened: &std::path::Path, others: &[std::path::PathBuf]) -> String {
    const NAMED: usize = 4;
    let name = |path: &std::path::Path| path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let mut names: Vec<_> = others.iter().take(NAMED).map(|path| name(path)).collect();
    if others.len() > NAMED {
        names.push(format!("{} more", others.len() - NAMED));
    }
    format!("{} is opened; drop one file at a time, these were left: {}", name(opened), names.join(", "))
}

#[cfg(test)]
mod tests {
    use super::one_at_a_time;
    use std::path::{Path, PathBuf};

    #[test]
    fn files_that_are_not_opened_are_named() {
        let others: Vec<PathBuf> = (1..=6).map(|n| PathBuf::from(format!("/photos/yard {n}.jpg"))).collect();
        let said = one_at_a_time(Path::new("/photos/depot.jpg"), &others[..1]);
        assert_eq!(said, "depot.jpg is opened; drop one file at a time, these were left: yard 1.jpg");
        assert!(one_at_a_time(Path::new("depot.jpg"), &others).ends_with("yard 4.jpg, 2 more"));
    }
}
