//! Words of the kept boards.

use stint_model::board::LightOfDay;

/// Title of the page, and the way to it from the start page.
pub const LIBRARY_TITLE: &str = "Kept boards";
/// Field that filters by words.
pub const LIBRARY_WORDS: &str = "Words in names or photo";
/// Choice of the light filter that takes every board.
pub const ANY_LIGHT: &str = "Any";
/// Field that orders by nearness to a colour.
pub const NEAR_COLOUR: &str = "Near a colour (#rrggbb)";
/// Button: what is on the brush.
pub const LIKE_LOADED: &str = "Loaded paint";
/// Above the button that orders by likeness to a photo.
pub const LIKE_PHOTO: &str = "Like a photo";
/// Accessible name of the button that chooses that photo.
pub const LIKE_PHOTO_NAME: &str = "Choose a photo that boards are compared with";
/// Button: the reference of the open study.
pub const LIKE_REFERENCE: &str = "This study's photo";
/// While a photo is read.
pub const COMPARING: &str = "Reading the photo…";
/// Boards are ranked by a photo.
pub fn compared_with(name: &str) -> String {
    format!("Ranked by {name}.")
}
/// Button that ends the comparison with a photo.
pub const FORGET_PHOTO: &str = "Let go";
/// Accessible name of the same.
pub const FORGET_PHOTO_NAME: &str = "Let the photo go";
/// The reader of the photo ended without a word.
pub const COMPARE_STOPPED: &str = "the photo was not read to its end; compare again";
/// Order of the cards.
pub const ORDER: &str = "Order";
/// Orders of boards that nothing ranks.
pub const ORDERS: [&str; 3] = ["Newest", "Oldest", "Name"];
/// Button that puts the board of the open study into the library.
pub const KEEP_THIS_BOARD: &str = "Keep this study's board";
/// How many cards there are.
pub fn boards_of(shown: usize, all: usize) -> String {
    match (shown, all) {
        (1, 1) => "1 board".to_owned(),
        (shown, all) if shown == all => format!("{all} boards"),
        (shown, all) => format!("{shown} of {all} boards"),
    }
}
/// Shown in the place of the boards while the library is empty.
pub const NOTHING_KEPT: &str = "No board is kept yet. Keep the board of a study, and it waits here for the next one.";
/// Shown in the place of the boards when the filters leave none.
pub const NOTHING_FITS: &str = "No kept board fits. Take a word or a light away.";
/// Button beside it: looks for nothing any more.
pub const SHOW_ALL_BOARDS: &str = "Show all boards";
/// The light of a board.
pub fn light_of_board(light: LightOfDay) -> &'static str {
    match light {
        LightOfDay::Warm => "Warm light",
        LightOfDay::Cool => "Cool light",
        LightOfDay::Neutral => "Neutral light",
    }
}
/// Light and date of a board.
pub fn light_and_date(light: LightOfDay, date: &str) -> String {
    if date.is_empty() { light_of_board(light).to_owned() } else { format!("{} · {date}", light_of_board(light)) }
}
/// How many remarks a board has.
pub fn remark_count(count: usize) -> String {
    match count {
        0 => "no remarks".to_owned(),
        1 => "1 remark".to_owned(),
        more => format!("{more} remarks"),
    }
}
/// How many swatches a board has.
pub fn swatch_count(count: usize) -> String {
    if count == 1 { "1 swatch".to_owned() } else { format!("{count} swatches") }
}
/// What a board is ranked by: CIEDE2000 to the colour and to the photo.
pub fn figures(near: Option<f64>, like: Option<f64>) -> String {
    let near = near.map(|d| format!("{d:.1} from the colour"));
    let like = like.map(|d| format!("{d:.1} from the photo"));
    near.into_iter().chain(like).collect::<Vec<_>>().join(" · ")
}
/// What these figures are.
pub const FIGURES_HINT: &str = "Differences are CIEDE2000: 1 is just visible side by side.";
/// A file that is no board.
pub const BROKEN_FILE: &str = "Broken file";
/// A card where there is no picture.
pub fn card(name: &str, facts: &str) -> String {
    format!("{name}, {facts}")
}
/// A board's tray where there is no picture.
pub fn board_picture(name: &str) -> String {
    format!("Board {name}")
}
/// A photo where there is no picture.
pub fn photo_picture(name: &str) -> String {
    if name.is_empty() { "Photo of the board".to_owned() } else { format!("Photo {name}") }
}
/// Title of the right column while no board is chosen.
pub const CHOSEN_BOARD: &str = "No board chosen";
/// What that column is for.
pub const CHOSEN_BOARD_HINT: &str = "The board you choose shows here, large: start a study with it, use it in the open study, rename, duplicate or discard it.";
/// Button that goes to the start page with the chosen board.
pub const START_STUDY: &str = "Start a study";
/// Button that puts the chosen board in the place of the open study's.
pub const USE_IN_STUDY: &str = "Use in this study";
/// Button that renames the chosen board.
pub const RENAME: &str = "Rename";
/// Field for another name of the chosen board.
pub const NEW_NAME: &str = "New name";
/// Button that copies the chosen board.
pub const DUPLICATE: &str = "Duplicate";
/// Button that moves the chosen board to the discarded ones.
pub const DISCARD: &str = "Discard";
/// Button that shows the review of the chosen board.
pub const SHOW_REMARKS: &str = "Show remarks";
/// Button that hides the review of the chosen board.
pub const HIDE_REMARKS: &str = "Hide remarks";
/// Title of the list of discarded boards.
pub const DISCARDED: &str = "Discarded";
/// Words on the button that restores a discarded board.
pub const RESTORE: &str = "Bring back";
/// Accessible name of the same.
pub fn restore_named(name: &str) -> String {
    format!("Bring {name} back")
}
/// Start page: the board of the new study.
pub fn with_board(name: &str) -> String {
    format!("On the board {name}")
}
/// Start page, above the boards.
pub const FROM_BOARD_KEPT: &str = "Or start from a board you kept";
/// Start page, nothing kept.
pub const NO_KEPT_BOARDS: &str = "Boards you keep appear here: open a study, press Board… and keep its board.";
/// Start page: a kept board, where there is no picture.
pub fn start_from_board(name: &str, light: &str) -> String {
    format!("Start from the board {name}, {light}")
}
/// Start page: no kept board after all.
pub const WITHOUT_BOARD: &str = "Without it";
