//! Where every control is, written to a file: what presses them from outside need not know the layout.

use egui::accesskit::{Node, NodeId, Role, Toggled, TreeUpdate};
use std::collections::HashMap;
use std::fmt::Write as _;
use std::io::Write as _;
use std::path::PathBuf;
use stint_model::disk;

/// Writes the controls of each frame that has others than the one before.
#[derive(Default)]
pub struct Controls {
    file: Option<PathBuf>,
    last: String,
}

impl Controls {
    /// Writes to a file; nothing is done without one. The frames must be made with egui's accessible tree then.
    pub fn to(file: Option<PathBuf>) -> Self {
        Controls { file, last: String::new() }
    }

    /// Whether they are asked for.
    pub fn wanted(&self) -> bool {
        self.file.is_some()
    }

    /// Takes the controls of a frame.
    ///
    /// # Errors
    /// When the file cannot be written, with what to do; it is not tried again then.
    pub fn follow(&mut self, update: Option<&TreeUpdate>, pixels_per_point: f32) -> Result<(), String> {
        let (Some(file), Some(update)) = (&self.file, update) else { return Ok(()) };
        let text = lines(update, f64::from(pixels_per_point));
        if text == self.last {
            return Ok(());
        }
        #[cfg(target_arch = "wasm32")]
        if let Some(browser) = crate::host::page::browser() {
            browser.controls(&text);
            self.last = text;
            return Ok(());
        }
        // A reader must never see half of it.
        let beside = file.with_extension("new");
        let write = |mut file: disk::File| file.write_all(text.as_bytes());
        let written = disk::create(&beside).and_then(write).and_then(|()| disk::rename(&beside, file));
        let told = written.map_err(|e| format!("{} cannot be written ({e}); name another file", file.display()));
        if told.is_err() {
            self.file = None;
        }
        self.last = text;
        told
    }
}

/// A line each: role, left, top, right, bottom in window pixels, then the name; separated by tabs. A page is told more of each: whether
/// it is chosen, whether it can be used, what it is set to.
fn lines(update: &TreeUpdate, pixels_per_point: f64) -> String {
    let mut text = String::new();
    for node in in_order(update) {
        let (Some(bounds), Some(name)) = (node.bounds(), name(update, node)) else { continue };
        let [left, top, right, bottom] =
            [bounds.x0, bounds.y0, bounds.x1, bounds.y1].map(|v| (v * pixels_per_point).round());
        // Writing into a string cannot fail.
        let _ = write!(text, "{:?}\t{left}\t{top}\t{right}\t{bottom}\t{name}", node.role());
        if cfg!(target_arch = "wasm32") {
            text.push_str(&state(node));
        }
        text.push('\n');
    }
    text
}

/// What becomes of `aria-checked`, `aria-disabled` and `aria-valuetext`, each after a tab and empty where it says nothing.
fn state(node: &Node) -> String {
    let chosen = match node.toggled() {
        Some(Toggled::True) => "true",
        Some(Toggled::False) => "false",
        Some(Toggled::Mixed) => "mixed",
        None => "",
    };
    let disabled = if node.is_disabled() { "true" } else { "" };
    let number = || node.numeric_value().map(|value| format!("{value:.2}"));
    let value = node.value().filter(|_| node.role() != Role::Label).map(str::to_owned).or_else(number);
    let value = value.unwrap_or_default().split_whitespace().collect::<Vec<_>>().join(" ");
    format!("\t{chosen}\t{disabled}\t{value}")
}

/// The nodes as they are read: each before its children, which come in their order.
fn in_order(update: &TreeUpdate) -> Vec<&Node> {
    let nodes: HashMap<NodeId, &Node> = update.nodes.iter().map(|(id, node)| (*id, node)).collect();
    let mut waiting: Vec<NodeId> = update.tree.iter().map(|tree| tree.root).collect();
    let mut found = Vec::with_capacity(nodes.len());
    while let Some(node) = waiting.pop().and_then(|id| nodes.get(&id)) {
        found.push(*node);
        waiting.extend(node.children().iter().rev());
    }
    found
}

/// A control's own name, or the text it is labelled by; a text is its own name.
fn name(update: &TreeUpdate, node: &Node) -> Option<String> {
    let own = |node: &Node| {
        let words = if node.role() == Role::Label { node.label().or(node.value()) } else { node.label() };
        words.map(|w| w.split_whitespace().collect::<Vec<_>>().join(" ")).filter(|w| !w.is_empty())
    };
    let label = |node: &Node| {
        let id = node.labelled_by().first()?;
        own(&update.nodes.iter().find(|(other, _)| other == id)?.1)
    };
    own(node).or_else(|| label(node))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_control_is_written_once_with_its_place_in_pixels() {
        let context = egui::Context::default();
        context.enable_accesskit();
        let mut update = None;
        for _ in 0..2 {
            let output = context.run_ui(egui::RawInput::default(), |ui| {
                let rect = egui::Rect::from_min_max(egui::pos2(10.0, 20.0), egui::pos2(50.0, 40.0));
                let response = ui.interact(rect, egui::Id::unique("a"), egui::Sense::click());
                response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, "Step\nback"));
                ui.label("second");
                ui.label("third");
                let words = ui.label("Folder");
                ui.text_edit_singleline(&mut "here").labelled_by(words.id);
            });
            update.clone_from(&output.platform_output.accesskit_update);
            output.drop_without_applying_deltas();
        }
        let mut chosen = Node::new(Role::RadioButton);
        chosen.set_toggled(Toggled::True);
        assert_eq!(state(&chosen), "\ttrue\t\t");
        let mut slider = Node::new(Role::Slider);
        slider.set_numeric_value(0.25);
        slider.set_disabled();
        assert_eq!(state(&slider), "\t\ttrue\t0.25");
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("controls");
        let mut controls = Controls::to(Some(file.clone()));
        controls.follow(update.as_ref(), 2.0).unwrap();
        let text = std::fs::read_to_string(&file).unwrap();
        assert!(text.lines().any(|l| l == "Button\t20\t40\t100\t80\tStep back"), "{text}");
        assert!(text.lines().any(|l| l.starts_with("TextInput\t") && l.ends_with("\tFolder")), "{text}");
        let place = |end: &str| text.lines().position(|l| l.starts_with("Label\t") && l.ends_with(end)).unwrap();
        assert_eq!(place("\tthird"), place("\tsecond") + 1, "as they are read: {text}");
        std::fs::remove_file(&file).unwrap();
        controls.follow(update.as_ref(), 2.0).unwrap();
        assert!(!file.exists(), "nothing has changed");
        let mut nowhere = Controls::to(Some(folder.path().join("no folder/controls")));
        assert!(nowhere.follow(update.as_ref(), 1.0).unwrap_err().contains("name another file"));
        assert!(!nowhere.wanted());
    }
}
