//! What the program says and when, so that the coach has enough time to speak.
//!
//! [`plan_and_insert_cues`] takes a schedule with its tones and calls, and adds the cues. A class is cut into
//! stretches: a work span and everything up to the next one. For each stretch the writer finds what should be said, and
//! the planner finds the times.

mod audible;
mod candidates;
mod changeover_words;
mod clicks;
mod count_in;
mod cue_placer;
mod numbers;
mod obstacle;
mod placement_cache;
mod plan_cues;
mod planner;
mod planning_unit;
mod speech_lengths;
mod speech_pace;
mod texts;
mod timing;
mod wording;
mod words;
mod work_stretch;

pub use audible::audible_events;
pub use changeover_words::{changeover_phrases, changeover_words, stay_words};
pub use clicks::{CLEAR, clicks};
pub use count_in::{COUNT_IN, PIPS, count_in, words_and_pips};
pub use numbers::{length_words, number_words};
pub use obstacle::{CueObstacle, obstacle};
pub use plan_cues::{
    CueOutcome, PlannedCue, ReplanPoint, SpeechSettings, UnsaidReason, plan_and_insert_cues, plan_cues, tone_length,
};
pub use planner::{UnitPlacement, plan};
pub use planning_unit::{
    FixedSound, GAP, GRID, PlacedCue, PlacementScore, PlanningUnit, QUIET, QUIET_FROM, RANKS, WantedCue, apart,
};
pub use speech_lengths::SpeechLengths;
pub use speech_pace::{SpeechPace, spelled_out};
pub use texts::texts;
pub use wording::opening_words;
pub use words::{call_words, level_words, purpose_words, region_words};
