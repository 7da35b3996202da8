//! What one file declares, imports and names.

use proc_macro2::{TokenStream, TokenTree};
use std::collections::{BTreeMap, BTreeSet};
use syn::visit::{self, Visit};

/// Names joined by `::`, and where they begin.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Path {
    /// At the root of the crate: `crate::…`, `self::…` and `super::…`.
    Absolute(Vec<String>),
    /// At a name that is in sight where the path stands, or at another crate.
    Relative(Vec<String>),
}

/// A path that some code names.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Mention {
    pub path: Path,
    /// Only when unit tests are built.
    pub in_test: bool,
}

/// A file of a module: `mod name;`.
#[derive(Debug)]
pub struct Child {
    /// Modules with a body of their own around the declaration.
    pub inside: Vec<String>,
    pub name: String,
    /// The name of its file beside this one, when the declaration gives one: `#[path = "…"]`.
    pub file: Option<String>,
    pub in_test: bool,
}

/// What a file declares, imports and names.
#[derive(Default, Debug)]
pub struct File {
    /// Path of the module that the file is.
    module: Vec<String>,
    /// Modules with a body of their own around what is being read.
    inside: Vec<String>,
    in_test: bool,
    pub children: Vec<Child>,
    /// Names of types, functions, constants … and of modules with a body of their own.
    pub items: BTreeSet<String>,
    /// What an imported name stands for.
    pub imports: BTreeMap<String, BTreeSet<Path>>,
    /// What is imported by `*`.
    pub globs: BTreeSet<Path>,
    pub mentions: BTreeSet<Mention>,
}

/// Reads the text of a module's file.
pub fn read(text: &str, module: &[String], in_test: bool) -> syn::Result<File> {
    let mut file = File { module: module.to_vec(), in_test, ..File::default() };
    file.visit_file(&syn::parse_file(text)?);
    Ok(file)
}

impl File {
    fn path(&self, names: &[String]) -> Path {
        let start = match names[0].as_str() {
            "crate" => Vec::new(),
            "self" | "super" => [&self.module[..], &self.inside].concat(),
            _ => return Path::Relative(names.to_vec()),
        };
        let mut absolute = start;
        for name in names {
            match name.as_str() {
                "crate" | "self" => {}
                "super" => drop(absolute.pop()),
                name => absolute.push(name.to_owned()),
            }
        }
        Path::Absolute(absolute)
    }

    fn mention(&mut self, names: &[String]) {
        if names.len() > 1 {
            let path = self.path(names);
            self.mentions.insert(Mention { path, in_test: self.in_test });
        }
    }

    fn import(&mut self, tree: &syn::UseTree, before: &[String]) {
        let with = |name: &syn::Ident| [before, &[name.to_string()]].concat();
        match tree {
            syn::UseTree::Path(path) => self.import(&path.tree, &with(&path.ident)),
            syn::UseTree::Group(group) => group.items.iter().for_each(|tree| self.import(tree, before)),
            syn::UseTree::Glob(_) => {
                let path = self.path(before);
                self.globs.insert(path.clone());
                self.mentions.insert(Mention { path, in_test: self.in_test });
            }
            syn::UseTree::Name(name) => self.import_as(with(&name.ident), name.ident.to_string()),
            syn::UseTree::Rename(rename) => self.import_as(with(&rename.ident), rename.rename.to_string()),
        }
    }

    fn import_as(&mut self, mut names: Vec<String>, mut alias: String) {
        if alias == "self" {
            names.pop();
            alias = names.last().cloned().unwrap_or_default();
        }
        let path = self.path(&names);
        self.imports.entry(alias).or_default().insert(path.clone());
        self.mentions.insert(Mention { path, in_test: self.in_test });
    }

    /// Paths in code that is not parsed: in the brackets of macros and attributes.
    fn tokens(&mut self, tokens: TokenStream) {
        let (mut names, mut colons) = (Vec::<String>::new(), 0);
        for token in tokens {
            match token {
                TokenTree::Ident(name) => {
                    if colons != 2 {
                        self.mention(&std::mem::take(&mut names));
                    }
                    names.push(name.to_string());
                    colons = 0;
                }
                TokenTree::Punct(mark) if mark.as_char() == ':' => colons += 1,
                other => {
                    self.mention(&std::mem::take(&mut names));
                    colons = 0;
                    if let TokenTree::Group(group) = other {
                        self.tokens(group.stream());
                    }
                }
            }
        }
        self.mention(&names);
    }

    /// Reads something that may be for unit tests alone.
    fn under(&mut self, attributes: &[syn::Attribute], read: impl FnOnce(&mut Self)) {
        let before = self.in_test;
        self.in_test |= attributes.iter().any(is_for_tests);
        read(self);
        self.in_test = before;
    }
}

/// `#[test]`, `#[cfg(test)]` or `#[cfg(all(test, …))]`.
fn is_for_tests(attribute: &syn::Attribute) -> bool {
    let syn::Meta::List(list) = &attribute.meta else { return attribute.path().is_ident("test") };
    let words: Vec<_> = list.tokens.to_string().split(|c: char| !c.is_alphanumeric()).map(str::to_owned).collect();
    attribute.path().is_ident("cfg")
        && words.iter().any(|w| w == "test")
        && !words.iter().any(|w| w == "not" || w == "any")
}

/// What `#[path = "…"]` says.
fn named_file(attribute: &syn::Attribute) -> Option<String> {
    let syn::Meta::NameValue(pair) = &attribute.meta else { return None };
    match &pair.value {
        syn::Expr::Lit(syn::ExprLit { lit: syn::Lit::Str(text), .. }) if pair.path.is_ident("path") => {
            Some(text.value())
        }
        _ => None,
    }
}

fn name_of(item: &syn::Item) -> Option<&syn::Ident> {
    Some(match item {
        syn::Item::Const(item) => &item.ident,
        syn::Item::Enum(item) => &item.ident,
        syn::Item::Fn(item) => &item.sig.ident,
        syn::Item::Macro(item) => item.ident.as_ref()?,
        syn::Item::Static(item) => &item.ident,
        syn::Item::Struct(item) => &item.ident,
        syn::Item::Trait(item) => &item.ident,
        syn::Item::Type(item) => &item.ident,
        syn::Item::Union(item) => &item.ident,
        _ => return None,
    })
}

fn attributes_of(item: &syn::Item) -> &[syn::Attribute] {
    match item {
        syn::Item::Const(item) => &item.attrs,
        syn::Item::Enum(item) => &item.attrs,
        syn::Item::Fn(item) => &item.attrs,
        syn::Item::Impl(item) => &item.attrs,
        syn::Item::Macro(item) => &item.attrs,
        syn::Item::Mod(item) => &item.attrs,
        syn::Item::Static(item) => &item.attrs,
        syn::Item::Struct(item) => &item.attrs,
        syn::Item::Trait(item) => &item.attrs,
        syn::Item::Type(item) => &item.attrs,
        syn::Item::Use(item) => &item.attrs,
        _ => &[],
    }
}

impl<'a> Visit<'a> for File {
    fn visit_item(&mut self, item: &'a syn::Item) {
        self.items.extend(name_of(item).map(ToString::to_string));
        self.under(attributes_of(item), |file| visit::visit_item(file, item));
    }

    fn visit_impl_item_fn(&mut self, function: &'a syn::ImplItemFn) {
        self.under(&function.attrs, |file| visit::visit_impl_item_fn(file, function));
    }

    fn visit_item_mod(&mut self, module: &'a syn::ItemMod) {
        let name = module.ident.to_string();
        if module.content.is_some() {
            self.items.insert(name.clone());
            self.inside.push(name);
            visit::visit_item_mod(self, module);
            self.inside.pop();
        } else {
            let file = module.attrs.iter().find_map(named_file);
            self.children.push(Child { inside: self.inside.clone(), name, file, in_test: self.in_test });
        }
    }

    fn visit_item_use(&mut self, item: &'a syn::ItemUse) {
        self.import(&item.tree, &[]);
    }

    fn visit_path(&mut self, path: &'a syn::Path) {
        let names: Vec<_> = path.segments.iter().map(|s| s.ident.to_string()).collect();
        self.mention(&names);
        visit::visit_path(self, path);
    }

    fn visit_macro(&mut self, call: &'a syn::Macro) {
        self.tokens(call.tokens.clone());
        visit::visit_macro(self, call);
    }

    fn visit_attribute(&mut self, attribute: &'a syn::Attribute) {
        if let syn::Meta::List(list) = &attribute.meta {
            self.tokens(list.tokens.clone());
        }
        visit::visit_attribute(self, attribute);
    }
}
