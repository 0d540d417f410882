//! A class planned: its file changed station by station, with what that does to it always in sight.

mod edits;
mod finder;
mod fit;
mod keys;
mod merge;
mod planning;
mod rows;

pub use finder::{Chip, Finder, Suggestion};
pub use keys::{Do, KEYS, Key, Stroke, stroke};
pub use merge::merge;
pub use planning::{Event, Focus, Planning, Question, Target, Try, Typed};
pub use rows::{Row, rows};
