//! The few controls all panels are made of, each with its accessible name.
//!
//! | what | file |
//! | --- | --- |
//! | words as labels and as painted lines | `words` |
//! | what is pressed: pills, low buttons, toggles | `button` |
//! | one of several | `choice` |
//! | sliders | `slider` |
//! | fields for a text | `field` |
//! | sheets over the window | `sheet` |
//! | rings, dashes, gaps | `mark` |

mod button;
mod choice;
mod field;
mod mark;
mod sheet;
mod slider;
mod words;

pub(super) use button::{
    HEADING, LARGE_PILL, PILL, Pill, heading_with, large_pill, pill, pill_named, pill_width, text_button,
    text_button_width, text_choice, text_toggle, thumb_pill, thumb_toggle, toggle, toggle_named,
};
pub(super) use choice::{choices, hinted_segments, narrow_choices, row, segments};
pub(super) use field::{bare_field, entered, field, field_of, named_field, row_field, select, selects_all};
pub(super) use mark::{dashed, focus_ring, gap};
pub(super) use sheet::{footer, large_sheet, sheet};
pub(super) use slider::{SLIDER, rail_slider, rested, slider, slider_back, whole};
pub(super) use words::{cell, centred, clipped, heading, line, number, quiet, text, text_width};
