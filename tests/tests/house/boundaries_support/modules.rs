//! The tree of a crate's modules, one a file, and which of them names which.

use super::mentions::{self, File, Path};
use super::source::Source;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

/// Roots of programs, which no module declares.
const PROGRAMS: [&str; 2] = ["main.rs", "window_alone.rs"];

/// How many imports of imports are followed to what a name stands for.
const IMPORTS_IN_A_ROW: usize = 8;

/// A file of the crate.
#[derive(Debug)]
pub struct Module {
    /// Names from the root to this module; none for the root.
    pub path: Vec<String>,
    /// Where it is, below the source folder.
    pub file: String,
    read: File,
}

/// One module names another, or something in it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Edge {
    /// Places in [`Crate::modules`].
    pub from: usize,
    pub to: usize,
    /// The file of the first, and what is named there.
    pub file: String,
    pub names: String,
    /// Only when unit tests are built.
    pub in_test: bool,
}

impl fmt::Display for Edge {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} names {}", self.file, self.names)
    }
}

/// All modules of a crate, the root first.
#[derive(Debug)]
pub struct Crate {
    pub modules: Vec<Module>,
    /// Place of each module by its path.
    places: BTreeMap<Vec<String>, usize>,
}

impl Crate {
    /// Reads the modules that `lib.rs` and its children declare.
    ///
    /// # Panics
    /// When a file is missing, cannot be parsed, or is declared by nobody.
    pub fn read(source: &Source) -> Self {
        let mut all = Crate { modules: Vec::new(), places: BTreeMap::new() };
        let mut waiting = vec![(Vec::new(), "lib.rs".to_owned(), false)];
        while let Some((path, file, in_test)) = waiting.pop() {
            let read = mentions::read(&source[&file], &path, in_test).unwrap_or_else(|e| panic!("{file}: {e}"));
            for child in &read.children {
                let path = [&path[..], &child.inside, std::slice::from_ref(&child.name)].concat();
                let places = match &child.file {
                    Some(name) => {
                        vec![file.rsplit_once('/').map_or(name.clone(), |(folder, _)| format!("{folder}/{name}"))]
                    }
                    None => vec![format!("{}.rs", path.join("/")), format!("{}/mod.rs", path.join("/"))],
                };
                let found = places.iter().find(|f| source.contains_key(*f));
                let found = found.unwrap_or_else(|| panic!("{file} declares {}, which has no file", child.name));
                waiting.push((path, found.clone(), child.in_test || in_test));
            }
            all.places.insert(path.clone(), all.modules.len());
            all.modules.push(Module { path, file, read });
        }
        let declared: BTreeSet<_> = all.modules.iter().map(|m| m.file.as_str()).chain(PROGRAMS).collect();
        let lost: Vec<_> = source.keys().filter(|f| !declared.contains(f.as_str())).collect();
        assert!(lost.is_empty(), "no module declares {lost:?}");
        all
    }

    /// The modules that name others of the same crate, with one example each.
    pub fn edges(&self) -> Vec<Edge> {
        let (mut edges, mut told) = (Vec::new(), BTreeSet::new());
        for (from, module) in self.modules.iter().enumerate() {
            for mention in &module.read.mentions {
                let (to, names) = match &mention.path {
                    Path::Absolute(names) => (self.find(0, names, 0), format!("crate::{}", names.join("::"))),
                    Path::Relative(names) => (self.relative(from, names, 0), names.join("::")),
                };
                let Some(to) = to.filter(|to| *to != from) else { continue };
                if told.insert((from, to, mention.in_test)) {
                    edges.push(Edge { from, to, file: module.file.clone(), names, in_test: mention.in_test });
                }
            }
        }
        edges
    }

    /// Files that name another crate.
    pub fn users_of(&self, other: &str) -> Vec<&Module> {
        let names_it = |at: &usize| {
            self.modules[*at].read.mentions.iter().any(|mention| match &mention.path {
                Path::Absolute(_) => false,
                Path::Relative(names) => names[0] == other && self.relative(*at, names, 0).is_none(),
            })
        };
        (0..self.modules.len()).filter(names_it).map(|at| &self.modules[at]).collect()
    }

    fn child(&self, at: usize, name: &str) -> Option<usize> {
        self.places.get(&[&self.modules[at].path[..], &[name.to_owned()]].concat()).copied()
    }

    /// The module that holds what a path from a module on stands for; the last module on the way when that is not to be seen.
    fn find(&self, at: usize, names: &[String], followed: usize) -> Option<usize> {
        let Some((first, rest)) = names.split_first() else { return Some(at) };
        match self.child(at, first) {
            Some(child) => self.find(child, rest, followed),
            None => self.named(at, first, rest, followed).or(Some(at)),
        }
    }

    /// The same for a path that begins with a name in sight of a module; none when there is no such name.
    fn relative(&self, at: usize, names: &[String], followed: usize) -> Option<usize> {
        let (first, rest) = names.split_first()?;
        match self.child(at, first) {
            Some(child) => self.find(child, rest, followed),
            None => self.named(at, first, rest, followed),
        }
    }

    /// What a name that is no module below stands for: something of the module itself, or imported by it.
    fn named(&self, at: usize, name: &str, rest: &[String], followed: usize) -> Option<usize> {
        let read = &self.modules[at].read;
        if read.items.contains(name) {
            return Some(at);
        }
        if followed == IMPORTS_IN_A_ROW {
            return None;
        }
        let imported = read.imports.get(name).into_iter().flatten().find_map(|path| match path {
            Path::Absolute(names) => self.find(0, &[names, rest].concat(), followed + 1),
            // An import of its own name is one of another crate.
            Path::Relative(names) if names[0] == name => {
                self.child(at, name).and_then(|child| self.find(child, &[&names[1..], rest].concat(), followed + 1))
            }
            Path::Relative(names) => self.relative(at, &[names, rest].concat(), followed + 1),
        });
        let glob = |path: &Path| {
            let module = match path {
                Path::Absolute(names) => self.find(0, names, followed + 1),
                Path::Relative(names) => self.relative(at, names, followed + 1),
            }?;
            if module == at {
                return None;
            }
            match self.child(module, name) {
                Some(child) => self.find(child, rest, followed + 1),
                None => self.named(module, name, rest, followed + 1),
            }
        };
        imported.or_else(|| read.globs.iter().find_map(glob))
    }
}
