//! What each kind of mark covers, one file a kind.

mod bristle;
mod charcoal;
mod filbert;
mod flat;
mod knife;
mod rag;
mod round;
mod soft;

use super::mark::{Kind, Mark};
use super::strips::sweep;
use super::sweep::{Cover, Rib, Stroke, Target};

macro_rules! covers {
    ($($name:ident: $cover:ty;)*) => {
        /// Draws ribs as a kind of mark.
        pub fn draw(kind: Kind, stroke: &Stroke<'_>, ribs: &[Rib], target: &mut Target<'_>) {
            match kind { $(Kind::$name => sweep::<$cover>(stroke, ribs, target),)* }
        }

        /// How far before the end of a stroke the pixels between two ribs depend on where it ends, pixels; `lift_px` is how far inside
        /// the end of the tip its lift is seen.
        pub fn end_px(mark: &Mark, size_px: f32, lift_px: f32, [a, b]: [&Rib; 2]) -> f32 {
            let half = a.half_px.max(b.half_px);
            let dry = a.dry.max(b.dry);
            let [ragged, end, widest] = match mark.kind {
                $(Kind::$name => [<$cover>::ragged_px(mark, size_px, dry), <$cover>::end_px(half), <$cover>::WIDEST],)*
            };
            // A pixel is further inside by the length of the tip, and less or more so beside the path where the tip is aslant.
            let aslant = a.slant.abs().max(b.slant.abs()) * half * (widest + 2.0 * mark.tip.scatter);
            end.max(ragged.max(lift_px) - a.thick_px.min(b.thick_px) + aslant)
        }

        /// How far a kind of mark reaches beyond the end of a stroke, pixels.
        pub fn beyond_px(kind: Kind, end: &Rib) -> f32 {
            match kind { $(Kind::$name => <$cover>::beyond_px(end),)* }
        }
    };
}

covers! {
    Round: round::Round;
    Flat: flat::Flat;
    Filbert: filbert::Filbert;
    Bristle: bristle::Bristle;
    Knife: knife::Knife;
    Rag: rag::Rag;
    Charcoal: charcoal::Charcoal;
    Soft: soft::Soft;
}
