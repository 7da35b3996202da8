//! Keys of the key table that mean the photo, while it is looked at.

use super::super::{Page, PanelState};
use super::loupe_state::OutlineMode;
use crate::ui::keys::Action;

impl PanelState {
    /// Takes an action that is meant for the photo; false when it is meant for the canvas.
    pub fn take_action(&mut self, action: Action) -> bool {
        let large = self.page == Page::Photo;
        let corners = self.loupe.drawing == OutlineMode::Corners;
        match action {
            Action::Close if self.canvas_crop.open => self.want_canvas(),
            Action::Cancel if self.canvas_crop.open => self.cancel_canvas_crop(),
            Action::Close | Action::Cancel if self.crop.open => self.leave_crop(),
            Action::Close if corners => self.loupe.close_corners(),
            // What is proposed over the large photo is laid as it is.
            Action::Close if large && self.proposal.open => self.proposal.lay = true,
            Action::CornerBack if corners => self.loupe.corner_back(),
            Action::Cancel if corners || large => self.cancel_on_photo(),
            Action::Nudge => self.loupe.nudge(),
            Action::ByCorners => self.loupe.by_corners = !self.loupe.by_corners,
            Action::Fit if large => self.photo_page.fit(),
            Action::ActualSize if large => self.photo_page.actual_size(),
            Action::ZoomIn if large => self.photo_page.closer(true),
            Action::ZoomOut if large => self.photo_page.closer(false),
            // Nothing is painted on the photo.
            Action::Close | Action::CornerBack | Action::TurnLeft | Action::TurnRight | Action::Upright if large => {}
            _ => return false,
        }
        true
    }

    /// Keys that are held: the photo follows the pointer, and is shown without its adjustments.
    pub fn hold_keys(&mut self, pan: bool, before: bool) {
        self.photo_page.pan = pan;
        self.photo.before_key = before;
    }

    /// Whether the photo is shown without its adjustments.
    pub fn looks_before(&self) -> bool {
        self.photo.before_key || self.photo.before_button
    }

    /// Cancels what is in the making; leaves the page when nothing is.
    fn cancel_on_photo(&mut self) {
        if !self.loupe.outline.is_empty() {
            self.loupe.clear_outline();
        } else if self.proposal.open {
            self.proposal.close();
        } else if self.loupe.held.is_some() {
            self.loupe.held = None;
        } else {
            self.page = Page::Canvas;
        }
    }
}
