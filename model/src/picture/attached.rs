//! What goes with the picture: its board, its readout and the share of every paint, as RON text.

use crate::board::Board;
use crate::colour::Colour;
use crate::format::{TextStep, TextVersionError, VersionError, Versions};
use crate::readout::Readout;
use serde::{Deserialize, Serialize};

/// The format of [`Attached`] that this version writes, and the newest it reads.
pub const FORMAT: u32 = VERSIONS.current();
const VERSIONS: Versions<TextStep> = Versions::new(&[]);

/// One colour of the picture.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PaletteEntry {
    /// What it is called: the swatch, "ground", or what the painter called a free colour.
    pub name: String,
    /// Linear light, sRGB primaries, D65.
    pub colour: Colour,
    /// Fraction of the whole picture, 0-1.
    pub share: f64,
}

/// What an exported picture carries besides its pixels.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Attached {
    /// Format of this text; [`FORMAT`] in what this version writes.
    pub format: u32,
    /// Name of the study.
    pub name: String,
    /// Its board at the moment of export.
    pub board: Board,
    /// Its readout at the moment of export.
    pub readout: Readout,
    /// The colours of the picture, in any order.
    pub palette: Vec<PaletteEntry>,
    /// For how many seconds the study was worked on; none where that is not known. It is no part of the text: a chunk of its own
    /// tells it, so that the text stays what older programs read.
    #[serde(skip)]
    pub worked_s: Option<u64>,
}

/// Why [`Attached`] could not be turned into text or back.
#[derive(Debug, thiserror::Error)]
pub enum AttachedError {
    /// A newer Stint wrote it.
    #[error("it has format {found} and this Stint knows formats up to {FORMAT}; open it with a newer Stint")]
    Newer {
        /// The format in the text.
        found: u32,
    },
    /// No Stint wrote it: formats begin at 1.
    #[error("it has format 0, which no Stint writes; export the picture again from its study")]
    FormatZero,
    /// A number that is not one, or is out of its range.
    #[error("{what} is {value} where {wanted} is needed; export the picture again from its study")]
    Number {
        /// Which number.
        what: String,
        /// Its value.
        value: f64,
        /// What it should be.
        wanted: &'static str,
    },
    /// The text is not RON, or has other fields than it should; line and column are in the text.
    #[error("its text is wrong at line and column {0}; export the picture again from its study")]
    Text(#[from] ron::error::SpannedError),
    /// The values could not be put into text.
    #[error("it does not go into text ({0}); shorten its names")]
    Write(#[from] ron::Error),
}

impl From<VersionError> for AttachedError {
    fn from(error: VersionError) -> Self {
        match error {
            VersionError::Newer { found, .. } => AttachedError::Newer { found },
            VersionError::NoSuchVersion { .. } => AttachedError::FormatZero,
        }
    }
}

impl From<TextVersionError> for AttachedError {
    fn from(error: TextVersionError) -> Self {
        match error {
            TextVersionError::Text(error) => error.into(),
            TextVersionError::Version(error) => error.into(),
        }
    }
}

impl Attached {
    /// In the current format.
    pub fn new(name: String, board: Board, readout: Readout, palette: Vec<PaletteEntry>) -> Self {
        Attached { format: FORMAT, name, board, readout, palette, worked_s: None }
    }

    /// RON text, lines ended by LF on every system (11.3.3.4 asks for LF), without NUL.
    ///
    /// # Errors
    /// [`AttachedError::Newer`] or [`AttachedError::FormatZero`] for a `format` that is not ours,
    /// [`AttachedError::Number`] for NaN, infinity or a share outside 0-1.
    pub fn to_ron(&self) -> Result<String, AttachedError> {
        VERSIONS.steps_from(self.format)?;
        self.check_numbers()?;
        let pretty = ron::ser::PrettyConfig::new().new_line("\n").indentor("  ");
        Ok(ron::ser::to_string_pretty(self, pretty)?)
    }

    /// Back from [`to_ron`](Self::to_ron)'s text.
    ///
    /// # Errors
    /// [`AttachedError`]: a newer format is told before any fault of the text, since its fields may well be unknown
    /// here.
    pub fn from_ron(text: &str) -> Result<Self, AttachedError> {
        let attached: Attached = ron::from_str(&VERSIONS.upgrade_text(text, "Attached")?)?;
        attached.check_numbers()?;
        Ok(attached)
    }

    fn check_numbers(&self) -> Result<(), AttachedError> {
        for (family, swatch) in self.board.swatches() {
            let (role, what) = (swatch.role.word(), &family.name);
            check_colour(swatch.colour, || format!("the colour of the {role} of {what:?}"))?;
        }
        for entry in &self.palette {
            check_colour(entry.colour, || format!("the palette colour {:?}", entry.name))?;
            check_share(entry.share, || format!("the share of the palette colour {:?}", entry.name))?;
        }
        let readout = &self.readout;
        if !(readout.painted_px.is_finite() && readout.painted_px >= 0.0) {
            let what = "the painted area".to_owned();
            return Err(AttachedError::Number { what, value: readout.painted_px, wanted: "a number of pixels" });
        }
        let opened = readout.free_colour.opened.iter();
        let then = opened.flat_map(|o| [o.board_share, o.free_share, o.bare_share]);
        let now = [readout.board_share, readout.free_share, readout.bare_share];
        for share in now.into_iter().chain(then) {
            check_share(share, || "a share of the readout".to_owned())?;
        }
        for family in &readout.families {
            check_share(family.share, || format!("the share of the family {:?}", family.name))?;
        }
        for swatch in &readout.swatches {
            check_share(swatch.share, || format!("the share of the swatch {:?}", swatch.name))?;
        }
        Ok(())
    }
}

fn check_share(value: f64, what: impl Fn() -> String) -> Result<(), AttachedError> {
    // NaN is in no range.
    if (0.0..=1.0).contains(&value) {
        Ok(())
    } else {
        Err(AttachedError::Number { what: what(), value, wanted: "a fraction from 0 to 1" })
    }
}

fn check_colour(colour: Colour, what: impl Fn() -> String) -> Result<(), AttachedError> {
    match [colour.r, colour.g, colour.b].into_iter().find(|v| !v.is_finite()) {
        Some(value) => Err(AttachedError::Number { what: what(), value: f64::from(value), wanted: "a finite number" }),
        None => Ok(()),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
pub(super) mod tests {
    use super::*;
    use crate::board::{Family, LightOfDay, Role, Swatch};
    use crate::ids::{FamilyId, SwatchId};
    use crate::readout::{FamilyShare, FreeColourNote, Opened, SwatchShare};

    /// A small study of a tram depot at blue hour (invented).
    pub fn depot() -> Attached {
        let colour = [Colour::new(0.021, 0.034, 0.07), Colour::new(0.1, 0.16, 0.27), Colour::new(0.3, 0.42, 0.55)];
        let swatches = [Role::Shadow, Role::Local, Role::Light].into_iter().zip(colour).enumerate();
        let swatches = swatches.map(|(i, (role, colour))| {
            let id = SwatchId(u32::try_from(i).unwrap() + 1);
            Swatch { id, role, name: String::new(), colour }
        });
        let family = Family { swatches: swatches.collect(), ..Family::new(FamilyId(1), "wet yard") };
        let mut board = Board::new("Depot, blue hour", LightOfDay::Cool);
        let share = |s: &Swatch, share| SwatchShare {
            id: s.id,
            family: "wet yard".into(),
            role: s.role,
            name: format!("wet yard {}", s.role.word()),
            share,
            hex: s.colour.hex(),
        };
        let swatches = family.swatches.iter().zip([0.25, 0.6, 0.05]).map(|(s, x)| share(s, x)).collect();
        board.families.push(family);
        let opened = vec![Opened { after_strokes: 40, board_share: 1.0, free_share: 0.0, bare_share: 0.3 }];
        let readout = Readout {
            width_px: 640,
            height_px: 480,
            painted_px: 300_000.5,
            board_share: 0.9,
            free_share: 0.1,
            bare_share: 1.0 / 43.0,
            eight_paints_share: 0.0,
            families: vec![FamilyShare { id: FamilyId(1), name: "wet yard".into(), share: 0.9 }],
            swatches,
            free_colour: FreeColourNote { open: true, opened },
        };
        let entry = |name: &str, colour, share| PaletteEntry { name: name.into(), colour, share };
        let palette = vec![
            entry("wet yard shadow", colour[0], 0.25),
            entry("wet yard local", colour[1], 0.5),
            entry("lamp", Colour::new(0.9, 0.55, 0.1), 0.125),
            entry("wet yard light", colour[2], 0.125),
        ];
        Attached::new("Tram depot – étude 2".into(), board, readout, palette)
    }

    #[test]
    fn text_and_back_keeps_every_bit() {
        let mut attached = depot();
        attached.name = "NUL \0, CR \r, quote \", 電車".into();
        attached.palette[0].colour = Colour::new(f32::MIN_POSITIVE, 1.1 + f32::EPSILON, -1e-30);
        attached.palette[1].share = 1.0 / 3.0;
        let text = attached.to_ron().unwrap();
        assert!(!text.contains(['\0', '\r']), "{text}");
        assert_eq!(Attached::from_ron(&text).unwrap(), attached);
    }

    #[test]
    fn a_newer_format_is_told_before_its_unknown_fields() {
        let text = depot().to_ron().unwrap();
        let newer = text.replace("format: 1,", "format: 2, weather: Some(Rain(3, \"x\")),");
        let error = Attached::from_ron(&newer).unwrap_err();
        assert!(matches!(error, AttachedError::Newer { found: 2 }), "{error}");
        assert!(error.to_string().contains("newer Stint"));
        let zero = text.replace("format: 1,", "format: 0,");
        assert!(matches!(Attached::from_ron(&zero).unwrap_err(), AttachedError::FormatZero));
        let later = Attached { format: 7, ..depot() };
        assert!(matches!(later.to_ron().unwrap_err(), AttachedError::Newer { found: 7 }));
    }

    #[test]
    fn an_unknown_field_is_named() {
        let text = depot().to_ron().unwrap();
        for (old, new) in [
            ("format: 1,", "format: 1, weather: 3,"),
            ("share: 0.5,", "share: 0.5, weather: 3,"),
            ("painted_px:", "weather: 3, painted_px:"),
        ] {
            assert!(text.contains(old));
            let error = Attached::from_ron(&text.replace(old, new)).unwrap_err();
            assert!(error.to_string().contains("weather"), "{error}");
        }
        let error = Attached::from_ron(&text.replace("format: 1,", "")).unwrap_err();
        assert!(error.to_string().contains("format"), "{error}");
    }

    #[test]
    fn numbers_that_are_none_are_refused_both_ways() {
        let mut spoilt = Vec::new();
        let mut spoil = |change: &dyn Fn(&mut Attached)| {
            let mut attached = depot();
            change(&mut attached);
            spoilt.push(attached);
        };
        spoil(&|a| a.palette[1].share = f64::NAN);
        spoil(&|a| a.palette[1].share = 1.5);
        spoil(&|a| a.palette[1].colour.g = f32::NAN);
        spoil(&|a| a.board.families[0].swatches[2].colour.b = f32::INFINITY);
        spoil(&|a| a.readout.painted_px = -1.0);
        spoil(&|a| a.readout.bare_share = f64::NAN);
        spoil(&|a| a.readout.families[0].share = f64::NAN);
        spoil(&|a| a.readout.swatches[0].share = -0.1);
        spoil(&|a| a.readout.free_colour.opened[0].free_share = f64::NAN);
        for attached in spoilt {
            let error = attached.to_ron().unwrap_err();
            assert!(matches!(error, AttachedError::Number { .. }), "{error}");
            let text = ron::to_string(&attached).unwrap();
            Attached::from_ron(&text).unwrap_err();
        }
    }
}
