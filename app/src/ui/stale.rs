//! Which tiles the screen shows as they were before the last change.

use crate::study::session::Done;
use std::collections::BTreeSet;
use stint_model::study::tile::TilePos;

/// Tiles that must be shown anew.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Stale {
    /// Only these.
    Tiles(BTreeSet<TilePos>),
    /// The whole canvas.
    All,
}

impl Default for Stale {
    fn default() -> Self {
        Stale::Tiles(BTreeSet::new())
    }
}

impl Stale {
    /// Adds some tiles.
    pub fn add_tiles(&mut self, more: BTreeSet<TilePos>) {
        match self {
            Stale::Tiles(tiles) => tiles.extend(more),
            Stale::All => {}
        }
    }

    /// Adds what a change touched.
    pub fn add(&mut self, done: &Done) {
        match self {
            // A stroke may enter its paint into the document; nothing but its tiles looks different for that.
            _ if done.document && done.stroke.is_none() => *self = Stale::All,
            Stale::Tiles(tiles) => tiles.extend(&done.tiles),
            Stale::All => {}
        }
    }
}
