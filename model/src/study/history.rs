//! Undo and redo as a head over the recorded steps.
