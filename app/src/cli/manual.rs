//! `stint manual`: the pages for `man`, one a command, made from the definitions that the command line is read by.

use super::CliError;
use clap::{Args, Command};
use std::io::Write;
use std::path::PathBuf;
use stint_model::disk::{self, Replace};

/// Write the manual pages of all commands into a folder
///
/// Pages of an older version that lie there are replaced. `man -l FOLDER/stint.1` shows the first.
#[derive(Args, Debug)]
pub struct Manual {
    /// The folder, made where there is none
    folder: PathBuf,
}

impl Manual {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        disk::create_dir_all(&self.folder).map_err(|source| CliError::Make { path: self.folder.clone(), source })?;
        let pages = pages(super::definition())?;
        for (name, text) in &pages {
            let path = self.folder.join(format!("{name}.1"));
            let refusal = |source| CliError::Make { path: path.clone(), source };
            disk::place(&path, Replace::Asked, refusal, |file| Ok(file.write_all(text)?))?;
        }
        Ok(writeln!(out, "wrote {} pages to {}", pages.len(), self.folder.display())?)
    }
}

/// Name and text of every page: `stint`, `stint-board`, `stint-board-from` and so on.
fn pages(mut program: Command) -> Result<Vec<(String, Vec<u8>)>, CliError> {
    // Gives every command its full name and the options that hold for all.
    program.build();
    let mut pages = Vec::new();
    add_pages(&program, &mut pages)?;
    Ok(pages)
}

fn add_pages(command: &Command, pages: &mut Vec<(String, Vec<u8>)>) -> Result<(), CliError> {
    let mut text = Vec::new();
    // Without a date: the same program gives the same pages.
    clap_mangen::Man::new(command.clone())
        .manual("Stint")
        .source(format!("Stint {}", env!("CARGO_PKG_VERSION")))
        .render(&mut text)?;
    pages.push((command.get_display_name().unwrap_or(command.get_name()).to_owned(), text));
    // The page that clap makes for `help` repeats the others.
    for subcommand in command.get_subcommands().filter(|subcommand| subcommand.get_name() != "help") {
        add_pages(subcommand, pages)?;
    }
    Ok(())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn every_command_has_a_page_with_its_options() {
        let pages = pages(super::super::definition()).unwrap();
        let text = |name: &str| {
            let (_, text) = pages.iter().find(|(page, _)| page == name).unwrap();
            String::from_utf8(text.clone()).unwrap().replace("\\-", "-")
        };
        assert!(text("stint").contains("stint-board"));
        assert!(text("stint-export").contains("--gamut"));
        assert!(text("stint-board-relight").contains(".SH SYNOPSIS"));
        assert!(!pages.iter().any(|(name, _)| name.ends_with("help")));
    }

    #[test]
    fn pages_are_written_and_written_over() {
        let folder = tempfile::tempdir().unwrap();
        for _ in 0..2 {
            Manual { folder: folder.path().join("man1") }.run(&mut Vec::new()).unwrap();
        }
        assert!(disk::is_file(&folder.path().join("man1/stint.1")));
        let Err(CliError::Make { path, .. }) =
            (Manual { folder: folder.path().join("man1/stint.1") }).run(&mut Vec::new())
        else {
            panic!("a file is no folder");
        };
        assert!(path.ends_with("stint.1"));
    }
}
