//! What the machine says and when, so that the coach has room to speak.

mod changes;
mod length;
mod numbers;
mod planner;
mod timing;
mod unit;
mod words;

pub use changes::{changeover_phrases, changeover_words, stay_words};
pub use length::{Pace, spelled_out};
pub use numbers::{length_words, number_words};
pub use planner::{Placement, plan};
pub use unit::{Fixed, GAP, GRID, Placed, QUIET, QUIET_FROM, RANKS, Score, Unit, Wish, apart};
pub use words::{call_words, purpose_words};
