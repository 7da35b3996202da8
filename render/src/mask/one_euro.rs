//! The 1-euro filter, which steadies a hand at rest and lets a quick one go: G. Casiez, N. Roussel, D. Vogel, "1 € filter: a simple
//! speed-based low-pass filter for noisy input in interactive systems", CHI 2012.

/// One filtered coordinate.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct OneEuro {
    /// Cutoff at rest, hertz.
    min_cutoff_hz: f64,
    /// How much a unit a second of speed raises the cutoff, hertz.
    beta: f64,
    /// Last value and its change a second, filtered.
    last: Option<(f64, f64)>,
}

/// Cutoff of the speed, hertz: the paper's choice.
const SPEED_CUTOFF_HZ: f64 = 1.0;

impl OneEuro {
    /// A filter that has seen nothing.
    pub fn new(min_cutoff_hz: f64, beta: f64) -> Self {
        OneEuro { min_cutoff_hz, beta, last: None }
    }

    /// Takes a value, `seconds` (above 0) after the one before it; the first is given back as it is.
    pub fn next(&mut self, value: f64, seconds: f64) -> f64 {
        let Some((last, speed)) = self.last else {
            self.last = Some((value, 0.0));
            return value;
        };
        // The paper's algorithm 1: the speed first, then the cutoff that follows it.
        let speed = low_pass((value - last) / seconds, speed, smoothing_factor(SPEED_CUTOFF_HZ, seconds));
        let cutoff_hz = self.min_cutoff_hz + self.beta * speed.abs();
        let filtered = low_pass(value, last, smoothing_factor(cutoff_hz, seconds));
        self.last = Some((filtered, speed));
        filtered
    }
}

fn low_pass(value: f64, last: f64, factor: f64) -> f64 {
    factor * value + (1.0 - factor) * last
}

/// The paper's equations for the smoothing factor: `1 / (1 + tau / Te)` with `tau = 1 / (2 pi fc)`.
fn smoothing_factor(cutoff_hz: f64, seconds: f64) -> f64 {
    let tau = 1.0 / (2.0 * std::f64::consts::PI * cutoff_hz);
    1.0 / (1.0 + tau / seconds)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A ramp of 50 units a second at 100 hertz with a tremble of one unit, checked step by step against the paper's
    /// formulas written out, then for what the paper promises of them.
    #[test]
    fn a_noisy_ramp_is_filtered_as_the_paper_says() {
        let (min, beta, te) = (1.0, 0.02, 0.01);
        let noise = |i: u32| f64::from(i * 7919 % 201) / 100.0 - 1.0;
        let mut filter = OneEuro::new(min, beta);
        let (mut x, mut dx) = (noise(0), 0.0);
        assert_eq!(filter.next(noise(0), te), noise(0));
        let (mut rough, mut smooth, mut lag, mut before) = (0.0, 0.0, 0.0_f64, x);
        for i in 1..400 {
            let raw = 0.5 * f64::from(i) + noise(i);
            let alpha = |fc: f64| {
                let r = 2.0 * std::f64::consts::PI * fc * te;
                r / (r + 1.0)
            };
            let a_d = alpha(1.0);
            dx = a_d * (raw - x) / te + (1.0 - a_d) * dx;
            let a = alpha(min + beta * f64::abs(dx));
            x = a * raw + (1.0 - a) * x;
            let filtered = filter.next(raw, te);
            assert!((filtered - x).abs() < 1e-9, "step {i}: {filtered} {x}");
            rough += (0.5 + noise(i) - noise(i - 1) - 0.5).abs();
            smooth += (filtered - before - 0.5).abs();
            lag = lag.max(raw - filtered);
            before = filtered;
        }
        assert!(smooth < rough / 4.0, "it trembles less: {smooth} {rough}");
        assert!(lag < 12.0, "and does not fall behind: {lag}");
    }
}
