//! The notes for the way back: what they say, word by word.

use super::super::names::role_of;
use crate::board::review::{Rule, Subject};
use crate::board::{Distance, LightOfDay, Role};
use crate::colour::Colour;
use crate::ids::{FamilyId, SwatchId};
use cssparser::{ParseError, Parser};

type Parsed<T> = Result<T, ParseError<()>>;

/// What a note on a swatch says.
pub(super) struct SwatchNote {
    /// Id of its family.
    pub family: u32,
    /// Its role.
    pub role: Role,
    /// Name of its colour property, without dashes.
    pub property: String,
    /// Its colour.
    pub exact: Colour,
    /// Its own name.
    pub name: String,
}

fn whole<T>(value: &str, read: impl FnOnce(&mut Parser<'_>) -> Parsed<T>) -> Option<T> {
    Parser::new(value).parse_entirely(read).ok()
}

fn wrong<T>() -> Parsed<T> {
    Err(ParseError::unexpected_token())
}

/// A number exactly as its digits say; `cssparser` itself rounds twice.
fn number<N: std::str::FromStr>(input: &mut Parser<'_>) -> Parsed<N> {
    input.skip_whitespace();
    let start = input.position();
    input.expect_number()?;
    input.slice_from(start).parse().or_else(|_| wrong())
}

/// `1`.
pub(super) fn format(value: &str) -> Option<u32> {
    whole(value, number)
}

/// `"text"`.
pub(super) fn text(value: &str) -> Option<String> {
    whole(value, |input| Ok(input.expect_string()?.to_string()))
}

/// `cool`, also as a string.
pub(super) fn light(value: &str) -> Option<LightOfDay> {
    let word = whole(value, |input| Ok(input.expect_ident_or_string()?.to_string()))?;
    LightOfDay::ALL.into_iter().find(|light| light.word().eq_ignore_ascii_case(&word))
}

/// `"wet yard" near`.
pub(super) fn family(value: &str) -> Option<(String, Option<Distance>)> {
    whole(value, |input| {
        let name = input.expect_string()?.to_string();
        if input.is_exhausted() {
            return Ok((name, None));
        }
        let word = input.expect_ident()?;
        let distance = Distance::ALL.into_iter().find(|d| d.word().eq_ignore_ascii_case(word));
        distance.map_or_else(wrong, |d| Ok((name, Some(d))))
    })
}

/// `3 light var(--wet-yard-light) 0.21 0.27 0.4 "puddle"`.
pub(super) fn swatch(value: &str) -> Option<SwatchNote> {
    whole(value, |input| {
        let family = number(input)?;
        let Some(role) = role_of(input.expect_ident()?) else { return wrong() };
        let property = variable(input)?;
        let exact = Colour::new(number(input)?, number(input)?, number(input)?);
        let name = if input.is_exhausted() { String::new() } else { input.expect_string()?.to_string() };
        Ok(SwatchNote { family, role, property, exact, name })
    })
}

/// The property that a value `var(--name)` stands for, without dashes. A fallback behind a comma is passed over.
pub(super) fn reference(value: &str) -> Option<String> {
    whole(value, variable)
}

fn variable(input: &mut Parser<'_>) -> Parsed<String> {
    input.expect_function_matching("var")?;
    input.parse_nested_block(|input| {
        let Some(name) = input.expect_ident()?.strip_prefix("--").map(str::to_owned) else { return wrong() };
        while input.next().is_ok() {}
        Ok(name)
    })
}

/// `shadow-lean 1 4 / 3`: the rule, its swatches, its families.
pub(super) fn dismissed(subject: &Subject) -> String {
    let mut note = rule_word(subject.rule);
    for id in &subject.swatches {
        note += &format!(" {id}");
    }
    if !subject.families.is_empty() {
        note += " /";
    }
    for id in &subject.families {
        note += &format!(" {id}");
    }
    note
}

/// The way back from [`dismissed`].
pub(super) fn subject(value: &str) -> Option<Subject> {
    whole(value, |input| {
        let word = input.expect_ident()?.to_string();
        let Some(rule) = rule_of(&word) else { return wrong() };
        let mut subject = Subject { rule, swatches: Vec::new(), families: Vec::new() };
        while !input.is_exhausted() && input.try_parse(|i| i.expect_delim('/')).is_err() {
            subject.swatches.push(SwatchId(number(input)?));
        }
        while !input.is_exhausted() {
            subject.families.push(FamilyId(number(input)?));
        }
        Ok(subject)
    })
}

/// The word that stands for a rule in files.
fn rule_word(rule: Rule) -> String {
    serde_json::to_value(rule).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

fn rule_of(word: &str) -> Option<Rule> {
    serde_json::from_value(serde_json::Value::from(word)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_has_a_word_and_comes_back() {
        for &rule in Rule::ALL {
            for (swatches, families) in [(vec![], vec![]), (vec![SwatchId(3)], vec![]), (vec![], vec![FamilyId(9)])] {
                let given = Subject { rule, swatches, families };
                assert_eq!(subject(&dismissed(&given)), Some(given));
            }
        }
    }

    #[test]
    fn notes_that_say_something_else_are_none() {
        for bad in
            ["", "1", "1 dark var(--a) 0 0 0", "1 light a 0 0 0", "1 light var(--a) 0 0", "1 light var(--a) 0 0 0 x"]
        {
            assert!(swatch(bad).is_none(), "{bad}");
        }
        assert!(swatch("1 LIGHT var( --a , red ) +.5 -1e-3 0 'x'").is_some());
        assert!(family("wet").is_none() && family("\"wet\" distant").is_none() && light("blue").is_none());
        assert!(format("1.5").is_none() && format("-1").is_none() && format("7") == Some(7));
        assert!(subject("alike 1 / 2 / 3").is_none() && subject("hue").is_none());
    }
}
