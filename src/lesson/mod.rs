//! Lessons for apprentices.
pub mod storm;
