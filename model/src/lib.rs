//! What Stint knows without a window, a GPU or a clock: boards, paints, the readout, colour science, photos and the
//! study file. Values go in and values come out; files are touched only by [`study::file`], [`board::file`],
//! [`board::exchange::write_text`], [`photo::open`] and [`picture`].
//!
//! | word | where |
//! | --- | --- |
//! | colour: one linear-light colour and what can be said about it | [`colour`] |
//! | board: families of swatches under one light of the day | [`board`] |
//! | a board in formats of other programs | [`board::exchange`] |
//! | paint: what a pixel is made of; the table of a study | [`paint`] |
//! | pass: a transparent sheet of paint | [`pass`] |
//! | turn, relight, key: one board from another | [`variation`] |
//! | readout: board, free and bare share | [`readout`] |
//! | reference: the photo and its adjustments | [`photo`] |
//! | study: one painting, one file | [`study`] |
//! | picture: the PNG a study leaves as, with its board inside | [`picture`] |
#![forbid(unsafe_code)]

pub mod board;
pub mod colour;
pub mod ids;
pub mod memory;
pub mod mixing;
mod neighbour;
pub mod paint;
pub mod pass;
pub mod photo;
pub mod picture;
pub mod printable;
pub mod readout;
pub mod study;
pub mod variation;
