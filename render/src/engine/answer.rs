//! What an engine will answer. Whoever asks goes on with other work and takes the answer when it is there, here or on another thread.

use super::EngineError;

/// Something that an answer waits for.
pub trait Source: Send {
    /// Whether it has come. Never waits.
    fn has_come(&mut self) -> bool;

    /// Waits until it has come, or never will: making the answer tells which.
    fn wait(&mut self);
}

/// An answer that comes later. Dropping it lets go of what was asked for.
pub struct Answer<T> {
    /// What has not come yet.
    sources: Vec<Box<dyn Source>>,
    make: Box<dyn FnOnce() -> Result<T, EngineError> + Send>,
}

impl<T: Send + 'static> Answer<T> {
    /// An answer that is there already.
    pub fn ready(result: Result<T, EngineError>) -> Self {
        Answer { sources: Vec::new(), make: Box::new(move || result) }
    }

    /// An answer that is made once its sources have come.
    pub fn new(sources: Vec<Box<dyn Source>>, make: impl FnOnce() -> Result<T, EngineError> + Send + 'static) -> Self {
        Answer { sources, make: Box::new(make) }
    }

    /// Whether it is there. Never waits.
    pub fn has_come(&mut self) -> bool {
        self.sources.retain_mut(|source| !source.has_come());
        self.sources.is_empty()
    }

    /// The answer; waits for it. What it is made of is unpacked here.
    ///
    /// # Errors
    /// When the engine failed after it was asked.
    pub fn take(mut self) -> Result<T, EngineError> {
        self.sources.iter_mut().for_each(|source| source.wait());
        (self.make)()
    }

    /// The same answer put to use: `then` is part of taking it.
    pub fn map<U: Send + 'static>(self, then: impl FnOnce(T) -> U + Send + 'static) -> Answer<U> {
        let make = self.make;
        Answer { sources: self.sources, make: Box::new(move || make().map(then)) }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use std::sync::Arc;
    use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

    /// Comes when it is told, or when it is waited for.
    struct Told(Arc<AtomicBool>, Arc<AtomicU32>);

    impl Source for Told {
        fn has_come(&mut self) -> bool {
            self.0.load(Ordering::Relaxed)
        }

        fn wait(&mut self) {
            self.1.fetch_add(1, Ordering::Relaxed);
        }
    }

    #[test]
    fn an_answer_is_there_when_all_it_waits_for_has_come() {
        let (come, waits) = (Arc::<AtomicBool>::default(), Arc::<AtomicU32>::default());
        let told = || -> Box<dyn Source> { Box::new(Told(come.clone(), waits.clone())) };
        let mut answer = Answer::new(vec![told(), told()], || Ok(6)).map(|v| v + 1);
        assert!(!answer.has_come());
        come.store(true, Ordering::Relaxed);
        assert!(answer.has_come());
        assert_eq!((answer.take().unwrap(), waits.load(Ordering::Relaxed)), (7, 0), "nothing was waited for");
        let early = Answer::new(vec![told()], || Ok(1));
        assert_eq!((early.take().unwrap(), waits.load(Ordering::Relaxed)), (1, 1));
        assert!(Answer::ready(Ok(())).has_come());
        assert!(Answer::<()>::ready(Err(EngineError::ForeignTile)).map(|()| 3).take().is_err());
    }
}
