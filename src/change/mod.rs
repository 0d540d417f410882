//! Live changes: what was stays, what is owed moves.
//!
//! Each change is a pure function from a [`Course`] and a tick of class time to the course after it.

mod course;
mod skip;

pub use course::Course;
