//! The limits of a session. A session beyond them is refused before anything is expanded.
//!
//! The limits are far above what a class needs. They make sure that a typing mistake or a malicious file ends in a
//! fault and does not use up the memory.

use crate::time::Tick;

/// The maximum size of a file, in bytes: 16 MB.
pub const FILE: u64 = 16 << 20;
/// The maximum number of brackets, commas, colons and other marks in a file whose faults get a place.
pub const TREE_MARKS: usize = 2_000_000;
/// The maximum depth of nested brackets.
pub const DEPTH: usize = 64;
/// The maximum number of stations in all blocks together.
pub const STATIONS: usize = 200_000;
/// The maximum number of blocks.
pub const BLOCKS: usize = 10_000;
/// The maximum number of work spans, with all rounds.
pub const SPANS: u64 = 500_000;
/// The maximum length of a class: one day.
pub const TOTAL: Tick = Tick::seconds(24 * 60 * 60);
/// The maximum number of prompts, faults, names and the like in one list.
pub const LIST: usize = 50;
/// The maximum length of a name or a title, in characters.
pub const NAME: usize = 80;
/// The maximum length of a prompt, an easier or harder option or the like, in characters.
pub const LINE: usize = 160;
/// The maximum length of the path of a file or a folder, in characters.
pub const PATH: usize = 500;
/// The maximum length of a note or the emergency text, in characters.
pub const NOTE: usize = 1000;
/// The maximum number of faults that are reported for one file.
pub const FAULTS: usize = 100;
/// The maximum number of times that the text of a fault is read again.
pub const SUGGEST: usize = 200;
