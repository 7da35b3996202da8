//! The twelve variations of the strip: what a painter tries first. Common practice, no published source for the steps.

use stint_model::variation::compose::{Light, Settings};

const REST: Settings = Settings { turn_degrees: 0.0, light: Light::AsItIs, spread: 1.0, shift_munsell: 0.0 };

const fn lit(kelvin: f32) -> Settings {
    Settings { light: Light::Kelvin(kelvin), ..REST }
}

/// Labels and settings, in the order in which they are shown: lights from lamp to dusk, turns, keys.
pub(super) const PRESETS: [(&str, Settings); 12] = [
    ("Lamp", lit(2900.0)),
    ("Low sun", lit(4100.0)),
    ("Warmer", lit(5300.0)),
    ("Cooler", lit(8000.0)),
    ("Blue hour", lit(13_000.0)),
    ("Dusk", Settings { light: Light::Kelvin(11_000.0), spread: 0.85, shift_munsell: -1.2, ..REST }),
    ("Turn −15°", Settings { turn_degrees: -15.0, ..REST }),
    ("Turn +15°", Settings { turn_degrees: 15.0, ..REST }),
    ("Higher", Settings { shift_munsell: 0.8, ..REST }),
    ("Lower", Settings { shift_munsell: -0.8, ..REST }),
    ("Wider", Settings { spread: 1.3, ..REST }),
    ("Narrower", Settings { spread: 0.7, ..REST }),
];
