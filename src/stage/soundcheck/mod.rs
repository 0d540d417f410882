//! The sound check before a class: whether everybody can hear and read it, and whether the computer lasts.
//!
//! A pure step function, like the conductor: it takes in the time, the keys and the state of the computer, and gives
//! back what to play and what to save.

mod check;
mod page;
pub mod screen;
mod verdict;

pub use check::{Event, Order, SoundCheck};
pub use page::{Heard, Page, heard};
pub use verdict::{Answer, Machine, Verdict, verdict};
