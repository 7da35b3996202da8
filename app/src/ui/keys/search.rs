//! Actions found by what they do or by their keys.

use super::{Action, Chord, KeyMap};

/// Further words that a painter may look for.
const OTHER_WORDS: [(Action, &str); 23] = [
    (Action::StepBack, "undo"),
    (Action::StepOn, "redo"),
    (Action::ZoomIn, "zoom in, enlarge"),
    (Action::ZoomOut, "zoom out, smaller"),
    (Action::Fit, "zoom, fit"),
    (Action::ActualSize, "zoom, full size"),
    (Action::Cancel, "cancel, discard"),
    (Action::Pick, "pick, sample, colour under the pointer"),
    (Action::Value, "grey, lightness"),
    (Action::Squint, "blur, half-shut eyes"),
    (Action::Mirror, "flip, left and right"),
    (Action::TurnLeft, "rotate"),
    (Action::TurnRight, "rotate"),
    (Action::Upright, "rotate, straight"),
    (Action::Pan, "scroll, shift"),
    (Action::Surround, "background, grey around the canvas"),
    (Action::Export, "save, picture, png"),
    (Action::Larger, "size"),
    (Action::Smaller, "size"),
    (Action::WholeScreen, "full screen, maximise"),
    (Action::Settings, "preferences, options, size of words, left hand"),
    (Action::KeySheet, "help, shortcuts, guide"),
    (Action::MemoryPage, "exercise, drill"),
];

fn words(action: Action) -> String {
    let others = OTHER_WORDS.iter().find(|(other, _)| *other == action).map_or("", |(_, words)| words);
    format!("{} {others}", action.words()).to_lowercase()
}

/// The actions that have every word of a text in their words or are on that very key, those that begin with it first. An empty text
/// finds all.
pub fn found(text: &str, keys: &KeyMap) -> Vec<Action> {
    let wanted = text.trim().to_lowercase();
    let on_key = |action| keys.keys(action).iter().any(|chord: &Chord| chord.to_string().to_lowercase() == wanted);
    let rank = |action: Action| {
        let words = words(action);
        match () {
            () if on_key(action) => Some(0),
            () if words.starts_with(&wanted) => Some(1),
            () if wanted.split_whitespace().all(|part| words.contains(part)) => Some(2),
            () => None,
        }
    };
    let mut ranked: Vec<_> = Action::all().filter_map(|action| Some((rank(action)?, action))).collect();
    ranked.sort_by_key(|(rank, _)| *rank);
    ranked.into_iter().map(|(_, action)| action).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ui::tool_kind::ToolKind;

    #[test]
    fn an_action_is_found_by_its_words_by_others_and_by_its_key() {
        let keys = KeyMap::default();
        assert_eq!(found("", &keys).len(), Action::all().count());
        assert_eq!(found("undo", &keys), [Action::StepBack]);
        assert_eq!(found("F7", &keys), [Action::Mirror]);
        assert_eq!(found(" ctrl+z ", &keys), [Action::StepBack]);
        assert_eq!(found("canvas turn", &keys).len(), 3);
        // What begins with it stands before what only holds it.
        assert_eq!(found("mass", &keys)[0], Action::Tool(ToolKind::Mass));
        assert!(found("mass", &keys).contains(&Action::Close));
        assert!(found("spoon", &keys).is_empty());
    }
}
