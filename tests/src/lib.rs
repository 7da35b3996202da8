//! What the whole-program tests and the benches share: small named scenes, the device policy, and comparisons.

#[cfg(target_os = "linux")]
pub mod asleep;
pub mod device;
#[cfg(target_os = "linux")]
pub mod display;
#[cfg(target_os = "linux")]
pub mod driven;
pub mod exact;
pub mod fuzz;
#[cfg(target_os = "linux")]
pub mod home;
pub mod numbers;
pub mod program;
pub mod scenes;
pub mod scripts;
pub mod waiting;
#[cfg(target_os = "linux")]
pub mod wayland;
