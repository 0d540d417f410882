//! Rehearsal: the transitions of a class alone, each timed.
//!
//! It is stepped like a class is, by a clock and keys from outside, and gives back what is to be done about it.

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
