//! Angles as directions. The only place where a mask meets an angle, and without the system's mathematics, whose last bit differs
//! between machines.
#![expect(clippy::cast_possible_truncation, reason = "the one rounding to f32 is meant")]

/// The direction of an angle: degrees clockwise on the canvas from the right.
pub fn direction(degrees: f32) -> [f32; 2] {
    let turns = f64::from(degrees) / 90.0;
    let quarter = (turns + 0.5).floor();
    let x = (turns - quarter) * std::f64::consts::FRAC_PI_2;
    let x2 = x * x;
    // The series of sine and cosine; within an eighth of a turn what is left out is below 1e-9.
    let sin = x * (1.0 - x2 / 6.0 * (1.0 - x2 / 20.0 * (1.0 - x2 / 42.0 * (1.0 - x2 / 72.0))));
    let cos = 1.0 - x2 / 2.0 * (1.0 - x2 / 12.0 * (1.0 - x2 / 30.0 * (1.0 - x2 / 56.0 * (1.0 - x2 / 90.0))));
    let (sin, cos) = (sin as f32, cos as f32);
    match quarter.rem_euclid(4.0) as u8 {
        0 => [cos, sin],
        1 => [-sin, cos],
        2 => [-cos, -sin],
        _ => [sin, -cos],
    }
}

/// `v` turned by the angle of the direction `by`.
pub fn turned([x, y]: [f32; 2], [cos, sin]: [f32; 2]) -> [f32; 2] {
    [x * cos - y * sin, x * sin + y * cos]
}

/// The direction of a vector; none for one too short to have any.
pub fn unit([x, y]: [f32; 2]) -> Option<[f32; 2]> {
    let length = (x * x + y * y).sqrt();
    (length > 1e-4).then(|| [x / length, y / length])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn directions_are_those_of_sine_and_cosine() {
        for i in -80..=80 {
            let degrees = i as f32 * 9.1;
            let [x, y] = direction(degrees);
            let angle = f64::from(degrees).to_radians();
            assert!(
                (f64::from(x) - angle.cos()).abs() < 1e-6 && (f64::from(y) - angle.sin()).abs() < 1e-6,
                "{degrees}"
            );
        }
        assert_eq!(direction(90.0), [0.0, 1.0]);
    }
}
