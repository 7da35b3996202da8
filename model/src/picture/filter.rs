//! Filtering a row of a PNG (9.2): each byte less what its neighbours let expect, by the filter whose differences are smallest.

/// Room for a row under each filter.
pub(super) struct Filters {
    rows: [Vec<u8>; 5],
}

impl Filters {
    /// For rows of so many bytes.
    pub(super) fn new(row_bytes: usize) -> Self {
        Filters { rows: std::array::from_fn(|_| vec![0; row_bytes]) }
    }
}

/// Appends a row to `out`, filtered: the number of its filter, then the differences. `above` is the row before, `pixel` the bytes of a
/// pixel. The filter with the least sum of differences taken as signed numbers is chosen (12.7), the first of equals.
#[expect(clippy::cast_possible_truncation, reason = "there are five filters")]
pub(super) fn filter(row: &[u8], above: &[u8], pixel: usize, filters: &mut Filters, out: &mut Vec<u8>) {
    if row == above {
        out.push(UP);
        out.resize(out.len() + row.len(), 0);
        return;
    }
    let kind = smallest(row, above, pixel, &mut filters.rows);
    out.push(kind as u8);
    out.extend_from_slice(&filters.rows[kind]);
}

/// Fills the rows with the differences of each filter; the number of the one with the least sum.
fn smallest(row: &[u8], above: &[u8], pixel: usize, rows: &mut [Vec<u8>; 5]) -> usize {
    let pixel = pixel.min(row.len());
    let mut best = (u64::MAX, 0);
    for (kind, to) in rows.iter_mut().enumerate() {
        match kind {
            0 => to.copy_from_slice(row),
            1 => sub(row, pixel, to),
            2 => up(row, above, to),
            3 => average(row, above, pixel, to),
            _ => paeth(row, above, pixel, to),
        }
        let size = size(to);
        if size < best.0 {
            best = (size, kind);
        }
    }
    best.1
}

/// The number of the filter "Up".
const UP: u8 = 2;

/// The sum of differences taken as signed numbers, without their signs.
fn size(differences: &[u8]) -> u64 {
    // At most 128 each: so many fit into a lane of 16 bits, of which a processor adds eight or more at a time.
    const AT_ONCE: usize = 16 * 256;
    let without_sign = |v: u8| u16::from(v.min(v.wrapping_neg()));
    let mut sum = 0;
    for some in differences.chunks(AT_ONCE) {
        let mut lanes = [0_u16; 16];
        let (groups, rest) = some.as_chunks::<16>();
        for group in groups {
            for (lane, &v) in lanes.iter_mut().zip(group) {
                *lane += without_sign(v);
            }
        }
        let rest = rest.iter().map(|&v| without_sign(v));
        sum += lanes.into_iter().chain(rest).map(u64::from).sum::<u64>();
    }
    sum
}

fn sub(row: &[u8], pixel: usize, to: &mut [u8]) {
    to[..pixel].copy_from_slice(&row[..pixel]);
    for ((to, here), left) in to[pixel..].iter_mut().zip(&row[pixel..]).zip(row) {
        *to = here.wrapping_sub(*left);
    }
}

fn up(row: &[u8], above: &[u8], to: &mut [u8]) {
    for ((to, here), up) in to.iter_mut().zip(row).zip(above) {
        *to = here.wrapping_sub(*up);
    }
}

#[expect(clippy::cast_possible_truncation, reason = "the mean of two bytes is a byte")]
fn average(row: &[u8], above: &[u8], pixel: usize, to: &mut [u8]) {
    for ((to, here), up) in to[..pixel].iter_mut().zip(row).zip(above) {
        *to = here.wrapping_sub(up / 2);
    }
    for (((to, here), left), up) in to[pixel..].iter_mut().zip(&row[pixel..]).zip(row).zip(&above[pixel..]) {
        // In 16 bits, of which a processor shifts eight or more at a time.
        *to = here.wrapping_sub(u16::midpoint(u16::from(*left), u16::from(*up)) as u8);
    }
}

fn paeth(row: &[u8], above: &[u8], pixel: usize, to: &mut [u8]) {
    // With nothing to the left the one above is expected.
    up(&row[..pixel], &above[..pixel], &mut to[..pixel]);
    let here = to[pixel..].iter_mut().zip(&row[pixel..]);
    for (((to, here), &left), (&up, &corner)) in here.zip(row).zip(above[pixel..].iter().zip(above)) {
        let (a, b, c) = (i16::from(left), i16::from(up), i16::from(corner));
        let (from_left, from_up, from_corner) = ((b - c).abs(), (a - c).abs(), (a + b - 2 * c).abs());
        // Chosen among values, without branches, so that many bytes are worked on at a time.
        let other = if from_up <= from_corner { up } else { corner };
        let of_left = (from_left <= from_up) & (from_left <= from_corner);
        *to = here.wrapping_sub(if of_left { left } else { other });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Undone by the formulas of section 9.2, written out byte by byte.
    fn undone(kind: u8, filtered: &[u8], above: &[u8], pixel: usize) -> Vec<u8> {
        let mut row: Vec<u8> = Vec::new();
        for (i, &x) in filtered.iter().enumerate() {
            let left = if i >= pixel { row[i - pixel] } else { 0 };
            let (up, corner) = (above[i], if i >= pixel { above[i - pixel] } else { 0 });
            let p = i32::from(left) + i32::from(up) - i32::from(corner);
            let nearest = [left, up, corner].into_iter().min_by_key(|&v| (p - i32::from(v)).abs());
            row.push(x.wrapping_add(match kind {
                0 => 0,
                1 => left,
                2 => up,
                3 => ((u16::from(left) + u16::from(up)) / 2) as u8,
                _ => nearest.unwrap_or(0),
            }));
        }
        row
    }

    #[test]
    fn every_filter_is_undone_by_its_formula_and_the_smallest_is_chosen() {
        let row = |k: u32, step: u32| -> Vec<u8> { (0..95_u32).map(|i| (i * step + k * i * i % 251) as u8).collect() };
        for pixel in [3, 6] {
            let mut chosen = std::collections::BTreeSet::new();
            let rows = [row(0, 0), row(0, 1), row(1, 3), row(7, 90), row(2, 3), row(0, 200)];
            for here in &rows {
                for above in &rows {
                    let mut filters = Filters::new(95);
                    let mut out = vec![99];
                    filter(here, above, pixel, &mut filters, &mut out);
                    assert_eq!(out.len(), 1 + 96);
                    assert_eq!(&undone(out[1], &out[2..], above, pixel), here, "filter {}", out[1]);
                    chosen.insert(out[1]);
                    for (kind, differences) in filters.rows.iter().enumerate().filter(|_| here != above) {
                        assert_eq!(&undone(kind as u8, differences, above, pixel), here, "filter {kind}");
                        assert!(size(&out[2..]) <= size(differences));
                    }
                }
            }
            assert!(chosen.len() > 2, "{chosen:?}");
        }
    }

    #[test]
    fn a_row_narrower_than_a_pixel_to_the_left_has_none() {
        let mut out = Vec::new();
        filter(&[5, 6, 7], &[1, 2, 3], 3, &mut Filters::new(3), &mut out);
        assert_eq!(undone(out[0], &out[1..], &[1, 2, 3], 3), [5, 6, 7]);
    }
}
