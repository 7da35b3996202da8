//! Mixing models: what colour a convex mixture of paints shows.
//!
//! A model maps each paint to a point of a *latent* space, averages the points with the weights of the mixture, and maps
//! the mean back to a colour. A further model joins by adding a variant and its two maps here and in `shaders/resolve.wgsl`.

use crate::colour::Colour;
use serde::{Deserialize, Serialize};

/// How the paints of one pixel mix into one colour.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default, Serialize, Deserialize)]
pub enum Mixing {
    /// As lights do: the mean of linear-light components. The right model for optical mixture and for anti-aliasing.
    Light,
    /// As the eye would place the middle: the mean in OKLab. Keeps mid-tones of a glaze from turning pale.
    #[default]
    Perceptual,
}

impl Mixing {
    /// All models, in the order in which they are offered.
    pub const ALL: [Mixing; 2] = [Mixing::Light, Mixing::Perceptual];

    /// The word for this model on screen and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Mixing::Light => "light",
            Mixing::Perceptual => "perceptual",
        }
    }

    /// The latent point of a paint's colour: linear r, g, b or OKLab L, a, b, and 1 in the last place, so that the sum of
    /// the weights is carried along.
    pub fn latent(self, colour: Colour) -> [f32; 4] {
        match self {
            Mixing::Light => [colour.r, colour.g, colour.b, 1.0],
            Mixing::Perceptual => {
                let lab = colour.oklab();
                [lab.l, lab.a, lab.b, 1.0]
            }
        }
    }

    /// The colour of a latent point, the inverse of [`Mixing::latent`].
    pub fn colour(self, latent: [f32; 3]) -> Colour {
        match self {
            Mixing::Light => Colour::new(latent[0], latent[1], latent[2]),
            Mixing::Perceptual => crate::colour::Oklab { l: latent[0], a: latent[1], b: latent[2] }.colour(),
        }
    }
}
