//! The stacked bar of the readout: the canvas from top to bottom as bare ground, free colour and the board's paints.

use crate::study::session::Session;
use crate::ui::theme;
use crate::ui::wording;
use egui::{Color32, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};
use stint_model::board::Board;
use stint_model::ids::SwatchId;
use stint_model::paint::{PaintClass, PaintKind};
use stint_model::readout::Readout;
use stint_model::readout::tally::FULL;

/// What a part of the bar stands for.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum SegmentKind {
    /// Bare ground.
    Bare,
    /// A free colour, or a removed swatch.
    Free,
    /// A swatch of the board.
    Swatch(SwatchId),
}

/// One part of the bar.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct BarSegment {
    kind: SegmentKind,
    colour: Color32,
    /// Fraction of the canvas.
    of_canvas: f64,
    /// What it is called, with its share as the readout states it.
    words: String,
}

impl BarSegment {
    /// What it is called, with its share.
    #[cfg(test)]
    pub fn words(&self) -> &str {
        &self.words
    }
}

/// The parts from top to bottom, in the colours of the board that is tried out, if any.
pub(super) fn segments_of(session: &mut Session, readout: &Readout, tried: Option<&Board>) -> Vec<BarSegment> {
    let document = session.document().clone();
    let canvas_px = f64::from(readout.width_px) * f64::from(readout.height_px);
    let of_picture = readout.painted_px / canvas_px;
    let mut segments = Vec::new();
    if readout.bare_share > 0.0 {
        let words = wording::part_of_bar(wording::BARE, readout.bare_share);
        segments.push(BarSegment {
            kind: SegmentKind::Bare,
            colour: theme::BARE,
            of_canvas: readout.bare_share,
            words,
        });
    }
    // As it was counted for the readout.
    let tally = session.canvas().counted();
    for paint in document.paints.iter().filter(|p| p.class() == PaintClass::Free) {
        let of_canvas = tally.amount(paint.id) as f64 / FULL as f64 / canvas_px;
        if of_canvas > 0.0 {
            let name = if paint.kind == PaintKind::Free { wording::FREE } else { wording::REMOVED };
            let words = wording::part_of_bar(name, of_canvas / of_picture);
            let colour = theme::paint(paint.colour);
            segments.push(BarSegment { kind: SegmentKind::Free, colour, of_canvas, words });
        }
    }
    for ((_, swatch), share) in document.board.swatches().zip(&readout.swatches) {
        if share.share > 0.0 {
            segments.push(BarSegment {
                kind: SegmentKind::Swatch(swatch.id),
                colour: theme::paint(tried.and_then(|b| b.swatch(swatch.id)).unwrap_or(swatch).colour),
                of_canvas: share.share * of_picture,
                words: wording::part_of_bar(&share.name, share.share),
            });
        }
    }
    segments
}

/// Paints the bar in `rect`; the swatch under the pointer, if any.
pub(super) fn bar(ui: &mut Ui, rect: Rect, segments: &[BarSegment]) -> Option<SwatchId> {
    let mut lit = None;
    let mut top = rect.top();
    let all: f64 = segments.iter().map(|p| p.of_canvas).sum();
    for (i, segment) in segments.iter().enumerate() {
        #[expect(clippy::cast_possible_truncation, reason = "a share of the bar in the single precision of egui")]
        let height = (segment.of_canvas / all.max(f64::MIN_POSITIVE)) as f32 * rect.height();
        let slice = Rect::from_min_size(pos2(rect.left(), top), vec2(rect.width(), height));
        top += height;
        let response = ui.interact(slice, ui.scope_id().with(("bar", i)), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &segment.words));
        match segment.kind {
            SegmentKind::Bare => bare(ui, slice),
            SegmentKind::Free => free(ui, slice, segment.colour),
            SegmentKind::Swatch(id) => {
                ui.painter().rect_filled(slice, 0.0, segment.colour);
                if response.hovered() {
                    lit = Some(id);
                    ui.painter().rect_filled(
                        Rect::from_min_max(
                            pos2(slice.right() + 3.0, slice.top()),
                            pos2(slice.right() + 5.0, slice.bottom()),
                        ),
                        1.0,
                        theme::BRIGHT,
                    );
                }
            }
        }
        response.on_hover_text(&segment.words);
    }
    // A faint edge, so that a paint as dark as the panel is seen to be there.
    ui.painter().rect_stroke(rect, 0.0, Stroke::new(1.0, theme::BARE), egui::StrokeKind::Outside);
    lit
}

/// Bare ground: an empty, dashed box.
fn bare(ui: &Ui, slice: Rect) {
    ui.painter().rect_filled(slice, 0.0, theme::BARE);
    let [a, b, c, d] = [slice.left_bottom(), slice.left_top(), slice.right_top(), slice.right_bottom()];
    let inside = |p: Pos2| p + (slice.center() - p).normalized() * 0.5;
    let stroke = Stroke::new(1.0, theme::QUIET);
    ui.painter().extend(Shape::dashed_line(&[a, b, c, d, a].map(inside), stroke, 3.0, 3.0));
}

/// A free colour: stands out on both sides, with a notch cut into each end.
fn free(ui: &Ui, slice: Rect, colour: Color32) {
    let out = 5.0;
    let wide = slice.expand2(vec2(out, 0.0));
    ui.painter().rect_filled(wide, 0.0, colour);
    let y = wide.center().y;
    let depth = (wide.height() / 2.0).min(out);
    for (x, inwards) in [(wide.left(), 1.0), (wide.right(), -1.0)] {
        let notch = vec![pos2(x, y - depth), pos2(x + inwards * depth, y), pos2(x, y + depth)];
        let notch = if inwards > 0.0 { notch } else { notch.into_iter().rev().collect() };
        ui.painter().add(Shape::convex_polygon(notch, theme::PANEL, Stroke::NONE));
    }
}
