//! OKLab of many pixels at once, for the machine's vector instructions. (B. Ottosson, "A perceptual color space for image processing",
//! 2020.)

/// Pixels worked on together.
pub const LANES: usize = 16;
/// One component of each.
pub type Lanes = [f32; LANES];

/// Linear sRGB of OKLab in place (B. Ottosson 2020: the inverse of his M2, the cube, the inverse of his M1 from linear sRGB).
#[inline(always)]
pub fn linear_of_oklab([x, y, z]: &mut [Lanes; 3]) {
    for i in 0..LANES {
        let (l, a, b) = (x[i], y[i], z[i]);
        let long = l + 0.396_337_78 * a + 0.215_803_76 * b;
        let middle = l - 0.105_561_346 * a - 0.063_854_17 * b;
        let short = l - 0.089_484_18 * a - 1.291_485_5 * b;
        let (long, middle, short) = (long * long * long, middle * middle * middle, short * short * short);
        x[i] = 4.076_741_7 * long - 3.307_711_6 * middle + 0.230_969_94 * short;
        y[i] = -1.268_438 * long + 2.609_757_4 * middle - 0.341_319_38 * short;
        z[i] = -0.004_196_086_3 * long - 0.703_418_6 * middle + 1.707_614_7 * short;
    }
}

/// The cube root of numbers of any sign, to 1e-6 of their size: a guess from the exponent, then E. Halley's method twice.
#[inline(always)]
fn cube_roots(lanes: &mut Lanes) {
    for v in lanes {
        let size = v.abs();
        let mut root = f32::from_bits(size.to_bits() / 3 + 0x2a51_4067);
        for _ in 0..2 {
            let cube = root * root * root;
            root *= (cube + 2.0 * size) / (2.0 * cube + size);
        }
        *v = root.copysign(*v);
    }
}

/// OKLab of linear sRGB (B. Ottosson 2020), in place.
#[inline(always)]
pub fn oklab_of_linear(colours: &mut [Lanes; 3]) {
    let [x, y, z] = colours;
    for i in 0..LANES {
        let (r, g, b) = (x[i], y[i], z[i]);
        x[i] = 0.412_221_46 * r + 0.536_332_55 * g + 0.051_445_995 * b;
        y[i] = 0.211_903_5 * r + 0.680_699_5 * g + 0.107_396_96 * b;
        z[i] = 0.088_302_46 * r + 0.281_718_85 * g + 0.629_978_7 * b;
    }
    for lanes in [&mut *x, &mut *y, &mut *z] {
        cube_roots(lanes);
    }
    for i in 0..LANES {
        let (long, middle, short) = (x[i], y[i], z[i]);
        x[i] = 0.210_454_26 * long + 0.793_617_8 * middle - 0.004_072_047 * short;
        y[i] = 1.977_998_5 * long - 2.428_592_2 * middle + 0.450_593_7 * short;
        z[i] = 0.025_904_037 * long + 0.782_771_77 * middle - 0.808_675_77 * short;
    }
}
