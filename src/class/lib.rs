//! The core: what a class is, from the session file to the schedule and the changes of it.
//!
//! Pure: no input or output, no thread, no clock and no terminal. The modules stand in the order in which a class flows
//! through them; each uses those above it only.

pub mod fnv;

pub mod nearest_name;

pub mod time;

pub mod movement;

pub mod session;

pub mod schedule;

pub mod training_volume;

pub mod words;

pub mod outline;

pub mod describe;

pub mod recording;

pub mod chapters;

pub mod cue;

pub mod change;

pub mod check;

pub mod session_draft;

pub mod compose;

pub mod series;
