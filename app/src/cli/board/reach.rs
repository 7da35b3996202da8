//! `stint board reach`: what the mixtures of a board reach.

use crate::cli::report::{json, percent};
use crate::cli::source::{Kind, board_of, kind_of, photo_of};
use crate::cli::{CliError, EngineArgument};
use crate::study::session::Session;
use clap::Args;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;
use std::sync::Arc;
use stint_model::board::Board;
use stint_model::board_match::reach::{PhotoReach, Reach};
use stint_model::colour::warmth::warmth;
use stint_model::disk;
use stint_model::mixing::Mixing;
use stint_model::photo::{Adjustments, Photo};

/// Say what the mixtures of a board reach: how much of three values, how much of a photo, and the swatch that would reach most more
#[derive(Args, Debug)]
pub(super) struct ReachArguments {
    /// A .board.ron, .css or .json file, a kept board, a .stint study, or a PNG that carries a board
    file: PathBuf,
    /// The photo to be reached; for a study it is its own unless another is named
    #[arg(long)]
    photo: Option<PathBuf>,
    /// As JSON, with shares as fractions of 1
    #[arg(long)]
    json: bool,
}

/// What is reached, in figures.
#[derive(Serialize)]
struct ReachJson<'a> {
    board: &'a str,
    mixing: Mixing,
    values: Vec<ValueJson>,
    photo: Option<PhotoJson>,
}

/// One value.
#[derive(Serialize)]
struct ValueJson {
    /// Munsell value.
    value: f32,
    /// Of what sRGB shows at this value.
    share_of_srgb: f64,
}

/// A photo.
#[derive(Serialize)]
struct PhotoJson {
    name: String,
    share: f64,
    addition: Option<AdditionJson>,
}

/// The swatch that would reach most more.
#[derive(Serialize)]
struct AdditionJson {
    words: String,
    hex: String,
    value: f32,
    chroma: f32,
    warmth: f32,
    gain: f64,
}

/// A photo as it is seen, and its name.
type NamedPhoto = (Arc<Photo>, Adjustments, String);

impl ReachArguments {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let board = board_of(&self.file)?;
        let (mixing, own) = self.of_study()?;
        let Some(reach) = Reach::of(&board, mixing) else { return Err(CliError::EmptyBoard(self.file)) };
        let photo = match &self.photo {
            Some(path) => Some((Arc::new(photo_of(path)?), Adjustments::default(), name_of(path))),
            None => own,
        };
        let found = photo.and_then(|(photo, adjustments, name)| {
            Some((PhotoReach::of(&board, mixing, &photo.view(adjustments))?, name))
        });
        if self.json {
            json(&figures(&board, mixing, &reach, found), out)
        } else {
            Ok(text(&board, &reach, found, out)?)
        }
    }

    /// How a study mixes, and its photo; the model of new studies for what is none.
    fn of_study(&self) -> Result<(Mixing, Option<NamedPhoto>), CliError> {
        // What is no file is a kept board.
        if !disk::is_file(&self.file) || kind_of(&self.file)? != Kind::Study {
            return Ok((Mixing::default(), None));
        }
        let mut session = Session::open_read_only(&self.file, EngineArgument::Cpu.into())?;
        let mixing = session.document().mixing;
        let Some(name) = session.document().reference.as_ref().map(|r| r.name.clone()) else {
            return Ok((mixing, None));
        };
        let (photo, adjustments) = session.reference()?;
        Ok((mixing, Some((photo, adjustments, name))))
    }
}

fn name_of(path: &std::path::Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

fn text(board: &Board, reach: &Reach, photo: Option<(PhotoReach, String)>, out: &mut dyn Write) -> std::io::Result<()> {
    writeln!(out, "Of the colours a screen shows, \"{}\" mixes", board.name)?;
    for slice in &reach.slices {
        writeln!(out, "{} at value {:.0}", percent(slice.of_srgb), slice.value_munsell)?;
    }
    if let Some((found, name)) = photo {
        writeln!(out, "\n{} of {name} within reach", percent(found.share))?;
        match found.addition {
            Some(more) => writeln!(out, "{} more with {}, {}", percent(more.gain), more.words, more.colour.hex())?,
            None => writeln!(out, "  no single swatch would reach much more of it")?,
        }
    }
    Ok(())
}

fn figures<'a>(board: &'a Board, mixing: Mixing, reach: &Reach, photo: Option<(PhotoReach, String)>) -> ReachJson<'a> {
    let value = |slice: &stint_model::board_match::reach::Slice| ValueJson {
        value: slice.value_munsell,
        share_of_srgb: slice.of_srgb,
    };
    let photo = photo.map(|(found, name)| PhotoJson {
        name,
        share: found.share,
        addition: found.addition.map(|more| AdditionJson {
            hex: more.colour.hex(),
            value: more.colour.munsell_value(),
            chroma: more.colour.oklch().c,
            warmth: warmth(more.colour),
            gain: more.gain,
            words: more.words,
        }),
    });
    ReachJson { board: &board.name, mixing, values: reach.slices.iter().map(value).collect(), photo }
}
