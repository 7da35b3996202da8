//! `stint board from`: a board from a photo, or from a file that holds a board in any form.

use super::{LightArgument, Target, in_range, keep};
use crate::cli::CliError;
use crate::cli::source::{Kind, board_of, kind_of, photo_of};
use crate::files::kind::KindError;
use crate::files::names::stem;
use crate::study::session::SessionError;
use clap::Args;
use std::io::Write;
use std::path::PathBuf;
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::photo::{Adjustments, Outline, PixelRect, propose_board, trio};
use stint_model::picture::PictureError;

/// Number of surfaces to look for in a photo, when nobody says.
const FAMILIES: usize = 6;
/// Gaussian that softens camera specks, photo pixels, when nobody says.
const SOFTEN: f32 = 0.5;

/// Propose a board from a photo, or take the board out of another file
#[derive(Args, Debug)]
pub(super) struct From {
    /// A photo; or a study, a PNG that carries a board, a style sheet (.css), design tokens (.json) or a board file
    file: PathBuf,
    /// Number of surfaces to look for in a photo, when no outline is given [default: 6]
    #[arg(long)]
    families: Option<usize>,
    /// A surface of a photo to pick from: NAME=x,y x,y x,y … in photo pixels; may be given several times
    #[arg(long)]
    outline: Vec<String>,
    /// Turn of all hues of a photo, degrees [default: 0]
    #[arg(long, allow_negative_numbers = true, value_parser = in_range::<-180, 180>)]
    hue_turn: Option<f32>,
    /// Gaussian that softens camera specks, photo pixels (0 to 3) [default: 0.5]
    #[arg(long, value_parser = in_range::<0, 3>)]
    soften: Option<f32>,
    /// Light added to a photo, stops: each doubles it (-3 to 3) [default: 0]
    #[arg(long, allow_negative_numbers = true, value_parser = in_range::<-3, 3>)]
    exposure: Option<f32>,
    /// Contrast of a photo: slope of the values about a middle grey (0.5 to 2) [default: 1]
    #[arg(long, value_parser = slope)]
    contrast: Option<f32>,
    /// Use this part of a photo alone, photo pixels: LEFT,TOP,WIDTH,HEIGHT; outlines keep the places of the whole photo
    #[arg(long, value_parser = part)]
    crop: Option<PixelRect>,
    /// Read a picture of flat swatches on a plain ground, families by columns or rows, instead of a photo
    #[arg(long, conflicts_with_all = ["families", "outline", "hue_turn", "soften", "exposure", "contrast", "crop"])]
    swatches: bool,
    /// The light of the day [default: what the file says, neutral for a photo]
    #[arg(long, value_enum)]
    light: Option<LightArgument>,
    /// Name of the board [default: what the file says, or its name]
    #[arg(long)]
    name: Option<String>,
    #[command(flatten)]
    target: Target,
}

impl From {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let mut board = match kind_of(&self.file) {
            Ok(Kind::Other) | Err(_) if self.swatches => super::swatches::board(&self.file, self.name.as_deref())?,
            Ok(Kind::Other) => self.proposed()?,
            Ok(_) => self.taken()?,
            // There is a board in it, which must not be passed over.
            Err(error @ KindError::Picture(PictureError::Attached { .. } | PictureError::DamagedBoard { .. })) => {
                return Err(error.into());
            }
            // The reader of photos says best what is wrong.
            Err(_) => self.proposed()?,
        };
        if let Some(light) = self.light {
            board.light = LightOfDay::from(light);
        }
        if let Some(name) = self.name {
            board.name = name;
        }
        keep(&board, &self.target, out)
    }

    fn taken(&self) -> Result<Board, CliError> {
        for (given, argument) in [
            (self.families.is_some(), "--families"),
            (!self.outline.is_empty(), "--outline"),
            (self.hue_turn.is_some(), "--hue-turn"),
            (self.soften.is_some(), "--soften"),
            (self.exposure.is_some(), "--exposure"),
            (self.contrast.is_some(), "--contrast"),
            (self.crop.is_some(), "--crop"),
        ] {
            if given {
                return Err(CliError::OnlyForPhotos { path: self.file.clone(), argument });
            }
        }
        board_of(&self.file)
    }

    fn proposed(&self) -> Result<Board, CliError> {
        let photo = photo_of(&self.file)?;
        if let Some(part) = self.crop
            && part.within(photo.width_px(), photo.height_px()) != Some(part)
        {
            let (width_px, height_px) = (photo.width_px(), photo.height_px());
            return Err(SessionError::Crop { width_px, height_px, least: 1 }.into());
        }
        let adjustments = Adjustments {
            hue_turn_degrees: self.hue_turn.unwrap_or(0.0),
            soften_px: self.soften.unwrap_or(SOFTEN),
            exposure_stops: self.exposure.unwrap_or(0.0),
            contrast: self.contrast.unwrap_or(1.0),
            crop: self.crop,
        };
        let view = photo.view(adjustments);
        let name = self.name.clone().unwrap_or_else(|| stem(&self.file));
        if self.outline.is_empty() {
            return Ok(propose_board(&view, self.families.unwrap_or(FAMILIES), &name)?);
        }
        let mut board = Board::new(&name, LightOfDay::default());
        for text in &self.outline {
            let (family, outline) = parse_outline(text)?;
            let found = trio(&view, &Outline::new(outline)?)?;
            let tones = [
                (Role::Light, found.light.colour),
                (Role::Local, found.local.colour),
                (Role::Shadow, found.shadow.colour),
            ];
            board = board.with_trio(family, tones, &[]).map_err(SessionError::from)?;
        }
        Ok(board)
    }
}

/// A slope of values.
fn slope(text: &str) -> Result<f32, String> {
    let value: f32 = text.parse().map_err(|_| format!("\"{text}\" is not a number"))?;
    if (0.5..=2.0).contains(&value) { Ok(value) } else { Err("give a number from 0.5 to 2".to_owned()) }
}

/// A part of a photo, written `LEFT,TOP,WIDTH,HEIGHT`.
fn part(text: &str) -> Result<PixelRect, String> {
    let numbers: Option<Vec<u32>> = text.split(',').map(|n| n.trim().parse().ok()).collect();
    match numbers.as_deref() {
        Some(&[x, y, width_px, height_px]) if width_px > 0 && height_px > 0 => {
            Ok(PixelRect { x, y, width_px, height_px })
        }
        _ => Err(format!("\"{text}\" is no part of a photo; write LEFT,TOP,WIDTH,HEIGHT in whole pixels")),
    }
}

/// The name of a surface and the corners of its outline in photo pixels, written `NAME=x,y x,y x,y`.
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
