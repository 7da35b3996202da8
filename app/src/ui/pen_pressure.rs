//! How hard the hand presses: the painter's own curve between the pen and every brush, and what was heard of the pen for showing it.

use crate::files::settings::{self, Settings};
use stint_render::mask::pressure_curve::PressureCurve;

/// Readings that are remembered for a panel at most: some seconds of a fast pen.
const REMEMBERED: usize = 4096;

/// The curve in force, and the readings of the pen that a panel has not taken yet.
#[derive(Clone, PartialEq, Debug)]
pub struct PenPressure {
    curve: PressureCurve,
    heard: Vec<f32>,
}

impl Default for PenPressure {
    fn default() -> Self {
        PenPressure { curve: PressureCurve::PLAIN, heard: Vec::new() }
    }
}

impl PenPressure {
    /// As the settings have it.
    pub fn of(settings: &Settings) -> Self {
        let kept = settings.get(&settings::PRESSURE).and_then(|kept| PressureCurve::new(kept.pressures()).ok());
        PenPressure { curve: kept.unwrap_or(PressureCurve::PLAIN), heard: Vec::new() }
    }

    /// The curve in force.
    pub fn curve(&self) -> PressureCurve {
        self.curve
    }

    /// Takes another curve.
    pub fn set(&mut self, curve: PressureCurve) {
        self.curve = curve;
    }

    /// Hears a pressure, none of a device that has no pressure, and gives back what brushes are to take it for.
    pub fn hear(&mut self, pressure: Option<f32>) -> Option<f32> {
        let pressure = pressure?;
        if self.heard.len() == REMEMBERED {
            self.heard.clear();
        }
        self.heard.push(pressure);
        Some(self.curve.at(pressure))
    }

    /// Takes the pressures heard since the last call, as the pen told them.
    pub fn take_heard(&mut self) -> Vec<f32> {
        std::mem::take(&mut self.heard)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_kept_curve_holds_and_one_that_makes_no_sense_does_not() {
        let folder = tempfile::tempdir().unwrap();
        let (mut settings, _) = Settings::read(folder.path());
        assert_eq!(PenPressure::of(&settings).hear(Some(0.3)), Some(0.3));
        let curve = PressureCurve::new([0.1, 0.2, 0.6]).unwrap();
        settings.set(&settings::PRESSURE, &curve).unwrap();
        let mut pen = PenPressure::of(&Settings::read(folder.path()).0);
        assert!((pen.hear(Some(0.2)).unwrap() - 0.5).abs() < 1e-5);
        assert_eq!((pen.hear(None), pen.take_heard()), (None, vec![0.2]));
        std::fs::write(folder.path().join("settings.ron"), "{\"pressure\": (light: 0.9, usual: 0.2, firm: 3.0)}")
            .unwrap();
        assert_eq!(PenPressure::of(&Settings::read(folder.path()).0).curve(), PressureCurve::PLAIN);
    }
}
