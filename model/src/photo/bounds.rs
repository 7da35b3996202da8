//! How large a photo may be: bounds by what decoding takes, checked before anything of that size is taken.

use super::error::PhotoError;

/// Most pixels a photo may have: 200 megapixels, if what decoding takes allows it.
pub const MAX_PIXELS: u64 = 200_000_000;
/// Longest side a photo may have, in pixels.
pub const MAX_SIDE_PX: u32 = 65_535;
/// Largest file that is read, in bytes: 448 MiB.
pub const MAX_FILE_BYTES: u64 = 448 << 20;
/// Most memory that opening one photo may take, in bytes: its file, its samples and what its decoder holds beside them.
/// 976 MiB, which leaves the rest of the program a part of the first gibibyte.
pub const MAX_OPEN_BYTES: u64 = 976 << 20;
/// Longest colour profile that is unpacked, in bytes: 16 MiB. Profiles for print are a few MiB long.
pub const MAX_PROFILE_BYTES: usize = 16 << 20;

/// Refuses sizes that are out of bounds.
pub(super) fn check_size(name: &str, width_px: u32, height_px: u32) -> Result<(), PhotoError> {
    let fits =
        width_px <= MAX_SIDE_PX && height_px <= MAX_SIDE_PX && u64::from(width_px) * u64::from(height_px) <= MAX_PIXELS;
    if width_px == 0 || height_px == 0 {
        Err(PhotoError::damaged(name, "it has no pixels"))
    } else if fits {
        Ok(())
    } else {
        let advice = if width_px.max(height_px) > MAX_SIDE_PX {
            format!("make a copy of at most {MAX_SIDE_PX} pixels a side")
        } else {
            "make a copy of at most 200 megapixels, 120 with 16 bits a channel".to_owned()
        };
        Err(PhotoError::too_large(name, format!("{width_px} x {height_px} pixels"), advice))
    }
}

/// Refuses a photo for which decoding would take more than [`MAX_OPEN_BYTES`], its file included. `bytes_per_pixel` is the
/// most that samples and decoder hold at one time, in bytes, over the number of pixels.
pub(super) fn check_memory(
    name: &str,
    [width_px, height_px]: [u32; 2],
    file_bytes: usize,
    bytes_per_pixel: f64,
) -> Result<(), PhotoError> {
    let pixels = f64::from(width_px) * f64::from(height_px);
    let needed = pixels * bytes_per_pixel + file_bytes as f64;
    if needed <= MAX_OPEN_BYTES as f64 {
        return Ok(());
    }
    let mebibytes = (needed / f64::from(1 << 20)).ceil();
    // A copy of its kind: its file shrinks with its pixels.
    let megapixels = (pixels / 1e6 * MAX_OPEN_BYTES as f64 / needed).floor();
    let size = format!("{width_px} x {height_px} pixels, which take {mebibytes:.0} MiB to open");
    let advice =
        format!("make a copy of at most {megapixels:.0} megapixels, or one of fewer channels or bits a channel");
    Err(PhotoError::too_large(name, size, advice))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_bounded() {
        assert!(check_size("a", 65_535, 3051).is_ok());
        assert!(matches!(check_size("a", 65_535, 3052), Err(PhotoError::TooLarge { .. })));
        assert!(matches!(check_size("a", 65_536, 1), Err(PhotoError::TooLarge { .. })));
        assert!(matches!(check_size("a", 0, 1), Err(PhotoError::Damaged { .. })));
    }

    #[test]
    fn memory_is_bounded_with_the_file_in_it() {
        // 120 megapixels of 16-bit RGBA fit, beside a file of up to 60 MiB.
        assert!(check_memory("a", [12_000, 10_000], 60 << 20, 8.0).is_ok());
        assert!(matches!(check_memory("a", [12_000, 10_000], 61 << 20, 8.0), Err(PhotoError::TooLarge { .. })));
    }

    /// A photo of fewer pixels than the most may still take too much; the advice is one that helps.
    #[test]
    fn what_is_advised_would_be_opened() {
        let said = |refused: Result<(), PhotoError>| refused.err().map_or_else(String::new, |error| error.to_string());
        // 150 megapixels of four inks: planes and result of four bytes each.
        let (size, file) = ([15_000, 10_000], 60 << 20);
        let advised = said(check_memory("a", size, file, 8.0));
        assert!(advised.contains("at most 121 megapixels"), "{advised}");
        assert!(check_memory("a", [12_100, 10_000], file / 150 * 121, 8.0).is_ok());
        assert!(said(check_size("a", 65_536, 10)).contains("at most 65535 pixels a side"));
        assert!(said(check_size("a", 20_000, 20_000)).contains("at most 200 megapixels"));
    }
}
