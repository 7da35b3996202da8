//! Modules of one folder that name each other in a circle.

use super::modules::{Crate, Edge};
use std::collections::{BTreeMap, VecDeque};

/// Who names whom among the modules of a folder, with one example each.
type Siblings<'a> = BTreeMap<&'a str, BTreeMap<&'a str, &'a Edge>>;

/// Every knot of modules that lie side by side and name each other in a circle, spelled out. What a module and the one it lies in
/// name of each other is no circle; nor is what only unit tests name.
pub fn loops(all: &Crate) -> Vec<String> {
    let edges = all.edges();
    let mut folders: BTreeMap<&[String], Siblings<'_>> = BTreeMap::new();
    for edge in edges.iter().filter(|e| !e.in_test) {
        let [from, to] = [edge.from, edge.to].map(|at| &all.modules[at].path[..]);
        let shared = from.iter().zip(to).take_while(|(a, b)| a == b).count();
        if let (Some(a), Some(b)) = (from.get(shared), to.get(shared)) {
            folders.entry(&from[..shared]).or_default().entry(a).or_default().entry(b).or_insert(edge);
        }
    }
    folders.iter().flat_map(|(folder, siblings)| knots(folder, siblings)).collect()
}

fn knots(folder: &[String], siblings: &Siblings<'_>) -> Vec<String> {
    let rounds: BTreeMap<_, _> = siblings.keys().filter_map(|name| Some((*name, way(siblings, name, name)?))).collect();
    let mut told = Vec::new();
    let mut done: Vec<&str> = Vec::new();
    for name in rounds.keys() {
        if done.contains(name) {
            continue;
        }
        let tied = |other: &&&str| way(siblings, name, other).is_some() && way(siblings, other, name).is_some();
        let members: Vec<&str> = rounds.keys().filter(tied).copied().collect();
        let Some(round) = members.iter().map(|m| &rounds[m]).min_by_key(|r| r.len()) else { continue };
        let mut text = format!("{} in a loop: {}", [&["crate".to_owned()], folder].concat().join("::"), round[0].0);
        for (_, to, _) in round {
            text += &format!(" -> {to}");
        }
        let others: Vec<_> = members.iter().filter(|m| round.iter().all(|(from, ..)| from != *m)).copied().collect();
        if !others.is_empty() {
            text += &format!(", knotted with {}", others.join(", "));
        }
        for (.., edge) in round {
            text += &format!("\n    {edge}");
        }
        told.push(text);
        done.extend(members);
    }
    told
}

/// The shortest way from one module to another over at least one edge.
fn way<'a>(siblings: &Siblings<'a>, from: &str, to: &str) -> Option<Vec<(&'a str, &'a str, &'a Edge)>> {
    let mut came: BTreeMap<&str, (&'a str, &'a Edge)> = BTreeMap::new();
    let mut waiting = VecDeque::from([*siblings.get_key_value(from)?.0]);
    while let Some(at) = waiting.pop_front() {
        for (next, edge) in siblings.get(at).into_iter().flatten() {
            if came.contains_key(next) {
                continue;
            }
            came.insert(next, (at, edge));
            waiting.push_back(next);
        }
    }
    let mut steps = Vec::new();
    let mut at = *came.get_key_value(to)?.0;
    loop {
        let (before, edge) = came[at];
        steps.push((before, at, edge));
        if before == from {
            break;
        }
        at = before;
    }
    steps.reverse();
    Some(steps)
}
