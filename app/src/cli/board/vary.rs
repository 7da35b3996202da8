//! `stint board turn`, `relight` and `key`: a board turned into another.

use super::{LightArgument, in_range, keep};
use crate::cli::CliError;
use crate::cli::source::board_of;
use clap::Args;
use std::io::Write;
use std::path::PathBuf;
use stint_model::board::LightOfDay;
use stint_model::variation::Variation;
use stint_model::variation::{key::key, relight::relight, turn::turn};

/// Turn all hues of a board and keep the result as a new board
#[derive(Args, Debug)]
pub(super) struct Turn {
    /// A .board.ron, .css or .json file, a .stint study, or a PNG that carries a board
    file: PathBuf,
    /// Degrees, -180 to 180; positive turns red towards yellow
    #[arg(long, allow_negative_numbers = true, value_parser = in_range::<-180, 180>)]
    degrees: f32,
    #[command(flatten)]
    kept: Kept,
}

/// Move a board to another light and keep the result as a new board
#[derive(Args, Debug)]
pub(super) struct Relight {
    /// A .board.ron, .css or .json file, a .stint study, or a PNG that carries a board
    file: PathBuf,
    /// Correlated colour temperature of the light: about 3000 for a lamp, 6504 for no change, 12000 for blue hour
    #[arg(long, value_parser = in_range::<1700, 25000>)]
    kelvin: f32,
    #[command(flatten)]
    kept: Kept,
}

/// Spread or shift the values of a board and keep the result as a new board
#[derive(Args, Debug)]
pub(super) struct Key {
    /// A .board.ron, .css or .json file, a .stint study, or a PNG that carries a board
    file: PathBuf,
    /// Distance of each value from the mean, as a multiple; 1 keeps it
    #[arg(long, default_value_t = 1.0, value_parser = in_range::<0, 3>)]
    spread: f32,
    /// Added to each value, in Munsell values
    #[arg(long, default_value_t = 0.0, allow_negative_numbers = true, value_parser = in_range::<-10, 10>)]
    shift: f32,
    #[command(flatten)]
    kept: Kept,
}

/// Where a variation goes.
#[derive(Args, Debug)]
struct Kept {
    /// Name of the new board [default: that of the old one]
    #[arg(long)]
    name: Option<String>,
    /// Light of the day of the new board [default: that of the old one]
    #[arg(long, value_enum)]
    light: Option<LightArgument>,
    /// Board file to write; without it the board goes to standard output
    #[arg(short, long)]
    out: Option<PathBuf>,
}

impl Kept {
    fn keep(self, variation: Variation, out: &mut dyn Write) -> Result<(), CliError> {
        let Variation { mut board, gave_way } = variation;
        board.name = self.name.unwrap_or(board.name);
        board.light = self.light.map_or(board.light, LightOfDay::from);
        if gave_way > 0 {
            let swatches = if gave_way == 1 { "swatch" } else { "swatches" };
            crate::cli::say(&format_args!("{gave_way} {swatches} lay outside sRGB and had to give way"));
        }
        keep(&board, self.out.as_deref(), out)
    }
}

impl Turn {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        self.kept.keep(turn(&board_of(&self.file)?, self.degrees)?, out)
    }
}

impl Relight {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        self.kept.keep(relight(&board_of(&self.file)?, self.kelvin)?, out)
    }
}

impl Key {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        self.kept.keep(key(&board_of(&self.file)?, self.spread, self.shift)?, out)
    }
}
