//! The command line. One file a subcommand: its words, its arguments and what it does stand together.
//!
//! Results go to standard output, everything else to standard error. Exit codes: 0 done, 1 refused or failed, 2 usage.

#![expect(clippy::result_large_err, reason = "one error ends the program; its size costs nothing")]

mod against;
mod board;
mod compare;
mod completions;
mod demo;
mod error;
mod export;
mod learning;
mod manual;
mod open;
mod play;
mod progress;
mod readout;
mod report;
mod source;
mod study;

pub use error::CliError;

use crate::base::folders;
use crate::study::session;
use clap::{Parser, ValueEnum};
use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;
use stint_model::disk::Replace;
use stint_model::mixing::Mixing;
use stint_model::printable::printable;
use stint_render::choose::EngineChoice;

/// A painting canvas that keeps a colour study inside a small chosen board.
#[derive(Parser, Debug)]
#[command(name = "stint", version, max_term_width = 100)]
struct Arguments {
    #[command(subcommand)]
    command: Option<Subcommands>,
}

/// A table of subcommands: the word a person types, in capitals as a type, and the arguments that it takes and that run it.
macro_rules! subcommands {
    ($name:ident { $($word:ident($arguments:ty),)* }) => {
        #[derive(clap::Subcommand, Debug)]
        enum $name {
            $($word($arguments),)*
        }

        impl $name {
            fn run(self, out: &mut dyn std::io::Write) -> Result<$crate::cli::Next, $crate::cli::CliError> {
                match self {
                    $($name::$word(arguments) => arguments.run(out).map(Into::into),)*
                }
            }
        }
    };
}
use subcommands;

subcommands! {
    Subcommands {
        Open(open::Open),
        Demo(demo::Demo),
        Play(play::Play),
        Board(board::BoardArguments),
        Readout(readout::ReadoutArguments),
        Compare(compare::Compare),
        Export(export::Export),
        Study(study::StudyArguments),
        Progress(learning::Learning),
        Completions(completions::Completions),
        Manual(manual::Manual),
    }
}

/// The whole command line as it is defined, for what is made from it.
fn definition() -> clap::Command {
    <Arguments as clap::CommandFactory>::command()
}

/// The engine that does the painting.
#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum EngineArgument {
    /// The best that this machine has
    #[default]
    Auto,
    /// All cores, no graphics device
    Cpu,
    /// A graphics device, real or not
    Gpu,
}

impl From<EngineArgument> for EngineChoice {
    fn from(argument: EngineArgument) -> Self {
        match argument {
            EngineArgument::Auto => EngineChoice::Auto,
            EngineArgument::Cpu => EngineChoice::Cpu,
            EngineArgument::Gpu => EngineChoice::Gpu,
        }
    }
}

/// How paints mix.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum MixingArgument {
    /// As lights do
    Light,
    /// As the eye would place the middle
    Perceptual,
    /// As pigments do: blue and yellow give green
    Pigment,
}

impl From<MixingArgument> for Mixing {
    fn from(argument: MixingArgument) -> Self {
        match argument {
            MixingArgument::Light => Mixing::Light,
            MixingArgument::Perceptual => Mixing::Perceptual,
            MixingArgument::Pigment => Mixing::Pigment,
        }
    }
}

/// Whether a file that is there may give way, by `--replace`.
fn replace_if(replace: bool) -> Replace {
    if replace { Replace::Asked } else { Replace::Never }
}

/// What is left to do when the command line has done its part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Next {
    /// Nothing: the program ends.
    End,
    /// The window is opened on its start page. Without a display that is an error.
    Window,
    /// The window is opened with this study, where there is a display; otherwise everything was told already.
    WindowWith(PathBuf),
}

impl From<()> for Next {
    fn from((): ()) -> Self {
        Next::End
    }
}

/// Runs the command line with the arguments of the process.
///
/// # Errors
/// With the exit code, when a command was refused or failed; why is on standard error.
pub fn main() -> Result<Next, ExitCode> {
    // clap prints its own help and usage errors, and ends with 2 for the latter.
    let arguments = Arguments::parse();
    let mut out = Terminal(std::io::stdout().lock());
    let result = run(arguments, &mut out);
    let flushed = out.flush();
    let failure = match result {
        Ok(next) => match flushed {
            Ok(()) => return Ok(next),
            Err(error) => CliError::Output(error),
        },
        Err(error) => error,
    };
    match failure {
        // Whoever reads our output has seen enough.
        CliError::Output(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(Next::End),
        error => {
            match error.argument() {
                Some(argument) => say(&format_args!("{error}: {argument}")),
                None => say(&error),
            }
            Err(ExitCode::FAILURE)
        }
    }
}

/// A place where text is read by people: control characters in it, say from a file's name, are written out instead of obeyed.
/// Ends of lines and tabs stay.
struct Terminal<W>(W);

impl<W: Write> Write for Terminal<W> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        // Formatted text comes in whole characters; anything else is not ours to change.
        let Ok(text) = std::str::from_utf8(bytes) else { return self.0.write(bytes) };
        for piece in text.split_inclusive(['\n', '\t']) {
            let words = piece.trim_end_matches(['\n', '\t']);
            self.0.write_all(printable(words).as_bytes())?;
            self.0.write_all(&piece.as_bytes()[words.len()..])?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.0.flush()
    }
}

/// A line for the person, on standard error. When nobody listens there it goes nowhere, and is no reason to stop.
pub fn say(what: &dyn std::fmt::Display) {
    let _ = writeln!(std::io::stderr(), "stint: {}", printable(&what.to_string()));
}

fn run(arguments: Arguments, out: &mut dyn Write) -> Result<Next, CliError> {
    session::remember_engines_in(folders::data(None));
    match arguments.command {
        None => Ok(Next::Window),
        Some(command) => command.run(out),
    }
}
