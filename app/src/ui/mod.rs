//! What is on screen and what hands do with it, as functions of a state. It knows no window system.

pub mod canvas_view;
pub mod keys;
pub mod open;
pub mod panels;
pub mod state;
pub mod theme;
pub mod tools;
pub mod wording;
