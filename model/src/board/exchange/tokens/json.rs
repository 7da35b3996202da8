//! JSON that keeps the order of its members: the order of families and swatches is the painter's. (`serde_json` sorts them,
//! unless a feature is switched on for every crate of the program.)

use crate::board::exchange::notation::exact;
use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde::ser::{Serialize, SerializeMap, Serializer};
use std::fmt;

/// A JSON value.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Json {
    /// `null`.
    Null,
    /// `true` or `false`.
    Bool(bool),
    /// A whole number from 0.
    Whole(u64),
    /// Any other number.
    Number(f64),
    /// A string.
    Text(String),
    /// An array.
    List(Vec<Json>),
    /// An object; members in order.
    Object(Members),
}

/// The members of an object.
pub(super) type Members = Vec<(String, Json)>;

/// The member of this name.
pub(super) fn member<'a>(members: &'a [(String, Json)], name: &str) -> Option<&'a Json> {
    members.iter().find(|(key, _)| key == name).map(|(_, value)| value)
}

/// An object with these members.
pub(super) fn object<const N: usize>(members: [(&str, Json); N]) -> Json {
    Json::Object(members.into_iter().map(|(key, value)| (key.to_owned(), value)).collect())
}

impl Json {
    /// What a serialisable value is in JSON.
    pub fn of(value: &impl Serialize) -> Self {
        serde_json::to_value(value).and_then(Json::deserialize).unwrap_or(Json::Null)
    }

    /// The value as a type of our own.
    pub fn read<T: serde::de::DeserializeOwned>(&self) -> Option<T> {
        serde_json::to_value(self).and_then(serde_json::from_value).ok()
    }

    /// The members, of an object.
    pub fn members(&self) -> Option<&Members> {
        if let Json::Object(members) = self { Some(members) } else { None }
    }

    /// The text, of a string.
    pub fn text(&self) -> Option<&str> {
        if let Json::Text(text) = self { Some(text) } else { None }
    }

    /// The number.
    pub fn number(&self) -> Option<f64> {
        match self {
            Json::Number(number) => Some(*number),
            Json::Whole(whole) => Some(*whole as f64),
            Json::Null | Json::Bool(_) | Json::Text(_) | Json::List(_) | Json::Object(_) => None,
        }
    }

    /// As text for people, with a line end at the end.
    pub fn pretty(&self) -> String {
        // Strings, numbers and lists of them always have a text.
        let mut text = serde_json::to_string_pretty(self).unwrap_or_default();
        text.push('\n');
        text
    }
}

impl From<&str> for Json {
    fn from(text: &str) -> Self {
        Json::Text(text.to_owned())
    }
}

impl From<u32> for Json {
    fn from(whole: u32) -> Self {
        Json::Whole(u64::from(whole))
    }
}

impl From<f32> for Json {
    /// With as few digits as give this very number again.
    #[expect(clippy::cast_possible_truncation, reason = "the shorter number is taken only where it is the same one")]
    fn from(number: f32) -> Self {
        let short: Option<f64> = exact(number).parse().ok();
        Json::Number(short.filter(|&wide| wide as f32 == number).unwrap_or_else(|| f64::from(number)))
    }
}

impl Serialize for Json {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Json::Null => serializer.serialize_unit(),
            Json::Bool(value) => serializer.serialize_bool(*value),
            Json::Whole(whole) => serializer.serialize_u64(*whole),
            Json::Number(number) => serializer.serialize_f64(*number),
            Json::Text(text) => serializer.serialize_str(text),
            Json::List(items) => items.serialize(serializer),
            Json::Object(members) => {
                let mut map = serializer.serialize_map(Some(members.len()))?;
                for (key, value) in members {
                    map.serialize_entry(key, value)?;
                }
                map.end()
            }
        }
    }
}

impl<'de> Deserialize<'de> for Json {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(AnyJson)
    }
}

struct AnyJson;

impl<'de> Visitor<'de> for AnyJson {
    type Value = Json;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }

    fn visit_unit<E>(self) -> Result<Json, E> {
        Ok(Json::Null)
    }

    fn visit_bool<E>(self, value: bool) -> Result<Json, E> {
        Ok(Json::Bool(value))
    }

    fn visit_u64<E>(self, whole: u64) -> Result<Json, E> {
        Ok(Json::Whole(whole))
    }

    fn visit_i64<E>(self, number: i64) -> Result<Json, E> {
        Ok(Json::Number(number as f64))
    }

    fn visit_f64<E>(self, number: f64) -> Result<Json, E> {
        Ok(Json::Number(number))
    }

    fn visit_str<E>(self, text: &str) -> Result<Json, E> {
        Ok(Json::from(text))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Json, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        Ok(Json::List(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Json, A::Error> {
        let mut members = Vec::new();
        while let Some(entry) = entries.next_entry()? {
            members.push(entry);
        }
        Ok(Json::Object(members))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn order_and_numbers_stay() {
        let text = "{\"b\":[1,-2.5,0.021,null,true],\"a\":{\"é\":\"x\"}}";
        let json: Json = serde_json::from_str(text).unwrap();
        assert_eq!(serde_json::to_string(&json).unwrap(), text);
        for bits in (0..=u32::MAX).step_by(65_537) {
            let number = f32::from_bits(bits);
            if number.is_finite() {
                let text = serde_json::to_string(&Json::from(number)).unwrap();
                let back: Json = serde_json::from_str(&text).unwrap();
                assert_eq!((back.number().unwrap() as f32).to_bits(), bits, "{text}");
            }
        }
    }
}
