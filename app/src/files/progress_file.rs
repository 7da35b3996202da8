//! The figures of all studies as a file for other programs: a table, a drawing, or a picture of the drawing; the ending says which.

use super::replace::{Refusal, Writes, may_write};
use std::io::Write;
use std::path::{Path, PathBuf};
use stint_model::disk::{self, Replace};
use stint_model::progress::{Progress, csv, svg};

/// Pixels a unit of the drawing.
#[cfg(not(target_arch = "wasm32"))]
const SCALE: u32 = 2;

/// Why the figures were not written. An older file there is as it was.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ProgressFileError {
    /// The place will not do.
    #[error(transparent)]
    Target(#[from] Refusal),
    /// The drawing was not understood.
    #[cfg(not(target_arch = "wasm32"))]
    #[error("{} was not written: the charts cannot be drawn ({source}); write them as .svg instead", path.display())]
    Draw {
        /// The file that was asked for.
        path: PathBuf,
        /// What was not understood.
        source: Box<resvg::usvg::Error>,
    },
    /// The system refuses.
    #[error("{} cannot be written ({source}); choose another place", path.display())]
    Write {
        /// The file that was asked for.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
}

/// Writes the figures in the form that the ending asks for: `.csv`, `.svg` or `.png`. `replace` says whether a file that is there may give
/// way. Drawing a picture takes a moment: call it beside the window.
///
/// # Errors
/// When the place will not do, or the file cannot be written.
pub fn write(path: &Path, progress: &Progress, replace: Replace) -> Result<(), ProgressFileError> {
    may_write(path, Writes::Progress, replace)?;
    let ending = path.extension().unwrap_or_default().to_ascii_lowercase();
    let bytes = match () {
        () if ending == "csv" => csv::csv(progress).into_bytes(),
        () if ending == "svg" => svg::svg(progress).into_bytes(),
        () => png(path, progress)?,
    };
    let refused = |source| ProgressFileError::Write { path: path.to_owned(), source };
    disk::place(path, replace, refused, |file| file.write_all(&bytes).map_err(refused))
}

/// A page draws no picture from a drawing: every browser shows the drawing.
#[cfg(target_arch = "wasm32")]
fn png(path: &Path, _: &Progress) -> Result<Vec<u8>, ProgressFileError> {
    let source = std::io::Error::other("here the charts are written as .svg or .csv");
    Err(ProgressFileError::Write { path: path.to_owned(), source })
}

#[cfg(not(target_arch = "wasm32"))]
fn png(path: &Path, progress: &Progress) -> Result<Vec<u8>, ProgressFileError> {
    use super::card::fonts;
    use resvg::tiny_skia::{Pixmap, Transform};
    use resvg::usvg;
    use std::io::Cursor;
    use std::sync::Arc;
    let refused =
        |what: String| ProgressFileError::Write { path: path.to_owned(), source: std::io::Error::other(what) };
    let text = svg::svg(progress);
    let options = usvg::Options { fontdb: Arc::new(fonts(&text)), ..usvg::Options::default() };
    let tree = usvg::Tree::from_str(&text, &options);
    let tree = tree.map_err(|source| ProgressFileError::Draw { path: path.to_owned(), source: Box::new(source) })?;
    let (width, height) = (svg::WIDTH * SCALE, svg::height(progress) * SCALE);
    let mut pixmap = Pixmap::new(width, height).ok_or_else(|| refused("there is no memory for it".to_owned()))?;
    resvg::render(&tree, Transform::from_scale(SCALE as f32, SCALE as f32), &mut pixmap.as_mut());
    // The ground is opaque, so no pixel is premultiplied by anything but one.
    let bytes = pixmap.pixels().iter().flat_map(|p| [p.red(), p.green(), p.blue()]).collect();
    let image =
        image::RgbImage::from_raw(width, height, bytes).ok_or_else(|| refused("pixels are missing".to_owned()))?;
    let mut png = Cursor::new(Vec::new());
    image.write_to(&mut png, image::ImageFormat::Png).map_err(|error| refused(error.to_string()))?;
    Ok(png.into_inner())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use stint_model::progress::{ExerciseOnDay, Practice};

    fn progress() -> Progress {
        let exercise = |day: &str, right| ExerciseOnDay {
            day: day.to_owned(),
            practice: Practice::Drill(stint_model::drill::Drill::Value),
            board: None,
            miss: None,
            right: Some((right, 8)),
        };
        let exercises = vec![exercise("2026-01-04", 3), exercise("2026-02-11", 7)];
        Progress { exercises, ..Progress::default() }
    }

    #[test]
    fn each_ending_has_its_form_and_a_file_that_is_there_stays() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        for name in ["p.csv", "p.svg", "p.PNG"] {
            write(&at(name), &progress(), Replace::Never).unwrap();
            let error = write(&at(name), &progress(), Replace::Never).unwrap_err();
            assert!(matches!(error, ProgressFileError::Target(Refusal::Taken { .. })), "{error}");
            write(&at(name), &progress(), Replace::Asked).unwrap();
        }
        let text = std::fs::read_to_string(at("p.csv")).unwrap();
        assert_eq!(text.lines().count(), 3);
        assert!(std::fs::read_to_string(at("p.svg")).unwrap().starts_with("<svg"));
        let picture = image::open(at("p.PNG")).unwrap().to_rgb8();
        assert_eq!(picture.width(), 1920);
        // Grey, and something is drawn on the ground.
        assert!(picture.pixels().all(|p| p.0[0] == p.0[1] && p.0[1] == p.0[2]));
        assert!(picture.pixels().filter(|p| p.0[0] > 200).count() > 200);
        for wrong in ["p.txt", "p", "p.json"] {
            let error = write(&at(wrong), &progress(), Replace::Never).unwrap_err().to_string();
            assert!(error.contains(".csv"), "{error}");
        }
    }
}
