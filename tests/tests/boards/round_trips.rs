//! Any board through CSS, design tokens and a card, and any text read as one.

use crate::exchange_support::{depot, patches};
use proptest::prelude::*;
use std::collections::HashMap;
use stint_model::board::check::check;
use stint_model::board::exchange::card::svg;
use stint_model::board::exchange::css::{self, from_css, to_css};
use stint_model::board::exchange::tokens::{self, from_tokens, to_tokens};
use stint_model::board::{Board, Distance, Family, LightOfDay, Role, Swatch};
use stint_model::colour::Colour;
use stint_model::ids::{FamilyId, SwatchId};

/// Any text without NUL, which CSS does not have, with what formats trip over well represented.
fn any_name() -> impl Strategy<Value = String> {
    const TRICKY: &[&str] = &[
        "\"",
        "'",
        "\\",
        "\n",
        "\r\n",
        "\t",
        "*/",
        "/*",
        "{",
        "}",
        "$",
        ".",
        ";",
        "board",
        "-",
        "--",
        "shadow",
        "<",
        "&",
        "]]>",
        "\u{301}",
        "क्षि",
        "\u{feff}",
        "\u{ffff}",
        "2",
    ];
    let part = prop_oneof![any::<String>(), prop::sample::select(TRICKY).prop_map(str::to_owned)];
    prop::collection::vec(part, 0..4).prop_map(|parts| parts.concat().replace('\0', ""))
}

fn any_colour() -> impl Strategy<Value = Colour> {
    let inside = (any::<u8>(), any::<u8>(), any::<u8>()).prop_map(|(r, g, b)| Colour::from_srgb8([r, g, b]));
    let near = (-0.5..2.0_f32, -0.5..2.0_f32, -0.5..2.0_f32).prop_map(|(r, g, b)| Colour::new(r, g, b));
    // Every finite f32 by its bits, zeros of both signs and denormals included.
    let part = || any::<u32>().prop_map(f32::from_bits).prop_filter("finite", |v| v.is_finite());
    let far = (part(), part(), part()).prop_map(|(r, g, b)| Colour::new(r, g, b));
    prop_oneof![2 => inside, 2 => near, 1 => far]
}

fn any_board() -> impl Strategy<Value = Board> {
    let swatch = (prop::sample::select(&Role::ALL[..]), any_name(), any_colour());
    let distance = prop::option::of(prop::sample::select(&Distance::ALL[..]));
    let family = (any_name(), distance, prop::collection::vec(swatch, 0..5));
    let light = prop::sample::select(&[LightOfDay::Warm, LightOfDay::Cool, LightOfDay::Neutral][..]);
    let texts = (any_name(), any_name(), any_name());
    let parts = (texts, light, prop::collection::vec(family, 0..4), 1..u32::MAX - 100);
    parts.prop_map(|((name, date, photo), light, families, last_id)| {
        // Ids that do not rise, so that order is not mistaken for them.
        let mut ids = (0..).map(|n: u32| last_id ^ n);
        let mut board = Board { date, photo, ..Board::new(&name, light) };
        for (name, distance, swatches) in families {
            let id = FamilyId(ids.next().unwrap().max(1));
            let swatches = swatches.into_iter().map(|(role, name, colour)| {
                let id = SwatchId(ids.next().unwrap().max(1));
                Swatch { id, role, name, colour }
            });
            board.families.push(Family {
                swatches: swatches.collect(),
                distance,
                ..Family::new(id, &format!("{name}."))
            });
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
    fn any_board_comes_back_from_css(board in any_board().prop_filter("sound", |b| check(b).is_ok())) {
        let text = to_css(&board);
        let back = css::read(&text, "other").map_err(|e| TestCaseError::fail(format!("{e}\n{text}")))?;
        prop_assert_eq!(bits(&back.board), bits(&board), "{}", text);
        prop_assert_eq!((&back.board, back.left_out), (&board, 0), "{}", text);
    }

    #[test]
    fn any_board_comes_back_from_tokens(board in any_board().prop_filter("sound", |b| check(b).is_ok())) {
        let text = to_tokens(&board);
        let back = tokens::read(&text, "other").map_err(|e| TestCaseError::fail(format!("{e}\n{text}")))?;
        prop_assert_eq!(bits(&back.board), bits(&board), "{}", text);
        prop_assert_eq!((&back.board, back.left_out), (&board, 0), "{}", text);
    }

    /// Without our notes, as a program would leave the text that does not keep them, colours and families still come back.
    #[test]
    fn colours_come_back_from_css_without_notes(board in any_board().prop_filter("sound", |b| check(b).is_ok())) {
        let text = to_css(&board);
        let kept: Vec<_> = text.lines().filter(|line| !line.starts_with("  --board-")).collect();
        let Ok(back) = from_css(&kept.join("\n"), "other") else {
            prop_assert!(board.swatches().count() == 0);
            return Ok(());
        };
        let mut colours: HashMap<String, usize> = HashMap::new();
        for (_, swatch) in board.swatches() {
            *colours.entry(swatch.colour.hex()).or_default() += 1;
        }
        for (_, swatch) in back.swatches() {
            let known = colours.get_mut(&swatch.colour.hex());
            // A colour on the very edge of two 8-bit codes may fall to the other side.
            let near = || board.swatches().any(|(_, s)| {
                let (a, b) = (s.colour.oklab(), swatch.colour.oklab());
                let size = a.l.abs().max(a.chroma()).max(1.0);
                (a.l - b.l).abs().max((a.a - b.a).abs()).max((a.b - b.b).abs()) < 1e-4 * size
            });
            prop_assert!(known.is_some() || near(), "{:?}\n{}", swatch, text);
        }
        prop_assert_eq!(back.swatches().count(), board.swatches().count());
    }

    #[test]
    fn any_text_is_read_or_refused(text in any_name(), at in 0.0..1.0_f64) {
        // Reaching the end is what is tested: no text may panic.
        let _ = (from_css(&text, "any"), from_tokens(&text, "any"));
        for whole in [to_css(&depot()), to_tokens(&depot())] {
            let mut middle = (whole.len() as f64 * at) as usize;
            while !whole.is_char_boundary(middle) {
                middle -= 1;
            }
            let spoilt = format!("{}{text}{}", &whole[..middle], &whole[middle..]);
            let _ = (from_css(&spoilt, "any"), from_tokens(&spoilt, "any"));
        }
    }

    #[test]
    fn any_card_is_sound_xml(board in any_board().prop_filter("sound", |b| check(b).is_ok())) {
        let svg = svg(&board);
        prop_assert_eq!(patches(&svg).len(), board.swatches().count());
        prop_assert!(!svg.chars().any(|c| c.is_control() && c != '\n'));
        // Nothing but our own tags.
        let tags = svg.split('<').skip(1);
        let ours = ["svg", "/svg", "title", "/title", "desc", "/desc", "rect", "/rect", "text", "/text"];
        for tag in tags {
            let name = tag.split([' ', '>']).next().unwrap();
            prop_assert!(ours.contains(&name), "{}", tag);
        }
    }
}
