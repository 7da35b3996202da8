//! k-means: a few colours that stand for many.
//!
//! Lloyd's iteration (S. P. Lloyd, "Least squares quantization in PCM", IEEE Trans. Inf. Theory 28:129-137, 1982) from
//! k-means++ starts (D. Arthur, S. Vassilvitskii, "k-means++: the advantages of careful seeding", SODA 2007) in the
//! greedy form that tries several candidates for each next centre. Everything is repeatable bit for bit with any number
//! of threads: points are worked in chunks of a fixed size whose sums are added in order.

use crate::colour::Oklab;
use crate::random::SplitMix64;
use rayon::prelude::*;

/// Points a task works on; part of the result's definition, because sums are rounded per chunk.
const CHUNK: usize = 4096;
/// Lloyd's iteration ends here at the latest.
const MAX_ROUNDS: usize = 300;
/// A start is left when a round makes the objective smaller by less than this share. Only the best one is then followed to the
/// end: the order of the starts hardly changes in the long tail.
const MIN_GAIN_SHARE: f64 = 1e-3;
/// Points whose distances are taken together, so that the processor can work on several at once.
const BLOCK: usize = 64;

/// Points in OKLab gathered around centres.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Clusters {
    /// The mean of each cluster.
    pub centres: Vec<Oklab>,
    /// How many points each has.
    pub sizes: Vec<usize>,
    /// Sum of the squared OKLab distances of all points to their centres: what k-means makes small.
    pub inertia: f64,
    /// The cluster of each point.
    pub assignments: Vec<u16>,
}

/// Gathers points around `k` centres (1 to 65535) so that the sum of squared distances is small; the best of `restarts`
/// (at least 1) independent starts is taken. The same input gives the same bits. With fewer than `k` distinct points
/// there are as many clusters as distinct points; no points or `k` = 0 give no clusters. Points must be finite.
pub fn kmeans(points: &[Oklab], k: usize, restarts: usize, seed: u64) -> Clusters {
    let points: Vec<[f32; 3]> = points.iter().map(|p| [p.l, p.a, p.b]).collect();
    let found = cluster_points(&points, k, restarts, seed);
    Clusters {
        centres: found.centres.iter().map(|&[l, a, b]| Oklab { l, a, b }).collect(),
        sizes: found.sizes,
        inertia: found.inertia,
        assignments: found.assignments,
    }
}

/// [`Clusters`] in any number of dimensions.
#[derive(Clone, Debug, Default)]
pub(super) struct PointClusters<const D: usize> {
    pub centres: Vec<[f32; D]>,
    pub sizes: Vec<usize>,
    pub inertia: f64,
    pub assignments: Vec<u16>,
}

/// [`kmeans`] in any number of dimensions.
pub(super) fn cluster_points<const D: usize>(
    points: &[[f32; D]],
    k: usize,
    restarts: usize,
    seed: u64,
) -> PointClusters<D> {
    let k = k.min(points.len()).min(usize::from(u16::MAX));
    if k == 0 {
        return PointClusters::default();
    }
    let mut random = SplitMix64(seed);
    let mut best: Option<PointClusters<D>> = None;
    for _ in 0..restarts.max(1) {
        let found = lloyd(points, initial_centres(points, k, &mut random), MIN_GAIN_SHARE);
        if best.as_ref().is_none_or(|best| found.inertia < best.inertia) {
            best = Some(found);
        }
    }
    best.map(|best| lloyd(points, best.centres, 0.0)).unwrap_or_default()
}

fn distance_2<const D: usize>(a: &[f32; D], b: &[f32; D]) -> f32 {
    a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum()
}

/// Sum in an order that does not depend on threads.
fn ordered_sum(values: &[f32]) -> f64 {
    let parts: Vec<f64> = values.par_chunks(CHUNK).map(|c| c.iter().map(|&v| f64::from(v)).sum()).collect();
    parts.iter().sum()
}

/// Greedy k-means++: each next centre is the best of a few points drawn in proportion to their squared distance from
/// the centres so far. Fewer than `k` come back when the points are used up.
#[expect(clippy::cast_possible_truncation, reason = "an index below the number of points, and a logarithm of a count")]
fn initial_centres<const D: usize>(points: &[[f32; D]], k: usize, random: &mut SplitMix64) -> Vec<[f32; D]> {
    let candidates = 2 + libm::log(k as f64) as usize;
    let first = points[(random.fraction() * points.len() as f64) as usize];
    let mut centres = vec![first];
    let mut nearest: Vec<f32> = points.par_iter().map(|p| distance_2(p, &first)).collect();
    let mut total = ordered_sum(&nearest);
    while centres.len() < k && total > 0.0 {
        let mut best: Option<(f64, [f32; D], Vec<f32>)> = None;
        for _ in 0..candidates {
            let centre = points[draw_weighted(&nearest, random.fraction() * total)];
            let closer: Vec<f32> =
                points.par_iter().zip(&nearest).map(|(p, &d)| distance_2(p, &centre).min(d)).collect();
            let left = ordered_sum(&closer);
            if best.as_ref().is_none_or(|(least, ..)| left < *least) {
                best = Some((left, centre, closer));
            }
        }
        if let Some((left, centre, closer)) = best {
            centres.push(centre);
            (nearest, total) = (closer, left);
        }
    }
    centres
}

/// The first index at which the running sum of the weights passes `target`; never one of weight 0.
fn draw_weighted(weights: &[f32], target: f64) -> usize {
    let mut sum = 0.0;
    let mut last = 0;
    for (i, &weight) in weights.iter().enumerate() {
        if weight > 0.0 {
            sum += f64::from(weight);
            last = i;
            if sum > target {
                break;
            }
        }
    }
    last
}

/// What one chunk adds to a round.
struct ChunkSums<const D: usize> {
    sums: Vec<[f64; D]>,
    sizes: Vec<usize>,
    inertia: f64,
    moved: bool,
    farthest: (f32, usize),
}

/// Lloyd's iteration until no point changes its cluster, or a round gains less than the share `tail` of the objective.
#[expect(clippy::cast_possible_truncation, reason = "a mean in the single precision of points")]
fn lloyd<const D: usize>(points: &[[f32; D]], mut centres: Vec<[f32; D]>, tail: f64) -> PointClusters<D> {
    let k = centres.len();
    let mut assignments = vec![u16::MAX; points.len()];
    let mut before = f64::INFINITY;
    for round in 0.. {
        let parts: Vec<ChunkSums<D>> = points
            .par_chunks(CHUNK)
            .zip(assignments.par_chunks_mut(CHUNK))
            .enumerate()
            .map(|(i, (points, assigned))| assign(points, assigned, &centres, i * CHUNK))
            .collect();
        let mut sums = vec![[0.0; D]; k];
        let mut sizes = vec![0; k];
        for part in &parts {
            for (c, (sum, part_sum)) in sums.iter_mut().zip(&part.sums).enumerate() {
                sizes[c] += part.sizes[c];
                for (value, add) in sum.iter_mut().zip(part_sum) {
                    *value += add;
                }
            }
        }
        let settled = !parts.iter().any(|part| part.moved);
        let inertia: f64 = parts.iter().map(|p| p.inertia).sum();
        // A centre without points is about to be moved, which gains much.
        let slow = before - inertia < tail * inertia && sizes.iter().all(|&size| size > 0);
        if settled || slow || round == MAX_ROUNDS {
            return PointClusters { centres, sizes, inertia, assignments };
        }
        before = inertia;
        for ((centre, sum), &size) in centres.iter_mut().zip(&sums).zip(&sizes) {
            if size > 0 {
                *centre = sum.map(|s| (s / size as f64) as f32);
            }
        }
        // A centre that lost all its points takes over the point that is worst off. One a round keeps this simple.
        if let Some(empty) = sizes.iter().position(|&size| size == 0) {
            let worst = parts.iter().map(|p| p.farthest).fold((0.0, 0), |a, b| if b.0 > a.0 { b } else { a });
            centres[empty] = points[worst.1];
        }
    }
    PointClusters::default()
}

/// The first nearest centre of each point of a block, and its squared distance.
#[expect(clippy::cast_possible_truncation, reason = "there are fewer than 65536 centres")]
fn nearest_of_block<const D: usize>(points: &[[f32; D]], centres: &[[f32; D]]) -> ([u32; BLOCK], [f32; BLOCK]) {
    let mut columns = [[0.0; BLOCK]; D];
    for (i, point) in points.iter().enumerate() {
        for (column, value) in columns.iter_mut().zip(point) {
            column[i] = *value;
        }
    }
    let (mut nearest, mut least) = ([0_u32; BLOCK], [f32::INFINITY; BLOCK]);
    for (c, centre) in centres.iter().enumerate() {
        let mut distances = [0.0_f32; BLOCK];
        for (column, at) in columns.iter().zip(centre) {
            for (distance, value) in distances.iter_mut().zip(column) {
                *distance += (value - at) * (value - at);
            }
        }
        for ((nearest, least), distance) in nearest.iter_mut().zip(&mut least).zip(distances) {
            let closer = distance < *least;
            *nearest = if closer { c as u32 } else { *nearest };
            *least = if closer { distance } else { *least };
        }
    }
    (nearest, least)
}

#[expect(clippy::cast_possible_truncation, reason = "there are fewer than 65536 centres")]
fn assign<const D: usize>(
    points: &[[f32; D]],
    assigned: &mut [u16],
    centres: &[[f32; D]],
    first: usize,
) -> ChunkSums<D> {
    let k = centres.len();
    let mut part =
        ChunkSums { sums: vec![[0.0; D]; k], sizes: vec![0; k], inertia: 0.0, moved: false, farthest: (0.0, first) };
    for (b, (points, assigned)) in points.chunks(BLOCK).zip(assigned.chunks_mut(BLOCK)).enumerate() {
        let (nearest, least) = nearest_of_block(points, centres);
        for (i, (point, assigned)) in points.iter().zip(assigned).enumerate() {
            let (nearest, least) = (nearest[i] as usize, least[i]);
            part.moved |= *assigned != nearest as u16;
            *assigned = nearest as u16;
            part.sizes[nearest] += 1;
            part.inertia += f64::from(least);
            for (sum, value) in part.sums[nearest].iter_mut().zip(point) {
                *sum += f64::from(*value);
            }
            if least > part.farthest.0 {
                part.farthest = (least, first + b * BLOCK + i);
            }
        }
    }
    part
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cloud(n: usize) -> Vec<Oklab> {
        let mut random = SplitMix64(7);
        let mut next = || random.fraction() as f32;
        (0..n).map(|_| Oklab { l: next(), a: next() * 0.4 - 0.2, b: next() * 0.4 - 0.2 }).collect()
    }

    #[test]
    fn clear_groups_are_found_with_their_means() {
        let middles = [0.2f32, 0.5, 0.9];
        let points: Vec<Oklab> =
            (0..300).map(|i| Oklab { l: middles[i % 3] + 0.01 * (i % 5) as f32 - 0.02, a: 0.0, b: 0.0 }).collect();
        let found = kmeans(&points, 3, 4, 1);
        let mut centres: Vec<f32> = found.centres.iter().map(|c| c.l).collect();
        centres.sort_by(f32::total_cmp);
        for (centre, middle) in centres.iter().zip(middles) {
            assert!((centre - middle).abs() < 1e-4, "{centres:?}");
        }
        assert_eq!(found.sizes, [100; 3]);
        // Offsets -2..2 hundredths have a mean square of 2e-4.
        assert!((found.inertia - 300.0 * 2e-4).abs() < 1e-4, "{}", found.inertia);
        assert!(found.assignments.chunks(3).all(|c| c == &found.assignments[..3]));
    }

    #[test]
    fn the_same_bits_with_any_number_of_threads() {
        let points = cloud(20_000);
        let with = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
            pool.map(|pool| pool.install(|| kmeans(&points, 9, 3, 42))).ok()
        };
        let one = with(1);
        assert!(one.is_some());
        assert_eq!(one, with(2));
        assert_eq!(one, with(5));
    }

    #[test]
    fn few_or_equal_points_give_fewer_clusters() {
        assert_eq!(kmeans(&[], 3, 2, 0), Clusters::default());
        assert_eq!(kmeans(&cloud(5), 0, 2, 0), Clusters::default());
        let same = vec![Oklab { l: 0.5, a: 0.1, b: 0.0 }; 50];
        let found = kmeans(&same, 4, 2, 0);
        assert_eq!((found.centres.len(), found.inertia), (1, 0.0));
        assert_eq!(kmeans(&cloud(3), 8, 2, 0).sizes, [1, 1, 1]);
    }
}
