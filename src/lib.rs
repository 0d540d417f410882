//! forecall: leads a timed strength and conditioning class from a session file.
//!
//! The modules are listed in the order in which a class passes through them. The first group is the core: pure code
//! without input, output, threads, clock or terminal. The second group is the shell. The shell depends on the core;
//! the core never depends on the shell.

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
