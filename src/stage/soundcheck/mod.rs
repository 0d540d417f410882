//! The sound check before a class: whether everybody can hear and read it, and whether the computer lasts.
//!
//! A pure step function, like the conductor: it takes in the time, the keys and the state of the computer, and returns
//! what to play and what to save.

mod check;
mod page;
pub mod screen;
mod verdict;

pub use check::{SoundCheck, SoundCheckInput, SoundCheckOrder};
pub use page::{SoundCheckPage, TestSound, test_sounds};
pub use verdict::{CoachAnswer, SoundCheckVerdict, SystemStatus, verdict};
