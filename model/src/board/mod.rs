//! The board: the named, small set of swatches a study may use.
//!
//! Boards are plain values. Every edit is a function in [`edit`] that returns the new board or the reason why not; reading
//! and writing is in [`file`](mod@file), remarks are in [`review`].

pub mod check;
pub mod edit;
pub mod exchange;
pub mod file;
pub mod lean;
pub mod light_guess;
pub mod limits;
mod lines;
pub(crate) mod moves;
mod naming;
pub mod nudge;
pub mod review;

use crate::colour::Colour;
use crate::ids::{FamilyId, SwatchId};
use serde::{Deserialize, Serialize};

/// What a swatch is for in its family.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum Role {
    /// The surface where the main light does not reach.
    Shadow,
    /// The surface's own colour, between light and shadow.
    Local,
    /// The surface in the main light.
    Light,
    /// Anything else worth having at hand.
    Accent,
}

impl Role {
    /// All roles, darkest first, accent last.
    pub const ALL: [Role; 4] = [Role::Shadow, Role::Local, Role::Light, Role::Accent];

    /// The word for this role.
    pub fn word(self) -> &'static str {
        match self {
            Role::Shadow => "shadow",
            Role::Local => "local",
            Role::Light => "light",
            Role::Accent => "accent",
        }
    }
}

/// The light a board was made under. Common practice: under a warm light shadows are cooler than lights, under a cool
/// light warmer.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default, Serialize, Deserialize)]
pub enum LightOfDay {
    /// Low sun, lamps: lights lean warm.
    Warm,
    /// Blue hour, overcast, north light: lights lean cool.
    Cool,
    /// Neither, or not decided.
    #[default]
    Neutral,
}

impl LightOfDay {
    /// All lights, the undecided one last.
    pub const ALL: [LightOfDay; 3] = [LightOfDay::Warm, LightOfDay::Cool, LightOfDay::Neutral];

    /// The word for this light.
    pub fn word(self) -> &'static str {
        match self {
            LightOfDay::Warm => "warm",
            LightOfDay::Cool => "cool",
            LightOfDay::Neutral => "neutral",
        }
    }
}

/// How far from the painter a surface lies. Common practice, no published source: what is far looks cooler, paler and closer in
/// value.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum Distance {
    /// Within reach.
    Near,
    /// Across the yard.
    Middle,
    /// Towards the horizon.
    Far,
}

impl Distance {
    /// All distances, nearest first.
    pub const ALL: [Distance; 3] = [Distance::Near, Distance::Middle, Distance::Far];

    /// The word for this distance.
    pub fn word(self) -> &'static str {
        match self {
            Distance::Near => "near",
            Distance::Middle => "middle",
            Distance::Far => "far",
        }
    }
}

/// One colour of the board.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Swatch {
    /// Its identity; kept when it is moved, recoloured or renamed.
    pub id: SwatchId,
    /// What it is for.
    pub role: Role,
    /// A name of its own; empty when family and role say enough.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Its colour: linear light, sRGB primaries, D65.
    pub colour: Colour,
}

/// The swatches of one surface, in the painter's order.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Family {
    /// Its identity.
    pub id: FamilyId,
    /// The surface: "brick", "wet yard".
    pub name: String,
    /// How far away the surface lies, if the painter has said so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance: Option<Distance>,
    /// Its swatches, in order.
    pub swatches: Vec<Swatch>,
}

impl Family {
    /// An empty family.
    pub fn new(id: FamilyId, name: &str) -> Self {
        Family { id, name: name.to_owned(), distance: None, swatches: Vec::new() }
    }

    /// The first swatch with this role.
    pub fn with_role(&self, role: Role) -> Option<&Swatch> {
        self.swatches.iter().find(|s| s.role == role)
    }
}

/// A named set of families.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Board {
    /// What the painter calls it.
    pub name: String,
    /// The light it was made under.
    pub light: LightOfDay,
    /// The day it was made, `2026-11-25` (ISO 8601); empty when unknown.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub date: String,
    /// File name of the photo it was picked from, without folders; empty when there is none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub photo: String,
    /// Remarks of the review that the painter has dismissed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dismissed: Vec<review::Subject>,
    /// The families, in the painter's order.
    pub families: Vec<Family>,
}

impl Board {
    /// An empty board.
    pub fn new(name: &str, light: LightOfDay) -> Self {
        Board { name: name.to_owned(), light, ..Board::default() }
    }

    /// All swatches with their families, in order.
    pub fn swatches(&self) -> impl Iterator<Item = (&Family, &Swatch)> {
        self.families.iter().flat_map(|f| f.swatches.iter().map(move |s| (f, s)))
    }

    /// The swatch with this id.
    pub fn swatch(&self, id: SwatchId) -> Option<&Swatch> {
        self.swatches().find(|(_, s)| s.id == id).map(|(_, s)| s)
    }

    /// The family that holds this swatch.
    pub fn family_of(&self, id: SwatchId) -> Option<&Family> {
        self.swatches().find(|(_, s)| s.id == id).map(|(f, _)| f)
    }

    /// The family with this id.
    pub fn family(&self, id: FamilyId) -> Option<&Family> {
        self.families.iter().find(|f| f.id == id)
    }

    /// The first family with this name.
    pub fn family_named(&self, name: &str) -> Option<&Family> {
        self.families.iter().find(|f| f.name == name)
    }
}
