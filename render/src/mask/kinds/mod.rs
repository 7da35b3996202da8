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

        /// How far before the end of a stroke the raggedness of a mark begins, pixels.
        pub fn ragged_px(mark: &Mark, size_px: f32) -> f32 {
            match mark.kind { $(Kind::$name => <$cover>::ragged_px(mark, size_px),)* }
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
