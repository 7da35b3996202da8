//! What a pen last told of itself, and what that means: place, pressure, tilt, turn.

use winit::event::{Force, TabletToolData, TabletToolKind, TabletToolTilt};
use x11rb::protocol::xinput::{DeviceClass, DeviceClassData, Fp3232, ValuatorMode};
use x11rb::protocol::xproto::Atom;

/// Names of the axes as X drivers label them.
pub const LABELS: [&str; AXES] = ["Abs X", "Abs Y", "Abs Pressure", "Abs Tilt X", "Abs Tilt Y", "Abs Wheel"];
/// How many axes are listened to.
pub const AXES: usize = 6;
/// Tilt in a range wider than this is in units of the driver's own, degrees.
const RIGHT_ANGLE: f64 = 90.0;

/// One axis: where it stands in events, its range and its last value. An event tells changed values only.
#[derive(Clone, Debug)]
struct Axis {
    number: u16,
    min: f64,
    max: f64,
    value: f64,
}

impl Axis {
    fn fraction(&self) -> f64 {
        ((self.value - self.min) / (self.max - self.min)).clamp(0.0, 1.0)
    }

    /// The server's own way from device units to pixels.
    fn pixels(&self, size_px: u16) -> f64 {
        (self.value - self.min) * f64::from(size_px) / (self.max - self.min + 1.0)
    }

    /// Degrees of turn, of a wheel that goes round: its range lies to both sides of nothing, from the back of the pen round to the
    /// back again. A wheel that only goes up is that of an airbrush. From memory of the drivers of tablets.
    #[expect(clippy::cast_possible_truncation, reason = "a turn in whole degrees; the cast saturates")]
    fn turn_degrees(&self) -> Option<u16> {
        let turn = ((self.value - self.min) / (self.max - self.min + 1.0) * 360.0 + 180.0).rem_euclid(360.0);
        (self.min < 0.0).then_some(turn.round() as u16 % 360)
    }

    /// Degrees; drivers tell them, or units whose range stands for a right angle to both sides.
    #[expect(clippy::cast_possible_truncation, reason = "clamped to a right angle")]
    fn degrees(&self) -> i8 {
        let end = self.max.abs().max(self.min.abs());
        let degrees = if end > RIGHT_ANGLE { self.value / end * RIGHT_ANGLE } else { self.value };
        degrees.round().clamp(-RIGHT_ANGLE, RIGHT_ANGLE) as i8
    }
}

/// One pen, or its eraser end, which is a device of its own.
#[derive(Clone, Debug)]
pub struct Pen {
    kind: TabletToolKind,
    /// In the order of [`LABELS`].
    axes: [Option<Axis>; AXES],
}

impl Pen {
    /// A pen if the device is one: it tells pressure or tilt. That is winit's own test, so that each device is heard once.
    pub fn of(name: &[u8], classes: &[DeviceClass], labels: &[Atom; AXES]) -> Option<Self> {
        let axis = |label: &Atom| {
            classes.iter().find_map(|class| match &class.data {
                DeviceClassData::Valuator(v) if v.label == *label && v.mode == ValuatorMode::ABSOLUTE => {
                    let (min, max) = (number(v.min), number(v.max));
                    (max > min).then(|| Axis { number: v.number, min, max, value: number(v.value) })
                }
                _ => None,
            })
        };
        let axes = labels.each_ref().map(axis);
        axes[2..5].iter().any(Option::is_some).then(|| Pen { kind: kind_of(name), axes })
    }

    /// Which end it is.
    pub fn kind(&self) -> TabletToolKind {
        self.kind
    }

    /// Takes in the values an event tells; whether x or y is among them.
    pub fn follow(&mut self, mask: &[u32], values: &[Fp3232]) -> bool {
        #[expect(clippy::cast_possible_truncation, reason = "the mask of the axes has a few words")]
        let told = (0..mask.len() as u16 * 32).filter(|&i| mask[usize::from(i / 32)] >> (i % 32) & 1 == 1);
        let mut moved = false;
        for (at, value) in told.zip(values) {
            for (i, axis) in self.axes.iter_mut().enumerate() {
                if let Some(axis) = axis.as_mut().filter(|a| a.number == at) {
                    axis.value = number(*value);
                    moved |= i < 2;
                }
            }
        }
        moved
    }

    /// Where it is on a screen of a size, pixels; none while it moves things relatively, as a mouse does.
    pub fn on_screen(&self, (width_px, height_px): (u16, u16)) -> Option<[f64; 2]> {
        let [Some(x), Some(y), ..] = &self.axes else { return None };
        Some([x.pixels(width_px), y.pixels(height_px)])
    }

    /// Pressure, tilt and turn.
    pub fn data(&self) -> TabletToolData {
        let [_, _, pressure, x, y, wheel] = &self.axes;
        TabletToolData {
            force: pressure.as_ref().map(|p| Force::Normalized(p.fraction())),
            twist: wheel.as_ref().and_then(Axis::turn_degrees),
            tilt: x.as_ref().zip(y.as_ref()).map(|(x, y)| TabletToolTilt { x: x.degrees(), y: y.degrees() }),
            ..TabletToolData::default()
        }
    }
}

/// Drivers tell the eraser end by its name alone.
fn kind_of(name: &[u8]) -> TabletToolKind {
    let eraser = String::from_utf8_lossy(name).to_lowercase().contains("eraser");
    if eraser { TabletToolKind::Eraser } else { TabletToolKind::Pen }
}

fn number(v: Fp3232) -> f64 {
    f64::from(v.integral) + f64::from(v.frac) / 4_294_967_296.0
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use x11rb::protocol::xinput::DeviceClassDataValuator;

    fn value(x: f64) -> Fp3232 {
        Fp3232 { integral: x.floor() as i32, frac: ((x - x.floor()) * 4_294_967_296.0) as u32 }
    }

    fn class(number: u16, label: Atom, min: f64, max: f64) -> DeviceClass {
        let valuator = DeviceClassDataValuator {
            number,
            label,
            min: value(min),
            max: value(max),
            value: value(0.0),
            resolution: 0,
            mode: ValuatorMode::ABSOLUTE,
        };
        let data = DeviceClassData::Valuator(valuator);
        DeviceClass { len: 11, sourceid: 9, data }
    }

    const ATOMS: [Atom; AXES] = [1, 2, 3, 4, 5, 6];

    #[test]
    fn values_are_found_by_the_labels_of_their_axes() {
        let classes = [
            class(0, 1, 0.0, 65535.0),
            class(1, 2, 0.0, 65535.0),
            class(2, 3, 0.0, 2047.0),
            class(34, 4, -64.0, 63.0),
            class(5, 5, -9000.0, 9000.0),
            class(6, 6, -900.0, 899.0),
        ];
        let mut pen = Pen::of(b"Tablet Pen", &classes, &ATOMS).unwrap();
        let values = [32768.0, 16384.0, 1023.5, 4500.0, -30.25].map(value);
        assert!(pen.follow(&[0b10_0111, 0b100], &values));
        assert_eq!(pen.on_screen((1280, 800)), Some([640.0, 200.0]));
        let data = pen.data();
        assert_eq!(data.force, Some(Force::Normalized(0.5)));
        assert_eq!(data.tilt, Some(TabletToolTilt { x: -30, y: 45 }));
        // What an event does not tell stays as it was.
        assert!(!pen.follow(&[0b100], &[value(2047.0)]));
        assert_eq!((pen.data().force, pen.data().tilt), (Some(Force::Normalized(1.0)), data.tilt));
        assert_eq!(pen.kind(), TabletToolKind::Pen);
    }

    #[test]
    fn a_pen_tells_its_turn_and_an_airbrush_does_not() {
        for (range, at, turn) in
            [((-900.0, 899.0), 0.0, Some(0)), ((-900.0, 899.0), 450.0, Some(90)), ((-900.0, 899.0), -450.0, Some(270))]
                .into_iter()
                .chain([((0.0, 1023.0), 500.0, None)])
        {
            let mut pen = Pen::of(b"Pen", &[class(2, 3, 0.0, 1000.0), class(5, 6, range.0, range.1)], &ATOMS).unwrap();
            pen.follow(&[0b10_0000], &[value(at)]);
            assert_eq!(pen.data().twist, turn, "{range:?} {at}");
        }
    }

    #[test]
    fn what_tells_neither_pressure_nor_tilt_is_no_pen() {
        let mouse = [class(0, 1, 0.0, 65535.0), class(1, 2, 0.0, 65535.0)];
        assert!(Pen::of(b"Mouse", &mouse, &ATOMS).is_none());
        let pressure = [class(2, 3, 0.0, 1000.0)];
        let eraser = Pen::of(b"Tablet ERASER", &pressure, &ATOMS).unwrap();
        assert_eq!((eraser.kind(), eraser.on_screen((10, 10))), (TabletToolKind::Eraser, None));
        // A range without extent would divide by nothing.
        assert!(Pen::of(b"Pen", &[class(2, 3, 7.0, 7.0)], &ATOMS).is_none());
    }
}
