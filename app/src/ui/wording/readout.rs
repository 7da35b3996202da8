//! Words of the readout.

/// Title of the right panel.
pub const READOUT: &str = "Readout";
/// Accessible name of the button that hides it.
pub const PUT_READOUT_AWAY: &str = "Put the readout away";
/// Label of the share of paint from the board.
pub const FROM_BOARD: &str = "from the board";
/// Under the second number; the words change past the aim.
pub fn free_words(past_aim: bool) -> &'static str {
    if past_aim { "free colour, past the aim of 10" } else { "free colour, aim ≤ 10" }
}
/// Label of the share of the canvas without paint.
pub const BARE: &str = "bare ground";
/// Shown in the place of the shares before the first stroke.
pub const NO_PAINT: &str = "No paint yet.";
/// Swatches of the board without paint; `all` counts those that are not listed too.
pub fn unused(names: &[String], all: usize) -> String {
    let listed = names.join(", ");
    match all - names.len() {
        0 => format!("Unused: {listed}"),
        more => format!("Unused: {listed} and {more} more"),
    }
}
/// Under the unused swatches, where much paint lies in pixels of eight paints.
pub fn approximate(share: f64) -> String {
    format!("Swatches: approximate in {} of the paint", share_1(share))
}
/// What it means.
pub const APPROXIMATE_HELP: &str = "A pixel holds eight paints; a ninth counts under the swatch most like it. The shares from the \
                                    board, free and bare are exact.";
/// Under the unused swatches, while the paint of a study is still being read.
pub fn counting(counted: f64) -> String {
    format!("Swatches: counted on {:.0} % of the canvas", (counted * 100.0).floor())
}
/// What it means.
pub const COUNTING_HELP: &str =
    "The study is still being read. The shares from the board, free and bare are exact already.";
/// Paint of a swatch that was taken off the board.
pub const REMOVED: &str = "Removed swatch";
/// A part of the bar.
pub fn part_of_bar(name: &str, share: f64) -> String {
    format!("{name}, {}", share_1(share))
}
/// A share with one decimal.
pub fn share_1(share: f64) -> String {
    format!("{} %", share_digits(share))
}
/// The digits of a share: one decimal, none for whole numbers above the first.
pub fn share_digits(share: f64) -> String {
    let digits = format!("{:.1}", share * 100.0);
    digits.strip_suffix(".0").map_or(digits.clone(), str::to_owned)
}
/// Title of the chart.
pub const OVER_STROKES: &str = "From the board, over the strokes";
/// What the chart says where there is no picture.
pub fn chart_words(strokes: u64, lowest: f64, opened: &[u64]) -> String {
    let mut words = format!("{OVER_STROKES}: {strokes} strokes, lowest {}", share_1(lowest));
    for at in opened {
        words += &format!(", free colour opened after stroke {at}");
    }
    words
}
/// The mark on the chart.
pub const OPENED: &str = "opened";
