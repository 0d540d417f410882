//! Rehearsal: only the changeovers of a class, each timed.
//!
//! A rehearsal is stepped like a class, by a clock and keys from outside, and returns what has to be done about them.

mod boundary;
mod give_rest;
mod kept;
mod keys;
pub mod page_screen;
mod read_through;
mod rehearsal;
pub mod screen;
mod table;

pub use boundary::{Boundary, Window, boundaries};
pub use kept::Kept;
pub use keys::{KEYS, Press};
pub use read_through::{Page, ReadThrough};
pub use rehearsal::{Outcome, Rehearsal, Settings, Stage, View};
pub use table::{Found, Row, table};
