//! An optional field of a brush or a sample in text: there as it is, or left out; never written as `Some(…)`. For `#[serde(with)]`,
//! together with `skip_serializing_if`.

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// Writes what is there.
pub fn serialize<T: Serialize, S: Serializer>(value: &Option<T>, serializer: S) -> Result<S::Ok, S::Error> {
    match value {
        Some(value) => value.serialize(serializer),
        None => serializer.serialize_none(),
    }
}

/// Reads a field that is there.
pub fn deserialize<'de, T: Deserialize<'de>, D: Deserializer<'de>>(deserializer: D) -> Result<Option<T>, D::Error> {
    T::deserialize(deserializer).map(Some)
}
