//! Leading a class: the conductor, its keys, its offers and its screens.

mod conductor;
mod keymap;
mod keys;
pub mod loud;
mod moment;
mod offer;
pub mod opening;
pub mod plain;
mod recorder;
pub mod screen;

pub use class::cue::{COUNT_IN, count_in};
pub use conductor::{Conductor, Opening};
pub use keymap::{Keymap, Ready, key_name};
pub use keys::{KEYS, Press};
pub use moment::{Changed, Moment, Offered, Phase, View};
pub use offer::{Action, Offer, STRETCH, offers};
