//! The pixels of a tile from its row, held against everything that is stored beside them.

use super::codec::Codec;
use super::error::Fault;
use super::rows::StoredTile;
use super::tile::{TileKey, TilePixels, place_of};
use super::tile_tally::{Limits, TileTally};

/// The pixels of a stored tile, checked.
pub(super) fn unpack(
    codec: &mut Codec,
    key: TileKey,
    stored: &StoredTile,
    limits: &Limits,
) -> Result<TilePixels, Fault> {
    stored.verify(key)?;
    let pixels = codec.decode(&stored.planes)?;
    let tally = TileTally::count(&pixels, key, limits).map_err(Fault::Damaged)?;
    if pixels.planes().len() as i64 != stored.plane_count {
        return Err(Fault::Damaged(format!("{} has another number of planes than it says", place_of(key))));
    }
    if tally.to_bytes() != stored.tally {
        return Err(Fault::Damaged(format!("{} has another tally than its pixels", place_of(key))));
    }
    Ok(pixels)
}
