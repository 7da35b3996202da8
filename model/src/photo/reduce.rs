//! A small copy of a view by block means, for finding surfaces and for thumbnails.

use super::soften::Kernel;
use super::view::View;
use crate::colour::Colour;
use palette::{LinSrgb, Srgb};
use rayon::prelude::*;

/// A reduced view: each cell is the mean, in linear light and weighted by opacity, of a block of photo pixels.
pub(super) struct Reduced {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Straight colours, row by row.
    pub colours: Vec<Colour>,
    /// Mean opacity of each cell.
    pub alpha: Vec<f32>,
    /// Size of the photo.
    photo_px: [u32; 2],
}

impl Reduced {
    /// Reduces a view so that neither side has more than `max_side` cells; a smaller photo is kept pixel for pixel.
    ///
    /// Softening is applied to the cells with its width scaled down: the mean of a softened block and the softened mean
    /// of a block differ by less than the blocks' own coarseness, and a photo of twelve megapixels need not be softened
    /// whole. The hue is turned last, as in a view.
    pub fn new(view: &View<'_>, max_side: u32) -> Self {
        let photo = view.photo();
        let photo_px = [photo.width_px(), photo.height_px()];
        let longest = photo_px[0].max(photo_px[1]);
        let max_side = max_side.clamp(1, longest);
        let cells =
            |size_px: u32| (u64::from(size_px) * u64::from(max_side)).div_ceil(u64::from(longest)).max(1) as usize;
        let (width, height) = (cells(photo_px[0]), cells(photo_px[1]));
        let edge_x: Vec<u32> = (0..=width).map(|i| edge(i, width, photo_px[0])).collect();

        // Cells hold colours weighted by opacity until the end.
        let mut sums = vec![[0.0f32; 4]; width * height];
        sums.par_chunks_mut(width).enumerate().for_each(|(j, row)| {
            let (top, bottom) = (edge(j, height, photo_px[1]), edge(j + 1, height, photo_px[1]));
            let mut run = Vec::new();
            for (cell, x) in row.iter_mut().zip(edge_x.windows(2)) {
                run.resize((x[1] - x[0]) as usize, [0.0; 4]);
                let mut sum = [0.0f32; 4];
                for y in top..bottom {
                    photo.row(x[0], y, &mut run);
                    for &[r, g, b, a] in &run {
                        sum = [sum[0] + r * a, sum[1] + g * a, sum[2] + b * a, sum[3] + a];
                    }
                }
                let count = ((bottom - top) * (x[1] - x[0])) as f32;
                *cell = sum.map(|s| s / count);
            }
        });
        let scale = width as f32 / photo_px[0] as f32;
        if let Some(kernel) = Kernel::new(view.sigma_px() * scale) {
            sums = kernel.whole(&sums, width);
        }
        let turn = view.turn();
        let colours = sums
            .par_iter()
            .map(|&[r, g, b, a]| {
                let own = if a > 0.0 { [r / a, g / a, b / a] } else { [0.0; 3] };
                turn.of(photo.colour_of(own))
            })
            .collect();
        Reduced { width, height, colours, alpha: sums.iter().map(|s| s[3]).collect(), photo_px }
    }

    /// The photo pixel at the middle of a cell.
    pub fn middle_px(&self, cell: usize) -> [u32; 2] {
        let middle = |i: usize, cells: usize, size_px: u32| (edge(i, cells, size_px) + edge(i + 1, cells, size_px)) / 2;
        [
            middle(cell % self.width, self.width, self.photo_px[0]).min(self.photo_px[0] - 1),
            middle(cell / self.width, self.height, self.photo_px[1]).min(self.photo_px[1] - 1),
        ]
    }
}

/// First photo pixel of cell `i` of `cells`. There are never more cells than pixels, so no cell is empty.
fn edge(i: usize, cells: usize, size_px: u32) -> u32 {
    (i as u64 * u64::from(size_px) / cells as u64) as u32
}

impl View<'_> {
    /// A small opaque copy of at most `max_side` pixels a side: width, height and sRGB codes (IEC 61966-2-1), row by
    /// row. Colours outside sRGB are clipped; transparency is shown over `ground`.
    pub fn thumbnail(&self, max_side: u32, ground: Colour) -> (u32, u32, Vec<[u8; 3]>) {
        let small = Reduced::new(self, max_side);
        let codes = small.colours.iter().zip(&small.alpha).map(|(c, &a)| {
            let over = |c: f32, ground: f32| c * a + ground * (1.0 - a);
            let linear = LinSrgb::new(over(c.r, ground.r), over(c.g, ground.g), over(c.b, ground.b));
            let code: Srgb<u8> = Srgb::<f32>::from_linear(linear).into_format();
            [code.red, code.green, code.blue]
        });
        (small.width as u32, small.height as u32, codes.collect())
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::colour::Colour;
    use crate::photo::open::tests::photo_of;
    use crate::photo::{Adjustments, PixelRect};

    #[test]
    fn a_thumbnail_is_made_of_block_means_in_linear_light() {
        // Four blocks of 2 x 2, the first half black and half white: mean 0.5 in light is code 188 (IEC 61966-2-1:
        // 1.055 * 0.5^(1/2.4) - 0.055 = 0.7354).
        let rows = [[0u8, 255, 10, 10], [255, 0, 10, 10], [20, 20, 255, 255], [20, 20, 255, 255]];
        let samples: Vec<u8> = rows.iter().flatten().flat_map(|&v| [v; 3]).collect();
        let photo = photo_of(4, &samples);
        let (w, h, codes) = photo.view(Adjustments::default()).thumbnail(2, Colour::default());
        assert_eq!((w, h), (2, 2));
        assert_eq!(codes, [[188; 3], [10; 3], [20; 3], [255; 3]]);
    }

    #[test]
    fn odd_sizes_cover_every_pixel_and_small_photos_stay_as_they_are() {
        let samples: Vec<u8> = (0..7 * 5 * 3).map(|i| (i * 2) as u8).collect();
        let photo = photo_of(7, &samples);
        let view = photo.view(Adjustments::default());
        assert_eq!(view.thumbnail(3, Colour::default()).2.len(), 3 * 3);
        let (w, h, codes) = view.thumbnail(100, Colour::default());
        assert_eq!((w, h), (7, 5));
        assert_eq!(codes.concat(), samples);
        // The mean over all cells of one block is the mean over all pixels.
        let all = view.region(PixelRect { x: 0, y: 0, width_px: 7, height_px: 5 });
        let mean = all.iter().map(|c| c.g).sum::<f32>() / 35.0;
        let one = super::Reduced::new(&view, 1);
        assert!((one.colours[0].g - mean).abs() < 1e-6);
        assert_eq!(one.middle_px(0), [3, 2]);
    }
}
