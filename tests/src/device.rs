//! Which graphics device the tests run on: a software driver first, so that results do not depend on the machine's GPU.
//! Without any device a test that needs one fails and says how to get one; nothing is skipped in silence.

use crate::program::lacks;
use stint_render::engine::{Engine, EngineError};
use stint_render::gpu::{AdapterPreference, Gpu, GpuEngine};

/// Set to `gpu` to run the GPU tests on a real GPU.
pub const DEVICE_VARIABLE: &str = "STINT_TEST_DEVICE";

/// Whether this run goes on without the device that tests use; see [`crate::program::lacks`].
#[must_use]
pub fn lacks_gpu() -> bool {
    std::env::var(DEVICE_VARIABLE).as_deref() != Ok("gpu") && lacks(&["vulkan"])
}

/// An engine on the device that tests use; prints which adapter that is.
///
/// # Panics
/// When there is none, with advice.
pub fn gpu_engine() -> GpuEngine {
    let want = match std::env::var(DEVICE_VARIABLE).as_deref() {
        Ok("gpu") => AdapterPreference::RealGpu,
        _ => AdapterPreference::Software,
    };
    match Gpu::open(want).and_then(GpuEngine::new) {
        Ok(engine) => {
            let info = engine.info();
            println!("graphics adapter: {} ({}), {:?}", info.name, info.detail, info.kind);
            engine
        }
        Err(error @ EngineError::NoDevice(_)) => panic!(
            "{error}\nthese tests need a Vulkan driver: on Debian install mesa-vulkan-drivers and libvulkan1, \
             or set {DEVICE_VARIABLE}=gpu to use a real GPU"
        ),
        Err(error) => panic!("{error}"),
    }
}
