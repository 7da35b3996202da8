//! What only a desktop does.

#[cfg(all(unix, not(target_os = "macos")))]
pub mod file_portal;
