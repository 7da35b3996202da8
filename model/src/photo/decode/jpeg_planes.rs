//! JPEGs whose brightness is stored more coarsely than their colour, or in no whole ratio to it: rare, valid, and scaled
//! here since the decoder scales colour only.

use crate::photo::container::segments::Frame;
use libjpeg_turbo_rs::RawImage;
use rayon::prelude::*;

/// RGB samples from component planes, each scaled to the size of the photo by straight-line interpolation between the middles
/// of its samples (for halved planes that is the triangle filter of libjpeg). Y'CbCr to RGB: ITU-T T.871, section 7.
#[expect(clippy::cast_possible_truncation, reason = "clamped to the codes of a byte")]
pub(super) fn from_planes(planes: &RawImage, frame: &Frame) -> Vec<u8> {
    let (width, height) = (planes.width, planes.height);
    let mut rgb = vec![0; width * height * 3];
    let most = |place: usize| frame.components.iter().map(|c| c[place]).max().unwrap_or(1).max(1);
    let (most_h, most_v) = (usize::from(most(1)), usize::from(most(2)));
    let is_rgb = frame.components.iter().map(|c| c[0]).eq(*b"RGB");
    rgb.par_chunks_mut(width * 3).enumerate().for_each(|(y, row)| {
        for (x, pixel) in row.chunks_exact_mut(3).enumerate() {
            let mut values = [0.0; 3];
            for ((value, component), plane) in values.iter_mut().zip(&frame.components).zip(0..) {
                let (h, v) = (usize::from(component[1]), usize::from(component[2]));
                // Samples that belong to the photo; the rest of a plane fills up its last blocks.
                let (own_width, own_height) = ((width * h).div_ceil(most_h), (height * v).div_ceil(most_v));
                let (left, right, across) = between(x, h, most_h, own_width);
                let (top, bottom, down) = between(y, v, most_v, own_height);
                let stride = planes.plane_widths[plane];
                let at = |x: usize, y: usize| f32::from(planes.planes[plane][y * stride + x]);
                let mix = |a: f32, b: f32, t: f32| a + (b - a) * t;
                *value = mix(
                    mix(at(left, top), at(right, top), across),
                    mix(at(left, bottom), at(right, bottom), across),
                    down,
                );
            }
            let [y, cb, cr] = values;
            let (cb, cr) = (cb - 128.0, cr - 128.0);
            let colour =
                if is_rgb { values } else { [y + 1.402 * cr, y - 0.344_136 * cb - 0.714_136 * cr, y + 1.772 * cb] };
            pixel.copy_from_slice(&colour.map(|v| v.round().clamp(0.0, 255.0) as u8));
        }
    });
    rgb
}

/// The two samples that a pixel lies between, in a plane of `samples` samples with `factor` of them to `most` pixels, and how
/// far it lies towards the second.
#[expect(clippy::cast_possible_truncation, reason = "a place in a row; the cast saturates at 0")]
fn between(pixel: usize, factor: usize, most: usize, samples: usize) -> (usize, usize, f32) {
    let place = ((pixel as f32 + 0.5) * factor as f32 / most as f32 - 0.5).max(0.0);
    let first = (place as usize).min(samples - 1);
    (first, (first + 1).min(samples - 1), place.fract())
}
