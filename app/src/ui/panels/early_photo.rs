//! A photo that is being opened, as soon as anything of it can be shown: coarse, in the place where all of it opens in a moment.

use super::PanelState;
use super::photo_page::MARGIN;
use super::reference::fitted;
use crate::files::picture_store::SmallPicture;
use crate::ui::state::State;
use crate::ui::{theme, wording};
use egui::{Color32, ColorImage, Context, Key, Rect, Role, Sense, TextureHandle, TextureOptions, Ui, WidgetInfo, pos2};

/// What is remembered of it.
#[derive(Default)]
pub(super) struct EarlyPhoto {
    picture: Option<(String, TextureHandle)>,
    /// The painter was at work when it came, and goes on.
    held_back: bool,
}

impl EarlyPhoto {
    /// Takes the coarse view once it is there, and lets go of it when what was opened came in, or was not wanted any more.
    pub fn follow(&mut self, state: &State, ctx: &Context) {
        let Some(opening) = &state.opening else {
            if state.opened.is_none() {
                *self = EarlyPhoto::default();
            }
            return;
        };
        let Some(early) = opening.early().filter(|_| self.picture.is_none()) else { return };
        self.held_back = state.session.is_some() && ctx.input(|i| i.pointer.any_down());
        self.picture = Some((opening.name().to_owned(), texture(ctx, early)));
    }

    /// Whether there is something to see.
    pub fn shows(&self) -> bool {
        self.picture.is_some() && !self.held_back
    }
}

fn texture(ctx: &Context, early: &SmallPicture) -> TextureHandle {
    let size = [early.width_px as usize, early.height_px as usize];
    let image = ColorImage::new(size, early.pixels.iter().map(|&codes| theme::srgb(codes)).collect());
    ctx.load_texture("early photo", image, TextureOptions::LINEAR)
}

/// The page: the photo where it opens, and how far it is in the message that lies over every page.
pub(super) fn page(state: &mut State, panels: &mut PanelState, ui: &mut Ui) {
    let room = ui.max_rect().shrink(MARGIN);
    ui.painter().rect_filled(ui.max_rect(), 0.0, theme::surround(state.surround));
    if !panels.sheet_is_open() && ui.input(|i| i.key_pressed(Key::Escape)) {
        state.opening = None;
    }
    let Some((name, texture)) = panels.early_photo.picture.as_ref().filter(|_| room.is_positive()) else { return };
    let place = fitted(texture.size_vec2(), room);
    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
    ui.painter().image(texture.id(), place, whole, Color32::WHITE);
    let response = ui.interact(place, ui.scope_id().with("early photo"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, wording::coming_in(name)));
}
