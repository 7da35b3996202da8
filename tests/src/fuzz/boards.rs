//! Boards as text: our own, style sheets, design tokens.

use super::{read, text};
use crate::scenes;
use stint_model::board::check::check;
use stint_model::board::exchange::{css, tokens};
use stint_model::board::file::{board_text, parse_board};
use stint_model::board::review::review;
use stint_model::board::{Board, Distance, Role};

/// Whatever is let through is sound, can be reviewed, and comes back from text.
fn holds(board: &Board) {
    assert_eq!(check(board), Ok(()));
    let text = board_text(board).expect("what was read can be written");
    let again = parse_board(&text, "again").expect("what was written can be read");
    assert_eq!(&again, board);
    if board.swatches().count() <= 60 {
        review(board);
    }
}

/// A board file.
pub(super) fn ron(bytes: &[u8]) {
    if let Some(board) = read(parse_board(text(bytes), "fuzzed.board.ron")) {
        holds(&board);
    }
}

/// A style sheet.
pub(super) fn css(bytes: &[u8]) {
    if let Some(incoming) = read(css::read(text(bytes), "fuzzed.css")) {
        holds(&incoming.board);
        let again = css::from_css(&css::to_css(&incoming.board), "again").expect("our own sheet is read");
        assert_eq!(again, incoming.board);
    }
}

/// Design tokens.
pub(super) fn tokens(bytes: &[u8]) {
    if let Some(incoming) = read(tokens::read(text(bytes), "fuzzed.tokens")) {
        holds(&incoming.board);
        let again = tokens::from_tokens(&tokens::to_tokens(&incoming.board), "again").expect("our own tokens are read");
        assert_eq!(again, incoming.board);
    }
}

fn boards() -> Vec<Board> {
    let mut full = scenes::board(3);
    full.families[0].distance = Some(Distance::Far);
    full.families[1].name = "wet \"yard\" 夜".to_owned();
    full.families[1].swatches[0].name = "puddle".to_owned();
    full.families[2].swatches[2].role = Role::Accent;
    full.photo = "yard 3.jpg".to_owned();
    full.date = "2026-11-25".to_owned();
    vec![scenes::board(1), full]
}

pub(super) fn ron_seeds() -> Vec<Vec<u8>> {
    let samples = ["formats/board_1.board.ron", "formats/board_2.board.ron"];
    let samples = samples.iter().map(|name| std::fs::read(super::data(name)).expect("test data can be read"));
    boards().iter().map(|board| board_text(board).expect("a board has a text").into_bytes()).chain(samples).collect()
}

pub(super) fn css_seeds() -> Vec<Vec<u8>> {
    let others = [
        ":root { --wet-yard-shadow: #1b2027; --wet-yard-light: rgb(180 190 210 / 50%); }",
        "/* --a: red; */ @media (min-width: 3px) { .x { --brick-local: oklch(0.6 0.1 40deg); --w: 12px } }",
        "--a: color(display-p3 0.5 0.2 0.1); --b: color-mix(in oklab, red, blue); --c: var(--a, hwb(30 10% 20%))",
        "--lamp\\20 one: lab(80% 20 60); --x: lch(40 30 200); --y: hsl(210deg, 30%, 20%); --z: transparent",
        "--n: color(xyz-d50 0.2 0.2 none); --m: oklab(0.4 -0.1 calc(1 / 3)); --k: currentcolor !important;",
    ];
    let own = boards().into_iter().map(|board| css::to_css(&board).into_bytes());
    own.chain(others.map(|other| other.as_bytes().to_vec())).collect()
}

pub(super) fn token_seeds() -> Vec<Vec<u8>> {
    let others = [
        r##"{"brick":{"$type":"color","local":{"$value":{"colorSpace":"srgb","components":[0.5,0.3,0.2]}}}}"##,
        r##"{"a":{"$value":"{b.c}"},"b":{"$type":"color","c":{"$value":"#1b2027"},"$extends":"{a}"}}"##,
        r##"{"x":{"$type":"color","$value":{"colorSpace":"oklch","components":[0.6,"none",40],"alpha":0.5,"hex":"#aabbcc"}}}"##,
        r##"{"g":{"$root":{"$type":"color","$value":"#fff"},"$ref":"#/x/$value","d":{"$type":"dimension","$value":"1px"}}}"##,
    ];
    let own = boards().into_iter().map(|board| tokens::to_tokens(&board).into_bytes());
    own.chain(others.map(|other| other.as_bytes().to_vec())).collect()
}
