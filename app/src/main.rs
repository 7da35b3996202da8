//! The program `stint`: see the library for everything it does.

use std::process::ExitCode;
use stint::cli::{self, Next};
use stint::host::window;
use stint_render::choose::EngineChoice;

fn main() -> ExitCode {
    let file = match cli::main() {
        Ok(Next::End) => return ExitCode::SUCCESS,
        Ok(Next::WindowWith(_)) if !window::has_display() => return ExitCode::SUCCESS,
        Ok(Next::WindowWith(study)) => Some(study),
        Ok(Next::Window) => None,
        Err(code) => return code,
    };
    match window::run(file, EngineChoice::Auto) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            cli::say(&error);
            ExitCode::FAILURE
        }
    }
}
