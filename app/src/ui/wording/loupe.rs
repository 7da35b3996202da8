//! Words of the photo's panel and of the loupe.

use stint_model::board::Role;

/// Title of the left panel.
pub const REFERENCE: &str = "Reference";
/// Words on the button that hides a side panel.
pub const PUT_AWAY: &str = "Away";
/// Words on the button that opens the field for another photo.
pub const CHANGE: &str = "Change…";
/// Accessible name of the button that hides the reference.
pub const PUT_REFERENCE_AWAY: &str = "Put the reference away";
/// Accessible name of the button that takes another photo.
pub const CHANGE_PHOTO: &str = "Choose another photo";
/// Brings the reference back.
pub const SHOW_REFERENCE: &str = "Show reference";
/// Brings the readout back.
pub const SHOW_READOUT: &str = "Show readout";
/// Shown while the study has no photo.
pub const NO_PHOTO: &str = "No photo yet. Drop one anywhere in the window, paste it, or choose one.";
/// Accessible name of the photo.
pub const PHOTO: &str = "Photo: move to look, click to hold a spot, drag to outline a surface";
/// Slider that turns the hues of the photo, -180 to 180 degrees.
pub const HUE_TURN: &str = "Hue turn";
/// Slider that blurs the photo, 0 to 3 photo pixels.
pub const SOFTEN: &str = "Soften specks";
/// Slider that makes the photo lighter or darker, -3 to 3 stops.
pub const EXPOSURE: &str = "Exposure";
/// Slider that draws the photo's values apart or together.
pub const CONTRAST: &str = "Contrast";
/// Title of the loupe.
pub const LOUPE: &str = "Under the loupe";
/// Shown in the section of the loupe while no spot is held.
pub const LOUPE_HINT: &str =
    "Move over the photo to look, click to hold a spot, drag to outline a surface; then write what it is.";
/// Slider of the width of the loupe, 1 to 31 photo pixels.
pub const APERTURE: &str = "Loupe";
/// Field for the family a pick goes to.
pub const FAMILY: &str = "Family";
/// Choose among the families there are.
pub const FAMILIES: &str = "List";
/// Accessible name of the list of families.
pub const CHOOSE_FAMILY: &str = "Choose a family";
/// Notice when a colour is laid without a family.
pub const FAMILY_MISSING: &str = "Name a family first: the surface, such as brick or wet yard";
/// Button that puts the held spot on the board.
pub const LAY: &str = "Lay on board";
/// Button that puts the three tones of the outlined surface on the board.
pub const LAY_TRIO: &str = "Lay light, local, shadow";
/// Words on the button that ends an outline or a proposal.
pub const LET_GO: &str = "Discard";
/// Accessible name of the same.
pub const LET_OUTLINE_GO: &str = "Let the outline go";
/// Said of a colour below the darkest Munsell value a board should hold.
pub const NEAR_BLACK: &str = "almost black";
/// Said of a colour above the lightest Munsell value a board should hold.
pub const NEAR_WHITE: &str = "almost white";
/// Said of a colour that a nudge would move inwards.
pub const AT_GAMUT_EDGE: &str = "at the edge of what a screen shows";
/// Said of a colour that sRGB cannot hold.
pub const OUTSIDE_GAMUT: &str = "outside what this screen shows; the nearest is used";
/// What the tick behind a comparison says.
pub const SUITS_LIGHT: &str = "It suits the light of the day";
/// A family and a role.
pub fn family_and_role(family: &str, role: Role) -> String {
    if family.trim().is_empty() {
        super::role_title(role).to_owned()
    } else {
        format!("{}, {}", family.trim(), role.word())
    }
}
