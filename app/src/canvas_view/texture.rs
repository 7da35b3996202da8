//! The colours of the canvas on the graphics device, tile by tile.
//!
//! Tiles lie in a torus: the tile at column c, row r has its slot at (c mod across, r mod down), and the sampler wraps, so
//! neighbours on the canvas are neighbours in the texture and filtering knows no seams. The torus need only hold what is
//! seen, so a canvas of any size takes a bounded amount of memory. Zoomed out, tiles are kept reduced (a level halves the
//! sides), so the torus never grows much beyond twice the window a side.

use super::reduce;
use stint_model::ids::PaintId;
use stint_model::study::tile::{TILE_PIXELS, TilePos};
use stint_render::canvas::Canvas;
use stint_render::engine::EngineError;

/// Tiles that are asked of the engine in one go: bounds the memory of a whole refresh.
const BATCH: usize = 256;
/// A canvas whose texels at a level fit in a square of this side is held whole, so that panning brings nothing new.
const WHOLE_TEXELS: u32 = 4096;

/// A rectangle of tiles: first column and row, and how many.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TileRect {
    /// First column.
    pub column: u16,
    /// First row.
    pub row: u16,
    /// Columns.
    pub across: u16,
    /// Rows.
    pub down: u16,
}

impl TileRect {
    /// The tiles that hold a rectangle of canvas pixels (left, top, right, bottom), with a texel to spare for filtering.
    pub fn holding([left, top, right, bottom]: [f64; 4], level: u32, columns: u16, rows: u16) -> Self {
        let spare = f64::from(1_u32 << level);
        let side = f64::from(stint_model::study::tile::TILE_SIDE);
        let first = |v: f64, all: u16| (((v - spare) / side).floor().max(0.0) as u16).min(all.saturating_sub(1));
        let end = |v: f64, all: u16| (((v + spare) / side).ceil().max(1.0) as u16).min(all);
        let (column, row) = (first(left, columns), first(top, rows));
        TileRect { column, row, across: end(right, columns) - column, down: end(bottom, rows) - row }
    }

    /// All of them, row by row.
    pub fn tiles(self) -> impl Iterator<Item = TilePos> {
        let columns = self.column..self.column + self.across;
        (self.row..self.row + self.down).flat_map(move |row| columns.clone().map(move |column| TilePos { column, row }))
    }
}

/// What fills the slots: one byte or four a texel.
struct Sheet {
    texture: wgpu::Texture,
    view: wgpu::TextureView,
    /// Which tile each slot holds.
    held: Vec<Option<TilePos>>,
}

/// The torus of one level.
pub struct Torus {
    /// Sides of tiles are halved this often.
    pub level: u32,
    /// Slots across and down.
    slots: (u16, u16),
    colours: Sheet,
    /// Shares of the lit paints; made when first asked for.
    shares: Option<(Sheet, Vec<PaintId>)>,
}

impl Torus {
    /// Slots that show `seen` tiles of a canvas at a level, or `None` when a texture of `limit` texels a side has no room.
    pub fn slots_for(seen: TileRect, level: u32, (columns, rows): (u16, u16), limit: u32) -> Option<(u16, u16)> {
        let side = reduce::side(level);
        let texels = |tiles: u16| u32::from(tiles) * side;
        let whole = WHOLE_TEXELS.min(limit);
        let slots = if texels(columns) <= whole && texels(rows) <= whole {
            (columns, rows)
        } else {
            // A tile more than is seen, so that a small pan needs no new texture.
            ((seen.across + 1).min(columns), (seen.down + 1).min(rows))
        };
        (texels(slots.0) <= limit && texels(slots.1) <= limit).then_some(slots)
    }

    /// An empty torus.
    pub fn new(device: &wgpu::Device, level: u32, slots: (u16, u16)) -> Self {
        let colours = Sheet::new(device, level, slots, wgpu::TextureFormat::Rgba8UnormSrgb);
        Torus { level, slots, colours, shares: None }
    }

    /// Whether it has room for these slots.
    pub fn has_room(&self, slots: (u16, u16)) -> bool {
        slots.0 <= self.slots.0 && slots.1 <= self.slots.1
    }

    /// Texels across and down.
    pub fn texels(&self) -> [u32; 2] {
        let side = reduce::side(self.level);
        [u32::from(self.slots.0) * side, u32::from(self.slots.1) * side]
    }

    /// Where the colours are read from.
    pub fn colours(&self) -> &wgpu::TextureView {
        &self.colours.view
    }

    /// Where the shares of the lit paints are read from, if there are any.
    pub fn shares(&self) -> Option<&wgpu::TextureView> {
        self.shares.as_ref().map(|(sheet, _)| &sheet.view)
    }

    /// Forgets tiles that look different now.
    pub fn forget(&mut self, stale: impl IntoIterator<Item = TilePos> + Clone) {
        let slots = self.slots;
        for sheet in [Some(&mut self.colours), self.shares.as_mut().map(|s| &mut s.0)].into_iter().flatten() {
            for pos in stale.clone() {
                let held = &mut sheet.held[slot_of(pos, slots)];
                if *held == Some(pos) {
                    *held = None;
                }
            }
        }
    }

    /// Forgets everything.
    pub fn forget_all(&mut self) {
        self.colours.held.fill(None);
        if let Some((sheet, _)) = &mut self.shares {
            sheet.held.fill(None);
        }
    }

    /// Brings in the tiles of a rectangle that are missing. Tells how many.
    ///
    /// # Errors
    /// When the engine fails; tiles that came before stay.
    pub fn bring(&mut self, queue: &wgpu::Queue, canvas: &mut Canvas, seen: TileRect) -> Result<usize, EngineError> {
        let missing = self.colours.missing(seen, self.slots);
        let mut texels = Vec::new();
        for places in missing.chunks(BATCH) {
            let pixels = canvas.resolve(places)?;
            for (&pos, tile) in places.iter().zip(pixels.chunks_exact(TILE_PIXELS)) {
                if self.level == 0 {
                    self.colours.write(queue, 0, self.slots, pos, bytemuck::cast_slice(tile));
                } else {
                    texels.clear();
                    reduce::colours(tile, self.level, canvas.size().tile_extent(pos), &mut texels);
                    self.colours.write(queue, self.level, self.slots, pos, bytemuck::cast_slice(&texels));
                }
            }
        }
        Ok(missing.len())
    }

    /// The same for the shares of some paints; other paints than last time start anew.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn bring_shares(
        &mut self,
        device: &wgpu::Device,
        queue: &wgpu::Queue,
        canvas: &mut Canvas,
        seen: TileRect,
        paints: &[PaintId],
    ) -> Result<(), EngineError> {
        let (level, slots) = (self.level, self.slots);
        let new = || (Sheet::new(device, level, slots, wgpu::TextureFormat::R8Unorm), Vec::new());
        let (sheet, of) = self.shares.get_or_insert_with(new);
        if of != paints {
            sheet.held.fill(None);
            *of = paints.to_vec();
        }
        let mut texels = Vec::new();
        for places in sheet.missing(seen, slots).chunks(BATCH) {
            let shares = canvas.share_of(paints, places)?;
            for (&pos, tile) in places.iter().zip(shares.chunks_exact(TILE_PIXELS)) {
                texels.clear();
                reduce::shares(tile, level, canvas.size().tile_extent(pos), &mut texels);
                sheet.write(queue, level, slots, pos, &texels);
            }
        }
        Ok(())
    }
}

impl Sheet {
    fn new(device: &wgpu::Device, level: u32, (across, down): (u16, u16), format: wgpu::TextureFormat) -> Self {
        let side = reduce::side(level);
        let texture = device.create_texture(&wgpu::TextureDescriptor {
            label: Some("canvas tiles"),
            size: wgpu::Extent3d {
                width: u32::from(across) * side,
                height: u32::from(down) * side,
                depth_or_array_layers: 1,
            },
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format,
            usage: wgpu::TextureUsages::TEXTURE_BINDING | wgpu::TextureUsages::COPY_DST,
            view_formats: &[],
        });
        let view = texture.create_view(&wgpu::TextureViewDescriptor::default());
        Sheet { texture, view, held: vec![None; usize::from(across) * usize::from(down)] }
    }

    fn missing(&self, seen: TileRect, slots: (u16, u16)) -> Vec<TilePos> {
        seen.tiles().filter(|&pos| self.held[slot_of(pos, slots)] != Some(pos)).collect()
    }

    fn write(&mut self, queue: &wgpu::Queue, level: u32, slots: (u16, u16), pos: TilePos, bytes: &[u8]) {
        let side = reduce::side(level);
        let at = |tile: u16, slots: u16| u32::from(tile % slots) * side;
        queue.write_texture(
            wgpu::TexelCopyTextureInfo {
                texture: &self.texture,
                mip_level: 0,
                origin: wgpu::Origin3d { x: at(pos.column, slots.0), y: at(pos.row, slots.1), z: 0 },
                aspect: wgpu::TextureAspect::All,
            },
            bytes,
            wgpu::TexelCopyBufferLayout {
                offset: 0,
                bytes_per_row: Some(bytes.len() as u32 / side),
                rows_per_image: Some(side),
            },
            wgpu::Extent3d { width: side, height: side, depth_or_array_layers: 1 },
        );
        self.held[slot_of(pos, slots)] = Some(pos);
    }
}

fn slot_of(pos: TilePos, (across, down): (u16, u16)) -> usize {
    usize::from(pos.row % down) * usize::from(across) + usize::from(pos.column % across)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seen_tiles_hold_the_rectangle_with_a_texel_to_spare() {
        let rect = TileRect::holding([128.0, 0.0, 256.0, 10.0], 0, 16, 12);
        assert_eq!(rect, TileRect { column: 0, row: 0, across: 3, down: 1 });
        let rect = TileRect::holding([130.0, 2.0, 250.0, 1536.0], 0, 16, 12);
        assert_eq!(rect, TileRect { column: 1, row: 0, across: 1, down: 12 });
        // Nothing seen still names a tile of the canvas.
        let rect = TileRect::holding([2048.0, 0.0, 2048.0, 0.0], 0, 16, 12);
        assert!(rect.tiles().all(|t| t.column < 16 && t.row < 12) && rect.tiles().count() > 0);
    }

    #[test]
    fn small_canvases_are_held_whole_and_large_ones_as_seen() {
        let seen = TileRect { column: 3, row: 4, across: 9, down: 7 };
        assert_eq!(Torus::slots_for(seen, 0, (16, 12), 8192), Some((16, 12)));
        assert_eq!(Torus::slots_for(seen, 0, (128, 128), 8192), Some((10, 8)));
        assert_eq!(Torus::slots_for(seen, 2, (128, 128), 8192), Some((128, 128)));
        let seen = TileRect { column: 0, row: 0, across: 128, down: 128 };
        assert_eq!(Torus::slots_for(seen, 0, (128, 128), 8192), None);
    }

    #[test]
    fn no_two_seen_tiles_share_a_slot() {
        let seen = TileRect { column: 117, row: 120, across: 11, down: 8 };
        let slots = Torus::slots_for(seen, 0, (128, 128), 8192);
        let mut taken: Vec<_> = seen.tiles().map(|t| slot_of(t, slots.unwrap_or((1, 1)))).collect();
        taken.sort_unstable();
        taken.dedup();
        assert_eq!(taken.len(), 88);
    }
}
