//! Leading a class: the conductor, its clock and its run loop.

pub mod awake;
mod class_time;
mod clock;
mod conductor;
mod happening;
mod inputs;
mod keep;
mod key;
mod keyboard;
mod keymap;
mod keys;
pub mod loud;
mod moment;
mod offer;
pub mod opening;
mod picture;
pub mod plain;
pub mod power;
mod read_out;
mod run;
pub mod terminal;

pub use class_time::ClassTime;
pub use clock::{Clock, ClockTime, Reading, Real, Stepped};
pub use conductor::{COUNT_IN, Conductor, Effect, Input, News, Opening, Sounding, Stand, Watcher, count_in};
pub use happening::{Happening, Told};
pub use inputs::Channel;
pub use keep::{BEAT, Keeper, Unkept};
#[cfg(test)]
pub(crate) use key::doubled;
pub use key::{Asked, Key, press};
pub use keyboard::Keyboard;
pub use keymap::{Keymap, Ready, key_name};
pub use keys::{KEYS, Press};
pub use moment::{Changed, Moment, Offered, Phase, View};
pub use offer::{Action, Offer, STRETCH, offers};
pub use picture::Picture;
pub use run::{Ending, Front, Inputs, Led, Outside, Room, Silent, run};
