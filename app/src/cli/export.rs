//! `stint export`: the picture with its board attached.

use super::progress::Progress;
use super::{CliError, EngineArgument, MixingArgument};
use crate::files::replace::{Writes, may_write};
use crate::study::session::{ExportOptions, Session, export_png};
use clap::{Args, ValueEnum};
use std::io::Write;
use std::path::{Path, PathBuf};
use stint_model::disk::Replace;
use stint_model::picture::{Depth, OutputGamut, PngOptions};

/// Export a study as a PNG that carries its board
#[derive(Args, Debug)]
pub struct Export {
    /// A .stint study
    file: PathBuf,
    /// The PNG to write, under a name that is free and ends in .png
    #[arg(short, long)]
    out: PathBuf,
    /// Replace a file that is there already
    #[arg(long)]
    replace: bool,
    /// Bits a component
    #[arg(long, value_enum, default_value_t)]
    depth: DepthArgument,
    /// Colour space of the file
    #[arg(long, value_enum, default_value_t)]
    gamut: GamutArgument,
    /// Print resolution noted in the file, dots an inch
    #[arg(long, value_parser = clap::value_parser!(u32).range(1..=10000))]
    dpi: Option<u32>,
    /// How paints mix in the picture; the study stays as it is
    #[arg(long, value_enum)]
    mixing: Option<MixingArgument>,
    /// The engine that resolves
    // One look at each tile: opening a graphics device would take longer.
    #[arg(long, value_enum, default_value = "cpu")]
    engine: EngineArgument,
}

#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum DepthArgument {
    #[default]
    #[value(name = "8")]
    Eight,
    #[value(name = "16")]
    Sixteen,
}

#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum GamutArgument {
    /// What every screen shows
    #[default]
    Srgb,
    /// Wider; for recent screens
    DisplayP3,
}

impl Export {
    #[expect(clippy::cast_possible_truncation, reason = "the argument is held to a range; the cast saturates")]
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let replace = super::replace_if(self.replace);
        // Said before the study is read; whoever writes looks again.
        may_write(&self.out, Writes::Picture, replace)?;
        let mut session = Session::open_read_only(&self.file, self.engine.into())?;
        if let Some(mixing) = self.mixing {
            session.preview_mixing(mixing.into())?;
        }
        let png = PngOptions {
            depth: match self.depth {
                DepthArgument::Eight => Depth::Eight,
                DepthArgument::Sixteen => Depth::Sixteen,
            },
            gamut: match self.gamut {
                GamutArgument::Srgb => OutputGamut::Srgb,
                GamutArgument::DisplayP3 => OutputGamut::DisplayP3,
            },
            // An inch is 0.0254 metres.
            pixels_per_metre: self.dpi.map(|dpi| (f64::from(dpi) / 0.0254).round() as u32),
        };
        to_png(&mut session, &self.out, png, replace)?;
        Ok(writeln!(out, "exported {}", self.out.display())?)
    }
}

/// Exports with a progress bar.
pub(super) fn to_png(session: &mut Session, path: &Path, png: PngOptions, replace: Replace) -> Result<(), CliError> {
    let mut progress = Progress::new("exporting", u64::from(session.document().height));
    Ok(export_png(session, path, &ExportOptions { png, replace }, &mut |rows| progress.set(rows))?)
}
