//! `stint board`: propose, show and review a board.

use super::CliError;
use super::source::{Kind, board_of, photo_of, replaceable};
use clap::{Args, Subcommand, ValueEnum};
use serde::Serialize;
use std::io::Write;
use std::path::{Path, PathBuf};
use stint_model::board::file::{board_text, write_board};
use stint_model::board::review::review;
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::colour::warmth::warmth;
use stint_model::photo::{Adjustments, Outline, propose_board, trio};
use stint_model::variation::Variation;
use stint_model::variation::{key::key, relight::relight, turn::turn};

/// Propose, show and review boards
#[derive(Args, Debug)]
pub struct BoardArguments {
    #[command(subcommand)]
    command: BoardCommand,
}

#[derive(Subcommand, Debug)]
enum BoardCommand {
    From(From),
    /// Show the swatches of a board file, a study, or an exported PNG
    Show(Look),
    Turn(Turn),
    Relight(Relight),
    Key(Key),
    /// Say what a careful colourist would question in a board
    Review(Look),
}

/// Propose a board from a photo
#[derive(Args, Debug)]
struct From {
    /// The photo
    photo: PathBuf,
    /// Number of surfaces to look for, when no outline is given
    #[arg(long, default_value_t = 6)]
    families: usize,
    /// A surface to pick from: NAME=x,y x,y x,y … in photo pixels; may be given several times
    #[arg(long)]
    outline: Vec<String>,
    /// Turn of all hues, degrees
    #[arg(long, default_value_t = 0.0, allow_negative_numbers = true, value_parser = in_range::<-180, 180>)]
    hue_turn: f32,
    /// Gaussian that softens camera specks, photo pixels (0 to 3)
    #[arg(long, default_value_t = 0.5, value_parser = in_range::<0, 3>)]
    soften: f32,
    /// The light of the day
    #[arg(long, value_enum, default_value_t)]
    light: LightArgument,
    /// Name of the board [default: that of the photo]
    #[arg(long)]
    name: Option<String>,
    /// Board file to write; without it the board goes to standard output
    #[arg(short, long)]
    out: Option<PathBuf>,
}

/// A board to look at.
#[derive(Args, Debug)]
struct Look {
    /// A .board.ron, a .stint study, or a PNG exported by Stint
    file: PathBuf,
    /// As JSON
    #[arg(long)]
    json: bool,
}

/// Turn all hues of a board and keep the result as a new board
#[derive(Args, Debug)]
struct Turn {
    /// A .board.ron, a .stint study, or a PNG exported by Stint
    file: PathBuf,
    /// Degrees, -180 to 180; positive turns red towards yellow
    #[arg(long, allow_negative_numbers = true, value_parser = in_range::<-180, 180>)]
    degrees: f32,
    #[command(flatten)]
    kept: Kept,
}

/// Move a board to another light and keep the result as a new board
#[derive(Args, Debug)]
struct Relight {
    /// A .board.ron, a .stint study, or a PNG exported by Stint
    file: PathBuf,
    /// Correlated colour temperature of the light: about 3000 for a lamp, 6504 for no change, 12000 for blue hour
    #[arg(long, value_parser = in_range::<1700, 25000>)]
    kelvin: f32,
    #[command(flatten)]
    kept: Kept,
}

/// Spread or shift the values of a board and keep the result as a new board
#[derive(Args, Debug)]
struct Key {
    /// A .board.ron, a .stint study, or a PNG exported by Stint
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
            super::say(&format_args!("{gave_way} {swatches} lay outside sRGB and had to give way"));
        }
        keep(&board, self.out.as_deref(), out)
    }
}

impl std::convert::From<LightArgument> for LightOfDay {
    fn from(argument: LightArgument) -> Self {
        match argument {
            LightArgument::Warm => LightOfDay::Warm,
            LightArgument::Cool => LightOfDay::Cool,
            LightArgument::Neutral => LightOfDay::Neutral,
        }
    }
}

/// Writes a board to a file, with the remarks on it to standard output; or the board itself to standard output.
fn keep(board: &Board, path: Option<&Path>, out: &mut dyn Write) -> Result<(), CliError> {
    match path {
        None => Ok(write!(out, "{}", board_text(board))?),
        Some(path) => {
            replaceable(path, Kind::Board)?;
            write_board(path, board)?;
            writeln!(out, "wrote {} with {} swatches", path.display(), board.swatches().count())?;
            remarks(board, false, out)
        }
    }
}

#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum LightArgument {
    Warm,
    Cool,
    #[default]
    Neutral,
}

fn in_range<const LOW: i32, const HIGH: i32>(text: &str) -> Result<f32, String> {
    let value: f32 = text.parse().map_err(|_| format!("\"{text}\" is not a number"))?;
    if (LOW as f32..=HIGH as f32).contains(&value) {
        Ok(value)
    } else {
        Err(format!("give a number from {LOW} to {HIGH}"))
    }
}

impl BoardArguments {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        match self.command {
            BoardCommand::From(from) => from.run(out),
            BoardCommand::Turn(t) => t.kept.keep(turn(&board_of(&t.file)?, t.degrees)?, out),
            BoardCommand::Relight(r) => r.kept.keep(relight(&board_of(&r.file)?, r.kelvin)?, out),
            BoardCommand::Key(k) => k.kept.keep(key(&board_of(&k.file)?, k.spread, k.shift)?, out),
            BoardCommand::Show(look) => show(&board_of(&look.file)?, look.json, out),
            BoardCommand::Review(look) => remarks(&board_of(&look.file)?, look.json, out),
        }
    }
}

impl From {
    fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let photo = photo_of(&self.photo)?;
        let view = photo.view(Adjustments { hue_turn: self.hue_turn, soften: self.soften });
        let stem = self.photo.file_stem().map_or_else(|| "board".to_owned(), |s| s.to_string_lossy().into_owned());
        let name = self.name.unwrap_or(stem);
        let light = LightOfDay::from(self.light);
        let mut board = if self.outline.is_empty() {
            propose_board(&view, self.families, &name)?
        } else {
            let mut board = Board::new(&name, light);
            for text in &self.outline {
                let (family, outline) = parse_outline(text)?;
                let found = trio(&view, &Outline::new(outline)?)?;
                let tones = [
                    (Role::Light, found.light.colour),
                    (Role::Local, found.local.colour),
                    (Role::Shadow, found.shadow.colour),
                ];
                board = board.with_trio(family, tones, &[]).map_err(crate::session::SessionError::from)?;
            }
            board
        };
        board.light = light;
        keep(&board, self.out.as_deref(), out)
    }
}

/// `NAME=x,y x,y x,y`.
fn parse_outline(text: &str) -> Result<(&str, Vec<[f32; 2]>), CliError> {
    let refused = || CliError::Outline(text.to_owned());
    let (name, points) = text.split_once('=').ok_or_else(refused)?;
    let point = |p: &str| {
        let (x, y) = p.split_once(',')?;
        Some([x.trim().parse().ok()?, y.trim().parse().ok()?])
    };
    let points = points.split_whitespace().map(point).collect::<Option<Vec<_>>>().ok_or_else(refused)?;
    Ok((name.trim(), points))
}

/// One swatch as `board show` tells of it.
#[derive(Serialize)]
struct Line<'a> {
    family: &'a str,
    role: Role,
    name: &'a str,
    hex: String,
    /// Munsell value, 0-10.
    value: f32,
    /// OKLCh chroma.
    chroma: f32,
    /// Coordinate on the warmth axis; only differences mean something.
    warmth: f32,
}

fn show(board: &Board, json: bool, out: &mut dyn Write) -> Result<(), CliError> {
    let lines: Vec<_> = board
        .swatches()
        .map(|(family, swatch)| Line {
            family: &family.name,
            role: swatch.role,
            name: &swatch.name,
            hex: swatch.colour.hex(),
            value: swatch.colour.munsell_value(),
            chroma: swatch.colour.oklch().c,
            warmth: warmth(swatch.colour),
        })
        .collect();
    if json {
        let value = serde_json::json!({ "name": board.name, "light": board.light, "swatches": lines });
        return super::readout::json(&value, out);
    }
    writeln!(out, "{}, {} light, {} swatches", board.name, board.light.word(), lines.len())?;
    let mut family = "";
    for line in &lines {
        if line.family != family {
            family = line.family;
            writeln!(out, "\n{family}")?;
        }
        writeln!(
            out,
            "  {:<7} {}  value {:4.1}  chroma {:.3}  warmth {:+.3}  {}",
            line.role.word(),
            line.hex,
            line.value,
            line.chroma,
            line.warmth,
            line.name
        )?;
    }
    Ok(())
}

fn remarks(board: &Board, json: bool, out: &mut dyn Write) -> Result<(), CliError> {
    let remarks = review(board);
    if json {
        return super::readout::json(&remarks, out);
    }
    if remarks.is_empty() {
        writeln!(out, "no remarks")?;
    }
    for remark in remarks {
        writeln!(out, "{}", remark.text)?;
    }
    Ok(())
}
