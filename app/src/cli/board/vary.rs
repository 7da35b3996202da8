//! `stint board turn`, `relight` and `key`: a board turned into another.

use super::{LightArgument, Target, in_range, keep};
use crate::cli::CliError;
use crate::cli::source::{board_of, photo_of};
use crate::study::session::SessionError;
use clap::Args;
use std::io::Write;
use std::path::{Path, PathBuf};
use stint_model::board::LightOfDay;
use stint_model::colour::Xyz;
use stint_model::photo::{Adjustments, pick};
use stint_model::variation::Variation;
use stint_model::variation::compose::AS_IT_IS_KELVIN;
use stint_model::variation::relight::{White, relight, relight_to};
use stint_model::variation::{key::key, turn::turn};

/// Width of the loupe that looks for a white, photo pixels.
const APERTURE_PX: u32 = 9;

/// Turn all hues of a board and keep the result as a new board
#[derive(Args, Debug)]
pub(super) struct Turn {
    /// A .board.ron, .css or .json file, a .stint study, or a PNG that carries a board
    file: PathBuf,
    /// Degrees, -180 to 180; positive turns red towards yellow
    #[arg(long, allow_negative_numbers = true, value_parser = in_range::<-180, 180>)]
    degrees: f32,
    #[command(flatten)]
    new_board: NewBoard,
}

/// Move a board to another light and keep the result as a new board
#[derive(Args, Debug)]
pub(super) struct Relight {
    /// A .board.ron, .css or .json file, a .stint study, or a PNG that carries a board
    file: PathBuf,
    /// Correlated colour temperature of the light: about 3000 for a lamp, 6504 for no change, 12000 for blue hour; a
    /// glowing body up to 4000, daylight from 5000, a blend of both between
    #[arg(long, value_parser = in_range::<1700, 25000>, required_unless_present = "white", conflicts_with = "white")]
    kelvin: Option<f32>,
    /// A photo with something in it that is white by daylight: the board moves to the light it is in
    #[arg(long, value_name = "PHOTO", requires = "at")]
    white: Option<PathBuf>,
    /// Where that is: column and row, photo pixels
    #[arg(long, value_name = "X,Y", value_parser = place, requires = "white")]
    at: Option<(u32, u32)>,
    #[command(flatten)]
    new_board: NewBoard,
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
    new_board: NewBoard,
}

/// Where a variation goes.
#[derive(Args, Debug)]
struct NewBoard {
    /// Name of the new board [default: that of the old one]
    #[arg(long)]
    name: Option<String>,
    /// Light of the day of the new board [default: that of the old one]
    #[arg(long, value_enum)]
    light: Option<LightArgument>,
    #[command(flatten)]
    target: Target,
}

impl NewBoard {
    fn keep(self, variation: Variation, out: &mut dyn Write) -> Result<(), CliError> {
        let Variation { mut board, moved_into_gamut } = variation;
        board.name = self.name.unwrap_or(board.name);
        board.light = self.light.map_or(board.light, LightOfDay::from);
        if moved_into_gamut > 0 {
            let swatches = if moved_into_gamut == 1 { "swatch" } else { "swatches" };
            crate::cli::say(&format_args!("{moved_into_gamut} {swatches} lay outside sRGB and had to give way"));
        }
        keep(&board, &self.target, out)
    }
}

/// A place on a photo, column and row, written `x,y`.
fn place(text: &str) -> Result<(u32, u32), String> {
    let place = text.split_once(',').and_then(|(x, y)| Some((x.trim().parse().ok()?, y.trim().parse().ok()?)));
    place.ok_or_else(|| format!("\"{text}\" is not a column and a row; write them as 120,80"))
}

/// The chromaticity of a spot of a photo that is white by daylight.
fn white_at(photo: &Path, at: (u32, u32)) -> Result<White, CliError> {
    let photo = photo_of(photo)?;
    let seen = pick(&photo.view(Adjustments::default()), at.0, at.1, APERTURE_PX).map_err(SessionError::from)?;
    let Xyz { x, y, z } = seen.xyz();
    let sum = x + y + z;
    White::like(seen).ok_or(CliError::Session(SessionError::NotAWhite(x / sum, y / sum)))
}

impl Turn {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        self.new_board.keep(turn(&board_of(&self.file)?, self.degrees)?, out)
    }
}

impl Relight {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let board = board_of(&self.file)?;
        let variation = match (self.kelvin, self.white, self.at) {
            (_, Some(photo), Some(at)) => relight_to(&board, white_at(&photo, at)?),
            (kelvin, ..) => relight(&board, kelvin.unwrap_or(AS_IT_IS_KELVIN))?,
        };
        self.new_board.keep(variation, out)
    }
}

impl Key {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        self.new_board.keep(key(&board_of(&self.file)?, self.spread, self.shift)?, out)
    }
}
