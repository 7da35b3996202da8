//! Words of the exercise from memory.
