//! The window, driven by pointer, keys, pen and other programs, on displays without a screen.
#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, missing_docs)]

mod desk;
mod desktop;
mod display_colour;
mod exchange;
mod file_portal;
mod first_study;
mod input_method;
mod pen;
mod pen_support;
mod screen_reader;
mod wayland;
mod window;
mod x11_support;
