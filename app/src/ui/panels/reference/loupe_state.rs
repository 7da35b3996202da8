//! What is held on the photo: a spot, or the outline of a surface.

use crate::study::command::MovedTone;
use stint_model::board::Role;
use stint_model::ids::FamilyId;

/// Width of the loupe until another is chosen, photo pixels.
pub(in crate::ui::panels) const APERTURE_PX: u32 = 9;
/// Widest loupe, photo pixels.
pub(in crate::ui::panels) const MAX_APERTURE_PX: u32 = 31;

/// How an outline is being drawn now.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(in crate::ui::panels) enum OutlineMode {
    /// It is closed, or there is none.
    #[default]
    None,
    /// A drag of the pointer draws it.
    Freehand,
    /// Each click sets a corner.
    Corners,
}

/// What the loupe remembers.
pub(in crate::ui::panels) struct LoupeState {
    /// The spot that was clicked, photo pixels.
    pub held: Option<(u32, u32)>,
    /// The spot under the pointer in this frame.
    pub under: Option<(u32, u32)>,
    /// The outline of a surface, photo pixels.
    pub outline: Vec<(f32, f32)>,
    /// How it is being drawn.
    pub drawing: OutlineMode,
    /// Whether clicks are corners of an outline.
    pub by_corners: bool,
    /// Tones of the outlined surface that the painter picks elsewhere.
    pub moved: Vec<MovedTone>,
    /// Whether the held colour is nudged into range.
    pub nudged: bool,
    /// The family that is written.
    pub family: String,
    /// Something was picked with the pointer, and its family can be written.
    pub writes_family: bool,
    /// The family on the board that this names.
    pub names: Option<(FamilyId, String)>,
    /// The role of what is picked.
    pub role: Role,
    /// Width of the loupe, photo pixels.
    pub aperture_px: u32,
    /// The photo that all this is on, by the key of its bytes in the study.
    photo: Option<i64>,
}

impl Default for LoupeState {
    fn default() -> Self {
        LoupeState {
            held: None,
            under: None,
            outline: Vec::new(),
            drawing: OutlineMode::None,
            by_corners: false,
            moved: Vec::new(),
            nudged: false,
            family: String::new(),
            writes_family: false,
            names: None,
            role: Role::Local,
            aperture_px: APERTURE_PX,
            photo: None,
        }
    }
}

impl LoupeState {
    /// Sets the width of the loupe, within its limits.
    pub fn set_aperture(&mut self, aperture_px: u32) {
        self.aperture_px = aperture_px.clamp(1, MAX_APERTURE_PX);
    }

    /// Holds a spot, in the place of an outline.
    pub fn hold(&mut self, at: (u32, u32)) {
        self.clear_outline();
        (self.held, self.nudged) = (Some(at), false);
    }

    /// Ends the outline and its tones.
    pub fn clear_outline(&mut self) {
        self.outline.clear();
        self.moved.clear();
        self.drawing = OutlineMode::None;
    }

    /// Clears what belongs to one photo.
    pub fn reset_spots(&mut self) {
        self.clear_outline();
        (self.held, self.under, self.nudged) = (None, None, false);
    }

    /// Clears what was held on another photo than the one that shows now, however it came there: taken in, undone or redone.
    pub fn follow_photo(&mut self, key: i64) {
        if self.photo.replace(key).is_some_and(|before| before != key) {
            self.reset_spots();
        }
    }

    /// Closes an outline that is drawn corner by corner, once it has three.
    pub fn close_corners(&mut self) {
        if self.outline.len() > 2 {
            self.drawing = OutlineMode::None;
            (self.held, self.writes_family) = (None, true);
        }
    }

    /// Takes the last corner back.
    pub fn corner_back(&mut self) {
        self.outline.pop();
        if self.outline.is_empty() {
            self.clear_outline();
        }
    }

    /// Nudges the held spot, or the one under the pointer, into range; takes the nudge back the next time.
    pub fn nudge(&mut self) {
        if self.held.is_none()
            && let Some(at) = self.under
        {
            self.hold(at);
        }
        self.nudged = !self.nudged && self.held.is_some();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_held_on_a_photo_goes_with_it() {
        let mut loupe = LoupeState { family: "Brick".to_owned(), ..LoupeState::default() };
        loupe.follow_photo(1);
        loupe.hold((20, 30));
        loupe.follow_photo(1);
        assert_eq!(loupe.held, Some((20, 30)));
        loupe.follow_photo(2);
        assert_eq!((loupe.held, loupe.family.as_str()), (None, "Brick"));
        loupe.outline = vec![(1.0, 1.0); 3];
        loupe.follow_photo(1);
        assert!(loupe.outline.is_empty());
    }
}
