//! A blur of a small picture, for squinting at the photo as at the canvas.

use stint_model::colour::Colour;

/// How often a box is laid over a box: three come near a Gaussian (Wells 1986, "Efficient synthesis of Gaussian filters by cascaded
/// uniform filters"; from memory).
const BOXES: usize = 3;

/// The picture blurred in linear light; `sigma` is the standard deviation in pixels. 8-bit sRGB codes, row by row.
pub(super) fn blurred(codes: &[[u8; 3]], width: usize, height: usize, sigma: f32) -> Vec<[u8; 3]> {
    // The variance of a box of 2r + 1 pixels is ((2r + 1)^2 - 1) / 12, and variances add.
    #[expect(clippy::cast_possible_truncation, reason = "a radius in pixels; the cast saturates at 0")]
    let radius = (((12.0 * sigma * sigma / BOXES as f32 + 1.0).sqrt() - 1.0) / 2.0).round() as usize;
    if radius == 0 || codes.is_empty() {
        return codes.to_vec();
    }
    let linear = |c: &[u8; 3]| {
        let colour = Colour::from_srgb8(*c);
        [colour.r, colour.g, colour.b]
    };
    let mut pixels: Vec<[f32; 3]> = codes.iter().map(linear).collect();
    for _ in 0..BOXES {
        for row in 0..height {
            lines(&mut pixels, row * width, 1, width, radius);
        }
        for column in 0..width {
            lines(&mut pixels, column, width, height, radius);
        }
    }
    pixels.into_iter().map(|[r, g, b]| Colour::new(r, g, b).to_srgb8()).collect()
}

/// Lays a box over one row or column; beyond the edge the last pixel goes on.
fn lines(pixels: &mut [[f32; 3]], first: usize, step: usize, count: usize, radius: usize) {
    let line: Vec<[f32; 3]> = (0..count).map(|i| pixels[first + i * step]).collect();
    let at = |i: isize| line[i.clamp(0, count as isize - 1) as usize];
    let radius = radius as isize;
    let mut sum = [0.0f32; 3];
    for i in -radius..=radius {
        for (sum, value) in sum.iter_mut().zip(at(i)) {
            *sum += value;
        }
    }
    let share = 1.0 / (2 * radius + 1) as f32;
    for i in 0..count {
        pixels[first + i * step] = sum.map(|v| (v * share).max(0.0));
        let (comes, goes) = (at(i as isize + radius + 1), at(i as isize - radius));
        for k in 0..3 {
            sum[k] += comes[k] - goes[k];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_blur_keeps_even_colour_and_spreads_an_edge_by_its_deviation() {
        let even = vec![[90, 120, 30]; 20 * 10];
        assert_eq!(blurred(&even, 20, 10, 4.0), even);
        assert_eq!(blurred(&even, 20, 10, 0.1), even);
        // An edge between black and white: one standard deviation beside it, 84 % of the light of the white side (normal distribution).
        let edge: Vec<[u8; 3]> = (0..200 * 3).map(|i| if i % 200 < 100 { [0; 3] } else { [255; 3] }).collect();
        let seen = blurred(&edge, 200, 3, 10.0);
        let light = |x: usize| Colour::from_srgb8(seen[200 + x]).g;
        assert!((light(100) - 0.5).abs() < 0.03, "{}", light(100));
        assert!((light(110) - 0.841).abs() < 0.03, "{}", light(110));
        assert!(light(60) < 0.01 && light(140) > 0.99);
    }
}
