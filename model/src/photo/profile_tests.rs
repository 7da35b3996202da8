#![allow(clippy::unwrap_used)]

use super::*;
use crate::colour::rgb_space;
use crate::photo::raster::{CHANNELS_GREY, CHANNELS_RGB, DISPLAY_P3};

fn colour_of(conversion: &Conversion, rgb: [u8; 3]) -> Colour {
    let mut out = [[0.0; 4]];
    assert!(conversion.linearise(&rgb, &CHANNELS_RGB, 0, 1, &mut out));
    let [r, g, b, alpha] = out[0];
    assert_eq!(alpha, 1.0);
    conversion.colour([r, g, b])
}

/// An sRGB profile whose device-to-connection step is a `lut16Type` table (ICC.1:2022, 10.10) and nothing else: input
/// curves carry the transfer function, the 2 x 2 x 2 grid the (linear) map to XYZ.
fn srgb_as_table() -> Vec<u8> {
    const CURVE: usize = 1024;
    let profile = ColorProfile::new_srgb();
    let curve = tabulate(profile.red_trc.as_ref().unwrap(), u16::MAX).unwrap();
    let colorants = adapted(&SRGB);
    let mut table = b"mft2\0\0\0\0\x03\x03\x02\0".to_vec();
    for value in [1i32, 0, 0, 0, 1, 0, 0, 0, 1] {
        table.extend((value * 65536).to_be_bytes());
    }
    table.extend((CURVE as u16).to_be_bytes());
    table.extend(2u16.to_be_bytes());
    for _ in 0..3 {
        for i in 0..CURVE {
            table.extend(((curve[i * 65535 / (CURVE - 1)] * 65535.0).round() as u16).to_be_bytes());
        }
    }
    for corner in 0..8usize {
        let rgb = [corner >> 2 & 1, corner >> 1 & 1, corner & 1].map(|v| v as f64);
        for row in colorants {
            let xyz: f64 = row.iter().zip(rgb).map(|(m, v)| m * v).sum();
            table.extend(((xyz * 32768.0).round() as u16).to_be_bytes());
        }
    }
    for _ in 0..3 {
        table.extend([0, 0, 0xFF, 0xFF]);
    }
    let mut file = vec![0; 128];
    file[8] = 2;
    file[12..24].copy_from_slice(b"mntrRGB XYZ ");
    file[36..40].copy_from_slice(b"acsp");
    for (at, value) in [(68, 0xF6D6u32), (72, 0x10000), (76, 0xD32D)] {
        file[at..at + 4].copy_from_slice(&value.to_be_bytes());
    }
    file.extend(1u32.to_be_bytes());
    file.extend(b"A2B0");
    file.extend(144u32.to_be_bytes());
    file.extend((table.len() as u32).to_be_bytes());
    file.extend(table);
    let size = (file.len() as u32).to_be_bytes();
    file[..4].copy_from_slice(&size);
    file
}

#[test]
fn a_profile_of_tables_agrees_with_the_same_space_as_curves() {
    let tables = Conversion::new(&Described::Icc(srgb_as_table()), &CHANNELS_RGB, 255).unwrap();
    assert!(matches!(tables.linear, Linear::Table(_)));
    let curves = Conversion::new(&Described::Srgb, &CHANNELS_RGB, 255).unwrap();
    for rgb in [[255, 255, 255], [128, 128, 128], [255, 0, 0], [0, 255, 0], [0, 0, 255], [200, 150, 130], [20, 40, 60]]
    {
        let (a, b) = (colour_of(&tables, rgb), colour_of(&curves, rgb));
        let apart = (a.r - b.r).abs().max((a.g - b.g).abs()).max((a.b - b.b).abs());
        assert!(apart < 4e-3, "{rgb:?}: {a:?} and {b:?}");
    }
}

#[test]
fn srgb_needs_no_matrix_and_sixteen_bits_keep_their_steps() {
    let srgb = Conversion::new(&Described::Srgb, &CHANNELS_RGB, u16::MAX).unwrap();
    let through_xyz = to_linear_srgb(&adapted(&SRGB)).unwrap();
    for (row, expected) in through_xyz.iter().zip(IDENTITY) {
        assert!(row.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-6));
    }
    let Linear::Curves([red, ..]) = &srgb.linear else { panic!("sRGB has curves") };
    assert_eq!(red.len(), 65536);
    assert!(red.windows(2).all(|w| w[0] < w[1]));
}

#[test]
fn grey_takes_a_grey_profile_or_any_other() {
    let grey_profile = ColorProfile::new_gray_with_gamma(2.0).encode().unwrap();
    let grey = Conversion::new(&Described::Icc(grey_profile.clone()), &CHANNELS_GREY, 255).unwrap();
    let mut out = [[0.0; 4]; 1];
    assert!(grey.linearise(&[128u8], &CHANNELS_GREY, 0, 1, &mut out));
    let expected = (128.0f32 / 255.0).powi(2);
    assert!((out[0][0] - expected).abs() < 1e-4 && out[0][0] == out[0][2]);
    assert!(Conversion::new(&Described::Icc(grey_profile), &CHANNELS_RGB, 255).is_err());
    assert!(Conversion::new(&DISPLAY_P3, &CHANNELS_GREY, 255).is_ok());
}

#[test]
fn broken_profiles_are_refused_without_a_panic() {
    let whole = [ColorProfile::new_adobe_rgb().encode().unwrap(), srgb_as_table()];
    for profile in whole {
        assert!(Conversion::new(&Described::Icc(profile.clone()), &CHANNELS_RGB, 255).is_ok());
        let step = (profile.len() / 300).max(1);
        for cut in (0..profile.len()).step_by(step) {
            let _ = Conversion::new(&Described::Icc(profile[..cut].to_vec()), &CHANNELS_RGB, 255);
        }
        for at in (0..profile.len()).step_by(step) {
            for value in [0, 0x7F, 0xFF] {
                let mut changed = profile.clone();
                changed[at] = value;
                if let Ok(conversion) = Conversion::new(&Described::Icc(changed), &CHANNELS_RGB, 255) {
                    let colour = colour_of(&conversion, [255, 128, 0]);
                    assert!(colour.is_finite(), "byte {at} set to {value}");
                }
            }
        }
    }
    assert!(Conversion::new(&Described::Icc(Vec::new()), &CHANNELS_RGB, 255).is_err());
}

#[test]
fn adapted_primaries_are_those_of_the_standard() {
    // W3C CSS Color 4, sample code: linear sRGB to XYZ D65, then Bradford to D50 (D50 from x, y there, hence 3e-4).
    let expected = [
        [0.436_065_74, 0.385_151_50, 0.143_078_41],
        [0.222_493_18, 0.716_887_00, 0.060_619_81],
        [0.013_923_92, 0.097_081_32, 0.714_099_35],
    ];
    for (row, expected) in adapted(&SRGB).iter().zip(expected) {
        assert!(row.iter().zip(expected).all(|(a, b): (&f64, f64)| (a - b).abs() < 3e-4), "{row:?}");
    }
    let white = crate::colour::matrix::apply(&adapted(&rgb_space::DISPLAY_P3), [1.0; 3]);
    assert!(white.iter().zip(ICC_D50_XYZ).all(|(a, b)| (a - b).abs() < 1e-12), "{white:?}");
}
