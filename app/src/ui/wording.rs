//! Every sentence and word the window shows. Errors bring their own words.

mod board;
mod brush;
mod canvas;
mod charts;
mod comparison;
mod files;
mod free;
mod library;
mod loupe;
mod memory;
mod pages;
mod passes;
mod photo;
mod progress;
mod readout;
mod settings;
mod studies;
mod swatch;
mod tools;
mod tray;
mod view;
mod well;

pub use board::*;
pub use brush::*;
pub use canvas::*;
pub use charts::*;
pub use comparison::*;
pub use files::*;
pub use free::*;
pub use library::*;
pub use loupe::*;
pub use memory::*;
pub use pages::*;
pub use passes::*;
pub use photo::*;
pub use progress::*;
pub use readout::*;
pub use settings::*;
pub use studies::*;
pub use swatch::*;
pub use tools::*;
pub use tray::*;
pub use view::*;
pub use well::*;

/// Name of the program on the start page.
pub const PROGRAM: &str = "Stint";
/// What the program is for.
pub const PROGRAM_LINE: &str = "Colour studies from your photos, with a small board.";
/// Beside the study's name: there is no save command.
pub const ALL_KEPT: &str = "quick study · all strokes kept";
/// Beside the study's name while some strokes are still on their way to where they last.
pub const BEING_KEPT: &str = "quick study · keeping strokes …";
/// Beside the study's name when strokes cannot be kept.
pub const NOT_KEPT: &str = "quick study · strokes are not kept";
/// Notice on the page when the browser keeps nothing any more.
pub fn browser_keeps_nothing(why: &str) -> String {
    format!(
        "This browser keeps no more strokes ({why}). What was kept before is safe; download the study now, make room on the device, \
         and load the page anew"
    )
}
/// Page: the device's own choice of files.
pub const FROM_DEVICE: &str = "A file of this device …";
/// Page: the device's own choice of pictures, or its camera.
pub const FROM_DEVICE_PHOTO: &str = "A photo of this device, or its camera …";
/// Page: hands the study over as a file.
pub const DOWNLOAD_STUDY: &str = "Download the study";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_keep_one_decimal_unless_they_are_whole() {
        assert_eq!(share_digits(0.9623), "96.2");
        assert_eq!(share_digits(0.11), "11");
        assert_eq!(share_digits(0.0), "0");
        assert_eq!(share_digits(1.0), "100");
    }

    #[test]
    fn a_long_list_of_unused_swatches_is_counted() {
        let names = ["Sky light".to_owned(), "Brick shadow".to_owned()];
        assert_eq!(unused(&names, 2), "Unused: Sky light, Brick shadow");
        assert_eq!(unused(&names, 5), "Unused: Sky light, Brick shadow and 3 more");
    }
}
