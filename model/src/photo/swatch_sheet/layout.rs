//! How the patches of a sheet lie: families by columns or by rows.

use super::patches::Patch;
use crate::colour::Oklab;

/// Patches whose middles are nearer than this share of the usual size, across a line, lie in one line.
const ONE_LINE_SHARE: f32 = 0.5;
/// A line is cut where a gap is wider than the usual gap by this factor and this share of the usual size.
const WIDE_GAP_FACTOR: f32 = 1.8;
const WIDE_GAP_SIZE: f32 = 0.25;
/// Middles this far off their line, in usual sizes, mean that there are no lines.
const CROOKED_SIZES: f32 = 0.3;
/// More than this share of patches alone in their lines, both ways, means the same; but for a few patches it may be meant.
const STREWN_SHARE: f32 = 0.6;
const FEW_PATCHES: usize = 3;
/// How much a patch alone in its line, and one whose value is out of order, count against an arrangement.
const ALONE_COST: f32 = 2.0;
const OUT_OF_ORDER_COST: f32 = 0.5;
/// How much middles beside their line count, in usual sizes.
const BESIDE_COST: f32 = 2.0;
/// What speaks for columns when nothing else decides: that is how trays are laid out.
const COLUMNS_BONUS: f32 = 0.02;

/// Families of patches (places in the list), each in its order, families in theirs; none when they lie in no lines.
pub(super) fn families(patches: &[Patch]) -> Option<Vec<Vec<usize>>> {
    let columns = Lines::new(patches, 0);
    let rows = Lines::new(patches, 1);
    let best = if columns.against(patches) <= rows.against(patches) + COLUMNS_BONUS { columns } else { rows };
    let strewn = patches.len() > FEW_PATCHES && best.alone(patches) > STREWN_SHARE;
    (best.beside <= CROOKED_SIZES && !strewn).then_some(best.lines)
}

/// Patches in lines: columns (`across` = 0) or rows (`across` = 1).
struct Lines {
    /// Along each line, in order; lines from left to right or from top to bottom, cut into bands.
    lines: Vec<Vec<usize>>,
    /// Mean distance of the middles from the middle of their line, in usual sizes.
    beside: f32,
}

impl Patch {
    fn middle(&self, axis: usize) -> f32 {
        (self.from[axis] + self.to[axis]) as f32 / 2.0
    }

    fn size(&self, axis: usize) -> f32 {
        (self.to[axis] - self.from[axis] + 1) as f32
    }
}

fn median(mut values: Vec<f32>) -> f32 {
    values.sort_by(f32::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}

fn usual_size(patches: &[Patch], axis: usize) -> f32 {
    median(patches.iter().map(|p| p.size(axis)).collect())
}

impl Lines {
    fn new(patches: &[Patch], across: usize) -> Self {
        let size = usual_size(patches, across).max(1.0);
        let mut order: Vec<usize> = (0..patches.len()).collect();
        order.sort_by(|&i, &j| patches[i].middle(across).total_cmp(&patches[j].middle(across)));
        let mut lines: Vec<Vec<usize>> = Vec::new();
        for i in order {
            let near = lines.last().and_then(|line| line.last());
            match near.map(|&last| patches[i].middle(across) - patches[last].middle(across)) {
                Some(step) if step < ONE_LINE_SHARE * size => {
                    if let Some(line) = lines.last_mut() {
                        line.push(i);
                    }
                }
                _ => lines.push(vec![i]),
            }
        }
        let mut beside = 0.0;
        for line in &mut lines {
            let middle = line.iter().map(|&i| patches[i].middle(across)).sum::<f32>() / line.len() as f32;
            beside += line.iter().map(|&i| (patches[i].middle(across) - middle).abs()).sum::<f32>();
            line.sort_by(|&i, &j| patches[i].middle(1 - across).total_cmp(&patches[j].middle(1 - across)));
        }
        let lines = cut(lines, patches, 1 - across);
        Lines { lines, beside: beside / size / patches.len().max(1) as f32 }
    }

    /// Share of the patches that are alone in their line.
    fn alone(&self, patches: &[Patch]) -> f32 {
        self.lines.iter().filter(|line| line.len() == 1).count() as f32 / patches.len().max(1) as f32
    }

    /// What speaks against these lines being the families: patches beside their line or alone in it, hues that differ within
    /// lines as much as over the whole sheet, and values that go up and down along a line.
    fn against(&self, patches: &[Patch]) -> f32 {
        let labs: Vec<Oklab> = patches.iter().map(|p| p.colour.oklab()).collect();
        let spread = |members: &[usize]| {
            let count = members.len().max(1) as f32;
            let (a, b) = members.iter().fold((0.0, 0.0), |(a, b), &i| (a + labs[i].a, b + labs[i].b));
            members.iter().map(|&i| (labs[i].a - a / count).powi(2) + (labs[i].b - b / count).powi(2)).sum::<f32>()
        };
        let all: Vec<usize> = (0..patches.len()).collect();
        let within: f32 = self.lines.iter().map(|line| spread(line)).sum();
        let hues = within / spread(&all).max(1e-6);
        let turns = |line: &Vec<usize>| {
            let steps: Vec<bool> = line.windows(2).map(|pair| labs[pair[1]].l < labs[pair[0]].l).collect();
            let falling = steps.iter().filter(|s| **s).count();
            falling.min(steps.len() - falling)
        };
        let steps: usize = self.lines.iter().map(|line| line.len() - 1).sum();
        let disorder = self.lines.iter().map(turns).sum::<usize>() as f32 / steps.max(1) as f32;
        BESIDE_COST * self.beside + ALONE_COST * self.alone(patches) + hues.min(1.0) + OUT_OF_ORDER_COST * disorder
    }
}

/// The lines, cut at wide gaps: a sheet may have its families in several bands. A cut that would leave a patch alone is
/// not made.
fn cut(lines: Vec<Vec<usize>>, patches: &[Patch], along: usize) -> Vec<Vec<usize>> {
    let gap = |pair: &[usize]| (patches[pair[1]].from[along] as f32 - patches[pair[0]].to[along] as f32 - 1.0).max(0.0);
    let usual = median(lines.iter().flat_map(|line| line.windows(2).map(gap)).collect());
    let wide = WIDE_GAP_FACTOR * usual + WIDE_GAP_SIZE * usual_size(patches, along);
    let mut bands: Vec<Vec<Vec<usize>>> = Vec::new();
    for line in lines {
        let cuts: Vec<usize> = (1..line.len()).filter(|&i| gap(&line[i - 1..=i]) > wide).collect();
        let mut parts = Vec::new();
        let mut rest = line.as_slice();
        for &cut in &cuts {
            let (part, after) = rest.split_at(cut - (line.len() - rest.len()));
            parts.push(part.to_vec());
            rest = after;
        }
        parts.push(rest.to_vec());
        if parts.iter().any(|part| part.len() == 1) {
            parts = vec![line];
        }
        for (band, part) in parts.into_iter().enumerate() {
            if bands.len() == band {
                bands.push(Vec::new());
            }
            bands[band].push(part);
        }
    }
    bands.into_iter().flatten().collect()
}
