//! What a file holds, or a mask covers, is the same to the last bit on every system: so neither `model` nor `render` asks the system's
//! mathematics, whose sine, cube root or power may differ in the last bit. Square roots and roundings are exact by IEEE 754.

use crate::boundaries_support::source::{Source, invented, read};
use std::path::Path;

/// Methods of the standard library's floats that are answered by the system.
const OF_THE_SYSTEM: [&str; 27] = [
    "acos", "acosh", "asin", "asinh", "atan", "atan2", "atanh", "cbrt", "cos", "cosh", "exp", "exp2", "exp_m1",
    "gamma", "hypot", "ln", "ln_1p", "ln_gamma", "log", "log10", "log2", "powf", "sin", "sin_cos", "sinh", "tan",
    "tanh",
];

/// Lines that call one of them, outside of tests.
fn calls(source: &Source) -> Vec<String> {
    let mut found = Vec::new();
    for (file, text) in source.iter().filter(|(file, _)| !file.ends_with("tests.rs")) {
        let program = text.split("\nmod tests {").next().unwrap_or(text);
        for (number, line) in program.lines().enumerate() {
            let is_comment = line.trim_start().starts_with("//");
            let calls = |name: &&str| line.contains(&format!(".{name}(")) || line.contains(&format!("64::{name}("));
            if !is_comment && OF_THE_SYSTEM.iter().any(calls) {
                found.push(format!("{file}:{}: {}", number + 1, line.trim()));
            }
        }
    }
    found
}

#[test]
fn no_number_comes_from_the_mathematics_of_the_system() {
    for folder in ["model/src", "render/src"] {
        let found = calls(&read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(folder)));
        assert!(found.is_empty(), "take the function of crate libm instead:\n{}", found.join("\n"));
    }
}

#[test]
fn a_call_of_the_system_is_found_and_a_test_is_free_to_make_one() {
    let text = "// x.sin()\nfn f(x: f32) -> f32 {\n    x.sqrt() + x.cbrt() + libm::sinf(x)\n}\n#[cfg(test)]\nmod tests {\n    1.0.tan();\n}";
    let source = invented(&[("a.rs", text), ("a/tests.rs", "x.sin()"), ("b.rs", "f64::hypot(a, b)")]);
    assert_eq!(calls(&source), ["a.rs:3: x.sqrt() + x.cbrt() + libm::sinf(x)", "b.rs:1: f64::hypot(a, b)"]);
}
