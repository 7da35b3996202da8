//! EXIF orientation as an index map: the samples stay where the camera put them.

use image::metadata::Orientation;

/// Where an upright pixel lies in the stored raster. The map is affine, so a row of upright pixels is a walk with a
/// constant step through the stored ones.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Upright {
    /// Width of the upright photo.
    pub width_px: u32,
    /// Height of the upright photo.
    pub height_px: u32,
    /// Stored index (in pixels) of the upright pixel (0, 0).
    origin: isize,
    /// Stored step for one upright pixel to the right.
    pub step_x: isize,
    /// Stored step for one upright pixel down.
    pub step_y: isize,
}

impl Upright {
    /// The map for a stored raster of this size. Orientations are those of EXIF 2.32 (CIPA DC-008), tag 0x0112, values
    /// 1 to 8.
    pub fn new(orientation: Orientation, stored_width_px: u32, stored_height_px: u32) -> Self {
        let (w, h) = (stored_width_px as isize, stored_height_px as isize);
        let (right, bottom) = (w - 1, (h - 1) * w);
        let (turned, origin, step_x, step_y) = match orientation {
            Orientation::NoTransforms => (false, 0, 1, w),
            Orientation::FlipHorizontal => (false, right, -1, w),
            Orientation::Rotate180 => (false, bottom + right, -1, -w),
            Orientation::FlipVertical => (false, bottom, 1, -w),
            Orientation::Rotate90FlipH => (true, 0, w, 1),
            Orientation::Rotate90 => (true, bottom, -w, 1),
            Orientation::Rotate270FlipH => (true, bottom + right, -w, -1),
            Orientation::Rotate270 => (true, right, w, -1),
        };
        let (width_px, height_px) =
            if turned { (stored_height_px, stored_width_px) } else { (stored_width_px, stored_height_px) };
        Upright { width_px, height_px, origin, step_x, step_y }
    }

    /// Index of an upright pixel in the stored raster, counted in pixels. `x` and `y` must lie inside the photo.
    pub fn index(&self, x: u32, y: u32) -> usize {
        (self.origin + x as isize * self.step_x + y as isize * self.step_y) as usize
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Stored raster 3 x 2:  0 1 2 / 3 4 5, turned by hand on paper.
    #[test]
    fn all_eight_orientations_of_a_small_raster() {
        let expected: [(u8, u32, &[usize]); 8] = [
            (1, 3, &[0, 1, 2, 3, 4, 5]),
            (2, 3, &[2, 1, 0, 5, 4, 3]),
            (3, 3, &[5, 4, 3, 2, 1, 0]),
            (4, 3, &[3, 4, 5, 0, 1, 2]),
            (5, 2, &[0, 3, 1, 4, 2, 5]),
            (6, 2, &[3, 0, 4, 1, 5, 2]),
            (7, 2, &[5, 2, 4, 1, 3, 0]),
            (8, 2, &[2, 5, 1, 4, 0, 3]),
        ];
        for (exif, width, indices) in expected {
            let map = Upright::new(Orientation::from_exif(exif).unwrap_or(Orientation::NoTransforms), 3, 2);
            assert_eq!(map.width_px, width, "orientation {exif}");
            let seen: Vec<usize> =
                (0..map.height_px).flat_map(|y| (0..map.width_px).map(move |x| map.index(x, y))).collect();
            assert_eq!(seen, indices, "orientation {exif}");
        }
    }
}
