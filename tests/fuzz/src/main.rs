//! The fuzzer: libFuzzer around one target, which `STINT_FUZZ_TARGET` names. Its own arguments are libFuzzer's. With
//! `STINT_FUZZ_SEEDS=FOLDER` it writes the target's seeds and kept inputs into that folder first.
#![no_main]

use std::path::PathBuf;
use std::sync::OnceLock;
use stint_tests::fuzz::{Target, kept, target};

static TARGET: OnceLock<Target> = OnceLock::new();

/// The target of this process.
fn chosen() -> Target {
    target(&std::env::var("STINT_FUZZ_TARGET").unwrap_or_default())
}

fn write_seeds() {
    let Some(folder) = std::env::var_os("STINT_FUZZ_SEEDS").map(PathBuf::from) else { return };
    let target = chosen();
    let kept = kept(target).into_iter().map(|(_, bytes)| bytes);
    for (number, bytes) in (target.seeds)().into_iter().chain(kept).enumerate() {
        std::fs::write(folder.join(format!("seed_{number}")), bytes).expect("the folder of seeds can be written");
    }
}

libfuzzer_sys::fuzz_target!(
    init: write_seeds(),
    |bytes: &[u8]| (TARGET.get_or_init(chosen).run)(bytes)
);
