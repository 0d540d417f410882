//! The bounds of a session: what is refused before anything is expanded.
//!
//! They are far above what a class needs; they are there so that a slip of the keyboard, or a file made to do
//! harm, ends in a fault and not in a machine without memory.

use crate::time::Tick;

/// The largest file that is read, in bytes.
pub const FILE: u64 = 16 << 20;
/// The most brackets, commas, colons and the like in a file whose faults are placed.
pub const TREE_MARKS: usize = 2_000_000;
/// The deepest that brackets stand inside brackets.
pub const DEPTH: usize = 64;
/// The most stations in all blocks together.
pub const STATIONS: usize = 200_000;
/// The most blocks.
pub const BLOCKS: usize = 10_000;
/// The most spans of work when all rounds are counted.
pub const SPANS: u64 = 500_000;
/// The longest class.
pub const TOTAL: Tick = Tick::seconds(24 * 60 * 60);
/// The most prompts, faults, names and the like in one list.
pub const LIST: usize = 50;
/// The most letters of a name or a title.
pub const NAME: usize = 80;
/// The most letters of a prompt, a tier or the like.
pub const LINE: usize = 160;
/// The most letters of the path of a file or a folder.
pub const PATH: usize = 500;
/// The most letters of a note or the emergency text.
pub const NOTE: usize = 1000;
/// The most faults told of one file.
pub const FAULTS: usize = 100;
/// How many times the text of a fault may be read again.
pub const SUGGEST: usize = 200;
