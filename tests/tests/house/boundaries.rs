//! What the layout promises: dependencies of crates and of the program's layers point one way, modules name each other in no
//! circle, some libraries are known to some layers alone, and the crates that promise no unsafe code forbid it.

use crate::boundaries_support::loops::loops;
use crate::boundaries_support::modules::Crate;
use crate::boundaries_support::source::{Source, invented, read as read_source};
use std::path::{Path, PathBuf};

/// The layers of the program, folders of `app/src`, from the bottom up, and what each may name. `lib.rs` and `main.rs` join them.
const LAYERS: [(&str, &[&str]); 6] = [
    ("base", &[]),
    ("files", &["base"]),
    ("study", &["base", "files"]),
    ("ui", &["base", "files", "study"]),
    ("host", &["base", "files", "study", "ui"]),
    ("cli", &["base", "files", "study"]),
];

/// Libraries that only some layers know.
const LIBRARIES: [(&str, &[&str]); 6] = [
    ("clap", &["cli"]),
    ("egui", &["ui", "host"]),
    ("egui_wgpu", &["ui", "host"]),
    ("winit", &["host"]),
    ("x11rb", &["host"]),
    ("zbus", &["host"]),
];

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
            .filter(|name| name.contains('/') && !name.contains([' ', '*', '…', '~', '$']) && !name.contains("::"))
            .collect();
        assert!(!named.is_empty());
        for name in named {
            let candidates = ["", "app/src/", "render/src/", "model/src/", "tests/", "shaders/"];
            let found = candidates.iter().any(|folder| root().join(folder).join(name).exists());
            assert!(found || name == "out/demo" || name.starts_with("target"), "{name} is named but not there");
        }
    }
}

/// What breaks the table of layers, a line each.
fn upward(source: &Source) -> Vec<String> {
    let all = Crate::read(source);
    let layer = |at: usize| all.modules[at].path.first().map(String::as_str);
    let row = |layer: &str| LAYERS.iter().find(|(name, _)| *name == layer);
    let mut told = Vec::new();
    for module in &all.modules {
        if module.path.len() == 1 && row(&module.path[0]).is_none() {
            told.push(format!("{} is in no row of the table of layers", module.file));
        }
    }
    for edge in all.edges() {
        let Some((name, may)) = layer(edge.from).and_then(row) else { continue };
        let to = layer(edge.to).unwrap_or("the root");
        if to != *name && !may.contains(&to) {
            told.push(format!("{name} knows nothing of {to}, but {edge}"));
        }
    }
    for (library, may) in LIBRARIES {
        for module in all.users_of(library) {
            let name = module.path.first().map_or("the root", String::as_str);
            if !may.contains(&name) {
                told.push(format!("{name} knows nothing of {library}, but {} names it", module.file));
            }
        }
    }
    told
}

#[test]
fn layers_of_the_program_name_only_those_below_them() {
    let told = upward(&read_source(&root().join("app/src")));
    assert!(told.is_empty(), "{} times:\n{}", told.len(), told.join("\n"));
}

#[test]
fn modules_side_by_side_name_each_other_in_no_circle() {
    let mut told = Vec::new();
    for name in ["model", "render", "app"] {
        let all = Crate::read(&read_source(&root().join(name).join("src")));
        told.extend(loops(&all).into_iter().map(|text| format!("{name}: {text}")));
    }
    assert!(told.is_empty(), "{} loops:\n{}", told.len(), told.join("\n"));
}

/// A program in good order, with more text in some of its files.
fn program(more: &[(&str, &str)]) -> Source {
    let mut source = invented(&[
        ("main.rs", "fn main() { stint::cli::main() }"),
        ("lib.rs", "pub mod base; pub mod files; pub mod study; pub mod ui; pub mod host; pub mod cli;"),
        ("base/mod.rs", "pub mod clock; pub mod names;"),
        ("base/clock.rs", "pub fn now() {}"),
        ("base/names.rs", "//! Used by crate::ui.\nconst HINT: &str = \"crate::ui::tray\"; // crate::ui::tray()"),
        ("files/mod.rs", "use crate::base::clock;"),
        ("study/mod.rs", "pub use session::Session; pub mod session;"),
        ("study/session.rs", "pub struct Session; pub fn open() { crate::files::x() }"),
        ("ui/mod.rs", "pub mod state; pub mod tray; pub const WIDE: u32 = 1;"),
        ("ui/state.rs", "pub struct State { pub session: crate::study::Session, at: egui::Pos2 }"),
        ("ui/tray.rs", "use super::{WIDE, state::State}; #[cfg(test)] mod tests { use super::*; }"),
        ("host/mod.rs", "use crate::ui::{self, state::State}; use winit::window::Window; fn f() { ui::tray::show() }"),
        ("cli/mod.rs", "#[derive(clap::Parser)] pub struct Words; pub fn main() { crate::study::session::open() }"),
    ]);
    for (file, text) in more {
        source.entry((*file).to_owned()).or_default().push_str(&format!("\n{text}"));
    }
    source
}

#[test]
fn a_planted_upward_import_is_caught() {
    assert_eq!(upward(&program(&[])), [""; 0], "a program in good order");
    for (file, text, told) in [
        ("base/clock.rs", "use crate::files;", "base knows nothing of files, but base/clock.rs names crate::files"),
        ("base/names.rs", "use super::super::ui::tray as t;", "base/names.rs names crate::ui::tray"),
        ("files/mod.rs", "fn f() { crate::base::clock::now() }", ""),
        ("files/mod.rs", "use {crate::{study::{self, session::*}}};", "files knows nothing of study"),
        ("files/mod.rs", "fn f(s: &crate::study::Session) {}", "files/mod.rs names crate::study::Session"),
        ("study/session.rs", "fn f() { assert!(x == 3, \"{}\", crate::ui::WIDE); }", "names crate::ui::WIDE"),
        ("study/session.rs", "#[cfg(test)] mod tests { use crate::ui::state::State; }", "study knows nothing of ui"),
        ("study/session.rs", "mod a { mod b { use super::super::super::super::ui; } }", "names crate::ui"),
        ("ui/tray.rs", "fn f() -> Option<crate::host::FrameTimes> { None }", "ui knows nothing of host"),
        ("cli/mod.rs", "use crate::host;", "cli knows nothing of host"),
        ("cli/mod.rs", "pub(crate) fn f() { let _ = <crate::ui::state::State as Default>::default; }", "nothing of ui"),
        ("ui/tray.rs", "use winit::keyboard::Key;", "ui knows nothing of winit, but ui/tray.rs names it"),
        ("study/mod.rs", "fn f() { let _ = egui::Color32::RED; }", "study knows nothing of egui"),
        ("base/clock.rs", "use ::clap as words;", "base knows nothing of clap"),
        ("lib.rs", "pub const SEEN: u32 = 1; pub use ui::tray;", ""),
        ("study/mod.rs", "use crate::SEEN;", "study knows nothing of the root"),
    ] {
        let found = upward(&program(&[(file, text)]));
        match told {
            "" => assert_eq!(found, [""; 0], "{text}"),
            told => {
                let as_told = !found.is_empty() && found.iter().all(|line| line.contains(told));
                assert!(as_told, "{text} in {file} gave {found:#?}");
            }
        }
    }
    // Through a name that the root gives on.
    let found =
        upward(&program(&[("lib.rs", "pub use ui::tray as shelf;"), ("files/mod.rs", "use crate::shelf::Tray;")]));
    assert_eq!(found, ["files knows nothing of ui, but files/mod.rs names crate::shelf::Tray"]);
    let found = upward(&program(&[("lib.rs", "mod extra;"), ("extra.rs", "")]));
    assert_eq!(found, ["extra.rs is in no row of the table of layers"]);
}

#[test]
fn a_planted_circle_is_caught_and_spelled_out() {
    let found = |more: &[(&str, &str)]| loops(&Crate::read(&program(more)));
    assert_eq!(found(&[]), [""; 0]);
    assert_eq!(
        found(&[("ui/state.rs", "fn f() { super::tray::show() }")]),
        ["crate::ui in a loop: state -> tray -> state\n    ui/state.rs names crate::ui::tray::show\n    \
          ui/tray.rs names crate::ui::state::State"]
    );
    // Over three folders, and by way of a name that a module gives on.
    let round = found(&[("files/mod.rs", "fn f() { crate::study::Session; }")]);
    assert_eq!(round.len(), 1, "{round:#?}");
    assert!(round[0].starts_with("crate in a loop: files -> study -> files"), "{round:#?}");
    assert!(round[0].contains("files/mod.rs names crate::study::Session"), "{round:#?}");
    // A third that hangs on a knot is told with it.
    let knot = found(&[
        ("ui/mod.rs", "mod keys;"),
        ("ui/keys.rs", "use super::tray; use super::state;"),
        ("ui/state.rs", "use super::tray; use super::keys;"),
    ]);
    assert_eq!(knot.len(), 1, "{knot:#?}");
    assert!(knot[0].contains("knotted with") && knot[0].contains("keys -> state -> keys"), "{knot:#?}");
    // Parent and child may name each other; so may unit tests whom they like.
    assert_eq!(found(&[("ui/mod.rs", "fn f() { tray::show() }")]), [""; 0]);
    assert_eq!(found(&[("ui/state.rs", "#[cfg(test)] mod tests { use crate::ui::tray; }")]), [""; 0]);
    assert_eq!(found(&[("ui/state.rs", "#[test] fn f() { crate::ui::tray::show() }")]), [""; 0]);
}
