//! From the hand's path to the ribs of a mark: how wide, how turned, how strong, how dry it is at each place.

use super::angle::{direction, turned, unit};
use super::brush::Brush;
use super::hand::{Hand, HandPoint};
use super::kinds;
use super::mark::{Angle, Mark, Response, Shape};
use super::sweep::{Rib, lift_px};

/// A speed that counts as full, canvas pixels a second.
const FULL_SPEED_PX_PER_SECOND: f32 = 2000.0;
/// A length that counts as full, widths of the brush.
const FULL_LENGTH_WIDTHS: f32 = 10.0;
/// A mouse's stroke grows and ends over these, widths of the brush, and never over more than the pixels.
const MOUSE_TAPERS: [(f32, f32); 2] = [(0.5, 60.0), (1.2, 120.0)];
/// Pressure of a mouse at rest, and what full speed takes from it.
const MOUSE_PRESSURE: [f32; 2] = [0.95, 0.55];

/// What is left unsettled beyond what depends on the end of a stroke, for the rounding of lengths, pixels.
const SPARE_PX: f32 = 4.0;

/// What the ribs of one stroke are made with.
#[derive(Clone, Copy, Debug)]
pub struct RibMaker<'a> {
    brush: &'a Brush,
    mark: &'a Mark,
    /// Lengths of the tapers, pixels.
    tapers_px: [f32; 2],
    mouse: bool,
    /// Points of the path to both sides that a rib's direction is taken over.
    window: usize,
}

/// Distance of two ribs of a brush, pixels.
pub fn step_px(brush: &Brush) -> f32 {
    (brush.size_px / 20.0).clamp(0.75, 4.0)
}

impl<'a> RibMaker<'a> {
    /// For a stroke of this brush.
    #[expect(clippy::cast_possible_truncation, reason = "a few dozen at most")]
    pub fn new(brush: &'a Brush, mark: &'a Mark, mouse: bool) -> Self {
        let size_px = brush.size_px;
        let mut tapers_px = [mark.path.taper_start * size_px, mark.path.taper_end * size_px];
        if mouse {
            for (taper, (widths, most)) in tapers_px.iter_mut().zip(MOUSE_TAPERS) {
                *taper = taper.max((widths * size_px).min(most));
            }
        }
        let window_px = (size_px * 0.25).clamp(2.0, 40.0);
        RibMaker { brush, mark, tapers_px, mouse, window: (window_px / step_px(brush)).ceil() as usize }
    }

    /// Length of a stroke from which on its beginning no longer depends on it, pixels.
    fn sure_px(&self) -> f32 {
        if self.tapers_px == [0.0; 2] { 0.0 } else { (2.0 * self.tapers_px[0]).max(self.brush.size_px) }
    }

    /// How many ribs stay as they are whatever comes, and the pixels between them; the first `known` do.
    pub fn settled(&self, hand: &Hand, known: usize) -> usize {
        let path = &hand.path()[..hand.settled()];
        let Some(length_px) = path.last().map(|p| p.length_px) else { return 0 };
        if length_px < self.sure_px() {
            return 0;
        }
        let lift = if self.mark.paint.lift > 0.0 { lift_px(self.brush.size_px) } else { 0.0 };
        // Where the pressure does not depend on the end.
        let pressed = path.partition_point(|p| p.length_px + self.tapers_px[1] + SPARE_PX <= length_px);
        let end = pressed.min(path.len().saturating_sub(self.window));
        let mut settled = known.min(end);
        let mut before: Option<Rib> = None;
        for index in settled.saturating_sub(1)..end {
            let rib = self.rib(path, index, length_px);
            let pair = [before.as_ref().unwrap_or(&rib), &rib];
            if rib.length_px + kinds::end_px(self.mark, self.brush.size_px, lift, pair) + SPARE_PX > length_px {
                break;
            }
            settled = settled.max(index + 1);
            before = Some(rib);
        }
        settled
    }

    /// The rib of a point of the path, `length_px` being the length of the whole.
    pub fn rib(&self, path: &[HandPoint], index: usize, length_px: f32) -> Rib {
        let (mark, hand, size_px) = (self.mark, &path[index], self.brush.size_px);
        let (from, to) = (&path[index.saturating_sub(self.window)], &path[(index + self.window).min(path.len() - 1)]);
        let along = unit([to.at[0] - from.at[0], to.at[1] - from.at[1]])
            .or_else(|| unit([hand.at[0] - from.at[0], hand.at[1] - from.at[1]]))
            // A touch without a stroke, with the broad side level.
            .unwrap_or([0.0, 1.0]);
        let across = [-along[1], along[0]];
        let pressure = self.pressure(hand, length_px);
        let lean = (hand.lean[0] * hand.lean[0] + hand.lean[1] * hand.lean[1]).sqrt().min(1.0);
        let speed = (hand.speed_px_per_second / FULL_SPEED_PX_PER_SECOND).min(1.0);
        let length = hand.length_px / (FULL_LENGTH_WIDTHS * size_px);
        let respond = |response: &Response| {
            response.pressure.at(pressure)
                * response.tilt.at(lean)
                * response.speed.at(speed)
                * response.length.at(length)
        };
        let half = 0.5 * size_px * respond(&mark.dynamics.size);
        let turning = &mark.dynamics.angle;
        let turn =
            turning.pressure.at(pressure) + turning.tilt.at(lean) + turning.speed.at(speed) + turning.length.at(length);
        let broad = broad_side(mark.tip.angle, turn, across, hand);
        let right = (broad[0] * across[0] + broad[1] * across[1]).abs();
        let ahead = broad[0] * along[0] + broad[1] * along[1];
        let sign = if broad[0] * across[0] + broad[1] * across[1] < 0.0 { -1.0 } else { 1.0 };
        let aspect = mark.tip.aspect;
        let extent = |a: f32, b: f32| match mark.tip.shape {
            Shape::Ellipse => (a * a + b * b).sqrt(),
            Shape::Rectangle => a.abs() + b.abs(),
        };
        Rib {
            at: hand.at,
            across,
            length_px: hand.length_px,
            half_px: (half * extent(right, aspect * ahead)).max(0.05),
            thick_px: half
                * aspect
                * extent(right, if mark.tip.shape == Shape::Ellipse { ahead / aspect.max(0.05) } else { 0.0 }),
            slant: sign * ahead * right / (right * right + 0.1),
            pressure,
            dry: 1.0 - mark.paint.load
                + hand.length_px / (mark.paint.holds * size_px)
                + mark.grain.amount * respond(&mark.dynamics.grain),
            flow: respond(&mark.dynamics.flow),
        }
    }

    /// Pressure with what the ends of the stroke, and a mouse's speed, make of it.
    fn pressure(&self, hand: &HandPoint, length_px: f32) -> f32 {
        let mut pressure = hand.pressure;
        if self.mouse {
            let [rest, less] = MOUSE_PRESSURE;
            pressure *= rest - less * (hand.speed_px_per_second / FULL_SPEED_PX_PER_SECOND).min(1.0);
        }
        let [start, end] = self.tapers_px;
        // A stroke that is shorter than its tapers has less of them; a touch has none.
        let much = (length_px / self.brush.size_px).min(1.0);
        let rise = |way: f32, taper: f32| {
            let back = 1.0 - (way / taper.min(0.5 * length_px).max(1.0)).clamp(0.0, 1.0);
            if taper > 0.0 { 1.0 - much * (1.0 - (1.0 - back * back).max(0.0).sqrt()) } else { 1.0 }
        };
        pressure * rise(hand.length_px, start) * rise(length_px - hand.length_px, end)
    }

    /// The ribs of the path from one on, with those beyond its ends where the tip reaches further.
    pub fn ribs(&self, path: &[HandPoint], range: std::ops::Range<usize>, length_px: f32) -> Vec<Rib> {
        let mut ribs = Vec::with_capacity(range.len() + 2);
        let beyond = |rib: &Rib| kinds::beyond_px(self.mark.kind, rib);
        for index in range.clone() {
            let rib = self.rib(path, index, length_px);
            if index == 0 {
                ribs.push(moved(&rib, -beyond(&rib)));
            }
            ribs.push(rib);
        }
        if range.end == path.len()
            && let Some(last) = ribs.last().copied()
        {
            ribs.push(moved(&last, beyond(&last)));
        }
        ribs
    }
}

/// The same rib further along.
fn moved(rib: &Rib, by: f32) -> Rib {
    let [x, y] = rib.along();
    Rib { at: [rib.at[0] + x * by, rib.at[1] + y * by], length_px: rib.length_px + by, ..*rib }
}

/// The direction of the tip's broad side.
fn broad_side(angle: Angle, turn_degrees: f32, across: [f32; 2], hand: &HandPoint) -> [f32; 2] {
    let by_direction = |degrees: f32| turned(across, direction(degrees + turn_degrees));
    let fixed = |degrees: f32| direction(degrees + turn_degrees);
    match angle {
        Angle::Direction(degrees) => by_direction(degrees),
        Angle::Fixed(degrees) => fixed(degrees),
        Angle::Tilt(degrees) => {
            let leans = hand.lean[0] * hand.lean[0] + hand.lean[1] * hand.lean[1] > 0.01;
            match unit(hand.lean).filter(|_| leans) {
                Some([x, y]) => turned([-y, x], fixed(degrees)),
                None => by_direction(degrees),
            }
        }
        Angle::Twist(degrees) => hand.twist_degrees.map_or(fixed(degrees), |twist| fixed(degrees + twist)),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::mask::PenSample;
    use crate::mask::curve::Curve;
    use crate::mask::mark::{Tip, Turning};

    /// A level stroke to the right of a pen that leans so far, 25 widths long: how the tip lies at its beginning and 5 widths on.
    fn slants(turning: Turning, lean_degrees: f32) -> [f32; 2] {
        let mut mark = Mark { tip: Tip { shape: Shape::Rectangle, aspect: 0.1, ..Tip::default() }, ..Mark::default() };
        mark.dynamics.angle = turning;
        let brush = Brush { size_px: 20.0, mark: Some(Box::new(mark)), ..Brush::default() };
        let mut hand = Hand::new(step_px(&brush), 0.0);
        for i in 0..=50_u8 {
            let tilt_degrees = Some([lean_degrees, 0.0]);
            hand.push(&PenSample { tilt_degrees, ..PenSample::new(10.0 * f32::from(i), 50.0, 1.0) });
        }
        hand.reach();
        let (maker, path) = (RibMaker::new(&brush, &mark, false), hand.path());
        let on = path.iter().position(|point| point.length_px >= 100.0).unwrap();
        [0, on].map(|index| maker.rib(path, index, 500.0).slant)
    }

    #[test]
    fn the_tip_turns_with_the_lean_of_the_pen_and_with_the_way() {
        assert_eq!(slants(Turning::default(), 40.0), [0.0, 0.0]);
        let by_length = slants(Turning { length: Curve(0.0, 20.0, 40.0), ..Turning::default() }, 0.0);
        // A tip turned by 20 degrees lies sin 20 ahead for cos 20 across.
        let (sine, cosine) = 20.0_f32.to_radians().sin_cos();
        let turned = sine * cosine / (cosine * cosine + 0.1);
        assert!(by_length[0] == 0.0 && (by_length[1].abs() - turned).abs() < 2e-3, "{by_length:?} {turned}");
        let tilt = Turning { tilt: Curve(0.0, 20.0, 40.0), ..Turning::default() };
        let (upright, leaning) = (slants(tilt, 0.0), slants(tilt, 30.0));
        assert!(upright == [0.0; 2] && (leaning[0].abs() - turned).abs() < 2e-3, "{upright:?} {leaning:?}");
    }
}
