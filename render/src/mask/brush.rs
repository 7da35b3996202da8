//! A brush: what brush files, scripts and the hand's tools call one.

use super::curve::Curve;
use super::mark::Mark;
use serde::{Deserialize, Serialize};

/// Largest brush in pixels.
pub const MAX_SIZE_PX: f32 = 2000.0;

/// Settings of a brush. Without a mark it is the plain round one: even dabs along the stroke.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Brush {
    /// Width at full pressure, pixels, 0.5 to 2000. Scripts call it `size`.
    #[serde(rename = "size")]
    pub size_px: f32,
    /// Part of the radius that is covered fully, 0 (soft) to 1 (hard, with an anti-aliased edge).
    pub hardness: f32,
    /// Cover that the stroke builds up to, 0 to 1.
    pub strength: f32,
    /// Distance of two dabs as a part of the diameter at the pressure there, 0.02 to 2. Read by the plain round brush alone.
    pub spacing: f32,
    /// Pressure makes the brush smaller, down to a tenth. Read by the plain round brush alone.
    pub pressure_size: bool,
    /// Pressure makes the cover weaker, down to nothing. Read by the plain round brush alone.
    pub pressure_strength: bool,
    /// A mark in stroke space, as the brushes of the tools panel make them.
    #[serde(with = "super::bare", skip_serializing_if = "Option::is_none")]
    pub mark: Option<Box<Mark>>,
}

impl Default for Brush {
    fn default() -> Self {
        Brush {
            size_px: 42.0,
            hardness: 0.7,
            spacing: 0.12,
            strength: 0.8,
            pressure_size: true,
            pressure_strength: false,
            mark: None,
        }
    }
}

/// Why a brush or a sample cannot be used.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum BrushError {
    /// A setting is outside its range.
    #[error("brush {what} is {value}; give a number from {low} to {high}")]
    Setting {
        /// Its name, as scripts call it.
        what: &'static str,
        /// What was given.
        value: f32,
        /// Smallest allowed.
        low: f32,
        /// Largest allowed.
        high: f32,
    },
    /// A value of a sample is not finite or out of its range.
    #[error("the {what} of sample {index} of the stroke is not a number that it can have; leave the sample out")]
    Sample {
        /// Which, from 0.
        index: usize,
        /// Which of its values.
        what: &'static str,
    },
    /// No samples.
    #[error("the stroke has no samples; give at least one (x, y, pressure)")]
    Empty,
}

impl Brush {
    /// Holds every setting against its range.
    ///
    /// # Errors
    /// Names the first setting outside its range.
    pub fn check(&self) -> Result<(), BrushError> {
        let settings = [
            ("size", self.size_px, 0.5, MAX_SIZE_PX),
            ("hardness", self.hardness, 0.0, 1.0),
            ("spacing", self.spacing, 0.02, 2.0),
            ("strength", self.strength, 0.0, 1.0),
        ];
        let marked = self.mark.iter().flat_map(|mark| mark.settings());
        for (what, value, low, high) in settings.into_iter().chain(marked) {
            if !(low..=high).contains(&value) {
                return Err(BrushError::Setting { what, value, low, high });
            }
        }
        Ok(())
    }

    /// The same brush for work that uses no paint up.
    #[must_use]
    pub fn without_end(&self) -> Brush {
        let mut brush = self.clone();
        if let Some(mark) = &mut brush.mark {
            (mark.paint.load, mark.paint.holds) = (1.0, super::mark::MAX_HOLDS);
        }
        brush
    }

    /// The same brush for softening, which follows a mark: the plain round brush becomes a round one of its width and hardness.
    #[must_use]
    pub fn for_softening(&self) -> Brush {
        let mut brush = self.without_end();
        if brush.mark.is_none() {
            let mut mark = Mark::default();
            if self.pressure_size {
                let part = |pressure: f32| self.size_px_at(pressure) / self.size_px;
                mark.dynamics.size.pressure = Curve(part(0.0), part(0.5), part(1.0));
            }
            mark.paint = super::mark::Paint { load: 1.0, holds: super::mark::MAX_HOLDS, lift: 0.0 };
            brush.mark = Some(Box::new(mark));
        }
        brush
    }

    /// How it takes up paint; none for a dry brush.
    pub fn wet(&self) -> Option<&super::mark::Wet> {
        self.mark.as_ref().map(|mark| &mark.wet).filter(|wet| wet.pickup > 0.0)
    }

    /// Diameter in pixels at a pressure of 0-1.
    pub fn size_px_at(&self, pressure: f32) -> f32 {
        if self.pressure_size { self.size_px * (0.1 + 0.9 * pressure) } else { self.size_px }
    }

    /// Cover at a pressure of 0-1.
    pub fn strength_at(&self, pressure: f32) -> f32 {
        if self.pressure_strength { self.strength * pressure } else { self.strength }
    }
}
