//! forecall: a timed strength and conditioning class, from session file to floor.
//!
//! The modules stand in the order in which a class flows through them. Those of the first group are the
//! core: pure, with no input or output, no threads, no clock and no terminal. Those of the second are the
//! shell. The shell depends on the core, never the other way.

// The core.
pub(crate) mod fnv;

pub(crate) mod near;

pub mod time;

pub mod movement;

pub mod session;

pub mod schedule;

pub mod volume;

pub(crate) mod words;

pub mod cue;

pub mod change;

pub mod check;

pub mod draft;

pub mod compose;

pub mod series;

// The shell.
pub mod voice;

pub mod sound;

pub mod screen;

pub mod lead;

pub mod journal;

pub mod rehearse;

pub mod door;

pub mod soundcheck;

pub mod plan;

pub mod sheet;

pub mod export;

pub mod render;

pub mod cli;
