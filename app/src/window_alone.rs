//! The same program for a menu on Windows, where every other program opens a console beside its window. Whoever starts it from a console
//! sees nothing of what it prints there, so it is no command line.
#![cfg_attr(windows, windows_subsystem = "windows")]

use std::process::ExitCode;

fn main() -> ExitCode {
    stint::start()
}
