//! How far small offsets of a colour are seen: CIEDE2000 as a linear map.

use super::hull::Point;
use crate::colour::Lab;

/// A matrix times a vector.
pub(super) fn times(m: &[[f64; 3]; 3], v: Point) -> Point {
    m.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
}

/// The linear map from small offsets of L*, a*, b* at `lab` to offsets whose length is their CIEDE2000. By the formula of
/// G. Sharma, W. Wu, E. N. Dalal, Color Res. Appl. 30(1):21-30 (2005), with both colours at `lab`; the change of the factor
/// that stretches a* near grey is left out.
pub(super) fn local_metric(lab: Lab) -> [[f64; 3]; 3] {
    let seventh = libm::hypot(lab.a, lab.b).powi(7);
    let stretch = 1.0 + 0.5 * (1.0 - (seventh / (seventh + 25_f64.powi(7))).sqrt());
    let a = stretch * lab.a;
    let chroma = libm::hypot(a, lab.b);
    let (cos, sin) = if chroma > 1e-6 { (a / chroma, lab.b / chroma) } else { (1.0, 0.0) };
    let hue = libm::atan2(lab.b, a).to_degrees().rem_euclid(360.0);
    let wave = |times: f64, shift: f64| libm::cos((times * hue + shift).to_radians());
    let t = 1.0 - 0.17 * wave(1.0, -30.0) + 0.24 * wave(2.0, 0.0) + 0.32 * wave(3.0, 6.0) - 0.20 * wave(4.0, -63.0);
    let from_middle = (lab.l - 50.0).powi(2);
    let lightness = 1.0 + 0.015 * from_middle / (20.0 + from_middle).sqrt();
    let (along, across) = (1.0 + 0.045 * chroma, 1.0 + 0.015 * chroma * t);
    let seventh = chroma.powi(7);
    let blue = 30.0 * libm::exp(-((hue - 275.0) / 25.0).powi(2));
    let tilt = -libm::sin((2.0 * blue).to_radians()) * 2.0 * (seventh / (seventh + 25_f64.powi(7))).sqrt();
    // The square of the difference is l^2 + c^2 + h^2 + tilt c h = l^2 + (c + tilt h / 2)^2 + (1 - tilt^2 / 4) h^2.
    let c = [0.0, cos * stretch / along, sin / along];
    let h = [0.0, -sin * stretch / across, cos / across];
    let rest = (1.0 - tilt * tilt / 4.0).max(0.0).sqrt();
    [[1.0 / lightness, 0.0, 0.0], std::array::from_fn(|i| c[i] + tilt / 2.0 * h[i]), h.map(|x| x * rest)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::difference::ciede2000;

    #[test]
    fn the_local_metric_is_ciede2000_of_near_colours() {
        for l in [8.0, 35.0, 50.0, 92.0] {
            for (a, b) in [(0.0, 0.0), (12.0, -3.0), (-30.0, 25.0), (60.0, 40.0), (5.0, -55.0), (-2.0, 70.0)] {
                let here = Lab { l, a, b };
                for (dl, da, db) in
                    [(0.1, 0.0, 0.0), (0.0, 0.1, 0.0), (0.0, 0.0, 0.1), (0.05, -0.08, 0.06), (0.02, 0.07, 0.07)]
                {
                    let there = Lab { l: l + dl, a: a + da, b: b + db };
                    let ours = times(&local_metric(here), [dl, da, db]).iter().map(|x| x * x).sum::<f64>().sqrt();
                    let theirs = ciede2000(here, there);
                    assert!((ours / theirs - 1.0).abs() < 0.04, "{here:?} {there:?}: {ours} {theirs}");
                }
            }
        }
    }
}
