//! The reference: a phone photo, read without loss and adjusted lazily.

use serde::{Deserialize, Serialize};

/// What is done to a photo when it is looked at. Never baked into pixels.
#[derive(Clone, Copy, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Adjustments {
    /// Turn of all hues in OKLCh, degrees, -180 to 180.
    pub hue_turn: f32,
    /// Standard deviation of the Gaussian that softens camera specks, in photo pixels, 0 to 3.
    pub soften: f32,
}
