//! Gives a program for Windows its icon, its version and its manifest, with the resource compiler of the GNU toolchain. Nothing elsewhere.

use std::path::PathBuf;
use std::process::Command;

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    println!("cargo::rerun-if-changed=../assets/windows");
    println!("cargo::rerun-if-env-changed=WINDRES");
    let told = |name: &str| std::env::var(name).unwrap_or_default();
    if told("CARGO_CFG_TARGET_OS") != "windows" || told("CARGO_CFG_TARGET_ENV") != "gnu" {
        return;
    }
    let compiler =
        std::env::var("WINDRES").unwrap_or_else(|_| format!("{}-w64-mingw32-windres", told("CARGO_CFG_TARGET_ARCH")));
    let made = PathBuf::from(told("OUT_DIR")).join("stint_resources.o");
    let version = told("CARGO_PKG_VERSION");
    let output = Command::new(&compiler)
        .args(["--include-dir", "../assets/windows", "--output-format", "coff"])
        .arg(format!("-DVERSION_NUMBERS={},0", version.replace('.', ",")))
        .arg(format!("-DVERSION=\\\"{version}\\\""))
        .arg("../assets/windows/stint.rc")
        .arg(&made)
        .status();
    match output {
        Ok(status) if status.success() => println!("cargo::rustc-link-arg-bins={}", made.display()),
        Ok(status) => {
            println!("cargo::warning={compiler} ended with {status}: the program has no icon and no manifest")
        }
        Err(error) => {
            println!("cargo::warning={compiler} cannot be started ({error}): the program has no icon and no manifest")
        }
    }
}
