//! What the machine says and when, so that the coach has room to speak.

mod changes;
mod numbers;
mod words;

pub use changes::{changeover_phrases, changeover_words, stay_words};
pub use numbers::{length_words, number_words};
pub use words::{call_words, purpose_words};
