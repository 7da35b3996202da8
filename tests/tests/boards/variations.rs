//! Relighting against published adaptation values, and the whites of glowing bodies against Planck's law.
//!
//! Sources of the data: `tests/data/SOURCES.md`, "Variations".

use csv::StringRecord;
use stint_model::colour::adaptation::bradford;
use stint_model::colour::light_sources::planckian_xy;
use stint_model::colour::matrix::apply;
use stint_model::colour::rgb_space::{D65_XY, xyz_of};
use stint_model::colour::{Colour, Xyz};
use stint_model::variation::relight::adaptation;

fn rows(name: &str) -> Vec<StringRecord> {
    let path = format!("{}/data/{name}", env!("CARGO_MANIFEST_DIR"));
    csv::Reader::from_path(path).unwrap().records().map(Result::unwrap).collect()
}

fn number(row: &StringRecord, column: usize) -> f64 {
    row[column].parse().unwrap()
}

#[test]
fn relighting_gives_the_published_cat16_values() {
    let rows = rows("adaptation_cat16.csv");
    assert_eq!(rows.len(), 72);
    for row in rows {
        // name, r8, g8, b8, target, x, y, linear-light values encoded as sRGB without clipping.
        let code = |column: usize| row[column].parse::<u8>().unwrap();
        let colour = Colour::from_srgb8([code(1), code(2), code(3)]).xyz();
        let matrix = adaptation(D65_XY, [number(&row, 5), number(&row, 6)]);
        let [x, y, z] = apply(&matrix, [colour.x, colour.y, colour.z]);
        let got = Colour::from_xyz(Xyz { x, y, z }).srgb();
        for (i, got) in got.into_iter().enumerate() {
            let want = number(&row, 7 + i);
            assert!((f64::from(got) - want).abs() < 2e-4, "{} in {}: {got} {want}", &row[0], &row[4]);
        }
    }
}

/// What ICC profiles and CSS `lab()` are read through; D50 and back are the two ways the program uses it.
#[test]
fn bradford_gives_the_published_values_and_comes_back() {
    let rows = rows("adaptation_bradford.csv");
    assert_eq!(rows.len(), 72);
    for row in rows {
        // name, r8, g8, b8, target, x, y, XYZ under D65, XYZ under the target.
        let [from, to] = [xyz_of(D65_XY), xyz_of([number(&row, 5), number(&row, 6)])];
        let triple = |first: usize| [0, 1, 2].map(|i| number(&row, first + i));
        for (matrix, seen, want) in
            [(bradford(from, to), triple(7), triple(10)), (bradford(to, from), triple(10), triple(7))]
        {
            for (got, want) in apply(&matrix, seen).into_iter().zip(want) {
                assert!((got - want).abs() < 1e-9, "{} in {}: {got} {want}", &row[0], &row[4]);
            }
        }
        let code = |column: usize| row[column].parse::<u8>().unwrap();
        let own = Colour::from_srgb8([code(1), code(2), code(3)]).xyz();
        let apart = [own.x, own.y, own.z].into_iter().zip(triple(7)).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        assert!(apart < 1e-6, "{}: the table starts from the same colour, but for {apart}", &row[0]);
    }
}

#[test]
fn glowing_bodies_have_the_published_whites() {
    let rows = rows("planckian.csv");
    assert!(rows.len() >= 5);
    for row in rows {
        // kelvin, x and y by Planck's law, x and y by the cubic fit.
        let [x, y] = planckian_xy(number(&row, 0));
        assert!((x - number(&row, 3)).abs() < 1e-6 && (y - number(&row, 4)).abs() < 1e-6, "{row:?}: {x} {y}");
        assert!((x - number(&row, 1)).abs() < 6e-4 && (y - number(&row, 2)).abs() < 6e-4, "{row:?}: {x} {y}");
    }
}
