//! Rehearsal: only the changeovers of a class, each timed.
//!
//! A rehearsal is stepped like a class, by a clock and keys from outside, and returns what has to be done about them.

mod boundary;
mod give_rest;
mod keys;
mod measurement_file;
pub mod page_screen;
mod read_through;
mod rehearsal;
pub mod screen;
mod table;

pub use boundary::{Boundary, RehearsalWindow, boundaries};
pub use keys::{KEYS, RehearseCommand};
pub use measurement_file::MeasurementFile;
pub use read_through::{ReadThrough, ReadThroughPage};
pub use rehearsal::{Rehearsal, RehearsalMoment, RehearsalOutcome, RehearsalSettings, RehearsalStage};
pub use table::{BoundaryResult, TransitionRow, table};
