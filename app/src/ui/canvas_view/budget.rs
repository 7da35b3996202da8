//! How many tiles a frame may wait for.

use crate::base::clock::{self, Duration, Instant};

/// Tiles that are asked of the engine in one go at most: bounds the memory of a whole refresh.
const MAX_BATCH: usize = 256;
/// Tiles that are always asked for: a stroke with a large brush touches no more, and a GPU takes them as fast as one.
const MIN_BATCH: usize = 32;

/// The time that one frame may take for bringing in tiles.
#[derive(Clone, Debug)]
pub struct FrameBudget {
    until: Instant,
    /// When the batch under way began.
    began: Instant,
    has_begun: bool,
    batch: usize,
}

impl FrameBudget {
    /// From now on.
    pub fn new(most: Duration) -> Self {
        let began = clock::now();
        FrameBudget { until: began + most, began, has_begun: false, batch: MIN_BATCH }
    }

    /// How many of `missing` tiles to bring in next; none when there are none, or no time is left for them. The first batch
    /// always is, so that every frame gets on.
    pub fn next(&mut self, missing: usize) -> Option<usize> {
        self.began = clock::now();
        let time = !self.has_begun || self.began < self.until;
        (time && missing > 0).then_some(missing.min(self.batch))
    }

    /// So many were brought in: the next batch is as large as the time left allows.
    #[expect(clippy::cast_possible_truncation, reason = "clamped to the sizes of a batch; the cast saturates")]
    pub fn record(&mut self, count: usize) {
        self.has_begun = true;
        let now = clock::now();
        let each = now.duration_since(self.began).as_secs_f64() / count.max(1) as f64;
        let left = self.until.saturating_duration_since(now).as_secs_f64();
        self.batch = ((left / each.max(1e-9)) as usize).clamp(MIN_BATCH, MAX_BATCH);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn batches_fit_the_time_left_and_end_with_it() {
        let mut budget = FrameBudget::new(Duration::from_secs(3600));
        assert_eq!(budget.next(0), None);
        assert_eq!(budget.next(5), Some(5));
        assert_eq!(budget.next(1000), Some(MIN_BATCH));
        budget.record(MIN_BATCH);
        assert_eq!(budget.next(1000), Some(MAX_BATCH), "there is time for more");
        // As if the last tile had taken 40 of 60 minutes: no more than the least now.
        budget.began -= Duration::from_secs(2400);
        budget.record(1);
        assert_eq!(budget.batch, MIN_BATCH);
        let mut none = FrameBudget::new(Duration::ZERO);
        assert_eq!(none.next(7), Some(7), "every frame gets on");
        none.record(7);
        assert_eq!(none.next(7), None);
    }
}
