//! Memory: what is refused takes little, and what is opened takes no more than the README says. The system keeps each bound
//! (`ulimit -d`, in KiB); what goes beyond it ends the program, which fails the test.
#![cfg(target_os = "linux")]

use crate::study_support::{counted, crc32, document};
use rusqlite::Connection;
use std::io::Write;
use stint::study::command::Command;
use stint_model::ids::PassId;
use stint_model::photo::Photo;
use stint_model::study::file::{Shares, Step, StepKind, StudyFile, TileChange};
use stint_model::study::tile::{MAX_PLANES, Plane, TILE_SIDE, TileKey, TilePixels, TilePos};
use stint_tests::numbers::Numbers;
use stint_tests::program::{RunOutput, TestFolder};

/// Runs the program in no more than so much memory, on two threads.
fn within(desk: &TestFolder, mib: u64, arguments: &str) -> RunOutput {
    desk.shell(&format!("export RAYON_NUM_THREADS=2; ulimit -d {}; exec $STINT {arguments}", mib * 1024))
}

/// A study of a few megabytes whose tiles, the same everywhere, take `mib` MiB: eight planes of pixels in each.
fn packed_study(desk: &TestFolder, name: &str, mib: u32) {
    const TILE_MIB: f64 = 0.5;
    let plane = |paint: u32| Plane::from_fn(|i| paint << 16 | (1000 + i as u32 % 2));
    let tile = TilePixels::new((1..=MAX_PLANES as u32).map(plane).collect());
    let mut large = document();
    (large.width, large.height) = (16_384, 16_384);
    let mut study = StudyFile::create(&desk.path(name), &large).unwrap();
    let key = TileKey { pass: PassId(1), pos: TilePos { column: 0, row: 0 } };
    let tiles = [TileChange { key, before: &TilePixels::default(), after: &tile }];
    let (label, kind, shares) = ("Stroke", StepKind::Stroke, Shares::EMPTY);
    study
        .record(Step { label, kind, command: "", document: None, tiles: &tiles, shares, noted: Default::default() })
        .unwrap();
    study.close().unwrap();
    let db = Connection::open(desk.path(name)).unwrap();
    db.execute_batch("BEGIN").unwrap();
    let read = |row: &rusqlite::Row<'_>| Ok((row.get(0)?, row.get(1)?));
    let (tally, planes): (Vec<u8>, Vec<u8>) = db.query_row("SELECT tally, planes FROM tile", [], read).unwrap();
    let across = i64::from(16_384 / TILE_SIDE);
    for i in 1..(f64::from(mib) / TILE_MIB) as i64 {
        let numbers = [1, i / across, i % across, MAX_PLANES as i64];
        let sum = crc32(&[&numbers.map(i64::to_le_bytes).concat(), &counted(&tally), &counted(&planes)]);
        let values = (numbers[0], numbers[1], numbers[2], numbers[3], &tally, &planes, sum);
        let insert = "INSERT INTO tile (pass, tile_row, tile_column, plane_count, tally, planes, check_sum) \
                      VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)";
        db.execute(insert, values).unwrap();
    }
    db.execute_batch("COMMIT").unwrap();
    drop(db);
    let bytes = desk.path(name).metadata().unwrap().len();
    println!("{name}: {} KiB for {mib} MiB of paint", bytes >> 10);
    assert!(bytes < 16 << 20, "{bytes}");
}

#[test]
fn a_small_study_that_demands_gibibytes_takes_little_to_refuse() {
    let desk = TestFolder::new();
    packed_study(&desk, "depot.stint", 8192);
    for arguments in [
        "readout depot.stint",
        "export depot.stint -o depot.png",
        "open depot.stint",
        "board show depot.stint",
        "study depot.stint --copy copy.stint",
    ] {
        let said = within(&desk, 256, &format!("{arguments}{}", engine(arguments)));
        said.refused(&["depot.stint takes 8192 MiB of memory", "4096 MiB", "merge or clear a pass"]);
    }
    assert_eq!(desk.files(), ["depot.stint"]);
}

fn engine(arguments: &str) -> &'static str {
    let takes_one = ["readout", "export", "open"].iter().any(|command| arguments.starts_with(command));
    if takes_one { " --engine cpu" } else { "" }
}

/// Neither all packed tiles nor a second copy of them is held on the way.
#[test]
fn a_study_takes_the_memory_of_its_paint_and_little_beside() {
    const PAINT_MIB: u32 = 512;
    const BESIDE_MIB: u64 = 192;
    let desk = TestFolder::new();
    packed_study(&desk, "depot.stint", PAINT_MIB);
    let most = u64::from(PAINT_MIB) + BESIDE_MIB;
    let told = within(&desk, most, "readout depot.stint --engine cpu").success();
    assert!(told.contains("100.0 % of the paint lies in pixels of eight paints"), "{told}");
    within(&desk, most, "open depot.stint --engine cpu").success();
    let little = within(&desk, u64::from(PAINT_MIB), "readout depot.stint --engine cpu");
    assert_ne!(little.code, Some(0), "the bound is none, or the paint is not held: {little:?}");
}

/// RGBA of 16 bits, 120 megapixels.
const LARGE: (u32, u32) = (12_000, 10_000);
/// What opening any photo may take, MiB.
const PHOTO_MIB: u64 = 1024;

/// Equal rows under the filter that makes nothing of them: a small file.
fn large_png(desk: &TestFolder) {
    let file = std::io::BufWriter::new(std::fs::File::create(desk.path("large.png")).unwrap());
    let mut encoder = png::Encoder::new(file, LARGE.0, LARGE.1);
    encoder.set_color(png::ColorType::Rgba);
    encoder.set_depth(png::BitDepth::Sixteen);
    encoder.set_compression(png::Compression::Fast);
    encoder.set_filter(png::Filter::Up);
    let mut writer = encoder.write_header().unwrap();
    let mut stream = writer.stream_writer().unwrap();
    let row: Vec<u8> = (0..LARGE.0).flat_map(|x| [x as u8, 0x40, 0x60, 0, 0x80, 0, 0xff, 0xff]).collect();
    (0..LARGE.1).for_each(|_| stream.write_all(&row).unwrap());
    stream.finish().unwrap();
    writer.finish().unwrap();
}

/// TIFF 6.0: one value everywhere, packed by its section 9 (PackBits: 129 and a byte are 128 of them), 100 rows a strip.
fn large_tiff(desk: &TestFolder) {
    const ROWS: u32 = 100;
    let strips = LARGE.1 / ROWS;
    let strip = [129_u8, 0x55].repeat((LARGE.0 * 8 / 128 * ROWS) as usize);
    let long = |tag: u16, values: &[u32]| {
        (tag, 4_u16, values.len() as u32, values.iter().flat_map(|v| v.to_le_bytes()).collect::<Vec<u8>>())
    };
    let short = |tag: u16, values: &[u16]| {
        (tag, 3_u16, values.len() as u32, values.iter().flat_map(|v| v.to_le_bytes()).collect::<Vec<u8>>())
    };
    let places: Vec<u32> = (0..strips).map(|i| 8 + i * strip.len() as u32).collect();
    let entries = [
        long(256, &[LARGE.0]),
        long(257, &[LARGE.1]),
        short(258, &[16; 4]),
        short(259, &[32_773]),
        short(262, &[2]),
        long(273, &places),
        short(277, &[4]),
        long(278, &[ROWS]),
        long(279, &vec![strip.len() as u32; strips as usize]),
        short(338, &[2]),
    ];
    let mut bytes = b"II*\0".to_vec();
    let directory = 8 + strips * strip.len() as u32;
    bytes.extend(directory.to_le_bytes());
    (0..strips).for_each(|_| bytes.extend(&strip));
    let at = directory + 2 + 12 * entries.len() as u32 + 4;
    let mut beside = Vec::new();
    bytes.extend((entries.len() as u16).to_le_bytes());
    for (tag, kind, count, values) in entries {
        bytes.extend([tag.to_le_bytes(), kind.to_le_bytes()].concat());
        bytes.extend(count.to_le_bytes());
        if values.len() <= 4 {
            bytes.extend(&values);
            bytes.resize(bytes.len() + 4 - values.len(), 0);
        } else {
            bytes.extend((at + beside.len() as u32).to_le_bytes());
            beside.extend(values);
        }
    }
    // No further page.
    bytes.extend([0; 4]);
    bytes.extend(beside);
    std::fs::write(desk.path("large.tif"), bytes).unwrap();
}

#[test]
fn photos_of_120_megapixels_with_16_bits_are_opened_within_a_gibibyte() {
    let desk = TestFolder::new();
    large_png(&desk);
    large_tiff(&desk);
    for name in ["large.png", "large.tif"] {
        let said = within(&desk, PHOTO_MIB, &format!("open {name} --out {name}.stint --engine cpu")).success();
        assert!(said.contains(name), "{said}");
        // Much less is not enough, or the bound says nothing.
        assert_ne!(within(&desk, PHOTO_MIB - 200, &format!("board from {name}")).code, Some(0), "{name}");
    }
}

/// A file that is as long as what it holds, as noise is. It goes into the study piece by piece: nothing of it is held twice.
#[test]
fn taking_a_photo_in_takes_no_more_than_the_readme_says() {
    const SIDE: (u32, u32) = (4096, 3072);
    const BESIDE_MIB: u64 = 64;
    let desk = TestFolder::new();
    let mut numbers = Numbers(9);
    let noise: Vec<u16> = (0..SIDE.0 * SIDE.1 * 4).map(|_| numbers.below(65_536) as u16).collect();
    let picture = image::ImageBuffer::<image::Rgba<u16>, _>::from_raw(SIDE.0, SIDE.1, noise).unwrap();
    picture.save(desk.path("noise.png")).unwrap();
    let file_mib = desk.path("noise.png").metadata().unwrap().len() >> 20;
    let samples_mib = u64::from(SIDE.0 * SIDE.1 * 8) >> 20;
    assert!(file_mib >= samples_mib);
    let opened = file_mib + samples_mib + BESIDE_MIB;
    within(&desk, opened, "board from noise.png").success();
    within(&desk, opened, "open noise.png --out noise.stint --engine cpu").success();
    // The same bytes are known again, and kept once.
    desk.script("again.ron", SIDE, ["noise.png", "noise.png"].map(|name| Command::Reference(name.to_owned())).to_vec());
    within(&desk, opened + samples_mib, "play again.ron --out again.stint --engine cpu").success();
    assert!(desk.path("again.stint").metadata().unwrap().len() >> 20 < file_mib + 8);
    let kept = StudyFile::open(&desk.path("again.stint")).unwrap().photo(1).unwrap().1;
    assert!(kept.len() as u64 >> 20 == file_mib && Photo::from_bytes(&kept, "kept.png").is_ok());
}
