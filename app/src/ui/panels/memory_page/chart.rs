//! The mean difference of every sitting as a grey line: lower is nearer.

use crate::ui::panels::measures::Measures;
use crate::ui::panels::widgets;
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Align2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, lerp, pos2, vec2};

/// Height of the plot, designed and largest, points.
const HEIGHT: (f32, f32) = (88.0, 132.0);
/// Width of the figures at its left, points.
const FIGURES: f32 = 30.0;

/// Paints the line, the first sitting at the left.
#[expect(clippy::cast_possible_truncation, reason = "a place in the plot in the single precision of egui")]
pub(super) fn chart(ui: &mut Ui, means: &[f64]) {
    let [first, .., last] = means else {
        widgets::quiet(ui, wording::FIRST_SITTING);
        return;
    };
    let height = Measures::of(ui.ctx()).between(HEIGHT.0, HEIGHT.1);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let words = wording::sittings_words(means.len(), *first, *last);
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    let plot = Rect::from_min_max(pos2(rect.left() + FIGURES, rect.top() + 8.0), rect.max - vec2(8.0, 8.0));
    let top = means.iter().copied().fold(1.0, f64::max).ceil();
    let place = |i: usize, mean: f64| {
        let x = lerp(plot.x_range(), i as f32 / (means.len() - 1) as f32);
        pos2(x, lerp(plot.bottom()..=plot.top(), (mean / top) as f32))
    };
    for figure in [0.0, top] {
        let y = place(0, figure).y;
        ui.painter().hline(plot.x_range(), y, Stroke::new(1.0, theme::LINE));
        let font = theme::font(12.0, Weight::Regular);
        ui.painter().text(pos2(plot.left() - 8.0, y), Align2::RIGHT_CENTER, format!("{figure:.0}"), font, theme::QUIET);
    }
    let line: Vec<_> = means.iter().enumerate().map(|(i, &mean)| place(i, mean)).collect();
    let end = line.last().copied();
    ui.painter().add(Shape::line(line, Stroke::new(1.5, theme::QUIET)));
    if let Some(end) = end {
        ui.painter().circle_filled(end, 4.0, theme::STRONG);
    }
    response.on_hover_text(words);
}
