//! What the whole-program tests and the benches share: small named scenes, the device policy, and comparisons.

pub mod device;
#[cfg(target_os = "linux")]
pub mod display;
pub mod exact;
pub mod fuzz;
pub mod numbers;
pub mod program;
pub mod scenes;
pub mod scripts;
