//! Exported pictures in the hands of programs that are not ours: pngcheck, exiftool, pypng and the crates `image` and
//! `png`. The standard is W3C "Portable Network Graphics (PNG) Specification (Third Edition)", 24 June 2025.

use std::collections::HashMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use stint_model::board::file::board_text;
use stint_model::board::{Board, Family, LightOfDay, Role, Swatch};
use stint_model::colour::Colour;
use stint_model::disk::Replace;
use stint_model::ids::{FamilyId, SwatchId};
use stint_model::picture::{
    Attached, BOARD_KEYWORD, Depth, OutputGamut, PaletteEntry, PictureError, PngOptions, SuggestedEntry, read_attached,
    read_suggested_palettes, write_png,
};
use stint_model::readout::{FreeColourNote, Readout};
use stint_tests::program::{TestFolder, lacks};
use tempfile::TempDir;

const DATA: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/data");

const ALL: [(Depth, OutputGamut); 4] = [
    (Depth::Eight, OutputGamut::Srgb),
    (Depth::Sixteen, OutputGamut::Srgb),
    (Depth::Eight, OutputGamut::DisplayP3),
    (Depth::Sixteen, OutputGamut::DisplayP3),
];

/// A study of a tram depot at blue hour (invented).
fn depot() -> Attached {
    let colours = [(Role::Shadow, 0.021, 0.034, 0.07), (Role::Local, 0.1, 0.16, 0.27), (Role::Light, 0.3, 0.42, 0.55)];
    let swatch = |id, (role, r, g, b)| Swatch { id, role, name: String::new(), colour: Colour::new(r, g, b) };
    let swatches: Vec<Swatch> = (1..).map(SwatchId).zip(colours).map(|(id, c)| swatch(id, c)).collect();
    let mut board = Board::new("Blaue Stunde – \"Depot\"", LightOfDay::Cool);
    let palette = swatches.iter().zip([0.25, 0.5, 0.125]).map(|(s, share)| PaletteEntry {
        name: format!("wet yard {}", s.role.word()),
        colour: s.colour,
        share,
    });
    let lamp = PaletteEntry { name: "lamp".into(), colour: Colour::new(0.9, 0.55, 0.1), share: 0.0625 };
    let palette = palette.chain([lamp]).collect();
    board.families.push(Family { swatches, ..Family::new(FamilyId(1), "wet yard") });
    let readout = Readout {
        width_px: 97,
        height_px: 300,
        painted_px: 97.0 * 300.0 * 0.9375,
        board_share: 0.875 / 0.9375,
        free_share: 0.0625 / 0.9375,
        bare_share: 0.0625,
        eight_paints_share: 0.0,
        families: Vec::new(),
        swatches: Vec::new(),
        free_colour: FreeColourNote::default(),
    };
    Attached::new("Straßenbahndepot, étude 電車".into(), board, readout, palette)
}

/// Writes a picture whose pixels, row by row, are `colours` over and over.
fn export(path: &Path, size: (u32, u32), depth: Depth, gamut: OutputGamut, colours: &[Colour]) {
    let mut next = colours.iter().cycle();
    let options = PngOptions { depth, gamut, pixels_per_metre: Some(11811) };
    let mut bands = |_, pixels: &mut [Colour]| {
        pixels.iter_mut().zip(&mut next).for_each(|(to, from)| *to = *from);
        Ok(())
    };
    write_png(path, Replace::Asked, size, &options, &depot(), &mut bands, &mut |_| {}).unwrap();
}

/// The pictures of [`ALL`] in a folder of their own; two and a bit bands high.
fn exports() -> (TempDir, Vec<(PathBuf, Depth, OutputGamut)>) {
    let folder = tempfile::tempdir().unwrap();
    let colours: Vec<Colour> = depot().palette.iter().map(|e| e.colour).collect();
    let write = |(depth, gamut)| {
        let path = folder.path().join(format!("depot_{depth:?}_{gamut:?}.png"));
        export(&path, (97, 300), depth, gamut, &colours);
        (path, depth, gamut)
    };
    let written = ALL.map(write).to_vec();
    (folder, written)
}

/// Runs an outside reader; a missing one is a failure, never a pass.
fn run(program: &str, arguments: &[&str], file: &Path, advice: &str) -> Output {
    let output = Command::new(program).args(arguments).arg(file).output();
    output.unwrap_or_else(|e| panic!("this test needs the program {program} ({e}); {advice}"))
}

fn pngcheck(file: &Path) -> Output {
    run("pngcheck", &["-v"], file, "install the package pngcheck")
}

fn exiftool(arguments: &[&str], file: &Path) -> String {
    let output = run("exiftool", arguments, file, "install exiftool (Debian: libimage-exiftool-perl)");
    assert!(output.status.success(), "exiftool refuses {}: {output:?}", file.display());
    String::from_utf8(output.stdout).unwrap()
}

/// What pypng finds in a file.
#[derive(Default)]
struct Dump {
    /// Kind and data of every chunk but the pixels, which are one chunk without data.
    chunks: Vec<(String, Vec<u8>)>,
    /// Width, height, bits, planes.
    size: Vec<u32>,
    /// Samples of every row.
    rows: Vec<Vec<u16>>,
}

impl Dump {
    fn kinds(&self) -> String {
        self.chunks.iter().map(|(kind, _)| kind.as_str()).collect::<Vec<_>>().join(" ")
    }

    fn only(&self, kind: &str) -> &[u8] {
        let mut found = self.chunks.iter().filter(|(k, _)| k == kind);
        let (Some((_, data)), None) = (found.next(), found.next()) else {
            panic!("there should be one {kind} among {}", self.kinds());
        };
        data
    }
}

fn pypng(file: &Path) -> Dump {
    let python = std::env::var("STINT_TEST_PYTHON").unwrap_or_else(|_| "python3".into());
    let advice = "set STINT_TEST_PYTHON to a Python 3 that has the package pypng (python3 -m pip install pypng)";
    let script = format!("{DATA}/pictures/dump_png.py");
    let output = run(&python, &[&script], file, advice);
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(!complaint.contains("No module named"), "{python} has no pypng: {advice}\n{complaint}");
    assert!(output.status.success(), "pypng refuses {}:\n{complaint}", file.display());
    let mut dump = Dump::default();
    for line in String::from_utf8(output.stdout).unwrap().lines() {
        let mut words = line.split(' ');
        match words.next().unwrap() {
            "chunk" => {
                let kind = words.next().unwrap().to_owned();
                let hex = words.next().unwrap_or_default().as_bytes();
                let byte = |pair: &[u8]| u8::from_str_radix(std::str::from_utf8(pair).unwrap(), 16).unwrap();
                dump.chunks.push((kind, hex.chunks(2).map(byte).collect()));
            }
            "size" => dump.size = words.map(|w| w.parse().unwrap()).collect(),
            "row" => dump.rows.push(words.map(|w| w.parse::<u16>().unwrap()).collect()),
            other => panic!("dump_png.py printed {other:?}"),
        }
    }
    dump
}

/// Rows of a small CSV as maps from column to text.
fn table(name: &str) -> Vec<HashMap<String, String>> {
    let mut reader = csv::Reader::from_path(format!("{DATA}/{name}")).unwrap();
    reader.deserialize().map(Result::unwrap).collect()
}

fn numbers<T: std::str::FromStr<Err: std::fmt::Debug>>(row: &HashMap<String, String>, columns: [&str; 3]) -> [T; 3] {
    columns.map(|c| row[c].parse().unwrap())
}

/// The curve of IEC 61966-2-1 from encoded to linear, continued through zero for negative values.
fn decode(encoded: f64) -> f32 {
    let v = encoded.abs();
    let linear = if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) };
    linear.copysign(encoded) as f32
}

/// pngcheck 3.0.3 passes sRGB exports and sees what should be in them. It does not know `cICP` of the third edition and
/// fails every file with one, so Display P3 is left to the other readers.
#[test]
fn pngcheck_passes_srgb_exports() {
    if lacks(&["pngcheck"]) {
        return;
    }
    let (_folder, files) = exports();
    for (file, depth, _) in files.iter().filter(|(.., gamut)| *gamut == OutputGamut::Srgb) {
        let output = pngcheck(file);
        let report = String::from_utf8_lossy(&output.stdout);
        assert!(output.status.success() && report.contains("No errors detected"), "{report}");
        for expected in [
            &format!("97 x 300 image, {}-bit RGB, non-interlaced", 3 * depth.bits())[..],
            "length 4: 0.45455",
            "11811x11811 pixels/meter (300 dpi)",
            "White x = 0.3127 y = 0.329",
            "keyword: Title",
            "keyword: Software",
            &format!("keyword: {BOARD_KEYWORD}"),
            &format!("sample depth = {} bits, palette name = {BOARD_KEYWORD}", depth.bits()),
            "4 palette/histogram entries",
        ] {
            assert!(report.contains(expected), "{expected:?} is not in\n{report}");
        }
    }
    // The same check on a file with one wrong bit must fail.
    let mut spoilt = fs::read(&files[0].0).unwrap();
    let middle = spoilt.len() / 2;
    spoilt[middle] ^= 1;
    fs::write(&files[0].0, spoilt).unwrap();
    assert!(!pngcheck(&files[0].0).status.success());
}

/// exiftool decodes the texts, the resolution and the colour space; the board's text is ours to the last byte.
#[test]
fn exiftool_reads_texts_and_colour_space() {
    if lacks(&["exiftool"]) {
        return;
    }
    let (_folder, files) = exports();
    for (file, _, gamut) in &files {
        assert_eq!(exiftool(&["-b", "-Title"], file), depot().name);
        assert_eq!(exiftool(&["-b", "-Software"], file), "Stint");
        assert_eq!(exiftool(&["-b", "-StintBoard"], file), depot().to_ron().unwrap());
        assert_eq!(exiftool(&["-s3", "-PixelsPerUnitX", "-PixelUnits"], file), "11811\nmeters\n");
        let colour = exiftool(&["-s3", "-SRGBRendering", "-ColorPrimaries", "-TransferCharacteristics"], file);
        let expected = match gamut {
            OutputGamut::Srgb => "Perceptual\n",
            OutputGamut::DisplayP3 => "SMPTE EG 432-1\nsRGB or sYCC\n",
        };
        assert_eq!(colour, expected);
        assert_eq!(exiftool(&["-s3", "-Warning"], file), "");
    }
}

/// Order and bytes of the chunks (5.6, 11.3) as pypng hands them out.
#[test]
fn chunks_are_those_of_the_standard() {
    if lacks(&["python-packages"]) {
        return;
    }
    let (_folder, files) = exports();
    let numbers = |values: &[u32]| values.iter().flat_map(|v| v.to_be_bytes()).collect::<Vec<u8>>();
    for (file, depth, gamut) in &files {
        let dump = pypng(file);
        assert_eq!(dump.size, [97, 300, u32::from(depth.bits()), 3]);
        let colour = match gamut {
            OutputGamut::Srgb => {
                // 11.3.2.5: these values and no others beside sRGB.
                assert_eq!(dump.only("sRGB"), [0]);
                assert_eq!(
                    dump.only("cHRM"),
                    numbers(&[31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000]),
                    "cHRM of sRGB"
                );
                "sRGB gAMA cHRM"
            }
            OutputGamut::DisplayP3 => {
                // 11.3.2.6 prints these four bytes for Display P3.
                assert_eq!(dump.only("cICP"), [12, 13, 0, 1]);
                assert_eq!(
                    dump.only("cHRM"),
                    numbers(&[31270, 32900, 68000, 32000, 26500, 69000, 15000, 6000]),
                    "cHRM of Display P3"
                );
                "gAMA cHRM cICP iCCP"
            }
        };
        assert_eq!(dump.only("gAMA"), numbers(&[45455]));
        assert_eq!(dump.kinds(), format!("IHDR pHYs {colour} sPLT tEXt iTXt iTXt IDAT IEND"));
        let board = &dump.chunks.iter().rfind(|(kind, _)| kind == "iTXt").unwrap().1;
        let expected = format!("{BOARD_KEYWORD}\0\0\0\0\0{}", depot().to_ron().unwrap());
        assert_eq!(String::from_utf8_lossy(board), expected);
    }
}

/// Layout, order and proportion of the suggested palette (11.3.4.4), and that its colours are those of the pixels.
#[test]
fn suggested_palette_follows_the_standard() {
    if lacks(&["python-packages"]) {
        return;
    }
    let (_folder, files) = exports();
    for (file, depth, _) in &files {
        let dump = pypng(file);
        let data = dump.only("sPLT").strip_prefix(format!("{BOARD_KEYWORD}\0").as_bytes()).unwrap();
        let (bits, entries) = data.split_first().unwrap();
        assert_eq!(*bits, depth.bits());
        let sample_bytes = usize::from(bits / 8);
        let entries: Vec<Vec<u16>> = entries
            .chunks(4 * sample_bytes + 2)
            .map(|entry| {
                let (samples, frequency) = entry.split_at(4 * sample_bytes);
                let number = |bytes: &[u8]| bytes.iter().fold(0, |sum, b| sum << 8 | u16::from(*b));
                samples.chunks(sample_bytes).chain([frequency]).map(number).collect()
            })
            .collect();
        // Shares 0.5, 0.25, 0.125, 0.0625: the second, first, third and fourth colour of the row of pixels.
        let frequencies: Vec<u16> = entries.iter().map(|e| e[4]).collect();
        assert_eq!(frequencies, [65535, 32768, 16384, 8192]);
        for (entry, pixel) in entries.iter().zip([1, 0, 2, 3]) {
            assert_eq!(entry[..3], dump.rows[0][3 * pixel..3 * pixel + 3], "{}", file.display());
            assert_eq!(entry[3], depth.max());
        }
        // Our own reader says the same.
        let palettes = read_suggested_palettes(file).unwrap();
        assert_eq!((palettes.len(), &palettes[0].name[..], palettes[0].depth), (1, BOARD_KEYWORD, *depth));
        let ours = palettes[0].entries.iter().map(|e| [&e.rgba[..], &[e.frequency]].concat());
        assert_eq!(ours.collect::<Vec<_>>(), entries);
    }
}

/// Linear light of `srgb_lab_oklab.csv` (colorjs.io 0.7.1; CSS named colours among them) must leave as the 8-bit codes
/// it was computed from, and as 257 times those in 16 bits, for pypng and for crate `image`.
#[test]
fn srgb_pixels_are_the_published_codes() {
    if lacks(&["python-packages"]) {
        return;
    }
    let rows = table("srgb_lab_oklab.csv");
    assert_eq!(rows.len(), 62);
    let colours: Vec<Colour> = rows
        .iter()
        .map(|row| numbers::<f64>(row, ["lin_r", "lin_g", "lin_b"]).map(|v| v as f32))
        .map(|[r, g, b]| Colour::new(r, g, b))
        .collect();
    let codes: Vec<[u16; 3]> = rows.iter().map(|row| numbers(row, ["r8", "g8", "b8"])).collect();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("codes.png");
    for (depth, scale) in [(Depth::Eight, 1), (Depth::Sixteen, 257)] {
        export(&file, (62, 131), depth, OutputGamut::Srgb, &colours);
        let expected: Vec<u16> = codes.as_flattened().iter().map(|c| c * scale).collect();
        let dump = pypng(&file);
        assert_eq!(dump.rows.len(), 131);
        assert!(dump.rows.iter().all(|row| *row == expected), "{depth:?}: {:?} is not {expected:?}", dump.rows[0]);
        let image = image::open(&file).unwrap();
        let samples = match depth {
            Depth::Eight => image.as_rgb8().unwrap().as_raw().iter().map(|v| u16::from(*v)).collect(),
            Depth::Sixteen => image.as_rgb16().unwrap().as_raw().clone(),
        };
        assert!(samples.chunks(3 * 62).all(|row| row == expected), "{depth:?}, crate image");
    }
}

/// 24 colours whose unclipped sRGB values (colorjs.io 0.7.1) were computed from 8-bit Display P3 codes: a Display P3
/// export must give those codes back, in 16 bits 257 times them.
#[test]
fn display_p3_pixels_are_the_published_codes() {
    if lacks(&["python-packages"]) {
        return;
    }
    let rows = table("pictures/display_p3_patches.csv");
    assert_eq!(rows.len(), 24);
    let colours: Vec<Colour> = rows
        .iter()
        .map(|row| numbers(row, ["srgb_r", "srgb_g", "srgb_b"]).map(decode))
        .map(|[r, g, b]| Colour::new(r, g, b))
        .collect();
    let codes: Vec<[u16; 3]> = rows.iter().map(|row| numbers(row, ["p3_r8", "p3_g8", "p3_b8"])).collect();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("p3.png");
    for (depth, scale) in [(Depth::Eight, 1), (Depth::Sixteen, 257)] {
        export(&file, (24, 3), depth, OutputGamut::DisplayP3, &colours);
        let expected: Vec<u16> = codes.as_flattened().iter().map(|c| c * scale).collect();
        let dump = pypng(&file);
        assert!(dump.rows.iter().all(|row| *row == expected), "{depth:?}: {:?} is not {expected:?}", dump.rows[0]);
    }
}

/// The decoder of crate `png`, strict about checksums, agrees about colour space and text.
#[test]
fn crate_png_reads_colour_space_and_text() {
    let (_folder, files) = exports();
    for (file, _, gamut) in &files {
        let mut decoder = png::Decoder::new(std::io::BufReader::new(fs::File::open(file).unwrap()));
        decoder.ignore_checksums(false);
        let reader = decoder.read_info().unwrap();
        let info = reader.info();
        let text: Vec<_> = info.utf8_text.iter().map(|t| (t.keyword.clone(), t.get_text().unwrap())).collect();
        let expected = [("Title", depot().name), (BOARD_KEYWORD, depot().to_ron().unwrap())];
        assert_eq!(text, expected.map(|(keyword, text)| (keyword.to_owned(), text)));
        assert_eq!(info.srgb.is_some(), *gamut == OutputGamut::Srgb);
        let primaries = info.coding_independent_code_points.map(|c| c.color_primaries);
        assert_eq!(primaries, (*gamut == OutputGamut::DisplayP3).then_some(12));
    }
}

#[test]
fn the_board_comes_back() {
    let (_folder, files) = exports();
    for (file, ..) in &files {
        assert_eq!(read_attached(file).unwrap(), depot());
    }
}

/// A board in front of damaged or missing pixels is still there; a cut or a wrong bit in the board itself is told.
#[test]
fn damage_is_told_or_survived() {
    let (folder, files) = exports();
    let whole = fs::read(&files[0].0).unwrap();
    let find = |word: &[u8]| whole.windows(word.len()).position(|w| w == word).unwrap();
    let (board, pixels) = (find(b"wet yard"), find(b"IDAT"));
    let read = |bytes: &[u8]| {
        let path = folder.path().join("damaged.png");
        fs::write(&path, bytes).unwrap();
        read_attached(&path)
    };
    assert_eq!(read(&whole[..pixels + 10]).unwrap(), depot());
    for cut in [9, 40, board, pixels - 5] {
        let error = read(&whole[..cut]).unwrap_err();
        assert!(matches!(error, PictureError::Truncated { at, .. } if at == cut as u64), "{error}");
        assert!(error.to_string().contains("damaged.png is cut short"), "{error}");
    }
    let mut wrong = whole.clone();
    wrong[board] ^= 0x20;
    let error = read(&wrong).unwrap_err();
    assert!(matches!(error, PictureError::DamagedBoard { .. }) && error.to_string().contains("checksum"), "{error}");
}

/// A damaged board is not passed over for another one made up from the pixels.
#[test]
fn no_board_is_proposed_in_place_of_a_damaged_one() {
    let (_folder, files) = exports();
    let folder = TestFolder::new();
    let whole = fs::read(&files[0].0).unwrap();
    let find = |word: &[u8]| whole.windows(word.len()).position(|w| w == word).unwrap();
    // In the text, in the keyword, and in its checksum.
    let keyword = find(format!("iTXt{BOARD_KEYWORD}\0").as_bytes()) + 4;
    let family = keyword + whole[keyword..].windows(8).position(|w| w == b"wet yard").unwrap();
    // The chunk's length stands before its kind, and the checksum behind its data.
    let length = u32::from_be_bytes(whole[keyword - 8..keyword - 4].try_into().unwrap()) as usize;
    for at in [family, keyword + 3, keyword + length + 2] {
        let mut wrong = whole.clone();
        wrong[at] ^= 0x20;
        folder.write("damaged.png", &wrong);
        let run = folder.stint(["board", "from", "damaged.png", "-o", "made.board.ron"]);
        run.refused(&["the board in damaged.png is damaged", "checksum"]);
        assert_eq!(folder.files(), ["damaged.png"], "{at}");
    }
    // A damaged title is no damage to the board.
    let mut wrong = whole.clone();
    wrong[find(b"Title\0") + 8] ^= 0x20;
    folder.write("damaged.png", &wrong);
    folder.stint(["board", "from", "damaged.png", "-o", "made.board.ron"]).success();
    assert_eq!(std::fs::read_to_string(folder.path("made.board.ron")).unwrap(), board_text(&depot().board).unwrap());
}

/// A reader that knows profiles and not `cICP` sees the colours that were meant: littleCMS, through Pillow. One that knows `cICP` is
/// tested above.
#[test]
fn display_p3_is_read_through_its_profile_too() {
    if lacks(&["python-packages"]) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("p3.png");
    let colours: Vec<Colour> = depot().palette.iter().map(|e| e.colour).collect();
    export(&path, (4, 1), Depth::Eight, OutputGamut::DisplayP3, &colours);
    let python = std::env::var("STINT_TEST_PYTHON").unwrap_or_else(|_| "python3".into());
    let advice = "set STINT_TEST_PYTHON to a Python 3 that has the package pillow (python3 -m pip install pillow)";
    let output = run(&python, &[&format!("{DATA}/pictures/through_profile.py")], &path, advice);
    assert!(output.status.success(), "{advice}\n{}", String::from_utf8_lossy(&output.stderr));
    let said = String::from_utf8(output.stdout).unwrap();
    let mut lines = said.lines();
    assert_eq!(lines.next(), Some("Display P3"));
    for (line, colour) in lines.by_ref().zip(&colours) {
        let seen: Vec<u8> = line.split(' ').map(|code| code.parse::<u8>().unwrap()).collect();
        let apart = seen.iter().zip(colour.to_srgb8()).map(|(a, b)| a.abs_diff(b)).max().unwrap();
        // Two roundings to 8 bits, of which the first is in another space.
        assert!(apart <= 2, "{seen:?} for {:?}", colour.to_srgb8());
    }
    assert_eq!(said.lines().count(), 5);
}

/// The time is in a text chunk of its own before the board, as a length of time by ISO 8601, and comes back; the text of the board is
/// the same without it, so that programs of before read it.
#[test]
fn the_time_that_a_study_took_goes_beside_the_board() {
    let folder = tempfile::tempdir().unwrap();
    let written = |worked_s: Option<u64>| {
        let path = folder.path().join("depot.png");
        let fill = &mut |_, pixels: &mut [Colour]| {
            pixels.fill(Colour::new(0.1, 0.1, 0.1));
            Ok(())
        };
        let attached = Attached { worked_s, ..depot() };
        write_png(&path, Replace::Asked, (4, 1), &PngOptions::default(), &attached, fill, &mut |_| {}).unwrap();
        assert_eq!(read_attached(&path).unwrap(), attached);
        path
    };
    let plain = written(None);
    if lacks(&["python-packages"]) {
        return;
    }
    let texts = |path: &Path| -> Vec<Vec<u8>> {
        pypng(path).chunks.into_iter().filter(|(kind, _)| kind == "iTXt").map(|(_, data)| data).collect()
    };
    let before = texts(&plain);
    let after = texts(&written(Some(21 * 60 + 23)));
    assert_eq!(after.len(), before.len() + 1);
    assert_eq!(after[1], b"Painting time\0\0\0\0\0PT21M23S");
    assert_eq!((&after[0], &after[2]), (&before[0], &before[1]));
}

/// A file of another maker: both palettes, and no board.
#[test]
fn suggested_palettes_of_other_programs_are_read() {
    if lacks(&["python-packages"]) {
        return;
    }
    let file = Path::new(DATA).join("pictures/splt_itxt.png");
    let palettes = read_suggested_palettes(&file).unwrap();
    let facts: Vec<_> = palettes.iter().map(|p| (&p.name[..], p.depth, p.entries.len())).collect();
    assert_eq!(facts, [("board", Depth::Eight, 4), ("board 16-bit", Depth::Sixteen, 2)]);
    // The same bytes as pypng sees them.
    let dump = pypng(&file);
    let raw: Vec<&[u8]> = dump.chunks.iter().filter(|(kind, _)| kind == "sPLT").map(|(_, d)| &d[..]).collect();
    let wide = |b: &[u8]| u16::from_be_bytes([b[0], b[1]]);
    let eight = raw[0][b"board\0\x08".len()..]
        .chunks(6)
        .map(|e| SuggestedEntry { rgba: [e[0], e[1], e[2], e[3]].map(u16::from), frequency: wide(&e[4..]) });
    let sixteen = raw[1][b"board 16-bit\0\x10".len()..]
        .chunks(10)
        .map(|e| SuggestedEntry { rgba: [0, 2, 4, 6].map(|i| wide(&e[i..])), frequency: wide(&e[8..]) });
    assert_eq!(palettes[0].entries, eight.collect::<Vec<_>>());
    assert_eq!(palettes[1].entries, sixteen.collect::<Vec<_>>());
    let error = read_attached(&file).unwrap_err();
    assert!(matches!(error, PictureError::NoBoard { .. }), "{error}");
    assert!(error.to_string().contains("splt_itxt.png carries no board: "), "{error}");
}
