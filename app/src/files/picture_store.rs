//! Small pictures of studies and photos, kept between starts: a file is looked at once for as long as it does not change.

use crate::base::folders;
use crate::files::listing::Form;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};
use stint_model::disk;

/// How many pictures are kept. Each has some 30 to 60 KB.
const MAX_PICTURES: usize = 600;

/// A small picture of a file, and what is told beside it.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct SmallPicture {
    /// Width, pixels.
    pub width_px: u32,
    /// Height, pixels.
    pub height_px: u32,
    /// 8-bit sRGB codes, row by row. In the store they lie in a picture of their own.
    #[serde(skip)]
    pub pixels: Vec<[u8; 3]>,
    /// The colours of a study's board, family by family, 8-bit sRGB.
    pub strip: Vec<[u8; 3]>,
    /// Share of a study's paint that is from its board, 0-1; none before the first stroke.
    pub board_share: Option<f64>,
}

/// Where small pictures are kept.
#[derive(Clone, Debug)]
pub struct PictureStore {
    folder: PathBuf,
}

/// What tells that a file is the one that was looked at: its path, its length and when it was written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Stamp(pub(super) String);

impl Stamp {
    /// Of a file that is there.
    ///
    /// # Errors
    /// What the system says.
    pub fn of(path: &Path) -> std::io::Result<Self> {
        let told = disk::metadata(path)?;
        let full = disk::canonicalize(path)?;
        let since = told.modified().unwrap_or(SystemTime::UNIX_EPOCH).duration_since(UNIX_EPOCH).unwrap_or_default();
        let text = format!("1 {} {} {}", full.display(), told.len(), since.as_nanos());
        Ok(Stamp(format!("{:016x}", fnv(text.as_bytes()))))
    }

    /// As a name in a store: 16 hexadecimal digits.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// FNV-1a, 64 bits (RFC 9923, section 2; offset basis and prime from there).
fn fnv(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3))
}

impl PictureStore {
    /// In `folder` instead of the user's data folder if given.
    pub fn open(folder: Option<&Path>) -> Self {
        PictureStore { folder: folders::data(folder).join("pictures") }
    }

    fn file(&self, stamp: &Stamp, ending: &str) -> PathBuf {
        self.folder.join(format!("{}.{ending}", stamp.0))
    }

    /// The picture of a file that was looked at before.
    pub fn find(&self, stamp: &Stamp) -> Option<SmallPicture> {
        let text = disk::read_to_string(self.file(stamp, "ron")).ok()?;
        let mut picture: SmallPicture = ron::from_str(&text).ok()?;
        let pixels = image::open(self.file(stamp, "png")).ok()?.to_rgb8();
        if (pixels.width(), pixels.height()) != (picture.width_px, picture.height_px) {
            return None;
        }
        picture.pixels = pixels.pixels().map(|p| p.0).collect();
        Some(picture)
    }

    /// Keeps a picture, and lets go of the oldest once there are too many.
    ///
    /// # Errors
    /// What the system says. Nothing is lost by it but time.
    pub fn keep(&self, stamp: &Stamp, picture: &SmallPicture) -> std::io::Result<()> {
        disk::create_dir_all(&self.folder)?;
        let bytes: Vec<u8> = picture.pixels.iter().flatten().copied().collect();
        let image = image::RgbImage::from_raw(picture.width_px, picture.height_px, bytes)
            .ok_or_else(|| std::io::Error::other("pixels are missing"))?;
        let mut png = std::io::Cursor::new(Vec::new());
        image.write_to(&mut png, image::ImageFormat::Png).map_err(std::io::Error::other)?;
        disk::write(self.file(stamp, "png"), png.into_inner())?;
        let text = ron::to_string(picture).map_err(|e| std::io::Error::other(e.to_string()))?;
        disk::write(self.file(stamp, "ron"), text)?;
        self.remove_oldest(MAX_PICTURES)
    }

    fn remove_oldest(&self, most: usize) -> std::io::Result<()> {
        let entries = disk::read_dir(&self.folder)?.flatten().map(|entry| entry.path());
        let mut pictures: Vec<_> = entries.filter(|path| Form::of(path) == Form::Picture).collect();
        if pictures.len() <= most {
            return Ok(());
        }
        pictures.sort_by_cached_key(|path| disk::metadata(path).and_then(|m| m.modified()).unwrap_or(UNIX_EPOCH));
        for old in &pictures[..pictures.len() - most] {
            disk::remove_file(old)?;
            // A picture without its words is as good as none.
            let _ = disk::remove_file(old.with_extension("ron"));
        }
        Ok(())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn the_hash_has_the_published_values() {
        // RFC 9923, appendix with test vectors: the empty text, "a" and "foobar".
        for (text, hash) in
            [("", 0xcbf2_9ce4_8422_2325), ("a", 0xaf63_dc4c_8601_ec8c), ("foobar", 0x8594_4171_f739_67e8)]
        {
            assert_eq!(fnv(text.as_bytes()), hash, "{text}");
        }
    }

    #[test]
    fn a_picture_is_found_again_until_its_file_changes_and_the_oldest_go() {
        let folder = tempfile::tempdir().unwrap();
        let store = PictureStore::open(Some(folder.path()));
        let file = folder.path().join("depot.stint");
        std::fs::write(&file, "one").unwrap();
        let stamp = Stamp::of(&file).unwrap();
        assert_eq!(store.find(&stamp), None);
        let picture = SmallPicture {
            width_px: 2,
            height_px: 1,
            pixels: vec![[1, 2, 3], [250, 251, 252]],
            strip: vec![[9, 8, 7]],
            board_share: Some(0.96),
        };
        store.keep(&stamp, &picture).unwrap();
        assert_eq!(store.find(&stamp), Some(picture.clone()));
        std::fs::write(&file, "another").unwrap();
        let changed = Stamp::of(&file).unwrap();
        assert_ne!(changed, stamp);
        assert_eq!(store.find(&changed), None);
        store.keep(&changed, &picture).unwrap();
        store.remove_oldest(1).unwrap();
        let left = std::fs::read_dir(folder.path().join("stint/pictures")).unwrap().count();
        assert_eq!(left, 2, "a picture and its words");
    }
}
