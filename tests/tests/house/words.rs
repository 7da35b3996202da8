//! Every word on screen, as one list to be read aloud, and the few rules that can be checked without a reader.
//!
//! `cargo test --release -p stint-tests --test house words -- --nocapture` prints the list.

use proc_macro2::{Ident, TokenStream, TokenTree};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use syn::visit::Visit;

/// Names in capitals that a painter meets elsewhere too.
const CAPITALS: [&str; 23] = [
    "CIEDE2000",
    "P3",
    "PNG",
    "TIFF",
    "JPEG",
    "SVG",
    "CSS",
    "RON",
    "ICC",
    "GPU",
    "CPU",
    "A4",
    "A5",
    "OK",
    "CSV",
    "JSON",
    "L",
    "DPI",
    "AVIF",
    "CIE",
    "I",
    "A",
    "N5",
];

fn wording_files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../app/src/ui");
    let mut files = vec![folder.join("wording.rs"), folder.join("keys/mod.rs"), folder.join("tool_kind.rs")];
    let inside = std::fs::read_dir(folder.join("wording")).unwrap();
    files.extend(inside.map(|entry| entry.unwrap().path()).filter(|path| path.extension().is_some_and(|e| e == "rs")));
    files.sort();
    files
}

/// The texts of a file by the name of what they belong to, documentation and tests left out.
#[derive(Default)]
struct Words {
    within: Vec<String>,
    found: BTreeMap<String, Vec<String>>,
}

impl Words {
    fn take(&mut self, text: String) {
        self.found.entry(self.within.join("::")).or_default().push(text);
    }

    fn tokens(&mut self, tokens: TokenStream) {
        for token in tokens {
            match token {
                TokenTree::Group(group) => self.tokens(group.stream()),
                TokenTree::Literal(literal) => {
                    if let Ok(text) = syn::parse_str::<syn::LitStr>(&literal.to_string()) {
                        self.take(text.value());
                    }
                }
                TokenTree::Ident(_) | TokenTree::Punct(_) => {}
            }
        }
    }

    fn inside(&mut self, name: &Ident, visit: impl FnOnce(&mut Self)) {
        self.within.push(name.to_string());
        visit(self);
        self.within.pop();
    }
}

impl<'a> Visit<'a> for Words {
    fn visit_item_const(&mut self, item: &'a syn::ItemConst) {
        self.inside(&item.ident, |words| syn::visit::visit_item_const(words, item));
    }

    fn visit_item_fn(&mut self, item: &'a syn::ItemFn) {
        self.inside(&item.sig.ident, |words| syn::visit::visit_item_fn(words, item));
    }

    fn visit_item_mod(&mut self, item: &'a syn::ItemMod) {
        if item.ident != "tests" {
            syn::visit::visit_item_mod(self, item);
        }
    }

    fn visit_lit_str(&mut self, text: &'a syn::LitStr) {
        self.take(text.value());
    }

    fn visit_macro(&mut self, called: &'a syn::Macro) {
        // The tables of keys and tools are macros of ours, with documentation as attributes.
        let tokens = without_attributes(called.tokens.clone());
        let name = called.path.segments.last().unwrap().ident.clone();
        if name != "macro_rules" {
            self.inside(&name, |words| words.tokens(tokens));
        }
    }

    fn visit_attribute(&mut self, _: &'a syn::Attribute) {}
}

fn without_attributes(tokens: TokenStream) -> TokenStream {
    let mut left = Vec::new();
    let mut after_hash = false;
    for token in tokens {
        match token {
            TokenTree::Punct(sign) if sign.as_char() == '#' => after_hash = true,
            TokenTree::Group(_) if after_hash => after_hash = false,
            TokenTree::Group(group) => {
                let inner = without_attributes(group.stream());
                left.push(TokenTree::Group(proc_macro2::Group::new(group.delimiter(), inner)));
            }
            other => {
                after_hash = false;
                left.push(other);
            }
        }
    }
    left.into_iter().collect()
}

/// What a rule finds in a text.
fn fault(text: &str) -> Option<&'static str> {
    // Other words, or a number, come where braces are; constants have names in capitals.
    let without_places: String =
        text.split('{').map(|part| part.split_once('}').map_or(part, |(_, rest)| rest)).collect();
    let words = || without_places.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    let shouted = |word: &str| {
        word.len() > 1
            && word.chars().all(|c| c.is_uppercase() || c.is_numeric())
            && word.chars().any(char::is_alphabetic)
            && !CAPITALS.contains(&word)
            && !(word.starts_with('F') && word[1..].parse::<u8>().is_ok())
    };
    let rules: [(&str, bool); 5] = [
        ("two spaces", text.contains("  ") && text.trim() == text && !text.contains('\n')),
        ("three full stops instead of …", text.contains("...")),
        ("an exclamation", text.contains('!')),
        ("capitals", words().any(shouted)),
        ("\"please\"", words().any(|word| word.eq_ignore_ascii_case("please"))),
    ];
    rules.into_iter().find(|(_, broken)| *broken).map(|(rule, _)| rule)
}

#[test]
fn every_word_on_screen_keeps_the_rules() {
    let (mut faults, mut count) = (Vec::new(), 0);
    for file in wording_files() {
        let mut words = Words::default();
        words.visit_file(&syn::parse_file(&std::fs::read_to_string(&file).unwrap()).unwrap());
        println!("\n{}", file.file_name().unwrap().to_string_lossy());
        for (name, texts) in &words.found {
            for text in texts {
                println!("  {text}");
                count += 1;
                if let Some(rule) = fault(text) {
                    faults.push(format!("{name}: {rule} in \"{text}\""));
                }
            }
        }
    }
    assert!(count > 500, "only {count} texts were found");
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn a_broken_rule_is_found() {
    for text in ["Save  now", "Wait...", "Done!", "PRESS here", "Please choose"] {
        assert!(fault(text).is_some(), "{text}");
    }
    for text in ["Export…", "Press F1", "A PNG of A4", "Step back"] {
        assert_eq!(fault(text), None, "{text}");
    }
}
