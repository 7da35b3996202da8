//! The card of a board as a PNG that carries the board, as an exported study does.

use crate::base::fonts::{FALLBACKS, FIGTREE};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg;
use resvg::usvg::fontdb::{FaceInfo, Language, Source};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use stint_model::board::Board;
use stint_model::board::exchange::card::{GROUND, Layout, patch_area, svg};
use stint_model::colour::Colour;
use stint_model::disk::Replace;
use stint_model::picture::{Attached, PaletteEntry, PictureError, PngOptions, write_png};
use stint_model::readout::{FamilyShare, FreeColourNote, Readout, SwatchShare};

/// Pixels a unit of the card, when it is not very large.
const SCALE: u32 = 2;
/// Most pixels of a card; a pixel takes four bytes while it is drawn.
const MAX_PIXELS: u64 = 64 << 20;

/// Why a card was not written. An older file there is as it was.
#[derive(Debug, thiserror::Error)]
pub enum CardError {
    /// The card would be too large for a picture.
    #[error(
        "{} was not written: a card of {width} x {height} pixels is too large for a PNG; write the board as .svg instead",
        path.display()
    )]
    TooLarge {
        /// The file that was asked for.
        path: PathBuf,
        /// Width it would have.
        width: u32,
        /// Height it would have.
        height: u32,
    },
    /// The drawing was not understood.
    #[error("{} was not written: the card cannot be drawn ({source}); write the board as .svg instead", path.display())]
    Draw {
        /// The file that was asked for.
        path: PathBuf,
        /// What was not understood.
        source: usvg::Error,
    },
    /// The picture cannot be written.
    #[error(transparent)]
    Picture(#[from] PictureError),
}

/// Writes the card of `board`, which must be sound, as a PNG with the board inside. The patches have exactly the 8-bit sRGB of
/// their swatches. `replace` says whether a file that is there may give way.
///
/// # Errors
/// When the card is too large or cannot be drawn, or the file cannot be written.
pub fn write(path: &Path, board: &Board, replace: Replace) -> Result<(), CardError> {
    let pixmap = draw(path, board)?;
    let size = (pixmap.width(), pixmap.height());
    let attached = attached(board, size);
    let pixels = pixmap.pixels();
    let mut band = |first_row: u32, out: &mut [Colour]| {
        let first = first_row as usize * size.0 as usize;
        // The ground is opaque, so no pixel is premultiplied by anything but one.
        for (to, from) in out.iter_mut().zip(&pixels[first..]) {
            *to = Colour::from_srgb8([from.red(), from.green(), from.blue()]);
        }
        Ok(())
    };
    Ok(write_png(path, replace, size, &PngOptions::default(), &attached, &mut band, &mut |_| {})?)
}

fn draw(path: &Path, board: &Board) -> Result<Pixmap, CardError> {
    let Layout { width, height, .. } = Layout::of(board);
    let pixels = |scale: u32| u64::from(width) * u64::from(height) * u64::from(scale).pow(2);
    let scale = if pixels(SCALE) <= MAX_PIXELS { SCALE } else { 1 };
    let pixmap = (pixels(scale) <= MAX_PIXELS).then(|| Pixmap::new(width * scale, height * scale)).flatten();
    let mut pixmap = pixmap.ok_or(CardError::TooLarge { path: path.to_owned(), width, height })?;
    let text = svg(board);
    let options = usvg::Options { fontdb: Arc::new(fonts(&text)), ..usvg::Options::default() };
    let tree = usvg::Tree::from_str(&text, &options);
    let tree = tree.map_err(|source| CardError::Draw { path: path.to_owned(), source })?;
    resvg::render(&tree, Transform::from_scale(scale as f32, scale as f32), &mut pixmap.as_mut());
    Ok(pixmap)
}

/// Figtree, what the interface has beside it, and, for scripts that both may lack, the fonts of the system.
pub(super) fn fonts(text: &str) -> usvg::fontdb::Database {
    let mut fonts = usvg::fontdb::Database::new();
    for bytes in FIGTREE {
        // The files call themselves after the weight they were made from.
        for id in fonts.load_font_source(Source::Binary(Arc::new(bytes))) {
            if let Some(face) = fonts.face(id).cloned() {
                fonts.remove_face(id);
                let families = vec![("Figtree".to_owned(), Language::English_UnitedStates)];
                fonts.push_face_info(FaceInfo { families, ..face });
            }
        }
    }
    for bytes in FALLBACKS {
        fonts.load_font_data(bytes.to_vec());
    }
    // Looking for fonts takes a while; nobody waits for it whose names are in Latin letters.
    if text.chars().any(|c| c > '\u{24f}' && c != '…') {
        fonts.load_system_fonts();
    }
    fonts.set_sans_serif_family("Figtree");
    fonts
}

/// What goes with the picture. A card is painted with its board and nothing else: its readout says so.
fn attached(board: &Board, (width, height): (u32, u32)) -> Attached {
    let units = Layout::of(board);
    let card = f64::from(units.width) * f64::from(units.height);
    let count = board.swatches().count() as f64;
    let painted = (count * patch_area() / card).min(1.0);
    let each = |n: usize| if count > 0.0 { n as f64 / count } else { 0.0 };
    let shares = board.swatches().map(|(family, swatch)| SwatchShare {
        id: swatch.id,
        family: family.name.clone(),
        role: swatch.role,
        name: family.swatch_name(swatch),
        share: each(1),
        hex: swatch.colour.hex(),
    });
    let families = board.families.iter();
    let families = families.map(|f| FamilyShare { id: f.id, name: f.name.clone(), share: each(f.swatches.len()) });
    let readout = Readout {
        width_px: width,
        height_px: height,
        painted_px: painted * f64::from(width) * f64::from(height),
        board_share: if count > 0.0 { 1.0 } else { 0.0 },
        free_share: 0.0,
        bare_share: 1.0 - painted,
        eight_paints_share: 0.0,
        families: families.collect(),
        swatches: shares.collect(),
        free_colour: FreeColourNote::default(),
    };
    let entry = |(family, swatch): (&stint_model::board::Family, &stint_model::board::Swatch)| PaletteEntry {
        name: family.swatch_name(swatch),
        colour: swatch.colour,
        share: each(1) * painted,
    };
    let ground =
        PaletteEntry { name: "ground".to_owned(), colour: Colour::from_srgb8([GROUND; 3]), share: 1.0 - painted };
    let palette = board.swatches().map(entry).chain([ground]).collect();
    Attached::new(board.name.clone(), board.clone(), readout, palette)
}
