//! `stint board keep`, `list`, `rename`, `duplicate`, `discard` and `restore`: the boards kept outside studies.

use super::{LightArgument, colour};
use crate::cli::CliError;
use crate::cli::source::{Kind, board_of, kind_of, photo_of};
use crate::files::library::{Entry, Hit, Library, Order, Palette, Query, search, thumbnail};
use crate::study::keep_board;
use crate::study::session::Session;
use clap::{Args, ValueEnum};
use serde_json::{Value, json};
use std::io::Write;
use std::path::{Path, PathBuf};
use stint_model::board::LightOfDay;
use stint_model::colour::Colour;
use stint_model::disk;
use stint_model::photo::Adjustments;
use stint_render::choose::EngineChoice;

/// Keep a board in the library, outside any study
#[derive(Args, Debug)]
pub(super) struct Keep {
    /// A .board.ron, a .stint study, or a PNG exported by Stint
    file: PathBuf,
    /// The photo it was picked from [default: the reference of the study]
    #[arg(long)]
    photo: Option<PathBuf>,
    /// Name to keep it under [default: its own]
    #[arg(long)]
    name: Option<String>,
}

impl Keep {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let mut library = Library::open(None);
        let is_study = disk::exists(&self.file) && kind_of(&self.file)? == Kind::Study;
        let mut board = board_of(&self.file)?;
        let mut small = None;
        if let Some(path) = &self.photo {
            board.photo = name_of(path);
            small = Some(thumbnail(&photo_of(path)?, Adjustments::default()));
        } else if is_study {
            let mut study = Session::open_read_only(&self.file, EngineChoice::Cpu)?;
            let (photo, picture) = keep_board::photo_of(&mut study);
            if !photo.is_empty() {
                board.photo = photo;
            }
            small = picture;
        }
        board.name = self.name.unwrap_or(board.name);
        let path = library.keep(&board, small.as_ref())?;
        let kept = library.find(&name_of(&path))?;
        Ok(writeln!(out, "kept \"{}\" in {}", kept.name, path.display())?)
    }
}

/// In which order boards are listed that nothing ranks.
#[derive(Clone, Copy, Debug, Default, ValueEnum)]
enum OrderArgument {
    /// The latest date first
    #[default]
    Newest,
    /// The earliest date first
    Oldest,
    /// By name
    Name,
}

/// List the kept boards that fit, the best first
#[derive(Args, Debug)]
pub(super) struct List {
    /// Words that occur in the names of board, families or photo
    #[arg(long, default_value = "")]
    words: String,
    /// Only boards under this light of the day
    #[arg(long, value_enum)]
    light: Option<LightArgument>,
    /// Rank by how near a swatch comes to this colour, #rrggbb (CIEDE2000)
    #[arg(long, value_parser = colour)]
    near: Option<Colour>,
    /// Rank by how like a board is to the one proposed for this photo (mean CIEDE2000)
    #[arg(long)]
    like: Option<PathBuf>,
    /// Order of boards that are not ranked
    #[arg(long, value_enum, default_value_t)]
    order: OrderArgument,
    /// As JSON
    #[arg(long)]
    json: bool,
}

impl List {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let like = match &self.like {
            Some(path) => Some(Palette::of_photo(&photo_of(path)?)?),
            None => None,
        };
        let order = match self.order {
            OrderArgument::Newest => Order::Newest,
            OrderArgument::Oldest => Order::Oldest,
            OrderArgument::Name => Order::Name,
        };
        let light = self.light.map(LightOfDay::from);
        let query = Query { words: self.words, light, near: self.near, like, order };
        let mut library = Library::open(None);
        let folder = library.folder().display().to_string();
        let entries = library.entries()?;
        let hits = search(entries, &query);
        let found = hits.iter().map(|hit| (&entries[hit.place], hit));
        if self.json {
            return crate::cli::report::json(&found.map(|(e, h)| as_json(e, h)).collect::<Vec<_>>(), out);
        }
        if hits.is_empty() {
            let why = if entries.is_empty() { "no board is kept yet" } else { "no kept board fits" };
            crate::cli::say(&format_args!("{why}; they lie in {folder}"));
        }
        let width = found.clone().map(|(e, _)| e.name.chars().count()).max().unwrap_or(0).min(40);
        for (entry, hit) in found {
            writeln!(out, "{}", line(entry, hit, width))?;
        }
        Ok(())
    }
}

fn line(entry: &Entry, hit: &Hit, width: usize) -> String {
    let name = &entry.name;
    let kept = match &entry.content {
        Ok(kept) => kept,
        Err(why) => return format!("{name:<width$}  broken: {why}"),
    };
    let date = if kept.board.date.is_empty() { "no date" } else { &kept.board.date };
    let light = kept.board.light.word();
    let swatches = count(kept.board.swatches().count(), "swatch", "swatches");
    let remarks = count(kept.remarks, "remark", "remarks");
    let mut line = format!("{name:<width$}  {light:<7}  {date:<10}  {swatches}, {remarks}");
    for (words, figure) in [("near", hit.near), ("like", hit.like)] {
        if let Some(figure) = figure {
            line += &format!("  {words} {figure:.1}");
        }
    }
    line
}

fn count(n: usize, one: &str, more: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { more })
}

fn as_json(entry: &Entry, hit: &Hit) -> Value {
    let mut value = json!({ "name": entry.name, "file": entry.path, "broken": entry.content.as_ref().err() });
    if let Ok(kept) = &entry.content {
        let families: Vec<_> = kept.board.families.iter().map(|f| &f.name).collect();
        value["light"] = json!(kept.board.light);
        value["date"] = json!(kept.board.date);
        value["photo"] = json!(kept.board.photo);
        value["families"] = json!(families);
        value["swatches"] = json!(kept.board.swatches().count());
        value["remarks"] = json!(kept.remarks);
    }
    for (key, figure) in [("near", hit.near), ("like", hit.like)] {
        if figure.is_some() {
            value[key] = json!(figure);
        }
    }
    value
}

/// Give a kept board another name
#[derive(Args, Debug)]
pub(super) struct Rename {
    /// Name of the board, or of its file
    board: String,
    /// Its new name
    name: String,
}

impl Rename {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let mut library = Library::open(None);
        let entry = library.find(&self.board)?;
        let path = library.rename(&entry.path, &self.name)?;
        Ok(writeln!(out, "\"{}\" is \"{}\" now, in {}", entry.name, self.name.trim(), path.display())?)
    }
}

/// Keep a copy of a kept board under another name
#[derive(Args, Debug)]
pub(super) struct Duplicate {
    /// Name of the board, or of its file
    board: String,
    /// Name of the copy [default: the same with a number]
    name: Option<String>,
}

impl Duplicate {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let mut library = Library::open(None);
        let entry = library.find(&self.board)?;
        let path = library.duplicate(&entry.path, self.name.as_deref())?;
        Ok(writeln!(out, "kept a copy of \"{}\" in {}", entry.name, path.display())?)
    }
}

/// Take a kept board away; it can be brought back
#[derive(Args, Debug)]
pub(super) struct Discard {
    /// Name of the board, or of its file
    board: String,
}

impl Discard {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let mut library = Library::open(None);
        let entry = library.find(&self.board)?;
        let path = library.discard(&entry.path)?;
        Ok(writeln!(out, "discarded \"{}\"; it lies in {}", entry.name, path.display())?)
    }
}

/// Bring a discarded board back
#[derive(Args, Debug)]
pub(super) struct Restore {
    /// Name of the board, or of its file
    board: String,
}

impl Restore {
    pub(super) fn run(self, out: &mut dyn Write) -> Result<(), CliError> {
        let mut library = Library::open(None);
        let discarded = library.find_discarded(&self.board)?;
        let path = library.restore(&discarded.path)?;
        Ok(writeln!(out, "\"{}\" is back, in {}", discarded.name, path.display())?)
    }
}

fn name_of(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}
