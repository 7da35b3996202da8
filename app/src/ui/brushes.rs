//! The brushes at hand: which there are, which is held, and how each was last set.

use crate::files::brushes::{self, NamedBrush};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use stint_render::mask::brush::Brush;

/// A brush at hand.
#[derive(Clone, PartialEq, Debug)]
pub struct AvailableBrush {
    /// Its name and its settings as they were when it was last held.
    pub named: NamedBrush,
    /// Its settings as they came.
    pub original: Brush,
    /// Its file, for one of the painter's own.
    pub path: Option<PathBuf>,
}

/// The brushes at hand.
#[derive(Clone, PartialEq, Debug)]
pub struct Brushes {
    all: Vec<AvailableBrush>,
    chosen: usize,
    /// The place of the one that was held before.
    before: Option<usize>,
}

impl Default for Brushes {
    /// Those that come with the program, the first of them in hand.
    fn default() -> Self {
        let shipped = brushes::shipped().into_iter().map(|named| available(named, None));
        Brushes { all: shipped.collect(), chosen: 0, before: None }
    }
}

fn available(named: NamedBrush, path: Option<PathBuf>) -> AvailableBrush {
    AvailableBrush { original: named.brush.clone(), named, path }
}

impl Brushes {
    /// All of them, in the order of the tools panel.
    pub fn all(&self) -> &[AvailableBrush] {
        &self.all
    }

    /// The place of the one that is held.
    pub fn chosen(&self) -> usize {
        self.chosen
    }

    /// The place of the one that was held before it.
    pub fn before(&self) -> Option<usize> {
        self.before
    }

    /// The one that is held.
    pub fn chosen_brush(&self) -> Option<&AvailableBrush> {
        self.all.get(self.chosen)
    }

    /// Takes in the painter's own; a sentence for each file that cannot be used.
    pub fn take_own(&mut self, data_folder: Option<&Path>) -> Vec<String> {
        let (own, notices) = brushes::own(data_folder);
        self.all.retain(|brush| brush.path.is_none());
        self.all.extend(own.into_iter().map(|(path, named)| available(named, Some(path))));
        self.chosen = self.chosen.min(self.all.len().saturating_sub(1));
        notices
    }

    /// Sizes that differ from what the brushes came with, by their names.
    pub fn sizes_px(&self) -> BTreeMap<String, f32> {
        let changed = self.all.iter().filter(|b| b.named.brush.size_px != b.original.size_px);
        changed.map(|b| (b.named.name.clone(), b.named.brush.size_px)).collect()
    }

    /// Gives the brushes the sizes they had; those that no brush can have are left out.
    pub fn set_sizes(&mut self, sizes_px: &BTreeMap<String, f32>) {
        for available in &mut self.all {
            let size_px = sizes_px.get(&available.named.name).copied().unwrap_or(available.original.size_px);
            let sized = Brush { size_px, ..available.original.clone() };
            if sized.check().is_ok() {
                available.named.brush = sized;
            }
        }
    }

    /// Takes up the one of a name, if it is there.
    pub fn choose_named(&mut self, name: &str) {
        if let Some(index) = self.all.iter().position(|b| b.named.name == name) {
            self.chosen = index;
        }
    }

    /// Remembers how the one that is held is set.
    pub fn remember(&mut self, brush: &Brush) {
        let kind = |brush: &Brush| brush.mark.as_deref().map(|mark| mark.kind);
        // A study may have been given another by a script.
        if let Some(held) = self.all.get_mut(self.chosen).filter(|held| kind(&held.original) == kind(brush)) {
            held.named.brush = brush.clone();
        }
    }

    /// Takes another up, as it was last set; none at a place where there is none.
    pub fn choose(&mut self, index: usize) -> Option<Brush> {
        let brush = self.all.get(index)?.named.brush.clone();
        if index != self.chosen {
            self.before = Some(self.chosen);
        }
        self.chosen = index;
        Some(brush)
    }
}
