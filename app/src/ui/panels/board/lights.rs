//! The scale of lights: even in reciprocal kelvin, which is how the eye takes steps of warmth, with daylight in its middle.
//!
//! Reciprocal megakelvin (mired) as a scale of equal steps: CIE 15:2004 and common practice of colour filters for lamps.

use stint_model::variation::compose::{AS_IT_IS_KELVIN, Light};

/// Ends of the scale, kelvin: a lamp on the left, blue hour on the right.
const ENDS_KELVIN: (f32, f32) = (1700.0, 25_000.0);
/// Kelvin are told in steps of this.
const STEP_KELVIN: f32 = 50.0;

fn mired(kelvin: f32) -> f32 {
    1e6 / kelvin
}

/// The light at a place on the scale, -100 (lamp) over 0 (as it is) to 100 (blue hour). Each half is even in mired.
pub(super) fn light_at(place: f32) -> Light {
    if place.round() == 0.0 {
        return Light::AsItIs;
    }
    let middle = mired(AS_IT_IS_KELVIN);
    let end = if place < 0.0 { mired(ENDS_KELVIN.0) } else { mired(ENDS_KELVIN.1) };
    let kelvin = 1e6 / (middle + (end - middle) * (place.abs() / 100.0).min(1.0));
    Light::Kelvin(((kelvin / STEP_KELVIN).round() * STEP_KELVIN).clamp(ENDS_KELVIN.0, ENDS_KELVIN.1))
}

/// The place of a light on the scale; a white lies in the middle, because it has no place there.
pub(super) fn place_of(light: Light) -> f32 {
    let Light::Kelvin(kelvin) = light else { return 0.0 };
    let middle = mired(AS_IT_IS_KELVIN);
    let end = if kelvin < AS_IT_IS_KELVIN { mired(ENDS_KELVIN.0) } else { mired(ENDS_KELVIN.1) };
    let percent = ((mired(kelvin) - middle) / (end - middle)).clamp(0.0, 1.0) * 100.0;
    if kelvin < AS_IT_IS_KELVIN { -percent } else { percent }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_runs_from_lamp_to_blue_hour_and_back() {
        assert_eq!(light_at(-100.0), Light::Kelvin(1700.0));
        assert_eq!(light_at(100.0), Light::Kelvin(25_000.0));
        assert_eq!(light_at(0.0), Light::AsItIs);
        assert_eq!(place_of(Light::AsItIs), 0.0);
        for place in [-90.0, -40.0, -5.0, 5.0, 30.0, 80.0] {
            // Kelvin are rounded, so the place moves a little.
            let back = place_of(light_at(place));
            assert!((back - place).abs() < 1.5, "{place} {back}");
        }
        // Half way to the lamp in mired: the mean of 1e6/6504 and 1e6/1700.
        assert_eq!(light_at(-50.0), Light::Kelvin(2700.0));
    }
}
