//! The painting held against its photo while somebody looks: worked out beside the window, and again after every change.

use crate::base::jobs::{Job, Outcome};
use crate::study::session::{ComparisonResult, Kept, Session};
use crate::ui::wording;
use std::sync::Arc;
use stint_model::comparison::{Comparison, PhotoCells};
use stint_model::ids::SwatchId;

/// What was found the last time.
pub struct Found {
    /// Surface by surface.
    pub comparison: Comparison,
    /// For each surface, the swatch that comes nearest to what it shows on the photo.
    pub nearest: Vec<Option<SwatchId>>,
    /// The photo under the canvas, for the look that shows differences of value.
    pub photo: PhotoValues,
    kept: Kept,
}

/// The values of the photo, cell by cell of the canvas.
#[derive(Clone, Debug)]
pub struct PhotoValues {
    /// The cells; the same ones as long as photo and framing stay.
    pub cells: Arc<PhotoCells>,
    /// How much lighter the whole painting is, CIE L*: that is no difference of any surface.
    pub shift_l_star: f32,
}

impl PartialEq for PhotoValues {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.cells, &other.cells) && self.shift_l_star == other.shift_l_star
    }
}

/// The comparison in the window.
#[derive(Default)]
pub struct Comparing {
    /// Whether its panel shows.
    pub open: bool,
    job: Option<Job<ComparisonResult>>,
    /// The study and the change of it that the last job was started for.
    of: Option<(u64, u64)>,
    found: Option<Arc<Found>>,
    /// The surface under the pointer or with the keyboard, as the panel of this frame says, and as that of the last one said.
    lit: [Option<usize>; 2],
}

impl Comparing {
    /// What was found the last time; nothing before that.
    pub fn found(&self) -> Option<&Arc<Found>> {
        self.found.as_ref()
    }

    /// Whether what was found is not that of the study as it is now.
    pub fn is_working(&self) -> bool {
        self.job.is_some()
    }

    /// Begins a frame: what lit up in the last one shows in this one, as photo and canvas may be drawn before the list.
    pub fn begin_frame(&mut self) {
        self.lit = [None, self.lit[0]];
    }

    /// Lights a surface up, by its place in the list.
    pub fn light(&mut self, surface: usize) {
        self.lit[0] = Some(surface);
    }

    /// The surface that is lit up.
    pub fn lit(&self) -> Option<usize> {
        self.lit[1]
    }

    /// Whether another surface is lit up in the next frame.
    pub fn light_moves(&self) -> bool {
        self.lit[0] != self.lit[1]
    }

    /// Starts to compare where somebody looks and the study is another than the last time, and takes what was found. Never waits;
    /// `wake` is called when there is something to take.
    ///
    /// # Errors
    /// With a sentence for the painter when it could not be compared.
    pub fn follow(
        &mut self,
        session: Option<&mut Session>,
        epoch: u64,
        looked_at: bool,
        wake: impl FnOnce() + Send + 'static,
    ) -> Result<(), String> {
        if self.of.is_some_and(|(of, _)| of != epoch) {
            *self = Comparing::default();
        }
        if let Some(job) = &self.job {
            match job.poll() {
                Outcome::Running => return Ok(()),
                Outcome::Done(result) => self.found = Some(Arc::new(found(result))),
                Outcome::Died => {
                    self.job = None;
                    return Err(wording::COMPARISON_DIED.to_owned());
                }
            }
            self.job = None;
        }
        let Some(session) = session.filter(|_| looked_at) else { return Ok(()) };
        let now = (epoch, session.changes());
        if self.of == Some(now) || session.is_painting() || session.is_reading() {
            return Ok(());
        }
        self.of = Some(now);
        if session.document().reference.is_none() {
            self.found = None;
            return Ok(());
        }
        let kept = self.found.as_ref().map(|found| found.kept.clone());
        let source = session.comparison_source().map_err(|error| {
            // What was seen of a photo that is shut now is out of sight, too.
            self.found = None;
            error.to_string()
        })?;
        self.job = Some(Job::start("comparison", wake, move |_| source.compare(kept)).map_err(|e| e.to_string())?);
        Ok(())
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a value in single precision")]
fn found(result: ComparisonResult) -> Found {
    let ComparisonResult { comparison, kept, board } = result;
    let nearest = comparison.surfaces.iter().map(|surface| comparison.nearest_paint(surface, &board)).collect();
    // L* is about ten times the Munsell value.
    let shift_l_star = 10.0 * comparison.whole.value_munsell as f32;
    let photo = PhotoValues { cells: kept.photo().cells().clone(), shift_l_star };
    Found { comparison, nearest, photo, kept }
}
