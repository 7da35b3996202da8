//! Words of choosing a file.

use crate::files::listing::Wanted;
use std::path::Path;

/// Title of the sheet: a photo for a new study, for the reference, or to compare with.
pub const CHOOSE_PHOTO: &str = "Choose a photo";
/// Title of the sheet: a study or an exported picture.
pub const CHOOSE_STUDY: &str = "Open a study or an exported picture";
/// Title of the sheet: a file with a board.
pub const CHOOSE_BOARD: &str = "Take a board from a file";
/// Title of the sheet: where the board goes.
pub const PLACE_BOARD: &str = "Write the board to a file";
/// Title of the sheet: where the picture goes.
pub const PLACE_PICTURE: &str = "Where the picture goes";
/// Button: this one.
pub const OPEN_IT: &str = "Open";
/// Button: this name, here.
pub const USE_NAME: &str = "Use this name";
/// Button: write it, here.
pub const WRITE_IT: &str = "Write";

/// While the system's own dialog is open.
pub const SYSTEM_DIALOG_OPEN: &str = "Your system's own dialog for files is open. Choose there, or inside this window.";
/// Button: inside the window.
pub const CHOOSE_HERE: &str = "Choose here";
/// Button: inside the window, from now on.
pub const ALWAYS_CHOOSE_HERE: &str = "Always choose here";
/// Button: the system's own dialog instead of this one.
pub const SYSTEM_DIALOG: &str = "System's dialog…";
/// Accessible name of the same.
pub const SYSTEM_DIALOG_NAME: &str = "Choose in your system's own dialog, from now on";
/// In the system's dialog: files of every kind.
pub const EVERY_FILE: &str = "All files";
/// In the system's dialog: the files that are wanted.
pub fn files_wanted(wanted: Wanted) -> &'static str {
    match wanted {
        Wanted::Photo => "Photos",
        Wanted::Study => "Studies and pictures",
        Wanted::Board => "Boards",
        Wanted::Brush => "Brushes",
    }
}

/// Heading of the places on the left.
pub const PLACES: &str = "Places";
/// The user's home folder.
pub const HOME: &str = "Home";
/// The user's pictures.
pub const PICTURES: &str = "Pictures";
/// The user's documents.
pub const DOCUMENTS: &str = "Documents";
/// Heading of the folders that studies were opened from.
pub const RECENT_FOLDERS: &str = "Recent folders";
/// Button: the folder that this one lies in.
pub const UP_ONE: &str = "Up";
/// Accessible name of the same.
pub const UP_ONE_NAME: &str = "Up one folder (Backspace)";
/// Order of the list.
pub const BY_NAME: &str = "Name";
/// Accessible name of the same.
pub const BY_NAME_NAME: &str = "Sort by name";
/// Order of the list.
pub const BY_DATE: &str = "Newest";
/// Accessible name of the same.
pub const BY_DATE_NAME: &str = "Sort by date, newest first";
/// Shows files of every kind.
pub const ALL_FILES: &str = "All files";
/// Shows files that are hidden by their name.
pub const HIDDEN_FILES: &str = "Hidden files";
/// Opens the field for a new folder.
pub const NEW_FOLDER: &str = "New folder…";
/// Field for the name of a new folder.
pub const NEW_FOLDER_NAME: &str = "Name of the new folder";
/// Button that makes the new folder.
pub const MAKE_FOLDER: &str = "Make";
/// A folder that a file was to go to.
pub fn no_folder(folder: &Path) -> String {
    format!("There is no folder {}.", folder.display())
}
/// Words on the button that makes it.
pub const MAKE_THE_FOLDER: &str = "Make the folder";
/// Makes a folder that is missing.
pub fn make_missing(folder: &Path) -> String {
    format!("Make the folder {}", folder.display())
}
/// A folder that cannot be made.
pub fn folder_not_made(folder: &Path, why: &std::io::Error) -> String {
    let folder = folder.display();
    match why.kind() {
        std::io::ErrorKind::AlreadyExists => format!("there is something called {folder} already"),
        std::io::ErrorKind::PermissionDenied => format!("you may not write here, so {folder} cannot be made"),
        _ => format!("the folder {folder} cannot be made ({why})"),
    }
}
/// While a folder is being read.
pub const READING_FOLDER: &str = "Reading the folder…";
/// A folder without anything to show.
pub const NOTHING_HERE: &str = "Nothing to choose in this folder.";
/// The same, while files of other kinds are left out.
pub const NOTHING_OF_KIND: &str = "No such files in this folder. \"All files\" shows the others.";
/// Field for the name of the file.
pub const FILE_NAME: &str = "Name or path";
/// Behind the field, while it has the keyboard: what Tab makes of it.
pub fn completes_to(name: &str) -> String {
    format!("Tab: {name}")
}
/// A name that nothing has.
pub fn no_such_file(name: &str, folder: &Path) -> String {
    format!("there is no \"{name}\" in {}", folder.display())
}
/// Fault of an empty name.
pub const NAME_A_FILE: &str = "write a name for the file";
/// A folder, as it is called where there is no picture.
pub fn folder_named(name: &str) -> String {
    format!("Folder {name}")
}
/// In the place of a picture that cannot be shown.
pub const NO_PICTURE: &str = "No picture";
