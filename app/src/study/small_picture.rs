//! A small picture of a file, for choosing it: the painting of a study with the colours of its board, or a photo.

use super::session::{Session, SessionError};
use crate::files::listing::Form;
use crate::files::picture_store::{PictureStore, SmallPicture, Stamp};
use std::path::Path;
use stint_model::colour::Colour;
use stint_model::photo::{Adjustments, Photo};
use stint_render::choose::EngineChoice;

/// Longer side of a small picture, pixels: sharp on a card 210 points wide on a screen of twice the density.
pub const SIDE_PX: u32 = 420;
/// Longer side of the early view of a photo, pixels: an eighth of that of a photo of 24 megapixels.
const EARLY_PX: u32 = 768;
/// Most colours of the strip under a study's picture.
const STRIP: usize = 48;

/// The small picture of a file, from the store where it was looked at before; made, and kept there, where it was not. Takes a while:
/// call it beside the window. None for a file that cannot be shown.
pub fn small_picture(path: &Path, store: &PictureStore) -> Option<SmallPicture> {
    let stamp = Stamp::of(path).ok()?;
    if let Some(known) = store.find(&stamp) {
        return Some(known);
    }
    let made = match Form::of(path) {
        Form::Study => of_study(path).ok()?,
        Form::Folder | Form::Picture | Form::Board | Form::Other => {
            of_photo(&Photo::open(path).ok()?, Adjustments::default(), SIDE_PX)
        }
    };
    // A store that cannot be written costs nothing but the time to look again.
    let _ = store.keep(&stamp, &made);
    Some(made)
}

/// A coarse view of a photo that is about to be decoded, from the bytes of its file; none where it could not be had any sooner.
pub fn early_picture(bytes: &[u8], name: &str) -> Option<SmallPicture> {
    Some(of_photo(&Photo::coarse(bytes, name)?, Adjustments::default(), EARLY_PX))
}

fn of_photo(photo: &Photo, adjustments: Adjustments, side_px: u32) -> SmallPicture {
    // A middle grey behind what is transparent.
    let behind = Colour::from_srgb8([121; 3]);
    let (width_px, height_px, pixels) = photo.view(adjustments).thumbnail(side_px, behind);
    SmallPicture { width_px, height_px, pixels, ..SmallPicture::default() }
}

fn of_study(path: &Path) -> Result<SmallPicture, SessionError> {
    let mut session = Session::open_read_only(path, EngineChoice::Cpu)?;
    let readout = session.readout()?;
    let board = session.document().board.clone();
    let strip = board.swatches().take(STRIP).map(|(_, swatch)| swatch.colour.to_srgb8()).collect();
    let document = session.document();
    if readout.painted_px == 0.0 && document.reference.is_some() && !document.photo_shut {
        // Nothing is painted yet: the photo is what the painter knows it by.
        let (photo, adjustments) = session.reference()?;
        return Ok(SmallPicture { strip, ..of_photo(&photo, adjustments, SIDE_PX) });
    }
    let (width_px, height_px, pixels) = painting_of(&mut session)?;
    let board_share = (readout.painted_px > 0.0).then_some(readout.board_share);
    Ok(SmallPicture { width_px, height_px, pixels, strip, board_share })
}

/// A study as it is looked at beside its photo.
pub struct BesidePhoto {
    /// The painting as it is, bare canvas too: without a stroke it is no photo.
    pub picture: SmallPicture,
    /// How it differs from its photo, surface by surface; nothing without a photo or paint.
    pub sentences: Vec<String>,
}

/// Reads a study and holds it against its photo. It takes a while, and is not kept; none for a file that cannot be shown.
pub fn beside_photo(path: &Path) -> Option<BesidePhoto> {
    let mut session = Session::open_read_only(path, EngineChoice::Cpu).ok()?;
    let (width_px, height_px, pixels) = painting_of(&mut session).ok()?;
    let picture = SmallPicture { width_px, height_px, pixels, ..SmallPicture::default() };
    // A photo that cannot be read is told of where it is shown.
    let sentences =
        session.comparison_source().map_or_else(|_| Vec::new(), |source| source.compare(None).comparison.sentences());
    Some(BesidePhoto { picture, sentences })
}

fn painting_of(session: &mut Session) -> Result<(u32, u32, Vec<[u8; 3]>), SessionError> {
    let board = session.document().board.clone();
    let thumbnail = session.thumbnail(2 * SIDE_PX)?;
    let colours = session.thumbnail_under(&thumbnail, &board);
    Ok(halved(thumbnail.width(), thumbnail.height(), &colours))
}

/// Packed colours at half their width and height, each the mean of the codes of four: points alone would show every bristle as a dot.
#[expect(clippy::cast_possible_truncation, reason = "a mean of codes is a code")]
fn halved(width: u32, height: u32, colours: &[u32]) -> (u32, u32, Vec<[u8; 3]>) {
    let (to_width, to_height) = (width.div_ceil(2), height.div_ceil(2));
    let at = |x: u32, y: u32| colours[(y.min(height - 1) * width + x.min(width - 1)) as usize];
    let mean = |x: u32, y: u32| {
        let four = [at(2 * x, 2 * y), at(2 * x + 1, 2 * y), at(2 * x, 2 * y + 1), at(2 * x + 1, 2 * y + 1)];
        [0, 8, 16].map(|shift| (four.iter().map(|c| (c >> shift) & 255).sum::<u32>().div_ceil(4)) as u8)
    };
    let pixels = (0..to_height).flat_map(|y| (0..to_width).map(move |x| mean(x, y))).collect();
    (to_width, to_height, pixels)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::{Command, SwatchRef};
    use stint_model::board::{Board, LightOfDay, Role};
    use stint_render::mask::mass::Edge;

    #[test]
    fn a_study_shows_its_painting_its_board_and_its_share_and_is_looked_at_once() {
        let folder = tempfile::tempdir().unwrap();
        let store = PictureStore::open(Some(folder.path()));
        let path = folder.path().join("depot.stint");
        let board = Board::new("Depot", LightOfDay::Cool);
        let mut session = Session::create(&path, (1200, 800), board, EngineChoice::Cpu).unwrap();
        let (family, name, colour) = ("Brick".to_owned(), String::new(), "#73524e".to_owned());
        session
            .apply(&Command::AddSwatch { family: family.clone(), role: Role::Local, name, colour, by_role: false })
            .unwrap();
        session.apply(&Command::Load(SwatchRef::Swatch { family, role: Role::Local })).unwrap();
        let outline = vec![[0.0, 0.0], [600.0, 0.0], [600.0, 800.0], [0.0, 800.0]];
        session.apply(&Command::Mass { outline, edge: Edge::default() }).unwrap();
        session.close().unwrap();
        let picture = small_picture(&path, &store).unwrap();
        assert_eq!((picture.width_px, picture.height_px), (420, 280));
        assert_eq!(picture.pixels.len(), 420 * 280);
        assert_eq!(picture.strip, [[0x73, 0x52, 0x4e]]);
        assert_eq!(picture.board_share, Some(1.0));
        assert_eq!(picture.pixels[140 * 420 + 100], [0x73, 0x52, 0x4e]);
        assert_eq!(store.find(&Stamp::of(&path).unwrap()), Some(picture));
    }

    #[test]
    fn a_study_without_paint_shows_its_photo_and_a_file_of_nothing_shows_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let store = PictureStore::open(Some(folder.path()));
        let path = folder.path().join("depot.stint");
        let mut session = Session::create(&path, (64, 64), Board::default(), EngineChoice::Cpu).unwrap();
        let photo = concat!(env!("CARGO_MANIFEST_DIR"), "/../assets/demo/tram_depot.jpg");
        session.apply(&Command::Reference(photo.to_owned())).unwrap();
        session.close().unwrap();
        let picture = small_picture(&path, &store).unwrap();
        assert_eq!(picture.pixels, small_picture(Path::new(photo), &store).unwrap().pixels);
        assert_eq!(picture.board_share, None);
        // Asked for its painting, it shows its bare canvas.
        let bare = beside_photo(&path).unwrap().picture;
        assert!(bare.pixels.windows(2).all(|p| p[0] == p[1]) && bare.width_px == bare.height_px);
        let broken = folder.path().join("broken.stint");
        std::fs::write(&broken, "no study").unwrap();
        assert!(small_picture(&broken, &store).is_none());
        assert!(small_picture(&folder.path().join("gone.jpg"), &store).is_none());
    }
}
