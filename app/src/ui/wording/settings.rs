//! Words of the page of settings and keys, and of the sheet that finds everything by its name.

use crate::ui::display::DisplayColours;

/// Title of the page, and its button.
pub const SETTINGS: &str = "Settings";
/// Title: how large panels and words are.
pub const INTERFACE_SIZE: &str = "Size of panels and words";
/// A size, percent.
pub fn percent(percent: u32) -> String {
    format!("{percent} %")
}
/// What the size is for.
pub const SIZE_LINE: &str = "The canvas keeps its own zoom.";
/// When the window is too small for the size that is set.
pub fn size_held(percent: u32) -> String {
    format!("This window has room for {percent} %.")
}
/// Title: where the panels lie.
pub const PANELS: &str = "Panels";
/// Where the panels lie: whether for the left hand, words.
pub const HANDS: [(bool, &str); 2] = [(false, "Photo left, readout right"), (true, "For the left hand: photo right")];
/// Whether the photo's panel shows.
pub const REFERENCE_SHOWS: &str = "Reference";
/// Whether the readout shows.
pub const READOUT_SHOWS: &str = "Readout";
/// Title: what lies around the canvas.
pub const SURROUND_TITLE: &str = "Around the canvas";
/// The surrounds, from dark to light.
pub const SURROUND_CHOICES: [&str; 3] = ["Dark", "Middle grey", "Light"];
/// Title: what is taken up again the next time.
pub const IN_HAND: &str = "In hand";
/// Accessible name of a tool on the page of settings.
pub fn tool_in_hand(tool: &str) -> String {
    format!("Tool in hand: {tool}")
}
/// Accessible name of a brush on the page of settings.
pub fn brush_in_hand(brush: &str) -> String {
    format!("Brush in hand: {brush}")
}
/// Gives all brushes the sizes they came with.
pub const BRUSH_SIZES_BACK: &str = "Sizes the brushes came with";
/// Title: how the hand is followed.
pub const HAND: &str = "The hand";
/// Whether one setting steadies the hand for every brush.
pub const STEADIED_ALIKE: &str = "Steady all brushes alike";
/// Whether a mouse's speed stands for pressure.
pub const LIVELY_MOUSE: &str = "Pressure from a mouse's speed";
/// What goes with that.
pub const LIVELY_MOUSE_TAPERS: &str = "Its strokes taper at both ends as well.";
/// Title: the loupe on the photo.
pub const LOUPE_TITLE: &str = "Loupe on the photo";
/// How wide the loupe is.
pub const LOUPE_WIDTH: &str = "Width";
/// A width on the photo.
pub fn photo_pixels(width: u32) -> String {
    format!("{width} photo px")
}
/// Title: how files are chosen.
pub const CHOOSING_FILES: &str = "Choosing files";
/// Whether files are chosen inside the window, whatever dialog the system has.
pub const CHOOSE_IN_WINDOW: &str = "Always choose in this window";
/// The folder that comes first when a file is chosen.
pub const LAST_FOLDER: &str = "Begins in the folder of the last file:";
/// No file was chosen yet.
pub const NO_LAST_FOLDER: &str = "None yet, so among your pictures";
/// Forgets it.
pub const FORGET_PLACE: &str = "Forget";
/// Accessible name of the same.
pub const FORGET_LAST_FOLDER: &str = "Forget the folder of the last file";
/// Title: the order of the studies on the start page.
pub const ORDER_OF_STUDIES: &str = "Your studies in order";
/// Title: sentences for the next study.
pub const FOR_NEXT_STUDY: &str = "For the next study";
/// How many of them were sent away.
pub fn sentences_away(count: usize) -> String {
    match count {
        0 => "None were sent away.".to_owned(),
        1 => "1 was sent away.".to_owned(),
        count => format!("{count} were sent away."),
    }
}
/// Brings them back.
pub const SAY_AGAIN: &str = "Say them again";
/// Accessible name of the same.
pub const SAY_AGAIN_NAME: &str = "Say the sentences for the next study again";
/// Title: how colours are shown.
pub const DISPLAY_TITLE: &str = "Colours of this display";
/// Whether colours are converted for the display's profile.
pub const CONVERT_FOR_DISPLAY: &str = "Convert for its profile";
/// What is known of the display and done for it; `converts` is what the painter wants.
pub fn display_line(display: &DisplayColours, converts: bool) -> String {
    match display {
        DisplayColours::Untold => {
            "Your system names no profile for this display: colours are shown as for an ordinary screen.".to_owned()
        }
        DisplayColours::Told(name) => {
            let name = name.as_deref().unwrap_or("a profile without a name");
            if converts {
                format!("Your system names {name}: the whole window is shown by it.")
            } else {
                format!("Your system names {name}; colours are shown as for an ordinary screen.")
            }
        }
        DisplayColours::Unusable(why) => {
            format!("The profile of this display cannot be used ({why}): colours are shown as for an ordinary screen.")
        }
        DisplayColours::ByTheDesktop => {
            "Your desktop alone knows this display: it is handed sRGB, and converts it or not.".to_owned()
        }
    }
}
/// Title: help for a beginner.
pub const FIRST_STUDY: &str = "First study";
/// Whether the line with the next step shows.
pub const SAY_NEXT_STEP: &str = "Say the next step";
/// Title: where settings and keys are kept.
pub const KEPT_IN: &str = "Kept in this folder";
/// Sets everything in the column back.
pub const USUAL_SETTINGS: &str = "Usual settings again";
/// The file of settings is damaged.
pub const SETTINGS_DAMAGED: &str =
    "The file of settings has a mistake, so nothing is written there. Mend it, or put it aside and begin anew.";
/// Puts it aside.
pub const BEGIN_ANEW: &str = "Put it aside";
/// Where it is now.
pub fn put_aside(path: &std::path::Path) -> String {
    format!("the settings with the mistake are now {}", path.display())
}
/// It cannot be moved.
pub fn not_put_aside(why: &std::io::Error) -> String {
    format!("the file of settings cannot be put aside ({why}); move it away by hand")
}

/// Field over the list of keys.
pub const FIND_KEY: &str = "Find by what it does, or by its key";
/// Nothing has such a name.
pub const NOTHING_FOUND: &str = "Nothing has such a name.";
/// Changes a key.
pub const CHANGE_KEY: &str = "Change";
/// Accessible name of the same.
pub fn change_key_of(action: &str) -> String {
    format!("Change the key of: {action}")
}
/// Gives an action the keys it came with.
pub const RESET_KEY: &str = "Reset";
/// Accessible name of the same.
pub fn reset_key_of(action: &str) -> String {
    format!("Reset the key of: {action}")
}
/// Gives every action the keys it came with.
pub const ALL_KEYS_BACK: &str = "Reset all keys";
/// While a key is awaited.
pub fn press_the_key(action: &str) -> String {
    format!("Press the new key for: {action}")
}
/// An action without a key; also takes its key away.
pub const NO_KEY: &str = "No key";
/// Ends the change of a key.
pub const STOP: &str = "Leave it";
/// A key belongs to another action.
pub fn key_taken(key: &str, action: &str) -> String {
    format!("{key} is the key of: {action}")
}
/// Takes it from there.
pub const GIVE_OVER: &str = "Take it";
/// Accessible name of the same.
pub fn give_over_to(action: &str) -> String {
    format!("Take it for: {action}")
}

/// Title of the sheet that finds everything the keys can do.
pub const FIND_ANYTHING: &str = "Find anything";
/// Its field.
pub const FIND_BY_NAME: &str = "Name of what you want to do";
/// What is done while a key is held.
pub fn hold_the_key(action: &str, key: &str) -> String {
    match key {
        "" => format!("{action}: this works while its key is held; give it one in the settings"),
        key => format!("{action}: hold {key}"),
    }
}
