//! Words of the sheets and pages about whole studies: export, the start page, keys, notices.

/// Title of the export sheet.
pub const EXPORT_SHEET: &str = "Export";
/// What an export is.
pub const EXPORT_LINE: &str = "A PNG of the study that carries its board and its readout.";
/// Field for the file that the study is exported to.
pub const EXPORT_PATH: &str = "Path of the picture";
/// Name of the choice between 8 and 16 bits.
pub const DEPTH: &str = "Bits a sample";
/// Name of the choice of the colour space.
pub const SPACE: &str = "Colour space";
/// Choice of the colour space: IEC 61966-2-1.
pub const SRGB: &str = "sRGB";
/// Choice of the colour space: the wider one of many screens.
pub const DISPLAY_P3: &str = "Display P3";
/// Choices of the depth: label and accessible name.
pub const BITS: [(&str, &str); 2] = [("8", "8 bit"), ("16", "16 bit")];
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

/// Title of the list of studies opened lately, on the start page.
pub const RECENT: &str = "Recent studies";
/// Start page, nothing recent.
pub const NO_RECENT: &str = "Studies you open appear here.";
/// Title of the form for a new study, on the start page.
pub const NEW_STUDY: &str = "New study";
/// Field for the file name of a new study, without its suffix.
pub const STUDY_NAME: &str = "Name of the study";
/// Field for the folder of a new study.
pub const FOLDER: &str = "Folder";
/// Title of the choice of canvas sizes.
pub const CANVAS: &str = "Canvas";
/// A canvas as large as the screen.
pub const THIS_SCREEN: &str = "This screen";
/// Choice of the canvas: wider than high.
pub const LANDSCAPE: &str = "Landscape";
/// Choice of the canvas: higher than wide.
pub const PORTRAIT: &str = "Portrait";
/// A size of one's own.
pub const OWN_SIZE: &str = "Own size";
/// Field for the width of the canvas, pixels.
pub const WIDTH_PX: &str = "Width, px";
/// Field for the height of the canvas, pixels.
pub const HEIGHT_PX: &str = "Height, px";
/// The size as numbers.
pub fn size(width: u32, height: u32) -> String {
    format!("{width} × {height} px")
}
/// A size that is not a number.
pub const SIZE_MISSING: &str = "width and height must be whole numbers of pixels; write both";
/// Ground of a new study.
pub const GROUND: &str = "Ground";
/// A ground in the middle of a choice.
pub const GROUNDS: [(&str, &str, &str); 4] = [
    ("Warm grey", "warm grey", "#706b66"),
    ("Cool grey", "cool grey", "#656b70"),
    ("Pale umber", "pale umber", "#a39684"),
    ("Dark slate", "dark slate", "#3d434a"),
];
/// Button that makes the new study and opens it.
pub const START: &str = "Start";
/// Title of the form that opens a file, on the start page.
pub const OPEN_TITLE: &str = "Open a study, a photo or an exported picture";
/// Field for the file to open.
pub const OPEN_PATH: &str = "Path";
/// Button that opens the file of the field.
pub const OPEN: &str = "Open";
/// Shown under the field for the file to open.
pub const DROP_HINT: &str = "Or drop it on the window.";
/// Button that makes the demo study and opens it.
pub const DEMO: &str = "Demo";
/// What the demo is.
pub const DEMO_STUDY: &str = "Tram depot";
/// Text beside the button of the demo.
pub const DEMO_LINE: &str = "A finished study of a tram depot at blue hour.";
/// Accessible name of a recent study.
pub fn open_recent(name: &str) -> String {
    format!("Open {name}")
}
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
/// A name without letters.
pub const NAME_MISSING: &str = "the study needs a name; write one";
/// The list of recent studies cannot be kept.
pub fn recent_not_kept(path: &std::path::Path, why: &std::io::Error) -> String {
    format!("the list of recent studies {} cannot be written ({why}); the study itself is safe", path.display())
}

/// Title of the key sheet.
pub const KEYS: &str = "Keys";
/// No table of keys was given.
pub const NO_KEYS: &str = "No keys are set.";
/// Button that closes a notice.
pub const DISMISS: &str = "Dismiss";
/// Tells how many notices come after the one that is shown.
pub fn more_notices(count: usize) -> String {
    format!("and {count} more")
}
