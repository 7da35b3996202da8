//! Names of families and swatches as the names of other formats, and back.

use crate::board::Role;
use std::collections::{HashMap, HashSet};

/// What a name says: which surface, what for, and what is left of it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct NameParts {
    /// Name of the family; empty when the name is nothing but a role.
    pub family: String,
    /// The role, when the name ends with the word for one.
    pub role: Option<Role>,
    /// The swatch's own name; empty when family and role say all.
    pub name: String,
}

/// The role with this word, in either case.
pub(super) fn role_of(word: &str) -> Option<Role> {
    Role::ALL.into_iter().find(|role| role.word().eq_ignore_ascii_case(word))
}

/// Reads a name word by word: `brick shadow` is the shadow of brick, `blue 500` the swatch 500 of blue.
pub(super) fn parse_name(words: &[&str]) -> NameParts {
    let parts = |family: &[&str], role, name: &str| NameParts { family: family.join(" "), role, name: name.to_owned() };
    match words {
        // The second, third … of its role.
        [family @ .., role, number] if is_number(number) && role_of(role).is_some() => parts(family, role_of(role), ""),
        [family @ .., role] if role_of(role).is_some() => parts(family, role_of(role), ""),
        [family @ .., name] if !family.is_empty() => parts(family, None, name),
        other => parts(other, None, ""),
    }
}

fn is_number(word: &str) -> bool {
    !word.is_empty() && word.bytes().all(|b| b.is_ascii_digit())
}

/// The words of a name in which `-`, `_` and blanks stand between them.
pub(super) fn words(name: &str) -> Vec<&str> {
    name.split(|c: char| matches!(c, '-' | '_') || c.is_whitespace()).filter(|word| !word.is_empty()).collect()
}

/// `name` as part of a CSS identifier: letters and digits of any script in lower case, `-` between words. Empty when there
/// is no letter or digit in it.
pub(super) fn identifier(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        if is_identifier_letter(c) {
            out.push(c);
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    out.truncate(out.trim_end_matches('-').len());
    out
}

/// ASCII letters and digits, and the non-ASCII ident code points of CSS Syntax 3, section 4.2 (the list from memory).
fn is_identifier_letter(c: char) -> bool {
    c.is_ascii_alphanumeric()
        || matches!(c, '\u{b7}' | '\u{c0}'..='\u{d6}' | '\u{d8}'..='\u{f6}' | '\u{f8}'..='\u{37d}'
            | '\u{37f}'..='\u{1fff}' | '\u{203f}' | '\u{2040}' | '\u{2070}'..='\u{218f}'
            | '\u{2c00}'..='\u{2fef}' | '\u{3001}'..='\u{d7ff}' | '\u{f900}'..='\u{fdcf}'
            | '\u{fdf0}'..='\u{fffd}' | '\u{10000}'..)
            && !c.is_whitespace()
}

/// `name` as the name of a design token or group: without `{`, `}` and `.`, and not with `$` in front (Format module,
/// "Character restrictions"). Empty when nothing is left.
pub(super) fn token_name(name: &str) -> String {
    let plain: String = name.chars().map(|c| if matches!(c, '{' | '}' | '.') { '-' } else { c }).collect();
    plain.trim_start_matches(|c: char| c == '$' || c.is_whitespace()).trim_end().to_owned()
}

/// Names that were given out: each only once.
#[derive(Default)]
pub(super) struct UniqueNames {
    given: HashSet<String>,
    /// The next number to try for a wish that was taken.
    next: HashMap<String, u32>,
}

impl UniqueNames {
    /// `wish` if it is free, else with the first free number from 2 behind `joint`.
    pub fn unique(&mut self, wish: &str, joint: &str) -> String {
        let mut name = wish.to_owned();
        while !self.given.insert(name.clone()) {
            let number = self.next.entry(wish.to_owned()).or_insert(2);
            name = format!("{wish}{joint}{number}");
            *number += 1;
        }
        name
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(name: &str) -> (String, Option<Role>, String) {
        let NameParts { family, role, name } = parse_name(&words(name));
        (family, role, name)
    }

    #[test]
    fn a_name_says_family_and_role() {
        let is = |family: &str, role, name: &str| (family.to_owned(), role, name.to_owned());
        assert_eq!(place("brick-shadow"), is("brick", Some(Role::Shadow), ""));
        assert_eq!(place("wet_yard-Light"), is("wet yard", Some(Role::Light), ""));
        assert_eq!(place("lamp-accent-12"), is("lamp", Some(Role::Accent), ""));
        assert_eq!(place("blue-500"), is("blue", None, "500"));
        assert_eq!(place("ink"), is("ink", None, ""));
        assert_eq!(place("shadow"), is("", Some(Role::Shadow), ""));
        assert_eq!(place("門-local"), is("門", Some(Role::Local), ""));
        assert_eq!(place("-"), is("", None, ""));
    }

    #[test]
    fn identifiers_keep_the_letters_of_every_script() {
        assert_eq!(identifier("Wet  yard (east)!"), "wet-yard-east");
        assert_eq!(identifier("Straßenbahn, 電車; क्षि"), "straßenbahn-電車-क्षि");
        assert_eq!(identifier("\"*/{};\0\u{a0}\u{3000}"), "");
    }

    #[test]
    fn token_names_keep_to_the_restrictions() {
        assert_eq!(token_name(" $$No. 4 {wall}"), "No- 4 -wall-");
        assert_eq!(token_name("$ "), "");
    }

    #[test]
    fn no_name_is_given_twice() {
        let mut names_given = UniqueNames::default();
        let given = ["a", "a-2", "a", "a"].map(|wish| names_given.unique(wish, "-"));
        assert_eq!(given, ["a", "a-2", "a-3", "a-4"]);
    }
}
