//! An area of the canvas that the painter outlined, and on which side of its edge can be painted.

use serde::{Deserialize, Serialize};

/// Points of an outline at most.
pub const MOST_POINTS: usize = 20_000;

/// A side of an outline.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default, Serialize, Deserialize)]
pub enum Side {
    /// What it goes around.
    #[default]
    Inside,
    /// Everything else.
    Outside,
}

impl Side {
    /// The side that is not this one.
    pub fn other(self) -> Self {
        match self {
            Side::Inside => Side::Outside,
            Side::Outside => Side::Inside,
        }
    }
}

/// An outlined area, of which one side is protected from paint.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProtectedArea {
    /// Its closed outline, canvas pixels from the top left, 3 to [`MOST_POINTS`] finite places.
    pub outline: Vec<[f32; 2]>,
    /// The side that can be painted.
    pub paintable: Side,
}

/// Why an outline bounds no area.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
pub enum OutlineError {
    /// Too few or too many points.
    #[error("an area needs an outline of 3 to {MOST_POINTS} points, this one has {0}")]
    Points(usize),
    /// A point has no place.
    #[error("point {0} of the outline is not a finite place; leave it out")]
    NotFinite(usize),
}

impl ProtectedArea {
    /// Whether its outline can be.
    ///
    /// # Errors
    /// When it has too few or too many points, or one that is not finite.
    pub fn check(&self) -> Result<(), OutlineError> {
        if !(3..=MOST_POINTS).contains(&self.outline.len()) {
            return Err(OutlineError::Points(self.outline.len()));
        }
        match self.outline.iter().position(|place| !place.iter().all(|v| v.is_finite())) {
            Some(index) => Err(OutlineError::NotFinite(index)),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outlines_that_bound_nothing_are_refused() {
        let area = |outline: &[[f32; 2]]| ProtectedArea { outline: outline.to_vec(), paintable: Side::Inside };
        assert_eq!(area(&[[0.0, 0.0], [9.0, 0.0], [0.0, 9.0]]).check(), Ok(()));
        assert_eq!(area(&[[0.0, 0.0], [9.0, 0.0]]).check(), Err(OutlineError::Points(2)));
        let places = vec![[1.0, 2.0]; MOST_POINTS + 1];
        assert_eq!(area(&places).check(), Err(OutlineError::Points(MOST_POINTS + 1)));
        assert_eq!(area(&[[0.0, 0.0], [f32::NAN, 0.0], [0.0, 9.0]]).check(), Err(OutlineError::NotFinite(1)));
    }
}
