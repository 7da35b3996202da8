//! The picture of the window as it was last drawn, kept so that the next frame need only change parts of it.

use super::damage::Damage;
use crate::ui::canvas_view::DisplayOptions;
use crate::ui::canvas_view::transform::{Area, View};
use crate::ui::comparing::PhotoValues;
use crate::ui::looks::Look;
use std::collections::BTreeSet;
use stint_model::ids::PaintId;
use stint_model::study::tile::{TILE_SIDE, TilePos};

/// What the canvas of the last frame looked like.
#[derive(Clone, PartialEq, Debug)]
struct CanvasSnapshot {
    view: View,
    look: Look,
    photo: Option<PhotoValues>,
    highlighted: Option<Vec<PaintId>>,
}

/// What the picture is put on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Target {
    /// Its format.
    pub format: wgpu::TextureFormat,
    /// Width and height, pixels.
    pub size: [u32; 2],
    /// Whether it can be copied to.
    pub copies: bool,
}

impl Target {
    /// A picture that is put on it.
    pub(super) fn texture(self, device: &wgpu::Device) -> wgpu::Texture {
        let Target { format, size: [width, height], .. } = self;
        let stored = format.remove_srgb_suffix();
        device.create_texture(&wgpu::TextureDescriptor {
            label: Some("window"),
            size: wgpu::Extent3d { width, height, depth_or_array_layers: 1 },
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format,
            usage: wgpu::TextureUsages::RENDER_ATTACHMENT
                | wgpu::TextureUsages::COPY_SRC
                | wgpu::TextureUsages::TEXTURE_BINDING,
            view_formats: if stored == format { &[] } else { std::slice::from_ref(&stored) },
        })
    }
}

/// The picture.
pub struct RetainedFrame {
    texture: wgpu::Texture,
    view: wgpu::TextureView,
    /// Where a surface cannot be copied to.
    blitter: Option<wgpu::util::TextureBlitter>,
    /// What the picture shows; none before the first frame.
    last: Option<Snapshot>,
}

struct Snapshot {
    jobs: Vec<egui::ClippedPrimitive>,
    ground: u8,
    pixels_per_point: f32,
    canvas: Option<CanvasSnapshot>,
}

impl RetainedFrame {
    /// An empty picture for a surface.
    pub fn new(device: &wgpu::Device, target: Target) -> Self {
        let texture = target.texture(device);
        let view = texture.create_view(&wgpu::TextureViewDescriptor::default());
        let blitter = (!target.copies).then(|| wgpu::util::TextureBlitter::new(device, target.format));
        RetainedFrame { texture, view, blitter, last: None }
    }

    /// The picture itself.
    pub(super) fn texture(&self) -> &wgpu::Texture {
        &self.texture
    }

    /// What is drawn into.
    pub fn view(&self) -> &wgpu::TextureView {
        &self.view
    }

    /// What of the picture must be drawn again for a frame, with the tiles that show otherwise. Asked once a frame.
    pub fn damage(
        &mut self,
        jobs: &[egui::ClippedPrimitive],
        changed: &BTreeSet<egui::TextureId>,
        pixels_per_point: f32,
        ground: u8,
        canvas: Option<(&View, DisplayOptions<'_>, &[TilePos])>,
    ) -> Damage {
        let mut damage = Damage::none([self.texture.width(), self.texture.height()]);
        let of = |view: &View, seen: DisplayOptions<'_>| CanvasSnapshot {
            view: *view,
            look: seen.look,
            photo: seen.photo.cloned(),
            highlighted: seen.highlighted.map(<[_]>::to_vec),
        };
        let shown = canvas.map(|(view, seen, _)| of(view, seen));
        let last = self.last.replace(Snapshot { jobs: Vec::new(), ground, pixels_per_point, canvas: shown.clone() });
        let Some(last) = last.filter(|l| {
            let same_canvas = l.canvas.is_some() == shown.is_some();
            same_canvas && l.ground == ground && l.pixels_per_point == pixels_per_point
        }) else {
            damage.all();
            return damage;
        };
        damage.add_changes(&last.jobs, jobs, changed, pixels_per_point);
        if let Some((view, seen, tiles)) = canvas {
            let blurred = matches!(seen.look, Look::Squint { .. });
            if last.canvas != shown || blurred && !tiles.is_empty() {
                damage.add(edges(view.area));
            } else if let Some(rect) = seen_rect(view, tiles) {
                damage.add(rect);
            }
        }
        damage
    }

    /// Puts the picture, or what was made of it for the display, on the surface and keeps what it shows.
    pub fn show(
        &mut self,
        device: &wgpu::Device,
        encoder: &mut wgpu::CommandEncoder,
        converted: Option<&wgpu::Texture>,
        target: &wgpu::Texture,
        jobs: Vec<egui::ClippedPrimitive>,
    ) {
        let picture = converted.unwrap_or(&self.texture);
        match &self.blitter {
            None => encoder.copy_texture_to_texture(picture.as_image_copy(), target.as_image_copy(), target.size()),
            Some(blitter) => {
                let view = |of: &wgpu::Texture| of.create_view(&wgpu::TextureViewDescriptor::default());
                blitter.copy(device, encoder, &view(picture), &view(target));
            }
        }
        if let Some(last) = &mut self.last {
            last.jobs = jobs;
        }
    }

    /// The picture is not what was asked for: the next frame draws everything.
    pub fn invalidate(&mut self) {
        self.last = None;
    }
}

fn edges(area: Area) -> [f64; 4] {
    [area.left, area.top, area.left + area.width, area.top + area.height]
}

/// The window pixels that show some tiles, inside the area; none when none is seen.
fn seen_rect(view: &View, tiles: &[TilePos]) -> Option<[f64; 4]> {
    let mut rect = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    // Neighbouring pixels mix a little with those of a tile: two texels of the coarsest level in use.
    let spare = 2.0 / view.scale().min(1.0);
    for tile in tiles {
        let side = f64::from(TILE_SIDE);
        let (left, top) = (f64::from(tile.column) * side, f64::from(tile.row) * side);
        for x in [left - spare, left + side + spare] {
            for y in [top - spare, top + side + spare] {
                let [x, y] = view.window_from_canvas([x, y]);
                rect = [rect[0].min(x), rect[1].min(y), rect[2].max(x), rect[3].max(y)];
            }
        }
    }
    let area = edges(view.area);
    let rect = [rect[0].max(area[0]), rect[1].max(area[1]), rect[2].min(area[2]), rect[3].min(area[3])];
    (rect[0] < rect[2] && rect[1] < rect[3]).then_some(rect)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tile_is_drawn_again_where_it_is_seen_and_nowhere_else() {
        let mut view = View::default();
        view.set_area(Area { left: 100.0, top: 50.0, width: 800.0, height: 600.0 }, 1.0);
        view.fit([1600, 1200]);
        let tile = |column, row| [TilePos { column, row }];
        let rect = seen_rect(&view, &tile(2, 3));
        let (a, b) = (view.window_from_canvas([256.0, 384.0]), view.window_from_canvas([384.0, 512.0]));
        let close = |rect: [f64; 4]| {
            let exact = [a[0], a[1], b[0], b[1]];
            rect.iter().zip(exact).all(|(r, e)| (r - e).abs() <= 3.0)
                && rect[0] < a[0]
                && rect[1] < a[1]
                && rect[2] > b[0]
                && rect[3] > b[1]
        };
        assert!(rect.is_some_and(close), "{rect:?}");
        view.zoom_at([500.0, 350.0], 40.0);
        assert_eq!(seen_rect(&view, &tile(0, 0)), None);
        assert_eq!(seen_rect(&view, &[]), None);
        let all = seen_rect(&view, &tile(6, 4));
        assert!(all.is_none_or(|r| r[0] >= 100.0 && r[3] <= 650.0));
    }
}
