//! One pixel: up to eight (paint, amount) pairs, and what laying, scraping and showing mean for it.
//!
//! These plain functions are the definition. The fast kernels in [`crate::cpu`] and the shaders give the same bits; tests
//! hold all three together.
//!
//! A *pair* is the id of one paint together with the amount of that paint in the pixel, a fraction of full cover in steps of
//! 1/65535. It is packed into a u32, `paint << 16 | amount`; 0 is an empty place. Pairs are *packed*: non-empty ones first, in
//! the order in which they came. The amounts of a pixel sum to 65535 at most. A damaged tile may break this: running
//! sums are held to 65535 everywhere, so that an overfull pixel shows and fades as a full one.
//!
//! **One rounding rule.** Scaling amounts one by one would let their sum drift, so what is rounded is the running sum, and
//! each amount is the difference of two neighbours. The running sum goes over the board paints first, then over the free
//! paints. So the board total and the grand total of a pixel are each rounded once, whatever happens to single pairs, and
//! merging two pairs of one class can never change what the readout says.

use crate::amount::{FULL, scale};
use crate::paints::PaintLut;
use stint_model::ids::PaintId;
use stint_model::study::tile::MAX_PLANES;

/// A pixel as its packed pairs.
pub type Pixel = [u32; MAX_PLANES];

/// The paint id of a pair.
#[inline(always)]
pub const fn paint_of(pair: u32) -> u32 {
    pair >> 16
}

/// An id as kernels count with it, as the id of a paint.
#[inline(always)]
pub const fn paint_id(id: u32) -> PaintId {
    PaintId((id & 0xffff) as u16)
}

/// The amount of a pair, 0-65535.
#[inline(always)]
pub const fn amount_of(pair: u32) -> u32 {
    pair & 0xffff
}

/// Scales all amounts by `1 - cover`, drops what became nothing, and gives the number of pairs left.
fn fade(pixel: &mut Pixel, cover: u32, lut: &PaintLut) -> usize {
    let keep = FULL - cover;
    let board_total =
        pixel.iter().filter(|&&w| w != 0 && !lut.is_free(paint_of(w))).map(|&w| amount_of(w)).sum::<u32>().min(FULL);
    // Running sums before and after rounding; free paints start where the board paints end.
    let (mut board, mut board_kept) = (0, 0);
    let (mut free, mut free_kept) = (board_total, scale(board_total, keep));
    let mut count = 0;
    for k in 0..MAX_PLANES {
        let pair = pixel[k];
        if pair == 0 {
            break;
        }
        let (sum, kept) =
            if lut.is_free(paint_of(pair)) { (&mut free, &mut free_kept) } else { (&mut board, &mut board_kept) };
        *sum = (*sum + amount_of(pair)).min(FULL);
        let now = scale(*sum, keep);
        let amount = now - *kept;
        *kept = now;
        pixel[k] = 0;
        if amount > 0 {
            pixel[count] = paint_of(pair) << 16 | amount;
            count += 1;
        }
    }
    count
}

/// Takes `cover` (0-65535) of the paint off.
pub fn scrape(pixel: &mut Pixel, cover: u32, lut: &PaintLut) {
    if cover > 0 {
        fade(pixel, cover, lut);
    }
}

/// Lays `cover` (0-65535) of `paint` over the pixel.
pub fn lay(pixel: &mut Pixel, paint: u32, cover: u32, lut: &PaintLut) {
    if cover == 0 {
        return;
    }
    // A pair of the same paint that fades to nothing is dropped and comes back as the last one: order says nothing.
    let mut count = fade(pixel, cover, lut);
    if let Some(pair) = pixel[..count].iter_mut().find(|w| paint_of(**w) == paint) {
        *pair += cover;
        return;
    }
    if count == MAX_PLANES {
        let mut nine = [0; MAX_PLANES + 1];
        nine[..MAX_PLANES].copy_from_slice(pixel);
        nine[MAX_PLANES] = paint << 16 | cover;
        *pixel = merge_cheapest(nine, lut);
        return;
    }
    pixel[count] = paint << 16 | cover;
    count += 1;
    debug_assert!(pixel[..count].iter().map(|&w| amount_of(w)).sum::<u32>() <= FULL);
}

/// What merging two pairs would cost: 4 d² w1 w2 / (w1 + w2) with d the OKLab distance in whole steps, in u64.
#[inline]
fn merge_cost(a: u32, b: u32, lut: &PaintLut) -> u64 {
    let (w1, w2) = (amount_of(a), amount_of(b));
    // 4 w1 w2 fits u32 because w1 + w2 <= 65535.
    let weight = (4 * w1 * w2) / (w1 + w2);
    u64::from(lut.distance_squared(paint_of(a), paint_of(b))) * u64::from(weight)
}

/// Nine pairs to eight: merges the two of one class that cost least; the larger keeps its id and takes both amounts, the
/// first of equals wins. With two classes and nine pairs there is always such a pair. Mirror: `merge_cheapest` in
/// `shaders/common/commits.wgsl`.
pub fn merge_cheapest(mut nine: [u32; MAX_PLANES + 1], lut: &PaintLut) -> Pixel {
    let mut best = (u64::MAX, 0, 1);
    for i in 0..nine.len() {
        for j in i + 1..nine.len() {
            if lut.is_free(paint_of(nine[i])) == lut.is_free(paint_of(nine[j])) {
                let cost = merge_cost(nine[i], nine[j], lut);
                if cost < best.0 {
                    best = (cost, i, j);
                }
            }
        }
    }
    let (_, i, j) = best;
    let both = amount_of(nine[i]) + amount_of(nine[j]);
    let keeper = if amount_of(nine[j]) > amount_of(nine[i]) { nine[j] } else { nine[i] };
    nine[i] = keeper & 0xffff_0000 | both;
    let mut pixel = [0; MAX_PLANES];
    let mut rest = nine.iter().enumerate().filter(|&(k, _)| k != j).map(|(_, &w)| w);
    pixel.fill_with(|| rest.next().unwrap_or(0));
    pixel
}

/// The visible amounts of one pixel of one pass, where `left` (0-65535) is what the passes above let through: calls
/// `each(paint, amount)` for every pair and returns what this pass lets through in its turn. Going through all passes from
/// the top, the amounts and what is left for the ground sum to exactly 65535.
#[inline(always)]
pub fn show_layer(pairs: impl Iterator<Item = u32>, strength: u32, left: u32, mut each: impl FnMut(u32, u32)) -> u32 {
    let (mut sum, mut shown) = (0, 0);
    for pair in pairs {
        if pair == 0 {
            break;
        }
        sum = (sum + amount_of(pair)).min(FULL);
        let now = scale(scale(sum, strength), left);
        each(paint_of(pair), now - shown);
        shown = now;
    }
    left - shown
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lut() -> PaintLut {
        PaintLut::for_tests(12, |id| id >= 10)
    }

    fn pixel(pairs: &[(u32, u32)]) -> Pixel {
        let mut p = [0; MAX_PLANES];
        for (place, &(id, amount)) in p.iter_mut().zip(pairs) {
            *place = id << 16 | amount;
        }
        p
    }

    #[test]
    fn half_over_full_is_half_and_half() {
        // By hand: 65535 kept at 1 - 32768/65535 is 32767; 32768 of the new paint.
        let mut p = pixel(&[(1, 65535)]);
        lay(&mut p, 2, 32768, &lut());
        assert_eq!(p, pixel(&[(1, 32767), (2, 32768)]));
    }

    #[test]
    fn full_cover_leaves_one_paint_and_full_scrape_none() {
        let mut p = pixel(&[(1, 20000), (2, 30000), (10, 15535)]);
        lay(&mut p, 3, 65535, &lut());
        assert_eq!(p, pixel(&[(3, 65535)]));
        scrape(&mut p, 65535, &lut());
        assert_eq!(p, pixel(&[]));
    }

    #[test]
    fn a_full_pixel_stays_full_through_many_glazes() {
        let mut p = pixel(&[(1, 65535)]);
        for i in 0..1000u32 {
            lay(&mut p, 1 + i % 11, 777 + i * 13 % 5000, &lut());
            assert_eq!(p.iter().map(|&w| amount_of(w)).sum::<u32>(), FULL);
        }
    }

    #[test]
    fn the_ninth_paint_merges_within_its_class() {
        // Eight board paints of which 4 and 5 are neighbours in colour (see `for_tests`: lightness rises with the id), and
        // a ninth from the free side: the free one must survive, the board total must not change.
        let mut p = pixel(&[(1, 8000), (2, 8000), (3, 8000), (4, 10), (5, 8000), (6, 8000), (7, 8000), (8, 8000)]);
        lay(&mut p, 11, 100, &lut());
        let free: u32 = p.iter().filter(|&&w| paint_of(w) >= 10).map(|&w| amount_of(w)).sum();
        assert_eq!(free, 100);
        let total: u32 = p.iter().map(|&w| amount_of(w)).sum();
        assert_eq!(total, scale(56010, FULL - 100) + 100);
        assert!(p.iter().all(|&w| w != 0 && paint_of(w) != 4), "{p:x?}");
    }

    #[test]
    fn visible_amounts_and_ground_make_one() {
        let top = pixel(&[(1, 10000), (2, 3)]);
        let below = pixel(&[(3, 65535)]);
        let mut seen = Vec::new();
        let left = show_layer(top.into_iter(), 30000, FULL, |p, a| seen.push((p, a)));
        let left = show_layer(below.into_iter(), FULL, left, |p, a| seen.push((p, a)));
        assert_eq!(left, 0);
        assert_eq!(seen.iter().map(|s| s.1).sum::<u32>(), FULL);
        assert_eq!(seen[0], (1, scale(10000, 30000)));
    }
}
