//! What was set and held when the program ran last is taken up again at the start, and kept at the end and when a study is closed.

use crate::ui::looks::Surround;
use crate::ui::preferences::{
    DISPLAY_COLOURS, LEFT_HANDED, LIVELY_MOUSE, Preferences, SIZE, SIZES_PERCENT, SURROUND, TOOL, mistakes,
};
use crate::ui::state::State;
use crate::ui::tool_kind::ToolKind;

/// Takes it up. A setting that cannot be is told.
pub fn restore(state: &mut State) {
    let told = mistakes(&mut state.settings);
    state.notices.extend(told);
    state.preferences = Preferences::of(&state.settings);
    state.tool = state.settings.get(&TOOL).and_then(|name| ToolKind::named(&name)).unwrap_or_default();
    state.surround = state.settings.get(&SURROUND).and_then(|name| Surround::named(&name)).unwrap_or_default();
}

/// Keeps it.
pub fn remember(state: &mut State) {
    let Preferences { size_percent, left_handed, display_colours, lively_mouse } = state.preferences;
    state.keep_setting(&SIZE, size_percent, SIZES_PERCENT[0]);
    state.keep_setting(&LEFT_HANDED, left_handed, false);
    state.keep_setting(&DISPLAY_COLOURS, display_colours, true);
    state.keep_setting(&LIVELY_MOUSE, lively_mouse, true);
    state.keep_setting(&TOOL, state.tool.name().to_owned(), ToolKind::default().name().to_owned());
    state.keep_setting(&SURROUND, state.surround.name().to_owned(), Surround::default().name().to_owned());
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::files::settings::Settings;

    fn state_of(folder: &std::path::Path) -> State {
        let (settings, told) = Settings::read(folder);
        assert!(told.is_empty(), "{told:?}");
        let mut state = State { settings, ..State::default() };
        restore(&mut state);
        state
    }

    #[test]
    fn what_was_held_is_taken_up_again_and_what_was_never_changed_is_not_written() {
        let folder = tempfile::tempdir().unwrap();
        let mut state = state_of(folder.path());
        remember(&mut state);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
        (state.tool, state.surround) = (ToolKind::Mass, Surround::Light);
        state.preferences =
            Preferences { size_percent: 150, left_handed: true, display_colours: false, lively_mouse: false };
        remember(&mut state);
        let mut again = state_of(folder.path());
        assert!(again.notices.is_empty());
        assert_eq!((again.tool, again.surround), (ToolKind::Mass, Surround::Light));
        assert_eq!(again.preferences, state.preferences);
        again.tool = ToolKind::Brush;
        remember(&mut again);
        assert_eq!(state_of(folder.path()).tool, ToolKind::Brush);
        // Names of our own, in no language's words.
        let text = std::fs::read_to_string(folder.path().join("settings.ron")).unwrap();
        assert!(text.contains("\"tool\": \"Brush\"") && text.contains("\"surround\": \"light\""), "{text}");
    }

    #[test]
    fn a_setting_that_cannot_be_is_told_and_the_rest_holds() {
        let folder = tempfile::tempdir().unwrap();
        let text = "{\n\"interface_size_percent\": 900,\n\"tool\": \"Spoon\",\n\"surround\": \"middle\",\n}";
        std::fs::write(folder.path().join("settings.ron"), text).unwrap();
        let state = state_of(folder.path());
        assert_eq!(state.notices.len(), 2, "{:?}", state.notices);
        assert!(state.notices[0].contains("line 2") && state.notices[1].contains("line 3"), "{:?}", state.notices);
        assert_eq!((state.preferences, state.surround), (Preferences::default(), Surround::Middle));
    }
}
