//! Live changes: what was stays, what is owed moves.
//!
//! Each change is a pure function from a [`Course`] and a tick of class time to the course after it.

mod course;
mod families;
mod fit;
mod skip;

pub use course::{Course, Length, Origin};
pub use families::{Family, Stretch};
pub use fit::{Fit, best_lengths};
