//! Reading paint between pixels: amounts weighted in whole numbers.
//!
//! A place is looked up to 1/256 of a pixel and lies between four pixels, whose weights sum to 65536. Where the paint is made smaller as many
//! places of a pixel are looked up as it covers pixels, in both directions. What is rounded is the running sum, board paints first, as
//! everywhere ([`crate::pixel`]); so a pixel that lies among full ones is full, and paint of one class never becomes that of the other.
#![expect(clippy::cast_possible_truncation, reason = "places in pixels of a canvas")]

use super::placement::{Back, Placement, SCALES};
use crate::canvas::pair_sums::PairSums;
use crate::mask::tile_of_pixel;
use crate::paints::PaintLut;
use crate::pixel::Pixel;
use std::collections::BTreeMap;
use stint_model::study::tile::{MAX_PLANES, Plane, TilePos};

/// Steps in a pixel.
const STEPS: i64 = 256;

/// What was taken up, tile by tile.
pub(super) type Taken = BTreeMap<TilePos, Vec<Plane>>;

/// Reads what was taken up where a placement brings it.
pub(super) struct Sampler<'a> {
    taken: &'a Taken,
    back: Back,
    /// Places looked up in a pixel along each axis.
    places: i64,
    paints: &'a PaintLut,
    sums: PairSums,
    /// The tile that was looked at last.
    last: Option<(TilePos, &'a [Plane])>,
}

impl<'a> Sampler<'a> {
    pub(super) fn new(taken: &'a Taken, placement: &Placement, pivot: [f64; 2], paints: &'a PaintLut) -> Self {
        let smallest = placement.scale[0].min(placement.scale[1]).clamp(*SCALES.start(), 1.0);
        let back = Back::new(placement, pivot);
        let places = (1.0 / f64::from(smallest)).ceil() as i64;
        Sampler { taken, back, places, paints, sums: PairSums::default(), last: None }
    }

    fn pixel(&mut self, x: i64, y: i64) -> Pixel {
        let mut pixel = [0; MAX_PLANES];
        let (Ok(x), Ok(y)) = (u32::try_from(x), u32::try_from(y)) else { return pixel };
        let (pos, index) = tile_of_pixel(x, y);
        let planes = match self.last {
            Some((last, planes)) if last == pos => planes,
            _ => {
                let planes = self.taken.get(&pos).map_or(&[][..], |planes| planes);
                self.last = Some((pos, planes));
                planes
            }
        };
        for (pair, plane) in pixel.iter_mut().zip(planes) {
            *pair = plane[index];
        }
        pixel
    }

    /// The paint that comes to a pixel of the canvas.
    pub(super) fn at(&mut self, x: u32, y: u32) -> Pixel {
        if self.places == 1 {
            let (corner, part) = self.place(f64::from(x) + 0.5, f64::from(y) + 0.5);
            if part == [0, 0] {
                return self.pixel(corner[0], corner[1]);
            }
            let four = self.four(corner);
            if four[1..].iter().all(|other| *other == four[0]) {
                return four[0];
            }
            self.sums.clear();
            self.add(&four, part);
            return self.sums.pixel((STEPS * STEPS) as u64, self.paints);
        }
        self.sums.clear();
        let places = self.places;
        for down in 0..places {
            for right in 0..places {
                let within = |i: i64| (i as f64 + 0.5) / places as f64;
                let (corner, part) = self.place(f64::from(x) + within(right), f64::from(y) + within(down));
                let four = self.four(corner);
                self.add(&four, part);
            }
        }
        self.sums.pixel((STEPS * STEPS * places * places) as u64, self.paints)
    }

    /// The pixel up and left of where a place comes from, and how far it lies beyond the middle of that pixel, in steps.
    fn place(&self, x: f64, y: f64) -> ([i64; 2], [i64; 2]) {
        let steps = self.back.source(x, y).map(|v| ((v - 0.5) * STEPS as f64 + 0.5).floor() as i64);
        (steps.map(|s| s.div_euclid(STEPS)), steps.map(|s| s.rem_euclid(STEPS)))
    }

    fn four(&mut self, [x, y]: [i64; 2]) -> [Pixel; 4] {
        [self.pixel(x, y), self.pixel(x + 1, y), self.pixel(x, y + 1), self.pixel(x + 1, y + 1)]
    }

    fn add(&mut self, four: &[Pixel; 4], [right, down]: [i64; 2]) {
        let (left, up) = (STEPS - right, STEPS - down);
        for (pixel, weight) in four.iter().zip([left * up, right * up, left * down, right * down]) {
            for &pair in pixel.iter().take_while(|pair| **pair != 0) {
                self.sums.add(pair, weight as u64);
            }
        }
    }
}
