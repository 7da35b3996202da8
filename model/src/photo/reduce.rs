//! A small copy of a view, or of a part of it, by block means: for finding surfaces and for showing the photo.

use super::adjustments::PixelRect;
use super::open::Photo;
use super::soften::Kernel;
use super::view::View;
use crate::colour::Colour;
use palette::{LinSrgb, Srgb};
use rayon::prelude::*;

/// Rows that one task of a parallel pass takes on.
const BAND_ROWS: usize = 32;

/// A part of a photo as the means of its blocks, in linear light and weighted by opacity: all of a reduced view that does not
/// depend on the adjustments. Kept while a slider moves, it saves reading the photo again.
#[derive(Clone, Debug)]
pub struct Blocks {
    width: usize,
    height: usize,
    /// Mean of each block, weighted by opacity, in the photo's own primaries; then the mean opacity.
    sums: Vec<[f32; 4]>,
    /// Blocks across over pixels across.
    scale: f32,
    rect: PixelRect,
}

impl Blocks {
    /// Reduces the part of a photo that lies inside `rect` so that neither side has more than `max_side` blocks; a smaller part
    /// is kept pixel for pixel. A rectangle beside the photo gives its nearest pixels.
    #[expect(clippy::cast_possible_truncation, reason = "not longer than a side of the photo")]
    pub fn new(photo: &Photo, rect: PixelRect, max_side: u32) -> Self {
        let rect = inside(photo, rect);
        let PixelRect { x, y, width_px, height_px } = rect;
        let longest = width_px.max(height_px);
        let max_side = max_side.clamp(1, longest);
        let blocks =
            |size_px: u32| (u64::from(size_px) * u64::from(max_side)).div_ceil(u64::from(longest)).max(1) as usize;
        let (width, height) = (blocks(width_px), blocks(height_px));
        let edge_x: Vec<u32> = (0..=width).map(|i| edge(i, width, width_px)).collect();
        let mut sums = vec![[0.0f32; 4]; width * height];
        sums.par_chunks_mut(width).enumerate().for_each(|(j, row)| {
            let (top, bottom) = (edge(j, height, height_px), edge(j + 1, height, height_px));
            let mut run = vec![[0.0; 4]; width_px as usize];
            for line in top..bottom {
                photo.row(x, y + line, &mut run);
                for (block, ends) in row.iter_mut().zip(edge_x.windows(2)) {
                    for &[r, g, b, a] in &run[ends[0] as usize..ends[1] as usize] {
                        *block = [block[0] + r * a, block[1] + g * a, block[2] + b * a, block[3] + a];
                    }
                }
            }
            for (block, ends) in row.iter_mut().zip(edge_x.windows(2)) {
                let count = ((bottom - top) * (ends[1] - ends[0])) as f32;
                *block = block.map(|s| s / count);
            }
        });
        Blocks { width, height, sums, scale: width as f32 / width_px as f32, rect }
    }

    /// About the same from two pixels of each block, in a fraction of the time: for looking at while [`Blocks::new`] is at work.
    #[expect(clippy::cast_possible_truncation, reason = "not longer than a side of the photo")]
    pub fn sampled(photo: &Photo, rect: PixelRect, max_side: u32) -> Self {
        let rect = inside(photo, rect);
        let PixelRect { x, y, width_px, height_px } = rect;
        let stride = width_px.max(height_px).div_ceil(max_side.max(1)).max(1);
        let (width, height) = ((width_px / stride).max(1) as usize, (height_px / stride).max(1) as usize);
        // One of them left and high in its block, one right and low: what is fine and regular is met out of step.
        let places = [stride / 4, stride * 3 / 4].map(|at| (at.min(width_px - 1), at.min(height_px - 1)));
        let mut sums = vec![[0.0f32; 4]; width * height];
        sums.par_chunks_mut(width).enumerate().for_each(|(j, row)| {
            let mut run = vec![[0.0; 4]; width];
            for (right, down) in places {
                photo.every(stride, x + right, y + (j as u32 * stride + down).min(height_px - 1), &mut run);
                for (block, &[r, g, b, a]) in row.iter_mut().zip(&run) {
                    *block =
                        [block[0] + r * a / 2.0, block[1] + g * a / 2.0, block[2] + b * a / 2.0, block[3] + a / 2.0];
                }
            }
        });
        Blocks { width, height, sums, scale: width as f32 / width_px as f32, rect }
    }

    /// The pixels it stands for: what was asked, clipped to the photo.
    pub fn rect(&self) -> PixelRect {
        self.rect
    }

    /// As the same photo is seen under a view: width, height and opaque sRGB codes (IEC 61966-2-1), row by row. Colours outside
    /// sRGB are clipped; transparency is shown over `ground`. Softening is as in [`View::thumbnail`]; it repeats the edges of
    /// the part.
    #[expect(clippy::cast_possible_truncation, reason = "not longer than a side of the photo")]
    pub fn seen(&self, view: &View<'_>, ground: Colour) -> (u32, u32, Vec<[u8; 3]>) {
        let mut codes = vec![[0u8; 3]; self.sums.len()];
        let band = self.width * BAND_ROWS;
        let kernel = self.kernel(view);
        codes.par_chunks_mut(band).enumerate().for_each(|(i, codes)| {
            let softened = kernel.as_ref().map(|k| self.softened(k, i * BAND_ROWS, codes.len() / self.width));
            let sums = softened.as_deref().unwrap_or(&self.sums[i * band..i * band + codes.len()]);
            for (code, sum) in codes.iter_mut().zip(sums) {
                let (c, a) = (straight(*sum, view), sum[3]);
                let over = |c: f32, ground: f32| c * a + ground * (1.0 - a);
                let linear = LinSrgb::new(over(c.r, ground.r), over(c.g, ground.g), over(c.b, ground.b));
                // By table: within 0.55 of a code.
                let srgb = Srgb::<u8>::from_linear(linear);
                *code = [srgb.red, srgb.green, srgb.blue];
            }
        });
        (self.width as u32, self.height as u32, codes)
    }

    #[expect(clippy::cast_possible_truncation, reason = "no more blocks than pixels")]
    /// As [`Blocks::seen`], but as it is and not as a screen shows it: width, height, and straight colours with their opacity, row
    /// by row.
    pub fn colours(&self, view: &View<'_>) -> (u32, u32, Vec<(Colour, f32)>) {
        let softened = self.kernel(view).map(|kernel| self.softened(&kernel, 0, self.height));
        let sums = softened.as_ref().unwrap_or(&self.sums);
        let colours = sums.par_iter().map(|sum| (straight(*sum, view), sum[3])).collect();
        (self.width as u32, self.height as u32, colours)
    }

    fn kernel(&self, view: &View<'_>) -> Option<Kernel> {
        Kernel::new(view.sigma_px() * self.scale)
    }

    /// Some rows, softened.
    fn softened(&self, kernel: &Kernel, first: usize, rows: usize) -> Vec<[f32; 4]> {
        // Rows above and below as far as the kernel reaches: what is repeated beyond them is not seen in the middle.
        let from = first.saturating_sub(kernel.radius_px());
        let to = (first + rows + kernel.radius_px()).min(self.height);
        let mut all = kernel.whole(&self.sums[from * self.width..to * self.width], self.width);
        all.truncate((first + rows - from) * self.width);
        all.drain(..(first - from) * self.width);
        all
    }
}

/// What of a rectangle lies on a photo; beside it its nearest pixels.
fn inside(photo: &Photo, rect: PixelRect) -> PixelRect {
    let clipped = |from: u32, size: u32, photo: u32| {
        let from = from.min(photo - 1);
        (from, size.clamp(1, photo - from))
    };
    let (x, width_px) = clipped(rect.x, rect.width_px, photo.width_px());
    let (y, height_px) = clipped(rect.y, rect.height_px, photo.height_px());
    PixelRect { x, y, width_px, height_px }
}

/// The colour of a weighted sum under a view.
fn straight([r, g, b, a]: [f32; 4], view: &View<'_>) -> Colour {
    let own = if a > 0.0 { [r / a, g / a, b / a] } else { [0.0; 3] };
    view.change().of(view.photo().colour_of(own))
}

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
    /// What of the photo the cells cover.
    part: PixelRect,
}

impl Reduced {
    /// Reduces the part of a view that is used so that neither side has more than `max_side` cells; a smaller one is kept pixel for
    /// pixel.
    ///
    /// Softening is applied to the cells with its width scaled down: the mean of a softened block and the softened mean
    /// of a block differ by less than the blocks' own coarseness, and a photo of twelve megapixels need not be softened
    /// whole. Colours are changed last, as in a view.
    pub fn new(view: &View<'_>, max_side: u32) -> Self {
        let blocks = Blocks::new(view.photo(), view.part(), max_side);
        let (colours, alpha) = blocks.colours(view).2.into_iter().unzip();
        Reduced { width: blocks.width, height: blocks.height, colours, alpha, part: blocks.rect }
    }

    /// The photo pixels from the cell at the top left to the one at the bottom right, both included.
    pub fn rect_px(&self, first: usize, last: usize) -> PixelRect {
        let PixelRect { x, y, width_px, height_px } = self.part;
        let [left, right] = [first % self.width, last % self.width + 1].map(|i| edge(i, self.width, width_px));
        let [top, bottom] = [first / self.width, last / self.width + 1].map(|i| edge(i, self.height, height_px));
        PixelRect { x: x + left, y: y + top, width_px: right - left, height_px: bottom - top }
    }

    /// The photo pixels of the cell that holds a pixel.
    pub fn cell_px(&self, [x, y]: [u32; 2]) -> PixelRect {
        let cell = |at: u32, cells: usize, size_px: u32| {
            // The last cell that begins at or before it.
            #[expect(clippy::cast_possible_truncation, reason = "not longer than a side of the photo")]
            let near = (u64::from(at) * cells as u64 / u64::from(size_px)) as usize;
            if near + 1 < cells && edge(near + 1, cells, size_px) <= at { near + 1 } else { near }
        };
        let (x, y) = (x.saturating_sub(self.part.x), y.saturating_sub(self.part.y));
        let cell = cell(y, self.height, self.part.height_px) * self.width + cell(x, self.width, self.part.width_px);
        self.rect_px(cell, cell)
    }

    /// The photo pixel at the middle of a cell.
    pub fn middle_px(&self, cell: usize) -> [u32; 2] {
        let middle = |i: usize, cells: usize, size_px: u32| (edge(i, cells, size_px) + edge(i + 1, cells, size_px)) / 2;
        let PixelRect { x, y, width_px, height_px } = self.part;
        [
            x + middle(cell % self.width, self.width, width_px).min(width_px - 1),
            y + middle(cell / self.width, self.height, height_px).min(height_px - 1),
        ]
    }
}

/// First photo pixel of cell `i` of `cells`. There are never more cells than pixels, so no cell is empty.
#[expect(clippy::cast_possible_truncation, reason = "not longer than a side of the photo")]
fn edge(i: usize, cells: usize, size_px: u32) -> u32 {
    (i as u64 * u64::from(size_px) / cells as u64) as u32
}

impl Photo {
    /// The whole photo in at most `max_side` blocks a side.
    pub fn blocks(&self, max_side: u32) -> Blocks {
        let rect = PixelRect { x: 0, y: 0, width_px: self.width_px(), height_px: self.height_px() };
        Blocks::new(self, rect, max_side)
    }
}

impl View<'_> {
    /// A small opaque copy of the part that is used, of at most `max_side` pixels a side: width, height and sRGB codes (IEC 61966-2-1), row by
    /// row. Colours outside sRGB are clipped; transparency is shown over `ground`. Softening is applied to the copy, with its
    /// width scaled down.
    pub fn thumbnail(&self, max_side: u32, ground: Colour) -> (u32, u32, Vec<[u8; 3]>) {
        Blocks::new(self.photo(), self.part(), max_side).seen(self, ground)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::Blocks;
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
        let three = super::Reduced::new(&view, 3);
        for i in 0..9 {
            let rect = three.rect_px(i, i);
            for (x, y) in [(rect.x, rect.y), (rect.x + rect.width_px - 1, rect.y + rect.height_px - 1)] {
                assert_eq!(three.cell_px([x, y]), rect);
            }
        }
        assert_eq!(three.rect_px(0, 8), PixelRect { x: 0, y: 0, width_px: 7, height_px: 5 });
    }

    #[test]
    fn a_sample_shows_the_same_in_the_same_place_whatever_the_sides() {
        let (w, h) = (403_u32, 301_u32);
        let samples: Vec<u8> =
            (0..w * h).flat_map(|i| [(i % w * 255 / w) as u8, (i / w * 255 / h) as u8, 90]).collect();
        let photo = photo_of(w, &samples);
        let view = photo.view(Adjustments::default());
        for rect in [
            PixelRect { x: 0, y: 0, width_px: w, height_px: h },
            PixelRect { x: 200, y: 13, width_px: 150, height_px: 288 },
            PixelRect { x: 400, y: 290, width_px: 90, height_px: 90 },
            PixelRect { x: 9, y: 9, width_px: 300, height_px: 2 },
        ] {
            for side in [1, 7, 64, 500] {
                let sampled = Blocks::sampled(&photo, rect, side);
                assert_eq!(sampled.rect(), Blocks::new(&photo, rect, side).rect());
                let (width, height, codes) = sampled.seen(&view, Colour::default());
                assert!(width.max(height) <= side.max(1) && codes.len() == (width * height) as usize);
                let shown = sampled.rect();
                for (i, code) in codes.iter().enumerate() {
                    let part = |i: usize, of: u32, from: u32, size: u32, all: u32| {
                        (from as f32 + (i as f32 + 0.5) / of as f32 * size as f32) / all as f32 * 255.0
                    };
                    let i = (i % width as usize, i / width as usize);
                    let place =
                        [part(i.0, width, shown.x, shown.width_px, w), part(i.1, height, shown.y, shown.height_px, h)];
                    let off = place.iter().zip(code).map(|(p, &c)| (p - f32::from(c)).abs()).fold(0.0, f32::max);
                    let block = shown.width_px.max(shown.height_px) as f32 / side as f32;
                    assert!(off < 3.0 + block, "{rect:?} {side}: {off} at {i:?}");
                }
            }
        }
    }

    #[test]
    fn a_part_is_seen_as_in_the_whole_and_softening_knows_no_bands() {
        let samples: Vec<u8> = (0..90 * 70 * 3).map(|i| (i * 37 % 251) as u8).collect();
        let photo = photo_of(90, &samples);
        let view = photo.view(Adjustments { hue_turn_degrees: 30.0, soften_px: 0.0, ..Adjustments::default() });
        let rect = PixelRect { x: 40, y: 60, width_px: 80, height_px: 80 };
        let part = Blocks::new(&photo, rect, 500);
        assert_eq!(part.rect(), PixelRect { x: 40, y: 60, width_px: 50, height_px: 10 });
        let (w, h, codes) = part.seen(&view, Colour::default());
        assert_eq!((w, h), (50, 10));
        let whole = view.thumbnail(90, Colour::default()).2;
        for (row, part) in codes.chunks(50).enumerate() {
            assert_eq!(part, &whole[(60 + row) * 90 + 40..][..50]);
        }
        // 70 rows are three bands; the softened view has none.
        let soft = photo.view(Adjustments { hue_turn_degrees: 0.0, soften_px: 2.0, ..Adjustments::default() });
        let exact = soft.region(PixelRect { x: 0, y: 0, width_px: 90, height_px: 70 });
        let codes = soft.thumbnail(90, Colour::default()).2;
        let off = |code: &[u8; 3], exact: [u8; 3]| code.iter().zip(exact).map(|(a, b)| a.abs_diff(b)).max().unwrap();
        assert!(codes.iter().zip(exact).all(|(code, colour)| off(code, colour.to_srgb8()) <= 1));
    }
}
