//! What the board's mixtures reach: the plane of hue and strength at three values, with the photo's own colours as a cloud behind.

use super::measures::Measures;
use super::widgets;
use crate::base::jobs::{Job, Outcome};
use crate::ui::looks::Look;
use crate::ui::state::State;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{
    Align2, Color32, ColorImage, Rect, Role, Sense, Stroke, StrokeKind, TextureHandle, TextureOptions, Ui, WidgetInfo,
    pos2, vec2,
};
use std::sync::Arc;
use stint_model::board::Board;
use stint_model::board_match::reach::{PhotoReach, Reach, Slice};
use stint_model::colour::Colour;
use stint_model::mixing::Mixing;
use stint_model::photo::{Adjustments, Photo};

/// Space between the planes, points.
const GAP: f32 = 6.0;
/// Colours this far from a value, in Munsell steps, are shown on its plane.
const NEAR_VALUE: f32 = 1.0;
/// Radius of a colour of the photo that is no larger part of it than this, points; larger parts have larger dots.
const SPECK: f32 = 0.8;
const LARGEST_DOT: f32 = 3.0;
/// Side of the patch of the swatch that is missing, points.
const PATCH: f32 = 14.0;

/// What the pictures were worked out for.
#[derive(Clone, PartialEq)]
struct Key {
    swatches: Vec<Colour>,
    mixing: Mixing,
    photo: Option<(i64, Adjustments)>,
    look: Look,
}

/// What was worked out.
struct Found {
    reach: Option<Reach>,
    photo: Option<PhotoReach>,
}

/// The pictures, and the work on the next ones.
#[derive(Default)]
pub(super) struct ReachState {
    job: Option<Job<Found>>,
    of: Option<Key>,
    shown: Option<(Found, Vec<TextureHandle>)>,
}

impl ReachState {
    /// Works out what the board reaches, beside the window, when it is another than the last time.
    fn follow(&mut self, state: &mut State, ui: &Ui) {
        if let Some(job) = &self.job {
            match job.poll() {
                Outcome::Running => return,
                Outcome::Done(found) => {
                    let pictures = found
                        .reach
                        .iter()
                        .flat_map(|reach| reach.slices.iter().map(|slice| picture(ui, reach, slice, state.look)));
                    let pictures = pictures.collect();
                    self.shown = Some((found, pictures));
                }
                Outcome::Died => state.notices.push(wording::REACH_DIED.to_owned()),
            }
            self.job = None;
        }
        let Some(board) = state.shown_board().cloned() else { return };
        let Some(session) = state.session.as_mut() else { return };
        let mixing = session.document().mixing;
        let document = session.document();
        let key = document.reference.as_ref().filter(|_| !document.photo_shut).map(|r| (r.photo, r.adjustments));
        let swatches = board.swatches().map(|(_, s)| s.colour).collect();
        let now = Key { swatches, mixing, photo: key, look: state.look };
        if self.of.as_ref() == Some(&now) {
            return;
        }
        // A photo that cannot be read was told of where it is shown.
        let photo = key.and_then(|_| session.reference().ok());
        self.of = Some(now);
        let ctx = ui.ctx().clone();
        match Job::start("reach", move || ctx.request_repaint(), move |_| found(&board, mixing, photo)) {
            Ok(job) => self.job = Some(job),
            Err(error) => state.notices.push(error.to_string()),
        }
    }
}

fn found(board: &Board, mixing: Mixing, photo: Option<(Arc<Photo>, Adjustments)>) -> Found {
    let photo = photo.and_then(|(photo, adjustments)| PhotoReach::of(board, mixing, &photo.view(adjustments)));
    Found { reach: Reach::of(board, mixing), photo }
}

/// The colours of a plane that can be mixed; the rest is clear.
fn picture(ui: &Ui, reach: &Reach, slice: &Slice, look: Look) -> TextureHandle {
    let pixel = |(i, held): (usize, &bool)| match held {
        true => theme::srgb(look.of(reach.colour(slice, i).to_srgb8())),
        false => Color32::TRANSPARENT,
    };
    let image = ColorImage::new([slice.side; 2], slice.cells.iter().enumerate().map(pixel).collect());
    ui.ctx().load_texture("reach", image, TextureOptions::NEAREST)
}

/// The planes, and what they come to.
pub(super) fn chart(part: &mut ReachState, state: &mut State, ui: &mut Ui) {
    part.follow(state, ui);
    let Some((Found { reach: Some(reach), photo }, pictures)) = &part.shown else {
        let waits = part.job.is_some();
        widgets::quiet(ui, if waits { wording::WORKING_OUT } else { wording::NO_SWATCHES_TO_LEAN });
        return;
    };
    let most = Measures::of(ui.ctx()).between(72.0, 92.0);
    let side = ((ui.available_width() - 2.0 * GAP) / 3.0).min(most);
    let (row, _) = ui.allocate_exact_size(vec2(ui.available_width(), side + 16.0), Sense::hover());
    for (i, (slice, picture)) in reach.slices.iter().zip(pictures).enumerate() {
        let at = row.min + vec2(i as f32 * (side + GAP), 0.0);
        plane(ui, Rect::from_min_size(at, vec2(side, side)), reach, slice, picture, photo.as_ref(), state);
    }
    let Some(photo) = photo else {
        widgets::quiet(ui, wording::REACH_NO_PHOTO);
        return;
    };
    widgets::text(ui, wording::within_reach(photo.share));
    let Some(more) = &photo.addition else { return };
    ui.horizontal(|ui| {
        let (patch, _) = ui.allocate_exact_size(vec2(PATCH, PATCH), Sense::hover());
        let shown = theme::srgb(state.look.of(more.colour.to_srgb8()));
        ui.painter().rect_filled(patch, 2.0, shown);
        ui.painter().rect_stroke(patch, 2.0, Stroke::new(1.0, theme::LINE), StrokeKind::Outside);
        widgets::quiet(ui, wording::with_one_more(&more.words, more.gain));
    });
}

#[expect(clippy::cast_possible_truncation, reason = "a radius in points")]
fn plane(
    ui: &Ui,
    rect: Rect,
    reach: &Reach,
    slice: &Slice,
    picture: &TextureHandle,
    photo: Option<&PhotoReach>,
    state: &State,
) {
    let response = ui.interact(rect, ui.scope_id().with(("reach", slice.value_munsell.to_bits())), Sense::hover());
    let words = wording::reach_plane(slice.value_munsell, slice.of_srgb);
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 0.0, theme::FIELD);
    let place = |colour: Colour| {
        let lab = colour.oklab();
        let [x, y] = [lab.a, -lab.b].map(|v| (v / reach.half + 1.0) / 2.0);
        pos2(egui::lerp(rect.x_range(), x), egui::lerp(rect.y_range(), y))
    };
    let near = |colour: Colour| (colour.munsell_value() - slice.value_munsell).abs() < NEAR_VALUE;
    let stroke = Stroke::new(1.0, theme::ROW);
    painter.hline(rect.x_range(), rect.center().y, stroke);
    painter.vline(rect.center().x, rect.y_range(), stroke);
    let cloud = photo.iter().flat_map(|photo| &photo.colours).filter(|c| near(c.colour));
    for seen in cloud.clone() {
        let radius = (SPECK + 40.0 * (seen.share as f32).sqrt() * 0.5).min(LARGEST_DOT);
        painter.circle_filled(place(seen.colour), radius, theme::LINE);
    }
    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
    painter.image(picture.id(), rect, whole, Color32::WHITE);
    // What of the photo lies within shows on the mixtures, too.
    for seen in cloud.filter(|c| c.within) {
        painter.circle_filled(place(seen.colour), SPECK, theme::OVER_PAINT_DARK);
    }
    for (_, swatch) in state.shown_board().iter().flat_map(|board| board.swatches()).filter(|(_, s)| near(s.colour)) {
        painter.circle_stroke(place(swatch.colour), 2.5, Stroke::new(1.0, theme::BRIGHT));
    }
    painter.rect_stroke(rect, 0.0, Stroke::new(1.0, theme::LINE), StrokeKind::Inside);
    let font = theme::font(theme::TINY, Weight::Regular);
    let at = pos2(rect.left(), rect.bottom() + 2.0);
    ui.painter().text(at, Align2::LEFT_TOP, wording::at_value(slice.value_munsell), font, theme::QUIET);
    response.on_hover_text(words);
}
