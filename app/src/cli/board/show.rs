//! `stint board show`: the swatches of a board.

use crate::cli::CliError;
use crate::cli::source::board_of;
use clap::Args;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;
use stint_model::board::{Board, Role};
use stint_model::colour::warmth::warmth;

/// Show the swatches of a board file, a study, or an exported PNG
#[derive(Args, Debug)]
pub(super) struct Show {
    /// A .board.ron, .css or .json file, a .stint study, or a PNG that carries a board
    file: PathBuf,
    /// As JSON
    #[arg(long)]
    json: bool,
}

impl Show {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        show(&board_of(&self.file)?, self.json, out)
    }
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
        return crate::cli::report::json(&value, out);
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
