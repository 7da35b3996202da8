//! The painter's guide: the page that lies in the repository, laid out for the sheet that F1 opens.

use super::widgets;
use crate::ui::theme::{self, Weight};
use egui::{Align, RichText, Role, Ui, WidgetInfo, vec2};

/// The page, in Markdown: titles, paragraphs, and lists with numbers or dashes.
const GUIDE: &str = include_str!("../../../../assets/guide.md");
/// Width of the numbers and dashes of lists, points.
const INDENT: f32 = 22.0;

/// A block of the page.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Block<'a> {
    /// The title of the page.
    Title(&'a str),
    /// The title of a part.
    Heading(&'a str),
    /// An item of a list, with its number or dash.
    Item(&'a str, &'a str),
    /// Running text.
    Text(&'a str),
}

/// The blocks of a page, one a line.
fn blocks(text: &str) -> impl Iterator<Item = Block<'_>> {
    text.lines().map(str::trim_end).filter(|line| !line.is_empty()).map(|line| {
        if let Some(title) = line.strip_prefix("# ") {
            return Block::Title(title);
        }
        if let Some(title) = line.strip_prefix("## ") {
            return Block::Heading(title);
        }
        match line.split_once(' ') {
            Some(("-", text)) => Block::Item("–", text),
            Some((number, text)) if number.ends_with('.') && number[..number.len() - 1].parse::<u8>().is_ok() => {
                Block::Item(number, text)
            }
            _ => Block::Text(line),
        }
    })
}

/// Lays the page out.
pub(super) fn page(ui: &mut Ui) {
    ui.spacing_mut().item_spacing.y = 4.0;
    // Beside the words, not on them, lies the bar.
    ui.set_max_width(ui.available_width() - 2.0 * theme::STEP);
    for block in blocks(GUIDE) {
        match block {
            Block::Title(words) => {
                let words = RichText::new(words).font(theme::font(theme::LARGE, Weight::Semibold));
                ui.label(words.color(theme::STRONG));
            }
            Block::Heading(words) => {
                ui.add_space(theme::STEP);
                let response = widgets::heading(ui, words);
                response.widget_info(|| WidgetInfo::labeled(Role::Heading, true, words));
            }
            Block::Item(sign, words) => {
                ui.with_layout(egui::Layout::left_to_right(Align::Min), |ui| {
                    ui.spacing_mut().item_spacing.x = 0.0;
                    ui.allocate_ui(vec2(INDENT, 18.0), |ui| {
                        ui.set_width(INDENT);
                        widgets::quiet(ui, sign);
                    });
                    ui.vertical(|ui| widgets::text(ui, words));
                });
            }
            Block::Text(words) => {
                widgets::text(ui, words);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_is_titles_paragraphs_and_lists_alone() {
        let all: Vec<_> = blocks(GUIDE).collect();
        assert!(matches!(all[0], Block::Title(_)) && matches!(all[1], Block::Text(_)));
        assert_eq!(all.iter().filter(|b| matches!(b, Block::Title(_))).count(), 1);
        assert!(all.iter().filter(|b| matches!(b, Block::Heading(_))).count() >= 6);
        for block in &all {
            let (Block::Title(words) | Block::Heading(words) | Block::Item(_, words) | Block::Text(words)) = block;
            // What the layout does not know would stand there as signs.
            assert!(!words.contains(['*', '`', '_', '[', '|', '<']) && !words.starts_with('#'), "{words}");
        }
        // One page: some 60 lines of 90 letters.
        assert!(GUIDE.len() < 5400, "{} letters", GUIDE.len());
        assert_eq!(
            blocks("1. one\n- two\n2026 was").collect::<Vec<_>>(),
            [Block::Item("1.", "one"), Block::Item("–", "two"), Block::Text("2026 was")]
        );
    }
}
