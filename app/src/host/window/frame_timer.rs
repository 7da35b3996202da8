//! When the next frame is due that no event of the window asks for: work that ended on another thread, a tooltip that waits, a
//! message that leaves. Every request keeps its delay, so that nothing is drawn before there is something to show.

use crate::base::clock::{Duration, Instant};
use std::sync::{Arc, Mutex, PoisonError};

/// The earliest frame that was asked for, shared with whoever asks from another thread.
#[derive(Clone, Debug, Default)]
pub struct FrameTimer(Arc<Mutex<Option<Instant>>>);

impl FrameTimer {
    /// Asks for a frame after a delay. Tells whether that is earlier than what was asked for until now: the event loop has to be
    /// woken then, to wait for another time.
    pub fn ask(&self, now: Instant, delay: Duration) -> bool {
        // A delay that has no end asks for nothing.
        let Some(at) = now.checked_add(delay) else { return false };
        let mut due = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let earlier = due.is_none_or(|due| at < due);
        if earlier {
            *due = Some(at);
        }
        earlier
    }

    /// Whether the frame is due, which is told once.
    pub fn take_due(&self, now: Instant) -> bool {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).take_if(|due| *due <= now).is_some()
    }

    /// When it will be; none when nobody waits for one.
    pub fn due(&self) -> Option<Instant> {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A frame begins: it shows what was asked for until now.
    pub fn reset(&self) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::clock;

    #[test]
    fn a_frame_comes_after_its_delay_and_once() {
        let (timer, start) = (FrameTimer::default(), clock::now());
        let at = |ms: u64| start + Duration::from_millis(ms);
        assert!(!timer.ask(at(0), Duration::MAX) && timer.due().is_none());
        assert!(timer.ask(at(0), Duration::from_millis(500)));
        assert!(!timer.ask(at(10), Duration::from_millis(500)), "the first comes first");
        assert!(!timer.take_due(at(499)));
        assert!(timer.ask(at(100), Duration::from_millis(300)), "a shorter delay goes before");
        assert_eq!(timer.due(), Some(at(400)));
        assert!(timer.take_due(at(400)) && !timer.take_due(at(900)));
        assert!(timer.ask(at(900), Duration::ZERO) && timer.take_due(at(900)));
    }

    #[test]
    fn a_tooltip_that_waits_asks_for_no_frame_between() {
        let context = egui::Context::default();
        let (timer, frames) = (FrameTimer::default(), std::cell::Cell::new(0));
        let start = clock::now();
        let now = Arc::new(Mutex::new(start));
        let (asked, clock) = (timer.clone(), now.clone());
        context.set_request_repaint_callback(move |request| {
            asked.ask(*clock.lock().unwrap_or_else(PoisonError::into_inner), request.delay);
        });
        // The clock of this loop goes on from frame to frame.
        let frame = |at: Instant, events: Vec<egui::Event>| {
            timer.reset();
            let time = Some(at.duration_since(start).as_secs_f64());
            let screen_rect = Some(egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(300.0, 200.0)));
            let raw = egui::RawInput { time, screen_rect, events, focused: true, ..Default::default() };
            let mut shown = false;
            let mut output = context.run_ui(raw, |ui| {
                ui.button("Mass").on_hover_ui(|_| shown = true);
            });
            output.textures_delta.clear();
            frames.set(frames.get() + 1);
            shown
        };
        frame(start, Vec::new());
        frame(start, vec![egui::Event::PointerMoved(egui::pos2(20.0, 14.0))]);
        let (mut shown, mut at) = (false, start);
        while let Some(due) = timer.due().filter(|_| frames.get() < 100) {
            // A screen of 60 frames a second draws no two at once.
            at = due.max(at + Duration::from_millis(16));
            *now.lock().unwrap_or_else(PoisonError::into_inner) = at;
            shown |= frame(at, Vec::new());
        }
        assert!(shown, "the tooltip came");
        // Half a second of waiting alone would be 31 frames.
        assert!(frames.get() < 25, "{} frames", frames.get());
    }
}
