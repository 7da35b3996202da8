//! Adaptation of colours from one white to another in Bradford's cone space: how ICC profiles and CSS Color 4 go between D65 and
//! D50. (Relighting a board uses CAT16, see [`crate::variation::relight`].)

use super::matrix::{Matrix3, apply, diagonal, inverse, product};

/// XYZ to Bradford's sharpened cone responses, the linear form: ICC.1:2022, annex E.
const BRADFORD: Matrix3 = [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];

/// X, Y, Z of D50 as ICC.1:2022, 6.3.4.3 gives it for the profile connection space.
pub const ICC_D50_XYZ: [f64; 3] = [0.9642, 1.0, 0.8249];
/// x, y of D50 as CSS Color 4 gives it.
pub const CSS_D50_XY: [f64; 2] = [0.3457, 0.3585];

/// The matrix that takes XYZ seen under one white to XYZ that look the same under another. Whites as X, Y, Z with Y = 1; their
/// cone responses must not be 0.
pub const fn bradford(from: [f64; 3], to: [f64; 3]) -> Matrix3 {
    let (old, new) = (apply(&BRADFORD, from), apply(&BRADFORD, to));
    let gain = diagonal([new[0] / old[0], new[1] / old[1], new[2] / old[2]]);
    product(&inverse(&BRADFORD), &product(&gain, &BRADFORD))
}
