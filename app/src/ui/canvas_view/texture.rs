//! The colours of the canvas on the graphics device, tile by tile.
//!
//! Tiles lie in a torus: the tile at column c, row r has its slot at (c mod across, r mod down), and the sampler wraps, so
//! neighbours on the canvas are neighbours in the texture and filtering knows no seams. The torus need only hold what is
//! seen, so a canvas of any size takes a bounded amount of memory. Zoomed out, tiles are kept reduced (a level halves the
//! sides), so the torus never grows much beyond twice the window a side.
//!
//! An engine on the window's device writes the texture itself; from another engine the texels are copied.
//!
//! Tiles come as far as a frame has time for, those that are looked at first. Until then a tile that was there shows as it
//! was, and one that was not as the surround.

use super::budget::FrameBudget;
use super::reduce;
use super::upload::{Layout, Upload};
use rayon::prelude::*;
use stint_model::colour::srgb8_to_linear;
use stint_model::ids::PaintId;
use stint_model::study::tile::{TILE_PIXELS, TILE_SIDE, TilePos};
use stint_render::canvas::Canvas;
use stint_render::engine::{EngineError, EngineKind, Shown};
use stint_render::gpu::target_texture;

/// A canvas whose texels at a level fit in a square of this side is held whole, so that panning brings nothing new.
const WHOLE_TEXELS: u32 = 4096;

/// Tiles that an engine on the window's device is asked for in one frame: a GPU takes a whole canvas of 4096 x 4096 pixels.
const MOST_OF_A_GPU: usize = 1024;
/// The same for a driver that runs shaders on the CPU, where the window goes on with others on the same processor.
const MOST_OF_A_DRIVER: usize = 128;

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
    #[expect(clippy::cast_possible_truncation, reason = "held to the tiles of the canvas; the cast saturates")]
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

/// What a slot holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Slot {
    /// No tile.
    Blank,
    /// The colour that a tile has on the whole, which was not read yet.
    Rough(TilePos),
    /// A tile as it was; it looks different now.
    Old(TilePos),
    /// A tile as it is.
    Fresh(TilePos),
}

/// What fills the slots: one byte or four a texel.
struct Sheet {
    texture: wgpu::Texture,
    view: wgpu::TextureView,
    /// For an engine that works on the window's device: it writes here.
    written: Option<wgpu::TextureView>,
    slots: Vec<Slot>,
    /// The texture has not been blanked yet.
    is_new: bool,
}

/// What a frame works with.
pub struct Work<'a> {
    /// The window's device.
    pub device: &'a wgpu::Device,
    /// Its queue: what is submitted to it now comes before what is drawn later.
    pub queue: &'a wgpu::Queue,
    /// Texels on their way.
    pub upload: &'a mut Upload,
    /// The canvas.
    pub canvas: &'a mut Canvas,
    /// Tiles wanted.
    pub seen: TileRect,
    /// The canvas point that is looked at.
    pub near: [f64; 2],
    /// How long this frame may take.
    pub budget: &'a mut FrameBudget,
    /// Grey of tiles that are not there yet, 8-bit sRGB code.
    pub blank: u8,
    /// Tiles that show otherwise than before.
    pub changed: &'a mut Vec<TilePos>,
}

/// The torus of one level.
pub struct Torus {
    /// Sides of tiles are halved this often.
    pub level: u32,
    /// Slots across and down.
    slots: (u16, u16),
    /// Whether the engine writes the textures itself.
    direct: bool,
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

    /// An empty torus; `direct` when the engine works on this device and writes the textures itself.
    pub fn new(device: &wgpu::Device, level: u32, slots: (u16, u16), direct: bool) -> Self {
        let colours = Sheet::new(device, level, slots, wgpu::TextureFormat::Rgba8UnormSrgb, direct);
        Torus { level, slots, direct, colours, shares: None }
    }

    /// Whether the engine writes the textures itself.
    pub fn is_direct(&self) -> bool {
        self.direct
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

    /// Whether no tile has come yet.
    pub fn is_new(&self) -> bool {
        self.colours.is_new
    }

    /// Remembers that tiles look different now.
    pub fn invalidate(&mut self, stale: impl IntoIterator<Item = TilePos> + Clone) {
        let across_down = self.slots;
        for sheet in self.sheets() {
            for pos in stale.clone() {
                let slot = &mut sheet.slots[slot_of(pos, across_down)];
                if *slot == Slot::Fresh(pos) {
                    *slot = Slot::Old(pos);
                }
            }
        }
    }

    /// Remembers that everything looks different now.
    pub fn invalidate_all(&mut self) {
        for slot in self.sheets().flat_map(|sheet| &mut sheet.slots) {
            if let Slot::Fresh(pos) | Slot::Rough(pos) = *slot {
                *slot = Slot::Old(pos);
            }
        }
    }

    fn sheets(&mut self) -> impl Iterator<Item = &mut Sheet> {
        std::iter::once(&mut self.colours).chain(self.shares.as_mut().map(|(sheet, _)| sheet))
    }

    /// Brings in tiles that are missing, nearest first, for as long as the budget lasts. Tells how many are missing still.
    ///
    /// # Errors
    /// When the engine fails; tiles that came before stay.
    pub fn bring(&mut self, work: &mut Work<'_>) -> Result<usize, EngineError> {
        let (level, slots) = (self.level, self.slots);
        let size = work.canvas.size();
        let blank = work.blank;
        self.colours.blank_once(work, srgb8_to_linear(blank));
        let blank = [blank, blank, blank, 255];
        self.colours.show_rough(work, level, slots)?;
        if self.direct {
            return self.colours.bring_direct(work, level, slots, &blank, Shown::Colours);
        }
        self.colours.bring(work, level, slots, &blank, |canvas, places, squares, layout| {
            let pixels = canvas.resolve(places)?;
            let tiles = (places.par_iter(), pixels.par_chunks_exact(TILE_PIXELS), layout.par_squares(squares));
            tiles.into_par_iter().for_each_init(Vec::new, |texels, (&pos, tile, square)| {
                if level == 0 {
                    return layout.fill(square, bytemuck::cast_slice(tile));
                }
                texels.clear();
                reduce::colours(tile, level, size.tile_extent(pos), texels);
                layout.fill(square, bytemuck::cast_slice(texels));
            });
            Ok(())
        })
    }

    /// The same for the shares of some paints; other paints than last time start anew.
    ///
    /// # Errors
    /// When the engine fails.
    pub fn bring_shares(&mut self, work: &mut Work<'_>, paints: &[PaintId]) -> Result<usize, EngineError> {
        let (level, slots) = (self.level, self.slots);
        let size = work.canvas.size();
        let format = if self.direct { wgpu::TextureFormat::Rgba8Unorm } else { wgpu::TextureFormat::R8Unorm };
        let new = || (Sheet::new(work.device, level, slots, format, self.direct), Vec::new());
        let (sheet, of) = self.shares.get_or_insert_with(new);
        if of != paints {
            sheet.slots.fill(Slot::Blank);
            sheet.is_new = true;
            *of = paints.to_vec();
        }
        // What is not known yet does not recede.
        sheet.blank_once(work, 1.0);
        if self.direct {
            return sheet.bring_direct(work, level, slots, &[255; 4], Shown::Shares(paints));
        }
        sheet.bring(work, level, slots, &[255], |canvas, places, squares, layout| {
            let shares = canvas.coverage_of(paints, places)?;
            let tiles = (places.par_iter(), shares.par_chunks_exact(TILE_PIXELS), layout.par_squares(squares));
            tiles.into_par_iter().for_each_init(Vec::new, |texels, (&pos, tile, square)| {
                texels.clear();
                reduce::shares(tile, level, size.tile_extent(pos), texels);
                layout.fill(square, texels);
            });
            Ok(())
        })
    }
}

impl Sheet {
    fn new(
        device: &wgpu::Device,
        level: u32,
        (across, down): (u16, u16),
        format: wgpu::TextureFormat,
        direct: bool,
    ) -> Self {
        let side = reduce::side(level);
        let size = wgpu::Extent3d {
            width: u32::from(across) * side,
            height: u32::from(down) * side,
            depth_or_array_layers: 1,
        };
        let (texture, written, view) = if direct {
            let (texture, [written, view]) = target_texture(device, "canvas tiles", size, format);
            (texture, Some(written), view)
        } else {
            let texture = device.create_texture(&wgpu::TextureDescriptor {
                label: Some("canvas tiles"),
                size,
                mip_level_count: 1,
                sample_count: 1,
                dimension: wgpu::TextureDimension::D2,
                format,
                usage: wgpu::TextureUsages::TEXTURE_BINDING
                    | wgpu::TextureUsages::COPY_DST
                    | wgpu::TextureUsages::RENDER_ATTACHMENT,
                view_formats: &[],
            });
            let view = texture.create_view(&wgpu::TextureViewDescriptor::default());
            (texture, None, view)
        };
        let slots = vec![Slot::Blank; usize::from(across) * usize::from(down)];
        Sheet { texture, view, written, slots, is_new: true }
    }

    /// Blanks a new sheet with a grey, linear 0-1, before an engine writes it.
    fn blank_once(&mut self, work: &mut Work<'_>, grey: f32) {
        if std::mem::take(&mut self.is_new) {
            let grey = f64::from(grey);
            let load = wgpu::LoadOp::Clear(wgpu::Color { r: grey, g: grey, b: grey, a: 1.0 });
            let mut encoder = work.device.create_command_encoder(&Default::default());
            encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
                label: Some("blank tiles"),
                color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                    view: &self.view,
                    depth_slice: None,
                    resolve_target: None,
                    ops: wgpu::Operations { load, store: wgpu::StoreOp::Store },
                })],
                ..Default::default()
            });
            work.queue.submit([encoder.finish()]);
        }
    }

    /// The tiles that are missing and can be had, nearest first.
    fn missing(&self, work: &Work<'_>, slots: (u16, u16)) -> Vec<TilePos> {
        let mut missing = self.wrong(work, slots);
        missing.retain(|&pos| !work.canvas.is_away(pos));
        missing
    }

    /// The tiles that do not show as they are, nearest first.
    #[expect(clippy::cast_possible_truncation, reason = "a key to sort by, in sixteenths of a tile")]
    fn wrong(&self, work: &Work<'_>, slots: (u16, u16)) -> Vec<TilePos> {
        let is_missing = |&pos: &TilePos| self.slots[slot_of(pos, slots)] != Slot::Fresh(pos);
        let mut missing: Vec<_> = work.seen.tiles().filter(is_missing).collect();
        let [x, y] = work.near.map(|v| v / f64::from(TILE_SIDE) - 0.5);
        let apart = |pos: &TilePos| (f64::from(pos.column) - x).powi(2) + (f64::from(pos.row) - y).powi(2);
        missing.sort_by_cached_key(|pos| (apart(pos) * 16.0) as u64);
        missing
    }

    /// Shows tiles that were not read yet by the colour they have on the whole, and wants them read.
    fn show_rough(&mut self, work: &mut Work<'_>, level: u32, slots: (u16, u16)) -> Result<(), EngineError> {
        if !work.canvas.is_reading() {
            return Ok(());
        }
        let mut away = self.wrong(work, slots);
        away.retain(|&pos| work.canvas.is_away(pos));
        let fresh: Vec<_> =
            away.iter().copied().filter(|&pos| self.slots[slot_of(pos, slots)] != Slot::Rough(pos)).collect();
        let layout = Layout::new(reduce::side(level), 4);
        let places: Vec<_> = fresh.iter().map(|&pos| first_texel(pos, slots, layout.side)).collect();
        let colours = work.canvas.rough_colours(&fresh);
        work.upload.add(&self.texture, layout, places, |squares| {
            let texels = (layout.side * layout.side) as usize;
            (colours.par_iter(), layout.par_squares(squares)).into_par_iter().for_each(|(colour, square)| {
                layout.fill(square, &colour.to_le_bytes().repeat(texels));
            });
            Ok(())
        })?;
        for pos in fresh {
            self.slots[slot_of(pos, slots)] = Slot::Rough(pos);
            work.changed.push(pos);
        }
        work.canvas.want(away);
        Ok(())
    }

    /// Has the engine write what is missing where it is drawn, as much as is right for one frame.
    fn bring_direct(
        &mut self,
        work: &mut Work<'_>,
        level: u32,
        slots: (u16, u16),
        blank: &[u8],
        what: Shown<'_>,
    ) -> Result<usize, EngineError> {
        let missing = self.missing(work, slots);
        let most = match work.canvas.engine().kind {
            EngineKind::Gpu => MOST_OF_A_GPU,
            EngineKind::SoftwareGpu | EngineKind::Cpu => MOST_OF_A_DRIVER,
        };
        let (now, rest) = missing.split_at(missing.len().min(most));
        if let (Some(written), false) = (&self.written, now.is_empty()) {
            let side = reduce::side(level);
            let places: Vec<_> = now.iter().map(|&pos| (pos, first_texel(pos, slots, side))).collect();
            work.canvas.draw(what, level, &places, written)?;
        }
        now.iter().for_each(|&pos| self.slots[slot_of(pos, slots)] = Slot::Fresh(pos));
        work.changed.extend(now);
        self.blank_wrong(work, level, slots, blank, rest)?;
        Ok(rest.len())
    }

    /// Brings in what is missing as far as the budget goes; `make` fills the squares of some tiles.
    fn bring(
        &mut self,
        work: &mut Work<'_>,
        level: u32,
        slots: (u16, u16),
        blank: &[u8],
        make: impl Fn(&mut Canvas, &[TilePos], &mut [u8], Layout) -> Result<(), EngineError>,
    ) -> Result<usize, EngineError> {
        let layout = Layout::new(reduce::side(level), blank.len());
        let missing = self.missing(work, slots);
        let mut rest = &missing[..];
        while let Some(count) = work.budget.next(rest.len()) {
            let (now, later) = rest.split_at(count);
            let places = now.iter().map(|&pos| first_texel(pos, slots, layout.side));
            work.upload.add(&self.texture, layout, places, |squares| make(work.canvas, now, squares, layout))?;
            now.iter().for_each(|&pos| self.slots[slot_of(pos, slots)] = Slot::Fresh(pos));
            work.changed.extend(now);
            work.budget.record(count);
            rest = later;
        }
        self.blank_wrong(work, level, slots, blank, rest)?;
        Ok(rest.len())
    }

    /// Blanks the slots of tiles that are still missing where another tile was: it would be shown in the wrong place.
    fn blank_wrong(
        &mut self,
        work: &mut Work<'_>,
        level: u32,
        slots: (u16, u16),
        blank: &[u8],
        rest: &[TilePos],
    ) -> Result<(), EngineError> {
        let layout = Layout::new(reduce::side(level), blank.len());
        for &pos in rest {
            let slot = &mut self.slots[slot_of(pos, slots)];
            if matches!(*slot, Slot::Rough(other) | Slot::Old(other) | Slot::Fresh(other) if other != pos) {
                *slot = Slot::Blank;
                let texels = blank.repeat((layout.side * layout.side) as usize);
                work.upload.add(&self.texture, layout, [first_texel(pos, slots, layout.side)], |square| {
                    layout.fill(square, &texels);
                    Ok(())
                })?;
                work.changed.push(pos);
            }
        }
        Ok(())
    }
}

/// Where a tile lies in the torus, in texels.
fn first_texel(pos: TilePos, (across, down): (u16, u16), side: u32) -> [u32; 2] {
    [pos.column % across, pos.row % down].map(|slot| u32::from(slot) * side)
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
