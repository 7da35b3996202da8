//! Board files: what is written comes back, and what is wrong is refused with its place.

use proptest::prelude::*;
use stint_model::board::file::{BoardFileError, board_text, parse_board, read_board, write_board};
use stint_model::board::{Board, Family, LightOfDay, Role, Swatch};
use stint_model::colour::Colour;
use stint_model::ids::{FamilyId, SwatchId};

const DEPOT: &str = "\
(
    format: 2,
    name: \"tram depot, blue hour\",
    light: Cool,
    families: [
        (
            id: 1,
            name: \"wet yard\",
            swatches: [
                (id: 1, role: Shadow, colour: (0.021, 0.028, 0.052)),
                (id: 2, role: Light, name: \"puddle\", colour: (0.21, 0.27, 0.4)),
            ],
        ),
        (
            id: 2,
            name: \"lamps\",
            swatches: [
                (id: 5, role: Accent, colour: (1.25, 0.6, -0.05)),
            ],
        ),
    ],
)
";

fn depot() -> Board {
    let swatch = |id, role, name: &str, (r, g, b)| Swatch {
        id: SwatchId(id),
        role,
        name: name.to_owned(),
        colour: Colour::new(r, g, b),
    };
    let family = |id, name: &str, swatches| Family { swatches, ..Family::new(FamilyId(id), name) };
    let yard =
        vec![swatch(1, Role::Shadow, "", (0.021, 0.028, 0.052)), swatch(2, Role::Light, "puddle", (0.21, 0.27, 0.4))];
    let lamps = vec![swatch(5, Role::Accent, "", (1.25, 0.6, -0.05))];
    Board {
        families: vec![family(1, "wet yard", yard), family(2, "lamps", lamps)],
        ..Board::new("tram depot, blue hour", LightOfDay::Cool)
    }
}

fn message(text: &str) -> String {
    match parse_board(text, "depot.board.ron") {
        Ok(board) => panic!("accepted: {board:?}"),
        Err(error) => error.to_string(),
    }
}

/// The text with one part replaced, which must be there.
fn with(from: &str, to: &str) -> String {
    assert!(DEPOT.contains(from), "{from}");
    DEPOT.replacen(from, to, 1)
}

#[test]
fn the_text_is_one_line_a_swatch() {
    assert_eq!(board_text(&depot()).unwrap(), DEPOT);
    assert_eq!(parse_board(DEPOT, "depot").unwrap(), depot());
}

#[test]
fn text_written_by_hand_is_read() {
    let edited = DEPOT.replace("    ", "\t").replace('\n', "\r\n").replace("0.4)", "4e-1)") + "// Tuesday\r\n";
    assert_eq!(parse_board(&edited, "depot").unwrap(), depot());
    assert_eq!(parse_board(&format!("\u{feff}{DEPOT}"), "depot").unwrap(), depot());
    assert_eq!(parse_board(&format!("Board{DEPOT}"), "depot").unwrap(), depot());
}

#[test]
fn an_unknown_field_is_named_with_its_line() {
    for (from, to, field, line) in [
        ("    light: Cool,", "    light: Cool,\n    season: 3,", "season", 5),
        ("            name: \"lamps\",", "            name: \"lamps\",\n            weight: 2,", "weight", 17),
        ("role: Accent,", "role: Accent, gloss: true,", "gloss", 18),
    ] {
        let said = message(&with(from, to));
        assert!(said.contains(&format!("depot.board.ron, line {line}, ")) && said.contains(field), "{said}");
    }
}

#[test]
fn a_missing_field_and_a_broken_bracket_have_a_line() {
    for (from, to, line) in [
        ("role: Shadow, ", "", 10),
        ("(0.21, 0.27, 0.4)", "(0.21, 0.27)", 11),
        // Seen where the text can no longer go on: in the next line.
        ("(0.21, 0.27, 0.4))", "(0.21, 0.27, 0.4)", 12),
        ("role: Light", "role: Lit", 11),
    ] {
        let said = message(&with(from, to));
        assert!(said.contains(&format!("line {line}, ")), "{said}");
    }
    for end in 0..DEPOT.trim_end().len() {
        message(&DEPOT[..end]);
    }
}

#[test]
fn a_later_format_is_told_before_anything_else() {
    let said = message(&with("format: 2,", "format: 3, hours: [(1, \"x\"), {3: Some(4)}], moon: Waxing(0.4),"));
    assert!(said.contains("newer Stint (format 3, this one reads 2); update the program"), "{said}");
    assert!(message(&with("format: 2", "format: 0")).contains("format 0"));
    assert!(message(&with("    format: 2,\n", "")).contains("`format`"));
}

#[test]
fn colours_that_are_no_numbers_have_a_line() {
    for bad in ["NaN", "inf", "-inf", "1e99"] {
        let said = message(&with("0.27", bad));
        assert!(said.contains("line 11, ") && said.contains("three finite numbers"), "{bad}: {said}");
    }
}

#[test]
fn ids_and_names_are_checked_with_their_line() {
    for (from, to, expected) in [
        ("id: 5", "id: 2", "line 18: swatch 1 of family 2 \"lamps\" has id 2, which an earlier one has too"),
        ("id: 2, role", "id: 0, role", "line 11: swatch 2 \"puddle\" of family 1 \"wet yard\" has id 0"),
        ("id: 2,\n", "id: 1,\n", "line 14: family 2 \"lamps\" has id 1, which an earlier one has too"),
        ("id: 1,\n", "id: 0,\n", "line 6: family 1 \"wet yard\" has id 0"),
        ("\"lamps\"", "\"  \"", "line 14: family 2 has no name"),
        ("\"tram depot, blue hour\"", "\"\"", "the board in depot.board.ron has no name"),
    ] {
        let said = message(&with(from, to));
        assert!(said.contains(expected), "{said}");
    }
}

#[test]
fn a_file_is_replaced_whole_or_not_at_all() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.board.ron");
    write_board(&path, &depot()).unwrap();
    assert_eq!(read_board(&path).unwrap(), depot());

    let mut twice = depot();
    twice.families[1].swatches[0].id = SwatchId(1);
    assert!(matches!(write_board(&path, &twice), Err(BoardFileError::Refused { .. })));
    let mut nameless = depot();
    nameless.name.clear();
    assert!(matches!(write_board(&path, &nameless), Err(BoardFileError::NoName { .. })));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), DEPOT);

    let mut other = depot();
    other.light = LightOfDay::Warm;
    write_board(&path, &other).unwrap();
    assert_eq!(read_board(&path).unwrap(), other);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    let nowhere = folder.path().join("none").join("depot.board.ron");
    assert!(matches!(write_board(&nowhere, &other), Err(BoardFileError::Write { .. })));
}

#[cfg(unix)]
#[test]
fn permissions_and_links_stay() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let folder = tempfile::tempdir().unwrap();
    let (path, link) = (folder.path().join("depot.board.ron"), folder.path().join("today.board.ron"));
    write_board(&path, &depot()).unwrap();
    std::fs::set_permissions(&path, PermissionsExt::from_mode(0o640)).unwrap();
    symlink(&path, &link).unwrap();
    let mut other = depot();
    other.name = "tram depot, noon".to_owned();
    write_board(&link, &other).unwrap();
    assert!(link.symlink_metadata().unwrap().is_symlink());
    assert_eq!(read_board(&path).unwrap(), other);
    assert_eq!(path.metadata().unwrap().permissions().mode() & 0o777, 0o640);
}

#[test]
fn files_that_are_no_boards_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("depot.board.ron");
    assert!(matches!(read_board(&path), Err(BoardFileError::Read { .. })));
    assert!(matches!(read_board(folder.path()), Err(BoardFileError::Read { .. })));
    std::fs::write(&path, b"(format: 2,\n name: \"\xff\")").unwrap();
    assert!(matches!(read_board(&path), Err(BoardFileError::NotText { line: 2, .. })));
    std::fs::write(&path, b"").unwrap();
    assert!(matches!(read_board(&path), Err(BoardFileError::Text { .. })));
    std::fs::write(&path, "[".repeat(100_000)).unwrap();
    assert!(matches!(read_board(&path), Err(BoardFileError::Text { .. })));
    std::fs::File::create(&path).unwrap().set_len(17 << 20).unwrap();
    assert!(matches!(read_board(&path), Err(BoardFileError::TooLong { .. })));
}

/// Any text, with the letters that text formats trip over well represented.
fn any_name() -> impl Strategy<Value = String> {
    const TRICKY: &[&str] = &["\"", "\"#", "\\", "'", "\n", "\r\n", "\t", "//", "/*", "{", "\u{301}", "क्षि", "\0"];
    let part = prop_oneof![any::<String>(), prop::sample::select(TRICKY).prop_map(str::to_owned)];
    prop::collection::vec(part, 0..4).prop_map(|parts| parts.concat())
}

fn any_colour() -> impl Strategy<Value = Colour> {
    // Every finite f32 by its bits, zeros of both signs and denormals included.
    let part = || any::<u32>().prop_map(f32::from_bits).prop_filter("finite", |v| v.is_finite());
    (part(), part(), part()).prop_map(|(r, g, b)| Colour::new(r, g, b))
}

fn any_board() -> impl Strategy<Value = Board> {
    let swatch = (prop::sample::select(&Role::ALL[..]), any_name(), any_colour());
    let family = (any_name(), prop::collection::vec(swatch, 0..5));
    let light = prop::sample::select(&[LightOfDay::Warm, LightOfDay::Cool, LightOfDay::Neutral][..]);
    let parts = (any_name(), light, prop::collection::vec(family, 0..4), 1..u32::MAX - 100);
    parts.prop_map(|(name, light, families, first_id)| {
        let mut ids = first_id..;
        let mut board = Board::new(&format!("{name}."), light);
        for (name, swatches) in families {
            let id = FamilyId(ids.next().unwrap());
            let swatches = swatches.into_iter().map(|(role, name, colour)| {
                let id = SwatchId(ids.next().unwrap());
                Swatch { id, role, name, colour }
            });
            board.families.push(Family { swatches: swatches.collect(), ..Family::new(id, &format!("{name}.")) });
        }
        board
    })
}

fn bits(board: &Board) -> Vec<[u32; 3]> {
    board.swatches().map(|(_, s)| [s.colour.r, s.colour.g, s.colour.b].map(f32::to_bits)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_board_comes_back_bit_by_bit(board in any_board()) {
        let text = board_text(&board).unwrap();
        let back = parse_board(&text, "any").map_err(|e| TestCaseError::fail(format!("{e}\n{text}")))?;
        prop_assert_eq!(bits(&back), bits(&board));
        prop_assert_eq!(back, board);
    }

    #[test]
    fn any_text_is_read_or_refused(text in any_name(), at in 0..DEPOT.len()) {
        // Reaching the end is what is tested: no text may panic.
        let _ = parse_board(&text, "any");
        let _ = parse_board(&format!("{}{text}{}", &DEPOT[..at], &DEPOT[at..]), "any");
    }
}
