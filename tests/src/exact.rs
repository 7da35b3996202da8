//! The exact model: a canvas of pixels that hold any number of paints as f64, without tiles, planes or rounding.

use std::collections::BTreeMap;
use stint_model::colour::Oklab;
use stint_model::ids::{PaintId, PassId};
use stint_model::mixing::{LATENT, Mixing};
use stint_model::paint::{PaintClass, PaintTable};
use stint_model::pass::Pass;
use stint_render::amount;
use stint_render::engine::Op;
use stint_render::mask::{CanvasSize, Mask};

/// One pixel of one pass.
#[derive(Clone, Debug, Default)]
struct Pixel {
    /// Real amounts, 0-1.
    amounts: BTreeMap<PaintId, f64>,
    /// Whole-step totals by class, each rounded once a stroke: what the engine must give to the last step.
    board: u32,
    total: u32,
}

/// The exact canvas.
pub struct ExactCanvas {
    size: CanvasSize,
    pixels: BTreeMap<PassId, Vec<Pixel>>,
}

impl ExactCanvas {
    /// Bare.
    pub fn new(size: CanvasSize) -> Self {
        ExactCanvas { size, pixels: BTreeMap::new() }
    }

    fn area(&self) -> usize {
        (self.size.width * self.size.height) as usize
    }

    /// Commits a mask; a mixture as its paints one after the other, each with its part of the cover.
    pub fn commit(&mut self, pass: PassId, op: Op, mask: &Mask, paints: &PaintTable) {
        if let Op::LayMixture(load) = op {
            for (layer, &(paint, _)) in load.paints().iter().enumerate() {
                self.commit_layer(pass, Op::Lay(paint), mask, &|cover| load.covers(cover)[layer], paints);
            }
            return;
        }
        self.commit_layer(pass, op, mask, &|cover| cover, paints);
    }

    fn commit_layer(&mut self, pass: PassId, op: Op, mask: &Mask, part: &dyn Fn(u16) -> u16, paints: &PaintTable) {
        let (area, width) = (self.area(), self.size.width);
        let pixels = self.pixels.entry(pass).or_insert_with(|| vec![Pixel::default(); area]);
        for (i, pixel) in pixels.iter_mut().enumerate() {
            let cover = u32::from(part(mask.at(i as u32 % width, i as u32 / width)));
            let keep = 1.0 - f64::from(cover) / 65535.0;
            for amount in pixel.amounts.values_mut() {
                *amount *= keep;
            }
            pixel.board = amount::scale(pixel.board, 65535 - cover);
            pixel.total = amount::scale(pixel.total, 65535 - cover);
            if let Op::Lay(id) = op {
                *pixel.amounts.entry(id).or_default() += f64::from(cover) / 65535.0;
                pixel.total += cover;
                if paints.get(id).is_some_and(|p| p.class() == PaintClass::Board) {
                    pixel.board += cover;
                }
            }
        }
    }

    /// Whole-step totals of one pass over the canvas: board and all.
    pub fn class_totals(&self, pass: PassId) -> (u64, u64) {
        let pixels = self.pixels.get(&pass).into_iter().flatten();
        pixels.fold((0, 0), |(b, t), p| (b + u64::from(p.board), t + u64::from(p.total)))
    }

    /// Share of each paint in all paint of one pass, 0-1.
    pub fn shares(&self, pass: PassId) -> BTreeMap<PaintId, f64> {
        let mut sums: BTreeMap<PaintId, f64> = BTreeMap::new();
        for (id, amount) in self.pixels.get(&pass).into_iter().flatten().flat_map(|p| &p.amounts) {
            *sums.entry(*id).or_default() += amount;
        }
        let total: f64 = sums.values().sum();
        sums.into_iter().map(|(id, sum)| (id, sum / total)).collect()
    }

    /// OKLab of each pixel as the passes show.
    pub fn colours(&self, passes: &[Pass], paints: &PaintTable, ground: Oklab, mixing: Mixing) -> Vec<Oklab> {
        let latent = |c: stint_model::colour::Colour| mixing.latent(c).map(f64::from);
        let paint_latents: BTreeMap<_, _> = paints.iter().map(|p| (p.id, latent(p.colour))).collect();
        let ground = latent(ground.colour());
        let one = |i: usize| {
            let (mut sum, mut left) = ([0.0; LATENT], 1.0);
            for pass in passes.iter().rev().filter(|p| p.visible) {
                let Some(pixel) = self.pixels.get(&pass.id).map(|p| &p[i]) else { continue };
                let through = left * f64::from(pass.strength) / 65535.0;
                for (id, amount) in &pixel.amounts {
                    for (s, v) in sum.iter_mut().zip(paint_latents[id]) {
                        *s += v * amount * through;
                    }
                    left -= amount * through;
                }
            }
            let rest = left.max(0.0);
            let mixed = std::array::from_fn(|k| (sum[k] + ground[k] * rest) as f32);
            mixing.colour(&mixed).oklab()
        };
        (0..self.area()).map(one).collect()
    }
}
