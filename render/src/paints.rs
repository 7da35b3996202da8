//! What the kernels need to know about each paint, by id: its class, its place in OKLab in whole steps, its latent point.

use stint_model::colour::Colour;
use stint_model::mixing::Mixing;
use stint_model::paint::{PaintClass, PaintTable};

/// Steps of OKLab per unit in [`PaintInts`].
pub const OKLAB_STEPS: f32 = 16384.0;

/// OKLab in whole steps and the class; whole numbers so that which pair gives way to a ninth paint never depends on a
/// device's rounding. Mirror: `PaintInts` in `shaders/common/paints.wgsl`.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, bytemuck::Pod, bytemuck::Zeroable)]
#[repr(C)]
pub struct PaintInts {
    /// L, 0 to 2 units, in steps of 1/16384.
    pub l: i32,
    /// a, -1 to 1.
    pub a: i32,
    /// b, -1 to 1.
    pub b: i32,
    /// 1 for free paint, 0 for board paint.
    pub free: u32,
}

/// Integers of an unknown paint.
const UNKNOWN: PaintInts = PaintInts { l: 0, a: 0, b: 0, free: 1 };
/// The colour of an unknown paint: it shows that something is wrong rather than as nonsense.
const LOUD: Colour = Colour::new(1.0, 0.0, 1.0);

/// What a mixing model uses of the latent points of these colours, one after the other.
fn latents(mixing: Mixing, colours: impl Iterator<Item = Colour>) -> Vec<f32> {
    colours.flat_map(|colour| mixing.latent(colour).into_iter().take(mixing.latent_numbers())).collect()
}

/// The table handed to an engine. Entry 0 stands for the bare ground; the entry after the last paint for every id that the study
/// does not know, which only a damaged tile can hold: a loud colour that counts as free.
#[derive(Clone, PartialEq, Debug)]
pub struct PaintLut {
    ints: Vec<PaintInts>,
    latents: Vec<f32>,
    mixing: Mixing,
    has_free: bool,
}

impl PaintLut {
    /// The table of a study's paints; `ground` is the colour of the bare canvas.
    pub fn new(paints: &PaintTable, ground: Colour, mixing: Mixing) -> Self {
        let entry = |colour: Colour, free: bool| {
            let lab = colour.oklab();
            // Bounds keep every squared distance inside u32.
            #[expect(clippy::cast_possible_truncation, reason = "at most 2 units of 16384 steps")]
            let steps = |v: f32, low: f32, high: f32| (v.clamp(low, high) * OKLAB_STEPS).round() as i32;
            PaintInts {
                l: steps(lab.l, 0.0, 1.99),
                a: steps(lab.a, -1.0, 0.99),
                b: steps(lab.b, -1.0, 0.99),
                free: u32::from(free),
            }
        };
        let all = || {
            let paints = paints.iter().map(|p| (p.colour, p.class() == PaintClass::Free));
            std::iter::once((ground, false)).chain(paints)
        };
        PaintLut {
            ints: all().map(|(c, free)| entry(c, free)).chain([UNKNOWN]).collect(),
            latents: latents(mixing, all().map(|(c, _)| c).chain([LOUD])),
            mixing,
            has_free: paints.iter().any(|p| p.class() == PaintClass::Free),
        }
    }

    /// The entry of all unknown ids: 1 to 65536, which is the number of paints, the ground counted as one.
    #[expect(clippy::cast_possible_truncation, reason = "ids are 16 bits wide, so the table has 65537 entries at most")]
    pub fn unknown(&self) -> u32 {
        self.ints.len() as u32 - 1
    }

    /// The entry of a paint id. Mirror: `entry_of` in `shaders/common/paints.wgsl`.
    #[inline(always)]
    pub fn entry_of(&self, id: u32) -> u32 {
        id.min(self.unknown())
    }

    /// Classes and OKLab steps, by id; the last are those of [`PaintLut::unknown`].
    pub fn ints(&self) -> &[PaintInts] {
        &self.ints
    }

    /// Latent points of the mixing model, by id, each of [`Mixing::latent_numbers`]; the last is that of [`PaintLut::unknown`].
    pub fn latents(&self) -> &[f32] {
        &self.latents
    }

    /// The mixing model that the latent points belong to.
    pub fn mixing(&self) -> Mixing {
        self.mixing
    }

    /// Whether any paint counts as free.
    pub fn has_free(&self) -> bool {
        self.has_free
    }

    /// Whether a paint counts as free; an unknown one does.
    #[inline(always)]
    pub fn is_free(&self, id: u32) -> bool {
        self.ints[self.entry_of(id) as usize].free != 0
    }

    /// Whether every paint of this table is of the same class in another one.
    pub fn has_classes_of(&self, other: &PaintLut) -> bool {
        let known = self.ints.len() - 1;
        known < other.ints.len() && self.ints[..known].iter().zip(&other.ints).all(|(a, b)| a.free == b.free)
    }

    /// Squared OKLab distance in steps. Mirror: `distance_squared` in `shaders/common/commits.wgsl`.
    #[inline(always)]
    pub fn distance_squared(&self, a: u32, b: u32) -> u32 {
        let at = |id: u32| self.ints[self.entry_of(id) as usize];
        let (p, q) = (at(a), at(b));
        let square = |d: i32| d.unsigned_abs() * d.unsigned_abs();
        square(p.l - q.l) + square(p.a - q.a) + square(p.b - q.b)
    }

    /// A table of `count` paints whose lightness rises with the id, of which those that `free` names are free.
    #[cfg(test)]
    pub(crate) fn for_tests(count: u16, free: impl Fn(u32) -> bool) -> Self {
        let entry = |i: u16| PaintInts { l: i32::from(i) * 300, a: 0, b: 0, free: u32::from(free(i.into())) };
        let ints: Vec<_> = (0..=count).map(entry).chain([UNKNOWN]).collect();
        let colours = (0..=count).map(|i| f32::from(i) / f32::from(count)).map(|v| Colour::new(v, v * 0.5, 1.0 - v));
        let latents = latents(Mixing::Light, colours.chain([LOUD]));
        let has_free = ints.iter().any(|p| p.free != 0);
        PaintLut { ints, latents, mixing: Mixing::Light, has_free }
    }
}
