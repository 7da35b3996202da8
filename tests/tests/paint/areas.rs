//! Areas by geometry: masses of known area give the readout that arithmetic gives, to 1e-6 of the painted area.
//!
//! Areas come from the shoelace formula (surveyor's formula; A. L. F. Meister 1769, from memory) on outlines clipped to a
//! rectangle (I. E. Sutherland, G. W. Hodgman, "Reentrant polygon clipping", Commun. ACM 17:32-42 (1974), from memory), in
//! f64. Where two masses overlap, the lower one has whole-pixel edges there, or the edges cross at right angles along the
//! pixel grid: only then is what a pixel stores the exact geometry.

use stint::study::command::{Command, PaintFate, SwatchRef};
use stint::study::session::Session;
use stint_model::board::{Board, LightOfDay, Role};
use stint_model::readout::Readout;
use stint_render::choose::EngineChoice;
use stint_render::mask::mass::Edge;

const TOLERANCE: f64 = 1e-6;

type Outline = Vec<[f32; 2]>;

/// Left, top, right, bottom.
type Rect = [f64; 4];

fn area(outline: &[[f64; 2]]) -> f64 {
    let next = outline.iter().cycle().skip(1);
    (outline.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>() / 2.0).abs()
}

/// The part of an outline inside a rectangle.
fn clipped(outline: &Outline, [left, top, right, bottom]: Rect) -> Vec<[f64; 2]> {
    let mut out: Vec<[f64; 2]> = outline.iter().map(|p| p.map(f64::from)).collect();
    for (axis, limit, sign) in [(0, left, 1.0), (0, right, -1.0), (1, top, 1.0), (1, bottom, -1.0)] {
        let inside = |p: &[f64; 2]| (p[axis] - limit) * sign;
        let mut kept = Vec::new();
        for (i, a) in out.iter().enumerate() {
            let b = &out[(i + 1) % out.len()];
            let (da, db) = (inside(a), inside(b));
            if da >= 0.0 {
                kept.push(*a);
            }
            if (da >= 0.0) != (db >= 0.0) {
                let t = da / (da - db);
                kept.push([a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]);
            }
        }
        out = kept;
    }
    out
}

fn area_in(outline: &Outline, rect: Rect) -> f64 {
    area(&clipped(outline, rect))
}

fn rect(r: [f32; 4]) -> Outline {
    vec![[r[0], r[1]], [r[2], r[1]], [r[2], r[3]], [r[0], r[3]]]
}

/// A study in memory with a canvas, and the sums expected of it.
struct Easel {
    session: Session,
    canvas: Rect,
}

fn swatch(family: &str, role: Role) -> SwatchRef {
    SwatchRef::Swatch { family: family.to_owned(), role }
}

impl Easel {
    /// Two families: brick with shadow, local and light; yard with a local.
    fn new((width, height): (u32, u32), choice: EngineChoice) -> Self {
        let board = Board::new("areas", LightOfDay::Cool);
        let session = Session::in_memory((width, height), board, choice).unwrap_or_else(|error| {
            panic!("{error}\nthis test needs a Vulkan driver: on Debian install mesa-vulkan-drivers and libvulkan1")
        });
        println!("{width} x {height} px on {:?}", session.engine());
        let mut easel = Easel { session, canvas: [0.0, 0.0, width.into(), height.into()] };
        for (family, role, colour) in [
            ("brick", Role::Shadow, "#4c332f"),
            ("brick", Role::Local, "#76544d"),
            ("brick", Role::Light, "#987a80"),
            ("yard", Role::Local, "#575d6d"),
        ] {
            let (family, name, colour) = (family.to_owned(), String::new(), colour.to_owned());
            easel.apply(Command::AddSwatch { family, role, name, colour, by_role: false });
        }
        easel
    }

    fn apply(&mut self, command: Command) {
        self.session.apply(&command).unwrap();
    }

    /// Lays a mass; its area on the canvas.
    fn mass(&mut self, family: &str, role: Role, outline: Outline) -> f64 {
        self.apply(Command::Load(swatch(family, role)));
        self.fill(outline)
    }

    fn fill(&mut self, outline: Outline) -> f64 {
        let area = area_in(&outline, self.canvas);
        self.apply(Command::Mass { outline, edge: Edge::Soft });
        area
    }

    /// Checks the readout against painted areas in pixels: shadow, local, light of brick, local of yard, free.
    fn expect(&mut self, [shadow, local, light, yard, free]: [f64; 5]) -> Readout {
        let readout = self.session.readout().unwrap();
        let canvas = self.canvas[2] * self.canvas[3];
        let painted = shadow + local + light + yard + free;
        let near = |what: &str, found: f64, expected: f64| {
            assert!((found - expected).abs() <= TOLERANCE, "{what}: {found}, arithmetic gives {expected}");
        };
        let of = |share: f64| if painted == 0.0 { 0.0 } else { share / painted };
        near("painted", readout.painted_px / canvas, painted / canvas);
        near("bare", readout.bare_share, 1.0 - painted / canvas);
        near("board", readout.board_share, of(painted - free));
        near("free", readout.free_share, of(free));
        let wanted = [("brick", Role::Shadow, shadow), ("brick", Role::Local, local), ("brick", Role::Light, light)];
        for (family, role, px) in wanted.into_iter().chain([("yard", Role::Local, yard)]) {
            let found = readout.swatches.iter().find(|s| s.family == family && s.role == role);
            // A swatch that is off the board is in no list.
            near(role.word(), found.map_or(0.0, |s| s.share), of(px));
        }
        for (family, px) in [("brick", shadow + local + light), ("yard", yard)] {
            near(family, readout.families.iter().find(|f| f.name == family).unwrap().share, of(px));
        }
        readout
    }
}

const ENGINES: [EngineChoice; 2] = [EngineChoice::Cpu, EngineChoice::Gpu];

/// No multiple of the tile side of 128 among them, and one smaller than a tile.
const SIZES: [(u32, u32); 3] = [(1000, 700), (333, 517), (101, 77)];

#[test]
fn the_area_formulas_are_right() {
    let canvas = [0.0, 0.0, 10.0, 10.0];
    assert_eq!(area_in(&rect([2.0, 3.0, 7.5, 9.0]), canvas), 33.0);
    assert_eq!(area_in(&rect([-5.0, -5.0, 3.0, 20.0]), canvas), 30.0);
    assert_eq!(area_in(&vec![[0.0, 0.0], [10.0, 0.0], [0.0, 10.0]], canvas), 50.0);
    // A diamond of which a quarter of the triangles sticks out on each side.
    assert_eq!(area_in(&vec![[5.0, -2.0], [12.0, 5.0], [5.0, 12.0], [-2.0, 5.0]], canvas), 98.0 - 4.0 * 4.0);
    assert_eq!(area_in(&rect([20.0, 0.0, 30.0, 5.0]), canvas), 0.0);
}

#[test]
fn single_masses() {
    for choice in ENGINES {
        for size in SIZES {
            let (w, h) = (size.0 as f32, size.1 as f32);
            let outlines = [
                rect([10.0, 20.0, 60.0, 70.0]),
                rect([10.25, 20.6, 60.71, 70.125]),
                // Less than a pixel wide.
                rect([w * 0.5, 1.0, w * 0.5 + 0.3, h - 1.0]),
                vec![[0.1 * w, 0.9 * h], [0.83 * w, 0.77 * h], [0.4 * w, 0.03 * h]],
                vec![[0.0, 0.0], [w, 0.0], [0.0, h]],
                vec![[0.5 * w, 0.01 * h], [0.97 * w, 0.5 * h], [0.5 * w, 0.98 * h], [0.02 * w, 0.5 * h]],
                // Not convex.
                vec![[5.0, 5.0], [0.9 * w, 0.1 * h], [0.5 * w, 0.4 * h], [0.8 * w, 0.95 * h], [0.1 * w, 0.7 * h]],
                // Beyond the canvas on one side, on all sides, and altogether outside.
                vec![[-0.4 * w, 0.2 * h], [0.6 * w, 0.5 * h], [-0.1 * w, 1.4 * h]],
                vec![[-w, 0.4 * h], [0.5 * w, -h], [2.2 * w, 0.5 * h], [0.4 * w, 2.1 * h]],
                rect([-50.0, -50.0, w + 50.0, h + 50.0]),
                rect([w + 1.0, 0.0, w + 9.0, h]),
            ];
            for outline in outlines {
                let mut easel = Easel::new(size, choice);
                let area = easel.mass("brick", Role::Local, outline);
                easel.expect([0.0, area, 0.0, 0.0, 0.0]);
            }
        }
    }
}

#[test]
fn overlapping_masses() {
    for choice in ENGINES {
        for size in SIZES {
            let (w, h) = (size.0 as f32, size.1 as f32);
            let mut easel = Easel::new(size, choice);
            let lower = [5.0, 7.0, 80.0, 70.0];
            let a = easel.mass("brick", Role::Shadow, rect(lower));
            // A rectangle whose broken edges cross the whole-pixel ones.
            let broken = [40.3_f32, 2.6, 61.9, 40.75];
            let c = easel.mass("yard", Role::Local, rect(broken));
            let both = (f64::from(broken[2]) - f64::from(broken[0])) * (f64::from(broken[3]) - 7.0);
            easel.expect([a - both, 0.0, 0.0, c, 0.0]);
            easel.apply(Command::Undo);
            // A triangle across the whole-pixel edges of the mass below.
            let triangle = vec![[0.6 * w, 0.02 * h], [0.95 * w, 0.9 * h], [8.4, 50.3]];
            let taken = area_in(&triangle, lower.map(f64::from));
            assert!(taken > 0.0);
            let b = easel.mass("brick", Role::Local, triangle);
            easel.expect([a - taken, b, 0.0, 0.0, 0.0]);
            // Everything covered once more.
            let all = easel.mass("brick", Role::Light, rect([0.0, 0.0, w, h]));
            easel.expect([0.0, 0.0, all, 0.0, 0.0]);
        }
    }
}

#[test]
fn broken_edges_at_right_angles_are_exact_too() {
    for choice in ENGINES {
        let mut easel = Easel::new((1000, 700), choice);
        let (a, b) = ([100.3, 90.4, 700.85, 500.2], [90.0_f32, 300.65, 900.5, 660.1]);
        let (shadow, local) = (easel.mass("brick", Role::Shadow, rect(a)), easel.mass("brick", Role::Local, rect(b)));
        // Only edges that cross at right angles: a lies above, left and right edges of a meet the top edge of b.
        let both = (f64::from(a[2]) - f64::from(a[0])) * (f64::from(a[3]) - f64::from(b[1]));
        easel.expect([shadow - both, local, 0.0, 0.0, 0.0]);
    }
}

#[test]
fn hard_edges_cover_whole_pixels() {
    for choice in ENGINES {
        for size in SIZES {
            let (w, h) = (size.0 as f32, size.1 as f32);
            for outline in [
                rect([10.2, 20.7, 60.4, 70.6]),
                vec![[0.1 * w, 0.9 * h], [0.83 * w, 0.7713 * h], [0.4 * w, 0.03 * h]],
                vec![[-0.4 * w, 0.21 * h], [0.6 * w, 0.53 * h], [-0.1 * w, 1.4 * h]],
            ] {
                let mut easel = Easel::new(size, choice);
                easel.apply(Command::Load(swatch("yard", Role::Local)));
                easel.apply(Command::Mass { outline: outline.clone(), edge: Edge::Hard });
                // Pixel by pixel. What is half covered to within the rounding of f32 places may fall either way.
                let (mut pixels, mut doubtful) = (0, 0);
                for y in 0..size.1 {
                    for x in 0..size.0 {
                        let (x, y) = (f64::from(x), f64::from(y));
                        let cover = area_in(&outline, [x, y, x + 1.0, y + 1.0]);
                        pixels += u32::from(cover > 0.5001);
                        doubtful += u32::from((cover - 0.5).abs() <= 1e-4);
                    }
                }
                assert!(doubtful <= 4, "{doubtful} of {pixels} pixels are doubtful: take another outline");
                let painted = easel.session.readout().unwrap().painted_px;
                let expected = f64::from(pixels)..=f64::from(pixels + doubtful);
                assert!(
                    painted.fract() == 0.0 && expected.contains(&painted),
                    "{painted}, geometry gives {expected:?}"
                );
                easel.expect([0.0, 0.0, 0.0, painted, 0.0]);
            }
        }
    }
}

#[test]
fn passes_that_are_hidden_or_weak() {
    for choice in ENGINES {
        let mut easel = Easel::new((700, 500), choice);
        let lower = [0.0, 0.0, 600.0, 400.0];
        let a = easel.mass("brick", Role::Shadow, rect(lower));
        easel.apply(Command::AddPass("glazes".to_owned()));
        let triangle: Outline = vec![[150.3, 20.2], [690.4, 250.0], [90.0, 480.7]];
        let b = easel.mass("yard", Role::Local, triangle.clone());
        let both = area_in(&triangle, lower.map(f64::from));
        easel.expect([a - both, 0.0, 0.0, b, 0.0]);
        // Strengths that are whole steps of 1/65535, and a half, which is 32768 of them.
        for (strength, exact) in [(0.5, 32768.0 / 65535.0), (0.6, 0.6), (1.0 / 3.0, 1.0 / 3.0), (0.0, 0.0), (1.0, 1.0)]
        {
            easel.apply(Command::PassStrength { pass: "glazes".to_owned(), strength });
            easel.expect([a - both * exact, 0.0, 0.0, b * exact, 0.0]);
        }
        let show = |pass: &str, visible| Command::ShowPass { pass: pass.to_owned(), visible };
        easel.apply(show("Block-in", false));
        easel.expect([0.0, 0.0, 0.0, b, 0.0]);
        easel.apply(show("glazes", false));
        easel.expect([0.0; 5]);
        easel.apply(show("Block-in", true));
        easel.expect([a, 0.0, 0.0, 0.0, 0.0]);
        easel.apply(show("glazes", true));
        easel.apply(Command::MovePass { pass: "glazes".to_owned(), place: 0 });
        easel.expect([a, 0.0, 0.0, b - both, 0.0]);
        easel.apply(Command::ClearPass("Block-in".to_owned()));
        easel.expect([0.0, 0.0, 0.0, b, 0.0]);
        easel.apply(Command::Undo);
        easel.apply(Command::RemovePass("glazes".to_owned()));
        easel.expect([a, 0.0, 0.0, 0.0, 0.0]);
    }
}

#[test]
fn removed_swatches_and_gifts() {
    for choice in ENGINES {
        let mut easel = Easel::new((700, 500), choice);
        let a = easel.mass("brick", Role::Shadow, rect([10.0, 10.0, 200.5, 300.25]));
        let b = easel.mass("brick", Role::Local, vec![[300.0, 20.0], [650.0, 30.5], [400.7, 333.3]]);
        let c = easel.mass("yard", Role::Local, vec![[20.0, 400.1], [300.0, 350.0], [220.0, 490.0]]);
        easel.expect([a, b, 0.0, c, 0.0]);
        let remove = |role, paint| Command::RemoveSwatch { swatch: swatch("brick", role), paint };
        easel.apply(remove(Role::Shadow, PaintFate::Stay));
        easel.expect([0.0, b, 0.0, c, a]);
        easel.apply(remove(Role::Local, PaintFate::GiveTo(swatch("yard", Role::Local))));
        easel.expect([0.0, 0.0, 0.0, b + c, a]);
        easel.apply(Command::Undo);
        easel.apply(Command::Undo);
        easel.expect([a, b, 0.0, c, 0.0]);
        // A gift to a swatch that has no paint of its own yet.
        easel.apply(remove(Role::Shadow, PaintFate::GiveTo(swatch("brick", Role::Light))));
        easel.expect([0.0, b, a, c, 0.0]);
        // Recolouring moves nothing.
        easel.apply(Command::Recolour { swatch: swatch("brick", Role::Light), colour: "#112233".to_owned() });
        easel.expect([0.0, b, a, c, 0.0]);
    }
}

#[test]
fn the_free_pass_lies_on_top() {
    for choice in ENGINES {
        let mut easel = Easel::new((700, 500), choice);
        let lower = [50.0, 50.0, 600.0, 400.0];
        let a = easel.mass("brick", Role::Local, rect(lower));
        easel.apply(Command::OpenFree);
        let triangle: Outline = vec![[150.3, 20.2], [300.4, 250.0], [10.0, 280.7]];
        let both = area_in(&triangle, lower.map(f64::from));
        easel.apply(Command::LoadFree("#cc4411".to_owned()));
        let free = easel.fill(triangle);
        let readout = easel.expect([0.0, a - both, 0.0, 0.0, free]);
        assert!(readout.free_colour.open);
        assert_eq!(readout.free_colour.opened.len(), 1);
        let opened = &readout.free_colour.opened[0];
        assert_eq!((opened.after_strokes, opened.board_share, opened.free_share), (1, 1.0, 0.0));
        // Board paint in the pass below changes nothing where free colour covers it.
        easel.apply(Command::ShutFree);
        let b = easel.mass("yard", Role::Local, rect(lower));
        assert_eq!(a, b);
        let readout = easel.expect([0.0, 0.0, 0.0, b - both, free]);
        assert!(!readout.free_colour.open);
    }
}
