//! What of the panels lasts: from one time the program runs to the next, and from one study to the next.

use super::{PanelState, reference};
use crate::files::settings::Setting;
use crate::ui::state::State;

/// Panels that were put away, by their names here.
const PUT_AWAY: Setting<Vec<String>> = Setting::new("panels_put_away");
const REFERENCE: &str = "reference";
const READOUT: &str = "readout";
/// How wide the loupe is, photo pixels.
const LOUPE: Setting<u32> = Setting::new("loupe_px");

impl PanelState {
    /// Panels as they were when the program ran last.
    pub fn restored(state: &State) -> Self {
        let away = state.settings.get(&PUT_AWAY).unwrap_or_default();
        let mut panels = PanelState {
            reference_away: away.iter().any(|panel| panel == REFERENCE),
            readout_away: away.iter().any(|panel| panel == READOUT),
            ..PanelState::default()
        };
        if let Some(aperture_px) = state.settings.get(&LOUPE) {
            panels.loupe.set_aperture(aperture_px);
        }
        panels
    }

    /// Keeps how the panels are for the next time the program runs.
    pub fn remember(&self, state: &mut State) {
        let away = [(self.reference_away, REFERENCE), (self.readout_away, READOUT)];
        let away = away.into_iter().filter(|(away, _)| *away).map(|(_, panel)| panel.to_owned()).collect();
        state.keep_setting(&PUT_AWAY, away, Vec::new());
        state.keep_setting(&LOUPE, self.loupe.aperture_px, reference::loupe_state::APERTURE_PX);
    }

    /// Forgets what belonged to another study than the one that is open now. Call it before anything is done with the panels
    /// after a study was opened or closed.
    pub fn follow_study(&mut self, state: &State) {
        if self.epoch == state.epoch {
            return;
        }
        let mut before = std::mem::take(self);
        before.start.follow_study(state.session.is_some());
        before.pictures.look_again();
        before.progress.figures.look_again();
        let mut loupe = reference::loupe_state::LoupeState::default();
        loupe.set_aperture(before.loupe.aperture_px);
        *self = PanelState {
            loupe,
            reference_away: before.reference_away,
            readout_away: before.readout_away,
            settings: before.settings,
            guide: before.guide,
            start: before.start,
            system_dialog: before.system_dialog.kept(),
            browser: before.browser,
            pictures: before.pictures,
            photos_taken: before.photos_taken,
            library: before.library,
            progress: before.progress,
            brushes: before.brushes,
            epoch: state.epoch,
            ..Default::default()
        };
    }
}
