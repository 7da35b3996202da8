//! Boards in open formats on the command line, files written by hand, and files that are no boards.

use crate::exchange_support::depot;
use stint::files::board_file::{read_any, write_any};
use stint_model::board::exchange::card::svg;
use stint_model::board::exchange::css::{from_css, to_css};
use stint_model::board::exchange::tokens::{from_tokens, to_tokens};
use stint_model::board::file::{board_text, write_board};
use stint_model::board::{Board, LightOfDay};
use stint_model::disk::Replace;
use stint_model::ids::SwatchId;
use stint_tests::program::TestFolder;
use stint_tests::scripts::desk_with_study;

#[test]
fn the_program_writes_every_form_and_takes_every_form_back() {
    let desk = TestFolder::new();
    let board = depot();
    write_board(&desk.path("depot.board.ron"), &board).unwrap();
    for form in ["css", "tokens.json", "png", "board.ron"] {
        let name = format!("out.{form}");
        let said = desk.stint(["board", "export", "depot.board.ron", "-o", &name]).success();
        assert_eq!(said, format!("wrote {name} with 9 swatches\n"));
        assert_eq!(desk.stint(["board", "from", &name]).success(), board_text(&board).unwrap(), "{form}");
        // Told by what is in it, not by its name.
        std::fs::copy(desk.path(&name), desk.path("renamed.txt")).unwrap();
        assert_eq!(desk.stint(["board", "from", "renamed.txt"]).success(), board_text(&board).unwrap(), "{form}");
        desk.stint(["board", "show", &name]).success();
        // Over itself it goes when that is asked for.
        desk.stint(["board", "export", &name, "-o", &name]).refused(&[&name, "exists already", "--replace"]);
        desk.stint(["board", "export", &name, "-o", &name, "--replace"]).success();
        assert_eq!(read_any(&desk.path(&name)).unwrap(), board);
    }
    desk.stint(["board", "export", "out.css", "-o", "card.svg"]).success();
    assert_eq!(std::fs::read_to_string(desk.path("card.svg")).unwrap(), svg(&board));
    desk.stint(["board", "export", "out.css", "-o", "card.svg"]).refused(&["card.svg", "a drawing", "--replace"]);
    desk.stint(["board", "export", "out.css", "-o", "card.svg", "--replace"]).success();
    let said =
        desk.stint(["board", "from", "out.css", "--light", "warm", "--name", "noon", "-o", "noon.board.ron"]).success();
    assert!(said.starts_with("wrote noon.board.ron with 9 swatches"), "{said}");
    let noon = Board { name: "noon".to_owned(), light: LightOfDay::Warm, ..board };
    assert_eq!(read_any(&desk.path("noon.board.ron")).unwrap(), noon);
    // A card opens as a study on its board.
    let said = desk.stint(["open", "out.png", "--out", "new.stint", "--no-window"]).success();
    assert!(said.contains("new study new.stint on the board of out.png"), "{said}");
    assert_eq!(read_any(&desk.path("new.stint")).unwrap(), depot());
    let said = desk.stint(["readout", "out.png"]).success();
    assert!(said.starts_with("100.0 % from the board"), "{said}");
}

#[test]
fn a_study_gives_its_board() {
    let desk = desk_with_study();
    let board = read_any(&desk.path("depot.stint")).unwrap();
    assert!(board.swatches().count() > 0);
    assert_eq!(desk.stint(["board", "from", "depot.stint"]).success(), board_text(&board).unwrap());
    desk.stint(["board", "export", "depot.stint", "-o", "depot.css"]).success();
    assert_eq!(read_any(&desk.path("depot.css")).unwrap(), board);
}

#[test]
fn sheets_by_hand_give_boards_and_say_what_they_lack() {
    let desk = TestFolder::new();
    desk.write("wall.css", ":root {\n  --brick-shadow: #4c3432;\n  --brick-light: tan;\n  --gap: 8px;\n}\n");
    let said = desk.stint(["board", "from", "wall.css", "-o", "wall.board.ron"]);
    assert_eq!(said.err, "stint: wall.css: 1 value is no fixed colour and was left out");
    assert!(said.out.starts_with("wrote wall.board.ron with 2 swatches"), "{}", said.out);
    let board = read_any(&desk.path("wall.board.ron")).unwrap();
    assert_eq!((board.name.as_str(), board.families[0].name.as_str()), ("wall", "brick"));
    // Somebody else's sheet is not written over, and arguments for photos are refused.
    desk.stint(["board", "export", "wall.board.ron", "-o", "wall.css"]).refused(&["wall.css", "exists already"]);
    desk.stint(["board", "from", "wall.css", "--families", "3"]).refused(&["wall.css", "leave out --families"]);
    desk.stint(["board", "export", "wall.board.ron", "-o", "wall.txt"]).refused(&["wall.txt", ".css"]);
    desk.write(
        "sheet.json",
        "{\"a\": {\"$type\": \"color\", \"$value\": \"#ff000080\"}, \"b\": {\"$value\": 3}, \"c\": 1}",
    );
    let said = desk.stint(["board", "from", "sheet.json"]);
    assert!(said.err.contains("2 values are no fixed colours") && said.err.contains("1 colour was partly transparent"));
}

#[test]
fn bad_files_are_refused_with_their_place() {
    let desk = TestFolder::new();
    let (css, tokens) = (to_css(&depot()), to_tokens(&depot()));
    desk.write("good.board.ron", board_text(&depot()).unwrap());
    for (name, content, words) in [
        ("cut.css", css.as_bytes()[..css.len() / 2].to_vec(), vec!["line 2", "has no end"]),
        ("colour.css", b":root {\n\n --a: #12345;\n}".to_vec(), vec!["line 3", "--a is no colour", "#rrggbb"]),
        ("none.css", b"body { color: red }".to_vec(), vec!["holds no colours"]),
        ("empty.css", Vec::new(), vec!["holds no colours"]),
        ("latin1.css", b"--a: red;\n/* \xe9t\xe9 */".to_vec(), vec!["line 2", "not UTF-8"]),
        ("long.css", vec![b' '; 17 << 20], vec!["longer than any board"]),
        ("deep.css", ":is(".repeat(200_000).into_bytes(), vec!["holds no colours"]),
        ("newer.css", css.replace("-format: 1", "-format: 7").into_bytes(), vec!["newer Stint (format 7"]),
        ("note.css", css.replace(" var(", " far(").into_bytes(), vec!["line ", "note --board-swatch-3"]),
        (
            "cut.json",
            tokens.as_bytes()[..tokens.len() / 2].to_vec(),
            vec!["line ", "column ", "copy the whole file again"],
        ),
        (
            "type.json",
            tokens.replacen("\"oklch\"", "7", 1).into_bytes(),
            vec!["token Brick, east wall.light", "colorSpace"],
        ),
        ("list.json", b"[1, 2]".to_vec(), vec!["line 1", "begins with {"]),
        ("empty.json", Vec::new(), vec!["line 1"]),
        ("none.json", b"{\"a\": 1}".to_vec(), vec!["holds no colours"]),
        ("latin1.json", b"{\n\"\xe9\": 1}".to_vec(), vec!["line 2", "not UTF-8"]),
        ("deep.json", "{\"a\":".repeat(2_000_000).into_bytes(), vec!["line 1", "recursion limit"]),
        // 100 MB of brackets.
        ("deeper.json", "{\"a\":".repeat(20_000_000).into_bytes(), vec!["longer than any board"]),
        ("card.svg", svg(&depot()).into_bytes(), vec!["a card to look at"]),
    ] {
        desk.write(name, content);
        desk.stint(["board", "from", name, "-o", "new.board.ron"]).refused(&[vec![name], words.clone()].concat());
        desk.stint(["board", "export", name, "-o", "new.css"]).refused(&[vec![name], words].concat());
        assert!(!desk.path("new.board.ron").exists() && !desk.path("new.css").exists());
    }
    desk.stint(["board", "from", "absent.css"]).refused(&["absent.css"]);
    desk.stint(["board", "export", "good.board.ron", "-o", "absent/x.css"]).refused(&["absent", "cannot be written"]);
    desk.stint(["board", "export", "good.board.ron", "-o", "absent/x.png"]).refused(&["absent"]);
}

#[test]
fn text_cut_anywhere_is_refused_or_read_and_never_more() {
    let (css, tokens) = (to_css(&depot()), to_tokens(&depot()));
    for end in (0..css.trim_end().len()).filter(|&i| css.is_char_boundary(i)) {
        assert!(from_css(&css[..end], "x").is_err(), "{}", &css[..end]);
    }
    for end in (0..tokens.trim_end().len()).filter(|&i| tokens.is_char_boundary(i)) {
        assert!(from_tokens(&tokens[..end], "x").is_err(), "{}", &tokens[..end]);
    }
}

#[test]
fn an_unsound_board_is_not_written() {
    let desk = TestFolder::new();
    let mut board = depot();
    board.families[0].swatches[0].id = SwatchId(2);
    for name in ["a.css", "a.json", "a.svg", "a.png", "a.board.ron"] {
        let error = write_any(&desk.path(name), &board, Replace::Never).unwrap_err().to_string();
        assert!(error.contains(name) && error.contains("has id 2"), "{error}");
    }
    assert!(desk.files().is_empty());
}
