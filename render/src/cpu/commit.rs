//! Commit on the CPU: sixteen pixels at a time, without branches on what a pixel holds, so that the compiler can use the
//! machine's vector instructions. Gives the bits of [`crate::pixel::lay`] and [`crate::pixel::scrape`].
//!
//! Mirror: `shaders/common/commits.wgsl`.

use super::classes::{Classes, LANES, Lanes, all_if, one_class};
use super::layers::LayerWords;
use crate::amount::{FULL, scale};
use crate::engine::Op;
use crate::load::BrushLoad;
use crate::mask::MaskTile;
use crate::paints::PaintLut;
use crate::pixel::{self, Pixel, amount_of, paint_of};
use multiversion::multiversion;
use stint_model::study::tile::{
    BLOCK_PIXELS, BLOCK_SIDE, BLOCKS, Block, MAX_PLANES, Plane, TilePixels, Words, block_rows,
};

/// Pixels of a row of a block.
const WIDTH: usize = BLOCK_SIDE as usize;

/// A tile with `op` applied through `mask`. Empty upper planes are dropped. Blocks that the mask does not cover are shared with the base,
/// and with `earlier`, which the same made of the same base through another mask, those that both masks cover alike.
pub fn commit_tile(
    op: Op,
    base: &TilePixels,
    mask: &MaskTile,
    earlier: Option<(&TilePixels, &MaskTile)>,
    paints: &PaintLut,
) -> TilePixels {
    let laid = Laid::by(op);
    match mask {
        MaskTile::Even(0) => return base.clone(),
        MaskTile::Even(cover) => {
            let words: Option<Vec<u32>> = base.planes().iter().map(Plane::even_word).collect();
            // Full cover leaves nothing of the base.
            if let Some(words) = if *cover == u16::MAX { Some(Vec::new()) } else { words } {
                let pixel = one_pixel(words.into_iter(), &laid, *cover, paints);
                return TilePixels::new(pixel.into_iter().map(Plane::even).collect());
            }
        }
        MaskTile::Pixels(_) => {}
    }
    let mut scratch =
        Scratch { classes: Classes::of(paints), cover: [0; BLOCK_PIXELS], words: [[0; BLOCK_PIXELS]; MAX_PLANES] };
    let mut of_layers = laid.load.map(|_| Box::new(LayerScratch::default()));
    let mut made: [Vec<Block>; MAX_PLANES] = Default::default();
    for index in 0..BLOCKS {
        if let Some((tile, through)) = earlier
            && covers_alike(mask, through, index)
        {
            share_block(tile, index, &mut made);
            continue;
        }
        commit_block(base, index, mask, &laid, paints, (&mut scratch, of_layers.as_deref_mut()), &mut made);
    }
    let planes = made.map(|blocks| blocks.try_into().map_or_else(|_| Plane::even(0), Plane::from_blocks));
    TilePixels::new(planes.into())
}

/// What an operation lays.
struct Laid {
    /// Of one layer; 0 is scraping.
    paint: u32,
    /// A mixture in its place.
    load: Option<BrushLoad>,
}

impl Laid {
    fn by(op: Op) -> Self {
        match op {
            Op::Lay(paint) => Laid { paint: paint.0.into(), load: None },
            Op::LayMixture(load) => Laid { paint: 0, load: Some(load) },
            Op::Scrape => Laid { paint: 0, load: None },
        }
    }
}

/// Room for the layers of a mixture over one block: the cover of each, and the words that a layer makes for the next.
struct LayerScratch {
    covers: [[u16; BLOCK_PIXELS]; MAX_PLANES],
    words: [[u32; BLOCK_PIXELS]; MAX_PLANES],
}

impl Default for LayerScratch {
    fn default() -> Self {
        LayerScratch { covers: [[0; BLOCK_PIXELS]; MAX_PLANES], words: [[0; BLOCK_PIXELS]; MAX_PLANES] }
    }
}

/// Room for one block in the making, and what all blocks need to know of the paints.
struct Scratch {
    classes: Classes,
    cover: [u16; BLOCK_PIXELS],
    words: [[u32; BLOCK_PIXELS]; MAX_PLANES],
}

/// The pair of full cover; none of no paint.
fn covered(paint: u32) -> u32 {
    if paint == 0 { 0 } else { paint << 16 | FULL }
}

/// What becomes of a pixel.
fn one_pixel(pairs: impl Iterator<Item = u32>, laid: &Laid, cover: u16, paints: &PaintLut) -> Pixel {
    let mut pixel: Pixel = [0; MAX_PLANES];
    pixel.iter_mut().zip(pairs).for_each(|(place, pair)| *place = pair);
    match (&laid.load, laid.paint) {
        (Some(load), _) => {
            for (&(paint, _), cover) in load.paints().iter().zip(load.covers(cover)) {
                pixel::lay(&mut pixel, paint.0.into(), cover.into(), paints);
            }
        }
        (None, 0) => pixel::scrape(&mut pixel, cover.into(), paints),
        (None, paint) => pixel::lay(&mut pixel, paint, cover.into(), paints),
    }
    pixel
}

/// Whether two masks cover a block alike.
fn covers_alike(mask: &MaskTile, other: &MaskTile, block: usize) -> bool {
    match (mask, other) {
        (MaskTile::Even(a), MaskTile::Even(b)) => a == b,
        (MaskTile::Pixels(a), MaskTile::Pixels(b)) => {
            block_rows(block).all(|at| a[at..at + WIDTH] == b[at..at + WIDTH])
        }
        (MaskTile::Pixels(pixels), MaskTile::Even(even)) | (MaskTile::Even(even), MaskTile::Pixels(pixels)) => {
            block_rows(block).all(|at| pixels[at..at + WIDTH].iter().all(|cover| cover == even))
        }
    }
}

/// Adds a block to each of the planes, shared with a tile.
fn share_block(tile: &TilePixels, index: usize, made: &mut [Vec<Block>; MAX_PLANES]) {
    for (made, k) in made.iter_mut().zip(0..) {
        made.push(tile.planes().get(k).map_or(Block::even(0), |plane| plane.shared_block(index)));
    }
}

/// Adds a block to each of the planes.
fn commit_block(
    base: &TilePixels,
    index: usize,
    mask: &MaskTile,
    laid: &Laid,
    paints: &PaintLut,
    (scratch, of_layers): (&mut Scratch, Option<&mut LayerScratch>),
    made: &mut [Vec<Block>; MAX_PLANES],
) {
    let planes = base.planes();
    let even_cover = match mask {
        MaskTile::Even(cover) => {
            scratch.cover.fill(*cover);
            Some(*cover)
        }
        MaskTile::Pixels(pixels) => {
            let mut odd = 0;
            let first = block_rows(index).next().map_or(0, |at| pixels[at]);
            for (to, at) in scratch.cover.as_chunks_mut::<WIDTH>().0.iter_mut().zip(block_rows(index)) {
                to.copy_from_slice(&pixels[at..at + WIDTH]);
                odd |= to.iter().fold(0, |odd, cover| odd | (cover ^ first));
            }
            (odd == 0).then_some(first)
        }
    };
    let src = LayerWords::new(planes.iter().map(|plane| plane.block(index)), FULL);
    let src = src.planes();
    let even: Option<Vec<u32>> =
        src.iter().map(|words| if let Words::Even(word) = words { Some(*word) } else { None }).collect();
    match (even_cover, even) {
        (Some(0), _) => share_block(base, index, made),
        (Some(u16::MAX), _) => {
            let pixel = one_pixel(std::iter::empty(), laid, u16::MAX, paints);
            made.iter_mut().zip(pixel).for_each(|(made, word)| made.push(Block::even(word)));
        }
        (Some(cover), Some(words)) => {
            let pixel = one_pixel(words.into_iter(), laid, cover, paints);
            made.iter_mut().zip(pixel).for_each(|(made, word)| made.push(Block::even(word)));
        }
        _ => {
            let count = match (&laid.load, of_layers) {
                (Some(load), Some(of_layers)) => commit_layers(src, load, paints, scratch, of_layers),
                _ => {
                    let count = (src.len() + usize::from(laid.paint != 0)).min(MAX_PLANES);
                    let table = (paints, scratch.classes);
                    commit_words(src, &scratch.cover, laid.paint, table, &mut scratch.words[..count]);
                    count
                }
            };
            let blocks = scratch.words[..count].iter().map(Block::new).chain(std::iter::repeat(Block::even(0)));
            made.iter_mut().zip(blocks).for_each(|(made, block)| made.push(block));
        }
    }
}

/// Lays a mixture layer by layer into the words of `scratch`; tells how many planes it made.
fn commit_layers(
    src: &[Words<'_>],
    load: &BrushLoad,
    paints: &PaintLut,
    scratch: &mut Scratch,
    of_layers: &mut LayerScratch,
) -> usize {
    let layers = load.paints();
    // Neighbours mostly have one cover.
    let (mut last, mut now) = (0, [0; MAX_PLANES]);
    for (i, &cover) in scratch.cover.iter().enumerate() {
        if cover != last {
            (last, now) = (cover, load.covers(cover));
        }
        for (covers, cover) in of_layers.covers.iter_mut().zip(now).take(layers.len()) {
            covers[i] = cover;
        }
    }
    let table = (paints, scratch.classes);
    let mut count = (src.len() + 1).min(MAX_PLANES);
    let (mut made, mut next) = (&mut scratch.words, &mut of_layers.words);
    commit_words(src, &of_layers.covers[0], layers[0].0.0.into(), table, &mut made[..count]);
    for (&(paint, _), covers) in layers.iter().zip(&of_layers.covers).skip(1) {
        let below = LayerWords::new(made[..count].iter().map(|words| Words::Pixels(words)), FULL);
        count = (count + 1).min(MAX_PLANES);
        commit_words(below.planes(), covers, paint.0.into(), table, &mut next[..count]);
        (made, next) = (next, made);
    }
    if layers.len().is_multiple_of(2) {
        scratch.words[..count].copy_from_slice(&of_layers.words[..count]);
    }
    count
}

#[multiversion(targets("x86_64+avx2", "x86_64+sse4.1"))]
fn commit_words(
    src: &[Words<'_>],
    cover: &[u16; BLOCK_PIXELS],
    paint: u32,
    (paints, classes): (&PaintLut, Classes),
    dst: &mut [[u32; BLOCK_PIXELS]],
) {
    let pure = !paints.has_free() || one_class(src, paint, (paints, classes));
    let job = Job { cover, paint, paints, classes, pure };
    // One loop for each depth, so that a pixel's pairs can stay in registers.
    match src.len() {
        0 => rows_of::<0, 1>(src, &job, dst),
        1 => rows_of::<1, 2>(src, &job, dst),
        2 => rows_of::<2, 3>(src, &job, dst),
        3 => rows_of::<3, 4>(src, &job, dst),
        4 => rows_of::<4, 5>(src, &job, dst),
        5 => rows_of::<5, 6>(src, &job, dst),
        6 => rows_of::<6, 7>(src, &job, dst),
        7 => rows_of::<7, 8>(src, &job, dst),
        _ => rows_of::<8, 9>(src, &job, dst),
    }
}

/// What is the same for all pixels of a block.
struct Job<'a> {
    cover: &'a [u16; BLOCK_PIXELS],
    paint: u32,
    paints: &'a PaintLut,
    classes: Classes,
    pure: bool,
}

/// Sixteen pairs of a plane.
#[inline(always)]
fn lanes_at(words: &Words<'_>, at: usize) -> Lanes {
    match words {
        Words::Even(word) => [*word; LANES],
        Words::Pixels(words) => {
            let mut lanes = [0; LANES];
            lanes.copy_from_slice(&words[at..at + LANES]);
            lanes
        }
    }
}

/// All pixels of a block of `N` planes; `M` is `N + 1`.
#[inline(always)]
fn rows_of<const N: usize, const M: usize>(src: &[Words<'_>], job: &Job<'_>, dst: &mut [[u32; BLOCK_PIXELS]]) {
    for at in (0..BLOCK_PIXELS).step_by(LANES) {
        let Ok(cover) = <&[u16; LANES]>::try_from(&job.cover[at..at + LANES]) else { return };
        if *cover == [0; LANES] {
            for (k, plane) in dst.iter_mut().enumerate() {
                let untouched = src.get(k).map_or([0; LANES], |words| lanes_at(words, at));
                plane[at..at + LANES].copy_from_slice(&untouched);
            }
        } else if *cover == [u16::MAX; LANES] {
            for (k, plane) in dst.iter_mut().enumerate() {
                plane[at..at + LANES].fill(if k == 0 { covered(job.paint) } else { 0 });
            }
        } else {
            // Loops, not `array::from_fn`: that is compiled once, for the plainest machine.
            let mut wide = [0; LANES];
            for (wide, &cover) in wide.iter_mut().zip(cover) {
                *wide = u32::from(cover);
            }
            commit_lanes::<N, M>(src, at, &wide, job, dst);
        }
    }
}

#[inline(always)]
fn commit_lanes<const N: usize, const M: usize>(
    src: &[Words<'_>],
    at: usize,
    cover: &Lanes,
    job: &Job<'_>,
    dst: &mut [[u32; BLOCK_PIXELS]],
) {
    let paint = job.paint;
    let mut untouched = [[0_u32; LANES]; N];
    for (lanes, words) in untouched.iter_mut().zip(src) {
        *lanes = lanes_at(words, at);
    }
    let mut faded = untouched;
    let mut keep = [0; LANES];
    for (keep, cover) in keep.iter_mut().zip(cover) {
        *keep = FULL - cover;
    }
    let found = if job.pure {
        fade_pure(&mut faded, &keep, cover, paint)
    } else {
        fade_split(&mut faded, &keep, cover, paint, job)
    };
    pack(&mut faded);
    let mut words = [[0_u32; LANES]; M];
    words[..N].copy_from_slice(&faded);
    if paint != 0 {
        let mut pending = [0; LANES];
        for l in 0..LANES {
            pending[l] = ((paint << 16) | cover[l]) & all_if(found[l] == 0);
        }
        for word in words[..M.min(MAX_PLANES)].iter_mut() {
            for l in 0..LANES {
                let put = all_if(word[l] == 0);
                word[l] |= pending[l] & put;
                pending[l] &= !put;
            }
        }
        if M > MAX_PLANES && pending.iter().zip(cover).any(|(&p, &c)| p != 0 && c != 0) {
            ninth(&mut words, &pending, cover, job.paints);
        }
    }
    // Where nothing is covered nothing may change, not even the order of pairs.
    for (k, plane) in dst.iter_mut().enumerate() {
        let Some(out) = plane.get_mut(at..at + LANES) else { return };
        for l in 0..LANES {
            let old = if k < N { untouched[k][l] } else { 0 };
            let as_it_was = all_if(cover[l] == 0);
            out[l] = (old & as_it_was) | (words[k][l] & !as_it_was);
        }
    }
}

/// Fades pairs by the running sum, adds the cover to the pair of the same paint, tells where there was one.
#[inline(always)]
fn fade_pure(words: &mut [Lanes], keep: &Lanes, cover: &Lanes, paint: u32) -> Lanes {
    let (mut sum, mut kept, mut found) = ([0; LANES], [0; LANES], [0; LANES]);
    for word in words {
        for l in 0..LANES {
            let pair = word[l];
            // Held to full cover, which an overfull pixel of a damaged tile would pass.
            sum[l] = (sum[l] + amount_of(pair)).min(FULL);
            let now = scale(sum[l], keep[l]);
            let amount = now - kept[l];
            kept[l] = now;
            (word[l], found[l]) = joined(pair, amount, cover[l], paint, found[l]);
        }
    }
    found
}

/// As [`fade_pure`], with the running sum over the board paints first and the free paints after.
#[inline(always)]
fn fade_split(words: &mut [Lanes], keep: &Lanes, cover: &Lanes, paint: u32, job: &Job<'_>) -> Lanes {
    let mut free = [[0_u32; LANES]; MAX_PLANES];
    let mut board_total = [0; LANES];
    for (word, free) in words.iter().zip(&mut free) {
        *free = job.classes.free(word, job.paints);
        for l in 0..LANES {
            board_total[l] = (board_total[l] + (amount_of(word[l]) & !free[l])).min(FULL);
        }
    }
    let (mut board, mut board_kept, mut found) = ([0; LANES], [0; LANES], [0; LANES]);
    let mut free_sum = board_total;
    let mut free_kept = [0; LANES];
    for l in 0..LANES {
        free_kept[l] = scale(board_total[l], keep[l]);
    }
    for (word, free) in words.iter_mut().zip(&free) {
        for l in 0..LANES {
            let (pair, is) = (word[l], free[l]);
            let sum = (amount_of(pair) + ((free_sum[l] & is) | (board[l] & !is))).min(FULL);
            let now = scale(sum, keep[l]);
            let amount = now - ((free_kept[l] & is) | (board_kept[l] & !is));
            free_sum[l] = (sum & is) | (free_sum[l] & !is);
            free_kept[l] = (now & is) | (free_kept[l] & !is);
            board[l] = (sum & !is) | (board[l] & is);
            board_kept[l] = (now & !is) | (board_kept[l] & is);
            (word[l], found[l]) = joined(pair, amount, cover[l], paint, found[l]);
        }
    }
    found
}

/// A faded pair, with the cover added where it is of the laid paint and has not faded to nothing; and whether there was such a pair.
#[inline(always)]
fn joined(pair: u32, amount: u32, cover: u32, paint: u32, found: u32) -> (u32, u32) {
    let same = all_if(amount != 0) & all_if(found == 0) & all_if(paint != 0) & all_if(paint_of(pair) == paint);
    let amount = amount + (cover & same);
    (((pair & 0xffff_0000) | amount) & all_if(amount != 0), found | (same & 1))
}

/// Moves empty places behind the non-empty ones; most of the time there is nothing to do.
#[inline(always)]
#[expect(clippy::needless_range_loop, reason = "two rows are read at one place: indices say it best")]
fn pack(words: &mut [Lanes]) {
    for settled in 0..words.len() {
        let mut gap = 0_u32;
        for k in 1..words.len() {
            for l in 0..LANES {
                gap |= u32::from(words[k - 1][l] == 0) & u32::from(words[k][l] != 0);
            }
        }
        if gap == 0 {
            return;
        }
        for k in 1..words.len() - settled {
            for l in 0..LANES {
                let (a, b) = (words[k - 1][l], words[k][l]);
                let empty = all_if(a == 0);
                words[k - 1][l] = a | (b & empty);
                words[k][l] = b & !empty;
            }
        }
    }
}

/// The rare pixel with eight paints that gets another.
#[cold]
fn ninth(words: &mut [Lanes], pending: &Lanes, cover: &Lanes, paints: &PaintLut) {
    for l in 0..LANES {
        if pending[l] != 0 && cover[l] != 0 {
            let mut nine = [0; MAX_PLANES + 1];
            for (place, word) in nine.iter_mut().zip(words.iter()) {
                *place = word[l];
            }
            nine[MAX_PLANES] = pending[l];
            let pixel: Pixel = pixel::merge_cheapest(nine, paints);
            for (word, pair) in words.iter_mut().zip(pixel) {
                word[l] = pair;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use stint_model::ids::PaintId;
    use stint_model::study::tile::TILE_PIXELS;

    /// A small repeatable generator (SplitMix64, public domain by S. Vigna; constants from memory).
    pub struct Numbers(pub u64);

    impl Numbers {
        pub fn next(&mut self, below: u32) -> u32 {
            self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let mut z = self.0;
            z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            ((z ^ (z >> 31)) % u64::from(below)) as u32
        }
    }

    /// A mixture in one go has the bits of its layers one by one, over bases of every depth and masks of every kind.
    #[test]
    fn a_mixture_gives_the_bits_of_its_layers() {
        let lut = PaintLut::for_tests(24, |id| id % 3 == 0);
        let mut numbers = Numbers(11);
        let mut tile = TilePixels::default();
        for round in 0..24 {
            let count = 2 + numbers.next(7);
            let amounts: Vec<_> =
                (0..count).map(|i| (PaintId(1 + ((round + 5 * i) % 24) as u16), 1 + numbers.next(9000))).collect();
            let load = BrushLoad::mixture(&amounts).unwrap_or_else(|| unreachable!("it has paint"));
            let kind = numbers.next(4);
            let mask = match kind {
                0 => MaskTile::Even([0, 1, 30_000, u16::MAX][numbers.next(4) as usize]),
                _ => MaskTile::from_fn(|i| match (i / 32 + i / 4096 + round as usize) % 4 {
                    0 => 0,
                    1 => u16::MAX,
                    2 => 20_000,
                    _ => numbers.next(65536) as u16,
                }),
            };
            let mut by_layers = tile.clone();
            for (layer, &(paint, _)) in load.paints().iter().enumerate() {
                let mask = match &mask {
                    MaskTile::Even(cover) => MaskTile::Even(load.covers(*cover)[layer]),
                    MaskTile::Pixels(pixels) => MaskTile::from_fn(|i| load.covers(pixels[i])[layer]),
                };
                by_layers = commit_tile(Op::Lay(paint), &by_layers, &mask, None, &lut);
            }
            let at_once = commit_tile(Op::LayMixture(load), &tile, &mask, None, &lut);
            assert_eq!(at_once, by_layers, "round {round}");
            // And over what it made through another mask.
            let half = MaskTile::from_fn(|i| if i < 5000 { 0 } else { 40_000 });
            let earlier = commit_tile(Op::LayMixture(load), &tile, &half, None, &lut);
            let known = Some((&earlier, &half));
            assert_eq!(commit_tile(Op::LayMixture(load), &tile, &mask, known, &lut), by_layers, "round {round}");
            tile = if round % 8 == 7 { TilePixels::default() } else { at_once };
        }
    }

    /// The kernel against the plain definition, pixel by pixel, over enough layers that pixels fill up and merge.
    #[test]
    fn kernel_gives_the_bits_of_the_definition() {
        for all_board in [true, false] {
            let lut = PaintLut::for_tests(24, |id| !all_board && id % 3 == 0);
            let mut numbers = Numbers(7);
            let mut tile = TilePixels::default();
            let mut plain: Vec<Pixel> = vec![[0; MAX_PLANES]; TILE_PIXELS];
            for layer in 0..40 {
                let paint = 1 + numbers.next(24);
                let scrape = layer % 7 == 6;
                let kind = numbers.next(6);
                let mask: [u16; TILE_PIXELS] = std::array::from_fn(|i| match (kind, i / 1000 % 4) {
                    // Blocks that are not covered, in full, evenly, and pixel by pixel.
                    (4 | 5, _) => match (i / 32 + i / 4096 + layer as usize) % 4 {
                        0 => 0,
                        1 => u16::MAX,
                        2 => 30_000 + kind as u16,
                        _ => numbers.next(65536) as u16,
                    },
                    (_, 0) => 0,
                    (0, 1) => u16::MAX,
                    (1, 2) => numbers.next(40) as u16,
                    _ => numbers.next(65536) as u16,
                });
                let op = if scrape { Op::Scrape } else { Op::Lay(PaintId(paint as u16)) };
                for (pixel, &cover) in plain.iter_mut().zip(&mask) {
                    match op {
                        Op::Scrape => pixel::scrape(pixel, cover.into(), &lut),
                        Op::Lay(_) | Op::LayMixture(_) => pixel::lay(pixel, paint, cover.into(), &lut),
                    }
                }
                tile = commit_tile(op, &tile, &MaskTile::Pixels(Box::new(mask)), None, &lut);
                for (i, pixel) in plain.iter().enumerate() {
                    let got: Pixel = std::array::from_fn(|k| tile.planes().get(k).map_or(0, |p| p[i]));
                    assert_eq!(got, *pixel, "layer {layer} {op:?} pixel {i}");
                }
            }
            assert_eq!(tile.planes().len(), MAX_PLANES);
        }
    }

    #[test]
    fn a_block_that_is_not_covered_is_shared_and_one_that_became_even_is_no_pixels() {
        let lut = PaintLut::for_tests(4, |_| false);
        let grained = MaskTile::from_fn(|i| 1 + (i % 9000) as u16);
        let base = commit_tile(Op::Lay(PaintId(1)), &TilePixels::default(), &grained, None, &lut);
        assert_eq!(base.planes()[0].pixel_blocks(), BLOCKS);
        // The left half of the tile in full.
        let half = MaskTile::from_fn(|i| if i % 128 < 64 { u16::MAX } else { 0 });
        let after = commit_tile(Op::Lay(PaintId(2)), &base, &half, None, &lut);
        assert_eq!((after.planes().len(), after.planes()[0].pixel_blocks()), (1, BLOCKS / 2));
        let pixels = |tile: &TilePixels| match tile.planes()[0].block(3) {
            Words::Pixels(words) => words.as_ptr(),
            Words::Even(_) => unreachable!("it is grained"),
        };
        assert_eq!(pixels(&after), pixels(&base));
        let all = commit_tile(Op::Lay(PaintId(3)), &after, &MaskTile::from_fn(|_| u16::MAX), None, &lut);
        assert_eq!(all.planes()[0].pixel_blocks(), 0);
    }

    #[test]
    fn what_another_mask_covers_alike_is_taken_over_and_changes_no_bit() {
        let lut = PaintLut::for_tests(4, |_| false);
        let grained = |paint, rise: usize| {
            let mask = MaskTile::from_fn(|i| 1 + (i * rise % 9000) as u16);
            commit_tile(Op::Lay(PaintId(paint)), &TilePixels::default(), &mask, None, &lut)
        };
        let base = grained(1, 3);
        let masks = [
            MaskTile::Even(7000),
            MaskTile::from_fn(|i| if i < 5000 { 7000 } else { (i % 700) as u16 }),
            MaskTile::from_fn(|i| if i < 5000 { 7000 } else { (i % 700) as u16 + u16::from(i == 9000) }),
            MaskTile::Even(0),
        ];
        for op in [Op::Scrape, Op::Lay(PaintId(2))] {
            for first in &masks {
                let earlier = commit_tile(op, &base, first, None, &lut);
                for second in &masks {
                    let known = Some((&earlier, first));
                    let (a, b) =
                        (commit_tile(op, &base, second, known, &lut), commit_tile(op, &base, second, None, &lut));
                    assert_eq!(a, b, "{op:?}");
                }
            }
            let first = commit_tile(op, &base, &masks[1], None, &lut);
            let second = commit_tile(op, &base, &masks[2], Some((&first, &masks[1])), &lut);
            let shared = |block| match (first.planes()[0].block(block), second.planes()[0].block(block)) {
                (Words::Pixels(a), Words::Pixels(b)) => std::ptr::eq(a, b),
                _ => false,
            };
            // Pixel 9000 lies in the third row of blocks, 40 columns from the left.
            assert_eq!((0..BLOCKS).filter(|&block| !shared(block)).collect::<Vec<_>>(), [9], "{op:?}");
        }
    }

    #[test]
    fn even_masks_give_the_bits_of_pixel_masks() {
        let lut = PaintLut::for_tests(4, |_| false);
        let base = commit_tile(Op::Lay(PaintId(1)), &TilePixels::default(), &MaskTile::Even(40_000), None, &lut);
        for value in [0, 1, 30_000, u16::MAX] {
            for op in [Op::Scrape, Op::Lay(PaintId(1)), Op::Lay(PaintId(2))] {
                let pixels = MaskTile::from_fn(|_| value);
                let (a, b) = (
                    commit_tile(op, &base, &MaskTile::Even(value), None, &lut),
                    commit_tile(op, &base, &pixels, None, &lut),
                );
                assert_eq!(a, b, "{op:?} {value}");
            }
        }
    }
}
