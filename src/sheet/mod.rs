//! A class on paper.

mod words;

pub use words::{format_words, reps_words, side_words, sides_words};
