//! The board's share over the strokes, with the aim and the moments free colour was opened.

use super::measures::Measures;
use crate::study::session::FREE_AIM;
use crate::ui::{theme, wording};
use egui::{Align2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};
use stint_model::study::file::ShareRow;

/// Height of the plot, designed and largest, points.
const HEIGHT: (f32, f32) = (40.0, 72.0);

/// Points of the line: strokes and board share, one for each number of strokes (the last step of it counts), none before
/// there is paint.
pub(super) fn points(rows: &[ShareRow]) -> Vec<(u64, f64)> {
    let mut points: Vec<(u64, f64)> = Vec::new();
    for row in rows.iter().filter(|r| r.shares.painted_px > 0.0) {
        match points.last_mut() {
            Some(last) if last.0 == row.strokes => last.1 = row.shares.board,
            _ => points.push((row.strokes, row.shares.board)),
        }
    }
    points
}

/// Paints the chart; `opened` are the numbers of strokes at which free colour was opened.
pub(super) fn chart(ui: &mut Ui, points: &[(u64, f64)], opened: &[u64]) {
    let [Some(&(first, _)), Some(&(last, _))] = [points.first(), points.last()] else { return };
    if last == first {
        return;
    }
    let height = Measures::of(ui.ctx()).between(HEIGHT.0, HEIGHT.1);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height + 18.0), Sense::hover());
    let lowest = points.iter().map(|p| p.1).fold(1.0, f64::min);
    let words = wording::chart_words(last, lowest, opened);
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    let plot = Rect::from_min_max(rect.min, pos2(rect.right(), rect.top() + height));
    // The scale starts a little below the aim or the lowest point, so that small steps can be seen.
    let floor = (lowest.min(1.0 - FREE_AIM) - 0.05).max(0.0);
    let place = |strokes: u64, share: f64| {
        let x = (strokes.clamp(first, last) - first) as f32 / (last - first) as f32;
        #[expect(clippy::cast_possible_truncation, reason = "a place in the plot in the single precision of egui")]
        let y = ((1.0 - share) / (1.0 - floor)) as f32;
        pos2(egui::lerp(plot.x_range(), x), egui::lerp(plot.top() + 1.0..=plot.bottom() - 1.0, y))
    };
    ui.painter().hline(plot.x_range(), plot.bottom(), Stroke::new(1.0, theme::LINE));
    let aim = [place(first, 1.0 - FREE_AIM), place(last, 1.0 - FREE_AIM)];
    ui.painter().extend(Shape::dashed_line(&aim, Stroke::new(1.0, theme::LINE), 3.0, 3.0));
    for &at in opened {
        let x = place(at, 1.0).x;
        ui.painter().vline(x, plot.y_range(), Stroke::new(1.0, theme::QUIET));
    }
    if let Some(&at) = opened.first() {
        let x = place(at, 1.0).x;
        let (at, align) = if x > rect.center().x { (x + 2.0, Align2::RIGHT_TOP) } else { (x - 2.0, Align2::LEFT_TOP) };
        let font = theme::font(theme::SMALL, theme::Weight::Regular);
        ui.painter().text(pos2(at, plot.bottom() + 2.0), align, wording::OPENED, font, theme::QUIET);
    }
    let line: Vec<_> = points.iter().map(|&(s, b)| place(s, b)).collect();
    ui.painter().add(Shape::line(line, Stroke::new(1.5, theme::STRONG)));
    response.on_hover_text(words);
}

#[cfg(test)]
mod tests {
    use super::*;
    use stint_model::study::file::{Shares, StepId};

    #[test]
    fn one_point_a_stroke_and_none_before_paint() {
        let row = |strokes, painted_px, board| ShareRow {
            step: StepId(0),
            strokes,
            shares: Shares { painted_px, board, free: 1.0 - board, bare: 0.5 },
        };
        let rows = [row(0, 0.0, 0.0), row(1, 10.0, 1.0), row(1, 10.0, 0.9), row(2, 20.0, 0.8)];
        assert_eq!(points(&rows), [(1, 0.9), (2, 0.8)]);
    }
}
