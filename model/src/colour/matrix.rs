//! 3 x 3 matrices in double precision: enough linear algebra for colour spaces, usable in constants.

/// Rows of a 3 x 3 matrix.
pub type Matrix3 = [[f64; 3]; 3];

/// `m` times the column `v`.
pub const fn apply(m: &Matrix3, v: [f64; 3]) -> [f64; 3] {
    let [x, y, z] = v;
    [
        m[0][0] * x + m[0][1] * y + m[0][2] * z,
        m[1][0] * x + m[1][1] * y + m[1][2] * z,
        m[2][0] * x + m[2][1] * y + m[2][2] * z,
    ]
}

/// `a` times `b`: first `b` acts, then `a`.
pub const fn product(a: &Matrix3, b: &Matrix3) -> Matrix3 {
    let mut out = [[0.0; 3]; 3];
    let mut column = 0;
    while column < 3 {
        let moved = apply(a, [b[0][column], b[1][column], b[2][column]]);
        out[0][column] = moved[0];
        out[1][column] = moved[1];
        out[2][column] = moved[2];
        column += 1;
    }
    out
}

const fn determinant(m: &Matrix3) -> f64 {
    let [[a, b, c], [d, e, f], [g, h, i]] = *m;
    a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
}

/// The inverse by cofactors. A singular matrix gives infinities or NaN, as division by zero does.
pub const fn inverse(m: &Matrix3) -> Matrix3 {
    let [[a, b, c], [d, e, f], [g, h, i]] = *m;
    let determinant = determinant(m);
    [
        [(e * i - f * h) / determinant, (c * h - b * i) / determinant, (b * f - c * e) / determinant],
        [(f * g - d * i) / determinant, (a * i - c * g) / determinant, (c * d - a * f) / determinant],
        [(d * h - e * g) / determinant, (b * g - a * h) / determinant, (a * e - b * d) / determinant],
    ]
}

/// The inverse of a matrix that comes from a file; none where its determinant is below 1e-9 or not finite. The matrices of RGB
/// spaces have about 0.1 to 1.
pub fn checked_inverse(m: &Matrix3) -> Option<Matrix3> {
    let determinant = determinant(m);
    (determinant.is_finite() && determinant.abs() >= 1e-9).then(|| inverse(m))
}

/// Zero but for `d` on the diagonal.
pub const fn diagonal(d: [f64; 3]) -> Matrix3 {
    [[d[0], 0.0, 0.0], [0.0, d[1], 0.0], [0.0, 0.0, d[2]]]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inverse_and_product_of_a_hand_worked_matrix() {
        // det = 2 (3*1 - 0*1) - 0 + 1 (4*1 - 3*0) = 10.
        let m = [[2.0, 0.0, 1.0], [4.0, 3.0, 0.0], [0.0, 1.0, 1.0]];
        let expected = [[0.3, 0.1, -0.3], [-0.4, 0.2, 0.4], [0.4, -0.2, 0.6]];
        for (row, want) in inverse(&m).iter().zip(expected) {
            for (x, w) in row.iter().zip(want) {
                assert!((x - w).abs() < 1e-15, "{row:?}");
            }
        }
        let one = product(&m, &expected);
        for (r, row) in one.iter().enumerate() {
            for (c, x) in row.iter().enumerate() {
                assert!((x - f64::from(r == c)).abs() < 1e-15, "{one:?}");
            }
        }
        assert_eq!(apply(&m, [1.0, 2.0, 3.0]), [5.0, 10.0, 5.0]);
        assert_eq!(checked_inverse(&m), Some(inverse(&m)));
        for flat in [[[1.0, 2.0, 3.0]; 3], [[f64::NAN; 3]; 3], [[0.0; 3]; 3]] {
            assert_eq!(checked_inverse(&flat), None, "{flat:?}");
        }
        assert_eq!(apply(&diagonal([1.0, 2.0, 3.0]), [1.0, 1.0, 1.0]), [1.0, 2.0, 3.0]);
    }
}
