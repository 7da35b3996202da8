//! Versions of everything that is written and read again: studies, boards, scripts, boards inside pictures. One way for all of
//! them: a whole number that counts from 1, one upgrade step a version, and a refusal in words for what is of a later version
//! or of one that there never was.

use serde::de::{DeserializeSeed, Deserializer, IgnoredAny, MapAccess, Visitor};
use std::borrow::Cow;
use std::fmt;

/// The versions of one format, told by the steps between them: the first step leads from version 1 to version 2, the last to the
/// version that this program writes. What a step does is the format's own business.
#[derive(Debug)]
pub struct Versions<Step: 'static> {
    steps: &'static [Step],
}

impl<Step> Versions<Step> {
    /// The versions that these steps lead through, 1 without any.
    pub const fn new(steps: &'static [Step]) -> Self {
        Versions { steps }
    }

    /// The version that this program writes, and the newest that it reads.
    pub const fn current(&self) -> u32 {
        // Nobody writes four billion steps.
        #[expect(clippy::cast_possible_truncation, reason = "a handful of steps")]
        let steps = self.steps.len() as u32;
        steps + 1
    }

    /// The steps from a version that was found to the current one.
    ///
    /// # Errors
    /// When the version is a later one, or there never was such a version.
    pub fn steps_from(&self, found: u32) -> Result<&'static [Step], VersionError> {
        let done = found.checked_sub(1).and_then(|done| usize::try_from(done).ok());
        match done {
            Some(done) if done <= self.steps.len() => Ok(&self.steps[done..]),
            Some(_) => Err(VersionError::Newer { found, known: self.current() }),
            None => Err(VersionError::NoSuchVersion { found, known: self.current() }),
        }
    }
}

/// A step of a format that is RON text: the text of the next version. Most versions only add fields that may be left out, and
/// keep the text.
pub type TextStep = fn(&str) -> Cow<'_, str>;

/// The step to a version that has more fields than the one before it, all of which may be left out.
pub fn adds_fields(text: &str) -> Cow<'_, str> {
    Cow::Borrowed(text)
}

impl Versions<TextStep> {
    /// RON text of the current version, from text of any version so far. `name` is that of the struct at its head, whose field
    /// `format` tells the version; whatever else a later version has, its number can be read.
    ///
    /// # Errors
    /// When the text has no version, or one that cannot be read here.
    pub fn upgrade_text<'t>(&self, text: &'t str, name: &'static str) -> Result<Cow<'t, str>, TextVersionError> {
        let found = ron::Options::default().from_str_seed(text, FormatField(name))?;
        let mut text = Cow::Borrowed(text);
        for step in self.steps_from(found)? {
            text = Cow::Owned(step(&text).into_owned());
        }
        Ok(text)
    }
}

/// Why something of another version is not read; the words go behind the name of the thing.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
pub enum VersionError {
    /// A later program wrote it.
    #[error("was made by a newer Stint (format {found}, this one reads {known}); update the program to read it")]
    Newer {
        /// Its version.
        found: u32,
        /// The newest that is read here.
        known: u32,
    },
    /// No program ever wrote it.
    #[error("has format {found}, which there never was; set it to {known}")]
    NoSuchVersion {
        /// Its version.
        found: u32,
        /// The one that is written here.
        known: u32,
    },
}

/// Why text is not brought up to the current version.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum TextVersionError {
    /// Its version cannot be told.
    #[error(transparent)]
    Text(#[from] ron::error::SpannedError),
    /// Its version is not read here.
    #[error(transparent)]
    Version(#[from] VersionError),
}

/// Reads the field `format` of a struct of this name, and skips all others.
struct FormatField(&'static str);

impl<'de> DeserializeSeed<'de> for FormatField {
    type Value = u32;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<u32, D::Error> {
        deserializer.deserialize_struct(self.0, &["format"], self)
    }
}

impl<'de> Visitor<'de> for FormatField {
    type Value = u32;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a {} with a format", self.0)
    }

    fn visit_map<A: MapAccess<'de>>(self, mut fields: A) -> Result<u32, A::Error> {
        let mut format = None;
        while let Some(field) = fields.next_key::<FieldName>()? {
            match field {
                FieldName::Format => format = Some(fields.next_value()?),
                FieldName::Other => {
                    fields.next_value::<IgnoredAny>()?;
                }
            }
        }
        format.ok_or_else(|| serde::de::Error::missing_field("format"))
    }
}

#[derive(serde::Deserialize)]
#[serde(field_identifier, rename_all = "lowercase")]
enum FieldName {
    Format,
    #[serde(other)]
    Other,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Version 2 says `tone` where version 1 said `value`; version 3 may have more.
    const VERSIONS: Versions<TextStep> = Versions::new(&[|text| text.replace("value:", "tone:").into(), adds_fields]);

    #[test]
    fn a_text_goes_through_one_step_a_version() {
        assert_eq!(VERSIONS.current(), 3);
        for (text, now) in [
            ("(format: 1, value: 3)", "(format: 1, tone: 3)"),
            ("Card(value: (1, [2]), format: 1)", "Card(tone: (1, [2]), format: 1)"),
            ("(format: 2, tone: 3)", "(format: 2, tone: 3)"),
            ("(format: 3, value: 3)", "(format: 3, value: 3)"),
        ] {
            assert_eq!(VERSIONS.upgrade_text(text, "Card").as_deref(), Ok(now));
        }
    }

    #[test]
    fn other_versions_are_refused_by_number_whatever_else_is_there() {
        let newer = VERSIONS.upgrade_text("Card(format: 4, new: Thing(a: 'x'))", "Card");
        assert_eq!(newer, Err(VersionError::Newer { found: 4, known: 3 }.into()));
        let never = VERSIONS.upgrade_text("(format: 0)", "Card");
        assert_eq!(never, Err(VersionError::NoSuchVersion { found: 0, known: 3 }.into()));
        for text in ["(value: 3)", "Board(format: 1)", "(format: 1", "(format: -1)"] {
            assert!(matches!(VERSIONS.upgrade_text(text, "Card"), Err(TextVersionError::Text(_))), "{text}");
        }
    }
}
