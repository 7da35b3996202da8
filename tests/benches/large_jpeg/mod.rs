//! The photo that benches open.

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageEncoder};
use stint_tests::numbers::Numbers;

/// A grainy 4000 x 3000 picture as a JPEG of quality 90.
pub fn large_jpeg() -> Vec<u8> {
    let mut numbers = Numbers(5);
    let (width, height) = (4000_u32, 3000_u32);
    let mut pixels = Vec::with_capacity((width * height * 3) as usize);
    for y in 0..height {
        for x in 0..width {
            let grain = numbers.below(24);
            let shape = ((x / 37) ^ (y / 53)) % 64;
            pixels.extend([(x / 20 + grain) as u8, (y / 15 + grain) as u8, (shape * 2 + grain + 40) as u8]);
        }
    }
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 90).write_image(&pixels, width, height, ExtendedColorType::Rgb8).unwrap();
    bytes
}
