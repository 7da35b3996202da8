//! The figures behind the page and behind the sentence of the start page: gathered beside the window, once after each study.

use crate::base::jobs::{Job, Outcome};
use crate::study::progress::gather;
use crate::ui::state::State;
use egui::Context;
use stint_model::progress::{Chart, Progress, charts};

/// What was gathered.
#[derive(Default)]
pub(in crate::ui::panels) struct Figures {
    gathering: Option<Job<(Progress, Vec<String>)>>,
    known: Option<Gathered>,
    /// Whether the known ones may be out of date.
    stale: bool,
}

/// The figures and their charts.
pub(in crate::ui::panels) struct Gathered {
    pub progress: Progress,
    pub charts: Vec<Chart>,
}

impl Figures {
    /// They may be others now; what is known stays in sight until the new ones are there.
    pub fn look_again(&mut self) {
        (self.stale, self.gathering) = (true, None);
    }

    /// Begins to gather what is not known, and takes what was gathered.
    pub fn follow(&mut self, state: &mut State, ctx: &Context) {
        match self.gathering.as_ref().map(Job::poll) {
            Some(Outcome::Done((progress, told))) => {
                state.notices.extend(told);
                let charts = charts(&progress);
                (self.known, self.gathering, self.stale) = (Some(Gathered { progress, charts }), None, false);
            }
            // What died is asked for again when another study was open.
            Some(Outcome::Died) => (self.gathering, self.stale) = (None, false),
            Some(Outcome::Running) | None => {}
        }
        if self.gathering.is_none() && (self.stale || self.known.is_none()) {
            let (data, wake) = (state.data_folder.clone(), ctx.clone());
            let work = move |job: &crate::base::jobs::Progress| {
                gather(data.as_deref(), &mut |done, _| {
                    job.set(done);
                    !job.is_cancelled()
                })
            };
            self.gathering = Job::start("progress", move || wake.request_repaint(), work).ok();
        }
    }

    /// What is known.
    pub fn known(&self) -> Option<&Gathered> {
        self.known.as_ref()
    }

    /// Whether what is known is up to date.
    #[cfg(test)]
    pub fn is_at_rest(&self) -> bool {
        self.known.is_some() && self.gathering.is_none() && !self.stale
    }
}
