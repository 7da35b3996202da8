//! The end of a sitting: every guess beside its swatch, the mean, and how it went before.

use super::{MemoryState, Sitting, chart, chip};
use crate::ui::panels::dab;
use crate::ui::panels::widgets::{self, Pill};
use crate::ui::theme::{self, Weight};
use crate::ui::wording;
use egui::{Align2, Rect, Role, ScrollArea, Sense, Ui, UiBuilder, WidgetInfo, pos2, vec2};

/// Height of a row, points.
const ROW: f32 = 72.0;
/// Width of the rows, points.
const WIDTH: f32 = 760.0;
/// Width and height of one of two touching colours, points.
const PATCH: egui::Vec2 = vec2(64.0, 56.0);

/// Every guess of the sitting.
pub(super) fn rows(sitting: &Sitting, ui: &mut Ui) {
    let all = ui.max_rect();
    let width = WIDTH.min(all.width() - 32.0);
    let height = ROW * sitting.tried.len() as f32;
    let top = all.top() + ((all.height() - height) * 0.4).max(16.0);
    let rect =
        Rect::from_min_max(pos2(all.center().x - width / 2.0, top), pos2(all.center().x + width / 2.0, all.bottom()));
    let mut inside = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("rows"));
    ScrollArea::vertical().auto_shrink(false).show(&mut inside, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        for tried in &sitting.tried {
            let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::hover());
            let sentence = wording::miss_line(&tried.miss);
            let words = wording::tried_line(&tried.name, tried.miss.delta_e, &sentence);
            response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
            let left = Rect::from_min_size(pos2(rect.left(), rect.center().y - PATCH.y / 2.0), PATCH);
            ui.painter().rect_filled(left, 0.0, theme::paint(tried.guess));
            ui.painter().rect_filled(left.translate(vec2(PATCH.x, 0.0)), 0.0, theme::paint(tried.wanted));
            chip::edge(ui, left.union(left.translate(vec2(PATCH.x, 0.0))), theme::CHIP_EDGE_ON_BAR);
            let x = left.right() + PATCH.x + 20.0;
            let digits = format!("{:.1}", tried.miss.delta_e);
            let font = theme::font(theme::LARGE, Weight::Semibold);
            ui.painter().text(pos2(x + 56.0, rect.center().y), Align2::RIGHT_CENTER, digits, font, theme::STRONG);
            let x = x + 76.0;
            let room = |y: f32| Rect::from_min_max(pos2(x, y), pos2(rect.right(), y + 20.0));
            let font = theme::font(theme::SMALL, Weight::Semibold);
            widgets::clipped(ui, room(rect.center().y - 20.0), &tried.name, font, theme::STRONG);
            let font = theme::font(theme::SMALL, Weight::Regular);
            widgets::clipped(ui, room(rect.center().y), &sentence, font, theme::TEXT);
            response.on_hover_text(words);
        }
    });
}

/// The mean, a row of dabs of what was looked for, and the line over all sittings. Tells whether another sitting is wanted.
pub(super) fn column(memory: &MemoryState, ui: &mut Ui) -> bool {
    let Some(sitting) = &memory.sitting else { return false };
    widgets::gap(ui, 2.0);
    widgets::number(ui, &format!("{:.1}", sitting.mean()), "", theme::HUGE);
    widgets::quiet(ui, wording::MEAN_DIFFERENCE);
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), 40.0), Sense::hover());
    for (i, tried) in sitting.tried.iter().enumerate() {
        let centre = pos2(rect.left() + 16.0 + i as f32 * 40.0, rect.center().y);
        dab::paint(ui.painter(), tried.id, centre, vec2(15.0, 11.0), theme::paint(tried.wanted), None);
    }
    widgets::gap(ui, 2.0);
    widgets::heading(ui, wording::OVER_SITTINGS);
    let means: Vec<f64> = memory.record.iter().flat_map(|r| &r.sittings).map(|s| s.mean()).collect();
    chart::chart(ui, &means);
    widgets::gap(ui, 2.0);
    widgets::pill(ui, wording::AGAIN, Pill::First).clicked()
}
