//! What the tests of boards in other formats share. Each uses a part of it.
#![allow(clippy::unwrap_used, dead_code)]

use stint_model::board::review::{Rule, Subject};
use stint_model::board::{Board, Distance, Family, LightOfDay, Role, Swatch};
use stint_model::colour::Colour;
use stint_model::ids::{FamilyId, SwatchId};

pub fn swatch(id: u32, role: Role, name: &str, colour: Colour) -> Swatch {
    Swatch { id: SwatchId(id), role, name: name.to_owned(), colour }
}

/// An invented board of a tram depot at blue hour, with names in several scripts and colours outside sRGB.
pub fn depot() -> Board {
    let hex = |text: &str| Colour::from_hex(text).unwrap();
    let family = |id, name: &str, swatches| Family { swatches, ..Family::new(FamilyId(id), name) };
    let brick = vec![
        swatch(3, Role::Light, "", hex("#8c6e69")),
        swatch(2, Role::Local, "brick in the lamp's light, seen from the gate of the depot", hex("#6b4a44")),
        swatch(1, Role::Shadow, "", hex("#4c3432")),
    ];
    let yard = vec![
        swatch(5, Role::Shadow, "", hex("#3a3a3a")),
        swatch(4, Role::Light, "puddle & \"rail\"", hex("#90a0b8")),
        swatch(9, Role::Accent, "", Colour::from_display_p3([0.9, 0.5, 0.05])),
        swatch(8, Role::Accent, "", Colour::new(1.3, 0.9, 0.5)),
    ];
    let shed = vec![swatch(7, Role::Local, "Зелень", hex("#7d8471")), swatch(6, Role::Shadow, "", hex("#000000"))];
    let mut families =
        vec![family(2, "Brick, east wall", brick), family(1, "Wet yard", yard), family(4, "電車庫 <3>", shed)];
    families[1].distance = Some(Distance::Near);
    Board {
        date: "2026-11-25".to_owned(),
        dismissed: vec![Subject { rule: Rule::NearBlack, swatches: vec![SwatchId(6)], families: vec![FamilyId(4)] }],
        families,
        ..Board::new("Depot, blue hour", LightOfDay::Cool)
    }
}

/// A patch of an SVG card: id of the swatch, left, top, width, height.
pub fn patches(svg: &str) -> Vec<(u32, [u32; 4])> {
    let attribute = |tag: &str, name: &str| {
        let value = tag.split(&format!(" {name}=\"")).nth(1)?.split('"').next()?;
        value.parse::<u32>().ok()
    };
    let (mut found, mut corner) = (Vec::new(), [0, 0]);
    for tag in svg.split('<') {
        if tag.starts_with("svg id=\"family-") {
            corner = ["x", "y"].map(|name| attribute(tag, name).unwrap());
        } else if let Some(id) = tag.strip_prefix("rect id=\"swatch-").and_then(|rest| rest.split('"').next()) {
            let [x, y, width, height] = ["x", "y", "width", "height"].map(|name| attribute(tag, name).unwrap());
            found.push((id.parse().unwrap(), [corner[0] + x, corner[1] + y, width, height]));
        }
    }
    found
}
