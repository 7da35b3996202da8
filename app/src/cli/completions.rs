//! `stint completions`: what a shell needs to complete the words of this command line.

use super::CliError;
use clap::Args;
use clap_complete::Shell;
use std::io::Write;

/// Print what a shell needs to complete commands and options
///
/// Put it where the shell looks, say with
///   stint completions bash > ~/.local/share/bash-completion/completions/stint
#[derive(Args, Debug)]
#[command(verbatim_doc_comment)]
pub struct Completions {
    /// The shell that it is for
    shell: Shell,
}

impl Completions {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        // The generator knows no failure of writing, so it writes to memory first.
        let mut text = Vec::new();
        clap_complete::generate(self.shell, &mut super::definition(), "stint", &mut text);
        Ok(out.write_all(&text)?)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn every_shell_hears_of_every_command() {
        for shell in [Shell::Bash, Shell::Zsh, Shell::Fish, Shell::Elvish, Shell::PowerShell] {
            let mut out = Vec::new();
            Completions { shell }.run(&mut out).unwrap();
            let text = String::from_utf8(out).unwrap();
            for word in super::super::definition().get_subcommands() {
                assert!(text.contains(word.get_name()), "{shell}: {}", word.get_name());
            }
        }
    }
}
