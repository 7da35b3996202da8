//! One colour through a loupe.

use super::adjustments::PixelRect;
use super::view::View;
use crate::colour::Colour;

/// Widest aperture, in photo pixels.
pub const MAX_APERTURE_PX: u32 = 31;

/// Why nothing could be picked.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
pub enum PickError {
    /// The point is not on the photo.
    #[error("the point {x}, {y} lies outside the photo of {width_px} x {height_px} pixels; pick inside it")]
    Outside {
        /// Column asked for.
        x: u32,
        /// Row asked for.
        y: u32,
        /// Width of the photo.
        width_px: u32,
        /// Height of the photo.
        height_px: u32,
    },
    /// The aperture is not 1 to 31 pixels.
    #[error("an aperture of {0} px is not possible; choose 1 to 31 px")]
    Aperture(u32),
    /// Nothing opaque under the aperture.
    #[error("the photo is fully transparent at {x}, {y}; pick where there is something to see")]
    Transparent {
        /// Column asked for.
        x: u32,
        /// Row asked for.
        y: u32,
    },
}

/// The colour around pixel (`x`, `y`): the mean in linear light over a disc of `aperture_px` (1 to 31) in diameter.
///
/// A pixel belongs to the disc when its centre is at most half the aperture away from the centre of pixel (`x`, `y`); 1
/// gives that pixel alone, 3 all nine around it. The disc is clipped at the edge of the photo. Each pixel counts as
/// much as it is opaque.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a loupe has at most 31 x 31 pixels; a mean in the single precision of colours"
)]
pub fn pick(view: &View<'_>, x: u32, y: u32, aperture_px: u32) -> Result<Colour, PickError> {
    let (width_px, height_px) = (view.photo().width_px(), view.photo().height_px());
    if !(1..=MAX_APERTURE_PX).contains(&aperture_px) {
        return Err(PickError::Aperture(aperture_px));
    }
    if x >= width_px || y >= height_px {
        return Err(PickError::Outside { x, y, width_px, height_px });
    }
    let reach = aperture_px / 2;
    let (left, top) = (x.saturating_sub(reach), y.saturating_sub(reach));
    let block =
        view.block(PixelRect { x: left, y: top, width_px: x + reach + 1 - left, height_px: y + reach + 1 - top });
    let mut sum = [0.0f64; 4];
    for (i, (colour, &alpha)) in block.colours.iter().zip(&block.alpha).enumerate() {
        let row = block.rect.width_px;
        let dx = (block.rect.x + i as u32 % row).abs_diff(x);
        let dy = (block.rect.y + i as u32 / row).abs_diff(y);
        // Doubled, so that half an odd aperture stays a whole number.
        if 4 * (dx * dx + dy * dy) <= aperture_px * aperture_px {
            let weight = f64::from(alpha);
            let [r, g, b] = [colour.r, colour.g, colour.b].map(|c| f64::from(c) * weight);
            sum = [sum[0] + r, sum[1] + g, sum[2] + b, sum[3] + weight];
        }
    }
    let [r, g, b, weight] = sum;
    if weight <= 0.0 {
        return Err(PickError::Transparent { x, y });
    }
    Ok(Colour::new((r / weight) as f32, (g / weight) as f32, (b / weight) as f32))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::photo::Adjustments;
    use crate::photo::open::tests::{photo_of, photo_with_alpha};

    fn black_with_a_white_middle() -> crate::photo::Photo {
        let mut samples = vec![0; 9 * 9 * 3];
        samples[(4 * 9 + 4) * 3..][..3].fill(255);
        photo_of(9, &samples)
    }

    #[test]
    fn the_disc_takes_the_pixels_whose_centres_it_covers() {
        let photo = black_with_a_white_middle();
        let view = photo.view(Adjustments::default());
        // Pixels with dx^2 + dy^2 <= (aperture / 2)^2, counted by hand: 1, 5 (a cross), 9, 13, 21.
        for (aperture, pixels) in [(1, 1.0), (2, 5.0), (3, 9.0), (4, 13.0), (5, 21.0)] {
            let colour = pick(&view, 4, 4, aperture).unwrap();
            assert!((colour.g - 1.0 / pixels).abs() < 1e-6, "aperture {aperture}: {colour:?}");
        }
        // In the corner only a quarter of the disc is left: 4 of 9 pixels, none of them white.
        assert_eq!(pick(&view, 0, 0, 3).unwrap(), Colour::new(0.0, 0.0, 0.0));
        assert!((pick(&view, 3, 3, 3).unwrap().r - 1.0 / 9.0).abs() < 1e-6);
    }

    #[test]
    fn what_cannot_be_picked_says_so() {
        let photo = black_with_a_white_middle();
        let view = photo.view(Adjustments::default());
        assert_eq!(pick(&view, 4, 4, 0), Err(PickError::Aperture(0)));
        assert_eq!(pick(&view, 4, 4, 32), Err(PickError::Aperture(32)));
        assert!(matches!(pick(&view, 9, 0, 1), Err(PickError::Outside { x: 9, .. })));
    }

    #[test]
    fn a_pixel_counts_as_much_as_it_is_opaque() {
        // Red at full, green at a third, blue not at all.
        let photo = photo_with_alpha(3, &[255, 0, 0, 255, 0, 255, 0, 85, 0, 0, 255, 0]);
        let view = photo.view(Adjustments::default());
        let colour = pick(&view, 1, 0, 3).unwrap();
        assert!((colour.r - 0.75).abs() < 1e-6 && (colour.g - 0.25).abs() < 1e-6 && colour.b == 0.0, "{colour:?}");
        assert_eq!(pick(&view, 2, 0, 1), Err(PickError::Transparent { x: 2, y: 0 }));
        // Softening draws from opaque neighbours only.
        let soft = photo.view(Adjustments { soften_px: 0.5, ..Adjustments::default() });
        assert!(pick(&soft, 2, 0, 1).unwrap().b < 1e-6);
    }
}
