//! The program `stint`: see the library for everything it does.

use std::process::ExitCode;

fn main() -> ExitCode {
    stint::start()
}
