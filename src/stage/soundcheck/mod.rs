//! The sound check: before the class, can everybody hear it and read it, and will the machine last.
//!
//! A pure step, as the conductor is: the state takes in the time, keys and how the machine stands, and gives back what is
//! to sound and to be kept.

mod check;
mod page;
pub mod screen;
mod verdict;

pub use check::{Event, Order, SoundCheck};
pub use page::{Heard, Page, heard};
pub use verdict::{Answer, Machine, Verdict, verdict};
