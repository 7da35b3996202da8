//! The device that unit tests run on: a software driver where there is one, so that results do not depend on the machine's GPU, else
//! whatever there is; `STINT_TEST_DEVICE=gpu` asks for a real GPU, as in `tests/`.

use super::{AdapterPreference, Gpu};

/// The device; none where `tests/run` tells that there is no driver, which is said on standard error with `what` is not tested.
///
/// # Panics
/// When there is none.
pub fn test_device(what: &str) -> Option<Gpu> {
    let is_gpu = std::env::var("STINT_TEST_DEVICE").as_deref() == Ok("gpu");
    let without = std::env::var("STINT_TEST_WITHOUT").unwrap_or_default();
    if !is_gpu && without.split_whitespace().any(|word| word == "vulkan") {
        eprintln!("SKIPPED: {what} (no vulkan)");
        return None;
    }
    let found = match is_gpu {
        true => Gpu::open(AdapterPreference::RealGpu),
        false => Gpu::open(AdapterPreference::Software).or_else(|_| Gpu::open(AdapterPreference::Best)),
    };
    Some(found.unwrap_or_else(|error| panic!("{error}; this test needs a Vulkan driver")))
}
