//! Sheets over the window, and the buttons at their foot.

use super::button::PILL;
use super::mark::gap;
use crate::ui::theme::{self, Weight};
use egui::{Align, CornerRadius, Layout, Sense, Stroke, Ui, Vec2};

/// Room for the bar of a sheet that scrolls, points.
const BAR: i8 = 12;

/// A sheet over the window: a title, what is on it, and Escape or a press beside it to close. Tells whether it was
/// closed that way.
pub(in crate::ui::panels) fn sheet(ui: &mut Ui, title: &str, width: f32, content: impl FnOnce(&mut Ui)) -> bool {
    let height = ui.ctx().content_rect().height() - 120.0;
    // The bar of what scrolls lies in the margin, beside the figures and not on them.
    let margin = egui::Margin { left: 20, right: 20 - BAR, top: 20, bottom: 20 };
    modal(ui, title, margin, |ui| {
        ui.set_width(width + f32::from(BAR));
        ui.label(egui::RichText::new(title).font(theme::font(theme::MIDDLE, Weight::Semibold)).color(theme::STRONG));
        let scrolling = egui::ScrollArea::vertical().max_height(height).min_scrolled_height(height);
        scrolling.auto_shrink([false, true]).show(ui, |ui| {
            ui.set_width(width);
            content(ui);
        });
    })
}

/// The frame of a sheet, over the darkened window; tells whether it was closed by Escape or a press beside it.
fn modal(ui: &Ui, title: &str, margin: egui::Margin, content: impl FnOnce(&mut Ui)) -> bool {
    let frame = egui::Frame::new()
        .fill(theme::SHEET)
        .stroke(Stroke::new(1.0, theme::LINE))
        .corner_radius(CornerRadius::same(10))
        .inner_margin(margin);
    // An area of its own for each title: a sheet must not be placed by the size of the one before it.
    let id = egui::Id::unique("sheet").with(title);
    let area = egui::Modal::default_area(id).accessible_name(title);
    let modal = egui::Modal::new(id).area(area).frame(frame).backdrop_color(theme::BACKDROP);
    modal.show(ui.ctx(), content).should_close()
}

/// A sheet of a size of its own, which scrolls its parts itself; as [`sheet`] otherwise.
pub(in crate::ui::panels) fn large_sheet(ui: &mut Ui, title: &str, size: Vec2, content: impl FnOnce(&mut Ui)) -> bool {
    let margin = egui::Margin::same(16);
    modal(ui, title, margin, |ui| {
        let (rect, _) = ui.allocate_exact_size(size - margin.sum(), Sense::hover());
        let mut inside = ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(Layout::top_down(Align::Min)));
        content(&mut inside);
    })
}

/// Pills at the right end of a line, the first one given being the outermost.
pub(in crate::ui::panels) fn footer(ui: &mut Ui, content: impl FnOnce(&mut Ui)) {
    gap(ui, 2.0);
    let size = Vec2::new(ui.available_width(), PILL);
    ui.allocate_ui_with_layout(size, Layout::right_to_left(Align::Center), content);
}
