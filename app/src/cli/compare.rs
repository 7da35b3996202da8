//! `stint compare`: a painting held against its photo.

use super::report::{json, percent};
use super::source::photo_of;
use super::{CliError, EngineArgument};
use crate::study::session::Session;
use clap::Args;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;
use std::sync::Arc;
use stint_model::colour::Colour;
use stint_model::colour::warmth::{warmer_by, warmth};
use stint_model::comparison::{Compared, Comparison, FoundBy};

/// Hold a painting against its photo, surface by surface: value, warmth and strength of colour
///
/// What holds for the whole picture is told first and apart: a study in another key is not called wrong for it.
#[derive(Args, Debug)]
pub struct Compare {
    /// A .stint study
    file: PathBuf,
    /// Hold it against this photo instead of the study's own
    #[arg(long)]
    photo: Option<PathBuf>,
    /// As JSON, with all figures
    #[arg(long)]
    json: bool,
    /// The engine that shows the painting
    // One look at each tile: opening a graphics device would take longer.
    #[arg(long, value_enum, default_value = "cpu")]
    engine: EngineArgument,
}

impl Compare {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let mut session = Session::open_read_only(&self.file, self.engine.into())?;
        let source = match &self.photo {
            Some(path) => session.comparison_source_with(Arc::new(photo_of(path)?))?,
            None => session.comparison_source()?,
        };
        let found = source.compare(None).comparison;
        if self.json { json(&ComparisonJson::of(&found), out) } else { Ok(text(&found, out)?) }
    }
}

fn text(found: &Comparison, out: &mut dyn Write) -> std::io::Result<()> {
    if found.surfaces.is_empty() {
        writeln!(out, "nothing is painted yet that the photo shows")?;
    }
    for sentence in found.whole_sentences() {
        writeln!(out, "{sentence}")?;
    }
    for surface in &found.surfaces {
        writeln!(out, "{} {}", percent(surface.share), surface.sentence())?;
        writeln!(out, "          {}", surface.figures())?;
    }
    if !found.bare.is_empty() {
        writeln!(out, "Not painted yet: {}", found.bare.join(", "))?;
    }
    Ok(())
}

/// A colour in figures.
#[derive(Serialize)]
struct ColourJson {
    hex: String,
    /// Munsell value, 0-10.
    value: f32,
    /// OKLCh chroma.
    chroma: f32,
    /// Coordinate on the warmth axis; only differences mean something.
    warmth: f32,
}

impl ColourJson {
    fn of(colour: Colour) -> Self {
        ColourJson {
            hex: colour.hex(),
            value: colour.munsell_value(),
            chroma: colour.oklch().c,
            warmth: warmth(colour),
        }
    }
}

/// Differences in figures: Munsell values and OKLab units.
#[derive(Serialize)]
struct DifferenceJson {
    value: f64,
    warmth: f64,
    chroma: f64,
}

/// A surface in figures.
#[derive(Serialize)]
struct SurfaceJson<'a> {
    name: &'a str,
    found_by: FoundBy,
    /// Of the canvas, 0-1.
    share: f64,
    /// Of the surface, 0-1.
    painted: f64,
    photo: ColourJson,
    painting: ColourJson,
    /// Painting less photo.
    difference: DifferenceJson,
    /// The same beside what holds for the whole picture; strength is told where it is the only cause, else warmth and redness.
    off: OffJson,
    sentence: String,
}

#[derive(Serialize)]
struct OffJson {
    value: f64,
    warmth: f64,
    redness: f64,
    chroma: f64,
    ciede2000: f64,
}

/// What was found, in figures.
#[derive(Serialize)]
struct ComparisonJson<'a> {
    whole: WholeJson,
    surfaces: Vec<SurfaceJson<'a>>,
    not_painted: &'a [String],
}

#[derive(Serialize)]
struct WholeJson {
    value: f64,
    warmth: f64,
    /// 1 is as strong as the photo.
    strength: f64,
    sentences: Vec<String>,
}

impl<'a> ComparisonJson<'a> {
    fn of(found: &'a Comparison) -> Self {
        let whole = WholeJson {
            value: found.whole.value_munsell,
            warmth: found.whole.warmth,
            strength: found.whole.strength,
            sentences: found.whole_sentences(),
        };
        let surfaces = found.surfaces.iter().map(surface).collect();
        ComparisonJson { whole, surfaces, not_painted: &found.bare }
    }
}

fn surface(surface: &Compared) -> SurfaceJson<'_> {
    let Compared { photo, painting, off, .. } = surface;
    SurfaceJson {
        name: &surface.name,
        found_by: surface.found_by,
        share: surface.share,
        painted: surface.painted,
        photo: ColourJson::of(*photo),
        painting: ColourJson::of(*painting),
        difference: DifferenceJson {
            value: f64::from(painting.munsell_value()) - f64::from(photo.munsell_value()),
            warmth: f64::from(warmer_by(*painting, *photo)),
            chroma: f64::from(painting.oklch().c) - f64::from(photo.oklch().c),
        },
        off: OffJson {
            value: off.value_munsell,
            warmth: off.warmth,
            redness: off.redness,
            chroma: off.chroma,
            ciede2000: off.delta_e,
        },
        sentence: surface.sentence(),
    }
}
