//! `stint board from`: a board from a photo.

use super::{LightArgument, in_range, keep};
use crate::cli::CliError;
use crate::cli::source::photo_of;
use clap::Args;
use std::io::Write;
use std::path::PathBuf;
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::photo::{Adjustments, Outline, propose_board, trio};

/// Propose a board from a photo
#[derive(Args, Debug)]
pub(super) struct From {
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
    /// Read a picture of flat swatches on a plain ground, families by columns or rows, instead of a photo
    #[arg(long, conflicts_with_all = ["families", "outline", "hue_turn", "soften"])]
    swatches: bool,
    /// The light of the day [default: neutral]
    #[arg(long, value_enum)]
    light: Option<LightArgument>,
    /// Name of the board [default: that of the photo]
    #[arg(long)]
    name: Option<String>,
    /// Board file to write; without it the board goes to standard output
    #[arg(short, long)]
    out: Option<PathBuf>,
}

impl From {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        if self.swatches {
            let mut board = super::swatches::board(&self.photo, self.name.as_deref())?;
            board.light = self.light.map_or(board.light, LightOfDay::from);
            return keep(&board, self.out.as_deref(), out);
        }
        let photo = photo_of(&self.photo)?;
        let view = photo.view(Adjustments { hue_turn: self.hue_turn, soften: self.soften });
        let stem = self.photo.file_stem().map_or_else(|| "board".to_owned(), |s| s.to_string_lossy().into_owned());
        let name = self.name.unwrap_or(stem);
        let light = self.light.map_or(LightOfDay::Neutral, LightOfDay::from);
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
