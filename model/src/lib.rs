//! What Stint knows without a window, a GPU or a clock: boards, paints, the readout, colour science, photos and the
//! study file. Values go in and values come out; files are touched only by [`study::file`], [`board::file`],
//! [`board::exchange::write_text`], [`photo::open`] and [`picture`], and by them through [`disk`].
//!
//! | word | where |
//! | --- | --- |
//! | colour: one linear-light colour and what can be said about it | [`colour`] |
//! | board: families of swatches under one light of the day | [`board`] |
//! | a board in formats of other programs | [`board::exchange`] |
//! | paint: what a pixel is made of; the table of a study | [`paint`] |
//! | well: board paints worked into one mixture | [`well`] |
//! | pass: a transparent sheet of paint | [`pass`] |
//! | turn, relight, key: one board from another | [`variation`] |
//! | readout: board, free and bare share | [`readout`] |
//! | any picture held against what a board can mix | [`board_match`] |
//! | a painting held against its photo, surface by surface | [`comparison`] |
//! | reference: the photo and its adjustments | [`photo`] |
//! | study: one painting, one file | [`study`] |
//! | picture: the PNG a study leaves as, with its board inside | [`picture`] |
//! | drills: one thing about colour at a time | [`drill`] |
//! | progress: figures of studies and exercises over the months | [`progress`] |
//! | display: what a screen shows for a colour, by its profile | [`display`] |
//! | versions of what is written, and the steps between them | [`format`](mod@format) |
//! | files: reading, safe replacement, free names | [`disk`] |
#![forbid(unsafe_code)]
#![cfg_attr(test, allow(clippy::cast_possible_truncation, reason = "tests count in small numbers"))]
#![cfg_attr(test, allow(clippy::disallowed_methods, reason = "unit tests read files, wait and draw what they like"))]

mod bisect;
pub mod board;
pub mod board_match;
pub mod colour;
pub mod comparison;
pub mod disk;
pub mod display;
pub mod drill;
pub mod format;
pub mod ids;
pub mod mixing;
pub mod paint;
pub mod pass;
pub mod photo;
pub mod picture;
pub mod printable;
pub mod progress;
pub mod random;
pub mod readout;
pub mod study;
pub mod variation;
pub mod well;
