//! Lays out every brush that comes with the program, and the painter's own where a folder is given: at three pressures, with rising
//! and falling pressure by a slow and by a quick hand, and in short marks; wet brushes across wet paint. Usage: `brush_sheet FILE.png [DATA-FOLDER]`;
//! `assets/tour/make.sh` calls it.

use resvg::{tiny_skia, usvg};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use stint::files::brushes::{NamedBrush, own, shipped};
use stint_model::colour::Colour;
use stint_model::ids::{PaintId, PassId};
use stint_model::mixing::Mixing;
use stint_model::paint::PaintTable;
use stint_model::pass::{Pass, PassKind};
use stint_render::canvas::{BrushLoad, Canvas, StrokeOp, WetStroke};
use stint_render::cpu::CpuEngine;
use stint_render::mask::brush::Brush;
use stint_render::mask::mark::Kind;
use stint_render::mask::mass::Edge;
use stint_render::mask::{CanvasSize, Mask, PenSample, StrokeMask};
use stint_render::paints::PaintLut;

/// Pixels across.
const WIDTH: u32 = 1540;
/// Pixels from the first row to the next.
const ROW: u32 = 118;
/// Middle of the first row, pixels.
const FIRST: f32 = 96.0;
/// The ground, and the colour of each row in turn.
const GROUND: &str = "#736d66";
const COLOURS: [&str; 8] = ["#9db5da", "#5871a1", "#bdc398", "#dda966", "#eed7a0", "#8999ac", "#353135", "#404359"];
/// A slow and a quick hand, pixels a second.
const SPEEDS: [f32; 2] = [260.0, 1700.0];
/// Samples a second.
const RATE: f32 = 240.0;

type Error = Box<dyn std::error::Error>;

fn main() {
    if let Err(error) = run() {
        eprintln!("brush_sheet: {error}");
        std::process::exit(1);
    }
}

fn run() -> Result<(), Error> {
    let mut arguments = std::env::args_os().skip(1).map(PathBuf::from);
    let file = arguments.next().ok_or("name a PNG file to write")?;
    let mut brushes = shipped();
    if let Some(folder) = arguments.next() {
        let (mine, notices) = own(Some(&folder));
        brushes.extend(mine.into_iter().map(|(_, brush)| brush));
        notices.iter().for_each(|notice| eprintln!("brush_sheet: {notice}"));
    }
    let mut sheet = Sheet::new(brushes.len() as u32)?;
    for (row, (brush, colour)) in brushes.iter().zip(COLOURS.iter().cycle()).enumerate() {
        sheet.row(FIRST + (row as u32 * ROW) as f32, brush, Colour::from_hex(colour)?)?;
    }
    sheet.write(&file, &brushes)
}

/// The picture, in linear light.
struct Sheet {
    size: CanvasSize,
    pixels: Vec<Colour>,
}

impl Sheet {
    fn new(rows: u32) -> Result<Self, Error> {
        let size = CanvasSize { width: WIDTH, height: FIRST as u32 + rows * ROW - 20 };
        Ok(Sheet { size, pixels: vec![Colour::from_hex(GROUND)?; (size.width * size.height) as usize] })
    }

    /// All marks of one brush, around a height.
    fn row(&mut self, y: f32, named: &NamedBrush, colour: Colour) -> Result<(), Error> {
        let brush = &named.brush;
        if brush.wet().is_some() {
            return self.wet_row(y as u32, brush);
        }
        for (i, p) in [0.25, 0.6, 1.0].into_iter().enumerate() {
            let x = 140.0 + 176.0 * i as f32;
            let way = [[x, y + 14.0, p], [x + 50.0, y - 8.0, p], [x + 100.0, y + 6.0, p], [x + 140.0, y - 10.0, p]];
            self.lay(brush, &way, SPEEDS[0], colour)?;
        }
        for (x, speed) in [690.0, 1060.0].into_iter().zip(SPEEDS) {
            let way = [
                [x, y + 26.0, 0.05],
                [x + 70.0, y - 20.0, 0.45],
                [x + 150.0, y + 16.0, 0.9],
                [x + 220.0, y - 18.0, 1.0],
                [x + 290.0, y + 10.0, 0.35],
                [x + 330.0, y - 4.0, 0.05],
            ];
            self.lay(brush, &way, speed, colour)?;
        }
        let x = 1440.0;
        self.lay(brush, &[[x, y - 30.0, 1.0], [x + 8.0, y + 34.0, 1.0]], SPEEDS[0], colour)?;
        let small = Brush { size_px: brush.size_px * 0.7, ..brush.clone() };
        let bent = [[x + 58.0, y + 30.0, 0.6], [x + 52.0, y - 6.0, 0.8], [x + 66.0, y - 32.0, 0.5]];
        self.lay(&small, &bent, SPEEDS[0], colour)
    }

    /// A wet brush across wet paint, three times, as a study shows it.
    fn wet_row(&mut self, y: u32, brush: &Brush) -> Result<(), Error> {
        let size = CanvasSize { width: WIDTH, height: ROW.min(self.size.height + ROW / 2 - y) };
        let mut paints = PaintTable::default();
        let mut paint = |hex: &str| -> Result<PaintId, Error> { Ok(paints.load_free(Colour::from_hex(hex)?)?) };
        let strokes = [
            (140.0, 520.0, SPEEDS[0], paint("#76544d")?, vec![(300.0, paint("#dda966")?)]),
            (580.0, 990.0, SPEEDS[0], paint("#9db5da")?, vec![(690.0, paint("#404359")?), (820.0, paint("#bdc398")?)]),
            (
                1060.0,
                1500.0,
                SPEEDS[1],
                paint("#eed7a0")?,
                vec![(1150.0, paint("#76544d")?), (1300.0, paint("#5871a1")?)],
            ),
        ];
        let lut = PaintLut::new(&paints, Colour::from_hex(GROUND)?, Mixing::default());
        let pass = PassId(1);
        let passes = [Pass::new(pass, "row", PassKind::Free)];
        let mut canvas = Canvas::new(size, Box::new(CpuEngine::default()), lut, &passes)?;
        for (from, to, speed, load, patches) in strokes {
            for (left, patch) in patches {
                let mut mask = Mask::new(size);
                let outline = [[left, 22.0], [left + 40.0, 26.0], [left + 42.0, 96.0], [left + 2.0, 92.0]];
                mask.add_mass(&outline, Edge::Soft, u16::MAX)?;
                canvas.commit(pass, &StrokeOp::lay(patch), &mask)?;
            }
            let mut stroke = StrokeMask::noting(size, brush.clone())?;
            let wet = brush.wet().copied().unwrap_or_default();
            let mut wet = WetStroke::new(BrushLoad::one(load), &wet, brush.size_px, true);
            let middle = f32::midpoint(from, to);
            let way =
                [[from, 68.0, 0.8], [f32::midpoint(from, middle), 54.0, 1.0], [middle, 60.0, 1.0], [to, 50.0, 0.6]];
            let touched = stroke.extend(&samples(&way, speed))?;
            let visits = stroke.take_visits();
            canvas.preview_wet(pass, &mut wet, visits, stroke.mask(), touched)?;
            canvas.finish()?;
        }
        let top = (y - ROW / 2) * WIDTH;
        let shown = canvas.resolve_band(0)?;
        self.pixels[top as usize..][..shown.len()].copy_from_slice(&shown);
        Ok(())
    }

    /// One stroke through places with a pressure, by a hand of a speed (pixels a second).
    fn lay(&mut self, brush: &Brush, way: &[[f32; 3]], speed: f32, colour: Colour) -> Result<(), Error> {
        let mut stroke = StrokeMask::new(self.size, brush.clone())?;
        stroke.extend(&samples(way, speed))?;
        let mask = stroke.mask();
        for (i, pixel) in self.pixels.iter_mut().enumerate() {
            let cover = mask.at(i as u32 % self.size.width, i as u32 / self.size.width);
            if cover > 0 {
                let part = f32::from(cover) / 65535.0;
                let mix = |under: f32, over: f32| under + (over - under) * part;
                *pixel = Colour::new(mix(pixel.r, colour.r), mix(pixel.g, colour.g), mix(pixel.b, colour.b));
            }
        }
        Ok(())
    }

    /// Writes the picture with the names of rows and columns.
    fn write(&self, file: &Path, brushes: &[NamedBrush]) -> Result<(), Error> {
        let CanvasSize { width, height } = self.size;
        let mut text = format!(
            r##"<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" font-family="sans-serif" fill="#ececec">"##
        );
        let mut put = |x: f32, y: f32, size: u32, words: &str| {
            let words = words.replace('&', "&amp;").replace('<', "&lt;");
            text += &format!(r#"<text x="{x}" y="{y}" font-size="{size}">{words}</text>"#);
        };
        for (x, words) in [
            (140.0, "light"),
            (316.0, "middle"),
            (492.0, "full pressure"),
            (690.0, "rise and fall of pressure, slow"),
            (1060.0, "the same by a quick hand"),
            (1420.0, "short marks"),
        ] {
            put(x, 28.0, 14, words);
        }
        for (row, named) in brushes.iter().enumerate() {
            put(24.0, FIRST + (row as u32 * ROW) as f32 + 6.0, 17, &named.name);
        }
        text += "</svg>";
        let mut fonts = usvg::fontdb::Database::new();
        fonts.load_fonts_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("../assets/fonts"));
        // The files call themselves after the weight they were made from.
        let family = fonts.faces().next().and_then(|face| face.families.first()).cloned();
        if let Some((family, _)) = family {
            fonts.set_sans_serif_family(family);
        }
        let options = usvg::Options { fontdb: Arc::new(fonts), ..usvg::Options::default() };
        let tree = usvg::Tree::from_str(&text, &options)?;
        let mut words = tiny_skia::Pixmap::new(width, height).ok_or("the sheet is too large")?;
        resvg::render(&tree, tiny_skia::Transform::identity(), &mut words.as_mut());
        let over = |(colour, word): (&Colour, &tiny_skia::PremultipliedColorU8)| {
            let under = colour.to_srgb8();
            let left = 255 - u32::from(word.alpha());
            [word.red(), word.green(), word.blue()]
                .into_iter()
                .zip(under)
                .map(move |(over, under)| (u32::from(over) + (u32::from(under) * left + 127) / 255).min(255) as u8)
        };
        let bytes: Vec<u8> = self.pixels.iter().zip(words.pixels()).flat_map(over).collect();
        Ok(image::save_buffer(file, &bytes, width, height, image::ExtendedColorType::Rgb8)?)
    }
}

/// What a pen tells of a smooth way through places with a pressure.
fn samples(way: &[[f32; 3]], speed: f32) -> Vec<PenSample> {
    let mut samples = Vec::new();
    let mut time_ms = 0.0;
    let at = |i: isize| way[i.clamp(0, way.len() as isize - 1) as usize];
    for i in 0..way.len() as isize - 1 {
        let [a, b, c, d] = [at(i - 1), at(i), at(i + 1), at(i + 2)];
        let length = (c[0] - b[0]).hypot(c[1] - b[1]);
        let parts = (length * RATE / speed).ceil().max(1.0);
        for part in 0..parts as u32 {
            let t = part as f32 / parts;
            // A Catmull-Rom curve with even knots, as a hand would go.
            let value = |k: usize| {
                0.5 * (2.0 * b[k]
                    + (c[k] - a[k]) * t
                    + (2.0 * a[k] - 5.0 * b[k] + 4.0 * c[k] - d[k]) * t * t
                    + (3.0 * b[k] - a[k] - 3.0 * c[k] + d[k]) * t * t * t)
            };
            samples.push(PenSample { time_ms: Some(time_ms), ..PenSample::new(value(0), value(1), value(2)) });
            time_ms += f64::from(length / parts / speed) * 1000.0;
        }
    }
    let [x, y, pressure] = at(way.len() as isize - 1);
    samples.push(PenSample { time_ms: Some(time_ms), ..PenSample::new(x, y, pressure) });
    samples
}

// Kinds are shown in the order of the table.
const _: () = assert!(Kind::ALL.len() == COLOURS.len());
