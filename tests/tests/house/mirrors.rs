//! Comments that say where the same thing stands in the other language, checked: "Mirror: ITEM in FILE", or "Mirror: FILE"
//! where all of a file has a twin. The file is there, it defines the item, and it names this file in return.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What a comment points to.
#[derive(Clone, PartialEq, Eq, Debug)]
struct Mirror {
    item: Option<String>,
    file: String,
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn collect(folder: &Path, files: &mut BTreeMap<String, String>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            collect(&path, files);
        } else if path.extension().is_some_and(|e| e == "rs" || e == "wgsl") {
            let name = path.strip_prefix(root()).unwrap().to_str().unwrap().replace('\\', "/");
            files.insert(name, std::fs::read_to_string(&path).unwrap());
        }
    }
}

/// Every source file that is part of the program, by its path from the root.
fn sources() -> BTreeMap<String, String> {
    let mut files = BTreeMap::new();
    for folder in ["model/src", "render/src", "app/src", "shaders"] {
        collect(&root().join(folder), &mut files);
    }
    files
}

/// The comments of a text, each block of lines as one; ticks around names are dropped.
fn comments(text: &str) -> Vec<String> {
    let mut blocks = vec![String::new()];
    for line in text.lines() {
        match line.trim().strip_prefix("//") {
            Some(comment) => {
                let block = blocks.last_mut().unwrap();
                block.push_str(comment.trim_start_matches(['/', '!']).trim());
                block.push(' ');
            }
            None => blocks.push(String::new()),
        }
    }
    blocks.into_iter().filter(|b| !b.is_empty()).map(|b| b.replace('`', "")).collect()
}

/// What the comments of a text point to; an error for a "Mirror" or "Twin" that cannot be read.
fn mirrors(text: &str) -> Result<Vec<Mirror>, String> {
    let mut found = Vec::new();
    for comment in comments(text) {
        if comment.contains("Twin:") {
            return Err(format!("\"Twin:\" is written \"Mirror:\": {comment}"));
        }
        for after in comment.split("Mirror").skip(1) {
            let Some(list) = after.strip_prefix(": ").or_else(|| after.strip_prefix("s: ")) else { continue };
            // The list ends with its sentence: a dot that no letter follows.
            let list = list.split(". ").next().unwrap().trim_end().trim_end_matches('.');
            for entry in list.split(", ") {
                let (item, file) = match entry.split_once(" in ") {
                    Some((item, file)) => (Some(item.to_owned()), file),
                    None => (None, entry),
                };
                if file.contains(' ') || !(file.ends_with(".rs") || file.ends_with(".wgsl")) {
                    return Err(format!("\"{entry}\" is neither FILE nor ITEM in FILE: {comment}"));
                }
                found.push(Mirror { item, file: file.to_owned() });
            }
        }
    }
    Ok(found)
}

/// Whether a text defines an item: a function, struct, enum, type or constant of this name.
fn defines(text: &str, item: &str) -> bool {
    let keywords = ["fn", "struct", "enum", "type", "const", "static"];
    text.lines().map(str::trim).filter(|line| !line.starts_with("//")).any(|line| {
        let words: Vec<_> = line.split(|c: char| !(c.is_alphanumeric() || c == '_')).collect();
        words.windows(2).any(|pair| keywords.contains(&pair[0]) && pair[1] == item)
    })
}

/// Everything that is wrong with the mirrors of some files.
fn faults(files: &BTreeMap<String, String>) -> (usize, Vec<String>) {
    let mut faults = Vec::new();
    let mut all: BTreeMap<&str, Vec<Mirror>> = BTreeMap::new();
    for (name, text) in files {
        match mirrors(text) {
            Ok(found) => drop(all.insert(name, found)),
            Err(error) => faults.push(format!("{name}: {error}")),
        }
    }
    for (name, found) in &all {
        for mirror in found {
            let Some(other) = files.get(&mirror.file) else {
                faults.push(format!("{name}: there is no {}", mirror.file));
                continue;
            };
            if let Some(item) = mirror.item.as_ref().filter(|item| !defines(other, item)) {
                faults.push(format!("{name}: {} defines no {item}", mirror.file));
            }
            if !all.get(&mirror.file[..]).is_some_and(|back| back.iter().any(|m| m.file == **name)) {
                faults.push(format!("{name}: {} does not name it in return", mirror.file));
            }
        }
    }
    (all.values().map(Vec::len).sum(), faults)
}

#[test]
fn every_mirror_is_there_and_points_back() {
    let (count, faults) = faults(&sources());
    assert_eq!(faults, Vec::<String>::new());
    // A dozen pairs, each named on both sides: the search itself must not come to find nothing.
    assert!(count >= 24, "{count}");
}

/// Each fault planted once in a sound pair is seen.
#[test]
fn a_planted_fault_is_seen() {
    let rust = "/// Sums. Mirror: `add` in\n/// `s/a.wgsl`. More.\npub const fn add(a: u32) -> u32 { a }\n";
    let shader = "// Mirror: add in r/a.rs, or not.\nfn add(a: u32) -> u32 { return a; }\n".replace(", or not", "");
    let pair = |rust: &str, shader: &str| {
        faults(&BTreeMap::from([("r/a.rs".to_owned(), rust.to_owned()), ("s/a.wgsl".to_owned(), shader.to_owned())]))
    };
    assert_eq!(pair(rust, &shader), (2, Vec::new()));
    for (rust, shader, word) in [
        (rust.replace("s/a.wgsl", "s/b.wgsl"), shader.clone(), "there is no s/b.wgsl"),
        (rust.to_owned(), shader.replace("fn add", "fn sum"), "s/a.wgsl defines no add"),
        (rust.to_owned(), shader.replace("Mirror: add in r/a.rs", "Adds"), "does not name it in return"),
        (rust.to_owned(), shader.replace("Mirror:", "Twin:"), "is written \"Mirror:\""),
        (rust.replace("Mirror: `add` in", "Mirror: the sum in"), shader.clone(), "defines no the sum"),
        (rust.replace("`add` in\n/// `s/a.wgsl`", "the shader"), shader.clone(), "neither FILE nor ITEM in FILE"),
    ] {
        let (_, faults) = pair(&rust, &shader);
        assert!(faults.iter().any(|f| f.contains(word)), "{word}: {faults:?}");
    }
}
