//! Leading a class: the conductor, its clock and its run loop.

mod class_time;
mod clock;
mod conductor;
mod happening;
mod keys;
mod moment;

pub use clock::{Clock, ClockTime, Reading, Real, Stepped};
pub use conductor::{COUNT_IN, Conductor, Effect, Input, Opening, Sounding, Watcher};
pub use happening::{Happening, Told};
pub use keys::{KEYS, Key, Press, press};
pub use moment::{Moment, Phase, View};
