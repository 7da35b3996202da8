//! Every change a person can make to a study, as a value: the window, the command line and scripts all speak through it.

use serde::{Deserialize, Serialize};
use stint_model::board::review::Subject;
use stint_model::board::{Board, Distance, LightOfDay, Role};
use stint_model::ids::SwatchId;
use stint_model::mixing::Mixing;
use stint_model::photo::{Adjustments, PixelRect};
use stint_model::study::canvas_rect::CanvasRect;
use stint_model::study::protected::Side;
use stint_render::canvas::Placement;
use stint_render::mask::PenSample;
use stint_render::mask::brush::Brush;
use stint_render::mask::mass::Edge;

/// A swatch as a person names it.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum SwatchRef {
    /// The first swatch of this role in a family.
    Swatch {
        /// Name of the family.
        family: String,
        /// The role.
        role: Role,
    },
    /// A swatch with a name of its own.
    Named {
        /// Name of the family.
        family: String,
        /// Name of the swatch.
        name: String,
    },
    /// By identity.
    Id(SwatchId),
}

/// What becomes of the paint of a swatch that is taken off the board.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub enum PaintFate {
    /// It stays as it looks and counts as free.
    #[default]
    Stay,
    /// It becomes paint of another swatch.
    GiveTo(SwatchRef),
}

/// A tone of a surface that is picked at another spot than proposed.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MovedTone {
    /// Shadow, local or light.
    pub role: Role,
    /// Column and row of the photo.
    pub at: (u32, u32),
    /// Width of the loupe, 1 to 31 photo pixels.
    pub aperture: u32,
}

/// One change, or one choice of tool. Places are canvas pixels for painting and photo pixels for picking, from the top left.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Command {
    /// Takes a photo in as the reference; the path is relative to the script, or to the working folder.
    Reference(String),
    /// Sets hue turn (degrees, -180 to 180), soften (sigma, photo pixels, 0 to 3), exposure (stops, -3 to 3) and contrast (slope of the
    /// values about a middle grey, 0.5 to 2) of the reference. What it is cropped to stays.
    Adjust {
        /// Degrees.
        hue_turn: f32,
        /// Photo pixels.
        soften: f32,
        /// Stops; 0 when left out.
        #[serde(default)]
        exposure: f32,
        /// Slope; 1 when left out.
        #[serde(default = "as_it_is")]
        contrast: f32,
    },
    /// Uses a part of the reference alone, photo pixels; all of it again for none. Nothing of the photo is lost.
    CropPhoto {
        /// The part.
        part: Option<PixelRect>,
    },
    /// Makes the canvas this rectangle of it: it is cropped where that is smaller and extended, with bare ground, where it is larger. Paint
    /// outside it goes, and comes back when the step is taken back; the photo stays lined up with the painting.
    CropCanvas {
        /// What becomes the canvas; it has pixels of the present one.
        part: CanvasRect,
    },
    /// Lines the canvas up with a part of the reference; none for all of it.
    LineUp {
        /// The canvas's corners on the photo: top left, top right, bottom right, bottom left.
        corners: Option<[(f32, f32); 4]>,
    },
    /// Picks one colour from the reference into a family, which is made if need be.
    Pick {
        /// Name of the family.
        family: String,
        /// Role of the new swatch.
        role: Role,
        /// Its name, or nothing.
        #[serde(default)]
        name: String,
        /// Column and row of the photo.
        at: (u32, u32),
        /// Width of the loupe, 1 to 31 photo pixels.
        aperture: u32,
        /// Whether the colour is nudged into the range of a board.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        nudged: bool,
        /// As in `AddSwatch`.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        by_role: bool,
    },
    /// Picks shadow, local and light from an outlined surface of the reference.
    PickTrio {
        /// Name of the family.
        family: String,
        /// Corners on the photo.
        outline: Vec<(f32, f32)>,
        /// Tones that are picked at a spot of the painter's choice instead.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        moved: Vec<MovedTone>,
    },
    /// Picks every swatch that is linked to the reference again, with the adjustments as they are now.
    PickAgain,
    /// Proposes a board of this many families from the whole reference. Its families come after those that are there.
    ProposeBoard(usize),
    /// Takes the board of a file into the study: a board file, CSS, design tokens, a study, an exported PNG, or a picture of flat
    /// swatches; the path is as in `Reference`. Swatches that the study has already, by
    /// identity, family and role, keep their paint; the paint of others stays and counts as free.
    UseBoard(String),
    /// Puts a changed board of this study in place: swatches of the same id stay the same swatches.
    ReviseBoard(Box<Board>),
    /// Keeps the present board among the study's boards and makes this one, which has another name, the active one. Swatches of
    /// the same id are the same swatches on both.
    NewBoard(Box<Board>),
    /// Makes another of the study's boards the active one.
    SwitchBoard(String),
    /// Takes a board that is not active out of the study.
    ForgetBoard(String),
    /// Adds an empty family.
    AddFamily(String),
    /// Renames a family.
    RenameFamily {
        /// Name of the family.
        family: String,
        /// Its new name.
        name: String,
    },
    /// Moves a family to a place, counted from 0.
    MoveFamily {
        /// Name of the family.
        family: String,
        /// The place.
        place: usize,
    },
    /// Says how far away a family's surface lies.
    SetDistance {
        /// Name of the family.
        family: String,
        /// The distance; none when it is not known.
        distance: Option<Distance>,
    },
    /// Dismisses a remark of the review, or brings it back.
    Dismiss {
        /// What the remark is about.
        remark: Subject,
        /// Whether it is dismissed from now on.
        dismissed: bool,
    },
    /// Takes a family off the board; its paint counts as free.
    RemoveFamily(String),
    /// Adds a swatch of a given colour (`#rrggbb`).
    AddSwatch {
        /// Name of the family, which is made if need be.
        family: String,
        /// Its role.
        role: Role,
        /// Its name, or nothing.
        #[serde(default)]
        name: String,
        /// `#rrggbb`.
        colour: String,
        /// Whether it goes to the place of its role in the family: light, local, shadow, accent; at the end otherwise.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        by_role: bool,
    },
    /// Gives a swatch name, role and colour in one step; paint follows.
    ChangeSwatch {
        /// The swatch.
        swatch: SwatchRef,
        /// Its role.
        role: Role,
        /// Its name; empty for family and role.
        name: String,
        /// `#rrggbb`.
        colour: String,
    },
    /// Recolours a swatch; paint follows.
    Recolour {
        /// The swatch.
        swatch: SwatchRef,
        /// `#rrggbb`.
        colour: String,
    },
    /// Renames a swatch.
    RenameSwatch {
        /// The swatch.
        swatch: SwatchRef,
        /// The name; empty for family and role.
        name: String,
    },
    /// Gives a swatch another role.
    SetRole {
        /// The swatch.
        swatch: SwatchRef,
        /// The role.
        role: Role,
    },
    /// Moves a swatch.
    MoveSwatch {
        /// The swatch.
        swatch: SwatchRef,
        /// Name of the family it goes to, which is made if need be.
        family: String,
        /// The place in it, counted from 0.
        place: usize,
    },
    /// Takes a swatch off the board.
    RemoveSwatch {
        /// The swatch.
        swatch: SwatchRef,
        /// What becomes of its paint.
        #[serde(default)]
        paint: PaintFate,
    },
    /// Renames the board.
    RenameBoard(String),
    /// Sets the light of the day.
    SetLight(LightOfDay),
    /// Turns all hues of the board by an angle in degrees, -180 to 180.
    Turn(f32),
    /// Moves the board to another light, given by its correlated colour temperature in kelvin, 1700 to 25000.
    Relight(f32),
    /// Moves the board to a light whose white has this chromaticity (CIE 1931 x, y).
    RelightTo {
        /// x, y; neither is 0.
        white: (f64, f64),
    },
    /// Spreads the values of the board (1 keeps them) and shifts them, in Munsell values.
    Key {
        /// 0 to 3.
        spread: f32,
        /// -10 to 10.
        shift: f32,
    },
    /// Sets the bare canvas.
    SetGround {
        /// Its name.
        name: String,
        /// `#rrggbb`.
        colour: String,
    },
    /// Sets how paints mix.
    SetMixing(Mixing),
    /// Adds a board pass above the others, below the free pass, and paints on it from now on.
    AddPass(String),
    /// Paints on this pass from now on. No step of the history: the next step records it.
    SelectPass(String),
    /// Renames a pass.
    RenamePass {
        /// Name of the pass.
        pass: String,
        /// Its new name.
        name: String,
    },
    /// Shows or hides a pass.
    ShowPass {
        /// Name of the pass.
        pass: String,
        /// Whether it shows.
        visible: bool,
    },
    /// Sets how strongly a pass shows, 0 to 1.
    PassStrength {
        /// Name of the pass.
        pass: String,
        /// 0 to 1.
        strength: f32,
    },
    /// Moves a pass to a place, counted from 0 at the bottom.
    MovePass {
        /// Name of the pass.
        pass: String,
        /// The place.
        place: usize,
    },
    /// Takes all paint off a pass.
    ClearPass(String),
    /// Merges a pass into the one below it; what shows stays the same.
    MergeDown(String),
    /// Takes a pass with its paint away.
    RemovePass(String),
    /// Loads the brush with a swatch of the board.
    Load(SwatchRef),
    /// Loads the brush with what shows at a canvas pixel: one swatch, or the mixture there. Free colour is left out while it is
    /// shut.
    LoadFrom {
        /// Column and row.
        at: (u32, u32),
    },
    /// Works parts of a swatch into the well, or takes them out where the number is negative.
    Stir {
        /// Which.
        swatch: SwatchRef,
        /// How many, -999 to 999.
        parts: i32,
    },
    /// Takes everything out of the well.
    ClearWell,
    /// Loads the brush with the mixture in the well.
    LoadWell,
    /// Loads the brush with a free colour (`#rrggbb`); refused while free colour is shut.
    LoadFree(String),
    /// Sets the brush.
    Brush(Brush),
    /// Lays the loaded paint along pen samples.
    Stroke(Vec<PenSample>),
    /// Takes paint off along pen samples, with the brush as it is.
    Scrape(Vec<PenSample>),
    /// Blends what is there along pen samples, with the brush as it is.
    Soften(Vec<PenSample>),
    /// Fills a closed outline with the loaded paint.
    Mass {
        /// Its corners on the canvas.
        outline: Vec<[f32; 2]>,
        /// Its edge.
        #[serde(default)]
        edge: Edge,
    },
    /// Fills what shows alike around a place with the loaded paint.
    Fill {
        /// Column and row of a pixel of the area.
        at: (u32, u32),
        /// How far a colour may lie from the one there and still belong to the area, deltaEOK, 0 to 1.
        #[serde(default = "fill_tolerance")]
        tolerance: f32,
        /// Gaps in the boundary up to this width are closed, pixels, 0 to 60.
        #[serde(default = "fill_gap")]
        gap: u32,
    },
    /// Protects a part of the canvas: strokes, masses and fills change the other side of its outline alone. One area at a time.
    Protect {
        /// Its closed outline on the canvas.
        outline: Vec<[f32; 2]>,
        /// The side that can be painted.
        paintable: Side,
    },
    /// Takes the protected area off.
    Unprotect,
    /// Puts the protected area away, or brings it back. No step of the history.
    UseProtection(bool),
    /// Moves, scales and turns the paint of the selected pass that lies inside the outline of the protected area, and the outline with it.
    MoveArea(Placement),
    /// Sets how long the painter means to work on the study, minutes, 1 to 1440; none lifts the limit.
    SetStint(Option<u32>),
    /// Opens free colour: noted in the study with the shares at this moment.
    OpenFree,
    /// Shuts free colour again.
    ShutFree,
    /// Opens the photo of a study that is painted from memory: noted in the study with the shares at this moment.
    OpenPhoto,
    /// Shuts the photo: from here on the study is painted from memory.
    ShutPhoto,
    /// Steps back.
    Undo,
    /// Steps on again.
    Redo,
}

/// The tolerance of a fill that names none: a little more than a difference seen at a glance.
pub const FILL_TOLERANCE: f32 = 0.06;
/// The gap that a fill closes which names none, pixels.
pub const FILL_GAP_PX: u32 = 6;

fn fill_tolerance() -> f32 {
    FILL_TOLERANCE
}

fn fill_gap() -> u32 {
    FILL_GAP_PX
}

fn as_it_is() -> f32 {
    Adjustments::default().contrast
}

impl Command {
    /// Sets everything that adjustments say, but the crop.
    pub fn adjust(to: Adjustments) -> Self {
        Command::Adjust {
            hue_turn: to.hue_turn_degrees,
            soften: to.soften_px,
            exposure: to.exposure_stops,
            contrast: to.contrast,
        }
    }

    /// What the history calls it.
    pub fn label(&self) -> &'static str {
        match self {
            Command::Reference(_) => "Take in a photo",
            Command::Adjust { .. } => "Adjust the photo",
            Command::CropPhoto { .. } => "Crop the photo",
            Command::CropCanvas { .. } => "Crop or extend the canvas",
            Command::LineUp { .. } => "Line up with the photo",
            Command::Pick { .. } => "Pick a colour",
            Command::PickTrio { .. } => "Pick shadow, local and light",
            Command::PickAgain => "Pick again",
            Command::ProposeBoard(_) => "Propose a board",
            Command::UseBoard(_) => "Use a board",
            Command::ReviseBoard(_) => "Revise the board",
            Command::NewBoard(_) => "Keep as a new board",
            Command::SwitchBoard(_) => "Switch to a board",
            Command::ForgetBoard(_) => "Take a board away",
            Command::SetDistance { .. } => "Set a distance",
            Command::Dismiss { dismissed: true, .. } => "Dismiss a remark",
            Command::Dismiss { dismissed: false, .. } => "Bring a remark back",
            Command::AddFamily(_) => "Add a family",
            Command::RenameFamily { .. } => "Rename a family",
            Command::MoveFamily { .. } => "Move a family",
            Command::RemoveFamily(_) => "Remove a family",
            Command::AddSwatch { .. } => "Add a swatch",
            Command::ChangeSwatch { .. } => "Change a swatch",
            Command::Recolour { .. } => "Recolour a swatch",
            Command::RenameSwatch { .. } => "Rename a swatch",
            Command::SetRole { .. } => "Change a role",
            Command::MoveSwatch { .. } => "Move a swatch",
            Command::RemoveSwatch { .. } => "Remove a swatch",
            Command::RenameBoard(_) => "Rename the board",
            Command::SetLight(_) => "Set the light of the day",
            Command::Turn(_) => "Turn the board",
            Command::Relight(_) | Command::RelightTo { .. } => "Relight the board",
            Command::Key { .. } => "Change the key",
            Command::SetGround { .. } => "Set the ground",
            Command::SetMixing(_) => "Change how paints mix",
            Command::AddPass(_) => "Add a pass",
            Command::SelectPass(_) => "Select a pass",
            Command::RenamePass { .. } => "Rename a pass",
            Command::ShowPass { .. } => "Show or hide a pass",
            Command::PassStrength { .. } => "Set a pass's strength",
            Command::MovePass { .. } => "Move a pass",
            Command::MergeDown(_) => "Merge a pass down",
            Command::ClearPass(_) => "Clear a pass",
            Command::RemovePass(_) => "Remove a pass",
            Command::Stir { .. } => "Stir the well",
            Command::ClearWell => "Clear the well",
            Command::Load(_) | Command::LoadFree(_) | Command::LoadFrom { .. } | Command::LoadWell => "Load the brush",
            Command::Brush(_) => "Set the brush",
            Command::Stroke(_) => "Stroke",
            Command::Scrape(_) => "Scrape",
            Command::Soften(_) => "Soften",
            Command::Mass { .. } => "Mass",
            Command::Fill { .. } => "Fill",
            Command::Protect { .. } => "Protect an area",
            Command::Unprotect => "Take the protected area off",
            Command::UseProtection(_) => "Put the protected area away or bring it back",
            Command::MoveArea(_) => "Move what is in the area",
            Command::SetStint(_) => "Set the length of the stint",
            Command::OpenFree => "Open free colour",
            Command::ShutFree => "Shut free colour",
            Command::OpenPhoto => "Open the photo",
            Command::ShutPhoto => "Shut the photo",
            Command::Undo => "Step back",
            Command::Redo => "Step on",
        }
    }
}
