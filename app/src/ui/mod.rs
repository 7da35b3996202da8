//! What is on screen and what hands do with it, as functions of a state. It knows no window system.
//!
//! From the bottom up: plain types ([`brushes`], [`comparing`], [`display`], [`looks`], [`pen_pressure`], [`tool_kind`], [`stale`], [`request`]), [`keys`], [`preferences`], [`state`] with [`remembered`] and what `area.rs` adds to it, [`wording`] and [`theme`] with [`fallback_fonts`],
//! [`studies`], the canvas ([`canvas_view`]), the [`panels`], and the [`tools`], which ask the panels first.

mod area;
pub mod brushes;
pub mod canvas_view;
pub mod comparing;
pub mod display;
pub mod fallback_fonts;
pub mod file_dialog;
pub mod file_pictures;
pub mod keys;
pub mod looks;
pub mod panels;
pub mod pen_pressure;
pub mod preferences;
pub mod remembered;
pub mod request;
pub mod stale;
pub mod state;
pub mod studies;
pub mod theme;
pub mod tool_kind;
pub mod tools;
pub mod wording;
