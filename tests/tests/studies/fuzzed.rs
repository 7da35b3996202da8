//! A short run of the targets of `tests/fuzz`, without a fuzzer: every input that once did harm, every seed, and some thousand seeds
//! changed at random. What a target checks: `tests/src/fuzz/mod.rs`.

use std::panic::{AssertUnwindSafe, catch_unwind};
use stint_tests::fuzz::mutation::mutated;
use stint_tests::fuzz::{Target, kept, target};
use stint_tests::numbers::Numbers;

/// Runs a target over `changed` changed seeds; an input that does harm is written to the temporary folder, and named.
fn short_run(name: &str, changed: u32) {
    let target = target(name);
    for (path, bytes) in kept(target) {
        try_one(target, &bytes, &path.display().to_string());
    }
    let seeds = (target.seeds)();
    assert!(seeds.len() >= 2);
    for (i, seed) in seeds.iter().enumerate() {
        try_one(target, seed, &format!("seed {i}"));
    }
    let mut numbers = Numbers(9);
    for i in 0..changed {
        let mut any = || &seeds[numbers.below(seeds.len() as u32) as usize];
        let (one, other) = (any(), any());
        try_one(target, &mutated(one, other, &mut numbers), &format!("changed input {i}"));
    }
}

fn try_one(target: Target, bytes: &[u8], what: &str) {
    if catch_unwind(AssertUnwindSafe(|| (target.run)(bytes))).is_err() {
        let path = std::env::temp_dir().join(format!("stint_fuzzed_{}", target.name));
        std::fs::write(&path, bytes).unwrap();
        panic!("{what} of {} does harm: {}", target.name, path.display());
    }
}

macro_rules! short_runs {
    ($($name:ident $changed:literal),*) => {$(
        #[test]
        fn $name() {
            short_run(stringify!($name), $changed);
        }
    )*};
}

short_runs!(study 150, board 2000, picture 1000, photo 400, script 400, css 2000, tokens 2000, keys 4000, archive 1500);

/// A run that finds nothing must be able to find something.
#[test]
#[should_panic(expected = "does harm")]
fn harm_is_found() {
    let target = Target { name: "harm", run: |bytes| assert!(!bytes.contains(&b'!')), seeds: Vec::new };
    try_one(target, b"fine", "one");
    try_one(target, b"boom!", "two");
}

#[test]
fn every_target_is_run() {
    assert_eq!(stint_tests::fuzz::TARGETS.len(), 9);
}
