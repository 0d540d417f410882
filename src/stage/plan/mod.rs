//! Planning a class: editing its file station by station, with the effects of each change in view.

mod add_movement;
mod editor;
mod edits;
mod fields;
mod finder;
mod finder_screen;
mod fit;
mod keys;
mod listening;
mod merge;
mod outside_change;
mod rows;
mod run_command;
pub mod screen;
mod swap;
mod text_input;

pub use editor::{PlanEditor, PlanFocus, PlanInput, TrialStart};
pub use finder::{FinderFilter, FinderPurpose, MovementFinder, Suggestion};
pub use keys::{KEYS, KeyStroke, PlanCommand, PlanKey, key_of, stroke};
pub use merge::merge;
pub use outside_change::MergeConflict;
pub use rows::{PlanRow, rows};
pub use text_input::TextInput;
