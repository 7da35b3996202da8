//! The canvas drawn off screen and read back. On a software driver, so that results do not depend on the machine's GPU.

use super::transform::{Area, View};
use super::*;
use crate::study::command::Command;
use crate::study::session::Session;
use crate::ui::state::State;
use stint_model::board::Board;
use stint_model::colour::Colour;
use stint_model::ids::PaintId;
use stint_model::study::Document;
use stint_model::study::file::StudyFile;
use stint_render::choose::EngineChoice;
use stint_render::gpu::{AdapterPreference, Gpu, GpuEngine};
use stint_render::mask::PenSample;

const AREA: Area = Area { left: 10.0, top: 6.0, width: 300.0, height: 200.0 };
const WINDOW: [u32; 2] = [320, 212];
const SURROUND: u8 = 60;

struct Stage {
    device: wgpu::Device,
    queue: wgpu::Queue,
    canvas: CanvasView,
    state: State,
    view: View,
    photo: Option<PhotoValues>,
}

fn device() -> (wgpu::Device, wgpu::Queue) {
    let instance = wgpu::Instance::new(wgpu::InstanceDescriptor::new_without_display_handle());
    let adapters = pollster::block_on(instance.enumerate_adapters(wgpu::Backends::PRIMARY));
    let adapter = adapters.into_iter().find(|a| a.get_info().device_type == wgpu::DeviceType::Cpu);
    let adapter = adapter.expect("these tests need a software Vulkan driver: on Debian install mesa-vulkan-drivers");
    let request = adapter.request_device(&wgpu::DeviceDescriptor {
        required_limits: wgpu::Limits::downlevel_defaults().using_resolution(adapter.limits()),
        ..Default::default()
    });
    pollster::block_on(request).unwrap()
}

impl Stage {
    /// A study of one swatch on the left half, the ground on the right.
    fn new(width: u32, height: u32, swatch: &str) -> Self {
        let session = Session::in_memory((width, height), Board::default(), EngineChoice::Cpu).unwrap();
        Self::of(session, device(), swatch)
    }

    /// The same with an engine on the device that draws.
    fn on_one_device(width: u32, height: u32, swatch: &str) -> Self {
        let gpu = Gpu::open(AdapterPreference::Software).unwrap();
        let device = (gpu.device().clone(), gpu.queue().clone());
        let file = StudyFile::in_memory(&Document::new(width, height, Board::default()).unwrap()).unwrap();
        let session = Session::with_engine(file, Box::new(GpuEngine::new(gpu).unwrap())).unwrap();
        Self::of(session, device, swatch)
    }

    fn of(session: Session, (device, queue): (wgpu::Device, wgpu::Queue), swatch: &str) -> Self {
        let (width, height) = (session.document().width, session.document().height);
        let mut state = State { session: Some(session), ..State::default() };
        let add = format!("AddSwatch(family: \"Sky\", role: Local, colour: \"{swatch}\")");
        for command in [add.as_str(), "Load(Swatch(family: \"Sky\", role: Local))"] {
            assert!(state.apply(&ron::from_str(command).unwrap()), "{:?}", state.notices);
        }
        let (w, h) = (width as f32, height as f32);
        let outline = vec![[-9.0, -9.0], [w / 2.0, -9.0], [w / 2.0, h + 9.0], [-9.0, h + 9.0]];
        assert!(state.apply(&Command::Mass { outline, edge: Default::default() }));
        let canvas = CanvasView::new(&device, wgpu::TextureFormat::Rgba8Unorm);
        let mut view = View::default();
        view.set_area(AREA, 1.0);
        view.fit([width, height]);
        if view.scale() > 1.0 {
            view.actual_size();
        }
        Stage { device, queue, canvas, state, view, photo: None }
    }

    /// Draws, in as many frames as that takes, and reads back: RGB of every window pixel.
    fn draw(&mut self, look: Look, highlighted: Option<&[PaintId]>) -> Vec<[u8; 3]> {
        loop {
            let (picture, missing) = self.draw_once(look, highlighted);
            if missing == 0 {
                return picture;
            }
        }
    }

    /// One frame; tells how many tiles are missing in it.
    fn draw_once(&mut self, look: Look, highlighted: Option<&[PaintId]>) -> (Vec<[u8; 3]>, usize) {
        let [width, height] = WINDOW;
        let size = wgpu::Extent3d { width, height, depth_or_array_layers: 1 };
        let target = self.device.create_texture(&wgpu::TextureDescriptor {
            label: None,
            size,
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format: wgpu::TextureFormat::Rgba8Unorm,
            usage: wgpu::TextureUsages::RENDER_ATTACHMENT | wgpu::TextureUsages::COPY_SRC,
            view_formats: &[],
        });
        // Rows of a copy are padded to 256 bytes (WebGPU, 5.3); 320 pixels need none.
        let back = self.device.create_buffer(&wgpu::BufferDescriptor {
            label: None,
            size: u64::from(width * height * 4),
            usage: wgpu::BufferUsages::COPY_DST | wgpu::BufferUsages::MAP_READ,
            mapped_at_creation: false,
        });
        let mut encoder = self.device.create_command_encoder(&Default::default());
        let session = self.state.session.as_mut().unwrap();
        let near = self.view.canvas_from_window(AREA.middle());
        let seen = DisplayOptions { look, surround: SURROUND, photo: self.photo.as_ref(), highlighted, near };
        let device = (&self.device, &self.queue);
        let stale = &mut self.state.stale;
        let prepared = self.canvas.frame(device, &mut encoder, session.canvas(), &self.view, seen, stale).unwrap();
        assert_eq!(*stale, Stale::default());
        let view = target.create_view(&Default::default());
        let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                view: &view,
                depth_slice: None,
                resolve_target: None,
                ops: wgpu::Operations { load: wgpu::LoadOp::Clear(wgpu::Color::BLACK), store: wgpu::StoreOp::Store },
            })],
            ..Default::default()
        });
        pass.set_scissor_rect(10, 6, 300, 200);
        self.canvas.draw(&mut pass, &prepared.frame);
        drop(pass);
        encoder.copy_texture_to_buffer(
            target.as_image_copy(),
            wgpu::TexelCopyBufferInfo {
                buffer: &back,
                layout: wgpu::TexelCopyBufferLayout { offset: 0, bytes_per_row: Some(width * 4), rows_per_image: None },
            },
            size,
        );
        self.queue.submit([encoder.finish()]);
        back.map_async(wgpu::MapMode::Read, .., |mapped| mapped.unwrap());
        self.device.poll(wgpu::PollType::wait_indefinitely()).unwrap();
        let bytes = back.get_mapped_range(..).unwrap();
        (bytes.chunks_exact(4).map(|p| [p[0], p[1], p[2]]).collect(), prepared.missing)
    }

    fn ground(&self) -> Colour {
        self.state.session.as_ref().unwrap().document().ground.colour
    }
}

fn at(picture: &[[u8; 3]], x: u32, y: u32) -> [u8; 3] {
    picture[(y * WINDOW[0] + x) as usize]
}

fn near(a: [u8; 3], b: [u8; 3], codes: u8) {
    assert!(a.iter().zip(b).all(|(a, b)| a.abs_diff(b) <= codes), "{a:?} is not {b:?}");
}

const SWATCH: &str = "#5b6f8f";
const SWATCH_CODES: [u8; 3] = [0x5b, 0x6f, 0x8f];

#[test]
fn at_100_percent_every_code_is_the_codes_of_the_canvas() {
    let mut stage = Stage::new(240, 150, SWATCH);
    let picture = stage.draw(Look::Colour, None);
    let [left, top] = stage.view.window_from_canvas([0.0, 0.0]).map(|v| v as u32);
    let places: Vec<_> = stage.state.session.as_mut().unwrap().canvas().size().tiles().collect();
    let tiles = stage.state.session.as_mut().unwrap().canvas().resolve(&places).unwrap();
    for y in 0..150_u32 {
        for x in 0..240_u32 {
            let tile = (y / 128 * 2 + x / 128) as usize;
            let word = tiles[tile * 128 * 128 + (y % 128 * 128 + x % 128) as usize];
            let code = [word as u8, (word >> 8) as u8, (word >> 16) as u8];
            assert_eq!(at(&picture, left + x, top + y), code, "{x} {y}");
        }
    }
    assert_eq!(at(&picture, left - 1, top + 50), [SURROUND; 3]);
    assert_eq!(at(&picture, 12, 8), [SURROUND; 3]);
    assert_eq!(at(&picture, 4, 100), [0; 3], "nothing is drawn outside the area");
}

#[test]
fn the_mirror_exchanges_left_and_right() {
    let mut stage = Stage::new(240, 150, SWATCH);
    let plain = stage.draw(Look::Colour, None);
    stage.view.set_mirror(true);
    let mirrored = stage.draw(Look::Colour, None);
    for y in 6..206 {
        for x in 0..300 {
            assert_eq!(at(&plain, 10 + x, y), at(&mirrored, 309 - x, y), "{x} {y}");
        }
    }
}

#[test]
fn value_is_the_grey_of_equal_l_star_and_two_tone_its_band() {
    let mut stage = Stage::new(240, 150, SWATCH);
    let swatch = Colour::from_hex(SWATCH).unwrap();
    let picture = stage.draw(Look::Value, None);
    for (x, colour) in [(80, swatch), (240, stage.ground())] {
        let [grey, g, b] = at(&picture, x, 100);
        assert_eq!((grey, grey), (g, b));
        let shown = Colour::from_srgb8([grey; 3]).l_star();
        // Half an 8-bit code is 0.25 L* at most above L* 8 (IEC 61966-2-1).
        assert!((shown - colour.l_star()).abs() < 0.3, "{shown} {}", colour.l_star());
    }
    for values in 2..=5 {
        let picture = stage.draw(Look::TwoTone { values }, None);
        let band = (swatch.l_star() / (100.0 / f32::from(values))).floor();
        let shown = Colour::from_srgb8(at(&picture, 80, 100)).l_star();
        let expected = (band + 0.5) * 100.0 / f32::from(values);
        assert!((shown - expected).abs() < 0.4, "{values}: {shown} {expected}");
    }
}

#[test]
fn squinting_is_a_gaussian_in_linear_light() {
    let mut stage = Stage::new(240, 150, "#f0f0f0");
    for radius_px in [3.0, 12.0] {
        let picture = stage.draw(Look::Squint { radius_px }, None);
        let (light, dark) = (Colour::from_hex("#f0f0f0").unwrap(), stage.ground());
        let [left, top] = stage.view.window_from_canvas([0.0, 0.0]).map(|v| v as u32);
        for x in [60_u32, 108, 114, 119, 120, 126, 132, 180] {
            // An edge through a Gaussian is its cumulative distribution: Abramowitz and Stegun 7.1.26 for erf.
            let z = (120.0 - (f64::from(x) + 0.5)) / (f64::from(radius_px) * std::f64::consts::SQRT_2);
            let t = 1.0 / (1.0 + 0.327_591_1 * z.abs());
            let poly = t
                * (0.254_829_592
                    + t * (-0.284_496_736 + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
            let erf = z.signum() * (1.0 - poly * (-z * z).exp());
            let fraction = (0.5 * (1.0 + erf)) as f32;
            let mix = |a: f32, b: f32| b + (a - b) * fraction;
            let expected = Colour::new(mix(light.r, dark.r), mix(light.g, dark.g), mix(light.b, dark.b)).to_srgb8();
            near(at(&picture, left + x, top + 75), expected, 3);
        }
        // The surround does not bleed in, nor the canvas out.
        near(at(&picture, left, top + 75), light.to_srgb8(), 1);
        assert_eq!(at(&picture, left - 1, top + 75), [SURROUND; 3]);
    }
}

#[test]
fn reduced_tiles_show_the_same_colours() {
    let mut stage = Stage::new(2400, 1500, SWATCH);
    assert!(stage.view.scale() < 0.125);
    let picture = stage.draw(Look::Colour, None);
    near(at(&picture, 80, 100), SWATCH_CODES, 1);
    near(at(&picture, 240, 100), stage.ground().to_srgb8(), 1);
}

#[test]
fn only_the_lit_swatch_keeps_its_colour() {
    let mut stage = Stage::new(240, 150, SWATCH);
    let picture = stage.draw(Look::Colour, Some(&[PaintId(1)]));
    assert_eq!(at(&picture, 80, 100), SWATCH_CODES);
    let [r, g, b] = at(&picture, 240, 100);
    assert_eq!((r, r), (g, b), "the rest is grey");
    let surround = i32::from(SURROUND);
    let ground = i32::from(stage.ground().to_srgb8()[0]);
    assert!((i32::from(r) - surround).abs() < (ground - surround).abs() / 2, "and recedes: {r}");
    let picture = stage.draw(Look::Colour, Some(&[]));
    assert_ne!(at(&picture, 80, 100), SWATCH_CODES);
}

/// Lays half a stroke's cover over both halves, so that pixels hold several paints.
fn glaze(stage: &mut Stage) {
    let brush = stint_render::mask::brush::Brush { size_px: 60.0, strength: 0.4, hardness: 0.2, ..Default::default() };
    let add = "AddSwatch(family: \"Wall\", role: Light, colour: \"#d9a066\")";
    let load = "Load(Swatch(family: \"Wall\", role: Light))";
    let samples = (0..30).map(|i| PenSample::new(20.0 * i as f32, 10.0 + 9.0 * i as f32, 1.0)).collect();
    for command in
        [ron::from_str(add).unwrap(), ron::from_str(load).unwrap(), Command::Brush(brush), Command::Stroke(samples)]
    {
        assert!(stage.state.apply(&command), "{:?}", stage.state.notices);
    }
}

/// What an engine on the window's device writes where it is drawn is what the CPU engine's texels show, at every level, as a whole and
/// where a paint is lit; also when a part of it changes.
#[test]
fn an_engine_on_the_window_s_device_shows_the_same() {
    for (width, height) in [(240, 150), (600, 400), (1300, 900), (2500, 1400)] {
        let mut stages = [Stage::new(width, height, SWATCH), Stage::on_one_device(width, height, SWATCH)];
        let direct = |stage: &mut Stage| stage.state.session.as_mut().unwrap().canvas().draws_on(&stage.device);
        assert_eq!(stages.each_mut().map(direct), [false, true]);
        for round in 0..2 {
            for lit in [None, Some(&[PaintId(1)][..])] {
                let [fed, own] = stages.each_mut().map(|stage| stage.draw(Look::Colour, lit));
                let apart = fed.as_flattened().iter().zip(own.as_flattened()).map(|(a, b)| a.abs_diff(*b)).max();
                // One code of the colour, and one of the share times the way to grey.
                let most = if lit.is_some() { 3 } else { 1 };
                assert!(
                    apart.unwrap() <= most,
                    "{width} in round {round}: {apart:?} codes apart, lit: {}",
                    lit.is_some()
                );
            }
            stages.iter_mut().for_each(glaze);
        }
    }
}

#[test]
fn only_stale_tiles_are_brought_in_again() {
    let mut stage = Stage::new(600, 400, SWATCH);
    stage.draw(Look::Colour, None);
    // What is not said to be stale is not looked at again: the old picture stays.
    let outline = vec![[560.0, 10.0], [590.0, 10.0], [590.0, 40.0], [560.0, 40.0]];
    assert!(stage.state.apply(&Command::Mass { outline, edge: Default::default() }));
    let stale = std::mem::take(&mut stage.state.stale);
    let [x, y] = stage.view.window_from_canvas([575.0, 25.0]).map(|v| v as u32);
    let ground = stage.ground().to_srgb8();
    near(at(&stage.draw(Look::Colour, None), x, y), ground, 1);
    assert!(matches!(&stale, Stale::Tiles(tiles) if tiles.len() == 1), "{stale:?}");
    stage.state.stale = stale;
    near(at(&stage.draw(Look::Colour, None), x, y), SWATCH_CODES, 1);
}

#[test]
fn a_large_refresh_comes_a_part_a_frame_what_is_looked_at_first() {
    let mut stage = Stage::new(16384, 16384, SWATCH);
    // No machine does it all in this.
    stage.canvas.budget = [Duration::from_millis(1); 2];
    let [middle, corner] = [[8100.0, 8100.0], [100.0, 16300.0]];
    let window = |stage: &Stage, canvas| stage.view.window_from_canvas(canvas).map(|v| v as u32);
    let ([mx, my], [cx, cy]) = (window(&stage, middle), window(&stage, corner));
    let (picture, missing) = stage.draw_once(Look::Colour, None);
    assert!(missing > 0, "one frame is not enough for 16384 tiles");
    near(at(&picture, mx, my), SWATCH_CODES, 1);
    assert_eq!(at(&picture, cx, cy), [SURROUND; 3], "what has not come shows as the surround");
    let mut left = missing;
    while left > 0 {
        let (_, now) = stage.draw_once(Look::Colour, None);
        assert!(now < left);
        left = now;
    }
    // Everything looks different: what has not come again shows as it was.
    let sky = stage.state.session.as_ref().unwrap().document().board.swatches().next().unwrap().1.id;
    let recolour = crate::study::command::Command::Recolour {
        swatch: crate::study::command::SwatchRef::Id(sky),
        colour: "#806040".into(),
    };
    assert!(stage.state.apply(&recolour), "{:?}", stage.state.notices);
    let (picture, missing) = stage.draw_once(Look::Colour, None);
    assert!(missing > 0);
    near(at(&picture, mx, my), [0x80, 0x60, 0x40], 1);
    near(at(&picture, cx, cy), SWATCH_CODES, 1);
}

#[test]
fn another_tile_never_shows_in_the_place_of_a_missing_one() {
    let mut stage = Stage::new(16384, 16384, SWATCH);
    let mut torus = Torus::new(&stage.device, 0, (3, 3), false);
    let mut upload = Upload::default();
    // Missing tiles, and tiles that show otherwise, after a frame with so large a budget.
    let mut bring = |column, budget_s| {
        let mut encoder = stage.device.create_command_encoder(&Default::default());
        let mut changed = Vec::new();
        let mut budget = FrameBudget::new(Duration::from_secs(budget_s));
        if budget_s == 0 {
            // A frame that has done what it must.
            budget.record(1);
        }
        let missing = torus.bring(&mut Work {
            device: &stage.device,
            queue: &stage.queue,
            upload: &mut upload,
            canvas: stage.state.session.as_mut().unwrap().canvas(),
            seen: TileRect { column, row: 0, across: 3, down: 3 },
            near: [0.0; 2],
            budget: &mut budget,
            blank: SURROUND,
            changed: &mut changed,
        });
        upload.send(&stage.device, &stage.queue, &mut encoder);
        stage.queue.submit([encoder.finish()]);
        (missing.unwrap(), changed.len())
    };
    assert_eq!(bring(0, 0), (9, 0), "a new torus is blank");
    assert_eq!(bring(0, 60), (0, 9));
    assert_eq!(bring(0, 60), (0, 0));
    assert_eq!(bring(1, 0), (3, 3), "one column is another now, and is blanked");
    assert_eq!(bring(1, 0), (3, 0));
    assert_eq!(bring(0, 60), (0, 3), "what was blanked is gone");
}

#[test]
fn the_largest_canvas_is_shown_at_every_zoom() {
    let mut stage = Stage::new(16384, 16384, SWATCH);
    for zoom in [1.0, 4.0, 30.0, 300.0] {
        stage.view.fit([16384, 16384]);
        // A place deep in the swatch's half, off every tile border.
        let at_window = stage.view.window_from_canvas([7777.0, 9000.0]);
        stage.view.zoom_at(at_window, zoom);
        stage.view.turn_at(at_window, 0.7);
        let picture = stage.draw(Look::Colour, None);
        let [x, y] = stage.view.window_from_canvas([7777.0, 9000.0]).map(|v| v as u32);
        near(at(&picture, x, y), SWATCH_CODES, 1);
        let most: usize = stage.canvas.tori.iter().map(|t| t.texels().iter().product::<u32>() as usize).max().unwrap();
        assert!(most <= 4096 * 4096, "{most} texels");
    }
}

#[test]
fn a_difference_of_value_is_a_grey_beside_the_middle_one() {
    use stint_model::comparison::PhotoCells;
    let mut stage = Stage::new(240, 150, SWATCH);
    let swatch = Colour::from_hex(SWATCH).unwrap();
    // Without a photo the look shows value.
    let value = stage.draw(Look::Value, None);
    assert_eq!(at(&stage.draw(Look::Difference, None), 80, 100), at(&value, 80, 100));
    // A photo of the swatch's own value above, ten L* darker below, and none in the lowest third.
    let grey = |l_star: f32| {
        let y = stint_model::colour::lab::y_of_l_star(f64::from(l_star)) as f32;
        Some(Colour::new(y, y, y))
    };
    let (own, darker) = (grey(swatch.l_star()), grey(swatch.l_star() - 10.0));
    let colours = [own, own, darker, darker, None, None].into_iter().flat_map(|cell| [cell; 4]).collect();
    let cells = std::sync::Arc::new(PhotoCells { width: 4, height: 6, colours });
    for (shift_l_star, expected) in [(0.0, [50.0, 70.0]), (5.0, [40.0, 60.0])] {
        stage.photo = Some(PhotoValues { cells: cells.clone(), shift_l_star });
        let picture = stage.draw(Look::Difference, None);
        // The canvas lies in the middle of the area, one to one: rows 31 to 181, the swatch on columns 40 to 160.
        for (y, expected) in [(40, expected[0]), (106, expected[1])] {
            let [r, g, b] = at(&picture, 80, y);
            assert!(r == g && g == b);
            let shown = Colour::from_srgb8([r; 3]).l_star();
            // Photo values are kept in steps of 0.4 L*, and differences are doubled.
            assert!((shown - expected).abs() < 0.8, "{y}: {shown}, not {expected}");
        }
        assert_eq!(at(&picture, 80, 176), [SURROUND; 3]);
    }
}
