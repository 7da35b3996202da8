//! Display P3 as an ICC profile, for readers that do not know `cICP`.
//!
//! ICC.1:2022 (version 4.4), a three-component matrix profile (8.4.3): numbers are big-endian, tags begin at multiples of four. Its
//! colours are those of the space computed in [`crate::colour::rgb_space`], brought from D65 to the D50 of the profile connection space by
//! Bradford's linear form (annex E).

use crate::colour::adaptation::{ICC_D50_XYZ, bradford};
use crate::colour::matrix::{Matrix3, product};
use crate::colour::rgb_space::{D65_XY, DISPLAY_P3, xyz_of};

/// What the space is called, in the profile and as the name of the chunk.
pub(super) const DISPLAY_P3_NAME: &str = "Display P3";

/// The parametric curve of IEC 61966-2-1 as 10.18 wants it: function type 3 with g, a, b, c, d.
const SRGB_CURVE: [f64; 5] = [2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045];

/// `s15Fixed16Number` (4.6): 16 bits of whole, 16 of fraction.
#[expect(clippy::cast_possible_truncation, reason = "every number here is below 3")]
fn fixed(value: f64) -> [u8; 4] {
    ((value * 65536.0).round() as i32).to_be_bytes()
}

fn xyz_type(xyz: [f64; 3]) -> Vec<u8> {
    [b"XYZ \0\0\0\0".to_vec(), xyz.map(fixed).concat()].concat()
}

fn matrix_type(matrix: &Matrix3) -> Vec<u8> {
    [b"sf32\0\0\0\0".to_vec(), matrix.as_flattened().iter().copied().flat_map(fixed).collect()].concat()
}

fn curve_type() -> Vec<u8> {
    [b"para\0\0\0\0\0\x03\0\0".to_vec(), SRGB_CURVE.map(fixed).concat()].concat()
}

/// `multiLocalizedUnicodeType` (10.15) of one ASCII text in English.
fn text_type(text: &str) -> Vec<u8> {
    let utf16: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    #[expect(clippy::cast_possible_truncation, reason = "the texts here are short")]
    let bytes = utf16.len() as u32;
    let numbers = |values: &[u32]| values.iter().flat_map(|v| v.to_be_bytes()).collect::<Vec<u8>>();
    [b"mluc\0\0\0\0".to_vec(), numbers(&[1, 12]), b"enUS".to_vec(), numbers(&[bytes, 28]), utf16].concat()
}

/// The profile of Display P3.
#[expect(clippy::cast_possible_truncation, reason = "the profile has a few hundred bytes")]
pub(crate) fn display_p3() -> Vec<u8> {
    let to_d50 = bradford(xyz_of(D65_XY), ICC_D50_XYZ);
    let primaries = product(&to_d50, &DISPLAY_P3.to_xyz);
    let column = |i: usize| xyz_type([0, 1, 2].map(|row: usize| primaries[row][i]));
    // Tags that share an element name it by one entry of the data.
    let data = [
        text_type(DISPLAY_P3_NAME),
        text_type("No copyright, use freely"),
        xyz_type(ICC_D50_XYZ),
        matrix_type(&to_d50),
        column(0),
        column(1),
        column(2),
        curve_type(),
        // 9.2.17: primaries 12, transfer 13, matrix 0, full range, as in the chunk `cICP`.
        b"cicp\0\0\0\0\x0c\x0d\0\x01".to_vec(),
    ];
    let tags: [(&[u8; 4], usize); 11] = [
        (b"desc", 0),
        (b"cprt", 1),
        (b"wtpt", 2),
        (b"chad", 3),
        (b"rXYZ", 4),
        (b"gXYZ", 5),
        (b"bXYZ", 6),
        (b"rTRC", 7),
        (b"gTRC", 7),
        (b"bTRC", 7),
        (b"cicp", 8),
    ];
    let mut elements = Vec::new();
    let mut places = Vec::new();
    let first = 128 + 4 + 12 * tags.len();
    for element in data {
        places.push(((first + elements.len()) as u32, element.len() as u32));
        elements.extend(element);
        elements.resize(elements.len().next_multiple_of(4), 0);
    }
    let mut profile = vec![0; 128];
    let mut put = |at: usize, bytes: &[u8]| profile[at..at + bytes.len()].copy_from_slice(bytes);
    // 7.2: size, version 4.4, a display, RGB to XYZ, a date that never changes, the signature, perceptual intent, D50.
    put(0, &((first + elements.len()) as u32).to_be_bytes());
    put(8, &[4, 0x40, 0, 0]);
    put(12, b"mntrRGB XYZ ");
    put(24, &[2022, 1, 1, 0, 0, 0].map(u16::to_be_bytes).concat());
    put(36, b"acsp");
    put(68, &ICC_D50_XYZ.map(fixed).concat());
    profile.extend((tags.len() as u32).to_be_bytes());
    for (name, element) in tags {
        let (at, length) = places[element];
        profile.extend([*name, at.to_be_bytes(), length.to_be_bytes()].concat());
    }
    profile.extend(elements);
    profile
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::colour::{Colour, decode_f64};
    use moxcms::{ColorProfile, DataColorSpace, Layout, TransformOptions};

    /// Read back by an independent reader: colours of Display P3 come out as W3C CSS Color 4 converts them to sRGB.
    #[test]
    fn an_independent_reader_finds_display_p3() {
        let bytes = display_p3();
        assert_eq!(bytes.len() % 4, 0);
        assert_eq!(bytes[..4], (bytes.len() as u32).to_be_bytes());
        let profile = ColorProfile::new_from_slice(&bytes).unwrap();
        assert_eq!(profile.color_space, DataColorSpace::Rgb);
        // The published profile's colorants (from memory), which are rounded to 16 bits.
        let published = [[0.51512, 0.29198, 0.15710], [0.24120, 0.69225, 0.06657], [-0.00105, 0.04189, 0.78407]];
        for (ours, theirs) in profile.colorant_matrix().v.as_flattened().iter().zip(published.as_flattened()) {
            assert!((ours - theirs).abs() < 2e-4, "{ours} {theirs}");
        }
        let srgb = ColorProfile::new_srgb();
        let transform =
            profile.create_transform_f32(Layout::Rgb, &srgb, Layout::Rgb, TransformOptions::default()).unwrap();
        for p3 in [[0.5, 0.5, 0.5], [0.6, 0.45, 0.4], [0.2, 0.3, 0.25], [1.0, 1.0, 1.0]] {
            let mut got = [0.0; 3];
            transform.transform(&p3, &mut got).unwrap();
            let want = Colour::from_display_p3(p3.map(|v| decode_f64(f64::from(v)) as f32)).srgb();
            for (got, want) in got.iter().zip(want) {
                assert!((got - want).abs() < 1.0 / 255.0, "{p3:?}: {got} {want}");
            }
        }
    }
}
