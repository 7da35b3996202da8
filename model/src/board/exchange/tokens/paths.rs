//! Tokens by their path: which groups they are in, which type they have and what they point to.

use super::json::{Json, Members, member};
use std::collections::HashMap;

/// Most references, one to the next, that are followed.
const MAX_STEPS: usize = 64;

/// A token where it was found.
pub(super) struct Token<'a> {
    /// Names of its groups, outermost first.
    pub groups: Vec<&'a str>,
    /// Its own name.
    pub name: &'a str,
    /// What is in it.
    pub members: &'a Members,
    /// Type of the nearest group that has one.
    inherited: Option<&'a str>,
    /// Which of [`Tokens::groups`] it is in.
    pub group: usize,
}

impl Token<'_> {
    /// Names of groups and token, joined by dots.
    pub fn path(&self) -> String {
        let mut parts = self.groups.clone();
        parts.push(self.name);
        parts.join(".")
    }
}

/// What a file of tokens holds, in order.
#[derive(Default)]
pub(super) struct Tokens<'a> {
    /// All tokens.
    pub all: Vec<Token<'a>>,
    /// All groups, the file itself first, each before what is in it.
    pub groups: Vec<&'a Members>,
    /// Members that are neither group nor token.
    pub strays: usize,
    by_path: HashMap<String, usize>,
}

/// What a value is when all references are followed.
pub(super) enum Resolved<'a> {
    /// A value with its type, if the type is known.
    Value(&'a Json, Option<&'a str>),
    /// A reference to a token that is not there.
    Dangling(String),
    /// References in a circle, or more than anybody follows.
    Circular,
}

impl<'a> Tokens<'a> {
    /// Of a whole file.
    pub fn new(root: &'a Members) -> Self {
        let mut tokens = Tokens::default();
        tokens.walk(root, &[], None);
        for (at, token) in tokens.all.iter().enumerate() {
            tokens.by_path.entry(token.path()).or_insert(at);
        }
        tokens
    }

    // As deep as the JSON, whose depth its reader limits.
    fn walk(&mut self, group: &'a Members, groups: &[&'a str], inherited: Option<&'a str>) {
        let place = self.groups.len();
        self.groups.push(group);
        let inherited = member(group, "$type").and_then(Json::text).or(inherited);
        for (name, json) in group {
            // `$root` is the token that a group itself stands for; other names with `$` are properties of the group.
            if name.starts_with('$') && name != "$root" {
                continue;
            }
            let Some(members) = json.members() else {
                self.strays += 1;
                continue;
            };
            if member(members, "$value").or_else(|| member(members, "$ref")).is_some() {
                self.all.push(Token { groups: groups.to_vec(), name, members, inherited, group: place });
            } else {
                let groups: Vec<_> = groups.iter().copied().chain([name.as_str()]).collect();
                self.walk(members, &groups, inherited);
            }
        }
    }

    /// The value and type of a token. Its own type comes first, then that of what it points to, then that of its groups.
    pub fn resolve(&self, token: &'a Token<'a>) -> Resolved<'a> {
        let own = member(token.members, "$type").and_then(Json::text);
        let (mut at, mut kind, mut steps) = (token, own, 0);
        loop {
            let value = member(at.members, "$value");
            let Some(target) = value.map_or_else(|| pointer(at.members), reference) else {
                return Resolved::Value(value.unwrap_or(&Json::Null), kind.or(at.inherited));
            };
            let Some(&next) = self.by_path.get(&target) else {
                return match kind.or(token.inherited) {
                    Some(other) if other != super::COLOUR_TYPE => Resolved::Value(&Json::Null, Some(other)),
                    _ => Resolved::Dangling(target),
                };
            };
            at = &self.all[next];
            kind = kind.or_else(|| member(at.members, "$type").and_then(Json::text));
            steps += 1;
            if steps > MAX_STEPS {
                return Resolved::Circular;
            }
        }
    }
}

/// The path that a value points to: `{group.token}`, or an object with `$ref`.
fn reference(value: &Json) -> Option<String> {
    match value {
        Json::Text(text) => text.strip_prefix('{')?.strip_suffix('}').map(str::to_owned),
        Json::Object(members) => pointer(members),
        Json::Null | Json::Bool(_) | Json::Whole(_) | Json::Number(_) | Json::List(_) => None,
    }
}

/// The path of a JSON pointer to a token or its value: `#/group/token/$value` (RFC 6901).
fn pointer(members: &Members) -> Option<String> {
    let pointer = member(members, "$ref")?.text()?.strip_prefix("#/")?;
    let pointer = pointer.strip_suffix("/$value").unwrap_or(pointer);
    Some(pointer.split('/').map(|part| part.replace("~1", "/").replace("~0", "~")).collect::<Vec<_>>().join("."))
}
