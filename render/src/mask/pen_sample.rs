//! One reading of the pen, and how it is written in scripts.
//!
//! In text a sample is short, `(x, y, pressure)`, or has named fields once there is more to say:
//! `(x_px: 12.5, y_px: 40.0, pressure: 0.6, time_ms: 8.0, tilt_degrees: (30.0, -10.0), twist_degrees: 45.0)`, of which the
//! last three may be left out, as may `pointer: Mouse`. Both forms may stand in one stroke.

use serde::de::value::MapAccessDeserializer;
use serde::de::{Error, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde::ser::SerializeTupleStruct;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// What the hand held: the `pointerType` of Pointer Events.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub enum Pointer {
    /// A pen, whose pressure is its own.
    #[default]
    Pen,
    /// A mouse, or a finger on a screen that tells no pressure: its speed stands for the pressure.
    Mouse,
}

impl Pointer {
    fn is_pen(&self) -> bool {
        *self == Pointer::Pen
    }
}

/// One reading of the pen. Angles are those of the W3C recommendation Pointer Events, `tiltX`, `tiltY` and `twist`.
///
/// A brush may leave unread what it has no use for; the plain round brush reads place and pressure.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct PenSample {
    /// Canvas pixels from the left edge; may lie beyond the canvas.
    pub x_px: f32,
    /// Canvas pixels from the top edge; may lie beyond the canvas.
    pub y_px: f32,
    /// 0-1; 1 for a mouse.
    pub pressure: f32,
    /// Milliseconds since the stroke began, 0 or more.
    pub time_ms: Option<f64>,
    /// Lean of the pen towards the right and towards the hand, each -90 to 90 degrees.
    pub tilt_degrees: Option<[f32; 2]>,
    /// Turn of the pen about its own axis, clockwise, 0 to 359 degrees.
    pub twist_degrees: Option<f32>,
    /// What the hand held.
    pub pointer: Pointer,
}

impl PenSample {
    /// A place in canvas pixels and a pressure of 0-1, nothing more known.
    pub const fn new(x_px: f32, y_px: f32, pressure: f32) -> Self {
        PenSample {
            x_px,
            y_px,
            pressure,
            time_ms: None,
            tilt_degrees: None,
            twist_degrees: None,
            pointer: Pointer::Pen,
        }
    }

    /// The name of the first value that is no number of its range; a place may be any finite number, and so may the pressure,
    /// which is clamped where it is used.
    pub fn fault(&self) -> Option<&'static str> {
        let tilt = |degrees: [f32; 2]| degrees.iter().all(|d| (-90.0..=90.0).contains(d));
        let values = [
            ("place", self.x_px.is_finite() && self.y_px.is_finite()),
            ("pressure", self.pressure.is_finite()),
            ("time", self.time_ms.is_none_or(|ms| ms.is_finite() && ms >= 0.0)),
            ("tilt", self.tilt_degrees.is_none_or(tilt)),
            ("twist", self.twist_degrees.is_none_or(|d| (0.0..360.0).contains(&d))),
        ];
        values.into_iter().find(|(_, sound)| !sound).map(|(name, _)| name)
    }
}

/// The long form, with every field named.
#[derive(Serialize, Deserialize)]
#[serde(rename = "PenSample", deny_unknown_fields)]
struct NamedFields {
    x_px: f32,
    y_px: f32,
    pressure: f32,
    #[serde(default, with = "super::bare", skip_serializing_if = "Option::is_none")]
    time_ms: Option<f64>,
    #[serde(default, with = "super::bare", skip_serializing_if = "Option::is_none")]
    tilt_degrees: Option<[f32; 2]>,
    #[serde(default, with = "super::bare", skip_serializing_if = "Option::is_none")]
    twist_degrees: Option<f32>,
    #[serde(default, skip_serializing_if = "Pointer::is_pen")]
    pointer: Pointer,
}

impl Serialize for PenSample {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let PenSample { x_px, y_px, pressure, time_ms, tilt_degrees, twist_degrees, pointer } = *self;
        if pointer.is_pen() && time_ms.is_none() && tilt_degrees.is_none() && twist_degrees.is_none() {
            let mut short = serializer.serialize_tuple_struct("PenSample", 3)?;
            for value in [x_px, y_px, pressure] {
                short.serialize_field(&value)?;
            }
            return short.end();
        }
        NamedFields { x_px, y_px, pressure, time_ms, tilt_degrees, twist_degrees, pointer }.serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for PenSample {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        // Which of the two forms it is only the text knows.
        deserializer.deserialize_any(EitherForm)
    }
}

struct EitherForm;

impl<'de> Visitor<'de> for EitherForm {
    type Value = PenSample;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("a sample of the pen, (x, y, pressure) or with named fields")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut values: A) -> Result<PenSample, A::Error> {
        let mut next = |i: usize| values.next_element::<f32>()?.ok_or_else(|| A::Error::invalid_length(i, &self));
        let sample = PenSample::new(next(0)?, next(1)?, next(2)?);
        if values.next_element::<IgnoredAny>()?.is_some() {
            return Err(A::Error::custom("a sample without named fields has three values: x, y, pressure"));
        }
        Ok(sample)
    }

    fn visit_map<A: MapAccess<'de>>(self, fields: A) -> Result<PenSample, A::Error> {
        let named = NamedFields::deserialize(MapAccessDeserializer::new(fields))?;
        let NamedFields { x_px, y_px, pressure, time_ms, tilt_degrees, twist_degrees, pointer } = named;
        Ok(PenSample { x_px, y_px, pressure, time_ms, tilt_degrees, twist_degrees, pointer })
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    const PLAIN: PenSample = PenSample::new(1.5, 2.0, 0.25);

    fn full() -> PenSample {
        PenSample { time_ms: Some(8.5), tilt_degrees: Some([30.0, -10.5]), twist_degrees: Some(45.0), ..PLAIN }
    }

    #[test]
    fn both_forms_are_written_and_read_back() {
        let long = "(x_px:1.5,y_px:2.0,pressure:0.25,time_ms:8.5,tilt_degrees:(30.0,-10.5),twist_degrees:45.0)";
        let timed = PenSample { time_ms: Some(16.0), ..PLAIN };
        let samples =
            [(PLAIN, "(1.5,2.0,0.25)"), (full(), long), (timed, "(x_px:1.5,y_px:2.0,pressure:0.25,time_ms:16.0)")];
        for (sample, text) in samples {
            assert_eq!(ron::to_string(&sample).unwrap(), text);
            assert_eq!(ron::from_str::<PenSample>(text).unwrap(), sample);
        }
        let stroke = vec![PLAIN, full(), timed];
        let text = ron::to_string(&stroke).unwrap();
        assert_eq!(ron::from_str::<Vec<PenSample>>(&text).unwrap(), stroke);
    }

    #[test]
    fn spaces_whole_numbers_and_the_order_of_fields_do_not_matter() {
        assert_eq!(ron::from_str::<PenSample>(" ( 1.5 , 2 , 0.25 , ) ").unwrap(), PLAIN);
        let text = "(pressure: 0.25,\n  y_px: 2, x_px: 1.5)";
        assert_eq!(ron::from_str::<PenSample>(text).unwrap(), PLAIN);
    }

    #[test]
    fn what_is_no_sample_is_refused_by_name() {
        for (text, word) in [
            ("(1.0, 2.0)", "found 2 elements"),
            ("(1.0, 2.0, 0.5, 9.0)", "three values"),
            ("(x_px: 1.0, pressure: 0.5)", "y_px"),
            ("(x_px: 1.0, y_px: 2.0, pressure: 0.5, lean: 3.0)", "lean"),
            ("(x_px: 1.0, y_px: 2.0, pressure: 0.5, tilt_degrees: (3.0))", "array of length 2"),
            ("\"1, 2\"", "a sample of the pen"),
        ] {
            let error = ron::from_str::<PenSample>(text).unwrap_err().to_string();
            assert!(error.contains(word), "{text}: {error}");
        }
    }

    #[test]
    fn values_out_of_range_are_named() {
        assert_eq!(full().fault(), None);
        for (sample, name) in [
            (PenSample { y_px: f32::NAN, ..full() }, "place"),
            (PenSample { pressure: f32::INFINITY, ..full() }, "pressure"),
            (PenSample { time_ms: Some(-1.0), ..full() }, "time"),
            (PenSample { tilt_degrees: Some([0.0, 91.0]), ..full() }, "tilt"),
            (PenSample { twist_degrees: Some(360.0), ..full() }, "twist"),
        ] {
            assert_eq!(sample.fault(), Some(name));
        }
    }
}
