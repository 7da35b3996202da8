//! Bisection: the place on a line where a condition changes.

/// Numbers that have a middle between them, rounded to their own precision.
pub trait Midpoint: Copy {
    /// Half way from `self` to `other`.
    fn midpoint(self, other: Self) -> Self;
}

impl Midpoint for f32 {
    fn midpoint(self, other: Self) -> Self {
        f32::midpoint(self, other)
    }
}

impl Midpoint for f64 {
    fn midpoint(self, other: Self) -> Self {
        f64::midpoint(self, other)
    }
}

/// Halves the interval from `low` to `high` so many times, and gives the two ends that are left: `is_below` holds at the lower
/// end and does not at the upper one, unless it never changes between the ends given.
pub fn bisect<T: Midpoint>(low: T, high: T, halvings: u32, is_below: impl Fn(T) -> bool) -> [T; 2] {
    let (mut low, mut high) = (low, high);
    for _ in 0..halvings {
        let middle = low.midpoint(high);
        if is_below(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    [low, high]
}

/// The least amount from 0 to `most` for which `holds`, none if it never does. A condition that holds here and there is met at
/// the first of 24 even steps at which it holds; then ten halvings make the amount smaller.
pub fn least_amount(most: f32, holds: impl Fn(f32) -> bool) -> Option<f32> {
    const STEPS: u16 = 24;
    const HALVINGS: u32 = 10;
    let step = most / f32::from(STEPS);
    let first = (0..=STEPS).map(|i| step * f32::from(i)).find(|&amount| holds(amount))?;
    let [_, enough] = bisect((first - step).max(0.0), first, HALVINGS, |amount| !holds(amount));
    Some(enough)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ends_close_in_on_the_change() {
        // The square root of 2 in double precision, to 2^-40.
        let [low, high] = bisect(1.0_f64, 2.0, 40, |x| x * x < 2.0);
        assert!(low < std::f64::consts::SQRT_2 && std::f64::consts::SQRT_2 <= high);
        assert_eq!(high - low, 2.0_f64.powi(-40));
        assert_eq!(bisect(0.0_f32, 1.0, 3, |_| true), [0.875, 1.0]);
        assert_eq!(bisect(0.0_f32, 1.0, 3, |_| false), [0.0, 0.125]);
    }

    #[test]
    fn the_least_amount_is_the_least() {
        let found = least_amount(2.0, |x| x >= 0.7).unwrap_or_default();
        assert!((0.7..0.7002).contains(&found), "{found}");
        assert_eq!(least_amount(2.0, |x| x > 2.5), None);
        assert_eq!(least_amount(2.0, |_| true), Some(0.0));
    }
}
