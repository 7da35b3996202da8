//! How long a study was worked on, and the stint: the time that the painter means to give it.
//!
//! Time counts from one thing that is done to the study to the next, a stroke in the making included. Whoever looks away for longer than
//! [`PAUSE`] is at rest, and rest counts for nothing. Undo gives no time back. The clock is asked only when something is done, so that
//! a study that nobody touches draws nothing and writes nothing.

use super::{Session, SessionError};
use crate::base::clock::{self, Duration, Instant};
use stint_model::readout::WorkTime;
use stint_model::study::Document;
use stint_model::study::document::STINT_LIMIT_MIN;

/// Longest time between two things that are done which still counts as work.
pub const PAUSE: Duration = Duration::from_secs(60);

/// Stints that are offered, minutes. Common practice among painters, no published source.
pub const STINTS_MIN: [u32; 3] = [20, 40, 60];

/// Counts.
pub(super) struct WorkClock {
    worked: Duration,
    last: Option<Instant>,
    now: Box<dyn Fn() -> Instant + Send>,
    /// Whether a script is at work, which takes no time of a painter's.
    stopped: bool,
}

impl WorkClock {
    /// Goes on from so many seconds.
    pub(super) fn new(worked_s: u64) -> Self {
        WorkClock { worked: Duration::from_secs(worked_s), last: None, now: Box::new(clock::now), stopped: false }
    }

    /// Something is done now.
    pub(super) fn note(&mut self) {
        if self.stopped {
            return;
        }
        let now = (self.now)();
        let gap = self.last.map_or(Duration::ZERO, |last| now.saturating_duration_since(last));
        if gap <= PAUSE {
            self.worked += gap;
        }
        self.last = Some(now);
    }

    fn seconds(&self) -> u64 {
        self.worked.as_secs()
    }
}

impl Session {
    /// How long the study was worked on, up to what was done last, and how long it is meant to take.
    pub fn work_time(&self) -> WorkTime {
        WorkTime { worked_s: self.work.seconds(), stint_min: self.document.stint_min }
    }

    /// Takes the time from another clock from now on: tests need not wait.
    pub fn set_clock(&mut self, now: impl Fn() -> Instant + Send + 'static) {
        self.work.now = Box::new(now);
    }

    /// Counts no time from here on, or counts again: what a script does takes no time of a painter's, and must not hang on the speed of
    /// the machine.
    pub fn count_time(&mut self, counts: bool) {
        (self.work.stopped, self.work.last) = (!counts, None);
    }

    /// Something is done to the study now: tells for how many seconds it was worked on. At the end of the stint the painter hears so once.
    pub(super) fn work_on(&mut self) -> u64 {
        let before = self.work_time();
        self.work.note();
        let now = self.work_time();
        if now.is_over()
            && !before.is_over()
            && let Some(minutes) = now.stint_min
        {
            self.notices.push_back(format!("{minutes} minutes at work: this stint is over"));
        }
        now.worked_s
    }
}

/// Sets the length of the stint.
pub(super) fn set_stint(document: &mut Document, minutes: Option<u32>) -> Result<(), SessionError> {
    if let Some(minutes) = minutes
        && !(1..=STINT_LIMIT_MIN).contains(&minutes)
    {
        return Err(SessionError::Stint { minutes, most: STINT_LIMIT_MIN });
    }
    document.stint_min = minutes;
    Ok(())
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::command::Command;
    use std::path::Path;
    use std::sync::Arc;
    use std::sync::atomic::{AtomicU64, Ordering};
    use stint_model::board::Board;
    use stint_model::study::file::StudyFile;
    use stint_render::choose::EngineChoice;

    /// A clock that stands still until it is moved on.
    #[derive(Clone)]
    struct Hands(Instant, Arc<AtomicU64>);

    impl Hands {
        fn new() -> Self {
            Hands(clock::now(), Arc::default())
        }

        fn go_on(&self, seconds: u64) {
            self.1.fetch_add(seconds, Ordering::Relaxed);
        }

        fn wind(&self, session: &mut Session) {
            let Hands(start, seconds) = self.clone();
            session.set_clock(move || start + Duration::from_secs(seconds.load(Ordering::Relaxed)));
        }
    }

    fn edit(session: &mut Session, n: u64) {
        session.apply(&Command::RenameBoard(format!("depot {n}"))).unwrap();
    }

    fn study(path: &Path) -> Session {
        Session::create(path, (64, 64), Board::default(), EngineChoice::Cpu).unwrap()
    }

    #[test]
    fn time_between_steps_counts_and_a_rest_does_not() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("depot.stint");
        let (mut session, hands) = (study(&path), Hands::new());
        hands.wind(&mut session);
        // Before the first step nothing was done.
        hands.go_on(50);
        edit(&mut session, 0);
        assert_eq!(session.work_time().worked_s, 0);
        // A gap of a minute is a look at the photo; one second more is a rest, and none of it counts.
        for (gap, worked) in [(30, 30), (60, 90), (61, 90), (3600, 90), (5, 95)] {
            hands.go_on(gap);
            edit(&mut session, gap);
            assert_eq!(session.work_time().worked_s, worked, "after a gap of {gap} s");
        }
        // What is undone took its time all the same, and undoing takes time too.
        hands.go_on(10);
        session.apply(&Command::Undo).unwrap();
        hands.go_on(10);
        session.apply(&Command::Undo).unwrap();
        hands.go_on(10);
        edit(&mut session, 9);
        assert_eq!(session.work_time().worked_s, 125);
        session.close().unwrap();
        let file = StudyFile::open_read_only(&path).unwrap();
        assert_eq!(file.worked_s(), 125);
        let seconds: Vec<u64> = file.worked().unwrap().into_iter().map(|(_, seconds)| seconds).collect();
        assert_eq!(seconds, [30, 90, 90, 125], "of the four steps that there are now and took time");
        // The next sitting goes on from there, and the days between count for nothing.
        let mut session = Session::open(&path, EngineChoice::Cpu).unwrap();
        hands.go_on(86400);
        hands.wind(&mut session);
        edit(&mut session, 10);
        hands.go_on(7);
        edit(&mut session, 11);
        assert_eq!(session.work_time().worked_s, 132);
    }

    #[test]
    fn a_long_stroke_is_work_from_end_to_end() {
        use stint_render::mask::PenSample;
        let (mut session, hands) =
            (Session::in_memory((64, 64), Board::default(), EngineChoice::Cpu).unwrap(), Hands::new());
        hands.wind(&mut session);
        session.begin_stroke(super::super::StrokeTool::Scrape).unwrap();
        for i in 0..5 {
            hands.go_on(40);
            session.extend_stroke(&[PenSample::new(i as f32 * 8.0, 10.0, 1.0)]).unwrap();
        }
        session.finish_stroke().unwrap();
        assert_eq!(session.work_time().worked_s, 200);
    }

    #[test]
    fn the_end_of_the_stint_is_said_once() {
        let (mut session, hands) =
            (Session::in_memory((64, 64), Board::default(), EngineChoice::Cpu).unwrap(), Hands::new());
        hands.wind(&mut session);
        session.apply(&Command::SetStint(Some(20))).unwrap();
        let mut heard = Vec::new();
        for n in 0..60 {
            hands.go_on(60);
            edit(&mut session, n);
            heard.extend(session.take_notice().map(|notice| (n + 1, notice)));
        }
        assert_eq!(heard, [(20, "20 minutes at work: this stint is over".to_owned())]);
        // A longer one has an end of its own; none has none.
        session.apply(&Command::SetStint(Some(61))).unwrap();
        hands.go_on(60);
        edit(&mut session, 60);
        assert!(session.take_notice().is_some_and(|notice| notice.starts_with("61 minutes")));
        session.apply(&Command::SetStint(None)).unwrap();
        assert_eq!(session.work_time(), WorkTime { worked_s: 3660, stint_min: None });
        for wrong in [0, STINT_LIMIT_MIN + 1] {
            let error = session.apply(&Command::SetStint(Some(wrong))).unwrap_err().to_string();
            assert!(error.contains("1 to 1440"), "{error}");
        }
    }

    #[test]
    fn a_script_takes_no_time_of_a_painters() {
        let (mut session, hands) =
            (Session::in_memory((64, 64), Board::default(), EngineChoice::Cpu).unwrap(), Hands::new());
        hands.wind(&mut session);
        session.count_time(false);
        for n in 0..5 {
            hands.go_on(30);
            edit(&mut session, n);
        }
        session.count_time(true);
        assert_eq!(session.work_time().worked_s, 0);
        hands.go_on(30);
        edit(&mut session, 5);
        hands.go_on(20);
        edit(&mut session, 6);
        assert_eq!(session.work_time().worked_s, 20, "counted from the painter's first step on");
    }

    #[test]
    fn a_copy_without_history_keeps_the_time() {
        use stint_model::study::hand_out::{LeaveOut, hand_out};
        let folder = tempfile::tempdir().unwrap();
        let [path, copy] = ["depot.stint", "copy.stint"].map(|name| folder.path().join(name));
        let (mut session, hands) = (study(&path), Hands::new());
        hands.wind(&mut session);
        for n in 0..4 {
            hands.go_on(30);
            edit(&mut session, n);
        }
        session.close().unwrap();
        hand_out(&path, &copy, LeaveOut { photos: false, history: true }).unwrap();
        assert_eq!(StudyFile::open_read_only(&copy).unwrap().worked_s(), 90);
    }
}
