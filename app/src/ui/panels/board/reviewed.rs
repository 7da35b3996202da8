//! The review of the study's board with its offers, worked out once for each board; offers a few in a frame, because each takes a
//! while.

use crate::base::clock::Stopwatch;
use crate::study::session::Session;
use std::time::Duration;
use stint_model::board::Board;
use stint_model::board::light_guess::{LightGuess, guess_light};
use stint_model::board::review::{Offer, Remark, offers, review_all};
use stint_model::ids::SwatchId;

/// Time that one frame takes for offers.
const OFFERS_BUDGET: Duration = Duration::from_millis(6);

/// A remark that is not dismissed, with changes that would satisfy it.
#[derive(Debug)]
pub(super) struct OpenRemark {
    pub remark: Remark,
    /// None until they are worked out.
    pub offers: Option<Vec<Offer>>,
}

/// The remarks about a board, and what was worked out beside them.
#[derive(Default, Debug)]
pub(super) struct BoardReview {
    of: Option<Board>,
    remarks: Vec<OpenRemark>,
    dismissed: Vec<Remark>,
    guess: Option<LightGuess>,
    used: Vec<SwatchId>,
}

impl BoardReview {
    /// Reviews the study's board again if it is another one than last time.
    pub fn follow(&mut self, session: Option<&Session>) {
        let Some(session) = session else { return };
        let board = &session.document().board;
        if self.of.as_ref() == Some(board) {
            return;
        }
        let (dismissed, standing) =
            review_all(board).into_iter().partition(|remark| board.dismissed.contains(&remark.subject()));
        let standing: Vec<Remark> = standing;
        *self = BoardReview {
            of: Some(board.clone()),
            remarks: standing.into_iter().map(|remark| OpenRemark { remark, offers: None }).collect(),
            dismissed,
            guess: Some(guess_light(board)),
            used: session.used_swatches(),
        };
    }

    /// Works out offers that are missing, as far as a frame has time. Tells whether some are missing still.
    pub fn work(&mut self) -> bool {
        let Some(board) = &self.of else { return false };
        let start = Stopwatch::start();
        for standing in self.remarks.iter_mut().filter(|s| s.offers.is_none()) {
            standing.offers = Some(offers(board, &standing.remark, &self.used));
            if start.elapsed() > OFFERS_BUDGET {
                break;
            }
        }
        self.remarks.iter().any(|s| s.offers.is_none())
    }

    /// How many remarks are not dismissed.
    pub fn standing(&self) -> usize {
        self.remarks.len()
    }

    /// The remarks that are not dismissed: first those whose mending may mend others, as `review_all` orders them.
    pub fn remarks(&self) -> &[OpenRemark] {
        &self.remarks
    }

    /// Those that the painter has dismissed.
    pub fn dismissed(&self) -> &[Remark] {
        &self.dismissed
    }

    /// What the colours say about the light of the day.
    pub fn guess(&self) -> Option<&LightGuess> {
        self.guess.as_ref()
    }
}
