//! What the layout promises: dependencies point one way, and the crates that promise no unsafe code forbid it.
#![allow(clippy::unwrap_used, missing_docs)]

use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn read(path: &str) -> String {
    std::fs::read_to_string(root().join(path)).unwrap()
}

/// Names of the workspace's own crates that a manifest depends on outside of its tests.
fn own_dependencies(manifest: &str) -> Vec<&str> {
    let dependencies = manifest.split("[dependencies]").nth(1).unwrap().split("\n[").next().unwrap();
    dependencies.lines().filter_map(|l| l.split(['.', ' ', '=']).next()).filter(|n| n.starts_with("stint")).collect()
}

#[test]
fn dependencies_point_one_way() {
    assert!(own_dependencies(&read("model/Cargo.toml")).is_empty());
    assert_eq!(own_dependencies(&read("render/Cargo.toml")), ["stint-model"]);
    assert_eq!(own_dependencies(&read("app/Cargo.toml")), ["stint-model", "stint-render"]);
    // The comparison can fail.
    assert_eq!(own_dependencies("[dependencies]\nstint = { path = \"x\" }\nrayon = \"1\"\n"), ["stint"]);
}

#[test]
fn model_and_app_forbid_unsafe_code() {
    for file in ["model/src/lib.rs", "app/src/lib.rs"] {
        assert!(read(file).contains("#![forbid(unsafe_code)]"), "{file}");
    }
}

#[test]
fn every_file_the_readme_and_the_map_name_exists() {
    for text in ["README.md", "DEVELOPERS.md"] {
        let text = read(text);
        let prose: Vec<_> = text.split("```").step_by(2).collect();
        let text = prose.concat();
        let named: Vec<_> = text
            .split('`')
            .skip(1)
            .step_by(2)
            .filter(|name| name.contains('/') && !name.contains([' ', '*', '…']) && !name.contains("::"))
            .collect();
        assert!(!named.is_empty());
        for name in named {
            let candidates = ["", "app/src/", "render/src/", "model/src/", "tests/", "shaders/"];
            let found = candidates.iter().any(|folder| root().join(folder).join(name).exists());
            assert!(found || name == "out/demo" || name.starts_with("target"), "{name} is named but not there");
        }
    }
}
