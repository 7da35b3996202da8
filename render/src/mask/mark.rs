//! What a brush is made of: the settings of a mark in stroke space. Plain values, as brush files and scripts write them.

use super::curve::Curve;
use serde::{Deserialize, Serialize};

macro_rules! kinds {
    ($($(#[$attribute:meta])* $name:ident;)*) => {
        /// The kinds of marks. What each of them covers is in `mask/kinds/`, one file a kind.
        #[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default, Serialize, Deserialize)]
        pub enum Kind {
            $($(#[$attribute])* $name,)*
        }

        impl Kind {
            /// All of them, in the order of the tools panel.
            pub const ALL: [Kind; [$(stringify!($name)),*].len()] = [$(Kind::$name),*];

            /// Its name in brush files.
            pub fn name(self) -> &'static str {
                match self { $(Kind::$name => stringify!($name),)* }
            }
        }
    };
}

kinds! {
    /// Comes to a point; its width follows the pressure.
    #[default]
    Round;
    /// A square edge, slightly uneven where it is lifted.
    Flat;
    /// A flat with a rounded end.
    Filbert;
    /// Stiff hair, each lock with paint of its own, that parts as the paint runs low.
    Bristle;
    /// A straight blade that skips over what it cannot reach.
    Knife;
    /// Cloth dabbed on: blotches.
    Rag;
    /// A dry stick that catches on the tooth of the canvas.
    Charcoal;
    /// No edge at all.
    Soft;
}

/// The outline of the tip as it meets the canvas.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub enum Shape {
    /// An ellipse.
    #[default]
    Ellipse,
    /// A rectangle.
    Rectangle,
}

/// How the broad side of the tip lies. Angles are degrees, clockwise on the canvas, -180 to 180.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
pub enum Angle {
    /// The same on the canvas whatever the hand does; 0 is level.
    Fixed(f32),
    /// Turned from square to the stroke.
    Direction(f32),
    /// Turned from square to the lean of the pen; as `Direction` where the pen tells no lean.
    Tilt(f32),
    /// With the turn of the pen about its axis; as `Fixed` where the pen tells none.
    Twist(f32),
}

/// The tip.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Tip {
    /// Its outline.
    pub shape: Shape,
    /// Thickness as a part of the width, 0 to 1.
    pub aspect: f32,
    /// How it lies.
    pub angle: Angle,
    /// How far the mark is strewn across the stroke, in halves of the width, 0 to 1.
    #[serde(skip_serializing_if = "is_none")]
    pub scatter: f32,
}

fn is_none(part: &f32) -> bool {
    *part == 0.0
}

impl Default for Tip {
    fn default() -> Self {
        Tip { shape: Shape::Ellipse, aspect: 1.0, angle: Angle::Direction(0.0), scatter: 0.0 }
    }
}

/// The hair across the tip.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Bristles {
    /// Locks of hair across the whole width, 4 to 400; fewer are drawn where they would be finer than a pixel.
    pub count: f32,
    /// How unevenly the locks carry paint and reach the canvas, 0 to 1.
    pub unevenness: f32,
    /// How far the locks part as the paint runs low, 0 to 1.
    pub splitting: f32,
}

impl Default for Bristles {
    fn default() -> Self {
        Bristles { count: 60.0, unevenness: 0.5, splitting: 0.3 }
    }
}

/// To what the grain of a mark belongs.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub enum GrainOf {
    /// The tooth of the canvas: two strokes over one place find the same grain.
    #[default]
    Canvas,
    /// The tip: it follows the stroke.
    Tip,
}

/// The grain.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Grain {
    /// To what it belongs.
    pub of: GrainOf,
    /// How coarse it is against the canvas as it comes, 0.25 to 8.
    pub scale: f32,
    /// How much of it shows, 0 to 1.
    pub amount: f32,
}

impl Default for Grain {
    fn default() -> Self {
        Grain { of: GrainOf::Canvas, scale: 1.0, amount: 0.0 }
    }
}

/// How something follows the hand: one curve for each thing the hand does, all multiplied.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Response {
    /// By pressure: light, middle, full.
    #[serde(skip_serializing_if = "is_one")]
    pub pressure: Curve,
    /// By the lean of the pen: upright, 30 degrees, 60 degrees and more.
    #[serde(skip_serializing_if = "is_one")]
    pub tilt: Curve,
    /// By speed: at rest, 1000 canvas pixels a second, 2000 and more. At rest where the samples tell no time.
    #[serde(skip_serializing_if = "is_one")]
    pub speed: Curve,
    /// By the length of the stroke so far: at its beginning, 5 and 10 widths of the brush on.
    #[serde(skip_serializing_if = "is_one")]
    pub length: Curve,
}

impl Default for Response {
    fn default() -> Self {
        Response {
            pressure: Curve::even(1.0),
            tilt: Curve::even(1.0),
            speed: Curve::even(1.0),
            length: Curve::even(1.0),
        }
    }
}

fn is_one(curve: &Curve) -> bool {
    curve.is_even(1.0)
}

/// How the angle of the tip follows the hand: degrees that are added, -180 to 180.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Turning {
    /// By pressure: light, middle, full.
    #[serde(skip_serializing_if = "is_nothing")]
    pub pressure: Curve,
    /// By the lean of the pen, as in [`Response`].
    #[serde(skip_serializing_if = "is_nothing")]
    pub tilt: Curve,
    /// By speed, as in [`Response`].
    #[serde(skip_serializing_if = "is_nothing")]
    pub speed: Curve,
    /// By the length of the stroke so far, as in [`Response`].
    #[serde(skip_serializing_if = "is_nothing")]
    pub length: Curve,
}

impl Default for Turning {
    fn default() -> Self {
        let none = Curve::even(0.0);
        Turning { pressure: none, tilt: none, speed: none, length: none }
    }
}

fn is_nothing(curve: &Curve) -> bool {
    curve.is_even(0.0)
}

/// What follows the hand, and how. Factors are 0 to 4.
#[derive(Clone, Copy, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Dynamics {
    /// The size: a factor.
    pub size: Response,
    /// The strength: a factor.
    pub flow: Response,
    /// How dry the mark is: a factor of the grain's amount.
    pub grain: Response,
    /// The angle of the tip.
    pub angle: Turning,
}

/// How far the fullest brush paints, widths of the brush: across any canvas and back.
pub const MAX_HOLDS: f32 = 1000.0;

/// The paint on the brush.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Paint {
    /// How full the brush is dipped, 0 to 1.
    pub load: f32,
    /// How far a full brush paints before the mark breaks up, in widths of the brush, 0.5 to 1000.
    pub holds: f32,
    /// How much the mark thins out where it is lifted, 0 to 1.
    pub lift: f32,
}

impl Default for Paint {
    fn default() -> Self {
        Paint { load: 1.0, holds: 12.0, lift: 0.3 }
    }
}

/// How a wet brush takes up what it comes over. A dry one, which takes up nothing, is the plain value.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Wet {
    /// Part of the paint it comes over that it takes up, 0 (a dry brush) to 1.
    pub pickup: f32,
    /// How much paint lies under the tip: as much as this many widths of the brush of a stroke take, 0.1 to 8. After so long over another
    /// paint nearly two thirds of it is that.
    pub carries: f32,
    /// Part of what is laid that is renewed with paint that the brush was loaded with, 0 to 1.
    pub fresh: f32,
}

impl Default for Wet {
    fn default() -> Self {
        Wet { pickup: 0.0, carries: 1.0, fresh: 0.2 }
    }
}

impl Wet {
    fn is_dry(&self) -> bool {
        *self == Wet::default()
    }
}

/// How the mark follows the hand.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Following {
    /// How much a trembling hand is steadied, 0 (not at all) to 1; needs samples that tell their time.
    pub smoothing: f32,
    /// Over how many widths of the brush the pressure grows from nothing at the beginning, 0 to 8.
    pub taper_start: f32,
    /// The same at the end.
    pub taper_end: f32,
}

impl Default for Following {
    fn default() -> Self {
        Following { smoothing: 0.25, taper_start: 0.0, taper_end: 0.0 }
    }
}

/// Everything about a mark but its size, strength and hardness, which every brush has.
#[derive(Clone, Copy, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Mark {
    /// What kind of mark.
    pub kind: Kind,
    /// The tip.
    pub tip: Tip,
    /// The hair.
    pub bristles: Bristles,
    /// The grain.
    pub grain: Grain,
    /// What follows the hand.
    pub dynamics: Dynamics,
    /// The paint.
    pub paint: Paint,
    /// What it takes up.
    #[serde(skip_serializing_if = "Wet::is_dry")]
    pub wet: Wet,
    /// How it follows the hand's path.
    pub path: Following,
}

impl Mark {
    /// Every number with its name in files and its range.
    pub(super) fn settings(&self) -> Vec<(&'static str, f32, f32, f32)> {
        let Mark { kind: _, tip, bristles, grain, dynamics, paint, wet, path } = self;
        let (Angle::Fixed(degrees) | Angle::Direction(degrees) | Angle::Tilt(degrees) | Angle::Twist(degrees)) =
            tip.angle;
        let mut all = vec![
            ("tip.aspect", tip.aspect, 0.0, 1.0),
            ("tip.angle", degrees, -180.0, 180.0),
            ("tip.scatter", tip.scatter, 0.0, 1.0),
            ("bristles.count", bristles.count, 4.0, 400.0),
            ("bristles.unevenness", bristles.unevenness, 0.0, 1.0),
            ("bristles.splitting", bristles.splitting, 0.0, 1.0),
            ("grain.scale", grain.scale, 0.25, 8.0),
            ("grain.amount", grain.amount, 0.0, 1.0),
            ("paint.load", paint.load, 0.0, 1.0),
            ("paint.holds", paint.holds, 0.5, MAX_HOLDS),
            ("paint.lift", paint.lift, 0.0, 1.0),
            ("wet.pickup", wet.pickup, 0.0, 1.0),
            ("wet.carries", wet.carries, 0.1, 8.0),
            ("wet.fresh", wet.fresh, 0.0, 1.0),
            ("path.smoothing", path.smoothing, 0.0, 1.0),
            ("path.taper_start", path.taper_start, 0.0, 8.0),
            ("path.taper_end", path.taper_end, 0.0, 8.0),
        ];
        let factors = [
            (
                ["dynamics.size.pressure", "dynamics.size.tilt", "dynamics.size.speed", "dynamics.size.length"],
                dynamics.size,
            ),
            (
                ["dynamics.flow.pressure", "dynamics.flow.tilt", "dynamics.flow.speed", "dynamics.flow.length"],
                dynamics.flow,
            ),
            (
                ["dynamics.grain.pressure", "dynamics.grain.tilt", "dynamics.grain.speed", "dynamics.grain.length"],
                dynamics.grain,
            ),
        ];
        for (names, response) in factors {
            let curves = [response.pressure, response.tilt, response.speed, response.length];
            for (name, curve) in names.into_iter().zip(curves) {
                all.extend(curve.bounds().map(|value| (name, value, 0.0, 4.0)));
            }
        }
        let Turning { pressure, tilt, speed, length } = dynamics.angle;
        for (name, curve) in [
            ("dynamics.angle.pressure", pressure),
            ("dynamics.angle.tilt", tilt),
            ("dynamics.angle.speed", speed),
            ("dynamics.angle.length", length),
        ] {
            all.extend(curve.bounds().map(|value| (name, value, -180.0, 180.0)));
        }
        all
    }
}
