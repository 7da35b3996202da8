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
        Err(PhotoError::too_large(name, format!("{width_px} x {height_px} pixels")))
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
    let needed = f64::from(width_px) * f64::from(height_px) * bytes_per_pixel + file_bytes as f64;
    if needed <= MAX_OPEN_BYTES as f64 {
        return Ok(());
    }
    let mebibytes = (needed / f64::from(1 << 20)).ceil();
    Err(PhotoError::too_large(name, format!("{width_px} x {height_px} pixels, which take {mebibytes:.0} MiB to open")))
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
}
