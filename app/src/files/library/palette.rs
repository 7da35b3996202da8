//! How near a board is to a colour, and how like two boards are.

use stint_model::board::Board;
use stint_model::colour::difference::ciede2000;
use stint_model::colour::{Colour, Lab};
use stint_model::photo::{Adjustments, Photo, ProposeError, propose_board};

/// Families that are looked for in a photo that boards are compared with.
pub const FAMILIES: usize = 6;
/// How specks of the camera are softened before that, photo pixels: as everywhere else.
const SOFTEN: f32 = 0.5;

/// The colours of a board, for comparing.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Palette(Vec<Lab>);

impl Palette {
    /// The colours of all swatches of a board.
    pub fn of(board: &Board) -> Self {
        Palette(board.swatches().map(|(_, s)| s.colour.lab()).collect())
    }

    /// The colours of the board that is proposed for a photo.
    ///
    /// # Errors
    /// When too little is to be seen on it.
    pub fn of_photo(photo: &Photo) -> Result<Self, ProposeError> {
        let view = photo.view(Adjustments { hue_turn_degrees: 0.0, soften_px: SOFTEN, ..Adjustments::default() });
        Ok(Palette::of(&propose_board(&view, FAMILIES, "photo")?))
    }

    /// The least CIEDE2000 between a colour and any swatch; none for an empty board.
    pub fn distance_to(&self, colour: Colour) -> Option<f64> {
        self.nearest(colour.lab())
    }

    /// How far two boards are apart, in CIEDE2000: the mean, over the swatches of one board, of the distance to the nearest swatch of
    /// the other, and the same the other way round; of these two, the mean. So neither a small board that lies within a large one
    /// nor the large one counts as the same. (An average of both directed distances, as compared in M.-P. Dubuisson, A. K. Jain,
    /// "A modified Hausdorff distance for object matching", 1994.) None when one of them is empty; 0 for equal sets of colours.
    ///
    /// CIEDE2000 is made for small differences; of two boards that are far apart it tells no more than that they are.
    pub fn apart(&self, other: &Palette) -> Option<f64> {
        let directed = |from: &Palette, to: &Palette| {
            let sum = from.0.iter().map(|&lab| to.nearest(lab)).sum::<Option<f64>>()?;
            (!from.0.is_empty()).then(|| sum / from.0.len() as f64)
        };
        Some((directed(self, other)? + directed(other, self)?) / 2.0)
    }

    fn nearest(&self, lab: Lab) -> Option<f64> {
        self.0.iter().map(|&own| ciede2000(own, lab)).min_by(f64::total_cmp)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn palette(codes: &[[u8; 3]]) -> Palette {
        Palette(codes.iter().map(|&c| Colour::from_srgb8(c).lab()).collect())
    }

    #[test]
    fn distance_is_none_of_nothing_zero_of_the_same_and_the_same_both_ways() {
        let one = palette(&[[115, 82, 78], [92, 115, 148]]);
        let part = palette(&[[115, 82, 78]]);
        assert_eq!(one.apart(&one), Some(0.0));
        assert_eq!(one.apart(&part), part.apart(&one));
        assert!(one.apart(&part) > Some(1.0), "a part is not the whole");
        assert_eq!(one.apart(&Palette::default()), None);
        assert_eq!(Palette::default().apart(&one), None);
        assert_eq!(Palette::default().distance_to(Colour::default()), None);
        assert_eq!(one.distance_to(Colour::from_srgb8([92, 115, 148])), Some(0.0));
    }

    #[test]
    fn the_mean_of_both_ways_is_as_counted_by_hand() {
        let (a, b, c) = ([115, 82, 78], [92, 115, 148], [236, 211, 163]);
        let d = |x, y| ciede2000(Colour::from_srgb8(x).lab(), Colour::from_srgb8(y).lab());
        let there = (0.0 + d(b, c).min(d(b, a))) / 2.0;
        let back = (0.0 + d(c, a).min(d(c, b))) / 2.0;
        let apart = palette(&[a, b]).apart(&palette(&[a, c])).unwrap_or(f64::NAN);
        assert!((apart - (there + back) / 2.0).abs() < 1e-12, "{apart}");
    }
}
