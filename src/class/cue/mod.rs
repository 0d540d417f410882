//! What the program says and when, so that the coach has room to speak.
//!
//! [`cue_up`] takes a schedule with its tones and calls, and adds the cues. A class is cut into stretches: a work span
//! and everything up to the next one. For each stretch the writer finds what should be said, and the planner finds the
//! times.

mod candidates;
mod changes;
mod clicks;
mod count_in;
mod known;
mod length;
mod lengths;
mod numbers;
mod place;
mod planner;
mod sounding;
mod speak;
mod stretch;
mod texts;
mod timing;
mod unit;
mod unsaid;
mod wording;
mod words;

pub use changes::{changeover_phrases, changeover_words, stay_words};
pub use clicks::{CLEAR, clicks};
pub use count_in::{COUNT_IN, PIPS, count_in};
pub use length::{Pace, spelled_out};
pub use lengths::Lengths;
pub use numbers::{length_words, number_words};
pub use planner::{Placement, plan};
pub use sounding::sounding;
pub use speak::{Anew, Fate, PlannedCue, Reason, Voicing, cue_up, plan_cues, tone_length};
pub use texts::texts;
pub use unit::{Fixed, GAP, GRID, Placed, QUIET, QUIET_FROM, RANKS, Score, Unit, Wish, apart};
pub use unsaid::{Obstacle, obstacle};
pub use wording::opening_words;
pub use words::{call_words, level_words, purpose_words};
