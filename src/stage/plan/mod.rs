//! Planning a class: editing its file station by station, with the effects of each change in view.

mod acting;
mod adding;
mod another;
mod edits;
mod fields;
mod finder;
mod finder_screen;
mod fit;
mod keys;
mod listening;
mod merge;
mod outside;
mod planning;
mod rows;
pub mod screen;
mod typing;

pub use finder::{Chip, Finder, Suggestion, Target};
pub use keys::{Do, KEYS, Key, Stroke, stroke};
pub use merge::merge;
pub use outside::Question;
pub use planning::{Event, Focus, Planning, Try};
pub use rows::{Row, rows};
pub use typing::Typed;
