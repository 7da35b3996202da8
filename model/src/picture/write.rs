//! Chunks and pixels, in order.

use super::attached::Attached;
use super::encode::{encode_band, row_bytes};
use super::error::{BandError, PictureError};
use super::gamut::OutputGamut;
use super::pack::Packer;
use super::splt::SuggestedPalette;
use super::{BOARD_KEYWORD, Depth, TIME_KEYWORD, icc};
use crate::colour::Colour;
use crate::disk::{self, Replace};
use crate::readout::work_time::duration_text;
use flate2::Compression;
use flate2::write::ZlibEncoder;
use png::chunk::ChunkType;
use png::text_metadata::{ITXtChunk, TEXtChunk};
use png::{BitDepth, ColorType, EncodingError, PixelDimensions, ScaledFloat, Unit};
use std::io::{self, Write};
use std::path::Path;

/// Rows of a band; the last band of a picture may have fewer. It is the side of a tile, so that a band needs each tile
/// once.
pub const BAND_ROWS: u32 = 128;

/// Deflate level of the pixels, 0-9, with the filter chosen row by row. Measured on 4096 x 4096 pixels of flat masses
/// and smooth or grainy gradients, 8 bits: level 3 packs them in 0.15 and 0.5 s. Level 6 makes files 18 and 3 % smaller
/// in 0.2 and 2.4 s; level 1 files 71 and 33 % larger in 0.05 and 0.2 s.
pub const COMPRESSION_LEVEL: u32 = 3;

/// Most bytes of pixels in one `IDAT` chunk.
const IDAT_BYTES: usize = 1 << 16;

/// Largest side and largest four-byte number of a PNG (7.1).
const PNG_MAX: u32 = i32::MAX as u32;

/// Fills one band: its first row, and its pixels, whole rows that hold the band before. See [`write_png`].
pub type FillBand<'a> = dyn FnMut(u32, &mut [Colour]) -> Result<(), BandError> + 'a;

/// How a picture is written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct PngOptions {
    /// Bits a sample.
    pub depth: Depth,
    /// Colour space.
    pub gamut: OutputGamut,
    /// Print resolution, 1 to 2^31 - 1; 11811 is 300 dpi. `None` leaves it out.
    pub pixels_per_metre: Option<u32>,
}

/// Writes a picture of `size` (width, height) pixels to `path`, with `attached` inside. `replace` says whether a file that
/// is there may give way.
///
/// `bands(first_row, pixels)` is asked for one band after the other, top down: `pixels` are whole rows of `width`, at
/// most [`BAND_ROWS`] of them, holding the band before; the caller fills all with linear colour (sRGB primaries, D65,
/// not clamped). Only one band is in memory. After each band `progress` hears how many rows are done. An error from
/// `bands` stops the export, which is also the way to cancel.
///
/// The picture is opaque RGB. sRGB is marked by `sRGB`, `gAMA` and `cHRM` (11.3.2.5); Display P3 by `cICP` 12 13 0 1
/// (11.3.2.6), with `iCCP`, `gAMA` and `cHRM` of the same space for readers that do not know that chunk. The board goes before the pixels, as
/// `sPLT` and `iTXt` named [`BOARD_KEYWORD`]; the study's name is `Title`, and the time that it took stands before the board under [`TIME_KEYWORD`].
///
/// # Errors
/// [`PictureError`]; whatever happens, a file that was at `path` is then unchanged and nothing else is left behind.
pub fn write_png(
    path: &Path,
    replace: Replace,
    size: (u32, u32),
    options: &PngOptions,
    attached: &Attached,
    bands: &mut FillBand<'_>,
    progress: &mut dyn FnMut(u64),
) -> Result<(), PictureError> {
    let (width, height) = size;
    if ![width, height].iter().all(|side| (1..=PNG_MAX).contains(side)) {
        return Err(PictureError::Size { path: path.to_owned(), width, height });
    }
    if let Some(pixels_per_metre) = options.pixels_per_metre
        && !(1..=PNG_MAX).contains(&pixels_per_metre)
    {
        return Err(PictureError::Resolution { path: path.to_owned(), pixels_per_metre });
    }
    let text = attached.to_ron().map_err(|e| PictureError::Attach { path: path.to_owned(), source: Box::new(e) })?;
    let job = Job { path, size, options, attached, text };
    disk::place(path, replace, |e| PictureError::write(path, e), |writer| job.run(writer, bands, progress))
}

/// Everything about one export but where its bytes go.
struct Job<'a> {
    path: &'a Path,
    size: (u32, u32),
    options: &'a PngOptions,
    attached: &'a Attached,
    /// RON of `attached`.
    text: String,
}

impl Job<'_> {
    fn run<W: Write>(
        &self,
        writer: W,
        bands: &mut FillBand<'_>,
        progress: &mut dyn FnMut(u64),
    ) -> Result<(), PictureError> {
        let mut writer = FirstError { writer, error: None };
        let result = self.encode(&mut writer, bands, progress);
        match writer.error {
            Some(source) => Err(PictureError::write(self.path, source)),
            None => result,
        }
    }

    #[expect(clippy::cast_possible_truncation, reason = "a band has fewer than 2^32 pixels")]
    fn encode<W: Write>(
        &self,
        writer: W,
        bands: &mut FillBand<'_>,
        progress: &mut dyn FnMut(u64),
    ) -> Result<(), PictureError> {
        let (width, height) = (self.size.0 as usize, self.size.1);
        let refused = |error: EncodingError| self.refused(error);
        let mut writer = self.header(writer).map_err(refused)?;
        let row_bytes = row_bytes(width, self.options.depth);
        let mut packer = Packer::new(COMPRESSION_LEVEL, row_bytes, row_bytes / width);
        let rows_most = BAND_ROWS.min(height);
        let mut pixels = vec![Colour::default(); width * rows_most as usize];
        let mut bytes = vec![0; row_bytes * rows_most as usize];
        let mut first_row = 0;
        while first_row < height {
            let rows = rows_most.min(height - first_row);
            let pixels = &mut pixels[..width * rows as usize];
            let bytes = &mut bytes[..row_bytes * rows as usize];
            bands(first_row, pixels).map_err(|source| PictureError::Band { path: self.path.to_owned(), source })?;
            encode_band(pixels, width, self.options.depth, self.options.gamut, bytes).map_err(|(x, y)| {
                // Both are within the picture, whose sides are u32.
                PictureError::NoColour { path: self.path.to_owned(), x: x as u32, y: first_row + y as u32 }
            })?;
            first_row += rows;
            let packed = packer.pack(bytes, first_row == height).map_err(|e| PictureError::write(self.path, e))?;
            for data in packed.iter().flat_map(|piece| piece.chunks(IDAT_BYTES)) {
                writer.write_chunk(ChunkType(*b"IDAT"), data).map_err(refused)?;
            }
            progress(u64::from(first_row));
        }
        writer.finish().map_err(refused)
    }

    /// All chunks before the pixels.
    fn header<W: Write>(&self, writer: W) -> Result<png::Writer<W>, EncodingError> {
        let mut encoder = png::Encoder::new(writer, self.size.0, self.size.1);
        encoder.set_color(ColorType::Rgb);
        encoder.set_depth(match self.options.depth {
            Depth::Eight => BitDepth::Eight,
            Depth::Sixteen => BitDepth::Sixteen,
        });
        let dimensions = |ppm| PixelDimensions { xppu: ppm, yppu: ppm, unit: Unit::Meter };
        encoder.set_pixel_dims(self.options.pixels_per_metre.map(dimensions));
        if self.options.gamut == OutputGamut::Srgb {
            encoder.set_source_srgb(png::SrgbRenderingIntent::Perceptual);
        }
        // 45455 is what 11.3.2.5 prescribes beside sRGB; the curve of Display P3 is the same.
        encoder.set_source_gamma(ScaledFloat::from_scaled(45455));
        encoder.set_source_chromaticities(chromaticities(self.options.gamut));
        let mut writer = encoder.write_header()?;
        if self.options.gamut == OutputGamut::DisplayP3 {
            // Primaries 12, transfer 13 (that of sRGB), matrix 0 (RGB), full range: the standard's own example.
            writer.write_chunk(ChunkType(*b"cICP"), &[12, 13, 0, 1])?;
            writer.write_chunk(ChunkType(*b"iCCP"), &profile_chunk()?)?;
        }
        let palette = SuggestedPalette::of(&self.attached.palette, self.options.depth, self.options.gamut);
        if !palette.entries.is_empty() {
            writer.write_chunk(ChunkType(*b"sPLT"), &palette.to_chunk())?;
        }
        writer.write_text_chunk(&TEXtChunk::new("Software", "Stint"))?;
        let title = title(&self.attached.name);
        if !title.is_empty() {
            writer.write_text_chunk(&ITXtChunk::new("Title", title))?;
        }
        if let Some(seconds) = self.attached.worked_s {
            writer.write_text_chunk(&ITXtChunk::new(TIME_KEYWORD, duration_text(seconds)))?;
        }
        writer.write_text_chunk(&ITXtChunk::new(BOARD_KEYWORD, self.text.as_str()))?;
        Ok(writer)
    }

    fn refused(&self, error: EncodingError) -> PictureError {
        match error {
            EncodingError::IoError(source) => PictureError::write(self.path, source),
            other => PictureError::Encode { path: self.path.to_owned(), reason: other.to_string() },
        }
    }
}

/// The data of an `iCCP` chunk (11.3.2.3) with the profile of Display P3: name, compression method 0, the packed profile.
fn profile_chunk() -> io::Result<Vec<u8>> {
    let mut packer = ZlibEncoder::new(format!("{}\0\0", icc::DISPLAY_P3_NAME).into_bytes(), Compression::best());
    packer.write_all(&icc::display_p3())?;
    packer.finish()
}

/// Keeps the first refusal of a writer and lets nothing pass after it. The encoder of crate `png` 0.18 drops an error
/// of the last chunk and turns others into ones without a kind.
struct FirstError<W> {
    writer: W,
    error: Option<io::Error>,
}

impl<W: Write> FirstError<W> {
    fn unless_refused<T>(&mut self, step: impl FnOnce(&mut W) -> io::Result<T>) -> io::Result<T> {
        if self.error.is_some() {
            return Err(io::Error::other("an earlier write was refused"));
        }
        step(&mut self.writer).map_err(|error| {
            let kind = error.kind();
            // "Try again" is not a refusal: the caller will.
            if kind != io::ErrorKind::Interrupted {
                self.error = Some(error);
            }
            kind.into()
        })
    }
}

impl<W: Write> Write for FirstError<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.unless_refused(|writer| writer.write(bytes))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.unless_refused(W::flush)
    }
}

/// Text chunks have no place for NUL and other control characters (11.3.3.1); the name in the attached text keeps them.
fn title(name: &str) -> String {
    name.replace(char::is_control, " ").trim().to_owned()
}

fn chromaticities(gamut: OutputGamut) -> png::SourceChromaticities {
    #[expect(clippy::cast_possible_truncation, reason = "chromaticities are below 1")]
    let scaled = |v: f64| ScaledFloat::from_scaled((v * 100_000.0).round() as u32);
    let [red, green, blue, white] = gamut.chromaticities().map(|[x, y]| (scaled(x), scaled(y)));
    png::SourceChromaticities { white, red, green, blue }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::attached::tests::depot;
    use super::super::read_attached;
    use super::*;

    const GREY: Colour = Colour::new(0.25, 0.25, 0.25);

    fn fill(_: u32, pixels: &mut [Colour]) -> Result<(), BandError> {
        pixels.fill(GREY);
        Ok(())
    }

    #[test]
    fn bands_cover_the_picture_once() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("depot.png");
        let (mut asked, mut done) = (Vec::new(), Vec::new());
        let mut bands = |first_row: u32, pixels: &mut [Colour]| {
            asked.push((first_row, pixels.len()));
            fill(first_row, pixels)
        };
        write_png(&path, Replace::Asked, (10, 300), &PngOptions::default(), &depot(), &mut bands, &mut |rows| {
            done.push(rows)
        })
        .unwrap();
        assert_eq!(asked, [(0, 1280), (128, 1280), (256, 440)]);
        assert_eq!(done, [128, 256, 300]);
        assert_eq!(read_attached(&path).unwrap(), depot());
    }

    #[test]
    fn a_stopped_export_leaves_the_older_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("depot.png");
        std::fs::write(&path, "older").unwrap();
        let options = PngOptions::default();
        let mut stop = |first_row: u32, pixels: &mut [Colour]| {
            if first_row == 0 { fill(first_row, pixels) } else { Err("stopped by the painter".into()) }
        };
        let error =
            write_png(&path, Replace::Asked, (900, 900), &options, &depot(), &mut stop, &mut |_| {}).unwrap_err();
        assert!(matches!(error, PictureError::Band { .. }) && error.to_string().contains("stopped by"), "{error}");
        let mut hole = |first_row: u32, pixels: &mut [Colour]| {
            fill(first_row, pixels)?;
            if first_row == 256 {
                pixels[900 * 3 + 7].r = f32::NAN;
            }
            Ok(())
        };
        let error =
            write_png(&path, Replace::Asked, (900, 900), &options, &depot(), &mut hole, &mut |_| {}).unwrap_err();
        assert!(matches!(error, PictureError::NoColour { x: 7, y: 259, .. }), "{error}");
        assert_eq!(std::fs::read(&path).unwrap(), b"older");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_full_disk_is_told() {
        /// Takes so many bytes, then is full.
        struct Room(usize);
        impl Write for &mut Room {
            fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
                self.0 = self.0.checked_sub(bytes.len()).ok_or(io::ErrorKind::StorageFull)?;
                Ok(bytes.len())
            }
            fn flush(&mut self) -> io::Result<()> {
                Ok(())
            }
        }
        let attached = depot();
        let text = attached.to_ron().unwrap();
        let (path, options) = (Path::new("depot.png"), &PngOptions::default());
        let job = Job { path, size: (64, 200), options, attached: &attached, text };
        let run = |room: &mut Room| job.run(room, &mut fill, &mut |_| {});
        let mut plenty = Room(1 << 20);
        run(&mut plenty).unwrap();
        // Wherever the disk becomes full, also in the last bytes, it is told.
        for room in 0..(1 << 20) - plenty.0 {
            let error = run(&mut Room(room)).unwrap_err();
            let full =
                matches!(&error, PictureError::Write { source, .. } if source.kind() == io::ErrorKind::StorageFull);
            assert!(full && error.to_string().starts_with("depot.png was not written"), "{room}: {error}");
        }
    }

    #[test]
    fn impossible_wishes_are_refused_before_anything_is_written() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("depot.png");
        let write = |size, options: &PngOptions, attached: &Attached| {
            write_png(&path, Replace::Asked, size, options, attached, &mut fill, &mut |_| {}).unwrap_err()
        };
        let plain = PngOptions::default();
        for size in [(0, 5), (5, 0), (1 << 31, 1)] {
            assert!(matches!(write(size, &plain, &depot()), PictureError::Size { .. }));
        }
        for pixels_per_metre in [0, 1 << 31] {
            let options = PngOptions { pixels_per_metre: Some(pixels_per_metre), ..plain };
            assert!(matches!(write((5, 5), &options, &depot()), PictureError::Resolution { .. }));
        }
        let mut spoilt = depot();
        spoilt.palette[0].share = f64::NAN;
        assert!(matches!(write((5, 5), &plain, &spoilt), PictureError::Attach { .. }));
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
    }

    #[test]
    fn titles_hold_no_control_characters() {
        assert_eq!(title(" Depot\0 étude\r\n2 "), "Depot  étude  2");
        assert_eq!(title("\0\t"), "");
    }
}
